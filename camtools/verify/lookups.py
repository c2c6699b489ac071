"""Looks up what the manifest and the limits say of each other, and notes what does not agree."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import shapely

from camtools.output.manifest import BoardEntry, DrawerEntry, JointLimits, Limits, Manifest, ProgramEntry, ToolEntry
from camtools.verify.carving.cutter import radius_at
from camtools.verify.findings import Finding, Subject
from camtools.verify.fit.corner import called
from camtools.verify.rules.placings import end_worked, mirrored, placing_faults, rigid, setup_faults

__all__ = ["Packet", "looked_up"]

_SMALLEST_MM, _LARGEST_MM = 1.0, 3000.0  # of a board
_LEAST_RADIUS_MM = 0.2  # of a dovetail cutter's neck
_RIGID = "must turn by right angles (0, 1, -1) and move by 10 m at most"


@dataclass(frozen=True, slots=True)
class Packet:
    """The sound parts of a packet: what follows is about these only."""

    boards: dict[str, BoardEntry]
    tools: dict[int, ToolEntry]
    cuts: dict[str, tuple[ProgramEntry, ...]]  # board -> its programs that cut
    drawers: tuple[DrawerEntry, ...]  # those whose five boards are sound
    joints: dict[str, JointLimits]
    findings: tuple[Finding, ...]
    judged: bool  # nothing had to be left out


class _Notes:
    def __init__(self) -> None:
        self.findings: list[Finding] = []
        self.judged = True

    def add(self, code: str, subject: Subject, text: str, *, file: str = "manifest.json", judged: bool = True) -> None:
        self.findings.append(Finding(code, "error", file, 0, text, subject=subject))
        self.judged = self.judged and judged


def looked_up(manifest: Manifest, limits: Limits | None) -> Packet:
    """Return what can be worked with, and findings on the rest."""
    notes = _Notes()
    named = [
        *(Subject("cutter", str(tool.number)) for tool in manifest.tools),
        *(Subject("board", board.id) for board in manifest.boards),
        *(Subject("drawer", drawer.id) for drawer in manifest.drawers),
    ]
    for subject, count in Counter(named).items():
        if count > 1:
            notes.add("name-twice", subject, f"it stands {count} times in the manifest", judged=False)
    tools = {tool.number: tool for tool in manifest.tools if _sound_tool(tool, notes)}
    boards = {board.id: board for board in manifest.boards if _sound_board(board, notes)}
    cuts: dict[str, list[ProgramEntry]] = {board: [] for board in boards}
    for program in manifest.programs:
        if _sound_program(program, boards, tools, notes) and program.kind == "cut":
            cuts[program.board].append(program)
    for board in boards.values():
        for text in _missing(board, cuts[board.id]):
            notes.add("program-missing", Subject("board", board.id), text)
    joints = {joint.drawer: joint for joint in limits.joints} if limits else {}
    drawers = tuple(drawer for drawer in manifest.drawers if _sound_drawer(drawer, boards, joints, notes))
    known = {board: tuple(programs) for board, programs in cuts.items()}
    return Packet(boards, tools, known, drawers, joints, tuple(notes.findings), notes.judged)


def _sound_tool(tool: ToolEntry, notes: _Notes) -> bool:
    own = Subject("cutter", str(tool.number))
    neck = radius_at(tool, tool.cutting_length)
    if tool.half_angle >= 60.0 or neck < _LEAST_RADIUS_MM or max(tool.diameter, tool.shank, tool.cutting_length) > 300.0:
        text = f"it can not have this shape: {tool.half_angle:g} degrees, and {2 * neck:.2f} mm at its neck"
        notes.add("tool-shape", own, text, judged=False)
        return False
    if tool.kind == "straight" and tool.half_angle:
        notes.add("tool-shape", own, f"it is straight and has an angle of {tool.half_angle:g} degrees")
    return True


def _sound_board(board: BoardEntry, notes: _Notes) -> bool:
    own = Subject("board", board.id)
    if not all(_SMALLEST_MM <= value <= _LARGEST_MM for value in board.size):
        notes.add("board-size", own, f"every size must lie between {_SMALLEST_MM:g} and {_LARGEST_MM:g} mm", judged=False)
        return False
    if not rigid(board.to_drawer):
        notes.add("frame", own, f"to_drawer {_RIGID}", judged=False)
        return False
    for text in placing_faults(board):
        notes.add("board-placed-wrong", own, text)
    problem = _outline_problem(board) if board.outline is not None else ""
    if problem:
        notes.add("outline", own, f"its outline {problem}", judged=False)
    return not problem


def _outline_problem(board: BoardEntry) -> str:
    points = board.outline or []
    if len(points) < 3:
        return "has fewer than three corners"
    figure = shapely.Polygon(points)
    if not figure.is_valid or figure.area < 1.0:
        return "crosses itself or has no area"
    low_u, low_v, high_u, high_v = figure.bounds
    if low_u < -0.01 or low_v < -0.01 or high_u > board.size[0] + 0.01 or high_v > board.size[1] + 0.01:
        return "reaches beyond the board"
    return ""


def _sound_program(program: ProgramEntry, boards: dict[str, BoardEntry], tools: dict[int, ToolEntry], notes: _Notes) -> bool:
    own, board = Subject("program", program.file), boards.get(program.board)
    if board is None:
        notes.add("name-unknown", own, f"there is no sound board {program.board!a}", judged=False)
        return False
    for number in program.tools:
        if number not in tools:
            notes.add("name-unknown", own, f"there is no sound cutter {number}", judged=False)
    if not rigid(program.to_machine):
        notes.add("frame", own, f"to_machine {_RIGID}", judged=False)
        return False
    if mirrored(program.to_machine, board.to_drawer):
        notes.add("setup-mirrored", own, "this setup would cut the mirror image of the board", file=program.file)
    for text in setup_faults(program, board):
        notes.add("setup-wrong", own, text, file=program.file)
    return True


def _missing(board: BoardEntry, programs: list[ProgramEntry]) -> Iterator[str]:
    """Yield the joints of a board that no program cuts: every board but the bottom has one at both ends."""
    if board.role == "bottom":
        return
    hold = "flat" if board.role == "front" else "upright"
    done = {end_worked(program) for program in programs if program.hold == hold}
    names = ("front end", "rear end") if "side" in board.role else ("left end", "right end")
    for end, name in zip(("u=0", "u=L"), names, strict=True):
        if end not in done:
            yield f"no program cuts the joint at its {name}"


def _sound_drawer(drawer: DrawerEntry, boards: dict[str, BoardEntry], joints: dict[str, JointLimits], notes: _Notes) -> bool:
    own, sound = Subject("drawer", drawer.id), True
    for part, name in drawer.parts:
        board = boards.get(name)
        if board is None:
            notes.add("name-unknown", own, f"there is no sound board {name!a} for its {part}", judged=False)
            sound = False
        elif board.role != called(part):
            notes.add("part-in-wrong-place", own, f"its {part} is board {name!a}, a {board.role}", judged=False)
            sound = False
    if drawer.id not in joints:
        notes.add("name-unknown", own, "limits.json does not say how its joints are to fit", file="limits.json", judged=False)
        sound = False
    return sound
