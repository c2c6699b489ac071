"""The bottom's groove: the board lies flat, a straight cutter goes down on short ramps along the groove itself.

In the machine frame the groove runs along X; ``Y`` is measured from the fence at the reference edge. Every length serves: the
cutter runs along the far wall to the right and along the near wall to the left, so that both walls lie on its left and are
finished against its own turning, from either stop. Where the groove is hardly wider than the cutter, each length is a level deeper
than the one before, and one more levels the last; otherwise each level is cleared by itself.
"""

from __future__ import annotations

import math
from itertools import cycle, islice

from camtools.drawer.boards import Groove
from camtools.faults import CannotCut, Fault
from camtools.toolpath.drawn_cut import AIR_MM, OVERLAP, RAMP, THIN_MM, DrawnCut, even_steps, levels_of
from camtools.toolpath.moves import Air, Cut
from camtools.wording import Told, mm

__all__ = ["groove_cut"]

_SAME_MM = 0.005  # a cutter this near to the groove's width cuts it in one line


def groove_cut(groove: Groove, length_mm: float, stop: str, air: Air) -> Cut:
    """Cut one groove, stopped or run out at either end.

    Parameters
    ----------
    length_mm
        Of the board along the groove.
    stop
        "left" or "right": from which machine X is counted.

    Raises
    ------
    CannotCut
        If the cutter is wider than the groove, or the groove is too short for it.
    """
    cutter = groove.cutter
    radius = cutter.diameter_mm / 2
    if cutter.diameter_mm > groove.width_mm + _SAME_MM:
        raise CannotCut(
            Fault("groove", "the straight cutter is wider than the groove", value=mm(cutter.diameter_mm), limit=mm(groove.width_mm))
        )
    # Ends along X, and whether they run out into air.
    start = (-(radius + AIR_MM), True) if groove.start_mm < 0 else (groove.start_mm + radius, False)
    end = (length_mm + radius + AIR_MM, True) if groove.stop_mm > length_mm else (groove.stop_mm - radius, False)
    if end[0] - start[0] < cutter.diameter_mm:
        problem = "the board is too short for a groove with both its stops"
        limit = f"at least {mm(2 * cutter.diameter_mm)}"
        raise CannotCut(Fault("groove", problem, value=mm(groove.stop_mm - groove.start_mm), limit=limit))
    left, right = (start, end) if stop == "left" else ((-end[0], end[1]), (-start[0], start[1]))
    left, right = max(left, (air.reach_mm[0], False)), min(right, (air.reach_mm[1], False))
    near, far = groove.edge_mm + radius, groove.edge_mm + groove.width_mm - radius
    levels = levels_of(groove.depth_mm, cutter)
    lines = [(near + far) / 2] if far - near <= _SAME_MM else even_steps(near, far, cutter.diameter_mm * OVERLAP, even=True)
    ends = (right, left)
    if right[1] and not left[1]:  # begin where there is air, if there is
        ends = (left, right)
    else:
        lines.reverse()
    if len(lines) == 1:
        lengths = [(lines[0], level) for level in levels]
    elif far - near <= THIN_MM:
        lengths = list(zip(islice(cycle(lines), len(levels) + 1), [*levels, levels[-1]], strict=True))
    else:
        lengths = [(line, level) for level in levels for line in lines]
    pen = DrawnCut(cutter, air)
    pen.over(ends[1][0], lines[0])
    pen.lower(0.0)
    for (to, _), (at, in_air), (line, level) in zip(cycle(ends), cycle(reversed(ends)), lengths):
        pen.to(at, line)
        if in_air:
            pen.height(level)
        else:
            _sink(pen, to, level)
        pen.to(to, line)
        if level == levels[-1]:
            pen.along([(to, end) for end in (lines[0], lines[-1]) if end != line])  # so that the end's wall is as smooth as the others
    pen.clear(*pen.at[:2], air.clearance_mm)
    words = "groove {:mm} wide, {:mm} deep in {} levels, entered on a ramp"
    return pen.cut(Told(words, (groove.width_mm, groove.depth_mm, str(len(levels)))))


def _sink(pen: DrawnCut, towards: float, level: float) -> None:
    """Go down to a level by a ramp along the groove and back, to where the ramp began."""
    x, y, z = pen.at
    if z - level < 1e-9:
        return
    reach = min((z - level) / 2 / RAMP, abs(towards - x))
    steep = (z - level) / 2 > reach * RAMP + 1e-9
    feed = pen.cutter.plunge_mm_min if steep else None
    pen.to(x + math.copysign(reach, towards - x), y, (z + level) / 2, feed)
    pen.to(x, y, level, feed)
