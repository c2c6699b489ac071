"""Nicks that count the steps of a trial, beside each socket: shallow cuts in a face that mates with nothing, to be felt with a finger.

In a front they stand one below the other in the end of a pin, cut by the dovetail cutter, whose tip leaves a wedge. In a back they stand
side by side, cut by the straight cutter: in the outside face, or in the end of one that lies flat.
"""

from __future__ import annotations

from collections.abc import Sequence

from camtools.drawer.boards import HalfBlind, Nicks, Through
from camtools.toolpath.drawn_cut import AIR_MM, CLOSE_MM, DrawnCut
from camtools.toolpath.moves import Air, Cut
from camtools.wording import Told

__all__ = ["FLUTE_MM", "nicks_cut"]

FLUTE_MM = 6.0  # length of a nick in a back; common practice, no source


def nicks_cut(joint: HalfBlind | Through, nicks: Sequence[Nicks], stop: str, air: Air) -> Cut | None:
    """Cut the nicks beside every socket of one end, each step's with its socket; None where this setting has none."""
    wedges, upright = isinstance(joint, HalfBlind), isinstance(joint, Through) and joint.flat is None
    cutter = joint.dovetail if isinstance(joint, HalfBlind) else joint.straight
    face, way = (-joint.back_mm, -1.0) if isinstance(joint, Through) and upright else (0.0, 1.0)  # from the wood out into air
    flute = -min(FLUTE_MM, (joint.side_mm if upright else joint.length_mm) / 2)
    radius, sign = cutter.diameter_mm / 2, 1.0 if stop == "left" else -1.0
    near, close = face + way * (radius + AIR_MM), face + way * (radius + CLOSE_MM)
    places = []
    for own in (own for tail, own in zip(joint.tails, nicks, strict=True) if air.takes(sign * tail.middle_mm)):
        deep = face + way * (radius - own.depth_mm)
        for i in range(own.count):
            x = sign * (own.middle_mm + (0.0 if wedges else (i - (own.count - 1) / 2) * own.pitch_mm))
            places.append((x, -(i + 1) * own.pitch_mm if wedges else flute, deep))
    if not places:
        return None
    pen = DrawnCut(cutter, air)
    pen.over(places[0][0], near)
    for x, z, deep in places:
        pen.clear(x, near)
        pen.clear(x, near, z)
        pen.clear(x, close)
        pen.to(x, deep)
        pen.clear(x, near)
    return pen.cut(Told("nicks that count the steps, {:mm} deep, cut from the air", (nicks[0].depth_mm,)))
