"""Slots in the end of a trial front, each as wide as its cutter makes it in a single line, to be measured with calipers."""

from __future__ import annotations

from collections.abc import Sequence

from camtools.drawer.boards import Slot
from camtools.toolpath.drawn_cut import AIR_MM, CLOSE_MM, DrawnCut, levels_of
from camtools.toolpath.moves import Air, Cut
from camtools.wording import Told, listed

__all__ = ["slots_cut"]


def slots_cut(slots: Sequence[Slot], stop: str, air: Air) -> Cut | None:
    """Cut the slots of one cutter: in along a line from beyond the end, and out again along it; None where this setting has none."""
    cutter, sign = slots[0].cutter, 1.0 if stop == "left" else -1.0
    slots = [slot for slot in slots if air.takes(sign * slot.middle_mm)]
    if not slots:
        return None
    near, close = cutter.diameter_mm / 2 + AIR_MM, cutter.diameter_mm / 2 + CLOSE_MM
    pen = DrawnCut(cutter, air)
    pen.over(sign * slots[0].middle_mm, near)
    for slot in slots:
        x = sign * slot.middle_mm
        for level in [-slot.depth_mm] if cutter.kind == "dovetail" else levels_of(slot.depth_mm, cutter):
            pen.clear(x, near)
            pen.clear(x, near, level)
            pen.clear(x, close)
            pen.to(x, -slot.length_mm)
            pen.to(x, near)
    depths = [slot.depth_mm for slot in slots]
    return pen.cut(Told("slots to be measured, in one line each, " + listed(["{:mm} deep"] * len(depths), "and"), tuple(depths)))
