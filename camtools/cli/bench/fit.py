"""``camtools fit``: keeps what the maker found at the bench, and tells where it holds."""

from __future__ import annotations

import datetime
import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, get_args

import click
from pydantic import BaseModel, ValidationError

from camtools.cli import show
from camtools.cli.plan import show_answers
from camtools.cli.reading_job import read_job_file, told_how_to_mend
from camtools.drawer.drawers import drawers_of
from camtools.drawer.feeds import HELPS, Lesson, safe_feeds_of, taught
from camtools.drawer.trial.trial_boards import slot_depths_mm
from camtools.faults import CannotCut, Fault, JobFault
from camtools.job.bench.answers import TAUGHT, alike_found, cutter_told
from camtools.job.bench.answers_form import CutterMark, MeasuredCutter, SettingAnswer, form_in
from camtools.job.bench.answers_found import Found, answer_of
from camtools.job.bench.answers_kept import Entry, entries_of, kept
from camtools.job.bench.companions import answers_file
from camtools.job.bench.measured_cutter import (
    CALIPER_MM,
    CutterAsIs,
    Likely,
    Slots,
    cutter_as_is,
    joint_within_mm,
    likely_of,
    sampled,
)
from camtools.job.job import AnswerUse, Cutter, Job
from camtools.job.lengths import parse_length
from camtools.job.tables import bytes_of, text_in
from camtools.output.folder import replace_file
from camtools.wording import counted, fine, listed

__all__ = ["command"]

_JOINTS = ("half_blind", "through", "groove")
_STEP_MM = 0.04  # of a trial that has a single one
_STEP = re.compile(r"[0-9]{1,2}")


@click.command()
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--half-blind", metavar="STEP|LENGTH", help="Step of the trial at which half-blind joints fit, or their clearance.")
@click.option("--through", metavar="STEP|LENGTH", help="The same for through joints.")
@click.option("--groove", metavar="STEP|LENGTH", help="Step of the trial at which the bottom fits, or play of the groove.")
@click.option(
    "--trial", metavar="PACKET", type=click.Path(path_type=Path), help="Folder of the trial that was cut, where JOB was changed since."
)
@click.option("--slots", multiple=True, nargs=2, metavar="CUTTER WIDTHS", help="Widths of slots that a cutter cut, as 5.24,10.84.")
@click.option("--slot-depths", metavar="DEPTHS", help="How deep those are, as 15,3.5. Left out: as in the trial.")
@click.option("--caliper", metavar="LENGTH", help="What widths were read to. Left out: 0.02 mm.")
@click.option("--burnt", metavar="CUTTER", multiple=True, help="Number of a cutter that burned the wood: it takes thicker chips.")
@click.option("--chattered", metavar="CUTTER", multiple=True, help="Number of one that chattered: it takes less, or turns slower.")
@click.option(
    "--torn",
    metavar="CUTTER",
    multiple=True,
    help="Number of one that tore an edge: a lighter pass goes first, or it is fed slower.",
)
@click.option("--drawer", metavar="NAME", help="Drawer whose boards it was found with, where those of others differ.")
@click.option("--date", "found_on", type=click.DateTime(["%Y-%m-%d"]), metavar="YYYY-MM-DD", help="When it was found.")
@click.option("--forget", multiple=True, metavar="NUMBER", help='Take an answer back, by its number; "all" for every one.')
@show.json_option
def command(
    job_file: Path, trial: Path | None, found_on: datetime.datetime | None, forget: tuple[str, ...], as_json: bool, **asked: Any
) -> None:
    """Keep what fitted at the bench, for JOB, and tell which answers there are and where they hold.

    Answers are kept beside JOB, in JOB.fit.toml, and used from then on by every command. They hold for boards and cutters like those
    that they were found with. A key of the job file goes before an answer. Without options, nothing is changed.

    A STEP is a whole number, counted from the tightest. A LENGTH, as measured in the wood, has a point or a unit: 0.08, "0.08 mm".

    What a trial cut taught, --burnt, --chattered or --torn, changes settings of that cutter by one step, within what is safe. Cut again
    with them, and answer again if need be: each answer goes on from the one before, and is taken back like any other.

    A cutter as it is follows from the widths of slots, each cut in a single pass: at their mouths, of a dovetail cutter at two depths
    or more. CUTTER is its number.
    """
    file = answers_file(job_file)
    text = text_in(bytes_of(file), str(file)) if file.exists() else ""
    there = entries_of(form_in(text, str(file)))
    given, measured = list[Entry](), list[_Measured]()
    gone = _numbers(forget, len(there))
    if any(asked.values()):  # a job that an answer made impossible is not read before that is taken back
        with told_how_to_mend(job_file):
            job, defaults = read_job_file(job_file)
        cut = job if trial is None else read_job_file(trial / "job.toml")[0]
        day = found_on.date() if found_on else None
        measured = list(_measured(job, cut, asked))
        given = [*_given(cut, asked, day, sure=trial is not None), *(("cutters", one.answer(day)) for one in measured)]
        given += [("settings", one) for one in _lessons(job, {default.key for default in defaults}, asked, day)]
    numbered = list(enumerate(there, 1))
    gone |= {number for number, (table, one) in numbered if any(table == kind and alike_found(new, one) for kind, new in given)}
    if given or gone:
        replace_file(file, kept(text, str(file), given, gone).encode())
        if not as_json:
            show.line(f"{file}: {counted(len(there) - len(gone) + len(given), 'answer')} kept.", "bold")
    with told_how_to_mend(job_file):
        job, _ = read_job_file(job_file)
        if given or gone:
            drawers_of(job)
    if as_json:
        show.data({"answers": str(file), "kept": [_told(use) for use in job.answers], "measured": [one.data for one in measured]})
        return
    for one in measured:
        for words in one.words(job):
            show.line(words)
    for lesson in dict.fromkeys(one.taught for _, one in given if isinstance(one, SettingAnswer)):
        show.line(f"What else helps where a cutter {TAUGHT[lesson]}: {HELPS[lesson]}.")
    if not job.answers:
        show.line("No answers are kept for this job.")
    show_answers(job)


def _lessons(job: Job, left: Collection[str], asked: Mapping[str, Any], day: datetime.date | None) -> Iterator[SettingAnswer]:
    """Yield what the trial cut taught of each cutter.

    Parameters
    ----------
    left
        Keys that the job file leaves to camtools.

    Raises
    ------
    CannotCut
        Where no setting has room left: with what else helps.
    """
    lessons: dict[str, Lesson] = {}
    for lesson in get_args(Lesson):
        for number in asked[lesson]:
            if number in lessons:
                told = f"one answer to cutter {number} at a time: cut again with it before the next"
                raise click.BadParameter(told, param_hint=f"--{lesson}")
            lessons[number] = lesson
    safe = safe_feeds_of(job, drawers_of(job)) if lessons else {}
    light_mm = max((wish.joint.light_pass_mm for wish in job.drawers), default=0.0)
    light_mm = light_mm if any(key.endswith("joints.light_pass") for key in left) else 0.0
    for number, lesson in lessons.items():
        own = next((one for one in safe.values() if str(one.cutter.number) == number), None)
        if own is None:
            told = f"no cutter {number} cuts anything here; there are {', '.join(map(str, safe))}"
            raise click.BadParameter(told, param_hint=f"--{lesson}")
        at = f"cutters[{job.cutters.index(own.cutter) + 1}]"
        written = [key for key in ("feed", "speed", "depth_per_pass") if f"{at}.{key}" not in left]
        settings = taught(lesson, own, job.machine, written, light_mm)
        if not settings:
            stays = f", and the job file itself says {listed(written, 'and')}, which stays" if written else ""
            problem = f"cutter {number} {_NO_MORE[lesson]}{stays}"
            raise CannotCut(Fault(at, problem, own.told, remedy=HELPS[lesson]))
        diameter, angle = own.cutter.mark
        mark = CutterMark(number=own.cutter.number, diameter=diameter, angle=angle)
        yield SettingAnswer(taught=lesson, cutter=mark, woods=list(job.woods_cut), date=day, **settings)


_NO_MORE = {
    "burnt": "takes chips as thick as is safe already",
    "chattered": "can take no less and turn no slower",
    "torn": "can be fed no slower, for its edges would rub, and the light pass is as light as it may be",
}


def _told(use: AnswerUse) -> dict[str, Any]:
    return {
        "number": use.number,
        "answer": use.words,
        "date": use.date and use.date.isoformat(),
        "key": use.key,
        "value": use.value or None,
        "not_used_because": use.why or None,
        "drawers": list(use.drawers),
    }


def _numbers(forget: Iterable[str], most: int) -> set[int]:
    """Return the numbers of answers that are to be taken back."""
    words = set(forget)
    if "all" in words:
        return set(range(1, most + 1))
    for word in words:
        if not _STEP.fullmatch(word) or not 1 <= int(word) <= most:
            there = f"1 to {most}, or all" if most else "nothing: no answers are kept"
            raise click.BadParameter(f"there is no answer {word}; what can be taken back: {there}", param_hint="--forget")
    return set(map(int, words))


@dataclass(frozen=True, slots=True)
class _Measured:
    """A cutter of the job, measured."""

    cutter: Cutter
    slots: Slots
    found: CutterAsIs
    likely: Likely

    def answer(self, day: datetime.date | None) -> MeasuredCutter:
        (diameter, angle), found = self.cutter.mark, self.found
        return MeasuredCutter(
            number=self.cutter.number,
            kind=self.cutter.kind,
            marked_diameter=diameter,
            marked_angle=angle,
            diameter=round(found.diameter_mm, 4),
            angle=round(found.angle_deg, 4),
            within=round(found.within_mm, 4),
            within_angle=round(found.within_deg, 4),
            date=day,
        )

    def words(self, job: Job) -> Iterator[str]:
        """Yield what was found, how sure it is, and whether that is good enough for the job's joints."""
        found, (often_mm, often_deg) = self.found, sampled(self.slots)
        lean = self.cutter.kind == "dovetail"

        def both(diameter_mm: float, angle_deg: float) -> str:
            return fine(diameter_mm) + (f" and {angle_deg:.2f}\N{DEGREE SIGN}" if lean else "")

        twice, most = both(2 * found.standard_mm, 2 * found.standard_deg), both(found.within_mm, found.within_deg)
        yield f"Cutter {self.cutter.number}: {both(found.diameter_mm, found.angle_deg)}; {self.likely.words}."
        yield (
            f"A caliper that reads to {fine(self.slots.caliper_mm)} leaves open to both sides: {twice} by twice the standard uncertainty; "
            f"{both(often_mm, often_deg)} in 95 draws of 100; {most} at the most."
        )
        if lean:
            left_mm = max(joint_within_mm(self.slots, wish.depths_mm[0]) for wish in job.drawers)
            steps = job.trial.clearances_mm
            step_mm = min((after - before for before, after in pairwise(steps)), default=_STEP_MM)
            good = left_mm <= step_mm / 2 + 1e-9
            enough = "" if good else "not "
            more = "" if good else ": read finer, or cut the slots further apart in depth"
            yield (
                f"The clearance of half-blind joints is then sure within {fine(left_mm)}, "
                f"{enough}good enough for steps of {fine(step_mm)}{more}."
            )

    @property
    def data(self) -> dict[str, Any]:
        often_mm, often_deg = sampled(self.slots)
        return {
            "cutter": self.cutter.number,
            "diameter_mm": self.found.diameter_mm,
            "angle_deg": self.found.angle_deg,
            "standard_mm": self.found.standard_mm,
            "standard_deg": self.found.standard_deg,
            "within_95_mm": often_mm,
            "within_95_deg": often_deg,
            "within_mm": self.found.within_mm,
            "within_deg": self.found.within_deg,
            "likely": self.likely.words,
        }


def _measured(job: Job, cut: Job, asked: Mapping[str, Any]) -> Iterator[_Measured]:
    """Yield every cutter whose slots were measured of the trial that was cut. Raises JobFault where it is another cutter."""
    caliper_mm = _length(asked["caliper"], job, "--caliper") if asked["caliper"] else CALIPER_MM
    by_number = {str(cutter.number): cutter for cutter in job.cutters}
    for number, words in asked["slots"]:
        if (cutter := by_number.get(number)) is None:
            raise click.BadParameter(f"there is no cutter {number}; there are {', '.join(by_number)}", param_hint="--slots")
        slots = _slots(words, cutter, job, _depths(cutter, cut, asked), caliper_mm)
        try:
            found = cutter_as_is(slots)
        except ValueError as fault:
            raise click.BadParameter(str(fault), param_hint="--slots") from None
        likely = likely_of(cutter.mark, found)
        if not likely.same:
            told = cutter_told(cutter.kind, (round(found.diameter_mm, 3), found.angle_deg))
            remedy = "measure again; if it is so, write what it is into the job file. Nothing was kept"
            place = f"cutters[{job.cutters.index(cutter) + 1}]"
            raise JobFault(Fault(place, likely.words, told, cutter_told(cutter.kind, cutter.mark), remedy))
        yield _Measured(cutter, slots, found, likely)


def _depths(cutter: Cutter, cut: Job, asked: Mapping[str, Any]) -> tuple[float, ...]:
    """Return how deep the slots of a dovetail cutter are: as told, or as the trial has them."""
    if asked["slot_depths"]:
        return tuple(_length(word.strip(), cut, "--slot-depths") for word in asked["slot_depths"].split(","))
    wishes = (wish for wish in cut.drawers if wish.joint.dovetail == cutter.number and asked["drawer"] in (None, wish.name))
    found = {slot_depths_mm(wish) for wish in wishes}
    if len(found) > 1:
        told = "slots are not as deep in all trial boards: name a drawer that those were for"
        raise click.BadParameter(told, param_hint="--drawer")
    return next(iter(found), ())


def _slots(words: str, cutter: Cutter, job: Job, depths_mm: tuple[float, ...], caliper_mm: float) -> Slots:
    """Return the slots of a cutter; how deep those of a straight one are does not matter."""
    widths = tuple(_length(word.strip(), job, "--slots") for word in words.split(","))
    if cutter.kind == "straight":
        return Slots((0.0,) * len(widths), widths, caliper_mm)
    if len(depths_mm) != len(widths) or len(depths_mm) < 2:
        told = f"cutter {cutter.number} needs two widths or more, and a depth for each; found {len(widths)} and {len(depths_mm)}"
        raise click.BadParameter(told, param_hint="--slots and --slot-depths")
    return Slots(depths_mm, widths, caliper_mm)


def _length(word: str, job: Job, option: str) -> float:
    try:
        return parse_length(float(word) if re.fullmatch(r"[0-9]*\.?[0-9]+", word) else word, job.units)
    except ValueError as fault:
        raise click.BadParameter(f"{word} can not be read: {fault}", param_hint=option) from None


def _given(job: Job, asked: Mapping[str, Any], found_on: datetime.date | None, *, sure: bool) -> Iterator[Entry]:
    """Yield the answers that were given.

    Parameters
    ----------
    job
        That the trial was cut for.
    sure
        Whether it surely is that: then it is known what its programs took the cutters for.
    """
    for joint in _JOINTS:
        if (word := asked[joint]) is not None:
            found = Found(joint, *_size(word, joint, job), date=found_on)
            yield joint, _for_drawers(found, job, asked["drawer"], sure=sure or found.step is None)


def _size(word: str, joint: str, job: Job) -> tuple[float, int | None]:
    """Return a clearance in mm, with its step of the trial where that is what was said."""
    option = f"--{joint.replace('_', '-')}"
    if _STEP.fullmatch(word):
        steps = job.trial.groove_plays_mm if joint == "groove" else job.trial.clearances_mm
        if not 1 <= int(word) <= len(steps):
            there = ", ".join(f"{place} for {fine(size)}" for place, size in enumerate(steps, 1))
            told = f"the trial has no step {word}, it has {there}; a length is written with a point or a unit"
            raise click.BadParameter(told, param_hint=option)
        return steps[int(word) - 1], int(word)
    return _length(word, job, option), None


def _for_drawers(found: Found, job: Job, name: str | None, *, sure: bool) -> BaseModel:
    """Return the answer with the boards and cutters of the drawer that is named, or of all drawers where they are alike."""
    wishes = [wish for wish in job.drawers if name in (None, wish.name)]
    if not wishes:
        names = ", ".join(wish.name for wish in job.drawers)
        raise click.BadParameter(f"there is no drawer {name}; there are {names}", param_hint="--drawer")
    try:
        answers = [answer_of(found, wish, job) for wish in wishes]
    except ValidationError as error:
        raise click.BadParameter(_problem(error), param_hint=f"--{found.joint.replace('_', '-')}") from None
    others = [wish.name for wish, answer in zip(wishes, answers, strict=True) if not alike_found(answers[0], answer)]
    if others:
        told = f"boards or cutters of {', '.join(others)} differ from those of {wishes[0].name}: name the drawer that it was found for"
        raise click.BadParameter(told, param_hint="--drawer")
    marks = (getattr(answers[0], name) for name in type(answers[0]).model_fields)
    if not sure and any(isinstance(mark, CutterMark) and job.cutter(mark.number).marked for mark in marks):
        told = "a cutter was measured: name the folder of the trial, so that it is known for which cutter its programs were made"
        raise click.BadParameter(told, param_hint="--trial")
    return answers[0]


def _problem(error: ValidationError) -> str:
    context = error.errors(include_url=False)[0].get("ctx", {})
    return "; ".join(str(context[key]) for key in ("problem", "found", "limit") if context.get(key)) or "it can not be kept"
