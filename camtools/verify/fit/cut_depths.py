"""Why a joint or a groove does not fit: the depth that its programs cut to, against the depth that joint and boards ask for.

Nothing is refused for its depth alone: it is looked at where something was found amiss, so that the cause is told and not only its effects.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from camtools.output.manifest import BoardEntry, ProgramEntry, ToolEntry
from camtools.verify.carving.carve import board_box
from camtools.verify.fit.assemble import SIDES, Assembly
from camtools.verify.fit.corner import CORNERS, joint_worked
from camtools.verify.reader.motion import ProgramRun
from camtools.verify.rules.placings import end_worked

__all__ = ["WrongDepth", "wrong_depths"]

_OFF_MM = 0.02


@dataclass(frozen=True, slots=True)
class WrongDepth:
    """A program that cuts too deep or not deep enough, and the line that sets its depth."""

    joint: str  # as the drawer's faults name it
    file: str
    line: int
    found_mm: float
    asked_mm: float


def wrong_depths(
    assembly: Assembly, cuts: Mapping[str, tuple[ProgramEntry, ...]], runs: Mapping[str, ProgramRun], tools: Mapping[int, ToolEntry]
) -> Iterator[WrongDepth]:
    """Yield every cut of a drawer's joints and grooves whose depth is not the one asked for. ``cuts`` are each board's programs."""
    for joint, part, end, kind, asked in _asked(assembly):
        board = assembly.entries[part]
        for program in cuts[board.id]:
            if end_worked(program) == end and program.file in runs:
                lines = _depths(runs[program.file], program, board, {number for number, tool in tools.items() if tool.kind == kind}, tools)
                # A dovetail cutter works at one depth; what a straight one leaves is its deepest.
                found = max(lines, key=lambda depth: abs(depth - asked) if kind == "dovetail" else depth, default=asked)
                if abs(found - asked) > _OFF_MM:
                    yield WrongDepth(joint, program.file, lines[found], found, asked)


def _asked(assembly: Assembly) -> Iterator[tuple[str, str, str, str, float]]:
    """Yield joint, part, end, kind of the cutter that finishes it, and depth."""
    limits, thick = assembly.limits, {part: entry.size[2] for part, entry in assembly.entries.items()}
    for corner in CORNERS:
        tail, pin = corner.tail_part, corner.pin_part
        of_pin = "u=0" if tail == "left" else "u=L"
        if corner.half_blind:
            yield corner.joint, tail, "u=0", "dovetail", thick[pin] - limits.lap
            yield corner.joint, pin, of_pin, "dovetail", thick[pin] - limits.lap + limits.tip
        else:
            yield corner.joint, tail, "u=L", "dovetail", thick[pin] + limits.proud
            yield corner.joint, pin, of_pin, "straight", thick[tail] + limits.proud
    depth = assembly.wish.groove.get("depth") if assembly.wish else None
    if isinstance(depth, float):
        yield from ((joint_worked(part, "groove"), part, "groove", "straight", depth) for part in SIDES)


def _depths(
    run: ProgramRun, program: ProgramEntry, board: BoardEntry, numbers: set[int], tools: Mapping[int, ToolEntry]
) -> dict[float, int]:
    """Return every depth at which some cutters move in the board or beside it, and the line that first set it."""
    box, only = board_box(board.size, program.to_machine), program.tools[0] if len(program.tools) == 1 else 0
    depths: dict[float, int] = {}
    line = 0
    for motion in run.motions:
        line = motion.line if motion.start[2] != motion.end[2] else line
        number = motion.tool or only
        if number not in numbers or motion.kind == "rapid" or motion.end[2] > -_OFF_MM:
            continue
        radius = tools[number].diameter / 2
        if all(
            min(motion.start[axis], motion.end[axis]) - radius < box.high[axis]
            and max(motion.start[axis], motion.end[axis]) + radius > box.low[axis]
            for axis in (0, 1)
        ):
            depths.setdefault(round(-motion.end[2], 4), line)
    return depths
