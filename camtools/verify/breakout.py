"""Where fibres may break out of a board: at the line where a cutter enters its face, at its edges, and where it leaves into the backing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from camtools.crew import Crew
from camtools.output.manifest import BoardEntry, ProgramEntry, ToolEntry, Triple
from camtools.verify.carving.carve import BoardWork, board_box
from camtools.verify.findings import Finding
from camtools.verify.lookups import Packet, end_worked
from camtools.verify.reader.motion import ProgramRun
from camtools.verify.rules.entry_line import LIGHT_MM, ScoredLine, edge_lines, entry_line
from camtools.verify.rules.exit_edge import ExitEdge, exit_edge, opened
from camtools.verify.written import WrittenDrawer, known

__all__ = ["MOST_MOTIONS", "EndReport", "breakout_findings", "ends_of", "work_on"]

_SCORED = 0.95  # of a line in a face or an edge: what lies between is too short to break out far
_BACKED = 0.995  # of an exit edge, but for what rounding takes
_SAME_MM = 0.05  # of the depth of a light pass
MOST_MOTIONS = 30_000  # far more than an end needs


@dataclass(frozen=True, slots=True)
class EndReport:
    """One end of a board, and of those that the same programs cut."""

    boards: tuple[str, ...]
    end: str  # of the board along its length: "u=0" or "u=L"
    programs: tuple[str, ...]
    light_mm: float  # how deep a light pass may go; 0 where the job asks for none
    entry: ScoredLine | None
    edges: tuple[ScoredLine, ...]  # upright or of a side, in the board's edges, which nothing backs
    exit: ExitEdge | None  # upright


@dataclass(frozen=True, slots=True)
class _EndWork:
    """What is done at one end of a board, and what is asked of it; it travels between processes."""

    works: tuple[BoardWork, ...]  # as the board stands in the first
    size: Triple
    upright: bool
    tools: dict[int, ToolEntry]
    light_mm: float | None  # how deep a light pass in the face may go; None where its line is not looked at
    edges: bool  # whether those are looked at


def ends_of(index: Packet, runs: Mapping[str, ProgramRun], wishes: Mapping[str, WrittenDrawer], crew: Crew) -> tuple[EndReport, ...]:
    """Return what is known of every end that is worked on, those that the same programs cut as one."""
    ends: dict[object, tuple[list[str], list[ProgramEntry]]] = {}
    for board in index.boards:
        by_end: dict[str, list[ProgramEntry]] = {}
        for program in sorted(index.cuts[board], key=lambda program: program.order):
            if program.file in runs and end_worked(program) != "groove":
                by_end.setdefault(end_worked(program), []).append(program)
        for part, programs in by_end.items():
            ends.setdefault((part, *(_use(program, index) for program in programs)), ([], programs))[0].append(board)
    light = _light_passes(index, wishes)
    exits = _exits({end: programs for end, (_, programs) in ends.items()}, index, runs)
    deep: list[float] = []
    asked: list[_EndWork] = []
    for boards, programs in ends.values():
        first, slotted = programs[0], index.is_slotted(boards[0], end_worked(programs[0]))
        works = tuple(work_on(program, runs).slid_to(first.to_machine) for program in programs)
        few, upright = sum(len(work.motions) for work in works) <= MOST_MOTIONS, first.hold == "upright"
        deep.append(0.0 if slotted else max(light[board] for board in boards))
        light_mm = (deep[-1] or LIGHT_MM) if few and not slotted else None
        edges = few and (upright or _tailed(index.boards[boards[0]]))
        asked.append(_EndWork(works, index.boards[boards[0]].size, upright, index.tools, light_mm, edges))
    lines = crew.map("looking at ends", _lines, asked)
    return tuple(
        EndReport(tuple(boards), end_worked(programs[0]), tuple(program.file for program in programs), own, *found, exits.get(end))
        for (end, (boards, programs)), own, found in zip(ends.items(), deep, lines, strict=True)
    )


def _lines(end: _EndWork) -> tuple[ScoredLine | None, tuple[ScoredLine, ...]]:
    """Return the entry line in an end's face, and those in its edges."""
    face = None
    if end.light_mm is not None:
        face = entry_line(end.works, end.size, upright=end.upright, tools=end.tools, light_mm=end.light_mm)
    return face, edge_lines(end.works, end.size, tools=end.tools) if end.edges else ()


def _tailed(board: BoardEntry) -> bool:
    """Tell whether an end of a board has waste at its edges, whichever way it is held."""
    return "side" in board.role


def work_on(program: ProgramEntry, runs: Mapping[str, ProgramRun]) -> BoardWork:
    """Return what a program does on its board."""
    return BoardWork(program.file, program.to_machine, runs[program.file].motions)


def _light_passes(index: Packet, wishes: Mapping[str, WrittenDrawer]) -> dict[str, float]:
    """Return how deep a light pass may go on each board: what the job file leaves open is not left out."""
    light = dict.fromkeys(index.boards, 0.0)
    for owner, parts in index.sets.items():
        asked = known(wishes[owner].joints.get("light_pass", LIGHT_MM)) if owner in wishes else LIGHT_MM
        for board in parts.values():
            light[board] = max(light[board], asked + _SAME_MM, LIGHT_MM) if asked > 0.0 else light[board]
    return light


def _exits(ends: Mapping[object, Sequence[ProgramEntry]], index: Packet, runs: Mapping[str, ProgramRun]) -> dict[object, ExitEdge | None]:
    """Return the exit edge of every end that is worked on upright, after the program that leaves it backed worst.

    Programs take from their strips in the order of work. Those of one cutter at one end and strip are looked at together, as if they
    were one: what one of them leaves is cut away by the next. Each setting of an end is looked at by itself.
    """
    found: dict[object, ExitEdge | None] = {}
    strips: dict[object, BaseGeometry] = {}
    gone: dict[object, BaseGeometry] = {}
    upright = [(program, end) for end, programs in ends.items() for program in programs if program.hold == "upright"]
    upright.sort(key=lambda pair: pair[0].order)
    last = {(end, program.to_machine, program.stop, program.backing, *program.tools): program.order for program, end in upright}
    for program, end in upright:
        strip, taken = (program.stop, program.backing), opened(work_on(program, runs), index.tools)
        setting = end, program.to_machine
        gone[setting] = gone.get(setting, shapely.Polygon()).union(taken)
        box = board_box(index.boards[program.board].size, program.to_machine)
        edge, worst = exit_edge(program.file, gone[setting], strips.get(strip, shapely.Polygon()), box), found.get(end)
        more = program.order < last[*setting, *strip, *program.tools]
        if edge is not None and not more and (worst is None or edge.backed <= worst.backed):
            found[end] = edge
        strips[strip] = strips.get(strip, shapely.Polygon()).union(taken)
    return found


def _use(program: ProgramEntry, index: Packet) -> object:
    return program.file, program.to_machine, index.boards[program.board].size


def breakout_findings(ends: Sequence[EndReport]) -> Iterator[Finding]:
    """Yield where more breaks out than must be."""
    for end in ends:
        if end.entry is not None and end.light_mm > 0.0 and end.entry.scored < _SCORED:
            text = f"a light pass scores {end.entry.scored:.0%} of the line where the cutter enters the face"
            yield Finding.of("entry-not-scored", end.entry.file, end.entry.line, text, scored=end.entry.scored)
        for edge in end.edges if end.light_mm > 0.0 else ():
            if (1.0 - edge.scored) * edge.length_mm > max(end.light_mm, (1.0 - _SCORED) * edge.length_mm):
                text = f"a light pass scores {edge.scored:.0%} of the line where the cutter cuts the board's edge, which nothing backs"
                yield Finding.of("edge-not-scored", edge.file, edge.line, text, scored=edge.scored)
        if end.exit is not None and end.exit.backed < _BACKED:
            text = f"{end.exit.backed:.0%} of the edge where the cutter leaves the board has whole backing behind it"
            yield Finding.of("exit-not-backed", end.exit.file, 0, text, backed=end.exit.backed)
