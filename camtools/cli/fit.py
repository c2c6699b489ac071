"""``camtools fit``: keeps what the maker found at the bench, and tells where it holds."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

import click
from pydantic import BaseModel, ValidationError

from camtools.cli import show
from camtools.cli.plan import show_answers
from camtools.cli.reading_job import read_job_file, told_how_to_mend
from camtools.drawer.drawers import drawers_of
from camtools.job.bench.answers import alike_found
from camtools.job.bench.answers_form import CutterMark, form_in
from camtools.job.bench.answers_found import Found, answer_of
from camtools.job.bench.answers_kept import Entry, entries_of, kept
from camtools.job.bench.companions import answers_file
from camtools.job.job import AnswerUse, Job
from camtools.job.lengths import parse_length
from camtools.job.tables import bytes_of, text_in
from camtools.output.folder import replace_file
from camtools.wording import counted, fine

__all__ = ["command"]

_JOINTS = ("half_blind", "through", "groove")
_STEP = re.compile(r"[0-9]{1,2}")


@click.command()
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--half-blind", metavar="STEP|LENGTH", help="Step of the trial at which half-blind joints fit, or their clearance.")
@click.option("--through", metavar="STEP|LENGTH", help="The same for through joints.")
@click.option("--groove", metavar="STEP|LENGTH", help="Step of the trial at which the bottom fits, or play of the groove.")
@click.option(
    "--trial", metavar="PACKET", type=click.Path(path_type=Path), help="Folder of the trial that was cut, where JOB was changed since."
)
@click.option("--drawer", metavar="NAME", help="Drawer whose boards it was found with, where those of others differ.")
@click.option("--date", "found_on", type=click.DateTime(["%Y-%m-%d"]), metavar="YYYY-MM-DD", help="When it was found.")
@click.option("--forget", multiple=True, metavar="NUMBER", help='Take an answer back, by its number; "all" for every one.')
@show.json_option
def command(
    job_file: Path, trial: Path | None, found_on: datetime.datetime | None, forget: tuple[str, ...], as_json: bool, **asked: str | None
) -> None:
    """Keep what fitted at the bench, for JOB, and tell which answers there are and where they hold.

    Answers are kept beside JOB, in JOB.fit.toml, and used from then on by every command. They hold for boards and cutters like those
    that they were found with. A key of the job file goes before an answer. Without options, nothing is changed.

    A STEP is a whole number, counted from the tightest. A LENGTH, as measured in the wood, has a point or a unit: 0.08, "0.08 mm".
    """
    with told_how_to_mend(job_file):
        job, _ = read_job_file(job_file)
    file = answers_file(job_file)
    text = text_in(bytes_of(file), str(file)) if file.exists() else ""
    there = entries_of(form_in(text, str(file)))
    cut = job if trial is None else read_job_file(trial / "job.toml")[0]
    given = list(_given(cut, asked, found_on.date() if found_on else None, sure=trial is not None))
    numbered = list(enumerate(there, 1))
    gone = _numbers(forget, len(there))
    gone |= {number for number, (table, one) in numbered if any(table == kind and alike_found(new, one) for kind, new in given)}
    if given or gone:
        replace_file(file, kept(text, str(file), given, gone).encode())
        with told_how_to_mend(job_file):
            job, _ = read_job_file(job_file)
            drawers_of(job)
    if as_json:
        show.data({"answers": str(file), "kept": [_told(use) for use in job.answers]})
        return
    if given or gone:
        show.line(f"{file}: {counted(len(there) - len(gone) + len(given), 'answer')} kept.", "bold")
    if not job.answers:
        show.line("No answers are kept for this job.")
    show_answers(job)


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


def _given(job: Job, asked: Mapping[str, str | None], found_on: datetime.date | None, *, sure: bool) -> Iterator[Entry]:
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
    try:
        return parse_length(float(word) if re.fullmatch(r"[0-9]*\.[0-9]+", word) else word, job.units), None
    except ValueError as fault:
        raise click.BadParameter(f"{word} can not be read: {fault}", param_hint=option) from None


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
