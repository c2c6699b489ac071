"""Nicks that count the steps of a trial, beside each socket: shallow cuts in a face that mates with nothing, to be felt with a finger.

In a front they stand one below the other in the end of a pin, cut by the dovetail cutter, whose tip leaves a wedge. In a back they stand
side by side in the outside face, cut by the straight cutter.
"""

from __future__ import annotations

from collections.abc import Sequence

from camtools.drawer.boards import HalfBlind, Nicks, Through
from camtools.toolpath.drawn_cut import AIR_MM, CLOSE_MM, DrawnCut
from camtools.toolpath.moves import Air, Cut
from camtools.wording import Told

__all__ = ["FLUTE_MM", "nicks_cut"]

FLUTE_MM = 6.0  # length of a nick in a back; common practice, no source


def nicks_cut(joint: HalfBlind | Through, nicks: Sequence[Nicks], stop: str, air: Air) -> Cut:
    """Cut the nicks beside every socket of one end."""
    flat = isinstance(joint, HalfBlind)
    cutter = joint.dovetail if isinstance(joint, HalfBlind) else joint.straight
    face = 0.0 if isinstance(joint, HalfBlind) else -joint.back_mm
    way = 1.0 if flat else -1.0  # from the wood out into air
    radius, sign = cutter.diameter_mm / 2, 1.0 if stop == "left" else -1.0
    near, close = face + way * (radius + AIR_MM), face + way * (radius + CLOSE_MM)
    places = []
    for own in nicks:
        deep = face + way * (radius - own.depth_mm)
        for i in range(own.count):
            x = sign * own.middle_mm if flat else sign * (own.middle_mm + (i - (own.count - 1) / 2) * own.pitch_mm)
            places.append((x, -(i + 1) * own.pitch_mm if flat else -min(FLUTE_MM, joint.side_mm / 2), deep))
    pen = DrawnCut(cutter, air)
    pen.over(places[0][0], near)
    for x, z, deep in places:
        pen.clear(x, near)
        pen.clear(x, near, z)
        pen.clear(x, close)
        pen.to(x, deep)
        pen.clear(x, near)
    return pen.cut(Told("nicks that count the steps, {:mm} deep, cut from the air", (nicks[0].depth_mm,)))
