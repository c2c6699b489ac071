"""What each program carves, stage by stage, for its view in three dimensions: the wood that stays, and what each stage takes off.

The check's own carving makes it, with coarser circles. Equal boards at the other stop are cut by the same motions elsewhere along X:
they share what was carved once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from manifold3d import Manifold, OpType
from numpy.typing import NDArray

from camtools.output.manifest import BoardEntry, ProgramEntry, Triple
from camtools.page.facts import PacketFacts, ProgramFacts
from camtools.page.solids import Solid, meshed
from camtools.verify.carving.carve import board_box, swept_solids
from camtools.verify.carving.sweep import FURTHEST_MM, Box, sweeps_of
from camtools.verify.reader.motion import Motion

__all__ = ["CIRCLE_MM", "StagedCarving", "Stages", "staged_carvings"]

CIRCLE_MM = 0.2  # circles of the cutter are drawn within this
_STAGES = 12  # of one program, at most
_LEAST_MM3 = 0.5  # a stage that takes off less is left out
_MOST_MOTIONS = 4000  # of one program; more are not carved for a picture
_MARGIN_MM = 40.0  # of wood that is shown beyond the motion
_ALIKE_MM = 0.02

Floats = NDArray[np.float64]
Past = tuple[str, tuple[float, ...]]


@dataclass(frozen=True, slots=True)
class Stages:
    """What a program takes off, in its machine frame less a shift along X."""

    stem: str  # of the program that it was carved for
    chips: tuple[tuple[int, Solid], ...]  # which motion, from 0, takes off the last of each, and what is taken off


@dataclass(frozen=True, slots=True)
class StagedCarving:
    """A program's carving in its machine frame."""

    stays: Solid
    stages: Stages
    shift_mm: float  # of the stages, along X


@dataclass(frozen=True, slots=True)
class _Known:
    """Stages, and what must be alike for another program to share them."""

    stages: Stages
    motions: Floats
    tools: tuple[int, ...]
    cut: Floats  # corners of the wood that is reached
    past: frozenset[Past]  # what was carved before within that, and how it was turned towards this
    swept: Manifold  # by its cutters


def staged_carvings(facts: PacketFacts) -> Iterator[tuple[ProgramFacts, StagedCarving]]:
    """Yield programs in order of work with what they carve; those too long for a picture are left out."""
    bench = _Bench(facts)
    for program in facts.programs:
        if _fit_for_a_picture(program.run.motions):
            yield program, bench.carved(program)


class _Bench:
    """The boards as they are, while one program after another is run."""

    def __init__(self, facts: PacketFacts) -> None:
        self._tools = {tool.number: tool for tool in facts.manifest.tools}
        self._boards = facts.boards
        self._motions = {program.entry.file: program.run.motions for program in facts.programs}
        self._work: dict[str, list[ProgramEntry]] = {}
        for entry in sorted(facts.manifest.programs, key=lambda entry: entry.order):
            if entry.kind == "cut" and entry.file in self._motions:
                self._work.setdefault(entry.board, []).append(entry)
        self._left: dict[str, Manifold] = {}
        self._done: dict[str, list[ProgramEntry]] = {}
        self._known: list[_Known] = []
        self._same: dict[str, str] = {}  # file -> the first that carves the same

    def carved(self, program: ProgramFacts) -> StagedCarving:
        entry, motions = program.entry, program.run.motions
        board = self._boards[entry.board]
        before, rows, box = self._before(entry, board), _rows(entry), board_box(board.size, entry.to_machine)
        x = box.low[0]
        told = np.array([[*m.start, *m.end, *(m.centre or (x, 0.0)), m.feed_mm_min] for m in motions])
        told[:, [0, 3, 6]] -= x
        told[(told[:, [2, 5]] >= box.high[2]).all(axis=1)] = 0.0  # motion in the air may differ
        cut = self._reach(entry, board)
        near = (own for own in self._done[board.id] if _meet(_turned(self._reach(own, board), own, entry), cut))
        past = frozenset((self._same[own.file], _turn(rows, _rows(own))) for own in near)
        tools = tuple(motion.tool for motion in motions)
        for known in self._known:
            alike = known.tools == tools and known.past == past and np.allclose(known.cut, cut - (x, 0.0, 0.0), atol=_ALIKE_MM)
            if alike and np.allclose(known.motions, told, atol=_ALIKE_MM):
                left = before.transform(rows) - known.swept.translate((x, 0.0, 0.0))
                break
        else:
            known, left = self._carved(program, before.transform(rows), box, (told, tools, cut - (x, 0.0, 0.0), past))
            self._known.append(known)
        self._same[entry.file] = known.stages.stem
        self._done[board.id].append(entry)
        self._left[board.id] = left.transform(_back(rows))
        low, high = _near(motions, box, (_MARGIN_MM,) * 3)
        return StagedCarving(meshed(left ^ Manifold.cube((high - low).tolist()).translate(low.tolist())), known.stages, x)

    def _reach(self, entry: ProgramEntry, board: BoardEntry) -> Floats:
        """Return both corners of the wood that a program's cutters may reach, in its machine frame."""
        widest = max((max(self._tools[number].diameter, self._tools[number].shank) / 2 for number in entry.tools), default=0.0)
        return _near(self._motions[entry.file], board_box(board.size, entry.to_machine), (widest, widest, 0.0))

    def _before(self, entry: ProgramEntry, board: BoardEntry) -> Manifold:
        """Return what is left of a board when a program begins, in the board's frame."""
        done = self._done.setdefault(board.id, [])
        left = self._left.get(board.id) or Manifold.cube(board.size)
        for earlier in self._work[board.id][len(done) :]:
            if earlier.order >= entry.order:
                break
            rows = _rows(earlier)
            sweep = sweeps_of(self._motions[earlier.file], self._tools, board_box(board.size, earlier.to_machine), CIRCLE_MM)
            left -= Manifold.batch_boolean(swept_solids(sweep, rows[:, :3], rows[:, 3]), OpType.Add)
            done.append(earlier)
            self._same.setdefault(earlier.file, earlier.file)
        self._left[board.id] = left
        return left

    def _carved(
        self, program: ProgramFacts, left: Manifold, box: Box, like: tuple[Floats, tuple[int, ...], Floats, frozenset[Past]]
    ) -> tuple[_Known, Manifold]:
        """Carve a program stage by stage; return what is left of the wood, too."""
        motions, shift = program.run.motions, (-box.low[0], 0.0, 0.0)
        chips, swept = [], list[Manifold]()
        ends = np.unique(np.linspace(0, len(motions), min(_STAGES, len(motions)) + 1).astype(int)).tolist()
        for first, last in pairwise(ends):
            solids = swept_solids(sweeps_of(motions[first:last], self._tools, box, CIRCLE_MM), np.eye(3), np.zeros(3))
            if not solids:
                continue
            swept.append(Manifold.batch_boolean(solids, OpType.Add))
            chip, left = left.split(swept[-1])
            if chip.volume() > _LEAST_MM3:
                chips.append((last - 1, meshed(chip.translate(shift))))
        return _Known(Stages(program.stem, tuple(chips)), *like, Manifold.batch_boolean(swept, OpType.Add).translate(shift)), left


def _fit_for_a_picture(motions: Sequence[Motion]) -> bool:
    places = [(*motion.start, *motion.end, *(motion.centre or ())) for motion in motions]
    return 0 < len(motions) <= _MOST_MOTIONS and all(abs(value) <= FURTHEST_MM for place in places for value in place)


def _rows(entry: ProgramEntry) -> Floats:
    return np.asarray(entry.to_machine, dtype=np.float64)


def _back(rows: Floats) -> Floats:
    """Return the frame that undoes one whose turn is orthonormal."""
    return np.column_stack([rows[:, :3].T, -rows[:, :3].T @ rows[:, 3]])


def _turn(rows: Floats, earlier: Floats) -> tuple[float, ...]:
    return tuple((rows[:, :3] @ earlier[:, :3].T).round(3).ravel().tolist())


def _turned(corners: Floats, own: ProgramEntry, entry: ProgramEntry) -> Floats:
    """Carry a box from the machine frame of one program over to that of another on the same board."""
    rows, to = _rows(own), _rows(entry)
    found = (corners - rows[:, 3]) @ rows[:, :3] @ to[:, :3].T + to[:, 3]
    return np.array([found.min(axis=0), found.max(axis=0)])


def _meet(one: Floats, other: Floats) -> bool:
    return bool((one[0] < other[1]).all() and (one[1] > other[0]).all())


def _near(motions: Sequence[Motion], box: Box, margin_mm: Triple) -> Floats:
    """Return both corners of the wood near the motion."""
    places = np.array([place for motion in motions if motion.kind != "rapid" for place in (motion.start, motion.end)] or [(0.0, 0.0, 0.0)])
    low, high = np.array(box.low), np.array(box.high)
    return np.array([np.clip(places.min(axis=0) - margin_mm, low, high), np.clip(places.max(axis=0) + margin_mm, low, high)])
