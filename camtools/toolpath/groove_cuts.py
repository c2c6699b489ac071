"""The bottom's groove: the board lies flat, a straight cutter goes down on a ramp along the groove itself.

In the machine frame the groove runs along X; ``Y`` is measured from the fence at the reference edge. The cutter runs to and
fro and sinks on every length by half of its depth per pass, so that no place is ever cut deeper than that setting.
"""

from __future__ import annotations

import math

from camtools.drawer.boards import Groove
from camtools.faults import CannotCut, Fault
from camtools.toolpath.drawn_cut import AIR_MM, OVERLAP, DrawnCut, even_steps
from camtools.toolpath.moves import Cut

__all__ = ["groove_cut"]

_STEEP_DEG = 3.0  # a ramp steeper than this is taken at the plunge feed
_SAME_MM = 0.005  # a cutter this near to the groove's width cuts it in one line


def groove_cut(groove: Groove, length_mm: float, stop: str, clearance_mm: float) -> Cut:
    """Cut one groove, stopped or run out at either end.

    Parameters
    ----------
    length_mm
        Of the board along the groove.
    stop
        "left" or "right": from which machine X is counted.
    clearance_mm
        Height of traverses above the board.

    Raises
    ------
    CannotCut
        If the cutter is wider than the groove, or the groove is too short for it.
    """
    cutter = groove.cutter
    radius = cutter.diameter_mm / 2
    if cutter.diameter_mm > groove.width_mm + _SAME_MM:
        raise CannotCut(
            Fault(
                "groove",
                "the straight cutter is wider than the groove",
                value=f"{cutter.diameter_mm:.4g} mm",
                limit=f"{groove.width_mm:.4g} mm",
                remedy="take a thinner straight cutter for the groove",
            )
        )
    start = -(radius + AIR_MM) if groove.start_mm < 0 else groove.start_mm + radius
    end = length_mm + radius + AIR_MM if groove.stop_mm > length_mm else groove.stop_mm - radius
    if end - start < cutter.diameter_mm:
        raise CannotCut(
            Fault(
                "groove",
                "the board is too short for a groove with both its stops",
                value=f"{groove.stop_mm - groove.start_mm:.1f} mm",
                limit=f"at least {2 * cutter.diameter_mm:.4g} mm",
                remedy="take a thinner cutter, or leave less wood before the stops",
            )
        )
    # Start at the end that runs out into air, if there is one.
    first, last = (end, start) if groove.stop_mm > length_mm else (start, end)
    sign = 1.0 if stop == "left" else -1.0
    first, last = sign * first, sign * last
    near, far = groove.edge_mm + radius, groove.edge_mm + groove.width_mm - radius
    pen = DrawnCut(cutter, clearance_mm)
    if far - near <= _SAME_MM:
        passes = _to_and_fro(pen, groove, first, last, (near + far) / 2)
    else:
        passes = _rounds(pen, groove, first, last, even_steps(near, far, cutter.diameter_mm * OVERLAP, even=True))
    pen.height(clearance_mm)  # at a feed, since it rises out of the wood
    return pen.cut(f"groove {groove.width_mm:.2f} mm wide, {groove.depth_mm:.4g} mm deep in {passes} passes, entered on a ramp")


def _ramp_feed(groove: Groove, drop_mm: float, length_mm: float) -> float:
    steep = drop_mm > abs(length_mm) * math.tan(math.radians(_STEEP_DEG))
    return groove.cutter.plunge_mm_min if steep else groove.cutter.feed_mm_min


def _to_and_fro(pen: DrawnCut, groove: Groove, first: float, last: float, line: float) -> int:
    """Sink along a single line, half a pass deeper on every length, and level it at the end."""
    count = math.ceil(2 * groove.depth_mm / groove.cutter.depth_per_pass_mm - 1e-9)
    drop = groove.depth_mm / count
    feed = _ramp_feed(groove, drop, last - first)
    ends = (first, last)
    pen.over(first, line)
    pen.height(0.0, groove.cutter.plunge_mm_min)
    for i in range(count):
        pen.to(ends[1 - i % 2], line, -drop * (i + 1), feed)
    pen.to(ends[(count + 1) % 2], line)
    return count + 1


def _rounds(pen: DrawnCut, groove: Groove, first: float, last: float, lines: list[float]) -> int:
    """Sink along the first of several lines and clear the others at the new level; go round the wall at the end."""
    count = math.ceil(groove.depth_mm / groove.cutter.depth_per_pass_mm - 1e-9)
    drop = groove.depth_mm / count
    feed = _ramp_feed(groove, drop, last - first)
    pen.over(first, lines[0])
    pen.height(0.0, groove.cutter.plunge_mm_min)
    for i in range(count):
        pen.to(last, lines[0], -drop * (i + 1), feed)
        for j, line in enumerate(lines[1:], 1):
            pen.to(pen.at[0], line)
            pen.to(first if j % 2 else last, line)
        pen.to(first, lines[0])
    for x, line in ((last, lines[0]), (last, lines[-1]), (first, lines[-1]), (first, lines[0])):
        pen.to(x, line)
    return count + 1
