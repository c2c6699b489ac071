"""Reads a job file: TOML, then the form, then what is left out, then limits; a valid job comes out, or every fault at once."""

from __future__ import annotations

import copy
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from camtools.faults import CannotCut, Fault, JobFault, SheetFault, merged, named_drawers, refusal
from camtools.job.bench.answers import shared_uses
from camtools.job.bench.board_sheet import one_by_one, with_boards
from camtools.job.bench.companions import Bench, bench_beside
from camtools.job.blanks import Default, shared
from camtools.job.cutter_defaults import cutters_of, machine_of, template_wish_of, trial_wish_of
from camtools.job.cutter_limits import faults_of_cutters, faults_of_machine, faults_of_templates, faults_of_trial
from camtools.job.drawer_defaults import drawer_of
from camtools.job.drawer_limits import faults_of_drawers
from camtools.job.form import JobForm
from camtools.job.job import Job
from camtools.job.lines import lines_of
from camtools.job.slips import fault_of, steps_of, strike
from camtools.job.tables import bytes_of, content_of, text_in
from camtools.wording import told_in

__all__ = ["content_with", "job_of", "parse_job", "placed", "read_job", "text_of", "units_of"]

Lines = Mapping[tuple[str | int, ...], int]
"""Lines of a file by place."""

_JUDGED, _TOLD = 1000, 100  # faults of the form that are looked into, and of all that are told


def read_job(
    path: Path | str,
    *,
    styles: Collection[str] = (),
    postprocessors: Collection[str] = (),
    templates: Mapping[str, Any] | None = None,
    boards: bool = True,
) -> tuple[Job, tuple[Default, ...]]:
    """Read a job file.

    Parameters
    ----------
    styles
        Names of the layout styles there are; none: any word may stand.
    postprocessors
        Names of the dialects that are shipped; none: any word may stand. A path may stand in any case.
    templates
        Keys and values that go before those of the table ``templates``, as they would stand there; None: the file has the word
        whether there are templates at all.
    boards
        Whether the sheet of boards as measured is read that the file names; otherwise all are as planned.

    Returns
    -------
    tuple
        The job, and every value that the file left to camtools.

    Raises
    ------
    JobFault
        With everything that is wrong with the file.
    """
    where, source = str(path), bytes_of(path)
    text = text_in(source, where)
    content = content_of(text, where)
    bench = bench_beside(Path(path), content if boards else {key: value for key, value in content.items() if key != "boards"})
    job, defaults = parse_job(text, where, styles=styles, postprocessors=postprocessors, templates=templates, bench=bench)
    return replace(job, source=source), defaults


def parse_job(
    text: str,
    where: str,
    *,
    styles: Collection[str] = (),
    postprocessors: Collection[str] = (),
    templates: Mapping[str, Any] | None = None,
    bench: Bench | None = None,
) -> tuple[Job, tuple[Default, ...]]:
    """Read the text of a job file, as ``read_job`` does a file.

    Parameters
    ----------
    text, where
        What is written, and what faults are to call it.
    styles, postprocessors, templates
        As for ``read_job``.
    bench
        What the files beside it say.

    Raises
    ------
    JobFault
        With every fault that was found.
    """
    content = content_with(text, where, templates)
    try:
        job, defaults = job_of(content, styles=styles, postprocessors=postprocessors, bench=bench)
    except SheetFault:
        raise
    except (JobFault, CannotCut) as error:
        raise refusal(*placed(error.faults, where, text, templates or ())) from None
    return replace(job, source=text.encode(), companions=bench.files if bench else ()), defaults


def content_with(text: str, where: str, templates: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return the tables of a job file's text, with these keys of the table ``templates`` before its own. Raises JobFault."""
    content = content_of(text, where)
    if templates is not None and isinstance(table := content.setdefault("templates", {}), dict):
        table.update(templates)
    return content


def job_of(
    content: dict[str, Any], *, styles: Collection[str] = (), postprocessors: Collection[str] = (), bench: Bench | None = None
) -> tuple[Job, tuple[Default, ...]]:
    """Read the tables of a job file, as ``parse_job`` does its text; faults name keys alone.

    Raises
    ------
    JobFault, CannotCut
        With every fault that was found: the one where any is of the file itself.
    """
    units, bench = units_of(content), bench or Bench()
    with told_in(units):
        form, faults = _form(content, units)
        if form is None:
            raise JobFault(*faults)
        cutters, cutter_defaults, uses = cutters_of(form, bench.answers)
        drawn = [drawer_of(form, drawer, cutters, bench.answers) for drawer in form.drawers]
        drawers = tuple(drawer for drawer, _, _ in drawn)
        uses += shared_uses({drawer.name: [one.use for one in settled] for drawer, _, settled in drawn})
        wish, template_defaults = template_wish_of(form.templates) if form.templates is not None else (None, [])
        trial, trial_defaults = trial_wish_of(form.trial, cutters, drawers)
        machine, machine_defaults = machine_of(form, cutters, drawers)
        faults += faults_of_cutters(form, cutters, machine)
        faults += faults_of_machine(machine, drawers, postprocessors)
        faults += faults_of_drawers(form, cutters, drawers, styles)
        faults += faults_of_trial(trial)
        if wish is not None:
            faults += faults_of_templates(wish)
        if faults:
            raise refusal(*faults)
        if form.boards is not None:
            drawers = with_boards(drawers, *bench.sheet) if bench.sheet else one_by_one(drawers)
        job = Job(
            form.title,
            machine,
            cutters,
            drawers,
            trial,
            templates=wish,
            units=units,
            answers=tuple(sorted(uses, key=lambda use: use.number)),
        )
        given = (*machine_defaults, *cutter_defaults, *shared([used for _, used, _ in drawn]))
        return job, (*given, *template_defaults, *trial_defaults)


def units_of(content: Mapping[str, Any]) -> Literal["mm", "in"]:
    """Return the units that a job file's numbers are in."""
    return "in" if content.get("units") == "in" else "mm"


def text_of(path: Path | str) -> str:
    """Return the text of a job file. Raises JobFault where there is none that can be read."""
    return text_in(bytes_of(path), str(path))


def _form(content: dict[str, Any], units: str) -> tuple[JobForm | None, list[Fault]]:
    """Fill in the form. What is refused is struck out, so that the rest can be judged all the same."""
    faults: list[Fault] = []
    for _ in range(8):  # a table that is refused is emptied; then what it lacks is marked; and so on inwards
        try:
            return JobForm.model_validate(content, context={"units": units}), faults
        except ValidationError as error:
            errors: list[ErrorDetails] = error.errors(include_url=False)
            content = copy.deepcopy(content) if not faults else content
            faults = faults or [_of_drawer(fault_of(one), one["loc"], content) for one in errors[:_JUDGED]]
            strike(content, errors)
    return None, faults


def _of_drawer(fault: Fault, place: Sequence[int | str], content: Mapping[str, Any]) -> Fault:
    """Tell which drawer a fault of the form is of, where it is of one."""
    match place:
        case ["drawers", int(at), _, *_]:
            entry = content["drawers"][at]
            name = entry.get("name") if isinstance(entry, dict) else None
            return replace(fault, drawers=(name.strip() if isinstance(name, str) and name.strip() else f"drawers[{at + 1}]",))
    return fault


def placed(faults: Iterable[Fault], where: str, text: str, given: Iterable[str] = ()) -> list[Fault]:
    """Tell each fault once, in the order of the file, with the file's name and the line before the key.

    Parameters
    ----------
    where, text
        The file's name and what is written in it.
    given
        Keys of the table ``templates`` that come from elsewhere: their faults stand alone.
    """
    elsewhere = {f"templates.{key}" for key in given}
    lines = lines_of(text)
    at_home = [_where_written(fault, lines) for fault in merged(faults)]
    in_order = sorted(((_line(fault.where, lines), fault) for fault in at_home), key=lambda one: one[0])
    told = [
        fault if fault.where.split("[")[0] in elsewhere else replace(fault, where=f"{_at(where, line)}: {fault.where}")
        for line, fault in in_order[:_TOLD]
    ]
    if more := len(in_order[_TOLD:]):
        told.append(Fault(where, f"{more} more faults are not told", remedy="mend these first"))
    return told


_OF_DRAWER = re.compile(r'(drawers\[\d+\])(?: ".*")?(?:, |\.)(\w+(?:\.\w+)?)')


def _where_written(fault: Fault, lines: Lines) -> Fault:
    """Say where a key of a drawer is written: with the drawer, or, where that has none of its own, with the job."""
    found = _OF_DRAWER.fullmatch(fault.where)
    if found is None or not fault.drawers or (len(fault.drawers) == 1 and " " not in fault.where):  # the form has said where
        return fault
    drawer, key = found.groups()
    if (*steps_of(drawer), *steps_of(key)) in lines:
        return replace(fault, where=f"{drawer}.{key}")
    if steps_of(key) not in lines:
        return fault
    return replace(fault, where=key if len(fault.drawers) > 1 else f"{key}, {named_drawers(fault.drawers)}")


def _at(where: str, line: int) -> str:
    return f"{where}, line {line}" if line else where


def _line(path: str, lines: Lines) -> int:
    """Return the line of a path's key, or of the innermost table around it that is in the file; 0 where none is."""
    line = 0
    steps = steps_of(path)
    for depth in range(1, len(steps) + 1):
        if steps[:depth] not in lines:
            break
        line = lines[steps[:depth]]
    return line
