"""Reads a dialect for a command: programs are written in one of the maker's own, and must be read back as they were meant."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

import click

from camtools import resources
from camtools.drawer.drawers import drawers_of
from camtools.faults import Fault, JobFault, PacketFault
from camtools.job import read_job
from camtools.job.job import Job
from camtools.output.dialects import Dialect, dialect_of, shipped_dialects
from camtools.output.rs274 import program_file
from camtools.toolpath.dry import dry_programs_of
from camtools.toolpath.moves import Program
from camtools.toolpath.programs import programs_of
from camtools.toolpath.workholding import with_zeros
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.words import LineFault, read_block

__all__ = ["dialect_asked_for", "post_option", "read_dialect", "sample_programs"]

_STATES = frozenset({2, 3, 5, 6, 7, 8, 12, 13})  # modal groups of G that only set how what follows is read
_HARMLESS = frozenset({5, 7, 8, 9, 48})  # M: spindle off, mist, coolant or dust extraction, overrides on
_ALLOWED = "comments, M5, M7, M8, M9, M48, and G words of plane, units, distance, feed mode, compensation, work offset and path"
_CUTTING = ("feed", "arc")


def read_dialect(name_or_path: str, beside: Path | None = None) -> Dialect:
    """Return a dialect, as ``dialect_of`` does; of a file of the maker's own only if programs in it are read back as they are meant.

    Raises
    ------
    JobFault
        Where there is no such dialect, its file is at fault, or a program that is written in it is not read back.
    """
    dialect = dialect_of(name_or_path, beside)
    if name_or_path not in shipped_dialects():
        faults = [*_own_line_faults(dialect)] or [*_read_back_faults(dialect)]
        if faults:
            where = str(Path(beside or ".", name_or_path))
            raise JobFault(*(replace(fault, where=f"{where}: {fault.where}") for fault in faults))
    return dialect


def post_option(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command ``--post``, which ``dialect_asked_for`` reads."""
    text = f"Dialect of the programs: {', '.join(shipped_dialects())}, or the path of your own."
    return click.option("--post", metavar="NAME_OR_PATH", help=text)(command)


def dialect_asked_for(post: str | None, job: Job, job_file: Path) -> Dialect:
    """Return the dialect that a command was asked for, or else the one that the job file names. Raises JobFault."""
    return read_dialect(post) if post is not None else read_dialect(job.machine.postprocessor, beside=job_file.parent)


@cache
def sample_programs() -> tuple[Job, tuple[Program, ...]]:
    """Return the first sample, and its programs with their dry runs."""
    job, _ = read_job(resources.samples() / "first-drawer.toml")
    programs = programs_of(job, drawers_of(job))
    return job, (*programs, *dry_programs_of(programs, job.machine))


def _own_line_faults(dialect: Dialect) -> Iterator[Fault]:
    """Judge the lines of the maker's own, one by one: none may move, stop or switch what our programs do not know of."""
    signs = {"parentheses": "(", "semicolon": ";", "none": ""}[dialect.comments]
    for key in ("header", "footer"):
        for place, line in enumerate(getattr(dialect, key), 1):
            at, found = f"{key}[{place}]", repr(line)
            try:
                block = read_block(line)
            except LineFault as fault:
                yield Fault(at, f"can not be read back: {fault.text}", found, _ALLOWED, "leave the line out, or write it as RS-274 has it")
                continue
            if any(sign in line and sign not in signs for sign in "(;"):
                yield Fault(at, "has a comment of another kind", found, f'as comments = "{dialect.comments}" says', "write it in that way")
            g = {group for group, code in block.g.items() if group not in _STATES or code == 430}
            if g or not _HARMLESS.issuperset(block.m.values()) or block.deleted or block.values.keys() - {"P"}:
                yield Fault(at, "would move, stop or switch the machine, or change its cutter", found, _ALLOWED, "leave those words out")


def _read_back_faults(dialect: Dialect) -> Iterator[Fault]:
    """Write and read programs of a sample; name the keys without which all is well."""
    problems = _problems(dialect)
    if not problems:
        return
    given = [key for key in Dialect.model_fields if getattr(dialect, key) != Dialect.model_fields[key].default and key != "units"]
    blamed = [key for key in given if not _problems(dialect.model_copy(update={key: Dialect.model_fields[key].default}))]
    for key in blamed or [""]:
        found = str(getattr(dialect, key)) if key else ""
        problem = f"programs in this dialect are not read back as they are meant: {problems[0]}"
        yield Fault(key or "its keys together", problem, found, remedy="change it, or leave it out" if key else "start from a shipped one")


def _problems(dialect: Dialect) -> Sequence[str]:
    """Return what is wrong with one program of each kind, cut, dry run and outline, each with the line it is wrong at."""
    job, programs = sample_programs()
    tails = [program for program in programs if "left-side" in program.stem and "front-end" in program.stem]
    own = [*tails, next(program for program in programs if program.setup.end == "groove")]
    setups = with_zeros([program.setup for program in own], dialect.work_offsets)
    plain = Dialect(units=dialect.units, decimals=dialect.decimals, arcs=dialect.arcs, arc_tolerance_mm=dialect.arc_tolerance_mm)
    found = []
    for program, setup in zip(own, setups, strict=True):
        try:
            texts = [program_file(replace(program, setup=setup), way, job).text for way in (dialect, plain)]
        except PacketFault as error:
            found += [f"{fault.problem}, {fault.value}; limit {fault.limit}" for fault in error.faults]
            continue
        number = program.cutter.number
        mine, meant = (run(text, program.stem, tools=[number], fitted=number) for text in texts)
        lines = texts[0].splitlines()
        found += [f'{one.text} at "{lines[one.line - 1]}"' if one.line else one.text for one in mine.findings]
        ways = [[replace(motion, line=0, blind=False) for motion in one.motions if motion.kind in _CUTTING] for one in (mine, meant)]
        if not mine.complete or ways[0] != ways[1]:
            found.append(f"{program.title} moves another way")
    return found
