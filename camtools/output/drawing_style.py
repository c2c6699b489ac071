"""How our pictures look: pens, tones and letter sizes that stay apart in colour, in grey and on a poor print.

Kinds of line differ in dash and weight before they differ in colour. Fills differ by at least ten steps of lightness in a
hundred wherever they touch. The hues are blue and orange, which every common kind of colour blindness keeps apart.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["LETTERS", "PENS", "TONES", "Pen", "luminance"]


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
    "wood end": "#ecd9b0",
    "backing": "#d3c6ac",
    "plate": "#8d9297",
    "plate side": "#74797e",
    "bed": "#d9dcdf",
    "bed side": "#b4b9bd",
    "stop": "#4d5359",
    "stop top": "#6b7279",
    "stop side": "#3a3f44",
    "clamp": "#a9afb5",
    "clamp side": "#8a9096",
    "tip": "#bcd8ef",
    "top": "#84b4dc",
    "cutter": "#c3cad2",
    "push": "#e07b00",
}

LETTERS = {"title": 24.0, "label": 15.0, "small": 13.0, "mark": 18.0, "badge": 20.0}
"""Heights of letters in px: a picture 1280 px wide printed across 180 mm shows the smallest 1.8 mm high."""


def luminance(colour: str) -> float:
    """Relative luminance of ``#rrggbb``, 0 to 1 (WCAG 2.1, definition of relative luminance)."""
    channels = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
