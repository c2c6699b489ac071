"""Where a cutter's teeth enter and leave wood that nothing backs: how much of those lines a light pass scored before any deep one.

Both lies at the level of the deepest pass of a joint. The entry line lies in the face that the cutter comes in from, the
operator's of an upright board, the end of a flat one; the edge lines in the board's two edges, beside half pins. Where a light
pass did not cut their fibres, a deep one breaks them out; at an edge it does so only where teeth leave the wood there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from camtools.output.manifest import ToolEntry, Triple
from camtools.verify.carving.carve import BoardWork, board_box
from camtools.verify.carving.strokes import points_along
from camtools.verify.carving.sweep import Box
from camtools.verify.reader.motion import Motion, Point

__all__ = ["LIGHT_MM", "ScoredLine", "edge_lines", "entry_line"]

LIGHT_MM = 1.0  # a pass no deeper than this scores a face: common practice, no source
_LEVEL_MM = 0.02  # passes so near to the deepest one are as deep
_CELL_MM = 0.05  # along a line
_STEP_MM = 0.2  # along a way
_TOUCH_MM = 0.01  # a cutter that goes no deeper only touches
_SAGITTA_MM = 0.01
_AT_ONCE = 1_000  # places of a way, so that memory stays bounded
_TURN = math.cos(math.radians(20.0))  # a way that turns more sharply is another pass

Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ScoredLine:
    """A line along which wood is taken away in the end, all parts of it together."""

    length_mm: float
    scored: float  # share of it that a light pass cut before any deep one; of an edge also where no teeth leave the wood
    file: str  # the program that took the longest part that is not scored
    line: int


@dataclass(frozen=True, slots=True)
class _Pass:
    """A way of a cutter's axis ``(n, 2)`` at the level of the line and without a sharp turn, in the machine frame."""

    places: Numbers
    radius_mm: float
    file: str
    line: int


@dataclass(frozen=True, slots=True)
class _Face:
    """The part of a face where a line lies: from ``low`` to ``high`` along X or Y, at ``at`` on the other axis, wood on one side."""

    along: int  # 0: X, 1: Y
    low: float
    high: float
    at: float
    into: float  # 1 or -1: the way into the wood
    turns: bool = False  # asks which way the teeth go


def entry_line(
    works: Sequence[BoardWork], size: Triple, *, upright: bool, tools: Mapping[int, ToolEntry], light_mm: float = LIGHT_MM
) -> ScoredLine | None:
    """Return the entry line of one end of a board, or None where nothing is taken from its face.

    Parameters
    ----------
    works
        What is done at this end, in order.
    size
        Of the board, in mm.
    upright
        Whether the board stands, so that its face lies at the lower Y.
    tools
        Cutters by number.
    light_mm
        How deep into the face a light pass may go.
    """
    box = board_box(size, works[0].to_machine)
    face = _Face(0, box.low[0], box.high[0], *((box.low[1], 1.0) if upright else (box.high[1], -1.0)))
    return _scored(_passes(works, box, tools), face, light_mm)


def edge_lines(works: Sequence[BoardWork], size: Triple, *, tools: Mapping[int, ToolEntry]) -> tuple[ScoredLine, ...]:
    """Return the lines in both edges of an upright board, where wood is taken there; its parameters are those of ``entry_line``."""
    box = board_box(size, works[0].to_machine)
    passes = _passes(works, box, tools)
    edges = (_Face(1, box.low[1], box.high[1], box.low[0], 1.0, True), _Face(1, box.low[1], box.high[1], box.high[0], -1.0, True))
    lines = (_scored(passes, edge, LIGHT_MM) for edge in edges)
    return tuple(line for line in lines if line is not None)


def _scored(passes: Sequence[_Pass], face: _Face, light_mm: float) -> ScoredLine | None:
    count = math.ceil((face.high - face.low) / _CELL_MM)
    cell = (face.high - face.low) / count
    cells = face.low + (np.arange(count) + 0.5) * cell
    scored, bare = np.zeros(count, dtype=bool), np.full(count, -1)
    for place, own in enumerate(passes):
        along = own.places[:, face.along]
        depth = face.into * (own.places[:, 1 - face.along] - face.at)
        near = slice(*np.searchsorted(cells, (along.min() - own.radius_mm, along.max() + own.radius_mm)))
        deepest, leaves = _reached(along, depth, own.radius_mm, cells[near], face.into * (-1.0) ** face.along)
        fresh = (deepest > _TOUCH_MM) & ~scored[near] & (bare[near] < 0)
        harmless = (deepest <= light_mm) | (face.turns & ~leaves)
        scored[near] |= fresh & harmless
        bare[near][fresh & ~harmless] = place
    length, marked = np.count_nonzero(scored | (bare >= 0)), np.count_nonzero(scored)
    if not length:
        return None
    worst = passes[int(np.bincount(bare[bare >= 0]).argmax()) if marked < length else 0]
    return ScoredLine(float(length * cell), float(marked / length), worst.file, worst.line)


def _reached(
    along: Numbers, depth: Numbers, radius_mm: float, cells: NDArray[np.floating], out: float
) -> tuple[Numbers, NDArray[np.bool_]]:
    """Return how deep a pass goes at each cell whose face it crosses, 0 elsewhere, and whether teeth left the wood as it came there.

    ``out`` is the way along the face, 1 or -1, on which side of its axis a clockwise cutter's teeth leave the wood.
    """
    deepest = np.zeros(len(cells))
    crossed, leaves = np.zeros((2, len(cells)), dtype=bool)
    for begin in range(0, len(along), _AT_ONCE):
        off = cells - along[begin : begin + _AT_ONCE, None]
        axis = depth[begin : begin + _AT_ONCE, None]
        half = np.sqrt(np.maximum(radius_mm**2 - off**2, 0.0))
        crosses = (half > 0.0) & (axis + half > 0.0) & (axis - half < 0.0)
        there = np.take_along_axis(off, crosses.argmax(axis=0)[None], axis=0)[0]
        leaves |= ~crossed & crosses.any(axis=0) & (there * out > 0.0)
        crossed |= crosses.any(axis=0)
        deepest = np.maximum(deepest, np.where(half > 0.0, axis + half, 0.0).max(axis=0))
    return np.where(crossed, deepest, 0.0), leaves


def _passes(works: Sequence[BoardWork], box: Box, tools: Mapping[int, ToolEntry]) -> list[_Pass]:
    """Return the passes at the deepest level."""
    level = min((z for work in works for z in _levels(work.motions, box, tools)), default=0.0)
    return [own for work in works for own in _passes_of(work, level, tools)] if level < 0.0 else []


def _levels(motions: Sequence[Motion], box: Box, tools: Mapping[int, ToolEntry]) -> Iterator[float]:
    """Yield the heights of the tip in the board or beside it."""
    for motion in motions:
        if motion.kind != "rapid" and motion.tool in tools:
            reach = tools[motion.tool].diameter / 2
            spans = [sorted((motion.start[axis], motion.end[axis])) for axis in (0, 1)]
            if all(span[0] - reach < box.high[axis] and span[1] + reach > box.low[axis] for axis, span in enumerate(spans)):
                yield min(motion.start[2], motion.end[2])


def _passes_of(work: BoardWork, level: float, tools: Mapping[int, ToolEntry]) -> Iterator[_Pass]:
    way: list[Point] = []
    tool = line = 0
    for motion in work.motions:
        for start, end in pairwise(points_along(motion, _SAGITTA_MM)):
            cuts = motion.tool in tools and max(start[2], end[2]) <= level + _LEVEL_MM and start[:2] != end[:2]
            if way and not (cuts and motion.tool == tool and way[-1] == start and not _sharp(way, end)):
                yield _Pass(_in_steps(way), tools[tool].diameter / 2, work.file, line)
                way = []
            if cuts:
                if not way:
                    way, tool, line = [start], motion.tool, motion.line
                way.append(end)
    if way:
        yield _Pass(_in_steps(way), tools[tool].diameter / 2, work.file, line)


def _sharp(way: Sequence[Point], end: Point) -> bool:
    (ax, ay, _), (bx, by, _) = way[-2:]
    before, after = (bx - ax, by - ay), (end[0] - bx, end[1] - by)
    return before[0] * after[0] + before[1] * after[1] < _TURN * math.hypot(*before) * math.hypot(*after)


def _in_steps(way: Sequence[Point]) -> Numbers:
    """Return places ``(n, 2)`` along a way, all its corners among them."""
    places = np.array(way)[:, :2]
    ways = np.diff(places, axis=0)
    counts = np.ceil(np.hypot(*ways.T) / _STEP_MM).astype(int)
    shares = np.concatenate([np.arange(count) / count for count in counts])
    return np.vstack((np.repeat(places[:-1], counts, axis=0) + np.repeat(ways, counts, axis=0) * shares[:, None], places[-1:]))
