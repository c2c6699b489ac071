"""Reads a job file: TOML, then the form, then defaults and limits, to a job that is valid or every fault at once."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from camtools.faults import Fault, JobFault
from camtools.job.defaults import DefaultUsed, cutters_of, drawer_of, machine_of
from camtools.job.form import JobForm
from camtools.job.limits import faults_of_cutters, faults_of_drawers, faults_of_machine
from camtools.job.piece import Job
from camtools.job.slips import fault_of, without

__all__ = ["LARGEST_FILE", "DefaultUsed", "parse_job", "read_job"]

LARGEST_FILE = 1_000_000  # bytes; thousands of drawers fit
_ROUNDS = 6  # a refused table is emptied, then what is missing from it is marked, and so on down


def read_job(path: Path | str) -> tuple[Job, tuple[DefaultUsed, ...]]:
    """Read a job file.

    Returns
    -------
    tuple
        The job, and every value that the file left to camtools.

    Raises
    ------
    JobFault
        With everything that is wrong with the file.
    """
    where = str(path)
    try:
        with Path(path).open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise JobFault(Fault(where, "there is no such file", remedy="check its name, and the folder you are in")) from None
    except IsADirectoryError:
        raise JobFault(Fault(where, "is a folder", remedy="name the job file in it")) from None
    except (OSError, ValueError) as fault:
        reason = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
        raise JobFault(Fault(where, f"can not be read: {reason}", remedy="check its name and who may read it")) from None
    return parse_job(_text(content, where), where)


def _text(content: bytes, where: str) -> str:
    if len(content) > LARGEST_FILE:
        raise JobFault(Fault(where, "is too long for a job file", f"more than {LARGEST_FILE} bytes", f"at most {LARGEST_FILE} bytes", "is it the right file?"))
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise JobFault(Fault(where, "is written in UTF-16", limit="UTF-8", remedy="save it as UTF-8 text"))
    if b"\0" in content:
        raise JobFault(Fault(where, "is not a text file", limit="TOML, in UTF-8", remedy="is it the right file?"))
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = content.count(b"\n", 0, fault.start) + 1
        found = f"byte 0x{content[fault.start]:02X}"
        raise JobFault(Fault(f"{where}, line {line}", "holds a character that is not UTF-8", found, "UTF-8", "save it as UTF-8 text")) from None


def parse_job(text: str, where: str) -> tuple[Job, tuple[DefaultUsed, ...]]:
    """Read the text of a job file; ``where`` names it in faults. Otherwise as ``read_job``."""
    content = _toml(text, where)
    errors: list[ErrorDetails] = []
    form, kept = None, content
    for _ in range(_ROUNDS):
        try:
            form = JobForm.model_validate(kept)
            break
        except ValidationError as fault:
            found = fault.errors(include_url=False)
            errors = errors or found
            kept = without(kept, found)
    faults = [fault_of(error) for error in errors]
    if form is None:
        raise _at(where, faults)
    cutters, cutter_defaults = cutters_of(form)
    wishes, drawer_defaults = [], []
    for drawer in form.drawers:
        wish, used = drawer_of(form, drawer, cutters)
        wishes.append(wish)
        drawer_defaults.append(used)
    machine, machine_defaults = machine_of(form, cutters, wishes)
    faults += faults_of_cutters(form, cutters, machine)
    faults += faults_of_machine(machine, cutters, wishes)
    faults += faults_of_drawers(form, cutters, wishes)
    if faults:
        raise _at(where, faults)
    job = Job(title=form.title, machine=machine, cutters=cutters, drawers=tuple(wishes))
    return job, (*machine_defaults, *cutter_defaults, *_shared(drawer_defaults))


def _at(where: str, faults: Iterable[Fault]) -> JobFault:
    """Return the error with each fault once, and the file's name before the key."""
    return JobFault(*dict.fromkeys(replace(fault, where=f"{where}: {fault.where}") for fault in faults))


_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


def _toml(text: str, where: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        message = str(fault)
        place = ""
        if found := _PLACE.search(message):
            message = message[: found.start()]
            place = f", line {found[1]}, column {found[2]}" if found[1] else ", at its end"
        raise JobFault(Fault(f"{where}{place}", f"is not TOML: {message[:1].lower()}{message[1:]}", remedy=_toml_hint(text, message))) from None
    except RecursionError:
        raise JobFault(Fault(where, "is not TOML that can be read: it is nested too deep", remedy="is it the right file?")) from None


def _toml_hint(text: str, message: str) -> str:
    if "Invalid value" in message or "Expected newline" in message:
        return 'put a length with a unit in quotes, such as "3/4 in" or \'23/32"\'; write decimals with a point'
    return "look at this place and the line before it"


def _shared(defaults: Sequence[Sequence[DefaultUsed]]) -> Iterable[DefaultUsed]:
    """Tell a default once where it is the same for every drawer that takes it, and otherwise for each drawer."""
    values: dict[str, dict[DefaultUsed, None]] = {}
    for used in defaults:
        for one in used:
            values.setdefault(one.key, {})[one] = None
    for key, distinct in values.items():
        if len(distinct) == 1:
            yield from distinct
            continue
        for place, used in enumerate(defaults, 1):
            yield from (replace(one, key=f"drawers[{place}].{key}") for one in used if one.key == key)
