"""One thing only, for a spoiled piece: which boards, or ends of boards, are cut again where a packet of one of them is asked for."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from camtools.drawer.boards import Drawer
from camtools.faults import CamtoolsError, Fault
from camtools.job.slips import nearest
from camtools.toolpath.handling.board_names import marks_of
from camtools.toolpath.moves import Program

__all__ = ["NotInJob", "Only", "only_of"]

_ENDS = {"front end": "u=0", "left end": "u=0", "rear end": "u=L", "right end": "u=L", "groove": "groove"}
_JOINTS = [(part, end, side) for part, end in (("front", "front end"), ("back", "rear end")) for side in ("left", "right")]
_SHOWN = 8  # names that are told where none is like what was asked for

Pieces = tuple[tuple[str, str], ...]  # boards by id, each with the end that is cut, as `Only` has it


class NotInJob(CamtoolsError):
    """What alone is asked for is not there, or nothing cuts it."""

    exit_code = 2
    heading = "Nothing was written"


@dataclass(frozen=True, slots=True)
class Only:
    """What is cut again. Of each board the end, "u=0", "u=L" or "groove"; all of it where that is empty."""

    name: str
    pieces: Pieces

    def asks_for(self, program: Program) -> bool:
        """Tell whether a program cuts some of it."""
        end = _ENDS[program.setup.end]
        return any(board in program.boards and own in ("", end) for board, own in self.pieces)

    def counts(self, drawers: Sequence[Drawer], programs: Sequence[Program]) -> dict[str, int]:
        """Return how many boards of each id are cut: one of each kind that programs tell apart."""
        named = {board for board, _ in self.pieces}
        first = {next(board for board in program.boards if board in named) for program in programs}
        return {board.id: int(board.id in first) for drawer in drawers for board in drawer.boards}


def only_of(name: str, drawers: Sequence[Drawer], programs: Sequence[Program]) -> Only:
    """Return what a name means: of a drawer, a board, a joint, an end, or the mark that equal boards share, as page and files call them.

    Raises
    ------
    NotInJob
        Where nothing has this name, or no program cuts it.
    """
    known: dict[str, tuple[str, Pieces]] = {}
    for called, pieces in _names(drawers, programs):
        known.setdefault(_plain(called), (called, pieces))
    if _plain(name) not in known:
        near = nearest(_plain(name), known)
        shown = ", ".join([called for called, _ in known.values()][:_SHOWN])
        remedy = f"did you mean {known[near][0]}?" if near else "name a drawer, a board, a mark, or a mark and its end"
        raise NotInJob(Fault("--only", "nothing in this job has this name", repr(name), f"{shown}, ...", remedy))
    called, pieces = known[_plain(name)]
    found = Only(called, pieces)
    if not any(map(found.asks_for, programs)):
        raise NotInJob(Fault("--only", "no program cuts it", repr(called), remedy="name its drawer, or a board that is cut on the machine"))
    return found


def _plain(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")


def _names(drawers: Sequence[Drawer], programs: Sequence[Program]) -> Iterator[tuple[str, Pieces]]:
    """Yield every name with what it means; a name that comes again means what it did before."""
    marks = marks_of(drawers)
    shared: dict[str, dict[str, None]] = {}
    for drawer in drawers:
        whole = tuple((board.id, "") for board in drawer.boards)
        yield from ((called, whole) for called in (drawer.name, drawer.id))
        for board in drawer.boards:
            shared.setdefault(marks[board.piece], {})[board.id] = None
            yield from ((called, ((board.id, ""),)) for called in (board.id, f"{drawer.name} {board.piece.role}"))
        for part, end, side in _JOINTS:
            pieces: Pieces = ((getattr(drawer, side).id, _ENDS[end]), (getattr(drawer, part).id, _ENDS[f"{side} end"]))
            yield from (
                (called, pieces) for own in (drawer.name, drawer.id) for called in (f"{own} {part} {side}", f"{own} {part} {side} joint")
            )
    yield from ((mark, tuple((board, "") for board in boards)) for mark, boards in shared.items())
    for program in programs:
        end = program.setup.end
        mark = marks[program.setup.piece]
        own_end: Pieces = tuple((board, _ENDS[end]) for board in program.boards)
        yield from ((called, own_end) for called in (f"{mark} {end}", program.stem, program.stem.partition("-")[0]))
        yield from ((f"{board} {end}", ((board, _ENDS[end]),)) for board in program.boards)
