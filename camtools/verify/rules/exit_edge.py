"""Where a cutter's teeth leave an upright board into its backing: how much of that edge has whole wood of the backing behind it.

The edge lies in the face at the plate, round the wood that is taken away there: flanks and baselines. What an earlier program cut
into the same strip of backing backs nothing any more, and fibres break out of the board. Figures lie in that face, X and Z.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from camtools.output.manifest import ToolEntry
from camtools.verify.carving.carve import BoardWork
from camtools.verify.carving.cutter import radius_at
from camtools.verify.carving.sweep import Box
from camtools.verify.rules.segments import board_count

__all__ = ["ExitEdge", "exit_edge", "opened"]

_BESIDE_MM = 0.05  # from the edge, on the side of the wood that stays: there the backing must be whole
_ABOVE_MM = 1.0  # the board's end, up to which cuts are looked at
_HEIGHTS = 7  # at which a cutter is looked at that does not pass right through the face, where its outline is no straight line
_SAGITTA_MM = 0.005


@dataclass(frozen=True, slots=True)
class ExitEdge:
    """The exit edge of a program, all parts of it together."""

    length_mm: float
    backed: float  # share of it
    file: str


def opened(work: BoardWork, tools: Mapping[int, ToolEntry]) -> BaseGeometry:
    """Return what a program cuts out of the face at the plate, Y0, of board and backing alike."""
    pieces = board_count(work.motions, _SAGITTA_MM)
    widest = max((tool.diameter for tool in tools.values()), default=0.0)
    pieces = pieces.where((np.maximum(pieces.start[:, 1], pieces.end[:, 1]) > -widest) & (pieces.start[:, 2] < _ABOVE_MM))
    found: list[BaseGeometry] = []
    for start, end, place in zip(pieces.start.tolist(), pieces.end.tolist(), pieces.motion.tolist(), strict=True):
        tool = tools.get(work.motions[place].tool)
        if tool is not None:
            found += _outline(start, end, tool)
    return shapely.union_all(found)


def exit_edge(file: str, gone: BaseGeometry, before: BaseGeometry, board: Box) -> ExitEdge | None:
    """Return the exit edge of what a program opens; None without an edge.

    Parameters
    ----------
    file
        Its program.
    gone, before
        What it opens in the face, in mm, and what others took before of the strip behind.
    board
        In the machine frame.
    """
    face = shapely.box(board.low[0] + 2 * _BESIDE_MM, board.low[2], board.high[0] - 2 * _BESIDE_MM, board.high[2] - 2 * _BESIDE_MM)
    edge = gone.buffer(_BESIDE_MM, join_style="mitre").boundary.intersection(face)
    return ExitEdge(edge.length, edge.difference(before).length / edge.length, file) if edge.length else None


def _outline(start: list[float], end: list[float], tool: ToolEntry) -> Iterator[BaseGeometry]:
    """Yield what a straight motion opens in the face; one that rises is taken to be as deep all along as where it is deepest."""
    tip = min(start[2], end[2])
    straight = start[1] * end[1] <= 0.0
    for low, high in ((0.0, tool.cutting_length), (tool.cutting_length, max(_ABOVE_MM - tip, tool.cutting_length))):
        heights = np.linspace(low, high, 2 if straight else _HEIGHTS).tolist()
        spans = [(_span(start, end, radius_at(tool, height)), tip + height) for height in heights]
        corners = [(span[0], z) for span, z in spans if span] + [(span[1], z) for span, z in reversed(spans) if span]
        if len(corners) > 2:
            yield shapely.Polygon(corners)


def _span(start: list[float], end: list[float], radius_mm: float) -> tuple[float, float] | None:
    """Return which part of the line Y0 a disc passes over, from one place to another, or None."""
    found = []
    for x, y, _ in (start, end):
        if abs(y) < radius_mm:
            half = (radius_mm**2 - y**2) ** 0.5
            found += [x - half, x + half]
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = (dx**2 + dy**2) ** 0.5
    for side in (radius_mm, -radius_mm):
        # Where the line along which one side of the disc moves crosses Y0.
        share = -(start[1] + side * dx / length) / dy if length and dy else -1.0
        if 0.0 <= share <= 1.0:
            found.append(start[0] + share * dx - side * dy / length)
    return (min(found), max(found)) if found else None
