"""Measures the boards of a trial: every step of both joints, its one tail in each socket, the nicks beside it, grooves, and slots."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import shapely
from manifold3d import Manifold
from shapely import Polygon

from camtools.output.manifest import BoardEntry, ToolEntry, TrialEntry, TrialGroove, TrialSlot, TrialStep
from camtools.verify.carving.carve import Carved, solid_of
from camtools.verify.carving.cutter import radius_at
from camtools.verify.fit.corner import CORNERS, Corner
from camtools.verify.fit.joint_fit import SKIN_MM, Ask, Spread, measure_joint
from camtools.verify.fit.judge import Misfit, joint_faults
from camtools.verify.fit.plane_sections import blocked_by, depths_between, section
from camtools.verify.fit.reliefs import FlatCutters
from camtools.wording import fine, mm

__all__ = ["TRIED", "GrooveTried", "SlotTried", "StepTried", "Trial", "TrialReport", "tried"]

TRIED = tuple(corner for corner in CORNERS if corner.tail_part == "left")  # a trial has one side
_JOINT_END = "u=0"  # of front and back; a fault's joint is the end that is looked at, or "groove"
LABEL_MM = 0.005  # by which a clearance, or the width of a groove or slot, may differ from what it is told as
_DEPTH_MM = 0.02
_BESIDE_MM = 2.0  # of wood at both sides of a tail that is looked at
_UNDER_MM = 0.08  # a face, where nicks are looked for
_RIM_MM = 0.001  # of a section that is left aside, where rounding leaves slivers
_NICK_MM2 = 0.1  # less is none
_SOCKET = 0.6  # of the joint's depth: what is cut deeper is a socket
_SLOT_AT_MM = 3.0  # from the end, where slots are measured


@dataclass(frozen=True, slots=True)
class Trial:
    """Boards of a trial to be measured; it travels between processes."""

    entry: TrialEntry
    entries: dict[str, BoardEntry]
    carved: dict[str, Carved]
    tools: dict[int, ToolEntry]
    panel_mm: float  # thickness of the bottom, by the job file; not a number where it is not told
    flat: Mapping[str, FlatCutters]  # corner -> what cut it, where its boards lay flat


@dataclass(frozen=True, slots=True)
class StepTried:
    """A step of one joint, measured; a place is that of the trial's frame."""

    joint: str  # "half-blind" or "through"
    number: int
    clearance_mm: float  # that it is told as
    flank: Spread | None  # of both flanks
    nicks: int


@dataclass(frozen=True, slots=True)
class GrooveTried:
    """A trial groove, measured."""

    number: int
    board: str
    asked_mm: float
    width_mm: float


@dataclass(frozen=True, slots=True)
class SlotTried:
    """A slot for calipers, measured."""

    board: str
    tool: int
    middle_mm: float
    depth_mm: float
    asked_mm: float
    width_mm: float  # of its mouth


@dataclass(frozen=True, slots=True)
class TrialReport:
    """The boards of a trial, measured."""

    drawers: tuple[int, ...]  # of the job file that they stand for, from 1
    steps: tuple[StepTried, ...]
    grooves: tuple[GrooveTried, ...]
    slots: tuple[SlotTried, ...]


def tried(trial: Trial) -> tuple[TrialReport, tuple[tuple[str, Misfit], ...]]:
    """Measure the boards of a trial; return what was found, and what is wrong, each with the board to look at."""
    entry, faults = trial.entry, list[tuple[str, Misfit]]()
    solids = {board: solid_of(trial.carved[board]) for board in entry.boards}
    steps: list[StepTried] = []
    for corner in TRIED:
        pin = entry.front if corner.half_blind else entry.back
        nicks = _nicks(trial, pin, corner)
        if len(nicks) != len(entry.steps):
            text = f"{len(nicks)} sockets are cut, for {len(entry.steps)} steps"
            faults.append((pin, Misfit("trial-nicks", text, None, (), (("sockets", float(len(nicks))),), _JOINT_END)))
        for step in entry.steps:
            own, wrong = _step(trial, solids, corner, step, nicks)
            steps.append(own)
            faults += wrong
    grooves = []
    for groove in entry.grooves:
        measured, fault = _groove(trial, solids, groove)
        grooves.append(measured)
        faults += fault
    slots = []
    for slot in entry.slots:
        mouth, fault = _slot(trial, solids, slot)
        slots.append(mouth)
        faults += fault
    return TrialReport(tuple(entry.drawers), tuple(steps), tuple(grooves), tuple(slots)), tuple(faults)


def _step(
    trial: Trial, solids: dict[str, Manifold], corner: Corner, step: TrialStep, nicks: Sequence[tuple[float, float, int]]
) -> tuple[StepTried, list[tuple[str, Misfit]]]:
    """Push the tail into the socket of a step."""
    entry, side = trial.entry, trial.entries[trial.entry.side]
    pin_id, rise = (entry.front, step.in_front) if corner.half_blind else (entry.back, step.in_back)
    pin = trial.entries[pin_id]
    name = "half-blind" if corner.half_blind else "through"
    ask = Ask(
        half_blind=corner.half_blind,
        tail_mm=side.size[2],
        pin_mm=pin.size[2],
        height_mm=pin.size[1],
        flank_mm=step.clearance,
        tip_mm=entry.tip,
        lap_mm=entry.lap,
        proud_mm=entry.proud,
        pins_proud_mm=entry.proud,
        raised=False,
        flat=trial.flat.get(corner.name),
    )
    outside = (pin.size[0], trial.entries[entry.back].to_drawer[1][3], pin.size[1])
    tails, pins = (
        corner.near(corner.into(solid.transform(board.to_drawer).translate(moved), outside), side.size[2], pin.size[2])
        for solid, board, moved in ((solids[side.id], side, (0.0, 0.0, rise)), (solids[pin.id], pin, (0.0, 0.0, 0.0)))
    )
    tips = section(tails, "x", SKIN_MM).runs(1, ask.end_mm + SKIN_MM)
    where = f"{name} joint, step {step.number}"
    if len(tips) != 1:
        fault = Misfit("trial-clearance", f"{where}: {len(tips)} tails are found where there is to be one", None, (), ())
        return StepTried(name, step.number, step.clearance, None, 0), [(side.id, fault)]
    low, high = tips[0].low - _BESIDE_MM, tips[0].high + _BESIDE_MM
    reliefs = replace(ask, flank_mm=entry.steps[-1].clearance).reliefs(pins)  # every socket's end is cut for the loosest step
    root_mm = reliefs.root_mm(pins) if reliefs else None
    tails, pins = (solid.trim_by_plane((0, 0, 1), low).trim_by_plane((0, 0, -1), -high) for solid in (tails, pins))
    joint = replace(measure_joint(tails, pins, ask), root_mm=root_mm)
    blocked = blocked_by(tails, pins, "x", [-(ask.proud_mm + 1.0) / 2, *depths_between(0.0, ask.tail_mm)])
    bound = trial.carved[side.id].bound_mm + trial.carved[pin.id].bound_mm
    found = [*joint_faults(joint, (), blocked, ask, bound)]
    extremes = (joint.flank.smallest_mm, joint.flank.largest_mm) if joint.flank else ()
    worst = max(extremes, key=lambda value: abs(value - step.clearance), default=math.nan)
    if joint.flank and abs(worst - step.clearance) > LABEL_MM:
        text = f"{fine(worst)} at a flank, its nicks tell {fine(step.clearance)}"
        found.append(Misfit("trial-clearance", text, joint.flank.largest_at, (), (("found_mm", worst), ("told_mm", step.clearance))))
    middle = (low + high) / 2
    counted = next((count for start, end, count in nicks if start < middle < end), 0)
    if counted != step.number:
        text = f"{counted} nicks stand beside its socket, {step.number} would count it"
        found.append(Misfit("trial-nicks", text, None, (), (("nicks", float(counted)), ("step", float(step.number)))))
    named = [(pin.id, _told(fault, where, corner, outside)) for fault in found]
    return StepTried(name, step.number, step.clearance, joint.flank, counted), named


def _told(fault: Misfit, where: str, corner: Corner, outside: tuple[float, float, float]) -> Misfit:
    """Name the step, and bring the place into the trial's frame."""
    place = corner.out(fault.place, outside) if fault.place else None
    return replace(fault, text=f"{where}: {fault.text}", place=place, joint=_JOINT_END)


def _removed(solid: Manifold, axis: str, at_mm: float, size: tuple[float, float]) -> Iterator[Polygon]:
    """Yield what is cut out of a section of a board."""
    wood = section(solid, axis, at_mm).area()
    for part in shapely.get_parts(shapely.box(_RIM_MM, _RIM_MM, size[0] - _RIM_MM, size[1] - _RIM_MM).difference(wood)):
        if isinstance(part, Polygon) and part.area > _NICK_MM2:
            yield part


def _nicks(trial: Trial, board: str, corner: Corner) -> list[tuple[float, float, int]]:
    """Return where each socket of a board lies across the joint, and how many nicks stand between it and the next one.

    They are looked for just under the face that bears them: the end of a board that lay flat, the outside face of one that stood upright.
    """
    in_end = corner.half_blind or corner.name in trial.flat
    entry, (length, width, thick) = trial.entries[board], trial.entries[board].size
    side_mm = trial.entries[trial.entry.side].size[2]
    solid = solid_of(trial.carved[board])
    through = thick if in_end else side_mm + trial.entry.proud
    deep = thick - trial.entry.lap + trial.entry.tip if corner.half_blind else through
    spans = []
    for part in _removed(solid, "x" if in_end else "z", _UNDER_MM, (width, thick) if in_end else (length, width)):
        a, b, c, d = part.bounds
        (low, high), reach = ((a, c), d - b) if in_end else ((b, d), c - a)
        if in_end or a < entry.size[0] / 2:
            spans.append((low, high, reach > _SOCKET * deep))
    sockets = sorted((low, high) for low, high, socket in spans if socket)
    ends = [*(low for low, _ in sockets[1:]), width][: len(sockets)]
    return [
        (low, high, sum(high <= start and end <= stop for start, end, socket in spans if not socket))
        for (low, high), stop in zip(sockets, ends, strict=True)
    ]


def _mouth(solid: Manifold, at_mm: float, size: tuple[float, float, float], middle_mm: float | None) -> tuple[float, float]:
    """Return the width at the inside face, and the depth, of a cut in a section across a board: of the only one, or that at a place."""
    _, width, thick = size
    at = thick - 1.5 * _RIM_MM
    face = shapely.LineString([(-1.0, at), (width + 1.0, at)])
    cuts = [(part.intersection(face), part.bounds) for part in _removed(solid, "x", at_mm, (width, thick))]
    own = [(line, bounds) for line, bounds in cuts if middle_mm is None or (line.bounds and line.bounds[0] < middle_mm < line.bounds[2])]
    if len(own) != 1:
        return 0.0, 0.0
    line, bounds = own[0]
    return float(line.length), thick - bounds[1]


def _groove(trial: Trial, solids: dict[str, Manifold], groove: TrialGroove) -> tuple[GrooveTried, list[tuple[str, Misfit]]]:
    size, asked = trial.entries[groove.board].size, trial.panel_mm + groove.play
    wide, _ = _mouth(solids[groove.board], size[0] / 2, size, None)
    faults = []
    if not abs(wide - asked) <= LABEL_MM:
        text = f"trial groove {groove.number} is {fine(wide)} wide, {fine(asked)} are told"
        faults.append((groove.board, Misfit("trial-groove", text, None, (), (("found_mm", wide), ("told_mm", asked)), "groove")))
    return GrooveTried(groove.number, groove.board, asked, wide), faults


def _slot(trial: Trial, solids: dict[str, Manifold], slot: TrialSlot) -> tuple[SlotTried, list[tuple[str, Misfit]]]:
    front = trial.entry.front
    size, tool = trial.entries[front].size, trial.tools.get(slot.tool)
    asked = 2 * radius_at(tool, slot.depth) if tool else math.nan
    wide, deep = _mouth(solids[front], size[0] - _SLOT_AT_MM, size, slot.middle)
    faults = []
    if not (abs(wide - asked) <= LABEL_MM and abs(deep - slot.depth) <= _DEPTH_MM):
        text = f"the slot of cutter {slot.tool} at {mm(slot.middle)} is {fine(wide)} wide and {mm(deep)} deep, "
        text += f"{fine(asked)} and {mm(slot.depth)} are told"
        faults.append((front, Misfit("trial-slot", text, None, (), (("found_mm", wide), ("told_mm", asked)), "u=L")))
    return SlotTried(front, slot.tool, slot.middle, slot.depth, asked, wide), faults
