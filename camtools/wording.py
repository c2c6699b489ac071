"""Lengths and numbers of things as words, for notes, faults, lists, pictures and pages.

Inside, lengths are in mm. People read them in the units of their job: ``told_in`` says in which, for all that is written within it.
In inches a length is a fraction where it lies on a 64th. Elsewhere a sentence gives the nearest 64th and the thousandths that are
over or lacking, ``41/64" less 0.003"``; a table or a picture, where room is short, gives thousandths alone, ``0.638"``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from enum import Enum
from string import Formatter

__all__ = [
    "MM_PER_INCH",
    "Told",
    "Units",
    "Words",
    "aligned",
    "area",
    "at_least",
    "at_most",
    "bare",
    "bare_fine",
    "counted",
    "down",
    "figure",
    "fine",
    "listed",
    "mm",
    "printable",
    "quantity",
    "sizes",
    "span",
    "told_in",
    "unit_word",
    "units_told",
    "up",
    "whole_minutes",
]

MM_PER_INCH = 25.4
_FINEST = 64  # parts of an inch on a maker's rule
_NO_BREAK = "\N{NO-BREAK SPACE}"  # so that no line ends within 1 1/2"
_LEAST_IN = 1 / 16  # below it a length off the 64ths is told in thousandths alone


class Units(Enum):
    """What people read lengths in."""

    MM = "mm"
    INCH = "in"
    PROGRAM_INCH = "program in"  # as the words of a program have inches: decimals, without the sign

    @property
    def word(self) -> str:
        """Return what stands in a heading over lengths without their unit."""
        return "mm" if self is Units.MM else "inches"

    @property
    def per_mm(self) -> float:
        """Return how many of them a mm is."""
        return 1.0 if self is Units.MM else 1 / MM_PER_INCH

    @property
    def step_mm(self) -> float:
        """Return the step of lengths that a maker sets out by eye."""
        return 1.0 if self is Units.MM else MM_PER_INCH / 16

    @property
    def check_mm(self) -> float:
        """Return the length of the line that shows whether a print or a template came out at its scale."""
        return 100.0 if self is Units.MM else 4 * MM_PER_INCH


_told: ContextVar[tuple[Units, ...]] = ContextVar("units", default=(Units.MM,))


@contextmanager
def told_in(*units: Units | str) -> Iterator[None]:
    """Have lengths told in these units, by name or not, within a ``with``; where there are several, in each of them."""
    before = _told.set(tuple(dict.fromkeys(map(Units, units))))
    try:
        yield
    finally:
        _told.reset(before)


def units_told() -> tuple[Units, ...]:
    """Return the units that lengths are told in."""
    return _told.get()


def unit_word() -> str:
    """Return what stands in a heading over lengths without their unit: mm or inches."""
    return _told.get()[0].word


def _each(lengths_mm: Sequence[float], joined: str, *, short: bool, decimals: int = 2, of: str = "") -> str:
    """Return lengths in each unit that is told; ``of`` follows the unit, as in mm/min."""
    return " / ".join(_written(lengths_mm, joined, units, short, decimals, of) for units in _told.get())


def _written(lengths_mm: Sequence[float], joined: str, units: Units, short: bool, decimals: int, of: str) -> str:
    if units is Units.MM:
        return f"{joined.join(_decimal(length, decimals) for length in lengths_mm)} mm{of}"
    lengths_in = [length / MM_PER_INCH for length in lengths_mm]
    if units is Units.INCH and not of:
        return joined.join(_inches(length, short, decimals + 1) for length in lengths_in)
    places = 2 if of else decimals + 1
    words = (_decimal(length, places) if units is Units.INCH else f"{length:.{places}f}" for length in lengths_in)
    return f"{joined.join(words)} in{of}"


def _decimal(number: float, decimals: int) -> str:
    text = f"{number:.{decimals}f}" if abs(number) < 1e7 else f"{number:.7g}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _inches(length_in: float, short: bool, decimals: int) -> str:
    if not math.isfinite(length_in):
        return f'{length_in}"'
    sign, size = "-" if length_in < 0 else "", abs(length_in)
    parts = round(size * _FINEST)
    over = round(size - parts / _FINEST, decimals)
    if over and (short or size < _LEAST_IN):
        return f'{sign}{size:.{decimals}f}"'
    whole, part = divmod(parts, _FINEST)
    shared = math.gcd(part, _FINEST)
    words = [str(whole)] if whole or not part else []
    words += [f"{part // shared}/{_FINEST // shared}"] if part else []
    text = f'{sign if parts else ""}{_NO_BREAK.join(words)}"'
    return f'{text} {"plus" if over > 0 else "less"} {abs(over):.3f}"' if over else text


def mm(length_mm: float) -> str:
    """Return a length, which is given in mm, for a sentence: to a hundredth of a millimetre, or to a thousandth of an inch."""
    return _each((length_mm,), "", short=False)


def bare(length_mm: float, decimals: int = 2) -> str:
    """Return a length for a place whose heading tells its unit, the first of those told, as short as can be."""
    with told_in(_told.get()[0]):
        return _each((length_mm,), "", short=True, decimals=decimals).removesuffix(" mm").removesuffix(" in")


def aligned(length_mm: float, decimals: int = 1) -> str:
    """Return a length for a column of lengths that are compared: with so many decimals in mm, with thousandths in inches."""
    return f"{length_mm:z.{decimals}f}" if _told.get()[0] is Units.MM else f'{length_mm / MM_PER_INCH:z.3f}"'


def bare_fine(length_mm: float) -> str:
    """Return what ``fine`` does for a place whose heading tells its unit: always with the last of its digits."""
    return _fine(length_mm, _told.get()[0]).removesuffix(" mm")


def fine(length_mm: float) -> str:
    """Return what was measured of a carved board: to a thousandth of a millimetre, or to a ten-thousandth of an inch."""
    return " / ".join(_fine(length_mm, units) for units in _told.get())


def _fine(length_mm: float, units: Units) -> str:
    if units is Units.MM:
        return f"{length_mm:z.3f} mm"
    return f"{length_mm / MM_PER_INCH:z.4f}" + ('"' if units is Units.INCH else " in")


def area(area_mm2: float) -> str:
    """Return an area: 40 mm², or 0.062 sq in."""
    return " / ".join(f"{area_mm2:.0f} mm²" if one is Units.MM else f"{area_mm2 / MM_PER_INCH**2:.3f} sq in" for one in _told.get())


def sizes(*lengths_mm: float, joined: str = " x ") -> str:
    """Return the sizes of one thing, with their unit."""
    return _each(lengths_mm, joined, short=True)


def span(low: float, high: float, unit: str = "mm") -> str:
    """Return what a value lies between, in a unit as for ``quantity``: 6 to 8 mm."""
    if unit.startswith("mm"):
        return _each((low, high), " to ", short=True, of=unit.removeprefix("mm"))
    return f"{low:g} to {high:g} {unit}".rstrip()


def quantity(value: float, unit: str) -> str:
    """Return a value in a unit of the job: mm, mm/min and mm/s2 as people read them, any other as it is."""
    if unit.startswith("mm"):
        return _each((value,), "", short=False, of=unit.removeprefix("mm"))
    return f"{round(value, 2):.7g} {unit}".rstrip()


def figure(length_mm: float) -> str:
    """Return a length as a drawing or an engraved part bears it: in mm always with two decimals."""
    return f"{length_mm:z.2f}" if _told.get()[0] is Units.MM else bare(length_mm)


def at_least(length_mm: float) -> str:
    """Return a length rounded up to what is set out by eye: a whole mm, or a 16th of an inch."""
    return mm(up(length_mm, _told.get()[0].step_mm))


def at_most(length_mm: float) -> str:
    """Return a length rounded down to what is set out by eye."""
    return mm(down(length_mm, _told.get()[0].step_mm))


@dataclass(frozen=True, slots=True)
class Told:
    """A sentence that is told later, in units that are not known yet: of a program, say, that is written for a controller in inches.

    In its text ``{:mm}`` and ``{:mm/min}`` stand for a quantity in that unit, ``{:up}`` for a length rounded up, ``{}`` for words.
    """

    text: str
    values: tuple[float | Words, ...]

    def __str__(self) -> str:
        return _Teller().vformat(self.text, self.values, {})


Words = str | Told


class _Teller(Formatter):
    def format_field(self, value: object, format_spec: str) -> str:
        if not isinstance(value, float | int):
            return str(value)
        return at_least(value) if format_spec == "up" else quantity(value, format_spec)


def counted(number: int, thing: str) -> str:
    """Return a number of things: 1 board, 2 boards."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def whole_minutes(seconds: float) -> str:
    """Return a time in whole minutes, from an hour on with hours."""
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02} min"


def printable(text: str) -> str:
    """Return text on one line: a blank for every character that can not be printed."""
    return "".join(char if char.isprintable() else " " for char in text)


def up(length_mm: float, step_mm: float) -> float:
    """Round a length up to the next step."""
    return round(math.ceil(length_mm / step_mm - 1e-9) * step_mm, 6) if math.isfinite(length_mm) else length_mm


def down(length_mm: float, step_mm: float) -> float:
    """Round a length down to the last step."""
    return round(math.floor(length_mm / step_mm + 1e-9) * step_mm, 6) if math.isfinite(length_mm) else length_mm


def listed(words: Sequence[str], joined: str = "or") -> str:
    """Join words as a sentence does: a, b or c."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {joined} {words[-1]}" if words else ""
