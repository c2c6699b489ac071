"""Roughing: waste that a straight cutter clears at an end of a board before the dovetail cutter makes the faces.

What is left on them is measured in plan at the board's upper end or face, where a dovetail cutter opens least, and in depth.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from camtools.crew import Crew
from camtools.output.manifest import ToolEntry, Triple
from camtools.verify.breakout import MOST_MOTIONS, EndReport, work_on
from camtools.verify.carving.carve import BoardWork, board_box
from camtools.verify.carving.cutter import radius_at
from camtools.verify.carving.strokes import points_along
from camtools.verify.findings import Finding
from camtools.verify.lookups import Packet, end_worked
from camtools.verify.reader.motion import ProgramRun
from camtools.verify.written import WrittenDrawer, known
from camtools.wording import mm

__all__ = ["roughing_findings"]

_STOCK_MM = (0.3, 1.0)  # least and most on every face where the job file does not say how much: common practice, no source
_SLACK_MM = 0.02  # of what is left, and of depths
_SAGITTA_MM = 0.002
_SURELY_MM = 0.1  # by which waste is wider than what must be cleared
_FACE_MM = 0.3  # from the board's faces and edges, up to which waste is looked at
_CORNER_MM = 1.0  # that a cutter may stay short of the end of waste, for what is round there
_LEAST_MM2 = 0.5
_NICKED_MM = 1.0  # no nick that counts the steps of a trial goes deeper into its board's end


@dataclass(frozen=True, slots=True)
class _Way:
    """A motion at a feed that meets the board."""

    file: str
    line: int
    tool: ToolEntry
    bottom_mm: float  # Z of the tip
    plan: LineString

    def swept(self, height_mm: float) -> BaseGeometry:
        """Return what it clears at a height over its tip."""
        return self.plan.buffer(radius_at(self.tool, height_mm), quad_segs=32)


@dataclass(frozen=True, slots=True)
class _End:
    """What is done at an end, in order of work, and what the dovetail cutter leaves of the board in plan."""

    roughing: list[_Way]
    finishing: list[_Way]
    ways: list[_Way]
    upright: bool
    wood: Polygon
    left: BaseGeometry
    deepest_mm: float


@dataclass(frozen=True, slots=True)
class _RoughedEnd:
    """What is done at an end, and what is asked of it; it travels between processes."""

    works: tuple[BoardWork, ...]  # in order, as the board stands in the first
    size: Triple
    upright: bool
    tools: dict[int, ToolEntry]
    stock_mm: tuple[float, float]  # least and most on every face
    nicked_mm: float  # that nicks go into the end at most
    roughed: frozenset[int] | None  # cutters that are taken to rough where none does; None where it is not asked for


def roughing_findings(
    ends: Sequence[EndReport], index: Packet, runs: Mapping[str, ProgramRun], wishes: Mapping[str, WrittenDrawer], crew: Crew
) -> list[Finding]:
    """Return where waste is cleared too late or too near to a face, and where it is not though the job file asks for it."""
    asked = [_asked(report, index, runs, wishes) for report in ends if not index.is_slotted(report.boards[0], report.end)]
    few = [own for own in asked if sum(len(work.motions) for work in own.works) <= MOST_MOTIONS]
    return [finding for found in crew.map("looking at roughing", _judged, few) for finding in found]


def _asked(report: EndReport, index: Packet, runs: Mapping[str, ProgramRun], wishes: Mapping[str, WrittenDrawer]) -> _RoughedEnd:
    board = index.boards[report.boards[0]]
    programs = [program for program in index.cuts[board.id] if program.file in report.programs and end_worked(program) == report.end]
    programs.sort(key=lambda program: program.order)
    first = programs[0]
    owners = {owner: parts for owner, parts in index.sets.items() if {*parts.values()} & {*report.boards}}
    joints = [wishes[owner].joints for owner in owners if owner in wishes]
    least_mm, most_mm = (max((known(own.get("rough_stock", left)) for own in joints), default=left) for left in _STOCK_MM)
    backs = (program for parts in owners.values() for program in index.cuts.get(parts["back"], ()) if program.hold == "upright")
    return _RoughedEnd(
        works=tuple(work_on(program, runs).slid_to(first.to_machine) for program in programs),
        size=board.size,
        upright=first.hold == "upright",
        tools=index.tools,
        stock_mm=(least_mm, most_mm),
        nicked_mm=_NICKED_MM if any(board.id in trial.boards for trial in index.trials) else 0.0,
        roughed=frozenset(number for back in backs for number in back.tools) if any(own.get("rough") is True for own in joints) else None,
    )


def _judged(asked: _RoughedEnd) -> list[Finding]:
    """Judge an end that a dovetail cutter works on; nothing is found at others."""
    box = board_box(asked.size, asked.works[0].to_machine)
    wood = shapely.box(*box.low[:2], *box.high[:2])
    ways = [way for work in asked.works for way in _ways(work, asked.tools, wood, box.high[2], asked.nicked_mm)]
    finishing = [way for way in ways if way.tool.kind == "dovetail"]
    if not finishing:
        return []
    deepest = min(way.bottom_mm for way in finishing)
    cleared = [way.swept(box.high[2] - deepest) for way in finishing if way.bottom_mm <= deepest + _SLACK_MM]
    roughing = [way for way in ways if way.tool.kind == "straight"]
    end = _End(roughing, finishing, ways, asked.upright, wood, wood.difference(shapely.union_all(cleared)), deepest)
    least_mm, most_mm = asked.stock_mm
    found = [*_late(end), *_near(end, least_mm)]
    if asked.roughed is not None:
        numbers = {way.tool.number for way in roughing} or asked.roughed
        radii = [asked.tools[number].diameter / 2 for number in numbers if number in asked.tools]
        found += _missing(end, min(radii, default=float("inf")), most_mm)
    return found


def _ways(work: BoardWork, tools: Mapping[int, ToolEntry], wood: Polygon, top_mm: float, nicked_mm: float) -> Iterator[_Way]:
    """Yield what meets the wood; a straight cutter by more than nicks do."""
    for motion in work.motions:
        bottom, tool = min(motion.start[2], motion.end[2]), tools.get(motion.tool)
        if tool is not None and motion.kind != "rapid" and bottom < top_mm - _SLACK_MM:
            way = _Way(work.file, motion.line, tool, bottom, LineString(points_along(motion, _SAGITTA_MM)))
            if way.plan.distance(wood) < tool.diameter / 2 - (nicked_mm if tool.kind == "straight" else 0.0):
                yield way


def _late(end: _End) -> Iterator[Finding]:
    after = end.ways[end.ways.index(end.finishing[0]) :]
    late = next((way for way in after if way.tool.kind == "straight"), None)
    if late is not None:
        yield _finding("roughing-late", late, f"{end.finishing[0].file} has cut this end before")


def _near(end: _End, stock_mm: float) -> Iterator[Finding]:
    stocks = [(min(way.plan.distance(end.left) - way.tool.diameter / 2, way.bottom_mm - end.deepest_mm), way) for way in end.roughing]
    least, way = min(stocks, key=lambda own: own[0], default=(stock_mm, end.ways[0]))
    if least < stock_mm - _SLACK_MM:
        text = f"{mm(max(least, 0.0))} are left on a face, {mm(stock_mm)} must be"
        yield _finding("roughing-too-near", way, text, left_mm=least, asked_mm=stock_mm)


def _missing(end: _End, radius_mm: float, stock_mm: float) -> Iterator[Finding]:
    """Yield the first waste that a straight cutter passes, right through an upright board or to the end of a socket, and is not cleared."""
    waste = end.wood.difference(end.left)
    _, near, _, far = waste.bounds
    least = far - near - (2 * _FACE_MM if end.upright else radius_mm + stock_mm + _CORNER_MM)
    room = end.wood.buffer(-_FACE_MM, join_style="mitre").difference(end.left.buffer(radius_mm + stock_mm + _SURELY_MM))
    missed = room.difference(shapely.union_all([way.swept(0.0) for way in end.roughing]))
    for part in shapely.get_parts(missed).tolist():
        low, high = part.bounds[1], part.bounds[3]
        if part.area > _LEAST_MM2 and high - low > least - _SLACK_MM:
            text = f"a straight cutter of {mm(2 * radius_mm)} passes at X {mm(part.centroid.x)}, and was not there"
            yield _finding("roughing-missing", end.finishing[0], text)
            return


def _finding(code: str, way: _Way, text: str, **figures: float) -> Finding:
    return Finding.of(code, way.file, way.line, text, None, **figures)
