"""Rules of a whole program: its frame, its cutters, its start, stops and end, and how far it travels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from camtools.verify.findings import Log
from camtools.verify.reader.motion import Motion, ProgramRun
from camtools.verify.rules.segments import Pieces
from camtools.verify.rules.workplace import SLACK_MM, Workplace
from camtools.wording import mm, span

__all__ = ["Travel", "judge_heights", "motions_in_frame"]


def motions_in_frame(motions: Sequence[Motion], place: Workplace, log: Log) -> list[Motion]:
    """Return the motions that lie in the board's frame and, if it is to be cut, are made by a cutter of the program; note the others.

    A program that names one cutter and changes to none runs with that one.
    """
    program = place.program
    kept: list[Motion] = []
    before = ""
    for motion in motions:
        tool = motion.tool or program.only_tool
        if motion.work_offset not in ("G53", program.work_offset):
            fault, text = "wrong-work-offset", f"{motion.work_offset} is in force, {program.work_offset} is the board's"
        elif program.kind == "cut" and (tool not in program.tools or tool not in place.tools):
            fault = "tool-not-in-program"
            text = f"tool {tool} is in the spindle, the program is to use {program.tools}" if tool else "no tool was ever named"
        else:
            fault = text = ""
            kept.append(motion if motion.tool == tool else replace(motion, tool=tool))
        if fault and fault != before:
            log.add(fault, motion.line, text)
        before = fault
    return kept


def judge_heights(run: ProgramRun, place: Workplace, log: Log) -> None:
    """From a place that is not known the cutter rises straight to the safe height and goes over at it; it stops and ends there too."""
    safe = place.safe_z_mm
    last, blind, told = safe, True, False
    for motion in run.motions:
        if motion.blind and not blind and last < safe - SLACK_MM:
            log.add("unsafe-stop", motion.line, "rise before the stop that comes before this", height_mm=last, safe_mm=safe)
        last, blind = motion.end[2], motion.blind
        low = blind and last < safe - SLACK_MM
        if low and not told:
            text = "where the machine stands is not known: rise to the safe height first, then go over"
            log.add("unsafe-start", motion.line, text, height_mm=last, safe_mm=safe)
        told = low
    if run.complete and last < safe - SLACK_MM:
        log.add("unsafe-stop", run.motions[-1].line, "rise before the end", height_mm=last, safe_mm=safe)


class Travel:
    """Measures how far a program travels on each axis, and where on the machine's travel as far as its description tells."""

    def __init__(self, place: Workplace, log: Log) -> None:
        self._limit = np.array(place.machine.travel)
        self._zero = np.array(place.zero_mm)
        self._log = log
        self._low = np.full(3, np.inf)
        self._high = np.full(3, -np.inf)
        self._told = np.zeros(3, dtype=bool)

    def take(self, pieces: Pieces, motions: Sequence[Motion]) -> None:
        """Note the first motion that makes an axis travel too far. Till X and Y are known, they count for nothing."""
        if not len(pieces.motion):
            return
        blind = np.array([motion.blind for motion in motions], dtype=bool)[pieces.motion]
        lows, highs = np.minimum(pieces.start, pieces.end), np.maximum(pieces.start, pieces.end)
        lows[blind, :2], highs[blind, :2] = np.inf, -np.inf
        low, high = np.minimum.accumulate(np.vstack((self._low, lows))), np.maximum.accumulate(np.vstack((self._high, highs)))
        self._low, self._high = low[-1], high[-1]
        first, last = low[1:] + self._zero, high[1:] + self._zero
        over = (high - low)[1:] > self._limit + SLACK_MM
        beyond = (first < -SLACK_MM) | (last > self._limit + SLACK_MM)
        for axis in np.flatnonzero((over | beyond).any(axis=0) & ~self._told):
            self._told[axis] = True
            motion = motions[pieces.motion[(over | beyond)[:, axis].argmax()]]
            need, limit = float(self._high[axis] - self._low[axis]), float(self._limit[axis])
            text = f"{'XYZ'[axis]} would travel {mm(need)}, the machine has {mm(limit)}"
            if not over[:, axis].any():
                text = f"{'XYZ'[axis]} would go from {span(first[-1, axis], last[-1, axis])}, the machine from {span(0, limit)}"
            self._log.add("outside-travel", motion.line, text, travel_mm=need, limit_mm=limit)
