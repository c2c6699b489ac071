"""Answers of the maker: where each holds, and what it sets there. This is the one place where they change a job.

What fitted was found with programs that took the cutters for something. Where programs take them for something else now, since
they were measured, the clearance changes with it, so that what comes out of the wood stays the same: docs/joinery.md section 13.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from pydantic import BaseModel

from camtools.job.bench.answers_form import (
    AnswersForm,
    BoardMark,
    CutterMark,
    GrooveAnswer,
    HalfBlindAnswer,
    MeasuredCutter,
    SettingAnswer,
    ThroughAnswer,
    form_in,
)
from camtools.job.bench.answers_kept import entries_of
from camtools.job.form import CutterForm
from camtools.job.job import AnswerUse, Cutter, DrawerWish
from camtools.wording import fine, listed, mm, quantity

__all__ = [
    "SAME_ANGLE_DEG",
    "SAME_DIAMETER_MM",
    "SAME_THICKNESS_MM",
    "TAUGHT",
    "Answers",
    "Settled",
    "alike_found",
    "answers_in",
    "cutter_told",
    "shared_uses",
]

# Beyond these it is another board, or another cutter.
SAME_THICKNESS_MM = 0.5
SAME_DIAMETER_MM = 0.005
SAME_ANGLE_DEG = 0.005

Shape = tuple[float, float]  # of a cutter: diameter in mm, angle in degrees


@dataclass(frozen=True, slots=True)
class Settled:
    """What an answer sets in a drawer, None where it does not hold; and what is to be told of it."""

    key: str  # of the job file
    value: float | None
    use: AnswerUse
    changed: bool = False  # since programs take the cutters for something else than when it was found

    def lapsed(self, why: str) -> Settled:
        """Return it as not used."""
        return Settled(self.key, None, replace(self.use, value="", why=why))


@dataclass(frozen=True, slots=True)
class Answers:
    """What is kept of a job's answers."""

    form: AnswersForm = field(default_factory=AnswersForm)
    where: str = ""  # the file's name

    def measured(self, cutters: Sequence[Cutter]) -> tuple[tuple[Cutter, ...], tuple[AnswerUse, ...]]:
        """Return cutters as they are, where they were measured, and what is to be told of that."""
        by_number = {cutter.number: cutter for cutter in cutters}
        measured, uses = dict[int, Cutter](), []
        for found in self.form.cutters:
            use, cutter = _measured(found, by_number.get(found.number))
            uses.append(replace(use, number=self._number(found)))
            if cutter is not None:
                measured[found.number] = cutter
        return tuple(measured.get(cutter.number, cutter) for cutter in cutters), tuple(uses)

    def _number(self, answer: BaseModel) -> int:
        return next(place for place, (_, one) in enumerate(entries_of(self.form), 1) if one is answer)

    def for_settings(
        self, at: str, number: int, written: CutterForm, woods: Collection[str], machine: tuple[float, float, float]
    ) -> Iterator[Settled]:
        """Yield what every answer on settings sets of a cutter, where it holds: each goes on from that before, so the last one counts.

        Parameters
        ----------
        at, number, written
            The cutter's table in the job file, its number, and what is written there, which goes before.
        woods
            That cutters meet.
        machine
            Slowest and fastest speed of the spindle in rpm, and largest feed in mm/min.
        """
        slowest, fastest, most_feed = machine
        own = [answer for answer in reversed(self.form.settings) if answer.cutter.number == number]
        mark = (written.diameter, written.angle or 0.0)
        for key, unit, low, high in (
            ("feed", "mm/min", 0.0, most_feed),
            ("speed", "rpm", slowest, min(fastest, written.max_speed or fastest)),
            ("depth_per_pass", "mm", 0.0, written.cutting_length),
        ):
            said, last = getattr(written, key) is not None, False
            for answer in own:
                if (value := getattr(answer, key)) is None:
                    continue
                told = quantity(value, unit)
                why = _other_settings(answer, number, mark, woods)
                why = why or ("the job file itself says it, which goes before" if said else "")
                why = why or ("" if low <= value <= high else f"{told} is beyond what cutter and machine allow")
                why = why or ("a later answer goes on from it" if last else "")
                use = AnswerUse(f"{at}.{key}", f"cutter {number} {TAUGHT[answer.taught]}", answer.date, number=self._number(answer))
                last = last or not why
                yield Settled(use.key, None if why else value, replace(use, value="" if why else told, why=why))

    def of_no_cutter(self, numbers: Collection[int]) -> tuple[AnswerUse, ...]:
        """Return what is to be told of answers on settings of cutters that the job file does not have."""
        why = "the job file has no such cutter"
        return tuple(
            AnswerUse("cutters", f"cutter {one.cutter.number} {TAUGHT[one.taught]}", one.date, why=why, number=self._number(one))
            for one in self.form.settings
            if one.cutter.number not in numbers
        )

    def for_drawer(self, wish: DrawerWish, cutters: Sequence[Cutter], *, flat: bool = False) -> Iterator[Settled]:
        """Yield every answer to a joint, with what it sets in a drawer, where it holds for it.

        Parameters
        ----------
        wish
            The drawer without them.
        cutters
            Of the job, as they are.
        flat
            Whether every board lies flat for every joint: then one cutter makes tails and another one sockets.
        """
        by_number = {cutter.number: cutter for cutter in cutters}
        own = {name: by_number.get(getattr(wish.joint, name)) for name in ("dovetail", "straight")}
        groover = {"straight": by_number.get(wish.groove.cutter)}
        for key, answers, used in (
            ("joints.clearance", self.form.half_blind, own),
            ("joints.through_clearance", self.form.through, own),
            ("groove.play", self.form.groove, groover),
        ):
            settled = [_settled(key, answer, self._number(answer), wish, used) for answer in answers]
            if flat and key != "groove.play":
                why = "it was found with programs for another cutter, and boards lie flat: cut the trial anew"
                settled = [one.lapsed(why) if one.changed else one for one in settled]
            last = next((one for one in reversed(settled) if one.value is not None), None)
            yield from (one if one is last or one.value is None else one.lapsed("a later answer holds too") for one in settled)
        yield from self._light_passes(wish, cutters)

    def _light_passes(self, wish: DrawerWish, cutters: Sequence[Cutter]) -> Iterator[Settled]:
        marks = {cutter.number: cutter.mark for cutter in cutters}
        woods, last = [wish.stock.wood_of(role) for role in ("front", "left side", "back")], False
        for answer in reversed(self.form.settings):
            if answer.light_pass is None or answer.cutter.number not in marks:
                continue
            number = answer.cutter.number
            why = _other_settings(answer, number, marks[number], woods) or ("a later answer goes on from it" if last else "")
            last = last or not why
            told = f"cutter {number} {TAUGHT[answer.taught]}"
            use = AnswerUse("joints.light_pass", told, answer.date, "" if why else mm(answer.light_pass), why, number=self._number(answer))
            yield Settled(use.key, None if why else answer.light_pass, use)


def _other_settings(answer: SettingAnswer, number: int, mark: Shape, woods: Collection[str]) -> str:
    """Say why settings of a cutter do not hold; nothing where they do."""
    was = (answer.cutter.diameter, answer.cutter.angle)
    if answer.cutter.number != number or not _alike(was, mark):
        now, then = (cutter_told("dovetail" if shape[1] else "straight", shape) for shape in (mark, was))
        return f"cutter {number} is {now}, the answer was found with {then}"
    if not set(woods) <= set(answer.woods):
        return f"the wood is {listed(sorted(woods), 'and')}, the answer was found with {listed(answer.woods, 'and')}"
    return ""


def alike_found(one: BaseModel, other: BaseModel) -> bool:
    """Tell whether two answers of a kind were found with boards and cutters for which one answer holds: the later one is enough."""
    for name in type(one).model_fields:
        match getattr(one, name), getattr(other, name):
            case BoardMark() as board, BoardMark() as last:
                if _other_board(name, last, board.thickness, board.wood):
                    return False
            case CutterMark() as mark, CutterMark() as last:
                if mark.number != last.number or not _alike((mark.diameter, mark.angle), (last.diameter, last.angle)):
                    return False
    if isinstance(one, SettingAnswer):
        return False  # each goes on from the one before
    return not isinstance(one, MeasuredCutter) or one.number == getattr(other, "number", None)


def _measured(found: MeasuredCutter, cutter: Cutter | None) -> tuple[AnswerUse, Cutter | None]:
    """Return what is to be told of a cutter that was measured, and the job's cutter as it is, None where it is another one."""
    marked = (found.marked_diameter, found.marked_angle)
    use = AnswerUse("cutters", f"cutter {found.number}, marked {cutter_told(found.kind, marked)}, is measured", found.date)
    if cutter is None:
        return replace(use, why="the job file has no such cutter"), None
    here = (cutter.diameter_mm, cutter.angle_deg)
    if found.kind != cutter.kind or not _alike(marked, here):
        return replace(use, why=f"in the job file it is a {cutter.kind} cutter, {cutter_told(cutter.kind, here)}"), None
    value = cutter_told(found.kind, (found.diameter, found.angle))
    return replace(use, value=value), replace(cutter, diameter_mm=found.diameter, angle_deg=found.angle, marked=here)


def shared_uses(by_drawer: Mapping[str, Sequence[AnswerUse]]) -> tuple[AnswerUse, ...]:
    """Tell what became of an answer once for all drawers for which it is the same; for all of them without their names."""
    owners: dict[AnswerUse, list[str]] = {}
    for drawer, uses in by_drawer.items():
        for use in uses:
            owners.setdefault(use, []).append(drawer)
    return tuple(replace(use, drawers=() if len(names) == len(by_drawer) else tuple(names)) for use, names in owners.items())


def answers_in(text: str, where: str, name: str) -> Answers:
    """Read the text of a file of answers, which faults call ``where``. Raises JobFault with every fault."""
    return Answers(form_in(text, where), name)


def cutter_told(kind: str, shape: Shape) -> str:
    """Return a cutter's shape in words."""
    return mm(shape[0]) if kind == "straight" else f"{mm(shape[0])}, {shape[1]:.4g}\N{DEGREE SIGN}"


TAUGHT: Mapping[str, str] = {"burnt": "burned", "chattered": "chattered", "torn": "tore the wood"}
_NAMES = {
    "joints.light_pass": "light passes",
    "joints.clearance": "half-blind joints",
    "joints.through_clearance": "through joints",
    "groove.play": "bottoms in their grooves",
}


def _settled(
    key: str, answer: HalfBlindAnswer | ThroughAnswer | GrooveAnswer, number: int, wish: DrawerWish, cutters: Mapping[str, Cutter | None]
) -> Settled:
    found_mm = answer.play if isinstance(answer, GrooveAnswer) else answer.clearance
    step = f", step {answer.step} of the trial" if answer.step is not None else ""
    settled = Settled(key, None, AnswerUse(key, f"{_NAMES[key]} fit with {fine(found_mm)}{step}", answer.date, number=number))
    marks = {name: mark for name in type(answer).model_fields if isinstance(mark := getattr(answer, name), CutterMark)}
    boards = {name: mark for name in type(answer).model_fields if isinstance(mark := getattr(answer, name), BoardMark)}
    for name, board in boards.items():
        if why := _other_board(name, board, getattr(wish.stock, f"{name}_mm"), wish.stock.wood_of(name)):
            return settled.lapsed(why)
    now: dict[str, Shape] = {}
    for name, mark in marks.items():
        cutter = cutters[name]
        if cutter is None or cutter.number != mark.number or not _alike(cutter.mark, (mark.diameter, mark.angle)):
            return settled.lapsed(_other_cutter(mark, name, cutter))
        now[name] = (cutter.diameter_mm, cutter.angle_deg)
    value_mm = round(found_mm + _change_mm(answer, now), 4)
    if value_mm < 0:
        return settled.lapsed(f"with the cutters as measured that is an overlap of {fine(-value_mm)}: cut the trial anew")
    other = f", which is {fine(value_mm)} for cutters as measured" if abs(value_mm - found_mm) > 5e-5 else ""
    changed = any(mark.taken not in (None, now[name]) for name, mark in marks.items())
    return Settled(key, value_mm, replace(settled.use, words=settled.use.words + other, value=fine(value_mm)), changed)


def _change_mm(answer: HalfBlindAnswer | ThroughAnswer | GrooveAnswer, now: Mapping[str, Shape]) -> float:
    """Return by how much a clearance changes with what the programs take the cutters for, if the wood is to stay the same."""

    def grown(mark: CutterMark, name: str) -> tuple[float, float]:
        """By how much a cutter is taken for wider, and its flank for leaning less, than when the answer was found."""
        diameter, angle = now[name]
        was, lean = mark.taken or now[name]
        return diameter - was, math.tan(math.radians(lean)) - math.tan(math.radians(angle))

    match answer:
        case HalfBlindAnswer():
            wider, steeper = grown(answer.dovetail, "dovetail")
            return wider + answer.depth * steeper
        case ThroughAnswer():
            wider, steeper = grown(answer.dovetail, "dovetail")
            straight, _ = grown(answer.straight, "straight")
            leaning = math.cos(math.radians((answer.dovetail.taken or now["dovetail"])[1]))
            return wider / 2 + straight / (2 * leaning) + min(0.0, answer.back.thickness * steeper)
        case _:
            return grown(answer.straight, "straight")[0]


def _alike(one: Shape, other: Shape) -> bool:
    return abs(one[0] - other[0]) <= SAME_DIAMETER_MM + 1e-9 and abs(one[1] - other[1]) <= SAME_ANGLE_DEG + 1e-9


def _other_board(name: str, mark: BoardMark, thickness_mm: float, wood: str) -> str:
    """Say in what a board differs from that of an answer; nothing where it is the same."""
    if wood != mark.wood:
        return f"the {name} is {wood}, the answer was found with {mark.wood}"
    if not abs(thickness_mm - mark.thickness) <= SAME_THICKNESS_MM + 1e-9:
        return f"the {name} is {mm(thickness_mm)} thick, the answer was found with {mm(mark.thickness)}"
    return ""


def _other_cutter(mark: CutterMark, kind: str, cutter: Cutter | None) -> str:
    found = f"the answer was found with cutter {mark.number}, {cutter_told(kind, (mark.diameter, mark.angle))}"
    here = f"cutter {cutter.number}, {cutter_told(cutter.kind, cutter.mark)}, cuts it" if cutter else "no cutter cuts it"
    return f"{here}; {found}"
