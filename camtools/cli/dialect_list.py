"""``camtools dialects``: what programs look like in each dialect, and what they leave to the operator."""

from __future__ import annotations

import click

from camtools import resources
from camtools.cli import show
from camtools.cli.reading_job import read_job_file
from camtools.output.dialects import Dialect, dialect_of, left_to_operator, shipped_dialects
from camtools.output.sections import work_of

__all__ = ["command"]

_BEGINS = 12  # lines of motion that an example has, once its cutter moves
_ENDS = 6  # and its last lines


@click.command()
@click.argument("name", required=False)
@show.json_option
def command(name: str | None, as_json: bool) -> None:
    """Show the dialects that there are; or of NAME, one of these or the path of a file of your own, what its programs are like.

    A job file names its dialect as postprocessor in the table [machine].
    """
    if name is None:
        about = {name: dialect_of(name).about for name in shipped_dialects()}
        if as_json:
            show.data(about)
            return
        show.table("Dialects", ("name", "what its programs are like"), list(about.items()))
        show.line("`camtools dialects NAME` shows one. If your machine is like none of them, copy its file, change it, and name its path.")
        return
    dialect = dialect_of(name)
    left, example = left_to_operator(dialect), _example(dialect)
    if as_json:
        show.data({"about": dialect.about, "keys": dialect.model_dump(), "left_to_you": left, "example": example})
        return
    show.line(f"{name}: {dialect.about}", "bold")
    show.line("What it leaves to you:")
    for sentence in left:
        show.line(f"- {sentence}")
    show.line("A program of the first sample, without the comments at its head:")
    for text in example:
        show.line(f"  {text}")


def _example(dialect: Dialect) -> list[str]:
    """Return the beginning and the end of a program, as it would be written."""
    job, _ = read_job_file(resources.samples() / "first-drawer.toml")
    lines = work_of(job, dialect).program_files[0].text.splitlines()
    first = next(at for at, line in enumerate(lines) if "G17" in line) - 1
    moves = next(at for at, line in enumerate(lines) if " X" in line and "G0" in line)
    return [*lines[first : moves + _BEGINS], "...", *lines[-_ENDS:]]
