"""A simulated machine that carries out one block after another.

Order within a block: NISTIR 6556 Table 8, p. 41. Codes: its sections 3.5 to 3.7, p. 22-40.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Sequence

from camtools.verify.findings import Log
from camtools.verify.reader.carriage import Carriage
from camtools.verify.reader.codes import NOT_JUDGED, OFFSETS, USERS
from camtools.verify.reader.coordinates import Coordinates
from camtools.verify.reader.motion import Motion, Point
from camtools.verify.reader.probe import MachineState, Probe
from camtools.verify.reader.words import Block, LineFault, whole

__all__ = ["Controller"]

_EVERYDAY = frozenset("XYZFST")
_STOPS = frozenset({0, 1, 60})
_BY_HAND = frozenset({2, 3, 5, 6, 12})  # modal groups that a person may change at a stop: plane, distance, feed, units, work offset
_STATEMENTS = {
    2: ("plane-not-stated", "state G17"),
    3: ("distance-mode-not-stated", "state G90"),
    5: ("feed-mode-not-stated", "state G94"),
    6: ("units-not-stated", "state G21 or G20"),
    7: ("compensation-not-stated", "state G40"),
    12: ("work-offset-not-stated", "state the work offset that the setup asks for"),
}


class Controller:
    """The machine's state, and the motions made so far.

    Parameters
    ----------
    log
        Takes findings that do not end the run; those that do are raised as ``LineFault``.
    tools
        Numbers of the tools that exist, or None for any.
    fitted
        The tool in the spindle, 0 for none.
    start
        Where the machine stands, or None where that is not known.
    top_mm
        Height that stands for the top of travel.
    """

    def __init__(self, log: Log, tools: Collection[int] | None, fitted: int, start: Point | None, top_mm: float) -> None:
        self.units: float | None = None  # mm a unit, once stated
        self.loosest_mm: float | None = None  # by how much a controller may round the corners of the cutting moves so far
        self._blend_mm: float | None = None
        self.stops: list[tuple[int, float]] = []  # lines at which it stops, and at what speed the spindle turns then
        self.zero_asked = False  # a stop before the first move asks for X, Y and Z zero
        self._log = log
        self._tools = None if tools is None else frozenset(tools)
        self._line = 0
        self._coordinates = Coordinates(start, top_mm)
        self._carriage = Carriage(log, self._coordinates, fitted)
        self.probe = Probe()
        self._motion: int | None = None
        self._speed = 0.0
        self._turning = 0  # 1 clockwise, -1 anti-clockwise
        self.by_hand = False  # a person was asked to switch the spindle on, and no code of a program switches it off
        self._selected: int | None = None
        self._stated: set[int] = set()  # modal groups named so far
        self._unsure: set[int] = set()  # modal groups not named since a person may have changed them
        self._offset_on = False  # G43 is in force
        self._length_fault = ""  # why the length of the cutter is not known; at the start the maker has set it

    @property
    def motions(self) -> list[Motion]:
        """The motions made so far."""
        return self._carriage.motions

    def execute(self, block: Block, line: int) -> None:
        """Carry out a block.

        Raises
        ------
        LineFault
            Where what the machine would do is not defined, or not known here.
        """
        self._line = self._carriage.line = line
        values, g, m = block.values, block.g, block.m
        for code in g.values():
            if code in NOT_JUDGED:
                raise LineFault("not-judged", f"G{code / 10:g}: {NOT_JUDGED[code]}")
        coordinates, carriage = self._coordinates, self._carriage
        state = MachineState(carriage.rpm != 0.0, coordinates.absolute, coordinates.scale, coordinates.offset, carriage.feed)
        if self.probe.take(block, line, state):
            self._check_statements()
            self._length_fault = ""
            carriage.feed = values.get("F", carriage.feed)
            return
        axes = not values.keys().isdisjoint("XYZ")
        mode = self._mode(g, axes)
        if not _EVERYDAY.issuperset(values):
            _check_words(values, g, mode)
        if "F" in values:
            if values["F"] < 0.0:
                raise LineFault("feed-negative", f"F{values['F']:g}")
            self._carriage.feed = values["F"]
        if "S" in values or "T" in values or m:
            self._spindle_and_tool(values, m)
        if len(g) > (1 in g):
            self._settings(g, values)
        if mode is not None:
            self._move(mode, values, axes, g.get(0) == 530)
        if m.get(4) in _STOPS:
            self._stop(block.comments)

    def _mode(self, g: dict[int, int], axes: bool) -> int | None:
        """Return the motion code that acts on this line, in force or named. Section 3.4 p. 20-21."""
        mode = g.get(1, self._motion if axes else None)
        if axes and mode is None:
            raise LineFault("axis-without-motion", "axis words, but no motion code is in force")
        if g.get(0) == 530 and not axes:
            raise LineFault("bad-g53", "G53 takes axis words")
        return mode

    def _spindle_and_tool(self, values: dict[str, float], m: dict[int, int]) -> None:
        if "S" in values:
            if values["S"] < 0.0:
                raise LineFault("speed-negative", f"S{values['S']:g}")
            self._speed = values["S"]
        if "T" in values:
            self._select(whole(values["T"], "bad-tool", "a tool number"))
        if 6 in m:
            if self._selected is None:
                raise LineFault("tool-change-without-tool", "M6 with no T before it")
            if self._carriage.rpm != 0.0:
                speed = abs(self._carriage.rpm)
                self._log.add("tool-change-while-turning", self._line, "M5 must come on a line before M6", speed_rpm=speed)
            self._carriage.tool = self._selected
            self._turning = 0
            self._coordinates.lose()
            self._length_fault = "after M6 write G43 with the cutter's H, or stop by M0 with a comment that asks for Z zero"
        if 7 in m:
            if self.by_hand and m[7] != 5:
                raise LineFault("not-judged", "M3 or M4, while the spindle turns that a person was asked to switch on")
            self._turning = {3: 1, 4: -1, 5: 0}[m[7]]
        if not self.by_hand:
            self._carriage.rpm = self._turning * self._speed if self._turning else 0.0

    def _select(self, tool: int) -> None:
        if tool < 0:
            raise LineFault("bad-tool", f"T{tool}")
        if self._tools is not None and tool not in self._tools and tool != 0:  # 0: an empty spindle
            self._log.add("tool-not-in-manifest", self._line, f"T{tool} is not one of {sorted(self._tools)}", tool=tool)
        self._selected = tool

    def _settings(self, g: dict[int, int], values: dict[str, float]) -> None:
        if g.get(0) == 40 and values.get("P", -1.0) < 0.0:
            raise LineFault("bad-dwell", "G4 takes P, seconds, not negative")
        if not self.motions:
            self._stated.update(g)
        if 6 in g:
            self._set_units(25.4 if g[6] == 200 else 1.0)
        self._unsure.difference_update(g)
        if 13 in g:  # section 3.5.14; P of G64: as interpreters behave
            self._blend_mm = 0.0 if g[13] != 640 else values["P"] * self._coordinates.scale if "P" in values else math.inf
        if 8 in g:
            self._take_length(g[8] == 430, values)
        if 12 in g and self._coordinates.offset != OFFSETS[g[12]]:
            self._coordinates.offset = OFFSETS[g[12]]
            self._coordinates.forget("XYZ")
        if 3 in g:
            self._coordinates.absolute = g[3] == 900

    def _take_length(self, on: bool, values: dict[str, float]) -> None:
        """G43 and G49, section 3.5.11. The table of lengths is taken to be right."""
        if on:
            if "H" not in values:
                raise LineFault("length-unknown", "G43 takes H, the cutter's place in the table of lengths")
            place = whole(values["H"], "length-unknown", "H")
            wrong = place != self._carriage.tool
            self._length_fault = (
                f"H{place} is the length of another cutter than {self._carriage.tool}, the one in the spindle" if wrong else ""
            )
        elif self._offset_on:
            self._length_fault = "G49 took the length away that the heights were measured with"
        if on or self._offset_on:
            self._coordinates.forget("Z")
        self._offset_on = on

    def _stop(self, comments: Sequence[str]) -> None:
        """M0: a person takes over. Asked for Z zero, he sets it with the cutter that is in, or that a comment asks him to fit."""
        self._coordinates.lose()
        self._unsure.update(_BY_HAND)
        self.stops.append((self._line, self._carriage.rpm))
        words = {word for comment in comments for word in re.findall("[a-z]+|[0-9]+", comment.lower())}
        self._switch(comments, words)
        if {"fit", "cutter", f"{self._selected}"} <= words and self._selected is not None and "zero" not in words:
            self._carriage.tool = self._selected
            self._length_fault = "after a cutter is fitted its length is not known: touch the plate, or ask for Z zero"
        if not {"zero", "z"} <= words:
            return
        if self._carriage.rpm != 0.0:
            self._log.add("stop-while-turning", self._line, "M5 must come before a stop at which hands reach for the cutter")
        if {"fit", "cutter", f"{self._selected}"} <= words and self._selected is not None:
            self._carriage.tool = self._selected
        self._length_fault = ""
        self.zero_asked = self.zero_asked or ({"x", "y"} <= words and not self.motions)

    def _switch(self, comments: Sequence[str], words: set[str]) -> None:
        """Take the spindle as a person is asked to switch it: on at a speed, all cutters being right-handed, or off."""
        if not {"switch", "spindle"} <= words:
            return
        if "off" in words:
            self.by_hand, self._carriage.rpm = False, 0.0
        elif "on" in words and (speed := re.search(r"([0-9]{1,6}) rpm", " ".join(comments).lower())):
            self.by_hand, self._carriage.rpm = True, float(speed[1])

    def _set_units(self, scale: float) -> None:
        if self.units is None:
            self.units = scale
        elif self.units != scale:
            self._log.add("units-changed", self._line, "the units were stated before, and differently")
        elif 6 not in self._unsure:
            self._log.add("units-stated-twice", self._line, "state the units once, before any move")
        self._coordinates.scale = scale

    def _move(self, mode: int, values: dict[str, float], axes: bool, in_machine: bool) -> None:
        carriage = self._carriage
        self._motion = None if mode == 800 else mode
        if in_machine and (mode not in (0, 10) or not self._coordinates.absolute):
            raise LineFault("bad-g53", "G53 asks for G0 or G1 and for G90")
        if mode == 800:
            if axes:
                raise LineFault("axis-without-motion", "G80 takes no axis words")
            return
        if not axes:
            raise LineFault("motion-without-axis", f"G{mode / 10:g} without an axis word")
        self._check_statements()
        if self._length_fault and not in_machine:
            self._log.add("length-unknown", self._line, self._length_fault)
            self._length_fault = ""  # once is enough
        if mode != 0 and self._blend_mm is not None:
            self.loosest_mm = max(self._blend_mm, self.loosest_mm or 0.0)
        if in_machine:
            carriage.move_in_machine(values, cutting=mode == 10)
        elif mode == 0:
            carriage.rapid(values)
        elif mode == 10:
            carriage.cut(values)
        else:
            carriage.arc(values, clockwise=mode == 20)

    def _check_statements(self) -> None:
        if self._unsure:
            missing = ", ".join(_STATEMENTS[group][1].removeprefix("state ") for group in sorted(self._unsure))
            self._log.add("stop-not-restated", self._line, f"state again after the stop in line {self.stops[-1][0]}: {missing}")
            self._unsure.clear()  # once is enough
        if self.motions:
            return
        for group, (code, text) in _STATEMENTS.items():
            if group not in self._stated:
                self._log.add(code, self._line, f"{text} before the first move")


def _check_words(values: dict[str, float], g: dict[int, int], mode: int | None) -> None:
    codes = set(g.values())
    if mode is not None:
        codes.add(mode)
    for letter in values:
        if letter in "ABC":
            raise LineFault("not-judged", f"rotary axis {letter}")
        if letter not in _EVERYDAY and USERS.get(letter, frozenset()).isdisjoint(codes):
            raise LineFault("unused-word", f"no code on this line uses {letter}")
