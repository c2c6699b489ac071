"""A sheet of paper to draw on: px from the lower left corner, words as plain text, the same bytes every time.

Every word put down is remembered with its box, so that a picture can be asked whether any two overlap or leave the sheet.
"""

from __future__ import annotations

import io
import pathlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import matplotlib as mpl
import numpy as np
import shapely
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.collections import Collection, LineCollection, PathCollection, PolyCollection
from matplotlib.figure import Figure
from matplotlib.ft2font import FT2Font, LoadFlags
from matplotlib.path import Path
from matplotlib.transforms import Affine2D
from PIL import Image

from camtools.pictures.drawing_style import LETTERS, PENS, TONES, Pen

__all__ = ["XY", "Align", "Label", "Paper", "Scale"]

XY = tuple[float, float]
Align = Literal["left", "center", "right"]

_DPI = 100
_FONTS = pathlib.Path(mpl.get_data_path()) / "fonts" / "ttf"  # shipped with matplotlib, so alike everywhere
_BLENDS = 8  # steps from a colour to white: what soft edges of lines are rounded to
_EM = 1000.0  # height in px at which outlines of letters are taken
_MARGIN_PX = 4.0
_PAD_PX = 3.0


@dataclass(frozen=True, slots=True)
class Label:
    """Words on the paper and the box they fill: left, bottom, right, top."""

    text: str
    box: tuple[float, float, float, float]

    def overlaps(self, other: Label) -> bool:
        a, b = self.box, other.box
        return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


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
def _face(bold: bool) -> tuple[FT2Font, frozenset[int]]:
    face = FT2Font(str(_FONTS / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")))
    face.set_size(_EM, 72)
    return face, frozenset(face.get_charmap())


@lru_cache(maxsize=1024)
def _glyph(letter: str, bold: bool) -> tuple[np.ndarray, np.ndarray, float]:
    """Outline of a letter: points and path codes, and how far it carries, in heights of the letters."""
    face, _ = _face(bold)
    glyph = face.load_char(ord(letter), flags=LoadFlags.NO_HINTING)
    points, codes = face.get_path()
    return np.asarray(points) / _EM, np.asarray(codes), glyph.linearHoriAdvance / 65536 / _EM


def _printable(text: str, bold: bool) -> str:
    """Replace what can not be drawn on one line: breaks by spaces, unknown letters by an open box."""
    known = _face(bold)[1]
    return "".join(c if c.isprintable() and ord(c) in known else " " if c.isspace() else "\N{WHITE SQUARE}" for c in text)


def _width_px(text: str, size_px: float, bold: bool) -> float:
    return size_px * sum(_glyph(letter, bold)[2] for letter in text)


def _outlined(text: str, size_px: float, bold: bool, left: float, baseline: float) -> Path:
    """Words as one outline. Nothing in them can be taken for markup."""
    points, codes = [np.zeros((0, 2))], [np.zeros(0, dtype=np.uint8)]
    for letter in text:
        shape, code, carry = _glyph(letter, bold)
        points.append(shape * size_px + (left, baseline))
        codes.append(code)
        left += carry * size_px
    return Path(np.concatenate(points), np.concatenate(codes))


class Paper:
    """One picture in the making."""

    def __init__(self, width_px: int, height_px: int) -> None:
        self.size: tuple[int, int] = (width_px, height_px)
        self.labels: list[Label] = []
        self._figure = Figure(figsize=(width_px / _DPI, height_px / _DPI), dpi=_DPI, facecolor=TONES["paper"])
        self._inches = Affine2D().scale(1 / _DPI) + self._figure.dpi_scale_trans
        self._level = 0

    def _add(self, artist: Collection) -> None:
        self._level += 1
        artist.set_zorder(self._level)
        artist.set_transform(self._inches)
        self._figure.add_artist(artist)

    def fill(self, shapes: Iterable[Sequence[XY] | np.ndarray], tone: str, pen: str | None = None, hatch: str = "") -> None:
        """Fill closed shapes with a tone, outlined by a pen if one is named."""
        shapes = [np.asarray(shape, dtype=float) for shape in shapes]
        if not shapes:
            return
        edge = PENS[pen] if pen else None
        width = edge.width_px * 72 / _DPI if edge else 0.0
        colour = edge.colour if edge else TONES["ink"] if hatch else "none"
        made = PolyCollection(shapes, facecolors=TONES[tone], edgecolors=colour, linewidths=width, joinstyle="miter")
        if edge and edge.dash_px:
            made.set_linestyle(_dashes(edge))
        if hatch:
            made.set_hatch(hatch)
        self._add(made)

    def fill_region(self, region: shapely.Geometry, scale: Scale, tone: str, pen: str | None = None) -> None:
        """Fill a region in mm, its holes left open."""
        rings = [
            scale.of(shapely.get_coordinates(ring))
            for polygon in shapely.get_parts(region)
            if polygon.geom_type == "Polygon"
            for ring in (polygon.exterior, *polygon.interiors)
        ]
        if not rings:
            return
        edge = PENS[pen] if pen else None
        outline = Path.make_compound_path(*(Path(ring, closed=True) for ring in rings))
        width = edge.width_px * 72 / _DPI if edge else 0.0
        made = PathCollection([outline], facecolors=TONES[tone], edgecolors=edge.colour if edge else "none", linewidths=width)
        if edge and edge.dash_px:
            made.set_linestyle(_dashes(edge))
        self._add(made)

    def draw(self, lines: Iterable[Sequence[XY] | np.ndarray], pen: str) -> None:
        """Draw open lines."""
        lines = [np.asarray(line, dtype=float) for line in lines]
        if not lines:
            return
        style = PENS[pen]
        made = LineCollection(lines, colors=style.colour, linewidths=style.width_px * 72 / _DPI, capstyle="butt", joinstyle="round")
        if style.dash_px:
            made.set_linestyle(_dashes(style))
        self._add(made)

    def dots(self, points: Sequence[XY] | np.ndarray, radius_px: float, tone: str, pen: str | None = None) -> None:
        """Put a round dot on every point, outlined by a pen if one is named."""
        if len(points) == 0:
            return
        edge = PENS[pen] if pen else None
        made = PathCollection(
            [Path.unit_circle().transformed(Affine2D().scale(radius_px))],
            offsets=np.asarray(points, dtype=float),
            offset_transform=self._inches,
            facecolors=TONES[tone],
            edgecolors=edge.colour if edge else "none",
            linewidths=edge.width_px * 72 / _DPI if edge else 0.0,
        )
        self._add(made)

    def width_of(self, text: str, size: str = "label", bold: bool = False) -> float:
        """Width in px that words take."""
        return _width_px(_printable(text, bold), LETTERS[size], bold)

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
        text, high = _printable(text, bold), LETTERS[size]
        width = _width_px(text, high, bold)
        room = self._room(at[0], align) if room_px is None else room_px
        if width > room:
            text, width = _shortened(text, high, bold, room)
        left = at[0] - {"left": 0.0, "center": width / 2, "right": width}[align]
        box = (left, at[1] - high * 0.55, left + width, at[1] + high * 0.55)
        if ground:
            self.fill([_rectangle(box[0] - _PAD_PX, box[1], box[2] + _PAD_PX, box[3])], ground)
        outline = _outlined(text, high, bold, left, at[1] - high * 0.36)  # half the height of a capital
        self._add(PathCollection([outline], facecolors=TONES[tone], linewidths=0))
        label = Label(text, box)
        self.labels.append(label)
        return label

    def write_lines(
        self, at: XY, text: str, room_px: float, *, size: str = "label", bold: bool = False, tone: str = "ink", most: int = 3
    ) -> float:
        """Write words broken into lines from ``at`` down; return the height at which the next line would stand."""
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
            self.write((x, y), line, size=size, bold=bold, tone=tone, room_px=room_px)
            y -= LETTERS[size] * 1.35
        return y

    def _room(self, x: float, align: Align) -> float:
        left, right = x - _MARGIN_PX, self.size[0] - _MARGIN_PX - x
        return {"left": right, "right": left, "center": 2 * min(left, right)}[align]

    def png(self) -> bytes:
        """Return the picture as PNG, with no more in it than the picture."""
        canvas = FigureCanvasAgg(self._figure)
        canvas.draw()
        pixels = np.asarray(canvas.buffer_rgba())
        image = Image.fromarray(pixels[..., :3].copy())
        out = io.BytesIO()
        image.quantize(palette=_palette(), dither=Image.Dither.NONE).save(out, "png")
        return out.getvalue()

    def svg(self) -> bytes:
        """Return the picture as SVG; letters are outlines, so that it needs no font."""
        out = io.BytesIO()
        with mpl.rc_context({"svg.hashsalt": "camtools", "svg.fonttype": "path"}):
            FigureCanvasSVG(self._figure).print_svg(out, metadata={"Date": None, "Creator": None})
        self._figure.dpi = _DPI  # writing SVG sets it to 72
        return out.getvalue()


@lru_cache(maxsize=1)
def _palette() -> Image.Image:
    """Return the colours that the written picture may hold: ours, and steps from the lines' colours to white."""
    pure = [tuple(int(colour[i : i + 2], 16) for i in (1, 3, 5)) for colour in TONES.values()]
    inks = [tuple(int(pen.colour[i : i + 2], 16) for i in (1, 3, 5)) for pen in PENS.values()]
    inks += [(0, 0, 0), pure[list(TONES).index("push")]]
    blends = [tuple(round(c + (255 - c) * i / _BLENDS) for c in ink) for ink in dict.fromkeys(inks) for i in range(_BLENDS)]
    colours = list(dict.fromkeys([*pure, *blends]))
    image = Image.new("P", (1, 1))
    image.putpalette([channel for colour in colours for channel in colour])
    return image


def _dashes(pen: Pen) -> list[tuple[float, tuple[float, ...]]]:
    # matplotlib counts dashes in line widths
    return [(0.0, tuple(part / pen.width_px for part in pen.dash_px))]


def _rectangle(left: float, bottom: float, right: float, top: float) -> list[XY]:
    return [(left, bottom), (right, bottom), (right, top), (left, top)]


def _shortened(text: str, high: float, bold: bool, room: float) -> tuple[str, float]:
    dots = "\N{HORIZONTAL ELLIPSIS}"
    low, top = 0, len(text)
    while low < top:  # the longest beginning that fits with its dots
        middle = (low + top + 1) // 2
        if _width_px(text[:middle] + dots, high, bold) <= room:
            low = middle
        else:
            top = middle - 1
    short = text[:low].rstrip() + dots
    return short, _width_px(short, high, bold)
