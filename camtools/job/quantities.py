"""What may stand in one place of the job file: a length, a feed, an angle, a plain number, a name; each with its limits.

One is written into a type as ``Annotated[float, length(2, 60)]``. pydantic reads from it how to check a value, and the schema
how an editor completes one.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NoReturn

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from camtools.job.lengths import (
    ANGLE_PATTERN,
    FEED_PATTERN,
    LENGTH_PATTERN,
    TEMPERATURE_PATTERN,
    parse_angle,
    parse_feed,
    parse_length,
    parse_temperature,
)
from camtools.wording import MM_PER_INCH, quantity, span

__all__ = ["AMISS", "LONGEST_NAME", "Name", "Quantity", "acceleration", "angle", "feed", "length", "number", "temperature"]

AMISS = (
    "amiss"  # the type of every error raised here; its context holds "problem", "found", "limit", "values" and "units" that may be meant
)
LONGEST_NAME = 80  # characters: what fits a table, a program's head and a picture

_NEAR = 1.5  # a value off its limit by no more than this factor is one of another size rather than of another unit
_UNPRINTABLE = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}  # controls, marks without a shape, line breaks: Unicode general categories


def _refuse(problem: str, limit: str, found: str = "", values: Sequence[object] = (), units: str = "") -> NoReturn:
    raise PydanticCustomError(
        "amiss", "{problem}", {"problem": problem, "found": found, "limit": limit, "values": tuple(values), "units": units}
    )


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number between two limits, both allowed, in a unit that may be written with it; without one it is in the job's units."""

    low: float
    high: float
    unit: str
    parse: Callable[[object, str], float]  # of a value, by the units of the job
    pattern: str | None  # of the strings that stand for one; None where only a bare number does

    def read(self, value: object, info: ValidationInfo) -> float:
        """Return the value in ``unit``, or raise a pydantic error of the type ``AMISS``. Its context holds the job's ``units``."""
        units = (info.context or {}).get("units", "mm")
        limit = span(self.low, self.high, self.unit)
        try:
            size = self.parse(value, units) + 0.0
        except ValueError as fault:
            _refuse("can not be read", f"{limit}; {fault}", values=[one for one in _guesses(value) if self._holds(one, units)])
        if not self._holds(value, units):
            problem = "is below nought" if size < 0 else "is too small" if size < self.low else "is too large"
            meant = [one for one in self._meant(value, size, units) if self._holds(one, units)]
            other = "mm" if units == "in" else "in"
            _refuse(problem, limit, quantity(size, self.unit), meant, other if self._holds(value, other) else "")
        return size

    def _holds(self, value: object, units: str) -> bool:
        try:
            return self.low <= self.parse(value, units) <= self.high
        except ValueError:
            return False

    def _meant(self, value: object, size: float, units: str) -> Iterator[object]:
        """Yield what may be meant by a value beyond the limits: a limit that is near, less its minus, another unit; then the limit."""
        limit = self.low if size < self.low else self.high
        near = limit / _NEAR <= size <= limit * _NEAR
        parts = MM_PER_INCH if units == "in" and self.unit.startswith("mm") else 1.0
        if near:
            yield limit / parts
        if size < 0:
            yield -size / parts
        if self.pattern == LENGTH_PATTERN:
            bare = str(value).strip()
            if bare[-1:].isdigit():
                yield f"{bare} {'mm' if units == 'in' else 'in'}"
            yield from (size * 10 / parts, size / 10 / parts, size / MM_PER_INCH / parts)
        if not near:
            yield limit / parts

    def examples(self) -> tuple[float, ...]:
        """Return values that may stand here, plain ones."""
        span = self.high - self.low
        return tuple(float(f"{self.low + part * span:.2g}") for part in (0.05, 0.2, 0.5))

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        least = self.low / MM_PER_INCH if self.unit.startswith("mm") else self.low  # the job may be in inches
        bare: dict[str, Any] = {"type": "number", "minimum": least, "maximum": self.high}
        return bare if self.pattern is None else {"anyOf": [bare, {"type": "string", "pattern": self.pattern}]}


def length(low_mm: float, high_mm: float) -> Quantity:
    """A length: a number in the job's units, or a string with its unit."""
    return Quantity(low_mm, high_mm, "mm", parse_length, LENGTH_PATTERN)


def feed(low_mm_min: float, high_mm_min: float) -> Quantity:
    """A feed: a number in the job's units a minute, or a string with its unit."""
    return Quantity(low_mm_min, high_mm_min, "mm/min", parse_feed, FEED_PATTERN)


def angle(low_deg: float, high_deg: float) -> Quantity:
    """An angle: a number of degrees, or a slope."""
    return Quantity(low_deg, high_deg, "degrees", lambda value, _: parse_angle(value), ANGLE_PATTERN)


def acceleration(low_mm_s2: float, high_mm_s2: float) -> Quantity:
    """An acceleration: a number in the job's units by the second squared."""
    return Quantity(low_mm_s2, high_mm_s2, "mm/s2", lambda value, units: _bare(value, f"{units}/s2", units), None)


def temperature(low_c: float, high_c: float) -> Quantity:
    """A temperature: a number of degrees Celsius, or a string with its scale."""
    return Quantity(low_c, high_c, "degrees C", lambda value, _: parse_temperature(value), TEMPERATURE_PATTERN)


def number(low: float, high: float, unit: str = "") -> Quantity:
    """A number that is written without its unit."""
    return Quantity(low, high, unit, lambda value, _: _bare(value, unit), None)


def _bare(value: object, unit: str, units: str = "mm") -> float:
    if isinstance(value, str):
        raise ValueError(f"write a number{' of ' + unit if unit else ''}, without quotes")
    try:
        return parse_length(value, units)
    except ValueError:
        raise ValueError(f"write a number{' of ' + unit if unit else ''}") from None


_NUMBER = re.compile(r"-?[0-9]*[.,]?[0-9]+(?:\s*/\s*[0-9]+)?")


def _guesses(value: object) -> Iterator[object]:
    """Yield what may be meant by a value that can not be read: with a point, with or without a unit, the first number in it."""
    if not isinstance(value, str):
        return
    text = value.strip().replace(",", ".").replace("''", '"').replace("\u2032", "'").replace("'", " ft")
    yield text
    yield f"{text} in"
    for found in _NUMBER.findall(text):
        yield f"{found} in" if "/" in found else float(found)


class Name:
    """A name for people: any text that can be printed, for what reads it knows how to make it harmless."""

    def read(self, value: object) -> str:
        """Return the text without blanks around it, or raise a pydantic error of the type ``AMISS``."""
        limit = f"1 to {LONGEST_NAME} characters"
        if not isinstance(value, str):
            _refuse("is not a text", limit, values=[str(value)])
        text = value.strip()
        if not text:
            _refuse("is empty", limit)
        if len(text) > LONGEST_NAME:
            _refuse("is too long", limit, f"{len(text)} characters", [text[:LONGEST_NAME].strip()])
        hidden = sorted({char for char in text if unicodedata.category(char) in _UNPRINTABLE})
        if hidden:
            found = ", ".join(f"U+{ord(char):04X}" for char in hidden)
            plain = "".join(" " if char in hidden else char for char in text)
            _refuse("holds what can not be printed", "letters, digits, signs and blanks", found, [" ".join(plain.split())])
        return text

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, "maxLength": LONGEST_NAME, "pattern": r"\S"}
