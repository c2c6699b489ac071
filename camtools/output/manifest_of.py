"""Fills in the manifest and the limits of a packet from what was worked out and written. Contract: `camtools.output.manifest`."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any

from pydantic import BaseModel

from camtools import __version__
from camtools.drawer.boards import Board, Drawer
from camtools.drawer.trial.trial_boards import TrialSet
from camtools.job.job import Cutter, DrawerWish, Job
from camtools.output.filing.round_files import LoadedFile, RoundFile
from camtools.output.manifest import (
    BoardEntry,
    DrawerEntry,
    JointLimits,
    Limits,
    LoadingEntry,
    MachineLimits,
    Manifest,
    OnlyEntry,
    PartsEntry,
    ProgramEntry,
    ProgramLimits,
    RoundEntry,
    ToolEntry,
    ToolLimits,
    TrialEntry,
    ZoneEntry,
)
from camtools.output.rs274 import ProgramFile
from camtools.toolpath.handling.cut_again import Only

__all__ = ["json_bytes", "limits_of", "manifest_of"]

_DECIMALS = 6  # of mm and degrees: far below what a machine can hold, far above the noise of arithmetic


def manifest_of(job: Job, drawers: Sequence[Drawer], files: Sequence[ProgramFile], trials: Sequence[TrialSet] = ()) -> Manifest:
    """Return the manifest of these drawers, trial boards and program files.

    ``order`` counts the files as given, which is the order of work; equal boards name the same file under one number.
    """
    return Manifest(
        manifest=1,
        job=job.title,
        generator=f"camtools {__version__}",
        units="mm",
        tools=[_tool(cutter) for cutter in _cutters(files)],
        drawers=[_drawer(drawer) for drawer in drawers],
        boards=[_board(board) for board in _boards((*drawers, *trials))],
        programs=[_program(file, board, order) for order, file in enumerate(files, 1) for board in file.program.boards],
    )


def limits_of(
    job: Job,
    drawers: Sequence[Drawer],
    files: Sequence[ProgramFile],
    loaded: Sequence[LoadedFile] = (),
    trials: Sequence[TrialSet] = (),
    only: Only | None = None,
    rounds: Sequence[RoundFile] = (),
) -> Limits:
    """Return what these program files must keep to, what stands on the machine at once, and how the drawers are to fit.

    Drawers stand in the order of the job's wishes, one for each; a packet of trial boards has none.
    """
    machine = job.machine
    return Limits(
        limits=1,
        machine=MachineLimits(
            travel=machine.travel_mm,
            min_speed=machine.min_speed_rpm,
            max_speed=machine.max_speed_rpm,
            max_feed=machine.max_feed_mm_min,
            rapid=machine.rapid_mm_min,
            acceleration=machine.acceleration_mm_s2,
            clearance=machine.clearance_mm,
            retract=machine.retract_mm,
            upright_stops=machine.upright_stops_mm,
            upright_plate=machine.upright_plate_mm,
            flat_stops=machine.flat_stops_mm,
            flat_fence=machine.flat_fence_mm,
            spindle_diameter=machine.spindle_diameter_mm,
            nut_height=machine.nut_height_mm,
        ),
        tools=[_tool_limits(cutter, job) for cutter in _cutters(files)],
        programs=[_program_limits(file) for file in files],
        joints=[_joint(wish, drawer) for wish, drawer in zip(job.drawers, drawers, strict=not trials)],
        loadings=[
            LoadingEntry(
                file=own.name,
                programs=own.programs,
                times=own.loading.times,
                seconds=round(own.seconds, 1) + 0.0,
                outline=own.outline,
                dry=own.dry,
                dry_seconds=round(own.dry_seconds, 1) + 0.0,
                stacked=_stacked(own),
            )
            for own in loaded
        ],
        rounds=[RoundEntry(file=own.name, first=own.first, count=own.count) for own in rounds],
        only=None if only is None else OnlyEntry.model_validate({"name": only.name, "pieces": list(only.pieces)}),
        trials=[_trial(trial) for trial in trials],
    )


def _stacked(own: LoadedFile) -> tuple[int, ...]:
    boards = tuple(program.stacked for program in own.loading.programs)
    return boards if max(boards) > 1 else ()


def json_bytes(model: BaseModel) -> bytes:
    """Return a checked value as JSON that a person can read: a row of numbers on one line, in ASCII."""
    values = _rounded(model.model_dump(exclude_none=isinstance(model, Manifest)))
    # Validating once more, as it will be read, costs little, and nothing that breaks the contract is ever written.
    type(model).model_validate_json(json.dumps(values))
    return (_laid_out(values, "") + "\n").encode("ascii")


def _rounded(value: Any) -> Any:
    """Round every number, without leaving a negative nought."""
    match value:
        case dict():
            return {key: _rounded(item) for key, item in value.items()}
        case list() | tuple():
            return [_rounded(item) for item in value]
        case float():
            return round(value, _DECIMALS) + 0.0
    return value


def _laid_out(value: object, indent: str) -> str:
    """Lay out JSON with two spaces a level, but lists without objects in them on one line."""
    deeper = indent + "  "
    if isinstance(value, dict) and value:
        return "{\n" + ",\n".join(f"{deeper}{json.dumps(k)}: {_laid_out(v, deeper)}" for k, v in value.items()) + f"\n{indent}}}"
    if isinstance(value, list) and any(isinstance(item, dict) for item in value):
        return "[\n" + ",\n".join(deeper + _laid_out(item, deeper) for item in value) + f"\n{indent}]"
    return json.dumps(value, allow_nan=False)


def _cutters(files: Iterable[ProgramFile]) -> list[Cutter]:
    return sorted({file.program.cutter for file in files}, key=lambda cutter: cutter.number)


def _boards(owners: Iterable[Drawer | TrialSet]) -> list[Board]:
    return list({board.id: board for owner in owners for board in owner.boards}.values())


def _tool(cutter: Cutter) -> ToolEntry:
    return ToolEntry(
        number=cutter.number,
        kind=cutter.kind,
        diameter=cutter.diameter_mm,
        half_angle=cutter.angle_deg,
        cutting_length=cutter.cutting_length_mm,
        shank=cutter.shank_mm,
    )


def _drawer(drawer: Drawer) -> DrawerEntry:
    parts = PartsEntry(front=drawer.front.id, back=drawer.back.id, left=drawer.left.id, right=drawer.right.id, bottom=drawer.bottom.id)
    return DrawerEntry(id=drawer.id, count=drawer.count, outside=drawer.outside_mm, parts=parts)


def _board(board: Board) -> BoardEntry:
    piece = board.piece
    return BoardEntry(
        id=board.id,
        role=piece.role,
        size=piece.size_mm,
        count=board.count,
        to_drawer=board.to_drawer,
        outline=list(piece.outline) or None,
        wood=board.wood or None,
    )


def _program(file: ProgramFile, board: str, order: int) -> ProgramEntry:
    setup = file.program.setup
    return ProgramEntry(
        file=file.name,
        board=board,
        hold=setup.hold,
        stop=setup.stop,
        work_offset=setup.work_offset,
        to_machine=setup.to_machine,
        tools=[file.program.cutter.number],
        kind=file.program.kind,
        seconds=round(file.seconds, 1) + 0.0,
        order=order,
        backing=file.program.backing,
    )


def _tool_limits(cutter: Cutter, job: Job) -> ToolLimits:
    return ToolLimits(
        number=cutter.number,
        max_speed=cutter.max_speed_rpm,
        max_feed=min(max(cutter.feed_mm_min, cutter.plunge_mm_min), job.machine.max_feed_mm_min),
        depth_per_pass=None if cutter.kind == "dovetail" else cutter.depth_per_pass_mm,
        plunges=cutter.plunges,
        stick_out=cutter.stick_out_mm,
        holder=cutter.holder_mm,
    )


def _program_limits(file: ProgramFile) -> ProgramLimits:
    setup = file.program.setup
    return ProgramLimits(
        file=file.name,
        backing=setup.backing_mm,
        spoilboard=setup.sheet_mm,
        zones=[ZoneEntry(name=zone.name, low=zone.low, high=zone.high) for zone in setup.zones],
        slid=setup.setting.slid_mm,
    )


def _joint(wish: DrawerWish, drawer: Drawer) -> JointLimits:
    joint = wish.joint
    sides = {"front": drawer.front, "back": drawer.back, "left": drawer.left, "right": drawer.right}
    return JointLimits.model_validate(
        {
            "drawer": drawer.id,
            "flank": joint.clearance_mm,
            "through_flank": joint.through_clearance_mm,
            "tip": joint.free_depth_mm,
            "lap": sockets.lap_mm if (sockets := drawer.front.piece.half_blind) else joint.lap_mm,
            "proud": joint.proud_mm,
            "back": wish.fit.back,
            "bottom_play": wish.groove.play_mm,
            "bottom_held": [side for side, board in sides.items() if board.piece.groove],
            "opening": drawer.opening_mm,
            "front": wish.fit.front,
            "planned": drawer.planned_mm,
        }
    )


def _trial(trial: TrialSet) -> TrialEntry:
    front, back, side = (board.piece for board in trial.boards)
    half_blind, through, tails = front.half_blind, back.through, side.half_blind
    assert half_blind is not None
    assert through is not None
    assert tails is not None
    assert front.trial is not None
    own_mm = tails.tails[0].middle_mm
    middles = zip(trial.clearances_mm, half_blind.tails, through.tails, strict=True)
    return TrialEntry.model_validate(
        {
            "drawers": [place + 1 for place in trial.wishes],
            "front": trial.front.id,
            "back": trial.back.id,
            "side": trial.side.id,
            "tip": half_blind.free_depth_mm,
            "lap": half_blind.lap_mm,
            "proud": through.proud_mm,
            "steps": [
                {"number": number, "clearance": clearance, "in_front": one.middle_mm - own_mm, "in_back": other.middle_mm - own_mm}
                for number, (clearance, one, other) in enumerate(middles, 1)
            ],
            "grooves": [
                {"number": number, "board": board.id, "play": play}
                for number, (board, play) in enumerate(zip(trial.boards, trial.plays_mm, strict=False), 1)
            ],
            "slots": [{"tool": slot.cutter.number, "middle": slot.middle_mm, "depth": slot.depth_mm} for slot in front.trial.slots],
        }
    )
