"""How our pictures look: pens, tones and letter sizes that stay apart in colour, in grey and on a poor print.

Kinds of line differ in dash and weight before they differ in colour; fills that tell something apart differ in lightness.
The hues are blue and orange, which the common kinds of colour blindness keep apart.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["LETTERS", "PENS", "TONES", "Pen", "lightness"]


@dataclass(frozen=True, slots=True)
class Pen:
    """A line: colour, weight, and dash lengths in px, none for a solid line."""

    colour: str
    width_px: float
    dash_px: tuple[float, ...] = ()


PENS = {
    "outline": Pen("#000000", 2.0),
    "thin": Pen("#000000", 1.0),
    "hidden": Pen("#444444", 1.2, (7.0, 4.0)),
    "later": Pen("#444444", 1.1, (3.0, 3.0)),
    "axis": Pen("#000000", 1.0, (14.0, 4.0, 3.0, 4.0)),
    "rapid": Pen("#5a5a5a", 1.1, (9.0, 6.0)),
    "air": Pen("#b34700", 1.3, (1.5, 3.0)),
    "wood": Pen("#00367a", 2.0),
    "rough": Pen("#6a6a6a", 1.0),
    "band": Pen("#00367a", 0.9),
    "dimension": Pen("#000000", 1.0),
    "leader": Pen("#444444", 0.9),
    "tick": Pen("#000000", 1.4),
}

TONES = {
    "paper": "#ffffff",
    "ink": "#000000",
    "faint": "#555555",
    "wood": "#f7ead0",
    "wood side": "#e0c99b",
    "wood end": "#f3e4c4",
    "backing": "#b8a888",
    "plate": "#868b90",
    "plate side": "#6d7277",
    "bed": "#ced2d6",
    "bed side": "#a9aeb3",
    "stop": "#4d5359",
    "stop top": "#6b7279",
    "stop side": "#3a3f44",
    "clamp": "#a4abb1",
    "clamp side": "#8a9096",
    "tip": "#a3c8e8",
    "top": "#679fd2",
    "cutter": "#c3cad2",
    "push": "#e07b00",
}

LETTERS = {"title": 25.0, "label": 16.0, "small": 14.0, "mark": 18.0, "badge": 20.0}
"""Sizes of letters in px. Capitals are 0.73 of that: the smallest stand 2.2 mm high where 1280 px fill an A4 page turned sideways."""


def lightness(colour: str) -> float:
    """Lightness L* of ``#rrggbb``, 0 (black) to 100 (white): what is left of a colour in a grey print.

    From the luminance by the CIE 1976 formula (ISO/CIE 11664-4); the luminance by WCAG 2.1, "relative luminance".
    """
    channels = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    luminance = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    return 116 * luminance ** (1 / 3) - 16 if luminance > (6 / 29) ** 3 else luminance * (29 / 3) ** 3
