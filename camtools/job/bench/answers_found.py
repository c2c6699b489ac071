"""Makes answers of what was found with a job's boards and cutters."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import TypedDict

from camtools.job.bench.answers_form import BoardMark, CutterMark, GrooveAnswer, HalfBlindAnswer, ThroughAnswer
from camtools.job.job import Cutter, DrawerWish, Job

__all__ = ["Found", "answer_of"]


class _About(TypedDict):
    step: int | None
    date: datetime.date | None


@dataclass(frozen=True, slots=True)
class Found:
    """A clearance, or the play of a bottom, at which a joint fitted."""

    joint: str  # "half_blind", "through" or "groove"
    size_mm: float
    step: int | None = None  # of the trial, whose programs made it; None: it was measured in the wood
    date: datetime.date | None = None


def answer_of(found: Found, wish: DrawerWish, job: Job) -> HalfBlindAnswer | ThroughAnswer | GrooveAnswer:
    """Return the answer, with boards and cutters of a drawer."""
    size, about = round(found.size_mm, 4), _About(step=found.step, date=found.date)

    def board(name: str) -> BoardMark:
        return BoardMark(thickness=getattr(wish.stock, f"{name}_mm"), wood=wish.stock.wood_of(name))

    def cutter(number: int) -> CutterMark:
        return _mark(job.cutter(number), taken=found.step is not None)

    if found.joint == "groove":
        return GrooveAnswer(play=size, bottom=board("bottom"), straight=cutter(wish.groove.cutter), **about)
    side, dovetail = board("side"), cutter(wish.joint.dovetail)
    if found.joint == "half_blind":
        depth = round(wish.depths_mm[0], 4)
        straight = cutter(wish.joint.straight) if job.machine.flat_only else None
        return HalfBlindAnswer(clearance=size, depth=depth, front=board("front"), side=side, dovetail=dovetail, straight=straight, **about)
    return ThroughAnswer(clearance=size, side=side, back=board("back"), dovetail=dovetail, straight=cutter(wish.joint.straight), **about)


def _mark(cutter: Cutter, *, taken: bool) -> CutterMark:
    diameter, angle = cutter.mark
    as_taken = {"taken_diameter": cutter.diameter_mm, "taken_angle": cutter.angle_deg} if taken else {}
    return CutterMark(number=cutter.number, diameter=diameter, angle=angle, **as_taken)
