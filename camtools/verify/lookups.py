"""Looks up what the manifest and the limits say of each other, and notes what does not agree.

Are boards held and placed as the setups and the drawer's frame ask? docs/joinery.md sections 2 and 3.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from camtools.output.manifest import BoardEntry, DrawerEntry, JointLimits, Limits, Manifest, Matrix, ProgramEntry, ToolEntry, TrialEntry
from camtools.verify.carving.carve import board_box
from camtools.verify.carving.cutter import radius_at
from camtools.verify.carving.sweep import FURTHEST_MM
from camtools.verify.findings import Finding, Subject
from camtools.verify.fit.corner import called
from camtools.wording import mm

__all__ = ["Packet", "end_worked", "looked_up", "mirrored", "rigid", "run_again", "shared_offsets"]

_NEAR_MM = 0.005
_SMALLEST_MM, _LARGEST_MM = 1.0, 3000.0  # of a board
_PROOF = "proof/"  # programs for the check alone
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
    below: dict[str, float]  # program -> how deep it may go below its board
    trials: tuple[TrialEntry, ...]  # those whose boards are sound
    findings: tuple[Finding, ...]
    judged: bool  # nothing had to be left out

    def is_slotted(self, board: str, end: str) -> bool:
        """Tell whether an end bears no joint but slots that each are cut in one line: that of a trial's front."""
        return end == "u=L" and any(board == trial.front for trial in self.trials)

    @property
    def sets(self) -> dict[str, dict[str, str]]:
        """Boards by part, of every drawer by its id and of every trial by that of its front."""
        drawers = {drawer.id: dict(drawer.parts) for drawer in self.drawers}
        return drawers | {trial.front: dict(zip(("front", "back", "left"), trial.boards, strict=True)) for trial in self.trials}


class _Notes:
    def __init__(self) -> None:
        self.findings: list[Finding] = []
        self.judged = True

    def add(self, code: str, subject: Subject, text: str, *, file: str = "manifest.json", judged: bool = True) -> None:
        self.findings.append(Finding.of(code, file, 0, text, subject))
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
    slid = {entry.file: entry.slid for entry in limits.programs} if limits else {}
    for program in manifest.programs:
        if _sound_program(program, boards, tools, slid.get(program.file, 0.0), notes) and program.kind == "cut":
            cuts[program.board].append(program)
    trials = tuple(trial for trial in (limits.trials if limits else ()) if _sound_trial(trial, boards, notes))
    backs = {trial.back for trial in trials}
    for board in boards.values():
        for text in _missing(board, cuts[board.id], tools, one_end=board.id in backs):
            notes.add("program-missing", Subject("board", board.id), text)
    for file, text in _kept_wrong(manifest, limits):
        notes.add("only-wrong", Subject("program", file), text, file="limits.json")
    joints = {joint.drawer: joint for joint in limits.joints} if limits else {}
    drawers = tuple(drawer for drawer in manifest.drawers if _sound_drawer(drawer, boards, joints, notes))
    known = {board: tuple(programs) for board, programs in cuts.items()}
    below = {entry.file: entry.spoilboard for entry in limits.programs} if limits else {}
    return Packet(boards, tools, known, drawers, joints, below, trials, tuple(notes.findings), notes.judged)


def run_again(program: ProgramEntry, limits: Limits) -> bool:
    """Tell whether a program is to be run: all are, but where the packet is for one thing only those of that."""
    only = limits.only
    return only is None or any(board == program.board and end in ("", end_worked(program)) for board, end in only.pieces)


def _kept_wrong(manifest: Manifest, limits: Limits | None) -> Iterator[tuple[str, str]]:
    """Yield programs that stand where those are that are run and are not to be, or the reverse."""
    if limits is None:
        return
    again: dict[str, bool] = {}
    for program in manifest.programs:
        if program.kind == "cut":
            again[program.file] = again.get(program.file, False) or run_again(program, limits)
    for file, wanted in again.items():
        if wanted is file.startswith(_PROOF):
            yield (
                file,
                "it is to be run, and lies among those for the check" if wanted else "it is none of those that this packet is for",
            )


def _sound_tool(tool: ToolEntry, notes: _Notes) -> bool:
    own = Subject("cutter", str(tool.number))
    neck = radius_at(tool, tool.cutting_length)
    if tool.half_angle >= 60.0 or neck < _LEAST_RADIUS_MM or max(tool.diameter, tool.shank, tool.cutting_length) > 300.0:
        text = f"it can not have this shape: {tool.half_angle:g} degrees, and {mm(2 * neck)} at its neck"
        notes.add("tool-shape", own, text, judged=False)
        return False
    if tool.kind == "straight" and tool.half_angle:
        notes.add("tool-shape", own, f"it is straight and has an angle of {tool.half_angle:g} degrees")
    return True


def _sound_board(board: BoardEntry, notes: _Notes) -> bool:
    own = Subject("board", board.id)
    if not all(_SMALLEST_MM <= value <= _LARGEST_MM for value in board.size):
        notes.add("board-size", own, f"every size must lie between {mm(_SMALLEST_MM)} and {mm(_LARGEST_MM)}", judged=False)
        return False
    if not rigid(board.to_drawer):
        notes.add("frame", own, f"to_drawer {_RIGID}", judged=False)
        return False
    for text in _placing_faults(board):
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


def _sound_program(
    program: ProgramEntry, boards: dict[str, BoardEntry], tools: dict[int, ToolEntry], slid_mm: float, notes: _Notes
) -> bool:
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
    for text in _setup_faults(program, board, slid_mm):
        notes.add("setup-wrong", own, text, file=program.file)
    return True


def _missing(board: BoardEntry, programs: list[ProgramEntry], tools: dict[int, ToolEntry], *, one_end: bool) -> Iterator[str]:
    """Yield the joints of a board that no program cuts, where roughing is not enough.

    Every board but the bottom and the back of a trial is worked at both ends.
    """
    if board.role == "bottom":
        return
    straight = {number for number, tool in tools.items() if tool.kind == "straight"}
    # The dovetail cutter makes the tails of upright boards, and sockets in flat ones; a straight one pins and tails the other way round.
    plain = {"front": (), "back": ("upright",)}.get(board.role, ("flat",))
    holds = ("flat",) if board.role == "front" else ("upright", "flat")
    done = {
        end_worked(program)
        for program in programs
        if program.hold in holds and (program.hold in plain or not straight.issuperset(program.tools))
    }
    names = ("front end", "rear end") if "side" in board.role else ("left end", "right end")
    for end, name in list(zip(("u=0", "u=L"), names, strict=True))[: 1 if one_end else 2]:
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


def _sound_trial(trial: TrialEntry, boards: dict[str, BoardEntry], notes: _Notes) -> bool:
    sound = True
    for name, role in zip(trial.boards, ("front", "back", "left side"), strict=True):
        if name not in boards:
            notes.add("name-unknown", Subject("board", name), "there is no sound board of this name for a trial", judged=False)
        elif boards[name].role != role:
            notes.add(
                "part-in-wrong-place", Subject("board", name), f"it is the {role} of a trial, and a {boards[name].role}", judged=False
            )
        sound = sound and name in boards and boards[name].role == role
    return sound


def rigid(frame: Matrix) -> bool:
    """Tell whether a map turns by right angles or mirrors, one entry of 1 or -1 in each row and column, and moves by no absurd way."""
    linear, offset = np.hsplit(np.asarray(frame), [3])
    whole = bool(np.isin(linear, (-1.0, 0.0, 1.0)).all())
    ones = np.abs(linear)
    return whole and bool((np.abs(offset) <= FURTHEST_MM).all() and (ones.sum(axis=0) == 1).all() and (ones.sum(axis=1) == 1).all())


def mirrored(to_machine: Matrix, to_drawer: Matrix) -> bool:
    """Tell whether a program would cut the mirror image of the board that stands in the drawer."""
    signs = [np.linalg.det(np.asarray(frame)[:, :3]) for frame in (to_machine, to_drawer)]
    return bool(signs[0] * signs[1] < 0)


def end_worked(program: ProgramEntry) -> str:
    """Return which part of a board a program works on: "u=0", "u=L" or "groove"."""
    row = program.to_machine[2] if program.hold == "upright" else program.to_machine[1]
    return "u=0" if row[0] == -1.0 else "u=L" if row[0] == 1.0 else "groove"


def shared_offsets(programs: Iterable[ProgramEntry]) -> set[str]:
    """Return the work offsets that serve setups of more than one kind: another hold, a groove or an end, another stop."""
    kinds: dict[str, set[tuple[str, bool, str]]] = {}
    for program in programs:
        kinds.setdefault(program.work_offset, set()).add((program.hold, end_worked(program) == "groove", program.stop))
    return {offset for offset, own in kinds.items() if len(own) > 1}


def _placing_faults(board: BoardEntry) -> Iterator[str]:
    """Yield what is wrong with a board's place in the drawer: which way its length, width and outside face lie."""
    # For each role: the rows of X, Y, Z without their constants.
    want = {
        "front": ((1, 0, 0), (0, 0, 1), (0, 1, 0)),
        "back": ((1, 0, 0), (0, 0, -1), (0, 1, 0)),
        "left side": ((0, 0, 1), (1, 0, 0), (0, 1, 0)),
        "right side": ((0, 0, -1), (1, 0, 0), (0, 1, 0)),
    }.get(board.role)
    if want is None:
        return
    for axis, row, asked, meaning in zip("XYZ", board.to_drawer, want, _meanings(board.role), strict=True):
        if tuple(row[:3]) != asked:
            yield f"the {board.role}'s {meaning} does not lie along the drawer's {axis} as it must"


def _meanings(role: str) -> tuple[str, str, str]:
    along, through = "length", "thickness, outside face outwards,"
    return (along, through, "width, reference edge down,") if "side" not in role else (through, along, "width, reference edge down,")


def _setup_faults(program: ProgramEntry, board: BoardEntry, slid_mm: float) -> Iterator[str]:
    """Yield what is wrong with how a board stands in a program: it must meet its stop, slid beyond X0 or not, and the zeros of its hold."""
    box = board_box(board.size, program.to_machine)
    sign = 1 if program.stop == "left" else -1
    edge = box.low[0] if sign > 0 else box.high[0]
    off = abs(edge + sign * slid_mm)
    if off > _NEAR_MM:
        yield f"the board stands {mm(off)} from the {program.stop} stop{'' if slid_mm else ' at X0'}"
    if abs(box.high[2]) > _NEAR_MM:
        yield f"the board's upper end or face lies {mm(abs(box.high[2]))} {'above' if box.high[2] > 0 else 'below'} Z0"
    groove = end_worked(program) == "groove"
    if groove and program.hold == "flat":
        if abs(box.low[1]) > _NEAR_MM:
            yield f"the board stands {mm(abs(box.low[1]))} from the fence at Y0"
    elif abs(box.high[1]) > _NEAR_MM:
        where = "the plate's face" if program.hold == "upright" else "the end being worked"
        yield f"the board lies {mm(abs(box.high[1]))} from Y0, {where}"
    across = program.to_machine[0]
    if not groove and across[1] != sign:
        yield f"the board's reference edge does not meet the {program.stop} stop"
    if groove and program.to_machine[1][1] != 1.0:
        yield "the board's reference edge does not meet the fence"
    if program.hold == "flat" and program.to_machine[2][2] != 1.0:
        yield "the board's inside face does not lie up"
    if program.hold == "upright" and abs(program.to_machine[2][0]) != 1.0:
        yield "the board does not stand on its end"
