"""What the maker wrote down: ``job.toml`` of a packet and the files beside it, read anew.

It shares nothing with the reader that the packet was made by.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import count
from typing import Any

__all__ = ["COMPANIONS", "LARGEST_JOB_BYTES", "Values", "Written", "WrittenDrawer", "known", "told_as", "written_in"]

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
    answers: dict[str, list[Values]] = field(default_factory=dict)  # by the tables of ``job.fit.toml``, where there is one
    measured: dict[int, Values] = field(default_factory=dict)  # cutters as they are, by number, from there too


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
        piece = {name: _values(tables.get(name, {}), bare) for name in (*_TABLES, "machine")}
        drawers = tuple(_drawer(table, piece, bare) for table in tables["drawers"])
        return Written(str(tables["title"]).strip(), units, piece["machine"], _numbered(tables["cutters"], bare), drawers)
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


COMPANIONS: dict[str, Callable[[Written, bytes], Written]] = {"job.fit.toml": _with_answers}
"""Files beside ``job.toml`` in a packet, with how each is read into what is written. Each raises ValueError where it is none."""


def _drawer(table: dict[str, Any], piece: dict[str, Values], bare: Size) -> WrittenDrawer:
    own = {key: value for key, value in table.items() if key not in (*_TABLES, "name")}
    tables = (piece[name] | _values(table.get(name, {}), bare) for name in _TABLES)
    return WrittenDrawer(str(table["name"]).strip(), _values(own, bare), *tables)


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
