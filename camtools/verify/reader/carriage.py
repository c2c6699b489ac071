"""Carries out moves: rapids, feeds and arcs become motions.

NISTIR 6556 sections 3.5.1 to 3.5.3, p. 23-25, and 3.5.12, p. 29.
"""

from __future__ import annotations

import math
from typing import Literal

from camtools.verify.findings import Log
from camtools.verify.reader import arcs
from camtools.verify.reader.coordinates import Coordinates
from camtools.verify.reader.motion import Motion, Point
from camtools.verify.reader.words import LineFault
from camtools.wording import fine

__all__ = ["MOST_MOVES", "Carriage"]

MOST_MOVES = 500_000

_NEAR_MM = 0.005


class Carriage:
    """Makes motions, and knows what they depend on: coordinates, feed, spindle and tool."""

    def __init__(self, log: Log, coordinates: Coordinates, fitted: int) -> None:
        self.motions: list[Motion] = []
        self.coordinates = coordinates
        self.line = 0
        self.feed = 0.0
        self.rpm = 0.0
        self.tool = fitted
        self._log = log
        self._told_of_feed = False

    def rapid(self, values: dict[str, float]) -> None:
        """G0."""
        coordinates = self.coordinates
        end = coordinates.target(values)
        start = coordinates.at
        blind = not coordinates.placed
        if False in coordinates.known:
            if not coordinates.known[2] and not coordinates.at_top and ("X" in values or "Y" in values):
                self._log.add("moves-before-height", self.line, "send Z up to clearance first, alone")
            start = coordinates.learn(values, end)
        self._add("rapid", start, end, blind=blind)

    def cut(self, values: dict[str, float]) -> None:
        """G1."""
        end = self.coordinates.target(values)
        rate = self._rate()
        self._require_place()
        self._add("feed", self.coordinates.at, end, rate)

    def move_in_machine(self, values: dict[str, float], *, cutting: bool) -> None:
        """G53 with G0 or G1: up to the top of travel, or at the top to where the machine is parked. No other place can be judged."""
        coordinates = self.coordinates
        axes = values.keys() & set("XYZ")
        if axes == {"Z"} and values["Z"] == 0.0 and not cutting:
            blind = not coordinates.placed
            self._add("rapid", *coordinates.to_top(), offset="G53", blind=blind)
            return
        if "Z" in axes or not coordinates.at_top:
            self._log.add("machine-coordinates", self.line, "rise by G53 G0 Z0 first, alone; state any other height in the work offset")
            coordinates.at_top = False
        coordinates.forget(axes)

    def arc(self, values: dict[str, float], *, clockwise: bool) -> None:
        """G2 or G3 in the XY plane, in centre or radius format, flat or as a helix."""
        coordinates = self.coordinates
        if "X" not in values and "Y" not in values:
            raise LineFault("arc-words", "an arc in this plane takes X or Y")
        start, end = coordinates.at, coordinates.target(values)
        here, there = start[:2], end[:2]
        offsets = [letter for letter in "IJK" if letter in values]
        tolerance = arcs.INCH_TOLERANCE_MM if coordinates.scale != 1.0 else arcs.MM_TOLERANCE_MM
        if "R" in values:
            if offsets:
                raise LineFault("arc-words", "an arc takes R or offsets of its centre, not both")
            centre = arcs.centre_by_radius(here, there, values["R"] * coordinates.scale, clockwise)
            tolerance = math.inf  # its radii agree by construction
        else:
            if not offsets or "K" in values:
                raise LineFault("arc-words", "an arc in this plane takes R, or I and J, and no other offset")
            centre = (here[0] + values.get("I", 0.0) * coordinates.scale, here[1] + values.get("J", 0.0) * coordinates.scale)
        sweep = arcs.sweep_about(centre, here, there, clockwise, tolerance)
        self._warn_of_arc("R" in values, here, there, sweep)
        rate = self._rate()
        self._require_place()
        self._add("arc", start, end, rate, centre, sweep)

    def _rate(self) -> float:
        if self.feed == 0.0 and not self._told_of_feed:
            self._log.add("feed-zero", self.line, "a cutting move, and those after it, with feed 0")
        self._told_of_feed = self.feed == 0.0
        return self.feed * self.coordinates.scale

    def _warn_of_arc(self, by_radius: bool, here: tuple[float, float], there: tuple[float, float], sweep: float) -> None:
        turn = abs(sweep)
        if by_radius and (165.0 < turn < 195.0 or turn > 345.0):
            self._log.add("arc-by-radius-near-limit", self.line, "give its centre by I and J", sweep_deg=sweep)
        if here != there and math.dist(here, there) < _NEAR_MM:
            self._log.add("arc-nearly-full", self.line, f"its ends lie within {fine(_NEAR_MM)}", sweep_deg=sweep)

    def _require_place(self) -> None:
        if False in self.coordinates.known:
            raise LineFault("position-unknown", "state X, Y and Z by rapids before cutting")

    def _add(
        self,
        kind: Literal["rapid", "feed", "arc"],
        start: Point,
        end: Point,
        rate: float = 0.0,
        centre: tuple[float, float] | None = None,
        sweep_deg: float = 0.0,
        *,
        offset: str = "",
        blind: bool = False,
    ) -> None:
        if len(self.motions) >= MOST_MOVES:
            raise LineFault("program-too-long", f"more than {MOST_MOVES} moves")
        work_offset = offset or self.coordinates.offset
        self.motions.append(Motion(kind, self.line, start, end, centre, sweep_deg, rate, self.rpm, self.tool, work_offset, blind))
        self.coordinates.at = end
