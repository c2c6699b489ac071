"""What the maker wrote down: ``job.toml`` of a packet and the files beside it, read anew.

It shares nothing with the reader that the packet was made by.
"""

from __future__ import annotations

import csv
import io
import math
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import count
from typing import Any

__all__ = ["COMPANIONS", "LARGEST_JOB_BYTES", "Cells", "Values", "Written", "WrittenDrawer", "known", "told_as", "written_in"]

LARGEST_JOB_BYTES = 1_000_000
_DEEP = re.compile(rb"(?:[\w-]++[ \t]*+\.[ \t]*+){40}")  # time to read such a key grows with the square of its length
_INCH = Fraction(254, 10)
Size = int | Fraction
_UNITS: dict[str, Size] = {"cm": 10, "m": 1000, **dict.fromkeys(("mm", "deg", "degrees", "\u00b0"), 1)}
_UNITS |= dict.fromkeys(("in", "inch", "inches", '"', "\u2033"), _INCH)
_MEASURE = re.compile(
    r"(?:(?P<whole>\d+)(?: +| ?- ?)(?=\d+ ?/))?(?P<number>\d+ ?/ ?\d+|\d*\.?\d+|\d+\.) *(?P<unit>[a-z\"\u2033\u00b0]*)(?P<per>/min|/s|)"
)
_PLAIN = frozenset({  # keys of numbers that are no length, feed or acceleration: their value is the same in a job in inches
    "angle", "count", "cutter", "dampest", "dovetail", "driest", "flutes", "max_speed", "min_speed", "now", "number", "power", "speed",
    "spin_up", "straight", "tails", "tool_change",
})  # fmt: skip
_TABLES = ("stock", "joints", "groove", "fit")

_PARTS = ("front", "back", "left", "right", "bottom")
_SIZES = ("length", "width", "thickness")

Cells = tuple[float | None, ...]
Value = float | bool | str | tuple["Value", ...]
Values = dict[str, Value]


@dataclass(frozen=True, slots=True)
class WrittenDrawer:
    """One kind of drawer: what is written for it, and for the piece where it has nothing of its own. It travels between processes."""

    name: str
    own: Values  # count, opening, outside
    stock: Values
    joints: Values
    groove: Values
    fit: Values
    measured: Mapping[str, Cells] | None = None  # length, width, thickness of its boards by part, None where left blank; None: it is a kind

    @property
    def words(self) -> str:
        """Return how findings call it."""
        return f'drawer "{self.name}"' if self.name.isprintable() else f"drawer {self.name!a}"


@dataclass(frozen=True, slots=True)
class Written:
    """A job file. Lengths are in mm, feeds in mm/min, angles in degrees; what was left out is not there."""

    title: str
    units: str  # that people read lengths in: "mm" or "in"
    machine: Values
    cutters: dict[int, Values]  # by number
    drawers: tuple[WrittenDrawer, ...]
    trial: Values = field(default_factory=dict)  # steps of trial joints
    answers: dict[str, list[Values]] = field(default_factory=dict)  # by the tables of ``job.fit.toml``, where there is one
    measured: dict[int, Values] = field(default_factory=dict)  # cutters as they are, by number, from there too
    sheet: bool = False  # it names a sheet of boards, kept as ``boards.csv``


def known(value: Value | None) -> float:
    """Return a number, or what compares with nothing where it is none."""
    return value if isinstance(value, float) else math.nan


def told_as(value: object) -> str:
    """Return a value as findings tell it."""
    if isinstance(value, tuple | list):
        return " x ".join(told_as(item) for item in value)
    if isinstance(value, bool) or value is None:
        return {True: "yes", False: "no", None: "none"}[value]
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def written_in(content: bytes) -> Written:
    """Read a job file.

    Raises
    ------
    ValueError
        Where it is no job file. Whether a drawer can be made of it is not asked.
    """
    try:
        tables = _tables(content)
        units = tables.get("units", "mm")
        if units not in ("mm", "in"):
            raise ValueError(f"it has units that are not known: {str(units)[:20]!a}")
        bare = _UNITS[units]
        piece = {name: _values(tables.get(name, {}), bare) for name in (*_TABLES, "machine", "trial")}
        drawers = tuple(_drawer(table, piece, bare) for table in tables["drawers"])
        cutters = _numbered(tables["cutters"], bare)
        return Written(
            str(tables["title"]).strip(), units, piece["machine"], cutters, drawers, trial=piece["trial"], sheet="boards" in tables
        )
    except (KeyError, TypeError, AttributeError, OverflowError, RecursionError) as error:
        raise ValueError("it has not the tables of a job file") from error


def _tables(content: bytes) -> dict[str, Any]:
    if len(content) > LARGEST_JOB_BYTES or _DEEP.search(content):
        raise ValueError("it is too long or nested too deep")
    return tomllib.loads(content.decode("utf-8-sig"))


def _with_answers(written: Written, content: bytes) -> Written:
    try:
        tables = _tables(content)
        measured = {cutter["number"]: _values(cutter, 1) for cutter in tables.pop("cutters", [])}
        return replace(written, answers={name: [_values(one, 1) for one in many] for name, many in tables.items()}, measured=measured)
    except (KeyError, TypeError, AttributeError, OverflowError, RecursionError) as error:
        raise ValueError("it has not the tables of answers") from error


def _with_boards(written: Written, content: bytes) -> Written:
    """Take every drawer by itself, with its boards as measured; a sheet that the job file does not name is none of it."""
    if not written.sheet:
        return written
    try:
        boards = _sheet(content)
        drawers = []
        for entry, kind in enumerate(written.drawers, 1):
            number = int(known(kind.own.get("count", 1.0)))
            for copy in range(1, number + 1):
                mark, name = (f"d{entry}", kind.name) if number == 1 else (f"d{entry}-{copy}", f"{kind.name}, {copy} of {number}")
                measured = {part: boards.pop(f"{mark}-{part}") for part in _PARTS}
                drawers.append(replace(kind, name=name, own={**kind.own, "count": 1.0}, measured=measured))
    except (KeyError, csv.Error, OverflowError) as error:
        raise ValueError(f"it is no sheet of the boards of this job: {str(error)[:60]!a}") from error
    if boards:
        raise ValueError(f"it has boards that the job does not have: {', '.join(boards)[:60]!a}")
    return replace(written, drawers=tuple(drawers))


def _sheet(content: bytes) -> dict[str, Cells]:
    """Return length, width and thickness of every board of a sheet in mm, by its mark, None where a cell is blank."""
    text = content.decode("utf-8-sig", "replace")
    first = text.partition("\n")[0]
    comma = max(";\t,", key=first.count)
    rows = [row for row in csv.reader(io.StringIO(text, newline=""), delimiter=comma, strict=True) if any(map(str.strip, row))]
    names = [name.strip().lower() for name in rows[0]] if rows else []
    unit = "in" if "length in" in names else "mm"
    columns = [names.index(name) if name in names else -1 for name in ("board", *(f"{size} {unit}" for size in _SIZES))]
    if min(columns) < 0 or any(len(row) != len(names) for row in rows):
        raise ValueError("it has not the columns of a sheet of boards")
    found: dict[str, Cells] = {}
    for row in rows[1:]:
        mark, *cells = (row[column].strip() for column in columns)
        length, width, thick = (_value(re.sub(r"^(\d*),(\d+)$", r"\1.\2", cell), _UNITS[unit]) if cell else None for cell in cells)
        if mark in found or not all(size is None or isinstance(size, float) for size in (length, width, thick)):
            raise ValueError(f"board {mark[:20]!a} stands in it twice, or with what is no length")
        found[mark] = tuple(size if isinstance(size, float) else None for size in (length, width, thick))
    return found


COMPANIONS: dict[str, Callable[[Written, bytes], Written]] = {"job.fit.toml": _with_answers, "boards.csv": _with_boards}
"""Files beside ``job.toml`` in a packet, with how each is read into what is written. Each raises ValueError where it is none."""


def _drawer(table: dict[str, Any], piece: dict[str, Values], bare: Size) -> WrittenDrawer:
    own = {key: value for key, value in table.items() if key not in (*_TABLES, "name")}
    stock, joints, groove, fit = (piece[name] | _values(table.get(name, {}), bare) for name in _TABLES)
    return WrittenDrawer(str(table["name"]).strip(), _values(own, bare), stock, joints, groove, fit)


def _numbered(cutters: list[dict[str, Any]], bare: Size) -> dict[int, Values]:
    """Give cutters without a number the free ones, in their order."""
    taken = {cutter.get("number") for cutter in cutters}
    free = (number for number in count(1) if number not in taken)
    return {cutter["number"] if "number" in cutter else next(free): _values(cutter, bare) for cutter in cutters}


def _values(table: dict[str, Any], bare: Size) -> Values:
    """Return the values of a table; those of a table in it are keyed as TOML may write them, ``climate.now``."""
    values: Values = {}
    for key, value in table.items():
        if isinstance(value, dict):
            values |= {f"{key}.{inner}": one for inner, one in _values(value, bare).items()}
        else:
            values[key] = _value(value, 1 if key in _PLAIN else bare)
    return values


def _value(value: object, bare: Size) -> Value:
    """Return a number in mm, a string with its unit as a number, a list as a tuple, and any other text as it is.

    Parameters
    ----------
    bare
        What 1 is without a unit, in mm.
    """
    if isinstance(value, bool):
        return value
    if isinstance(value, int | float):
        return float(value * bare)
    if isinstance(value, list):
        return tuple(_value(item, bare) for item in value)
    text = str(value).strip()
    if slope := re.fullmatch(r"1 ?: ?(\d+\.?\d*|\.\d+)", text):
        return math.degrees(math.atan2(1.0, float(slope[1])))
    found = _MEASURE.fullmatch(text) if len(text) <= 40 else None
    if found is None or found["unit"] not in ("", *_UNITS) or re.search(r"/ ?0+\D*$", text):
        return text
    number = int(found["whole"] or 0) + Fraction(found["number"].replace(" ", ""))
    return float(number * _UNITS.get(found["unit"], bare) * (60 if found["per"] == "/s" else 1))
