"""``camtools dialects``: what programs look like in each dialect, and what they leave to the operator."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import click

from camtools.cli import show
from camtools.cli.reading_dialect import read_dialect, sample_programs
from camtools.output.dialects import Dialect, dialect_of, left_to_operator, shipped_dialects
from camtools.output.rs274 import program_file
from camtools.toolpath.workholding import with_zeros

__all__ = ["command"]

_BEGINS = 12  # lines of motion that an example has, once its cutter moves
_ENDS = 6  # and its last lines


@click.command()
@click.argument("name", required=False)
@click.option("--all", "every", is_flag=True, help="Show every one in full.")
@show.json_option
def command(name: str | None, every: bool, as_json: bool) -> None:
    """Show the dialects that there are; or of NAME, one of these or the path of a file of your own, what its programs are like.

    A job file names its dialect as postprocessor in the table [machine].
    """
    if every and name is not None:
        raise click.UsageError("--all shows every dialect, so no NAME goes with it")
    if every or name is not None:
        shown = {own: _told(read_dialect(own)) for own in (shipped_dialects() if name is None else [name])}
        if as_json:
            show.data(shown if name is None else shown[name])
        else:
            for own, told in shown.items():
                _show(own, told)
        return
    about = {own: dialect_of(own).about for own in shipped_dialects()}
    if as_json:
        show.data(about)
        return
    show.table("Dialects", ("name", "what its programs are like"), list(about.items()))
    show.line("`camtools dialects NAME` shows one, `--all` every one.")
    show.line("If your machine is like none of them, copy the file of one, change it, and name its path.")


def _told(dialect: Dialect) -> dict[str, Any]:
    return {
        "about": dialect.about,
        "keys": dialect.model_dump(),
        "left_to_you": left_to_operator(dialect),
        "example": _example(dialect),
    }


def _show(name: str, told: dict[str, Any]) -> None:
    show.line(f"{name}: {told['about']}", "bold")
    show.line("What it leaves to you:")
    for sentence in told["left_to_you"]:
        show.line(f"- {sentence}")
    show.line("A program of the first sample, without the comments at its head:")
    for text in told["example"]:
        show.line(f"  {text}")


def _example(dialect: Dialect) -> list[str]:
    """Return the beginning and the end of a program, as it would be written."""
    job, programs = sample_programs()
    setups = with_zeros([program.setup for program in programs], dialect.work_offsets)
    lines = program_file(replace(programs[0], setup=setups[0]), dialect, job).text.splitlines()
    first = next(at for at, line in enumerate(lines) if "G17" in line) - 1
    moves = next(at for at, line in enumerate(lines) if " X" in line and "G0" in line)
    return [*lines[first : moves + _BEGINS], "...", *lines[-_ENDS:]]
