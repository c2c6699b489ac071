"""Carries out moves: rapids, feeds, arcs and drilling cycles become motions.

NISTIR 6556 sections 3.5.1 to 3.5.3, p. 23-25, 3.5.16, p. 30-36, and 3.5.19, p. 37.
"""

from __future__ import annotations

import math
from typing import Literal

from camtools.verify.findings import Log
from camtools.verify.reader import arcs
from camtools.verify.reader.coordinates import Coordinates
from camtools.verify.reader.cycles import Hole, hole_moves
from camtools.verify.reader.expressions import LineFault, whole
from camtools.verify.reader.motion import Motion, Point

__all__ = ["MOST_MOVES", "Carriage"]

MOST_MOVES = 500_000

_PLANES = {170: (0, 1, 2), 180: (2, 0, 1), 190: (1, 2, 0)}  # first axis, second axis, normal: right-handed
_CHORD_SAGITTA_MM = 0.001
_NEAR_MM = 0.005


class Carriage:
    """Makes motions, and knows what they depend on: coordinates, plane, feed, spindle and tool."""

    def __init__(self, log: Log, coordinates: Coordinates, fitted: int) -> None:
        self.motions: list[Motion] = []
        self.coordinates = coordinates
        self.line = 0
        self.plane = 170
        self.feed = 0.0
        self.inverse_time = False
        self.return_to_r = False
        self.rpm = 0.0
        self.tool = fitted
        self._log = log
        self._told_of_feed = False
        self._kept: dict[str, float] = {}  # words that a cycle keeps for its next hole

    def rapid(self, values: dict[str, float]) -> None:
        """G0."""
        coordinates = self.coordinates
        end = coordinates.target(values)
        start = coordinates.at
        if False in coordinates.known:
            if not coordinates.known[2] and ("X" in values or "Y" in values):
                self._log.add("moves-before-height", self.line, "send Z up to clearance first, alone")
            start = coordinates.learn(values, end)
        self._add("rapid", start, end)

    def cut(self, values: dict[str, float]) -> None:
        """G1."""
        end = self.coordinates.target(values)
        self._feed_to(end, self._rate(values, math.dist(self.coordinates.at, end) if self.inverse_time else 0.0))

    def move_in_machine(self, end: Point, rate: float = 0.0, *, cutting: bool = False) -> None:
        """G53, G28 or G30: to a place in machine coordinates."""
        coordinates = self.coordinates
        start = coordinates.in_machine(coordinates.at)
        self._append(Motion("feed" if cutting else "rapid", self.line, start, end, None, 0.0, rate, self.rpm, self.tool, "G53"))
        coordinates.arrive_in_machine(end)

    def cut_in_machine(self, values: dict[str, float]) -> None:
        """G53 with G1 in force."""
        end = self.coordinates.machine_target(values)
        start = self.coordinates.in_machine(self.coordinates.at)
        self.move_in_machine(end, self._rate(values, math.dist(start, end)), cutting=True)

    def arc(self, values: dict[str, float], *, clockwise: bool) -> None:
        """G2 or G3, in centre or radius format, flat or as a helix."""
        coordinates = self.coordinates
        first, second, normal = _PLANES[self.plane]
        if "XYZ"[first] not in values and "XYZ"[second] not in values:
            raise LineFault("arc-words", f"an arc in this plane takes {'XYZ'[first]} or {'XYZ'[second]}")
        start, end = coordinates.at, coordinates.target(values)
        here, there = (start[first], start[second]), (end[first], end[second])
        offsets = [letter for letter in "IJK" if letter in values]
        tolerance = arcs.INCH_TOLERANCE_MM if coordinates.scale != 1.0 else arcs.MM_TOLERANCE_MM
        if "R" in values:
            if offsets:
                raise LineFault("arc-words", "an arc takes R or offsets of its centre, not both")
            centre = arcs.centre_by_radius(here, there, values["R"] * coordinates.scale, clockwise)
            tolerance = math.inf  # its radii agree by construction
        else:
            if not offsets or "IJK"[normal] in values:
                raise LineFault("arc-words", f"an arc in this plane takes R, or {'IJK'[first]} and {'IJK'[second]}, and no other offset")
            centre = (
                here[0] + values.get("IJK"[first], 0.0) * coordinates.scale,
                here[1] + values.get("IJK"[second], 0.0) * coordinates.scale,
            )
        sweep = arcs.sweep_about(centre, here, there, clockwise, tolerance)
        self._warn_of_arc("R" in values, here, there, sweep)
        radius = math.dist(centre, here)
        length = math.hypot(math.radians(sweep) * radius, end[normal] - start[normal])
        rate = self._rate(values, length)
        if self.plane == 170:
            self._require_place()
            self._add("arc", start, end, rate, centre, sweep)
        else:
            self._log.add("arc-not-exact", self.line, f"judged as lines within {_CHORD_SAGITTA_MM} mm of the arc")
            self._feed_along(start, end, centre, radius, sweep, rate)

    def drill(self, code: int, values: dict[str, float]) -> None:
        """G81, G82, G83, G85 or G89, once or L times."""
        coordinates = self.coordinates
        scale = coordinates.scale
        if self.plane != 170:
            raise LineFault("not-judged", "a drilling cycle outside the XY plane")
        if self.inverse_time:
            raise LineFault("bad-cycle", "no cycle while feeds are inverse times")
        kept = self._kept | {letter: values[letter] for letter in "ZRPQ" if letter in values}
        missing = [letter for letter in ("Z", "R", "Q" if code == 830 else "R") if letter not in kept]
        if missing:
            raise LineFault("bad-cycle", f"the cycle takes {missing[0]}")
        times = whole(values.get("L", 1.0), "bad-cycle", "L")
        if times < 1 or kept.get("P", 0.0) < 0.0 or (code == 830 and kept["Q"] <= 0.0):
            raise LineFault("bad-cycle", "L must be 1 or more, Q above 0 and P not negative")
        self._require_place()
        flat = {letter: values[letter] for letter in "XY" if letter in values}
        old = coordinates.at[2]
        retract = coordinates.target({"Z": kept["R"]})[2]
        bottom = coordinates.target({"Z": kept["Z"]})[2] if coordinates.absolute else retract + kept["Z"] * scale
        if retract < bottom:
            raise LineFault("bad-cycle", f"R lies {bottom - retract:g} mm below Z")
        rate = self._rate(values, 0.0)
        self._kept = kept
        if old < retract:
            self._add("rapid", coordinates.at, (*coordinates.at[:2], retract))
            old = retract
        clear = retract if self.return_to_r else old
        for _ in range(times):
            x, y, _z = coordinates.target(flat)
            hole = Hole(x, y, bottom, retract, clear, kept["Q"] * scale if code == 830 else 0.0)
            for cutting, end in hole_moves(code, hole, coordinates.at[2]):
                self._add("feed" if cutting else "rapid", coordinates.at, end, rate if cutting else 0.0)

    def end_cycle(self) -> None:
        """Forget the words that a cycle keeps."""
        self._kept = {}

    def _rate(self, values: dict[str, float], length_mm: float) -> float:
        if self.feed == 0.0 and not self._told_of_feed:
            self._log.add("feed-zero", self.line, "a cutting move, and those after it, with feed 0")
        self._told_of_feed = self.feed == 0.0
        if not self.inverse_time:
            return self.feed * self.coordinates.scale
        if "F" not in values:
            raise LineFault("feed-missing", "G93 asks for F with every cutting move")
        return self.feed * length_mm

    def _warn_of_arc(self, by_radius: bool, here: tuple[float, float], there: tuple[float, float], sweep: float) -> None:
        turn = abs(sweep)
        if by_radius and (165.0 < turn < 195.0 or turn > 345.0):
            self._log.add("arc-by-radius-near-limit", self.line, "give its centre by I and J", sweep_deg=sweep)
        if here != there and math.dist(here, there) < _NEAR_MM:
            self._log.add("arc-nearly-full", self.line, f"its ends lie within {_NEAR_MM} mm", sweep_deg=sweep)

    def _require_place(self) -> None:
        if False in self.coordinates.known:
            raise LineFault("position-unknown", "state X, Y and Z by rapids before cutting")

    def _feed_to(self, end: Point, rate: float) -> None:
        self._require_place()
        self._add("feed", self.coordinates.at, end, rate)

    def _feed_along(self, start: Point, end: Point, centre: tuple[float, float], radius: float, sweep_deg: float, rate: float) -> None:
        first, second, normal = _PLANES[self.plane]
        begin = math.atan2(start[second] - centre[1], start[first] - centre[0])
        count = arcs.chords(radius, sweep_deg, _CHORD_SAGITTA_MM)
        for step in range(1, count):
            angle = begin + math.radians(sweep_deg) * step / count
            place = [0.0, 0.0, 0.0]
            place[first] = centre[0] + radius * math.cos(angle)
            place[second] = centre[1] + radius * math.sin(angle)
            place[normal] = start[normal] + (end[normal] - start[normal]) * step / count
            self._feed_to((place[0], place[1], place[2]), rate)
        self._feed_to(end, rate)

    def _add(
        self,
        kind: Literal["rapid", "feed", "arc"],
        start: Point,
        end: Point,
        rate: float = 0.0,
        centre: tuple[float, float] | None = None,
        sweep_deg: float = 0.0,
    ) -> None:
        coordinates = self.coordinates
        self._append(Motion(kind, self.line, start, end, centre, sweep_deg, rate, self.rpm, self.tool, coordinates.offset))
        coordinates.at = end

    def _append(self, motion: Motion) -> None:
        if len(self.motions) >= MOST_MOVES:
            raise LineFault("program-too-long", f"more than {MOST_MOVES} moves")
        self.motions.append(motion)
