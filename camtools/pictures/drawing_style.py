"""How our pictures look: pens, tones and letter sizes that stay apart in colour, in grey and on a poor print.

Kinds of line differ in dash and weight before they differ in colour; fills that tell something apart differ in lightness.
The hues are blue and orange, which the common kinds of colour blindness keep apart.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["LETTERS", "PENS", "TONES", "Pen"]


@dataclass(frozen=True, slots=True)
class Pen:
    """A line: colour, weight, and dash lengths in px, none for a solid line."""

    colour: str
    width_px: float
    dash_px: tuple[float, ...] = ()


PENS = {
    "outline": Pen("#000000", 2.0),
    "thin": Pen("#000000", 1.0),
    "axis": Pen("#000000", 1.0, (14.0, 4.0, 3.0, 4.0)),
    "rapid": Pen("#5a5a5a", 1.1, (9.0, 6.0)),
    "air": Pen("#b34700", 1.3, (1.5, 3.0)),
    "wood": Pen("#00367a", 2.0),
    "band": Pen("#00367a", 0.9),
    "dimension": Pen("#000000", 1.0),
    "leader": Pen("#444444", 0.9),
    "hidden": Pen("#5a5a5a", 1.0, (5.0, 3.0)),
    "ghost": Pen("#00367a", 1.4, (5.0, 3.0)),
    "hatch": Pen("#8a1c1c", 0.9),
    "limit": Pen("#8a1c1c", 1.4, (7.0, 3.0)),
    "perhaps": Pen("#5b4423", 1.2, (4.0, 3.0)),
    "axes": Pen("#a0005a", 2.8),
}

TONES = {
    "paper": "#ffffff",
    "ink": "#000000",
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
    "cut": "#8a6b40",
    "into": "#00529c",
    "axes": "#a0005a",
    "pencil": "#5a5a5a",
}

LETTERS = {"title": 25.0, "label": 16.0, "small": 14.0, "mark": 18.0, "badge": 20.0}
"""Sizes of letters in px. Capitals are 0.73 of that: the smallest stand 2.2 mm high where 1280 px fill an A4 page turned sideways."""
