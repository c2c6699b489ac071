"""Rules of stacks: equal boards, one behind the other, that one program cuts together.

What a program does to one board is judged by its own file. A stack's must leave every board of the stack as that leaves one, and take
as much from the backing; its motion is judged as if the stack were one board. docs/joinery.md section 3.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from manifold3d import Manifold

from camtools.output.manifest import BoardEntry, Limits, Manifest, Matrix, ProgramEntry, ToolEntry, Triple, ZoneEntry
from camtools.verify.carving.carve import BoardWork, Carving, CarvingFault, carve, solid_of
from camtools.verify.findings import Finding, Log
from camtools.verify.fit.plane_sections import section
from camtools.verify.reader.motion import ProgramRun
from camtools.verify.rules.entry_line import LIGHT_MM, edge_lines, entry_line
from camtools.verify.rules.exit_edge import opened
from camtools.verify.rules.load_rules import stated_of
from camtools.verify.rules.motion_rules import judge
from camtools.verify.rules.workplace import SLACK_MM, Workplace, workplace_of
from camtools.verify.written import Written, known
from camtools.wording import fine, mm

__all__ = ["Stack", "judge_stack", "stack_of"]

_STEP_MM = 0.01  # between what a stack's program and a board's own leave, at most
_THROUGH = (0.02, 0.25, 0.5, 0.75, 0.98)  # shares of the thickness, and of the depth of the cut, at which sections are compared
_NOT_WORSE = 0.01  # of a scored line


@dataclass(frozen=True, slots=True)
class Stack:
    """A stack as one thick board, with what surrounds it."""

    program: ProgramEntry
    boards: int
    each: BoardEntry
    manifest: Manifest  # in which the board is as thick as the stack
    limits: Limits

    def place(self, log: Log) -> Workplace | None:
        return workplace_of(self.program, self.limits, self.manifest, log)


def stack_of(program: ProgramEntry, boards: int, limits: Limits, manifest: Manifest) -> Stack | None:
    """Return so many boards as a stack; None where the program names no board."""
    each = next((board for board in manifest.boards if board.id == program.board), None)
    if each is None:
        return None
    length, width, thick = each.size
    whole = each.model_copy(update={"size": (length, width, boards * thick)})
    nearer = (boards - 1) * thick
    around = [
        entry.model_copy(update={"zones": [_moved(zone, nearer) for zone in entry.zones]})
        for entry in limits.programs
        if entry.file == program.file
    ]
    return Stack(
        program,
        boards,
        each,
        manifest.model_copy(update={"boards": [whole], "programs": [program]}),
        limits.model_copy(update={"programs": around}),
    )


def _moved(zone: ZoneEntry, by: float) -> ZoneEntry:
    """Return where clamps and stop stand when the face that they reach to lies nearer to the operator."""
    if zone.name not in ("stop", "clamp"):
        return zone
    (left, near, foot), (right, far, top) = zone.low, zone.high
    return zone.model_copy(update={"low": (left, near - by, foot), "high": (right, far - by if zone.name == "clamp" else far, top)})


def judge_stack(run: ProgramRun, own: ProgramRun, stack: Stack, written: Written | None, whole: Manifest) -> Iterator[Finding]:
    """Yield what is wrong with a stack.

    Parameters
    ----------
    run, own
        What is done to it, and what a board's own program does.
    stack
        The boards.
    written
        What the job file says.
    whole
        The packet's manifest.
    """
    log = Log(run.file)
    for text in _unsound(stack, written, whole):
        log.add("stack-unsound", 0, text)
    yield from log.findings()
    stated = stated_of(written, whole, {stack.each.id}) if written else None
    yield from judge(run, stack.program, stack.limits, stack.manifest, stated)
    log = Log(run.file)
    for text in _differs(run, own, stack):
        log.add("stack-differs", run.motions[0].line if run.motions else 0, text)
    yield from log.findings()


def _unsound(stack: Stack, written: Written | None, whole: Manifest) -> Iterator[str]:
    program, thick = stack.program, stack.boards * stack.each.size[2]
    most = known(written.machine.get("stack", 0.0)) if written else 0.0
    if not thick <= most + SLACK_MM:
        yield f"{stack.boards} boards are {mm(thick)} thick, and the job file has {mm(most)} stacked at most, machine.stack"
    if program.hold != "upright":
        yield "only boards that stand upright are stacked"
    named = {entry.board for entry in whole.programs if entry.file == program.file}
    counted = sum(board.count for board in whole.boards if board.id in named)
    if counted < stack.boards:
        yield f"{stack.boards} boards are stacked, and there are {counted}"


def _differs(run: ProgramRun, own: ProgramRun, stack: Stack) -> Iterator[str]:
    """Yield in what a stack's program does not do to each board what the board's own does."""
    program, size, thick = stack.program, stack.each.size, stack.each.size[2]
    tools = {tool.number: tool for tool in stack.manifest.tools}
    work, alone = (_work(one, program) for one in (run, own))
    try:
        asked = solid_of(carve(Carving(size, (alone,), tools)))
        for number in range(stack.boards):
            stands = BoardWork(work.file, _nearer(program.to_machine, number * thick), work.motions)
            step = _largest_step(asked, solid_of(carve(Carving(size, (stands,), tools))), own, size)
            if not step <= _STEP_MM:
                yield f"board {number + 1} from the backing is left with a step of {fine(step)} to what {own.file} leaves"
    except CarvingFault as fault:
        yield str(fault)
    behind, before = opened(work, tools), opened(alone, tools)
    if behind.symmetric_difference(before).area > _STEP_MM * before.length:
        yield f"it takes something else from the backing than {own.file}"
    yield from _scored((work, alone), (stack.manifest.boards[0].size, size), tools, stack.boards)


def _scored(works: tuple[BoardWork, BoardWork], sizes: tuple[Triple, Triple], tools: dict[int, ToolEntry], boards: int) -> Iterator[str]:
    """Yield where light passes score less of the face and the edges where the cutter enters than the board's own program does."""
    entries = [entry_line([one], size, upright=True, tools=tools) for one, size in zip(works, sizes, strict=True)]
    shares = [1.0 if entry is None else entry.scored for entry in entries]
    if shares[0] < shares[1] - _NOT_WORSE:
        yield f"a light pass scores {shares[0]:.0%} of the line where the cutter enters the face, the board's own program {shares[1]:.0%}"
    edges = [edge_lines([one], size, tools=tools) for one, size in zip(works, sizes, strict=True)]
    torn = [sum((1.0 - edge.scored) * edge.length_mm for edge in own) for own in edges]
    if torn[0] > boards * torn[1] + LIGHT_MM:
        yield f"{mm(torn[0])} of the boards' edges are not scored by a light pass"


def _work(run: ProgramRun, program: ProgramEntry) -> BoardWork:
    made = (replace(own, tool=own.tool or program.only_tool) for own in run.motions if not own.blind)
    return BoardWork(run.file, program.to_machine, tuple(made))


def _nearer(to_machine: Matrix, by: float) -> Matrix:
    """Return the map of a board that stands nearer to the operator."""
    x, (u, v, w, constant), z = to_machine
    return x, (u, v, w, constant - by), z


def _largest_step(asked: Manifold, found: Manifold, own: ProgramRun, size: tuple[float, float, float]) -> float:
    """Return how far the outlines of two boards' sections stand apart: through the thickness, and across the joint at its end."""
    deep = max((-motion.end[2] for motion in own.motions), default=0.0)
    steps = []
    places = [("z", share * size[2]) for share in _THROUGH]
    places += [("x", share * deep) for share in _THROUGH] + [("x", size[0] - share * deep) for share in _THROUGH]
    for axis, place in places:
        areas = [section(solid, axis, place).area() for solid in (asked, found)]
        if any(area.is_empty for area in areas):
            return size[2]
        steps.append(areas[0].boundary.hausdorff_distance(areas[1].boundary))
    return float(max(steps))
