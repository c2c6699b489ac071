"""Strips of backing: which upright programs share one, so that the edge where a cutter leaves a board is always backed.

A program may follow another on its strip where it takes away all that the other took: then its own edge has whole wood behind
it. Another pattern asks for a fresh strip, or for the same one shifted.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby, pairwise

from camtools.geometry.frames import box_of
from camtools.job.job import Cutter
from camtools.toolpath.moves import Point, Program

__all__ = ["on_strips"]

_STEPS = 40  # in which a slanted move is looked at
_SAME_MM = 0.01

Spans = tuple[tuple[float, float], ...]


def on_strips(programs: Sequence[Program]) -> list[Program]:
    """Number the strips of backing that programs are cut on, from 1 at each stop.

    Programs stay in their order, but for those of one hold, stop, cutter and setting: of these, those that share a strip come together,
    the least deep first.
    """
    found: list[Program] = []
    strips = {"left": 0, "right": 0}
    for (hold, stop, *_), together in groupby(programs, lambda p: (p.setup.hold, p.setup.stop, p.cutter.number, p.setup.setting.slid_mm)):
        if hold != "upright":
            found += together
            continue
        for shared in _shared(sorted(map(_Taken, together), key=lambda taken: taken.depth_mm)):
            strips[stop] += 1
            found += [replace(taken.program, backing=strips[stop]) for taken in shared]
    return found


@dataclass(frozen=True)
class _Taken:
    """What a program takes of the face of the backing, as spans of X before the board: at the board's end, and at its own depth."""

    program: Program

    @cached_property
    def depth_mm(self) -> float:
        return -self.program.deepest_mm

    @cached_property
    def at_end(self) -> Spans:
        return self.at(0.0)

    @cached_property
    def deepest(self) -> Spans:
        return self.at(-self.depth_mm)

    def at(self, height_mm: float) -> Spans:
        """Return the spans at a height, joined where they touch."""
        low, high = box_of(self.program.setup.to_machine, self.program.setup.piece.size_mm)
        joined: list[tuple[float, float]] = []
        for first, last in sorted(_spans(self.program, height_mm)):
            first, last = max(first, low[0]), min(last, high[0])
            if joined and first <= joined[-1][1]:
                joined[-1] = joined[-1][0], max(joined[-1][1], last)
            elif first < last:
                joined.append((first, last))
        return tuple(joined)


def _shared(programs: Sequence[_Taken]) -> list[list[_Taken]]:
    """Put programs together that can share a strip, in their order."""
    strips: list[list[_Taken]] = []
    alike: dict[object, list[list[_Taken]]] = {}
    for own in programs:
        boards = alike.setdefault(own.program.setup.piece.size_mm[1], [])
        for strip in boards:
            last = strip[-1]
            if _covers(own.at_end, last.at_end) and _covers(own.at(-last.depth_mm), last.deepest):
                strip.append(own)
                break
        else:
            strips.append([own])
            boards.append(strips[-1])
    return strips


def _covers(outer: Spans, inner: Spans) -> bool:
    return all(any(low - _SAME_MM <= first and last <= high + _SAME_MM for low, high in outer) for first, last in inner)


def _spans(program: Program, height_mm: float) -> Iterator[tuple[float, float]]:
    """Yield what each move takes of the backing's face at a height; arcs are taken to be straight, for they lie before the face."""
    for cut in program.cuts:
        for before, after in pairwise(cut.moves):
            tip = max(before.end[2], after.end[2])
            if tip <= height_mm + _SAME_MM:
                halves = [half for place in _places(before.end, after.end) for half in _half(place, cut.cutter, height_mm - tip)]
                if halves:
                    yield min(x - half for x, half in halves), max(x + half for x, half in halves)


def _places(start: Point, end: Point) -> Iterator[tuple[float, float]]:
    """Yield X and Y along a move: many, where it runs slanted through the face."""
    (ax, ay, _), (bx, by, _) = start, end
    shares = [i / _STEPS for i in range(_STEPS + 1)] if ax != bx and ay != by else [0.0, 1.0]
    if ay * by < 0:
        shares.append(ay / (ay - by))
    for share in shares:
        yield ax + (bx - ax) * share, ay + (by - ay) * share


def _half(place: tuple[float, float], cutter: Cutter, height_mm: float) -> Iterator[tuple[float, float]]:
    """Yield X and half the width of what a cutter covers of the face, if it meets it."""
    x, y = place
    radius = cutter.radius_at(max(height_mm, 0.0))
    if abs(y) < radius:
        yield x, math.sqrt(radius**2 - y**2)
