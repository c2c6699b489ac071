"""Stacks: equal sides, one behind the other, that are cut together where their shape goes straight through. docs/joinery.md section 3.

Only tails of a through joint do. They are the same at every place through the thickness, so one program that goes on through all boards
cuts each of them as its own program would; the boards behind hold the fibres of those before.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from camtools.drawer.boards import Through
from camtools.job.job import Machine
from camtools.toolpath.moves import Air, Program, Zone
from camtools.toolpath.tails import tails_cut
from camtools.toolpath.timing import program_seconds
from camtools.toolpath.workholding import known_zeros
from camtools.wording import Told

__all__ = ["stacks_of"]

_MOST = 4  # boards that two hands keep flush; common practice, no source


def stacks_of(program: Program, number: int, machine: Machine) -> Iterator[tuple[Program, int]]:
    """Yield the stacks in which so many boards are cut, as equal as can be, and how often each comes; of one board it is the program."""
    joint, thick_mm = _through_tails(program), program.setup.piece.size_mm[2]
    most = 1 if joint is None or machine.stack_mm is None else min(int(machine.stack_mm / thick_mm + 1e-9), _MOST, number)
    while most > 1 and joint is not None and not _reached(_stack(program, joint, most, machine), machine):
        most -= 1
    if most < 2 or joint is None:
        yield program, number
        return
    loads = -(-number // most)
    least, more = divmod(number, loads)
    for boards, times in ((least + 1, more), (least, loads - more)):
        if times:
            yield _stack(program, joint, boards, machine) if boards > 1 else program, times


def _through_tails(program: Program) -> Through | None:
    """Return the joint whose tails a program alone cuts straight through an upright board; None where it cuts anything else."""
    setup = program.setup
    joint = setup.piece.through
    if "side" not in setup.piece.role or setup.hold != "upright" or setup.end != "rear end" or setup.setting.total > 1:
        return None
    return joint if joint is not None and joint.rough is None else None


def _stack(program: Program, joint: Through, boards: int, machine: Machine) -> Program:
    setup = program.setup
    length_mm, width_mm, thick_mm = setup.piece.size_mm
    whole = replace(joint, side_mm=boards * thick_mm)
    piece = replace(setup.piece, size_mm=(length_mm, width_mm, boards * thick_mm), through=whole)
    cuts = (tails_cut(whole, setup.stop, Air(machine.clearance_mm, machine.max_feed_mm_min)),)
    words = (
        f"A stack of {boards}, face to face, each with its {setup.facing} face towards you: only boards that were planed together.",
        Told(
            "Their ends and their reference edges lie flush: press both on a flat surface, then clamp them as one, {:mm} thick.",
            (boards * thick_mm,),
        ),
    )
    deeper_mm = (boards - 1) * thick_mm
    return replace(
        program,
        title=f"{program.title}, {boards} boards stacked",
        setup=replace(setup, piece=piece, zones=tuple(_moved(zone, deeper_mm) for zone in setup.zones), words=(*words, *setup.words)),
        cuts=cuts,
        seconds=program_seconds(cuts, machine),
        stacked=boards,
    )


def _moved(zone: Zone, by_mm: float) -> Zone:
    """Return a zone as it is where the board's face lies nearer to the operator: clamps press on it, the stop reaches as far."""
    if zone.name not in ("stop", "clamp"):
        return zone
    (left, near, foot), (right, far, top) = zone.low, zone.high
    return Zone(zone.name, (left, near - by_mm, foot), (right, far - by_mm if zone.name == "clamp" else far, top))


def _reached(program: Program, machine: Machine) -> bool:
    """Tell whether the travel reaches all of a stack."""
    reach_mm = program.reach_mm
    spans = all(high - low <= travel for (low, high), travel in zip(reach_mm, machine.travel_mm, strict=False))
    return spans and all(zero + reach_mm[axis][0] >= -1e-9 for axis, zero, _, _ in known_zeros(program.setup, machine))
