"""What is already cut of a board when a program comes, by the order of work, as regions of a plane through it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from camtools.drawer.boards import Affine
from camtools.geometry.frames import box_of
from camtools.pictures.traces import Entry, entry_of, section_of, swept_of, trace_of
from camtools.toolpath.moves import Cut, Program

__all__ = ["Progress", "State", "Taken"]

_NOTHING = shapely.Polygon()


@dataclass(frozen=True, slots=True)
class Taken:
    """Parts of a plane through a board: what the program takes, what is gone before it, and what is gone of some boards only."""

    now: shapely.Geometry
    before: shapely.Geometry
    perhaps: shapely.Geometry


@dataclass(frozen=True, slots=True)
class State:
    """The programs that have cut a board when another comes, and those that have cut only some of the equal boards."""

    before: tuple[Program, ...] = ()
    perhaps: tuple[Program, ...] = ()


class Progress:
    """Tells for each program of a job what is cut before it.

    Parameters
    ----------
    setups
        The programs of every setup in the order of work, and how often it comes; equal boards come in the same order at each.
    """

    def __init__(self, setups: Iterable[tuple[Sequence[Program], int]] = ()) -> None:
        self._turns: dict[str, list[int]] = {}
        self._own: dict[object, dict[str, Program]] = {}
        self._known: dict[tuple[str, int, float], shapely.Geometry] = {}
        self._taken: dict[tuple[str, int, float], Taken] = {}
        self._entries: dict[str, Entry] = {}
        turn = 0
        for programs, times in setups:
            for _ in range(times):
                turn += 1
                for program in programs:
                    self._turns.setdefault(program.stem, []).extend([turn] * program.stacked)
                    self._own.setdefault(program.boards, {})[program.stem] = program

    def state_of(self, program: Program) -> State:
        """Return what has cut its board before."""
        turns = self._turns.get(program.stem, [])
        before, perhaps = [], []
        for stem, other in self._own.get(program.boards, {}).items():
            earlier = {there < here for there, here in zip(self._turns[stem], turns, strict=False)}
            if stem != program.stem and earlier == {True}:
                before.append(other)
            elif stem != program.stem and (earlier == {True, False} or set(self._turns[stem]) & set(turns)):
                perhaps.append(other)
        return State(tuple(before), tuple(perhaps))

    def taken(self, program: Program, axis: Literal[0, 1, 2], at_mm: float) -> Taken:
        """Return what is taken in a plane of a program's machine frame, in the other two coordinates, in order."""
        key = program.called, axis, at_mm
        if key in self._taken:
            return self._taken[key]
        state = self.state_of(program)

        def all_of(programs: Iterable[Program]) -> shapely.Geometry:
            return _all([self._gone(other, program.setup.to_machine, axis, at_mm) for other in programs])

        before, perhaps = all_of(state.before), all_of(state.perhaps)
        perhaps = perhaps if perhaps.is_empty or before.is_empty else shapely.difference(perhaps, before)
        return self._taken.setdefault(key, Taken(all_of([program]), before, perhaps))

    def entry(self, program: Program) -> Entry:
        """Return where a program's cutter first meets its board."""
        if program.called not in self._entries:
            self._entries[program.called] = entry_of(program.cuts[0], *box_of(program.setup.to_machine, program.setup.piece.size_mm))
        return self._entries[program.called]

    def _gone(self, program: Program, to_machine: Affine, axis: int, at_mm: float) -> shapely.Geometry:
        """Return what a program takes in a plane of a setup's machine frame, which may be another one than its own."""
        own, other = np.array(program.setup.to_machine), np.array(to_machine)
        turn = own[:, :3] @ other[:, :3].T  # from the setup's frame to the program's
        shift = own[:, 3] - turn @ other[:, 3]
        there = int(np.argmax(np.abs(turn[:, axis])))
        at = float(turn[there, axis] * at_mm + shift[there])
        key = program.called, there, round(at, 4)
        if key not in self._known:
            self._known[key] = _all([_cleared(cut, there, at) for cut in program.cuts])
        gone = self._known[key]
        rows = [i for i in range(3) if i != there]
        columns = [i for i in range(3) if i != axis]

        def back(places: np.ndarray) -> np.ndarray:
            mapped: np.ndarray = (places - shift[rows]) @ turn[np.ix_(rows, columns)]
            return mapped

        return gone if gone.is_empty else shapely.transform(gone, back)


def _all(regions: Sequence[shapely.Geometry]) -> shapely.Geometry:
    found = [region for region in regions if not region.is_empty]
    return shapely.union_all(found) if len(found) > 1 else found[0] if found else _NOTHING


def _cleared(cut: Cut, axis: int, at_mm: float) -> shapely.Geometry:
    """Return what a cut clears at its lowest level in a plane of its own machine frame."""
    if axis < 2:
        places, reach = [move.end[axis] for move in cut.moves], 2 * cut.cutter.diameter_mm  # of an arc, too, beyond its ends
        if not min(places) - reach < at_mm < max(places) + reach:
            return _NOTHING
        return section_of(cut, "xy"[axis], at_mm)  # type: ignore[arg-type]
    deepest = trace_of(cut).deepest()
    height = at_mm - float(deepest.ends[:, 2].min())
    return swept_of(deepest, cut.cutter.radius_at(height)) if height >= 0 else _NOTHING
