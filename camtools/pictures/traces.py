"""Motion as short straight parts, for pictures: where it runs in wood, what it sweeps, and what a section shows of it.

A cutter standing on the point (x, y) with its tip at height z clears, at a height k above its tip, the disc of its radius
at k. What a straight part clears at one height is therefore the set of places no further from it than that radius.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from camtools.toolpath.moves import Arc, Cut, Point, Rapid

__all__ = ["CutRun", "Entry", "Traced", "entry_of", "runs_in_box", "section_of", "swept_of", "trace_of", "wood_shares"]

Floats = NDArray[np.float64]
Kind = Literal["rapid", "air", "wood"]
Whence = Literal["your side", "beyond the end", "the left", "the right", "above"]

_CHORD_MM = 0.05  # largest distance of an arc from its chords
_LEVELS = 7  # heights at which a leaning flank is taken in a section
_SAME_MM = 1e-6
_AT_ONCE = 24  # parts looked at; the first of them mostly meet the board
_BEFORE_MM, _AFTER_MM = 30.0, 16.0  # of the way to an entry and on from it, that is shown


@dataclass(frozen=True, slots=True)
class Traced:
    """A cut's motion from the end of its first move on: straight parts in mm.

    ``starts`` and ``ends`` are ``(n, 3)``, ``rapid`` is ``(n,)``.
    """

    starts: Floats
    ends: Floats
    rapid: NDArray[np.bool_]

    def deepest(self) -> Traced:
        """Return the parts that run at the lowest level."""
        level = self.ends[:, 2].min() + _SAME_MM
        keep = (self.starts[:, 2] <= level) & (self.ends[:, 2] <= level) & ~self.rapid
        return Traced(self.starts[keep], self.ends[keep], self.rapid[keep])


@dataclass(frozen=True, slots=True)
class CutRun:
    """Straight parts of one kind in XY, ``(n, 2, 2)``, no part twice; of those in wood, where they go in and come out."""

    kind: Kind
    parts: Floats
    entries: Floats  # (m, 2)
    exits: Floats  # (m, 2)


@dataclass(frozen=True, slots=True)
class Entry:
    """Where a cutter first meets a board: its place there, and the way that it comes and goes on, ``(n, 3)`` each, by feeds alone."""

    place: Point
    whence: Whence
    before: Floats  # ends at the place
    after: Floats  # starts there


def entry_of(cut: Cut, low: Sequence[float], high: Sequence[float]) -> Entry:
    """Return where a cut first meets a board, by its motion alone.

    Parameters
    ----------
    low, high
        Corners of the board's box, in mm of the machine frame.

    Raises
    ------
    ValueError
        If it never does.
    """
    trace = trace_of(cut)
    start, way = trace.starts, trace.ends - trace.starts
    i, share = next(_meetings(trace, low, high, cut.cutter.diameter_mm / 2), (-1, 0.0))
    if i < 0:
        raise ValueError("the cutter never meets the board")
    place = start[i] + share * way[i]
    came = i - int(np.argmax(trace.rapid[i::-1])) + 1 if trace.rapid[: i + 1].any() else 0
    goes = i + int(np.argmax(trace.rapid[i:])) if trace.rapid[i:].any() else len(start)
    before = np.concatenate([place[None], start[came : i + 1][::-1]])
    after = np.concatenate([place[None], trace.ends[i:goes]])
    x, y, z = place.tolist()
    return Entry((x, y, z), _whence(x, y, low, high), _first_of(before, _BEFORE_MM)[::-1], _first_of(after, _AFTER_MM))


def _meetings(trace: Traced, low: Sequence[float], high: Sequence[float], radius_mm: float) -> Iterator[tuple[int, float]]:
    """Yield the parts that meet a box, in order, each with the share of it at which it does."""
    for begin in range(0, len(trace.starts), _AT_ONCE):
        some = slice(begin, begin + _AT_ONCE)
        part = Traced(trace.starts[some], trace.ends[some], trace.rapid[some])
        first, last = _near_box(part, low, high, radius_mm)
        under, leaves = _between(part.starts[:, 2], part.ends[:, 2] - part.starts[:, 2], -math.inf, high[2] - _SAME_MM)
        share = np.maximum(np.maximum(first, under), 0.0)
        met = (share < np.minimum(np.minimum(last, leaves), 1.0)) & ~part.rapid
        yield from ((begin + int(i), float(share[i])) for i in np.flatnonzero(met))


def _whence(x: float, y: float, low: Sequence[float], high: Sequence[float]) -> Whence:
    """Say at which side of a board's box a place lies: at a corner, of which it is further away."""
    sides: tuple[tuple[float, Whence], ...] = (
        (low[1] - y, "your side"), (y - high[1], "beyond the end"), (low[0] - x, "the left"), (x - high[0], "the right")
    )  # fmt: skip
    over, whence = max(sides)
    return whence if over > _SAME_MM else "above"


def _first_of(places: Floats, most_mm: float) -> Floats:
    """Return the first so many mm of a way."""
    way = np.diff(places, axis=0)
    length = np.hypot(np.hypot(way[:, 0], way[:, 1]), way[:, 2])
    gone = np.concatenate([[0.0], np.cumsum(length)])
    keep = int(np.searchsorted(gone, most_mm))
    if keep >= len(places):
        return places
    share = (most_mm - gone[keep - 1]) / length[keep - 1]
    return np.concatenate([places[:keep], (places[keep - 1] + share * way[keep - 1])[None]])


def trace_of(cut: Cut) -> Traced:
    """Return a cut's motion as straight parts; arcs as chords within 0.05 mm."""
    points: list[Point] = [cut.moves[0].end]
    rapid: list[bool] = []
    for move in cut.moves[1:]:
        more = _along(points[-1], move) if isinstance(move, Arc) else [move.end]
        points.extend(more)
        rapid.extend([isinstance(move, Rapid)] * len(more))
    places = np.array(points, dtype=float)
    return Traced(places[:-1], places[1:], np.array(rapid, dtype=bool))


def _along(start: Point, arc: Arc) -> list[Point]:
    cx, cy = arc.centre
    radius = math.dist(start[:2], arc.centre)
    first = math.atan2(start[1] - cy, start[0] - cx)
    last = math.atan2(arc.end[1] - cy, arc.end[0] - cx)
    sign = -1.0 if arc.clockwise else 1.0
    sweep = (sign * (last - first)) % (2 * math.pi) or 2 * math.pi
    step = 2 * math.acos(max(0.0, 1 - _CHORD_MM / radius)) if radius > _CHORD_MM else math.pi / 2
    count = max(1, math.ceil(sweep / step))
    turn = first + sign * np.linspace(0.0, sweep, count + 1)
    places = np.column_stack([cx + radius * np.cos(turn), cy + radius * np.sin(turn), np.linspace(start[2], arc.end[2], count + 1)])
    return [*map(tuple, places[1:-1].tolist()), arc.end]


def runs_in_box(trace: Traced, low: Sequence[float], high: Sequence[float], radius_mm: float) -> tuple[CutRun, ...]:
    """Sort motion into traverses, feed in air and feed in wood; each may be empty.

    Parameters
    ----------
    low, high
        Corners of the board's box, in mm of the machine frame.
    radius_mm
        Of the disc that cuts: feed in wood is where it touches the box in XY below ``high[2]``.
    """
    first, last = (share[:, None] for share in wood_shares(trace, low, high, radius_mm))
    inside = (last > first)[:, 0]
    start, end = trace.starts[:, :2], trace.ends[:, :2]
    enter, leave = start + (end - start) * first, start + (end - start) * last
    feeds = ~trace.rapid
    air = np.concatenate([_pairs(start, enter)[feeds], _pairs(leave, end)[feeds]])
    runs_on = inside[:-1] & inside[1:] & (last[:-1, 0] >= 1 - 1e-9) & (first[1:, 0] <= 1e-9)
    fresh = inside & ~np.concatenate([[False], runs_on])
    ended = inside & ~np.concatenate([runs_on, [False]])
    none = np.zeros((0, 2))
    return (
        CutRun("rapid", _once(_pairs(start, end)[trace.rapid]), none, none),
        CutRun("air", _once(air), none, none),
        CutRun("wood", _once(_pairs(enter, leave)[inside]), _once(enter[fresh]), _once(leave[ended])),
    )


def wood_shares(trace: Traced, low: Sequence[float], high: Sequence[float], radius_mm: float) -> tuple[Floats, Floats]:
    """Return which share of each part is feed in wood, from and to, ``(n,)``: 0 and 0 where none is. As for `runs_in_box`."""
    first, last = _near_box(trace, low, high, radius_mm)
    below = np.minimum(trace.starts[:, 2], trace.ends[:, 2]) < high[2] - _SAME_MM
    inside = (last > first) & below & ~trace.rapid
    return np.where(inside, first, 0.0), np.where(inside, last, 0.0)


def _pairs(first: Floats, second: Floats) -> Floats:
    return np.stack([first, second], axis=1)


def _once(shapes: Floats) -> Floats:
    """Leave out parts without length and what was there already, to a hundredth of a mm."""
    if shapes.ndim == 3:
        shapes = shapes[np.hypot(*(shapes[:, 1] - shapes[:, 0]).T) > 0.01]
    flat = np.round(shapes.reshape(len(shapes), int(np.prod(shapes.shape[1:]))), 2)
    return shapes[np.sort(np.unique(flat, axis=0, return_index=True)[1])]


def _near_box(trace: Traced, low: Sequence[float], high: Sequence[float], radius: float) -> tuple[Floats, Floats]:
    """Share of each part, from and to, that lies no further than ``radius`` from a box: a convex shape, so one stretch."""
    near = shapely.box(low[0], low[1], high[0], high[1]).buffer(radius, quad_segs=64)
    start, way = trace.starts[:, :2], (trace.ends - trace.starts)[:, :2]
    met = shapely.intersection(shapely.linestrings(_pairs(start, start + way)), near)
    ends = [shapely.get_point(met, i) for i in (0, -1)]  # nothing, and then nan, for a part that does not come near
    places = np.stack([np.column_stack([shapely.get_x(end), shapely.get_y(end)]) for end in ends], axis=1)
    square = (way**2).sum(axis=1)
    still = square == 0
    shares = np.sort(((places - start[:, None]) * way[:, None]).sum(axis=2) / np.where(still, 1.0, square)[:, None], axis=1)
    shares[still] = np.where(shapely.intersects_xy(near, *start[still].T)[:, None], (0.0, 1.0), np.nan)
    none = np.isnan(shares[:, 0])
    return np.where(none, np.inf, shares[:, 0]), np.where(none, -np.inf, shares[:, 1])


def _between(at: Floats, way: Floats, low: float | Floats, high: float | Floats) -> tuple[Floats, Floats]:
    """Stretch of ``t`` in which ``at + t way`` lies between two bounds; empty (from inf) where it never does."""
    still = np.abs(way) < 1e-12
    safe = np.where(still, 1.0, way)
    one, two = (low - at) / safe, (high - at) / safe
    within = (at >= low - 1e-12) & (at <= high + 1e-12)
    first = np.where(still, np.where(within, -np.inf, np.inf), np.minimum(one, two))
    last = np.where(still, np.where(within, np.inf, -np.inf), np.maximum(one, two))
    return first, last


def swept_of(trace: Traced, radius_mm: float) -> shapely.Geometry:
    """What a disc of this radius sweeps in XY along the feed moves."""
    feeds = ~trace.rapid
    starts, ends = trace.starts[feeds, :2], trace.ends[feeds, :2]
    fresh = np.flatnonzero(np.concatenate([[True], np.any(starts[1:] != ends[:-1], axis=1)]))
    lines = [
        shapely.LineString([*starts[first:last], ends[last - 1]]) for first, last in zip(fresh, [*fresh[1:], len(starts)], strict=True)
    ]
    return shapely.MultiLineString(lines).buffer(radius_mm, quad_segs=12)


def section_of(cut: Cut, axis: Literal["x", "y"], at_mm: float) -> shapely.Geometry:
    """What a cut clears at its lowest level, up to Z 0, in the plane ``axis = at_mm``: the other axis across, Z upwards."""
    trace = trace_of(cut).deepest()
    depth = -float(trace.ends[:, 2].min())
    order = [0, 1] if axis == "y" else [1, 0]
    start, end = trace.starts[:, order], trace.ends[:, order]
    heights = np.linspace(0.0, depth, 2 if cut.cutter.angle_deg == 0 else _LEVELS)
    spans = [_span(start, end, at_mm, cut.cutter.radius_at(float(height))) for height in heights]
    lows, highs = np.array([span[0] for span in spans]).T, np.array([span[1] for span in spans]).T
    return shapely.union_all(list(_sides(lows, highs, heights - depth)))


def _sides(lows: Floats, highs: Floats, levels: Floats) -> Iterable[shapely.Polygon]:
    """One outline for each part that meets the plane: the cutter narrows upwards, so it may leave the plane on the way."""
    for low, high in zip(lows, highs, strict=True):
        met = low < high
        if met.sum() > 1:
            left, right = np.column_stack([low[met], levels[met]]), np.column_stack([high[met], levels[met]])
            yield shapely.Polygon(np.concatenate([left, right[::-1]]))


def _span(start: Floats, end: Floats, at: float, radius: float) -> tuple[Floats, Floats]:
    """Stretch of the line ``y = at`` no further than ``radius`` from each part; from inf to -inf where there is none."""
    low, high = np.full(len(start), np.inf), np.full(len(start), -np.inf)

    def join(enter: Floats, leave: Floats) -> None:
        met = enter <= leave
        low[met] = np.minimum(low[met], enter[met])
        high[met] = np.maximum(high[met], leave[met])

    for point in (start, end):
        inner = radius**2 - (at - point[:, 1]) ** 2
        half = np.sqrt(np.maximum(0.0, inner))
        join(np.where(inner >= 0, point[:, 0] - half, np.inf), np.where(inner >= 0, point[:, 0] + half, -np.inf))
    way = end - start
    length = np.hypot(way[:, 0], way[:, 1])
    unit = way / np.where(length > 0, length, 1.0)[:, None]
    rise = at - start[:, 1]
    along = _between(rise * unit[:, 1], unit[:, 0], 0.0, length)
    beside = _between(-rise * unit[:, 0], unit[:, 1], -radius, radius)
    enter, leave = np.maximum(along[0], beside[0]), np.minimum(along[1], beside[1])
    solid = (length > 0) & np.isfinite(enter) & np.isfinite(leave)
    join(np.where(solid, start[:, 0] + enter, np.inf), np.where(solid, start[:, 0] + leave, -np.inf))
    return low, high
