"""A sheet of paper to draw on, kept as SVG: px from the lower left corner, words as text, the same bytes every time.

Every word put down is remembered with its box, so that a picture can be asked whether any two overlap or leave the sheet.
The letters are those of whoever looks at it, so they are measured in a wide face: words are hardly ever wider than their box.
"""

from __future__ import annotations

import unicodedata
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from typing import Literal

import numpy as np
import shapely
from PIL import ImageFont

from camtools.pictures.drawing_style import LETTERS, PENS, TONES
from camtools.resources import letters

__all__ = ["XY", "Align", "Label", "Paper", "Scale", "rectangle"]

XY = tuple[float, float]
Align = Literal["left", "center", "right"]

_ANCHORS = {"left": "start", "center": "middle", "right": "end"}
_EM = 1000.0  # height in px at which letters are measured
_MARGIN_PX = 4.0
_PAD_PX = 3.0
_KNOWN = "\u0590"  # letters before it are in any face; those after it are fitted into their box


@dataclass(frozen=True, slots=True)
class Label:
    """Words on the paper and the box they fill: left, bottom, right, top."""

    text: str
    box: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Scale:
    """Maps mm to px: ``origin_mm`` lies at ``origin_px``."""

    px_per_mm: float
    origin_mm: XY
    origin_px: XY

    def at(self, x_mm: float, y_mm: float) -> XY:
        """Map one place."""
        return (
            self.origin_px[0] + self.px_per_mm * (x_mm - self.origin_mm[0]),
            self.origin_px[1] + self.px_per_mm * (y_mm - self.origin_mm[1]),
        )

    def of(self, points: np.ndarray) -> np.ndarray:
        """Map places, ``(..., 2)``."""
        mapped: np.ndarray = (points - np.array(self.origin_mm)) * self.px_per_mm + np.array(self.origin_px)
        return mapped


@lru_cache(maxsize=2)
def _face(bold: bool) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(letters(bold=bold), _EM, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=1024)
def _carry(letter: str, bold: bool) -> float:
    """How far a letter carries, in heights of the letters. Wide ones, such as Chinese, fill a square (Unicode, annex 11)."""
    return 1.0 if unicodedata.east_asian_width(letter) in "WF" else _face(bold).getlength(letter) / _EM


def _printable(text: str) -> str:
    """Replace what can not stand on one line: breaks by spaces, what is no letter by an open box."""
    return "".join(c if c.isprintable() else " " if c.isspace() else "\N{WHITE SQUARE}" for c in text)


def _width_px(text: str, size_px: float, bold: bool) -> float:
    return size_px * sum(_carry(letter, bold) for letter in text)


class Paper:
    """One picture in the making."""

    def __init__(self, width_px: int, height_px: int) -> None:
        self.size: tuple[int, int] = (width_px, height_px)
        self.labels: list[Label] = []
        self.signs: list[Label] = []  # that no words may cover
        self._told: list[str] = []
        self._views: list[str] = []
        self._drawn: list[str] = [f'<path fill="{TONES["paper"]}" d="M0 0H{width_px}V{height_px}H0Z"/>']

    def _path(self, shapes: Iterable[Sequence[XY] | np.ndarray], style: str, end: str = "") -> None:
        """Draw shapes as one path; ``end`` closes each of them."""
        if isinstance(shapes, np.ndarray) and shapes.size:  # of one length each: all at once
            places = self._places(shapes)
            shapes_px = [places[i : i + shapes.shape[1]] for i in range(0, len(places), shapes.shape[1])]
        else:
            shapes_px = [self._places(shape) for shape in shapes]
        outlines = (" ".join([f"{x:g} {y:g}" for x, y in shape]) for shape in shapes_px)
        if data := "".join([f"M{outline}{end}" for outline in outlines]):
            self._drawn.append(f'<path {style} d="{data}"/>')

    def _places(self, shape: Sequence[XY] | np.ndarray) -> list[list[float]]:
        """Map px from the lower left corner to SVG's, from the upper left."""
        places: list[list[float]] = (np.asarray(shape, dtype=float).reshape(-1, 2) * (1, -1) + (0, self.size[1])).round(1).tolist()
        return places

    def fill(self, shapes: Iterable[Sequence[XY] | np.ndarray], tone: str, pen: str | None = None, *, seen_through: bool = False) -> None:
        """Fill closed shapes with a tone, outlined by a pen if one is named; what lies below may show through."""
        opacity = ' fill-opacity="0.6"' if seen_through else ""
        self._path(shapes, f'fill="{TONES[tone]}"{opacity}{_stroke(pen)}', "Z")

    def fill_region(self, region: shapely.Geometry, scale: Scale, tone: str, pen: str | None = None) -> None:
        """Fill a region, its holes left open.

        Parameters
        ----------
        region
            Polygons, or a collection with some, in mm; what has no area leaves no mark.
        scale
            Where they lie on the paper.
        tone, pen
            Names of `TONES` and `PENS`, or KeyError; without a pen there is no outline.
        """
        rings = [
            scale.of(shapely.get_coordinates(ring))
            for polygon in shapely.get_parts(region)
            if polygon.geom_type == "Polygon" and not polygon.is_empty
            for ring in (polygon.exterior, *polygon.interiors)
        ]
        self._path(rings, f'fill="{TONES[tone]}" fill-rule="evenodd"{_stroke(pen)}', "Z")

    def draw(self, lines: Iterable[Sequence[XY] | np.ndarray], pen: str) -> None:
        """Draw open lines."""
        self._path(lines, f'fill="none" stroke-linejoin="round"{_stroke(pen)}')

    def dots(self, points: Sequence[XY] | np.ndarray, radius_px: float, tone: str, pen: str | None = None) -> None:
        """Put a round dot on every point.

        Parameters
        ----------
        points
            ``(n, 2)`` in px; none draws nothing.
        tone, pen
            Names of `TONES` and `PENS`, or KeyError; without a pen there is no outline.
        """
        r, wide = f"{radius_px:g}", f"{2 * radius_px:g}"
        round_ = f"a{r} {r} 0 1 0 {wide} 0a{r} {r} 0 1 0 -{wide} 0Z"
        if data := "".join([f"M{x - radius_px:.1f} {y:g}{round_}" for x, y in self._places(points)]):
            self._drawn.append(f'<path fill="{TONES[tone]}"{_stroke(pen)} d="{data}"/>')

    def tell(self, words: str, data: Mapping[str, str]) -> None:
        """Say in words what is shown, for who can not see it, and the same as data by name, in lower case letters."""
        attributes = " ".join(f'data-{name}="{escape(value)}"' for name, value in data.items())
        self._told.append(f"<g {attributes}><desc>{escape(_printable(words))}</desc></g>")

    def view(self, name: str, box: tuple[float, float, float, float]) -> None:
        """Name a part of the picture, left, bottom, right, top in px, that can be shown by itself: a view of SVG 1.1, section 17."""
        left, bottom, right, top = box
        part = f"{left:g} {self.size[1] - top:g} {right - left:g} {top - bottom:g}"
        self._views.append(f'<view id="{name}" viewBox="{part}" data-letters="{min(LETTERS.values()):g}"/>')

    def keep_free(self, box: tuple[float, float, float, float], name: str) -> None:
        """Remember a sign by its name and box, left, bottom, right, top, so that a picture can be asked whether words cover it."""
        self.signs.append(Label(name, box))

    def keep_line_free(self, start: XY, end: XY, half_px: float, name: str) -> None:
        """Remember a slanting sign by boxes along it, so far to each side."""
        steps = max(1, round(max(abs(end[0] - start[0]), abs(end[1] - start[1])) / (2 * half_px + 8)))
        for i in range(steps):
            (x0, y0), (x1, y1) = ((start[k] + (end[k] - start[k]) * share / steps for k in (0, 1)) for share in (i, i + 1))
            self.keep_free((min(x0, x1) - half_px, min(y0, y1) - half_px, max(x0, x1) + half_px, max(y0, y1) + half_px), name)

    def width_of(self, text: str, size: str = "label", bold: bool = False) -> float:
        """Width in px that words take."""
        return _width_px(_printable(text), LETTERS[size], bold)

    @staticmethod
    def height_of(size: str = "label") -> float:
        """Height in px of letters."""
        return LETTERS[size]

    def write(
        self,
        at: XY,
        text: str,
        *,
        size: str = "label",
        bold: bool = False,
        tone: str = "ink",
        align: Align = "left",
        room_px: float | None = None,
        ground: str | None = None,
    ) -> Label:
        """Write a line of words whose middle height stands at ``at``; too long for its room, it is cut with dots.

        Parameters
        ----------
        room_px
            Width to keep within; by default as far as the sheet goes.
        ground
            Tone of a box behind the words, so that lines do not run through them.
        """
        text, high = _printable(text), LETTERS[size]
        width = _width_px(text, high, bold)
        room = self._room(at[0], align) if room_px is None else room_px
        if width > room:
            text, width = _shortened(text, high, bold, room)
        left = at[0] - {"left": 0.0, "center": width / 2, "right": width}[align]
        box = (left, at[1] - high * 0.55, left + width, at[1] + high * 0.55)
        if ground:
            self.fill([rectangle(box[0] - _PAD_PX, box[1], box[2] + _PAD_PX, box[3])], ground)
        x, baseline = f"{at[0]:.1f}", f"{self.size[1] - at[1] + high * 0.36:.1f}"  # half the height of a capital
        style = f'font-size="{high:g}" fill="{TONES[tone]}" text-anchor="{_ANCHORS[align]}"'
        if bold:
            style += ' font-weight="bold"'
        if any(letter > _KNOWN and unicodedata.category(letter)[0] in "LMS" for letter in text):
            style += f' textLength="{width:.1f}" lengthAdjust="spacingAndGlyphs"'
        self._drawn.append(f'<text x="{x}" y="{baseline}" {style}>{escape(text)}</text>')
        label = Label(text, box)
        self.labels.append(label)
        return label

    def write_lines(self, at: XY, text: str, room_px: float, *, size: str = "label", bold: bool = False, most: int = 3) -> float:
        """Write words broken into lines; return the height in px at which the next line would stand.

        Parameters
        ----------
        at
            Left end of the first line, at the middle of its height, in px.
        room_px
            Width to keep within; a word that is wider is cut with dots.
        size
            A name of `LETTERS`, or KeyError.
        most
            Lines to write; what is over stands in the last, cut with dots.
        """
        lines = [""]
        for word in text.split():
            longer = f"{lines[-1]} {word}".strip()
            if lines[-1] and self.width_of(longer, size, bold) > room_px:
                lines.append(word)
            else:
                lines[-1] = longer
        if len(lines) > most:
            lines[most - 1 :] = [" ".join(lines[most - 1 :])]
        x, y = at
        for line in lines:
            self.write((x, y), line, size=size, bold=bold, room_px=room_px)
            y -= LETTERS[size] * 1.35
        return y

    def _room(self, x: float, align: Align) -> float:
        left, right = x - _MARGIN_PX, self.size[0] - _MARGIN_PX - x
        return {"left": right, "right": left, "center": 2 * min(left, right)}[align]

    def svg(self) -> bytes:
        """Return the picture as SVG (SVG 1.1): shapes and words, nothing that runs and nothing from elsewhere."""
        wide, high = self.size
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{high}" viewBox="0 0 {wide} {high}" font-family="sans-serif">'
        )
        return "\n".join([head, *self._views, *self._told, *self._drawn, "</svg>\n"]).encode()


def _stroke(name: str | None) -> str:
    """Return how a pen draws."""
    if name is None:
        return ""
    pen = PENS[name]
    dashes = f' stroke-dasharray="{" ".join(f"{part:g}" for part in pen.dash_px)}"' if pen.dash_px else ""
    return f' stroke="{pen.colour}" stroke-width="{pen.width_px:g}"{dashes}'


def rectangle(left: float, bottom: float, right: float, top: float) -> list[XY]:
    """Return the corners of an upright rectangle, counter-clockwise from the lower left one, in the unit of its sides."""
    return [(left, bottom), (right, bottom), (right, top), (left, top)]


def _shortened(text: str, high: float, bold: bool, room: float) -> tuple[str, float]:
    dots = "\N{HORIZONTAL ELLIPSIS}"
    fitting = bisect_right(range(1, len(text) + 1), room, key=lambda count: _width_px(text[:count] + dots, high, bold))
    short = text[:fitting].rstrip() + dots
    return short, _width_px(short, high, bold)
