"""Letters for engraving: single strokes of our own, or the outlines of a typeface where a machine wants areas.

A stroke letter is written on a grid: ``xy`` pairs of digits, a capital from y = 2 (baseline) to y = 8, a small letter to 6,
tails down to 0; strokes are parted by semicolons. Strokes of a letter touch or cross but never lie on one another.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from camtools.resources import letters

if TYPE_CHECKING:  # slow to import
    from ezdxf.fonts.ttfonts import TTFontRenderer

__all__ = ["line_of_text", "outline_paths", "stroke_paths", "stroke_width_mm"]

Point = tuple[float, float]
Path = tuple[Point, ...]

_APART = 0.08  # between outlined letters, of their height
_UNITS = 100.0  # of a typeface, to its height
_WORD_SPACE, _CHORD = 32.0, 0.02  # in these units; the chord's distance from its curve
_BASE, _CAPITAL, _BETWEEN = 2, 6, 2

_STROKES = {
    " ": (2, ""),
    "A": (4, "02 28 42;15 35"),
    "B": (4, "02 08 38 47 46 35 05;35 44 43 32 02"),
    "C": (4, "47 38 18 07 03 12 32 43"),
    "D": (4, "02 08 28 46 44 22 02"),
    "E": (4, "48 08 02 42;05 35"),
    "F": (4, "48 08 02;05 35"),
    "G": (4, "47 38 18 07 03 12 32 43 45 25"),
    "H": (4, "02 08;42 48;05 45"),
    "I": (0, "02 08"),
    "J": (3, "38 33 22 12 03"),
    "K": (4, "02 08;48 04;15 42"),
    "L": (4, "08 02 42"),
    "M": (4, "02 08 25 48 42"),
    "N": (4, "02 08 42 48"),
    "O": (4, "12 03 07 18 38 47 43 32 12"),
    "P": (4, "02 08 38 47 45 34 04"),
    "Q": (4, "12 03 07 18 38 47 43 32 12;24 42"),
    "R": (4, "02 08 38 47 46 35 05;25 42"),
    "S": (4, "47 38 18 07 06 15 35 44 43 32 12 03"),
    "T": (4, "08 48;22 28"),
    "U": (4, "08 03 12 32 43 48"),
    "V": (4, "08 22 48"),
    "W": (4, "08 12 26 32 48"),
    "X": (4, "02 48;08 42"),
    "Y": (4, "08 25 48;25 22"),
    "Z": (4, "08 48 02 42"),
    "a": (3, "35 26 16 05 03 12 22 33;36 32"),
    "b": (3, "08 02;05 16 26 35 33 22 12 03"),
    "c": (3, "35 26 16 05 03 12 22 33"),
    "d": (3, "38 32;35 26 16 05 03 12 22 33"),
    "e": (3, "04 34 35 26 16 05 03 12 22 33"),
    "f": (3, "38 28 17 12;06 26"),
    "g": (3, "35 26 16 05 03 12 22 33;36 31 20 10 01"),
    "h": (3, "08 02;05 16 26 35 32"),
    "i": (0, "02 06;07 08"),
    "j": (2, "26 21 10 00;27 28"),
    "k": (3, "08 02;36 03;14 32"),
    "l": (1, "08 03 12"),
    "m": (4, "02 06;05 16 25 22;25 36 45 42"),
    "n": (3, "02 06;05 16 26 35 32"),
    "o": (3, "12 03 05 16 26 35 33 22 12"),
    "p": (3, "00 06;05 16 26 35 33 22 12 03"),
    "q": (3, "30 36;35 26 16 05 03 12 22 33"),
    "r": (2, "02 06;05 16 26"),
    "s": (3, "35 26 16 05 14 24 33 22 12 03"),
    "t": (2, "18 13 22;06 26"),
    "u": (3, "06 03 12 22 33;36 32"),
    "v": (4, "06 22 46"),
    "w": (4, "06 12 25 32 46"),
    "x": (3, "02 36;06 32"),
    "y": (4, "46 22 10;06 22"),
    "z": (3, "06 36 02 32"),
    "0": (4, "12 03 07 18 38 47 43 32 12"),
    "1": (4, "16 28 22;12 32"),
    "2": (4, "07 18 38 47 46 02 42"),
    "3": (4, "07 18 38 47 46 35 25;35 44 43 32 12 03"),
    "4": (4, "32 38 04 44"),
    "5": (4, "48 08 05 35 44 43 32 12 03"),
    "6": (4, "47 38 18 07 03 12 32 43 44 35 15 04"),
    "7": (4, "08 48 22"),
    "8": (4, "15 06 07 18 38 47 46 35 15 04 03 12 32 43 44 35"),
    "9": (4, "03 12 32 43 47 38 18 07 06 15 35 46"),
    ".": (1, "02 12 13 03 02"),
    ",": (1, "13 12 01"),
    ":": (1, "02 12 13 03 02;05 15 16 06 05"),
    ";": (1, "13 12 01;05 15 16 06 05"),
    "-": (3, "05 35"),
    "_": (4, "02 42"),
    "+": (4, "05 45;23 27"),
    "/": (3, "02 38"),
    "(": (1, "18 07 03 12"),
    ")": (1, "08 17 13 02"),
    "=": (4, "04 44;06 46"),
    "<": (3, "33 05 37"),
    ">": (3, "03 35 07"),
    "'": (0, "07 08"),
    "?": (4, "07 18 38 47 46 25 24;22 23"),
    "!": (0, "04 08;02 03"),
    "%": (4, "02 48;08 18 17 07 08;42 32 33 43 42"),
    "&": (4, "42 06 07 18 28 37 36 04 03 12 22 44"),
    "#": (4, "12 18;32 38;04 44;06 46"),
    "*": (4, "24 28;07 45;05 47"),
    '"': (1, "07 08;17 18"),
    "[": (1, "18 08 02 12"),
    "]": (1, "08 18 12 02"),
    "\N{MULTIPLICATION SIGN}": (3, "03 36;06 33"),
    "\N{DEGREE SIGN}": (2, "07 18 27 16 07"),
    "\N{PLUS-MINUS SIGN}": (4, "06 46;24 28;02 42"),
}
_UNKNOWN = (4, "02 42 48 08 02")
_SPELLED = {"ß": "ss", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L", "\N{EN DASH}": "-"}


def _spelled(text: str) -> str:
    """Return text in letters that we have: accents fall away."""
    known = "".join(_SPELLED.get(char, char) for char in text)
    return "".join(char for char in unicodedata.normalize("NFKD", known) if not unicodedata.combining(char))


@cache
def _glyph(char: str) -> tuple[int, tuple[Path, ...]]:
    width, drawn = _STROKES.get(char, _UNKNOWN)
    paths = tuple(tuple((float(pair[0]), float(int(pair[1]) - _BASE)) for pair in stroke.split()) for stroke in drawn.split(";") if stroke)
    return width, paths


def _kept(text: str) -> str:
    return text if all(char in _STROKES for char in text) else _spelled(text)


def stroke_width_mm(text: str, height_mm: float) -> float:
    """Width of a line of stroke letters whose capitals are ``height_mm`` high."""
    units = sum(_glyph(char)[0] + _BETWEEN for char in _kept(text)) - _BETWEEN
    return max(0, units) * height_mm / _CAPITAL


def stroke_paths(text: str, height_mm: float) -> list[Path]:
    """Return the strokes of a line of text about its middle: open paths in mm."""
    scale = height_mm / _CAPITAL
    x, paths = -stroke_width_mm(text, height_mm) / 2, []
    for char in _kept(text):
        width, strokes = _glyph(char)
        paths += [tuple((x + a * scale, (b - _CAPITAL / 2) * scale) for a, b in stroke) for stroke in strokes]
        x += (width + _BETWEEN) * scale
    return paths


def outline_paths(text: str, height_mm: float) -> list[Path]:
    """Return the outlines of a line of text about its middle, in a sans serif typeface: closed paths, first point not repeated.

    Letters stand apart by their own widths: kerned letters may touch, and what touches is burned twice.
    """
    capital = _outlined("H")[1]
    scale = height_mm / max(y for path in capital for _, y in path)
    x, paths = 0.0, []
    for char in text:
        width, outlines = _outlined(char if char.isprintable() else "?")
        paths += [tuple((x + a * scale, b * scale) for a, b in outline) for outline in outlines]
        x += width * scale + _APART * height_mm
    return [tuple((round(a - x / 2, 4), round(b - height_mm / 2, 4)) for a, b in path) for path in paths]


@cache
def _typeface() -> TTFontRenderer:
    """Return what draws the letters of a typeface."""
    from ezdxf.fonts.ttfonts import TTFontRenderer
    from fontTools.ttLib import TTFont

    return TTFontRenderer(TTFont(letters()))


@cache
def _outlined(char: str) -> tuple[float, tuple[Path, ...]]:
    """Return width and outlines of one letter, in units of its typeface."""
    face = _typeface()
    if ord(char) not in face.cmap:
        return 50.0, (((5.0, 0.0), (45.0, 0.0), (45.0, 70.0), (5.0, 70.0)),)
    unit = _UNITS / face.font["head"].unitsPerEm
    drawn = [part for part in face.get_glyph_path(char).to_path().sub_paths() if len(part)]
    outlines = [tuple((x * unit, y * unit) for x, y, _ in part.flattening(_CHORD / unit))[:-1] for part in drawn]
    if not outlines:
        return _WORD_SPACE, ()
    across = [x for outline in outlines for x, _ in outline]
    return max(0.0, min(across)) + max(across), tuple(outlines)


@lru_cache(4096)  # a line is measured before it is drawn, and drawn into several files
def line_of_text(text: str, height_mm: float) -> tuple[Sequence[Path], bool, float]:
    """Return a line of text about its middle, whether its paths are closed outlines, and its width.

    Strokes where we have every letter; a typeface's outlines for a text in other letters.
    """
    if all(char in _STROKES for char in _kept(text)):
        return stroke_paths(text, height_mm), False, stroke_width_mm(text, height_mm)
    paths = outline_paths(text, height_mm)
    across = [x for path in paths for x, _ in path] or [0.0]
    return paths, True, max(across) - min(across)
