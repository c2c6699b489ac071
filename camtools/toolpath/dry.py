"""The dry run: the same motion in the air, and a trace of its outline, both with the spindle off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from camtools.job.job import Machine
from camtools.toolpath.handling.loadings import over_mm
from camtools.toolpath.moves import Arc, Cut, Line, Move, Pause, Point, Program, Rapid, dry_stem
from camtools.toolpath.timing import program_seconds
from camtools.wording import Told

__all__ = ["DRY_FEED_MM_MIN", "dry_programs_of", "dry_setups_of"]

DRY_FEED_MM_MIN = 2000.0  # brisk, and slow enough to press the stop button in time
_LOOK_S = 2.0  # pause at each corner of the outline


def dry_programs_of(programs: Sequence[Program], machine: Machine) -> tuple[Program, ...]:
    """Return two programs for each: its motion raised clear of all that stands on the machine, and its outline."""
    dry: list[Program] = []
    for program in programs:
        dry += _raised(program, machine), _outline(program, machine)
    return tuple(replace(program, order=len(programs) + i) for i, program in enumerate(dry, 1))


def dry_setups_of(programs: Sequence[Program], machine: Machine) -> tuple[tuple[Program, ...], tuple[Program, ...]]:
    """Return the outlines and the dry runs of boards that stand on the machine at once: both keep clear of the thickest of them."""
    over = [over_mm(program, programs) for program in programs]
    outlines, dry = (
        tuple(make(program, machine, more) for program, more in zip(programs, over, strict=True)) for make in (_outline, _raised)
    )
    return outlines, dry


def _feed_of(machine: Machine) -> float:
    return min(DRY_FEED_MM_MIN, machine.max_feed_mm_min)


def _raised(program: Program, machine: Machine, over_mm: float = 0.0) -> Program:
    feed = _feed_of(machine)
    lift = program.setup.highest_mm + over_mm + machine.clearance_mm - program.deepest_mm

    def up(point: Point) -> Point:
        return (point[0], point[1], min(point[2], 0.0) + lift)  # its traverses need no clearance of their own: that saves travel

    def raised(move: Move) -> Move:
        if isinstance(move, Line | Arc):
            return replace(move, end=up(move.end), feed_mm_min=feed)
        return replace(move, end=up(move.end))

    cuts = tuple(
        Cut(cut.cutter, Told("{:mm} above the cut, at {:mm/min}: {}", (lift, feed, cut.purpose)), tuple(raised(m) for m in cut.moves))
        for cut in program.cuts
    )
    return replace(
        program,
        stem=dry_stem(program.stem, "dry"),
        title=f"dry run of {program.title}",
        cuts=cuts,
        seconds=program_seconds(cuts, machine, dry=True),
        kind="dry run",
    )


def _outline(program: Program, machine: Machine, over_mm: float = 0.0) -> Program:
    feed = _feed_of(machine)
    (left, right), (near, far) = program.reach_mm
    height = program.setup.highest_mm + over_mm + machine.clearance_mm
    corners = [(left, near), (right, near), (right, far), (left, far)]
    start = (*corners[0], height)
    moves: list[Move] = [Rapid(start), Rapid(start), Pause(start, _LOOK_S)]
    for x, y in [*corners[1:], corners[0]]:
        moves += [Line((x, y, height), feed), Pause((x, y, height), _LOOK_S)]
    purpose = Told("outline of the motion, {:mm} above the work, at {:mm/min}", (height, feed))
    cut = Cut(program.cuts[0].cutter, purpose, tuple(moves))
    return replace(
        program,
        stem=dry_stem(program.stem, "outline"),
        title=f"outline of {program.title}",
        cuts=(cut,),
        seconds=program_seconds((cut,), machine, dry=True),
        kind="outline",
    )
