"""Finds the program and the line that made a fault: the motion that came nearest to its place, and cuts of a wrong depth.

Nothing is refused for its depth alone: it is looked at where something was found amiss, so that the cause is told and not only its effects.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from camtools.output.manifest import BoardEntry, Matrix, ProgramEntry, ToolEntry, Triple
from camtools.verify.carving.carve import BoardWork, board_box
from camtools.verify.carving.cutter import radius_at
from camtools.verify.findings import Finding, Subject
from camtools.verify.fit.assemble import SIDES, Assembly
from camtools.verify.fit.corner import CORNERS, joint_worked
from camtools.verify.lookups import end_worked
from camtools.verify.reader.motion import Motion, ProgramRun
from camtools.wording import mm

__all__ = ["Source", "nearest_line", "wrong_depths"]

_STILL_MM = 1e-6
_MOST_MOTIONS = 30_000
_OFF_MM = 0.02  # of a depth


@dataclass(frozen=True, slots=True)
class Source:
    """A program and a line of it."""

    file: str
    line: int


def nearest_line(works: Sequence[BoardWork], tools: Mapping[int, ToolEntry], to_drawer: Matrix, place: Triple) -> Source | None:
    """Return the line that made a place of the drawer, or None where there is no motion.

    It is that of the motion whose cutter came nearest, or which took the place deepest into itself. Where there are far more
    motions than a board needs, none is looked for.

    Parameters
    ----------
    works
        What was done to the board.
    tools
        Cutters by number; motions of any other are passed over.
    to_drawer
        Where the board stands in the drawer.
    place
        In the drawer's frame, in mm.
    """
    drawer = np.asarray(to_drawer)
    spot = drawer[:, :3].T @ (np.asarray(place) - drawer[:, 3])
    best: tuple[tuple[float, float], Source] | None = None
    if sum(len(work.motions) for work in works) > _MOST_MOTIONS:
        return None
    for work in works:
        machine = np.asarray(work.to_machine)
        x, y, z = (machine[:, :3] @ spot + machine[:, 3]).tolist()
        for index, motion in enumerate(work.motions):
            tool = tools.get(motion.tool)
            if tool is None or (motion.kind == "rapid" and motion.end[2] > 0):
                continue
            outside, askew, floor = _nearness(motion, tool, (x, y, z))
            rank = (round(outside, 4), round(askew, 4))
            if best is None or rank < best[0]:
                best = (rank, Source(work.file, _set_by(work.motions, index, floor).line))
    return best[1] if best else None


def _set_by(motions: Sequence[Motion], index: int, floor: bool) -> Motion:
    """Return the motion that set what a motion cut: the height of its floor, or the place of a wall along an axis."""
    own = motions[index]
    if floor:
        held = 2
    elif own.centre is None and abs(own.end[0] - own.start[0]) < _STILL_MM:
        held = 0
    elif own.centre is None and abs(own.end[1] - own.start[1]) < _STILL_MM:
        held = 1
    else:
        return own
    for motion in reversed(motions[: index + 1]):
        if abs(motion.end[held] - motion.start[held]) > _STILL_MM or motion.tool != own.tool:
            return motion if motion.tool == own.tool else own
    return own


def _nearness(motion: Motion, tool: ToolEntry, spot: Triple) -> tuple[float, float, bool]:
    """Return how a cutter passes a place where it comes nearest.

    How far outside it the place lies (below 0: inside), how far from square to the motion it is passed (walls lie along a motion),
    and whether its flat end is what comes nearest.
    """
    lean = math.cos(math.radians(tool.half_angle))
    ahead = (motion.end[0] - motion.start[0], motion.end[1] - motion.start[1])
    found = []
    for place in _passings(motion, spot):
        height, apart = spot[2] - place[2], math.dist(spot[:2], place[:2])
        beside = (apart - radius_at(tool, max(0.0, height))) * lean
        outside = max(beside, -height) if height >= 0 or beside <= 0 else math.hypot(beside, height)
        floor, way = -height > beside + _STILL_MM, apart * math.hypot(*ahead)
        along = abs((spot[0] - place[0]) * ahead[0] + (spot[1] - place[1]) * ahead[1])
        found.append((outside, along / way if motion.centre is None and way > 0 and not floor else 0.0, floor))
    return min(found)


def _passings(motion: Motion, spot: Triple) -> Iterable[Triple]:
    """Yield the ends of a motion and the place on it that is nearest in plan."""
    yield motion.start
    yield motion.end
    (x, y, z), (p, q, r) = motion.start, motion.end
    if motion.centre is None:
        squared = (p - x) ** 2 + (q - y) ** 2
        if squared > 0:
            share = ((spot[0] - x) * (p - x) + (spot[1] - y) * (q - y)) / squared
            if 0 < share < 1:
                yield x + share * (p - x), y + share * (q - y), z + share * (r - z)
        return
    cx, cy = motion.centre
    radius = math.dist((x, y), motion.centre)
    first, towards = math.atan2(y - cy, x - cx), math.atan2(spot[1] - cy, spot[0] - cx)
    sign = 1.0 if motion.sweep_deg >= 0 else -1.0
    turn = (sign * (towards - first)) % (2 * math.pi)
    whole = abs(math.radians(motion.sweep_deg))
    if 0 < turn < whole:
        yield cx + radius * math.cos(towards), cy + radius * math.sin(towards), z + (r - z) * turn / whole


def wrong_depths(
    assembly: Assembly,
    joints: Collection[str],
    cuts: Mapping[str, tuple[ProgramEntry, ...]],
    runs: Mapping[str, ProgramRun],
    tools: Mapping[int, ToolEntry],
) -> Iterator[Finding]:
    """Yield every cut whose depth is not the one that joint and boards ask for, at the line that sets it.

    Parameters
    ----------
    assembly
        The drawer.
    joints
        Those of its joints and grooves that are looked at, as its faults name them.
    cuts
        Programs of each board, by its id.
    runs
        Programs that could be run, by file.
    tools
        Cutters by number.
    """
    for joint, part, end, kind, asked in _asked(assembly):
        board = assembly.entries[part]
        for program in cuts[board.id] if joint in joints else ():
            if end_worked(program) == end and program.file in runs:
                lines = _depths(runs[program.file], program, board, {number for number, tool in tools.items() if tool.kind == kind}, tools)
                # A dovetail cutter works at one depth; what a straight one leaves is its deepest.
                found = max(lines, key=lambda depth: abs(depth - asked) if kind == "dovetail" else depth, default=asked)
                if abs(found - asked) > _OFF_MM:
                    what, do = ("too deep", "raise") if found > asked else ("too shallow", "lower")
                    text = f"{mm(abs(found - asked))} {what}, {mm(found)} for {mm(asked)}; {do} Z there by the difference"
                    subject = Subject("drawer", assembly.drawer.id, joint)
                    yield Finding.of("cut-depth", program.file, lines[found], text, subject, depth_mm=found, asked_mm=asked)


def _asked(assembly: Assembly) -> Iterator[tuple[str, str, str, str, float]]:
    """Yield joint, part, end, kind of the cutter that finishes it, and depth."""
    limits, thick = assembly.limits, {part: entry.size[2] for part, entry in assembly.entries.items()}
    proud = assembly.standing.proud_mm
    for corner in CORNERS:
        tail, pin = corner.tail_part, corner.pin_part
        of_pin = "u=0" if tail == "left" else "u=L"
        if corner.half_blind:
            yield corner.joint, tail, "u=0", "dovetail", thick[pin] - limits.lap
            yield corner.joint, pin, of_pin, "dovetail", thick[pin] - limits.lap + limits.tip
        else:
            yield corner.joint, tail, "u=L", "dovetail", thick[pin] + proud[tail]
            yield corner.joint, pin, of_pin, "straight", thick[tail] + proud[pin]
    depth = assembly.wish.groove.get("depth") if assembly.wish else None
    if isinstance(depth, float):
        yield from ((joint_worked(part, "groove"), part, "groove", "straight", depth) for part in SIDES)


def _depths(
    run: ProgramRun, program: ProgramEntry, board: BoardEntry, numbers: set[int], tools: Mapping[int, ToolEntry]
) -> dict[float, int]:
    """Return every depth at which some cutters move in the board or beside it, and the line that first set it."""
    box, only = board_box(board.size, program.to_machine), program.only_tool
    depths: dict[float, int] = {}
    line = 0
    for motion in run.motions:
        line = motion.line if motion.start[2] != motion.end[2] else line
        number = motion.tool or only
        if number not in numbers or motion.kind == "rapid" or motion.end[2] > -_OFF_MM:
            continue
        radius = radius_at(tools[number], 0.0)
        if all(
            min(motion.start[axis], motion.end[axis]) - radius < box.high[axis]
            and max(motion.start[axis], motion.end[axis]) + radius > box.low[axis]
            for axis in (0, 1)
        ):
            depths.setdefault(round(-motion.end[2], 4), line)
    return depths
