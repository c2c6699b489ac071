"""Settings: what is cut in several, the board slid between them, must come out as one. docs/joinery.md section 3.

Each program's cut of a groove is looked at in the board's frame, in sections across the groove where two settings overlap: what one
setting leaves there must be what the other leaves, and both must reach far enough. Of an end no gap and no socket may be cut in two
settings: in plan, whole wood lies between what one takes away and what another does.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from camtools.output.manifest import Limits, ProgramEntry, ToolEntry, Triple
from camtools.verify.carving.carve import BoardWork, board_box
from camtools.verify.carving.cutter import radius_at
from camtools.verify.carving.strokes import points_along
from camtools.verify.findings import Finding, Subject
from camtools.verify.lookups import Packet, end_worked
from camtools.verify.reader.motion import Motion, ProgramRun
from camtools.verify.rules.segments import Numbers, board_count
from camtools.wording import fine, mm

__all__ = ["setting_findings"]

_OVERLAP_MM = 5.0  # of the ways of the cutter's axis, at least: more than a stop is ever set wrong; common practice, no source
_STEP_MM = 0.01  # between walls or floors of two settings, at most
_WOOD_MM = 1.0  # that stays between what two settings of an end cut, at least; common practice, no source
_SHARES = (0.1, 0.5, 0.9)  # of the overlap, at which sections are looked at
_SAGITTA_MM = 0.002
_NEAR_MM = 0.005


@dataclass(frozen=True, slots=True)
class _Reached:
    """What one setting does below the board's upper face, in the board's frame: straight pieces and their motions."""

    program: ProgramEntry
    slid_mm: float
    starts: Numbers  # (n, 3)
    ends: Numbers
    motions: list[Motion]  # of each piece
    travel_mm: tuple[float, float]  # least and greatest X in the machine

    @property
    def reach_mm(self) -> tuple[float, float]:
        """Least and greatest place along the board."""
        along = np.concatenate((self.starts[:, 0], self.ends[:, 0]))
        return float(along.min()), float(along.max())

    def section(self, at_mm: float, thick_mm: float, tools: Mapping[int, ToolEntry]) -> tuple[BaseGeometry, int]:
        """Return what it takes of a section across the board, V and W, and the line that goes deepest there."""
        crossing = (self.starts[:, 0] - at_mm) * (self.ends[:, 0] - at_mm) <= 0.0
        crossing &= self.starts[:, 0] != self.ends[:, 0]
        taken, deepest = [], (thick_mm, 0)
        for place in np.flatnonzero(crossing).tolist():
            start, end, tool = self.starts[place], self.ends[place], tools.get(self.motions[place].tool)
            if tool is not None:
                _, v, w = (start + (end - start) * (at_mm - start[0]) / (end[0] - start[0])).tolist()
                wide, narrow, top = radius_at(tool, 0.0), radius_at(tool, tool.cutting_length), w + tool.cutting_length
                taken.append(shapely.Polygon([(v - wide, w), (v + wide, w), (v + narrow, top), (v - narrow, top)]))
                deepest = min(deepest, (w, self.motions[place].line))
        board = shapely.box(-1e4, 0.0, 1e4, thick_mm)
        return shapely.union_all(taken).intersection(board), deepest[1]


def setting_findings(index: Packet, limits: Limits, runs: Mapping[str, ProgramRun]) -> Iterator[Finding]:
    """Yield where the settings of a groove or an end do not belong together, do not overlap or part as they must, or leave a step."""
    slid = {entry.file: entry.slid for entry in limits.programs}
    judged: set[object] = set()
    steps: dict[object, float] = {}
    for board, programs in index.cuts.items():
        size = index.boards[board].size
        places: dict[tuple[object, ...], list[ProgramEntry]] = {}  # by what is worked, of a groove also by cutter
        for program in programs:
            if program.file in runs:
                end = end_worked(program)
                places.setdefault((end, *(program.tools if end == "groove" else ())), []).append(program)
        for place, own in places.items():
            key = (size, tuple((program.file, program.to_machine) for program in own))
            several = len({program.to_machine for program in own}) > 1 or any(slid.get(program.file, 0.0) for program in own)
            if several and key not in judged:
                judged.add(key)
                ways = [_way(program, slid.get(program.file, 0.0), runs[program.file]) for program in own]
                ways = sorted((way for way in ways if way.motions), key=lambda way: way.reach_mm)
                yield from _belong(ways, limits.machine.travel[0], steps)
                if place[0] == "groove":
                    for one, other in pairwise(ways):
                        yield from _joined(one, other, size[2], index.tools)
                else:
                    yield from _parted(ways, size, runs, index.tools)


def _way(program: ProgramEntry, slid_mm: float, run: ProgramRun) -> _Reached:
    motions = [motion for motion in run.motions if not motion.blind]
    pieces = board_count(motions, _SAGITTA_MM)
    frame = np.asarray(program.to_machine)
    linear, constant = frame[:, :3], frame[:, 3]
    starts, ends = ((points - constant) @ linear for points in (pieces.start, pieces.end))  # its rows turn by right angles
    below = np.minimum(pieces.start[:, 2], pieces.end[:, 2]) < -_NEAR_MM
    places = np.concatenate((pieces.start[:, 0], pieces.end[:, 0], [0.0][: len(pieces.start) == 0]))
    made = [motions[place] for place in pieces.motion[below].tolist()]
    return _Reached(program, slid_mm, starts[below], ends[below], made, (float(places.min()), float(places.max())))


def _belong(ways: Sequence[_Reached], travel_mm: float, steps: dict[object, float]) -> Iterator[Finding]:
    """Yield where settings have no common stop and zero, or one distance piece does not set every stop."""
    ways = sorted(ways, key=lambda way: way.slid_mm)
    if not ways:
        return
    first = ways[0]
    if first.slid_mm:
        yield _wrong(first.program, f"it is slid by {mm(first.slid_mm)}, and there is no setting at the stop itself to set its stop from")
    for one, way in pairwise(ways):
        own = (way.program.stop, way.program.work_offset)
        kind = (way.program.hold, end_worked(way.program) == "groove", *own)
        if own != (one.program.stop, one.program.work_offset):
            yield _wrong(way.program, f"stop and zero are not those of {one.program.file}")
            continue
        step = way.slid_mm - one.slid_mm
        if step > 0.0 and abs(step - steps.setdefault(kind, step)) > _NEAR_MM:
            yield _wrong(way.program, f"it is slid on by {mm(step)}, others by {mm(steps[kind])}: one distance piece does not do")
    low, high = min(way.travel_mm[0] for way in ways), max(way.travel_mm[1] for way in ways)
    if high - low > travel_mm + _NEAR_MM:
        yield _wrong(first.program, f"its settings have one zero, and X would travel {mm(high - low)}, the machine has {mm(travel_mm)}")


def _joined(one: _Reached, other: _Reached, thick_mm: float, tools: Mapping[int, ToolEntry]) -> Iterator[Finding]:
    low, high = max(one.reach_mm[0], other.reach_mm[0]), min(one.reach_mm[1], other.reach_mm[1])
    if high - low < _OVERLAP_MM:
        text = f"it overlaps {one.program.file} by {mm(high - low)}, and must by {mm(_OVERLAP_MM)} at least"
        yield Finding.of("setting-overlap", other.program.file, 0, text, Subject("program", other.program.file), overlap_mm=high - low)
        return
    for share in _SHARES:
        at = low + share * (high - low)
        (before, _), (after, line) = (way.section(at, thick_mm, tools) for way in (one, other))
        step = thick_mm if before.is_empty or after.is_empty else float(shapely.hausdorff_distance(before, after))
        if step > _STEP_MM:
            text = f"{mm(at)} from the board's end it leaves a step of {fine(step)} to what {one.program.file} cuts"
            yield Finding.of("setting-step", other.program.file, line, text, Subject("program", other.program.file), step_mm=step)
            return


def _parted(ways: Sequence[_Reached], size: Triple, runs: Mapping[str, ProgramRun], tools: Mapping[int, ToolEntry]) -> Iterator[Finding]:
    """Yield where a setting cuts a gap or a socket that those before it cut too, as seen where cutters are widest."""
    taken: dict[float, list[tuple[BaseGeometry, ProgramEntry, int]]] = {}
    for way in ways:
        place, program = ways[0].program.to_machine, way.program
        box = board_box(size, place)
        near = box.low[1] if program.hold == "flat" else (box.low[1] + box.high[1]) / 2  # tails are rounded at the operator's face
        wood = shapely.box(box.low[0], near, *box.high[:2])
        for motion in BoardWork(program.file, program.to_machine, runs[program.file].motions).slid_to(place).motions:
            tool = tools.get(motion.tool)
            if tool is not None and not motion.blind and min(motion.start[2], motion.end[2]) < -_NEAR_MM:
                swept = shapely.LineString(points_along(motion, _SAGITTA_MM)).buffer(tool.diameter / 2).intersection(wood)
                if not swept.is_empty:
                    taken.setdefault(way.slid_mm, []).append((swept, program, motion.line))
    gone = shapely.Polygon()
    for slid_mm, cuts in sorted(taken.items()):
        swept, program, line = min(cuts, key=lambda own: float(own[0].distance(gone)))
        between = math.inf if gone.is_empty else float(swept.distance(gone))
        if between < _WOOD_MM:
            told = f"it comes within {mm(between)} of what is cut before the board is slid by {mm(slid_mm)}; whole wood must lie between"
            yield Finding.of(
                "setting-wall", program.file, line, f"{told}, {mm(_WOOD_MM)} at least", Subject("program", program.file), wood_mm=between
            )
        gone = shapely.union_all([gone, *(swept for swept, _, _ in cuts)])


def _wrong(program: ProgramEntry, text: str) -> Finding:
    return Finding.of("setting-wrong", program.file, 0, text, Subject("program", program.file))
