"""The file of a maker's answers as a form, ``JOB.fit.toml``: what fitted, and with which boards and cutters that was found.

Lengths are in mm, or strings with their unit, as in a job file.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from camtools.faults import Fault, JobFault
from camtools.job.form import Feed, Speed
from camtools.job.lines import lines_of
from camtools.job.quantities import Name, angle, length
from camtools.job.slips import fault_of, meant, path_of
from camtools.job.tables import content_of

__all__ = [
    "OUT_OF_TRUE_MM",
    "WORN_DEG",
    "WORN_MM",
    "AnswersForm",
    "BoardMark",
    "CutterMark",
    "GrooveAnswer",
    "HalfBlindAnswer",
    "MeasuredCutter",
    "SettingAnswer",
    "ThroughAnswer",
    "form_in",
]

# Beyond these it is no worn or resharpened cutter but another one.
WORN_MM = 0.7  # narrower
OUT_OF_TRUE_MM = 0.3  # wider: no cutter grows, and one further out of true than this is no cutter to work with
WORN_DEG = 1.0

Diameter = Annotated[float, length(1, 50)]
Angle = Annotated[float, angle(0, 45)]
Clearance = Annotated[float, length(0, 0.3)]
Place = Annotated[int, Field(ge=1, le=999)]


class _AnswerTable(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False, frozen=True)


class BoardMark(_AnswerTable):
    """A board that an answer was found with."""

    thickness: Annotated[float, length(2, 60)]
    wood: Annotated[str, Name()]


class CutterMark(_AnswerTable):
    """A cutter that an answer was found with: as the job file has it, and as the programs of the trial took it.

    Nothing is said of the latter where the clearance was measured in the wood: then it stays so whatever they took it for.
    """

    number: Place
    diameter: Diameter
    angle: Angle = 0.0
    taken_diameter: Diameter | None = None
    taken_angle: Angle | None = None

    @property
    def taken(self) -> tuple[float, float] | None:
        """Diameter in mm and angle in degrees that the programs took it for; None where that does not matter."""
        if self.taken_diameter is None:
            return None
        return self.taken_diameter, self.angle if self.taken_angle is None else self.taken_angle


class _Found(_AnswerTable):
    step: Annotated[int, Field(ge=1, le=99)] | None = None  # of the trial
    date: datetime.date | None = None


class HalfBlindAnswer(_Found):
    """The clearance at which half-blind joints fitted."""

    clearance: Clearance
    depth: Annotated[float, length(1, 60)]  # of the sockets
    front: BoardMark
    side: BoardMark
    dovetail: CutterMark
    straight: CutterMark | None = None  # that cut the tails, where boards lay flat


class ThroughAnswer(_Found):
    """The clearance at which through joints fitted."""

    clearance: Clearance
    side: BoardMark
    back: BoardMark
    dovetail: CutterMark
    straight: CutterMark


class GrooveAnswer(_Found):
    """How much wider than the bottom a groove fitted."""

    play: Annotated[float, length(0, 2)]
    bottom: BoardMark
    straight: CutterMark


class MeasuredCutter(_AnswerTable):
    """A cutter as it is, by the slots it cut, in place of what is marked on it; and how far that may be off, 95 times of 100."""

    number: Place
    kind: Literal["dovetail", "straight"]
    marked_diameter: Diameter
    marked_angle: Angle = 0.0
    diameter: Diameter
    angle: Angle = 0.0
    within: Annotated[float, length(0, 5)]
    within_angle: Angle = 0.0
    date: datetime.date | None = None


class SettingAnswer(_AnswerTable):
    """What a cutter is set to since a trial cut taught something, in these woods."""

    taught: Literal["burnt", "chattered", "torn"]
    cutter: CutterMark
    woods: list[Annotated[str, Name()]]  # of all that cutters meet, in the order of the alphabet
    feed: Feed | None = None
    speed: Speed | None = None
    depth_per_pass: Annotated[float, length(0.1, 50)] | None = None
    light_pass: Annotated[float, length(0, 3)] | None = None
    date: datetime.date | None = None


class AnswersForm(_AnswerTable):
    """``JOB.fit.toml``. Of answers that hold for one drawer the last one counts."""

    half_blind: list[HalfBlindAnswer] = []
    through: list[ThroughAnswer] = []
    groove: list[GrooveAnswer] = []
    cutters: list[MeasuredCutter] = []
    settings: list[SettingAnswer] = []


def form_in(text: str, where: str) -> AnswersForm:
    """Read the text of a file of answers.

    Raises
    ------
    JobFault
        With every fault, its line and key.
    """
    content = content_of(text, where)
    try:
        form = AnswersForm.model_validate(content, context={"units": "mm"})
    except ValidationError as error:
        lines = lines_of(text)
        raise JobFault(*(_fault(one, where, lines) for one in error.errors(include_url=False))) from None
    for place, cutter in enumerate(form.cutters):
        wider, off_deg = cutter.diameter - cutter.marked_diameter, abs(cutter.angle - cutter.marked_angle)
        sure = cutter.within + 1e-6
        if not -WORN_MM - sure <= wider <= OUT_OF_TRUE_MM + sure or off_deg > WORN_DEG + cutter.within_angle + 1e-6:
            at = f"{where}, line {lines_of(text)['cutters', place]}: cutters[{place + 1}]"
            raise JobFault(
                Fault(at, "is another cutter than the marked one", remedy="measure again, or write what it is into the job file")
            )
    numbers = [cutter.number for cutter in form.cutters]
    if twice := sorted({number for number in numbers if numbers.count(number) > 1}):
        raise JobFault(Fault(where, "a cutter stands here twice", str(twice[0]), "once each", "take out the older one"))
    return form


def _fault(error: Any, where: str, lines: Mapping[tuple[str | int, ...], int]) -> Fault:
    place = tuple(error["loc"])
    line = next((lines[place[:depth]] for depth in range(len(place), 0, -1) if place[:depth] in lines), 1)
    at = f"{where}, line {line}: {path_of(place)}"
    if error["type"] == "extra_forbidden":
        known = list(_form_at(place[:-1]).model_fields)
        remedy = meant(str(place[-1]), known) or "take it out"
        return Fault(at, "there is no such key", limit=f"known here: {', '.join(known)}", remedy=remedy)
    if error["type"] == "missing":
        return Fault(at, "is missing", remedy="write it, or take the whole answer out of the file")
    fault = fault_of(error)
    if error["type"] == "list_type" and len(place) == 1:
        return Fault(at, fault.problem, fault.value, remedy=f"begin each of its answers with [[{place[0]}]]")
    return Fault(at, fault.problem, fault.value, fault.limit, "mend it, or take the whole answer out of the file")


def _form_at(place: tuple[int | str, ...]) -> type[BaseModel]:
    """Return the form of the table at a place that there is."""
    form: Any = AnswersForm
    for step in place:
        if isinstance(step, str):
            kind = form.model_fields[step].annotation
            form = next(one for one in (kind, *getattr(kind, "__args__", ())) if hasattr(one, "model_fields"))
    return form  # type: ignore[no-any-return]
