"""Answers of the maker: what fitted when trial joints were pushed together, with which wood and cutters, and where that holds."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from camtools.faults import Fault, JobFault
from camtools.job.job import Cutter, DrawerWish
from camtools.job.lines import lines_of
from camtools.job.quantities import Name, length
from camtools.job.slips import fault_of, meant, path_of
from camtools.job.tables import content_of
from camtools.wording import mm

__all__ = ["SAME_DIAMETER_MM", "SAME_THICKNESS_MM", "Answered", "Answers", "AnswersForm", "answers_in"]

# Beyond these it is another board or another cutter: common practice, no source.
SAME_THICKNESS_MM = 0.5  # planed boards of one job differ by tenths
SAME_DIAMETER_MM = 0.005


@dataclass(frozen=True, slots=True)
class Answered:
    """A value that an answer sets, and why."""

    value: float
    reason: str


class _AnswerTable(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False, frozen=True)


class BoardMark(_AnswerTable):
    """A board that an answer was found with."""

    thickness: Annotated[float, length(2, 60)]
    wood: Annotated[str, Name()]


class GrooveAnswer(_AnswerTable):
    """How much wider than the bottom a groove must be."""

    play: Annotated[float, length(0, 2)]
    bottom: BoardMark
    cutter: Annotated[float, length(1, 50)]  # diameter of the straight cutter as its programs took it
    step: Annotated[int, Field(ge=1, le=99)] | None = None  # of the trial
    date: datetime.date | None = None


class AnswersForm(_AnswerTable):
    """``JOB.fit.toml``."""

    groove: GrooveAnswer | None = None


@dataclass(frozen=True, slots=True)
class Answers:
    """What is kept of a job's answers."""

    form: AnswersForm = field(default_factory=AnswersForm)
    where: str = ""  # the file, as faults and reasons call it

    def settle(self, wish: DrawerWish, cutters: Iterable[Cutter]) -> tuple[dict[str, Answered], dict[str, str]]:
        """Return what the answers set for a drawer, by the job's keys, and why others do not hold for it.

        Parameters
        ----------
        wish
            The drawer without them.
        """
        used: dict[str, Answered] = {}
        lapsed: dict[str, str] = {}
        by_number = {cutter.number: cutter for cutter in cutters}
        if (groove := self.form.groove) is not None:
            why = _other_board("bottom", groove.bottom, wish.stock.bottom_mm, wish.stock.wood_of("bottom"))
            why = why or _other_diameter(groove.cutter, by_number.get(wish.groove.cutter))
            if why:
                lapsed["groove.play"] = why
            else:
                used["groove.play"] = Answered(groove.play, f"your answer in {self.where}")
        return used, lapsed


def _other_board(name: str, mark: BoardMark, thickness_mm: float, wood: str) -> str:
    """Say in what a board differs from that of an answer; nothing where it is the same."""
    if wood != mark.wood:
        return f"the {name} is {wood}, the answer was found with {mark.wood}"
    if not abs(thickness_mm - mark.thickness) <= SAME_THICKNESS_MM + 1e-9:
        return f"the {name} is {mm(thickness_mm)} thick, the answer was found with {mm(mark.thickness)}"
    return ""


def _other_diameter(diameter_mm: float, cutter: Cutter | None) -> str:
    if cutter is None or abs(cutter.diameter_mm - diameter_mm) <= SAME_DIAMETER_MM:
        return ""
    return f"cutter {cutter.number} has {mm(cutter.diameter_mm)}, the answer was found with {mm(diameter_mm)}"


def answers_in(text: str, where: str) -> Answers:
    """Read the text of a file of answers.

    Raises
    ------
    JobFault
        With every fault, its line and key.
    """
    content = content_of(text, where)
    try:
        return Answers(AnswersForm.model_validate(content, context={"units": "mm"}), where)
    except ValidationError as error:
        lines = lines_of(text)
        raise JobFault(*(_fault(one, where, lines) for one in error.errors(include_url=False))) from None


def _fault(error: Any, where: str, lines: Mapping[tuple[str | int, ...], int]) -> Fault:
    place = tuple(error["loc"])
    line = next((lines[place[:depth]] for depth in range(len(place), 0, -1) if place[:depth] in lines), 1)
    at = f"{where}, line {line}: {path_of(place)}"
    if error["type"] == "extra_forbidden":
        form: Any = AnswersForm
        for step in place[:-1]:
            form = form.model_fields[step].annotation
            form = next(kind for kind in (form, *getattr(form, "__args__", ())) if hasattr(kind, "model_fields"))
        known = list(form.model_fields)
        remedy = meant(str(place[-1]), known) or "take it out"
        return Fault(at, "there is no such key", limit=f"known here: {', '.join(known)}", remedy=remedy)
    if error["type"] == "missing":
        return Fault(at, "is missing", remedy="write it, or give the answer anew with `camtools fit`")
    fault = fault_of(error)
    return Fault(at, fault.problem, fault.value, fault.limit, "mend it, or take the answer back with `camtools fit --forget`")
