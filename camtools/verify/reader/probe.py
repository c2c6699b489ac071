"""Probing: Z zero set by a touch plate.

NISTIR 6556 section 3.5.9 has the straight probe, G38.2. G10 L20, by which the place where the machine stands gets a height in a work
offset, is no part of it: dialects tell it. What stands around the cutter is not known, so only one sequence is carried out: a stop at which
the plate is laid; straight down by G91, so far and so fast at most, the spindle still; the zero; up off the plate; a stop at which it is
taken away. The ways down and up are no motions of the program: its place is lost at the stop that follows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from camtools.verify.reader.motion import Probed
from camtools.verify.reader.words import Block, LineFault, whole
from camtools.wording import mm, quantity

__all__ = ["PROBE", "ZERO", "MachineState", "Probe"]

PROBE, ZERO = 382, 100  # codes in tenths
_MOST_MM = 50.0  # that a touch goes down, and so may be off it; common practice, no source, as the next two
_MOST_MM_MIN = 300.0
_LEAST_OFF_MM = 2.0
_ROUNDING = 0.01
_FIRST_OFFSET = 53  # P1 is G54


@dataclass(frozen=True, slots=True)
class MachineState:
    """What a touch depends on."""

    turning: bool
    absolute: bool
    scale: float  # mm a unit
    offset: str
    feed: float  # in units a minute


class Probe:
    """Follows a touch from line to line."""

    def __init__(self) -> None:
        self.done: list[Probed] = []
        self._next: Literal["zero", "lift", "stop", ""] = ""  # what must come
        self._laid = False  # a stop came, and no move since
        self._went = (0.0, 0.0)  # reach in mm and feed in mm a minute of the touch that was last

    def take(self, block: Block, line: int, state: MachineState) -> bool:
        """Carry out a block that is part of a touch; return False for any other.

        Raises
        ------
        LineFault
            Where it is none that is known to be safe.
        """
        values, g, m = block.values, block.g, block.m
        if g.get(1) == PROBE:
            self._touch(values, m, state)
        elif self._next == "zero":
            self._zero(values, g, line, state)
        elif self._next == "lift":
            self._lift(values, g, m, state)
        elif ZERO in g.values():
            raise LineFault("not-judged", "G10: it moves the zero that the maker set, and no touch came before it")
        else:
            if self._next == "stop" and not (m.get(4) == 0 and not values) and (values or m or g.keys() - {3}):
                raise LineFault("probe-unsafe", "after a touch comes a stop, M0, for the plate to be taken away")
            if m.get(4) == 0:
                self._next, self._laid = "", True
            elif 1 in g or values.keys() & set("XYZ"):
                self._laid = False
            return False
        return True

    def _touch(self, values: dict[str, float], m: dict[int, int], state: MachineState) -> None:
        if state.absolute or m or values.keys() - set("ZF") or values.get("Z", 0.0) >= 0.0:
            raise LineFault("probe-unsafe", "a touch goes straight down from where it stands: G91, then G38.2 with Z below 0 and F alone")
        reach, feed = -values["Z"] * state.scale, values.get("F", state.feed) * state.scale
        if not self._laid or self._next:
            raise LineFault("probe-unsafe", "a stop, M0, at which the plate is laid comes before a touch")
        if state.turning:
            raise LineFault("probe-unsafe", "the spindle turns: M5 comes before a touch")
        if reach > _MOST_MM + _ROUNDING:
            raise LineFault("probe-unsafe", f"it would go down by {mm(reach)}, at most {mm(_MOST_MM)}")
        if not 0.0 < feed <= _MOST_MM_MIN + _ROUNDING:
            limit = quantity(_MOST_MM_MIN, "mm/min")
            raise LineFault("probe-unsafe", f"it would touch at {quantity(feed, 'mm/min')}, at most {limit}")
        self._next, self._laid, self._went = "zero", False, (reach, feed)

    def _zero(self, values: dict[str, float], g: dict[int, int], line: int, state: MachineState) -> None:
        if g != {0: ZERO} or values.keys() != set("LPZ") or values["L"] != 20.0 or not 0.0 < values["Z"] * state.scale <= _MOST_MM:
            raise LineFault("probe-unsafe", "after G38.2 comes G10 L20 with P and the plate's thickness as Z, alone")
        number = whole(values["P"], "probe-unsafe", "P")
        if f"G{_FIRST_OFFSET + number}" != state.offset:
            raise LineFault("probe-unsafe", f"P{number} is the zero of G{_FIRST_OFFSET + number}, and {state.offset} is in force")
        self.done.append(Probed(line, state.offset, values["Z"] * state.scale, *self._went))
        self._next = "lift"

    def _lift(self, values: dict[str, float], g: dict[int, int], m: dict[int, int], state: MachineState) -> None:
        up = values.get("Z", 0.0) * state.scale
        if g != {1: 0} or m or values.keys() != {"Z"} or not _LEAST_OFF_MM - _ROUNDING <= up <= _MOST_MM:
            raise LineFault("probe-unsafe", f"after the zero the cutter rises off the plate by {mm(_LEAST_OFF_MM)} or more: G0 Z, in G91")
        self._next = "stop"
