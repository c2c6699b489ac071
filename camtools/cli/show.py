"""How things look on the terminal: tables, faults and progress on standard error; data on standard output.

Text may come from a job file or a path, so every string goes through ``clean`` and is never read as markup.
"""

from __future__ import annotations

import json
import os
import platform
import sys
import traceback
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from textwrap import wrap
from typing import Any, TypeVar

import click
from rich import box
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TaskID, TextColumn, TimeElapsedColumn
from rich.table import Table
from rich.text import Text

from camtools import __version__
from camtools.crew import Watch
from camtools.faults import CamtoolsError, Fault, Way
from camtools.job.slips import steps_of

__all__ = ["clean", "console", "data", "json_option", "line", "progress", "stopped", "table", "wants_json"]

_JSON = "camtools.json"  # where a context notes that --json was given
Decorated = TypeVar("Decorated", bound=Callable[..., Any])


def clean(text: str) -> str:
    """Return ``text`` with everything that could steer a terminal made visible: controls, escapes, changes of direction."""
    return "".join(char if char.isprintable() else _visible(char) for char in text)


def _visible(char: str) -> str:
    if char.isspace() and char not in "\t\n\r\v\f\x1c\x1d\x1e\x1f\x85\u2028\u2029":
        return " "
    return char.encode("unicode_escape").decode("ascii")


def console() -> Console:
    """Return the console of standard error, as it is now: 80 columns wide where it is not a terminal."""
    return Console(stderr=True, highlight=False, emoji=False, markup=False, soft_wrap=False)


def line(text: str, style: str = "") -> None:
    """Print a line, wrapped at words."""
    console().print(Text(clean(text), style=style, overflow="fold"))


def table(title: str, columns: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[int] = ()) -> None:
    """Print a table; nothing is printed without rows.

    Parameters
    ----------
    title, columns
        What stands above it, and above each column.
    rows
        Cells as text, as many as there are columns.
    right
        Indices of the columns that are set to the right.
    """
    if not rows:
        return
    grid = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, expand=False)
    for index, heading in enumerate(columns):
        if index in right:  # numbers stay whole
            width = max(len(part) for part in (*heading.split(), *(row[index] for row in rows)))
            grid.add_column(Text("\n".join(wrap(heading, width))), justify="right", overflow="fold", no_wrap=True)
        else:
            grid.add_column(Text(heading), overflow="fold")
    for row in rows:
        grid.add_row(*(Text(clean(cell), overflow="fold") for cell in row))
    out = console()
    out.print()
    out.print(Text(clean(title), style="bold", overflow="fold"))
    out.print(grid)


@contextmanager
def progress() -> Iterator[Watch]:
    """Show long work as it goes on: a bar for each stage on a terminal, elsewhere a line for each when it is done.

    With --json there is a line of JSON for every step, where it is no terminal.
    """
    out = console()
    ctx = click.get_current_context(silent=True)
    if ctx is not None and wants_json(ctx) and not out.is_terminal:
        yield lambda what, done, of: click.echo(json.dumps({"stage": what, "done": done, "of": of}), err=True)
        return
    columns = (TextColumn("{task.description}", markup=False), BarColumn(bar_width=24), MofNCompleteColumn(), TimeElapsedColumn())
    bars: dict[str, TaskID] = {}
    with Progress(*columns, console=out, transient=True, disable=not out.is_terminal) as shown:

        def watch(what: str, done: int, of: int) -> None:
            if what not in bars:
                bars[what] = shown.add_task(what, total=None)
            shown.update(bars[what], completed=done, total=of or None)
            if done == of and not out.is_terminal:
                line(f"{what}: {of}")

        yield watch


def data(payload: object) -> None:
    """Print ``payload`` on standard output as JSON, in ASCII, with no value that JSON does not know."""
    click.echo(json.dumps(payload, indent=2, allow_nan=False))


def json_option(command: Decorated) -> Decorated:
    """Give a command ``--json``, as its argument ``as_json``; faults are then data too."""

    def note(ctx: click.Context, _parameter: click.Parameter, value: bool) -> bool:
        ctx.meta[_JSON] = value
        return value

    text = "Print data as JSON on standard output."
    return click.option("--json", "as_json", is_flag=True, is_eager=True, callback=note, help=text)(command)


def wants_json(ctx: click.Context) -> bool:
    """Tell whether the command that ran in ``ctx`` was given ``--json``."""
    return bool(ctx.meta.get(_JSON, False))


def stopped(error: Exception, exit_code: int, *, as_json: bool) -> None:
    """Say what stopped a command: the faults it named, or the defect it ran into."""
    faults = error.faults if isinstance(error, CamtoolsError) else (_defect(error),)
    heading = error.heading if isinstance(error, CamtoolsError) else "This is a defect in camtools"
    if as_json:
        together = _changes(error.together) if isinstance(error, CamtoolsError) else []
        told = [_fault_data(fault) for fault in faults]
        data({"error": heading, "exit_code": exit_code, "faults": told} | ({"together": together} if together else {}))
    out = console()
    number = f": {len(faults)} faults" if len(faults) > 1 else ""
    out.print(Text(heading + number, style="bold red"))
    for place, fault in enumerate(faults, 1):
        out.print(_entry(place if len(faults) > 1 else None, fault))
    if isinstance(error, CamtoolsError) and error.together:
        out.print()
        out.print(Text("All of these were tried together: then the job can be cut."))


def _fault_data(fault: Fault) -> dict[str, Any]:
    words = {key: getattr(fault, key) for key in ("where", "problem", "value", "limit", "remedy")}
    return words | {"drawers": list(fault.drawers), "changes": _changes(fault.changes)}


def _changes(way: Way) -> list[dict[str, Any]]:
    """Return changes of the job file as data: a key, its steps counted from 0, and its new value, null where it is taken out."""
    return [{"key": change.key, "path": list(steps_of(change.key)), "value": change.value, "example": change.example} for change in way]


def _entry(place: int | None, fault: Fault) -> Table:
    """Return a fault as a block: the place it is in, then what is wrong, what was found, the limit and what to do."""
    entry = Table.grid(padding=(0, 1))
    entry.add_column(justify="right", width=len(str(place)) if place else 1)
    entry.add_column(justify="left", min_width=7)
    entry.add_column(overflow="fold")
    entry.add_row("", "", "")
    rows = [("where", fault.place), ("wrong", fault.problem), ("found", fault.value), ("limit", fault.limit), ("mend", fault.remedy)]
    number = str(place) if place else ""
    for name, text in rows:
        if text:
            entry.add_row(number, Text(name, style="dim"), Text(clean(text), style="bold" if name == "where" else "", overflow="fold"))
            number = ""
    return entry


def _defect(error: Exception) -> Fault:
    if os.environ.get("CAMTOOLS_TRACEBACK"):
        traceback.print_exception(error, file=sys.stderr)
    ours = [frame for frame in traceback.extract_tb(error.__traceback__) if Path(frame.filename).is_relative_to(_HOUSE)]
    frames = [f"camtools/{Path(frame.filename).relative_to(_HOUSE).as_posix()}:{frame.lineno}" for frame in ours]
    return Fault(
        where=" > ".join(frames[-4:]) or "outside camtools",
        problem=f"{type(error).__name__}: {error}",
        value=f"camtools {__version__}, Python {platform.python_version()}, {platform.system()}",
        remedy="please report these lines with the job file where you got camtools; set CAMTOOLS_TRACEBACK=1 for the whole trace",
    )


_HOUSE = Path(__file__).parent.parent
