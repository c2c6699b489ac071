"""Lengths, feeds, slopes and temperatures as a maker writes them: a number, or a string with its unit."""

from __future__ import annotations

import math
import re
from fractions import Fraction

__all__ = [
    "ANGLE_PATTERN",
    "FEED_PATTERN",
    "LENGTH_PATTERN",
    "TEMPERATURE_PATTERN",
    "parse_angle",
    "parse_feed",
    "parse_length",
    "parse_temperature",
]

_DECIMAL = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
_UNIT = r"(?:mm|cm|m|inches|inch|in|feet|foot|ft|\"|\u2033)"
_FRACTION = r"(?:[0-9]+(?: +| ?- ?))?[0-9]+ ?/ ?[0-9]+"

# The patterns are in the dialect that Python and JSON Schema share. In a job in mm a fraction needs its unit, which patterns can not know.
LENGTH_PATTERN = rf"^ *(?:{_DECIMAL}|{_FRACTION}) *{_UNIT}? *$"
FEED_PATTERN = rf"^ *{_DECIMAL} *(?:(?:mm|cm|m|inches|inch|in)/min|mm/s)? *$"
ANGLE_PATTERN = rf"^ *(?:{_DECIMAL} *(?:deg|degrees|\u00b0)?|1 ?: ?{_DECIMAL}) *$"
TEMPERATURE_PATTERN = rf"^ *-?{_DECIMAL} *\u00b0? *[CF]? *$"

_PLAIN = re.compile(rf" *(-?{_DECIMAL}) *({_UNIT}?) *")
_MIXED = re.compile(rf" *(?:([0-9]+)(?: +| ?- ?))?([0-9]+) ?/ ?([0-9]+) *({_UNIT}?) *")
_FEED = re.compile(rf" *(-?{_DECIMAL}) *((?:mm|cm|m|inches|inch|in)/min|mm/s)? *")
_ANGLE = re.compile(rf" *(-?{_DECIMAL}) *(?:deg|degrees|\u00b0)? *")
_TEMPERATURE = re.compile(rf" *(-?{_DECIMAL}) *\u00b0? *([CF]?) *")
_RATIO = re.compile(rf" *1 ?: ?({_DECIMAL}) *")
_COMMA = re.compile(r"[0-9],[0-9]")
_LONGEST = 40  # characters; far beyond any length that means something

_INCH = Fraction(254, 10)
_BARE = {"mm": Fraction(1), "in": _INCH}  # what a number without a unit is, by the job's units
_NAMES = {"mm": "mm", "in": "inches"}
_MM = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)} | dict.fromkeys(("feet", "foot", "ft"), 12 * _INCH)
_PER_MINUTE = {"mm/min": Fraction(1), "cm/min": Fraction(10), "m/min": Fraction(1000), "mm/s": Fraction(60)}


def parse_length(value: object, units: str = "mm") -> float:
    """Return a length in mm.

    Parameters
    ----------
    value
        A number is in the units. A string may carry its own: ``"19 mm"``, ``"1.9 cm"``, ``"3/4 in"``, ``"1 1/2 in"``, ``'23/32"'``.
    units
        Of the job: "mm" or "in".

    Raises
    ------
    ValueError
        With a sentence that says what to write instead.
    """
    if not isinstance(value, str):
        wanted = f'a number of {_NAMES[units]}, or a string with its unit, such as "19 mm" or "3/4 in"'
        return _number(value, wanted) * float(_BARE[units])
    text = _short(value)
    if found := _PLAIN.fullmatch(text):
        return float(Fraction(found[1]) * (_MM.get(found[2], _INCH) if found[2] else _BARE[units]))
    if found := _MIXED.fullmatch(text):
        whole, above, below, unit = found.groups()
        if not unit and units == "mm":
            raise ValueError(f'a fraction needs its unit: write "{text.strip()} in"')
        if int(below) == 0:
            raise ValueError("a fraction can not be divided by nought")
        return float((int(whole or 0) + Fraction(int(above), int(below))) * _MM.get(unit, _INCH))
    wanted = f'write a number of {_NAMES[units]}, or a string with its unit, such as "19 mm", "1.9 cm", "3/4 in" or "1 1/2 in"'
    raise ValueError(_hint(text) or wanted)


def parse_feed(value: object, units: str = "mm") -> float:
    """Return a feed in mm/min, from a number in the units of the job or a string such as ``"60 in/min"``. Raises ValueError."""
    wanted = f'a number of {units}/min, or a string with its unit, such as "1500 mm/min" or "60 in/min"'
    if not isinstance(value, str):
        return _number(value, wanted) * float(_BARE[units])
    text = _short(value)
    if found := _FEED.fullmatch(text):
        return float(Fraction(found[1]) * (_PER_MINUTE.get(found[2], _INCH) if found[2] else _BARE[units]))
    raise ValueError(_hint(text) or f"write {wanted}")


def parse_angle(value: object) -> float:
    """Return an angle in degrees, from a number, ``"14 deg"``, or a slope such as ``"1:8"``. Raises ValueError."""
    wanted = 'a number of degrees, or a slope, such as "1:8"'
    if not isinstance(value, str):
        return _number(value, wanted)
    text = _short(value)
    if found := _ANGLE.fullmatch(text):
        return float(found[1])
    if (found := _RATIO.fullmatch(text)) and float(found[1]) > 0:
        return math.degrees(math.atan(1 / float(found[1])))
    raise ValueError(_hint(text) or f"write {wanted}")


def parse_temperature(value: object) -> float:
    """Return a temperature in degrees Celsius.

    Parameters
    ----------
    value
        A number is degrees Celsius. A string may carry its scale: ``"21 C"``, ``"70 F"``.

    Raises
    ------
    ValueError
        With a sentence that says what to write instead.
    """
    words = 'write a number of degrees Celsius, or a string such as "70 F"'
    if not isinstance(value, str):
        return _number(value, words)
    found = _TEMPERATURE.fullmatch(_short(value))
    if not found:
        raise ValueError(words)
    degrees = Fraction(found[1])
    return float((degrees - 32) / Fraction(9, 5) if found[2] == "F" else degrees)


def _number(value: object, wanted: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"write {wanted}")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise ValueError("write a finite number")
    return number


def _short(text: str) -> str:
    if len(text) > _LONGEST:
        raise ValueError(f"write it in at most {_LONGEST} characters")
    return text


def _hint(text: str) -> str:
    if _COMMA.search(text):
        return f'use a point, not a comma: "{text.strip().replace(",", ".")}"'
    return ""
