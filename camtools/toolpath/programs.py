"""Every program of a job: which cuts are made in which setup, and in which order."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import pairwise, permutations

from camtools.drawer.boards import Board, Drawer, Piece
from camtools.faults import CannotCut, Fault
from camtools.job.piece import Job, Machine
from camtools.toolpath.grooves import groove_cut
from camtools.toolpath.holds import END_GROOVE, setup_of
from camtools.toolpath.moves import Cut, Program, Setup
from camtools.toolpath.pins import pins_cut
from camtools.toolpath.sockets import rough_sockets_cut, sockets_cut
from camtools.toolpath.strokes import AIR_MM
from camtools.toolpath.tails import rough_tails_cut, tails_cut
from camtools.toolpath.timing import program_seconds

__all__ = ["changes_of", "marks_of", "programs_of"]

_FEW_GROUPS = 7  # all orders of more would be too many to try
Work = tuple[str, str, Callable[[Setup], Sequence[Cut | None]]]  # end, what is done there, how


def marks_of(drawers: Iterable[Drawer]) -> dict[Piece, str]:
    """Give every different piece a short mark, such as ``left-side-2``; equal pieces share it."""
    marks: dict[Piece, str] = {}
    counts: dict[str, int] = {}
    for drawer in drawers:
        for board in drawer.boards:
            if board.piece not in marks:
                role = board.piece.role
                counts[role] = counts.get(role, 0) + 1
                marks[board.piece] = f"{role.replace(' ', '-')}-{counts[role]}"
    return marks


def _works(piece: Piece, clearance: float) -> list[Work]:
    """List what is to be done on a piece. A joint is one entry here and one module."""
    works: list[Work] = []
    half, through, groove = piece.half_blind, piece.through, piece.groove
    if "side" in piece.role:
        if half is not None:
            works.append(("front end", "tails", lambda s: (rough_tails_cut(half, s.stop, clearance), tails_cut(half, s.stop, clearance))))
        if through is not None:
            works.append(("rear end", "tails", lambda s: (rough_tails_cut(through, s.stop, clearance), tails_cut(through, s.stop, clearance))))
    for end in ("left end", "right end"):
        if piece.role == "front" and half is not None:
            works.append((end, "sockets", lambda s: (rough_sockets_cut(half, s.stop, clearance), sockets_cut(half, s.stop, clearance))))
        if piece.role == "back" and through is not None:
            works.append((end, "pins", lambda s: (pins_cut(through, s.stop, clearance),)))
    if groove is not None:
        works.append((END_GROOVE, "groove", lambda s: (groove_cut(groove, piece.size_mm[0], s.stop, clearance),)))
    return works


def programs_of(job: Job, drawers: Sequence[Drawer]) -> tuple[Program, ...]:
    """Return every program that cuts these drawers, in the order with the fewest changes of hold and cutter.

    Raises
    ------
    CannotCut
        Every reason at once why the cutters or the machine can not do it.
    """
    machine = job.machine
    marks = marks_of(drawers)
    holders: dict[Piece, list[Board]] = {}
    for drawer in drawers:
        for board in drawer.boards:
            known = holders.setdefault(board.piece, [])
            if all(other.id != board.id for other in known):
                known.append(board)
    programs: list[Program] = []
    faults: list[Fault] = []
    for piece, boards in holders.items():
        for end, what, cuts_in in _works(piece, machine.clearance_mm):
            stem = f"{marks[piece]}-{end.replace(' ', '-')}"
            try:
                free = _free_mm(piece)
                setup = setup_of(boards[0], end, machine, free)
                cuts = tuple(cut for cut in cuts_in(setup) if cut is not None)
                faults.extend(_beyond_reach(stem, setup, cuts, machine))
            except CannotCut as error:
                faults.extend(replace(fault, where=f"{stem}: {fault.where}") for fault in error.faults)
                continue
            title = f"{marks[piece]}, {what}" if end == END_GROOVE else f"{marks[piece]}, {what} at the {end}"
            programs.append(
                Program(
                    stem=stem,
                    title=title,
                    setup=setup,
                    cuts=cuts,
                    boards=tuple(board.id for board in boards),
                    seconds=program_seconds(cuts, machine),
                    order=0,
                )
            )
    if faults:
        raise CannotCut(*faults)
    return tuple(replace(program, order=i) for i, program in enumerate(_in_order(programs), 1))


def _free_mm(piece: Piece) -> float:
    """Room the cutter needs beside the wood where it comes in."""
    joint = piece.half_blind or piece.through
    widest = max((joint.dovetail.diameter_mm, joint.dovetail.holder_mm)) if joint else 0.0
    return widest + AIR_MM


def _beyond_reach(stem: str, setup: Setup, cuts: Sequence[Cut], machine: Machine) -> list[Fault]:
    """Compare a program with what the machine and the cutters can reach."""
    faults: list[Fault] = []
    for axis, name in enumerate("XYZ"):
        places = [move.end[axis] for cut in cuts for move in cut.moves]
        span = max(places) - min(places)
        if span > machine.travel_mm[axis]:
            faults.append(
                Fault(
                    stem,
                    f"the program is longer in {name} than the machine's travel",
                    value=f"{span:.1f} mm",
                    limit=f"{machine.travel_mm[axis]:g} mm",
                    remedy="a machine with more travel is needed for this board",
                )
            )
    for cut in cuts:
        deepest = -min(move.end[2] for move in cut.moves)
        cutter = cut.cutter
        if deepest > cutter.cutting_length_mm + 1e-9:
            faults.append(
                Fault(
                    stem,
                    f"cutter {cutter.number} is too short for this depth",
                    value=f"cutting length {cutter.cutting_length_mm:g} mm",
                    limit=f"at least {deepest:.2f} mm",
                    remedy="take a longer cutter, or thinner wood",
                )
            )
        if setup.hold == "upright":
            reach = max(move.end[1] for move in cut.moves) + cutter.diameter_mm / 2
            if reach > setup.backing_mm:
                faults.append(
                    Fault(
                        stem,
                        f"cutter {cutter.number} would run through the backing piece into the upright plate",
                        value=f"{reach:.2f} mm behind the board",
                        limit=f"backing {setup.backing_mm:g} mm",
                        remedy=f"fit a backing piece of at least {reach + 1:.0f} mm and set machine.backing to it",
                    )
                )
            if deepest > machine.upright_stop_below_mm - 1.0:
                faults.append(
                    Fault(
                        stem,
                        "the cutter would meet the stop and clamps of the upright hold",
                        value=f"{deepest:.2f} mm deep",
                        limit=f"1 mm above the stop, {machine.upright_stop_below_mm:g} mm below the end",
                        remedy="set stop and clamps lower",
                    )
                )
    return faults


def _group(program: Program) -> tuple[str, tuple[int, ...]]:
    return program.setup.hold, tuple(cut.cutter.number for cut in program.cuts)


def changes_of(groups: Sequence[tuple[str, tuple[int, ...]]]) -> tuple[int, int]:
    """Count the changes of hold and of cutter over programs run in this order."""
    holds = sum(a[0] != b[0] for a, b in pairwise(groups))
    cutters = [number for _, numbers in groups for number in numbers]
    return holds, sum(a != b for a, b in pairwise(cutters))


def _in_order(programs: list[Program]) -> list[Program]:
    """Sort by hold and cutters, the groups in the order with the fewest changes, then by stop and name."""
    groups = sorted({_group(program) for program in programs})
    best = tuple(groups)
    if len(groups) <= _FEW_GROUPS:
        # Among equals: fewest changes of cutter, then upright work first, so that a half-blind joint is complete early.
        best = min(
            permutations(groups),
            key=lambda order: (sum(changes_of(order)), changes_of(order)[1], *((g[0] != "upright", g[1]) for g in order)),
        )
    place = {group: i for i, group in enumerate(best)}
    return sorted(programs, key=lambda p: (place[_group(p)], p.setup.stop, _natural(p.stem)))


def _natural(stem: str) -> tuple[object, ...]:
    return tuple(int(part) if part.isdigit() else part for part in stem.split("-"))
