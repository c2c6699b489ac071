"""Draws a cut move by move, so that every operation says only where the cutter goes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from camtools.job.job import Cutter
from camtools.toolpath.moves import Air, Arc, Cut, Line, Move, Point, Rapid
from camtools.wording import Told, Words

__all__ = [
    "AIR_MM",
    "CLOSE_MM",
    "OVERLAP",
    "OVERRUN_MM",
    "RAMP",
    "THIN_MM",
    "DrawnCut",
    "clear_slot",
    "even_steps",
    "levels_of",
    "past_edge",
    "roughed",
]

CLOSE_MM = 0.3  # between a cutter's rim and the wood where it begins to go at the feed for wood
AIR_MM = 2.0  # between a cutter's rim and the wood where it waits beside it
OVERLAP = 0.8  # of the cutter's narrowest width in the wood: the most that neighbouring passes lie apart
OVERRUN_MM = 0.5  # how far a centre line is carried beyond a face
RAMP_DEG = 3.0  # the steepest way down at the full feed; steeper ones are taken at the plunge feed
RAMP = math.tan(math.radians(RAMP_DEG))
THIN_MM = 0.7  # the widest strip that is taken at more than the depth of a pass: it loads the cutter less than a slot does


class DrawnCut:
    """Collects the moves of one cut. Heights and places are those of the setup's machine frame."""

    def __init__(self, cutter: Cutter, air: Air) -> None:
        self.cutter = cutter
        self._air = air
        self._moves: list[Move] = []
        self._at: Point = (0.0, 0.0, air.clearance_mm)

    @property
    def at(self) -> Point:
        """Where the tip stands now."""
        return self._at

    @property
    def drawn(self) -> bool:
        """Whether there is any move."""
        return bool(self._moves)

    def _go(self, move: Move) -> None:
        self._moves.append(move)
        self._at = move.end

    def over(self, x_mm: float, y_mm: float) -> None:
        """Rise to clearance, then traverse to stand over a place."""
        here = (x_mm, y_mm) if not self._moves else self._at[:2]
        if not self._moves or self._at[2] != self._air.clearance_mm:
            self._go(Rapid((*here, self._air.clearance_mm)))
        self._go(Rapid((x_mm, y_mm, self._air.clearance_mm)))

    def to(self, x_mm: float, y_mm: float, z_mm: float | None = None, feed_mm_min: float | None = None) -> None:
        """Feed straight to a place, at this height or another; nothing happens where it is there already.

        Parameters
        ----------
        x_mm, y_mm, z_mm
            Of the cutter's tip in the machine frame; the height stays where none is given.
        feed_mm_min
            The cutter's own where none is given.
        """
        end = (x_mm, y_mm, self._at[2] if z_mm is None else z_mm)
        if math.dist(end, self._at) > 1e-9:
            self._go(Line(end, feed_mm_min or self.cutter.feed_mm_min))

    def height(self, z_mm: float, feed_mm_min: float | None = None) -> None:
        """Feed straight up or down to a height."""
        self.to(self._at[0], self._at[1], z_mm, feed_mm_min)

    def along(self, places: Iterable[tuple[float, ...]]) -> None:
        """Feed straight from place to place; a place without a height keeps it."""
        for place in places:
            self.to(*place)

    def clear(self, x_mm: float, y_mm: float, z_mm: float | None = None) -> None:
        """Go straight to a place beside the wood, or through room already cut."""
        self.to(x_mm, y_mm, z_mm, self._air.feed_mm_min)

    def lower(self, z_mm: float) -> None:
        """Go down in air; the last bit at the plunge feed, lest the zero be a little off."""
        self.clear(*self._at[:2], min(self._at[2], z_mm + AIR_MM))
        self.height(z_mm, self.cutter.plunge_mm_min)

    def bend(self, x_mm: float, y_mm: float, centre: tuple[float, float], *, clockwise: bool) -> None:
        """Feed along an arc at this height.

        Parameters
        ----------
        x_mm, y_mm
            Where it ends, in the machine frame.
        centre
            X and Y in mm.
        """
        self._go(Arc((x_mm, y_mm, self._at[2]), centre, clockwise, self.cutter.feed_mm_min))

    def up(self) -> None:
        """Rise to clearance."""
        if self._at[2] != self._air.clearance_mm:
            self._go(Rapid((self._at[0], self._at[1], self._air.clearance_mm)))

    def cut(self, purpose: Words) -> Cut:
        """Return what was drawn, ended at clearance."""
        self.up()
        return Cut(self.cutter, purpose, tuple(self._moves))


def past_edge(radius_mm: float, light_mm: float) -> tuple[float, float]:
    """How a light pass along a face meets the line of a wall that stands square to it, ``light_mm`` deep.

    Returns
    -------
    tuple
        How far beyond that line, in mm, the centre may stand and the cutter not touch the edge of wall and face; and how far before
        the face it must be back on the line to pass the edge.
    """
    turn = math.asin((radius_mm - light_mm) / radius_mm)
    return radius_mm * (1 - math.cos(turn)), radius_mm * math.tan(turn / 2)


def even_steps(first: float, last: float, step: float, *, even: bool = False) -> list[float]:
    """Return places from ``first`` to ``last``, equally spaced by at most ``step``; an even number of them if asked.

    Parameters
    ----------
    first, last, step
        In mm.
    even
        Ask for an even number of places, at least two.
    """
    count = max(2, math.ceil(abs(last - first) / step - 1e-9) + 1)
    if even and count % 2:
        count += 1
    return [first + (last - first) * i / (count - 1) for i in range(count)]


def levels_of(depth_mm: float, cutter: Cutter) -> list[float]:
    """Return the heights of equal passes down to ``depth_mm``, none deeper than the cutter's setting."""
    count = max(1, math.ceil(depth_mm / cutter.depth_per_pass_mm - 1e-9))
    return [-depth_mm * (i + 1) / count for i in range(count)]


def clear_slot(pen: DrawnCut, lines: Sequence[float], near: float, far: Sequence[float], levels: Sequence[float]) -> None:
    """Clear a slot that is open at ``Y = near``, level by level, along an even number of lines, each as ``far`` as it may go.

    Parameters
    ----------
    lines
        X of each pass, in mm.
    near, far
        Y where the passes begin, in air, and where each ends, in mm.
    levels
        Z of each round, in mm, the deepest last.
    """
    pen.over(lines[0], near)
    for level in levels:
        pen.to(lines[0], near)
        pen.height(level)
        for i, (line, end) in enumerate(zip(lines, far, strict=True)):
            pen.to(line, near if i % 2 == 0 else end)
            pen.to(line, end if i % 2 == 0 else near)


def roughed(what: str, cleared: int, count: int, stock_mm: float) -> Told:
    """Say what a straight cutter clears first, and what is left out because it does not fit.

    Parameters
    ----------
    what
        What is cleared, in the plural.
    cleared, count
        How many of them, of how many.
    stock_mm
        Left on every face.
    """
    left_out = f"; {count - cleared} of {count} {what} too narrow for this cutter, and left to the next" if cleared < count else ""
    return Told("waste in {}, {:mm} left on every face{}", (what, stock_mm, left_out))
