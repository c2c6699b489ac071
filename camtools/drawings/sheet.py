"""A drawing in mm on paper, before it is a file: lines, areas and words, and how heavy and dark each is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise
from typing import Literal

from ezdxf.math import bulge_from_arc_angle

from camtools.geometry.curves import Curve, LineSegment
from camtools.templates.letters import line_of_text
from camtools.templates.outlines import Vertex, flattened

__all__ = [
    "LEAST_MM",
    "PENS",
    "WASTE",
    "Drawing",
    "LinePen",
    "Sheet",
    "SheetLine",
    "SheetText",
    "SheetView",
    "runs_of",
    "spread",
    "vertices_of",
]

Point = tuple[float, float]
Box = tuple[float, float, float, float]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class LinePen:
    """A line's width and grey (0 black), its dashes in mm, its colour number and meaning in a DXF file."""

    width_mm: float
    grey: float
    dash_mm: tuple[float, ...]
    colour: int
    meaning: str


PENS = {
    "outline": LinePen(0.5, 0.0, (), 7, "edges of the finished part"),
    "reference": LinePen(1.2, 0.0, (), 1, "the reference edge: everything is measured from it"),
    "hidden": LinePen(0.25, 0.25, (2.4, 1.2), 8, "edges behind the face that is seen, dashed"),
    "baseline": LinePen(0.35, 0.0, (6.0, 1.2, 1.0, 1.2), 5, "baselines: shoulders between tails"),
    "thin": LinePen(0.2, 0.0, (), 94, "dimensions and their leaders"),
    "letter": LinePen(0.28, 0.0, (), 7, "words and figures"),
    "heavy": LinePen(0.45, 0.0, (), 7, "titles"),
}
LEAST_MM = 1.7  # height of letters
WASTE = 0.82  # grey of what is cut away


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A line, or an area where ``fill`` (a grey from 0 to 1) is given; vertices are ``(x, y, bulge)`` in mm of paper."""

    vertices: tuple[Vertex, ...]
    pen: str | None
    closed: bool = False
    fill: float | None = None

    def sides(self) -> Iterator[tuple[Vertex, Vertex]]:
        """Return start and end of each straight or round part."""
        return pairwise([*self.vertices, *(self.vertices[:1] if self.closed else ())])

    @property
    def bounds_mm(self) -> Box:
        points = flattened(self.vertices, closed=self.closed)
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True, slots=True)
class SheetText:
    """A line of text: its place on paper, the height of its capitals in mm, and which part of it stands there."""

    text: str
    x_mm: float
    y_mm: float
    height_mm: float
    anchor: Anchor
    upright: bool  # reads upwards
    pen: str

    @property
    def width_mm(self) -> float:
        return line_of_text(self.text, self.height_mm)[2]

    @property
    def bounds_mm(self) -> Box:
        """Room that the text takes, tails of small letters included."""
        width, height = self.width_mm, self.height_mm
        start = {"start": 0.0, "middle": -width / 2, "end": -width}[self.anchor]
        if self.upright:
            return (self.x_mm - height / 2, self.y_mm + start, self.x_mm + height * 0.84, self.y_mm + start + width)
        return (self.x_mm + start, self.y_mm - height * 0.84, self.x_mm + start + width, self.y_mm + height / 2)

    def strokes(self) -> list[SheetLine]:
        """Return the text as it is drawn."""
        paths, closed, width = line_of_text(self.text, self.height_mm)
        shift = {"start": width / 2, "middle": 0.0, "end": -width / 2}[self.anchor]
        found = []
        for path in paths:
            moved = [(x + shift, y) for x, y in path]
            placed = tuple((self.x_mm - y, self.y_mm + x, 0.0) if self.upright else (self.x_mm + x, self.y_mm + y, 0.0) for x, y in moved)
            found.append(SheetLine(placed, None if closed else self.pen, closed, 0.0 if closed else None))
        return found


@dataclass(slots=True)
class Drawing:
    """Collects lines, areas and words; ``scale`` is how long a mm of wood is on paper."""

    items: list[SheetLine | SheetText]
    scale: float = 1.0

    def line(self, points: Iterable[Point], pen: str, *, closed: bool = False) -> None:
        """Draw straight lines through points of the wood."""
        self.curve([(x, y, 0.0) for x, y in points], pen, closed=closed)

    def curve(self, vertices: Iterable[Vertex], pen: str | None, *, closed: bool = False, fill: float | None = None) -> None:
        """Draw lines and arcs.

        Parameters
        ----------
        vertices
            ``(x, y, bulge)`` in mm of the wood.
        pen
            A name of `PENS`, or None for an area without an outline.
        fill
            Grey of the area within, from 0 (black) to 1; None leaves it open.
        """
        s = self.scale
        self.items.append(SheetLine(tuple((x * s, y * s, bulge) for x, y, bulge in vertices), pen, closed, fill))

    def area(self, points: Iterable[Point], fill: float, pen: str | None = None) -> None:
        """Fill an area of the wood."""
        self.curve([(x, y, 0.0) for x, y in points], pen, closed=True, fill=fill)

    def box(self, low: Point, high: Point, pen: str | None = "outline", fill: float | None = None) -> None:
        """Draw a rectangle of the wood, or fill it, between two corners."""
        self.curve([(*low, 0.0), (high[0], low[1], 0.0), (*high, 0.0), (low[0], high[1], 0.0)], pen, closed=True, fill=fill)

    def words(
        self,
        text: str,
        x_mm: float,
        y_mm: float,
        height_mm: float,
        anchor: Anchor = "middle",
        *,
        upright: bool = False,
        pen: str = "letter",
    ) -> None:
        """Write a line of text.

        Parameters
        ----------
        x_mm, y_mm
            On paper: that end or the middle of the text which ``anchor`` names, at half the height of its capitals.
        height_mm
            Of its capitals, on paper.
        pen
            A name of `PENS`: how heavy its letters are.
        """
        self.items.append(SheetText(text, x_mm, y_mm, height_mm, anchor, upright, pen))

    def words_within(self, room_mm: float, text: str, x_mm: float, y_mm: float, height_mm: float, *, pen: str = "letter") -> None:
        """Write a line of text from its start, smaller where it is long, and cut short where it would be too small to read.

        Parameters
        ----------
        room_mm
            Width to keep within, on paper.
        x_mm, y_mm, height_mm, pen
            As for `words`.
        """
        width = line_of_text(text, height_mm)[2]
        if width > room_mm:
            height_mm = max(LEAST_MM, height_mm * room_mm / width)
            while len(text) > 4 and line_of_text(text, height_mm)[2] > room_mm:
                text = text[:-4] + "..."
        self.words(text, x_mm, y_mm, height_mm, "start", pen=pen)

    def put(self, other: Drawing, dx_mm: float, dy_mm: float) -> None:
        """Put another drawing onto this one, moved on paper."""
        for item in other.items:
            if isinstance(item, SheetText):
                self.items.append(replace(item, x_mm=item.x_mm + dx_mm, y_mm=item.y_mm + dy_mm))
            else:
                moved = tuple((x + dx_mm, y + dy_mm, bulge) for x, y, bulge in item.vertices)
                self.items.append(SheetLine(moved, item.pen, item.closed, item.fill))

    def bounds_mm(self) -> Box:
        """Smallest x and y, largest x and y on paper."""
        boxes = [item.bounds_mm for item in self.items]
        return min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes)


@dataclass(frozen=True, slots=True)
class SheetView:
    """A part of a sheet that can be shown by itself: its box on paper, and the height of its smallest letters, in mm."""

    box_mm: Box
    least_mm: float


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drawing on its paper, ready to be a file."""

    stem: str  # file name without folder and ending
    title: str
    paper: str
    width_mm: float
    height_mm: float
    scale: tuple[int, int]  # 1:n as (1, n)
    items: tuple[SheetLine | SheetText, ...]
    picture: bool = False  # has no scale
    views: tuple[SheetView, ...] = ()

    def strokes(self) -> list[SheetLine]:
        """Return everything as lines and areas, words too."""
        return [stroke for item in self.items for stroke in (item.strokes() if isinstance(item, SheetText) else (item,))]


def runs_of(strokes: Iterable[SheetLine]) -> Iterator[tuple[str | None, float | None, list[SheetLine]]]:
    """Yield pen, fill and strokes of each run of strokes that look alike, in their order."""
    for (pen, fill), run in groupby(strokes, lambda stroke: (stroke.pen, stroke.fill)):
        yield pen, fill, list(run)


def vertices_of(curve: Curve) -> list[Vertex]:
    """Return a curve of straight and circular parts as vertices."""
    found: list[Vertex] = [
        (*part.start, 0.0 if isinstance(part, LineSegment) else bulge_from_arc_angle(math.radians(part.sweep_deg))) for part in curve
    ]
    found.append((*curve[-1].end, 0.0))
    return found


def spread(values: Sequence[float], apart: float) -> list[float]:
    """Move ascending values as little as can be, so that neighbours stand ``apart``: pooled means (isotonic regression)."""
    pools: list[tuple[float, int]] = []
    for i, value in enumerate(values):
        pools.append((value - i * apart, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (first, m), (second, n) = pools[-2:]
            pools[-2:] = [((first * m + second * n) / (m + n), m + n)]
    means = [mean for mean, count in pools for _ in range(count)]
    return [mean + i * apart for i, mean in enumerate(means)]
