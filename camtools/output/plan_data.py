"""The plan of a job as plain data: what `camtools plan` prints for scripts, and what the packet's page tells by name."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from camtools.drawer.boards import Drawer, Piece, corners_told
from camtools.drawer.case import case_of
from camtools.drawer.feeds import SafeFeed, safe_feeds_of
from camtools.drawer.trial.trial_boards import TrialSet
from camtools.job.job import Cutter, DrawerWish, Job
from camtools.output.stock_list import front_rows_of, rough_stock_of
from camtools.toolpath.handling.board_names import marks_of
from camtools.toolpath.handling.loadings import board_counts, loadings_of
from camtools.toolpath.handling.minutes import handled, seats_of
from camtools.toolpath.moves import Program

__all__ = ["PLAN", "Plan", "PlanAnswer", "PlanDrawer", "PlanMachine", "plan_bytes", "plan_of"]

PLAN = "plan.json"

Mm = Annotated[float, AfterValidator(lambda length_mm: round(length_mm, 3))]
Chip = Annotated[float, AfterValidator(lambda thickness_mm: round(thickness_mm, 4))]
Sizes = Annotated[dict[str, Mm], Field(min_length=3, max_length=3)]  # by what each is called


class _PlanPart(BaseModel):
    """Whatever has fields of these names can be taken for one: the values of the job and its drawers have."""

    model_config = ConfigDict(strict=True, frozen=True, allow_inf_nan=False, from_attributes=True)


class PlanTail(_PlanPart):
    """A tail, from the reference edge."""

    middle_mm: Mm
    width_mm: Mm


class PlanTails(_PlanPart):
    """The tails of a side."""

    front: tuple[PlanTail, ...]
    rear: tuple[PlanTail, ...]


class PlanStock(_PlanPart):
    """How a drawer's boards are made; what of stands with each."""

    sawn: str
    bottom_kind: str


class PlanBoard(_PlanPart):
    """A board of a drawer; equal ones share a mark."""

    id: str
    mark: str
    role: str
    wood: str
    count: int
    size_mm: Sizes
    groove_mm: dict[str, Mm] | None


class PlanLayout(_PlanPart):
    """A number of tails that may be thought of: its widths, from the reference edge, where it can be cut."""

    count: int
    tails_mm: tuple[Mm, ...]
    pins_mm: tuple[Mm, ...]
    half_pin_mm: Mm | None
    chosen: bool
    why: str


class PlanNote(_PlanPart):
    """Something that was chosen, or is warned of."""

    where: str
    text: str


class PlanSeason(_PlanPart):
    """What a drawer's boards come to at a moisture content."""

    moisture_percent: float
    front_mm: Mm
    side_mm: Mm
    back_mm: Mm
    above_mm: Mm | None
    bottom_mm: Mm
    bottom_room_mm: Mm
    bottom_play_mm: Mm | None


class PlanNotch(_PlanPart):
    """How both front or both rear corners of a bottom are cut back."""

    end: str
    side_mm: Mm
    side_deep_mm: Mm
    end_mm: Mm
    end_deep_mm: Mm


class PlanDrawer(_PlanPart):
    """A kind of drawer."""

    id: str
    name: str
    count: int
    opening_mm: Sizes | None
    outside_mm: Sizes
    show_front_mm: Sizes | None
    tails: PlanTails
    stock: PlanStock
    bottom_notches: tuple[PlanNotch, ...]
    bottom_corners: str  # the same in words
    seasons: tuple[PlanSeason, ...]  # driest, now, dampest
    boards: tuple[PlanBoard, ...]
    layouts: tuple[PlanLayout, ...]
    choices: tuple[PlanNote, ...]
    warnings: tuple[PlanNote, ...]


class PlanStockToPrepare(_PlanPart):
    """Boards of one wood and thickness, with what sawing and planing take."""

    wood: str
    sawn: str
    rough_mm: Mm
    thickness_mm: Mm
    pieces: int
    length_mm: Mm
    area_m2: float
    volume_m3: float


class PlanFrontRow(_PlanPart):
    """The board that the fronts of a row are sawn from, in this order from the left."""

    name: str
    wood: str
    size_mm: tuple[Mm, Mm, Mm]
    fronts: tuple[str, ...]
    drawers: tuple[str, ...]


class PlanStanding(_PlanPart):
    """A drawer in its case: the left and the upper edge of its opening, from the case's upper left corner inside."""

    drawer: str
    left_mm: Mm
    top_mm: Mm


class PlanCase(_PlanPart):
    """The case inside, where drawers name a row."""

    width_mm: Mm
    height_mm: Mm
    standing: tuple[PlanStanding, ...]


class PlanFeed(_PlanPart):
    """How fast a cutter may be fed in all its work, and how thick a chip of each edge a chart has at least and at most."""

    feed_mm_min: float
    limit: Literal["chips", "bending", "power", "machine"]
    chart_mm: tuple[Chip, Chip]
    chips_told: Literal["", "thin", "thick"]


class PlanCutter(_PlanPart):
    """A cutter and what it runs at."""

    number: int
    kind: str
    diameter_mm: float
    angle_deg: float
    marked: tuple[float, float] | None = None  # diameter in mm and angle in degrees by the job file, where it was measured since
    flutes: int
    speed_rpm: float
    max_speed_rpm: float
    assumed: tuple[str, ...]  # keys of the job file that nobody wrote, of what can be read off the cutter
    feed_mm_min: float
    chip_mm: Chip  # of each edge in a turn
    safe: PlanFeed | None  # None: it is not used
    plunge_mm_min: float
    depth_per_pass_mm: float | None  # of a straight cutter


class PlanHandling(_PlanPart):
    """Minutes that each part of handling takes."""

    setup_min: float
    board_min: float
    zero_min: float
    hold_min: float


class PlanAnswer(_PlanPart):
    """An answer of the maker, and what it sets; nothing where it is not used, and why."""

    number: int
    words: str
    date: datetime.date | None
    key: str
    value: str
    why: str
    drawers: tuple[str, ...]  # that this is so for; none: all


class PlanMachine(_PlanPart):
    """What counts in the times beside motion."""

    spin_up_s: float
    tool_change_s: float
    height_stop: bool
    handling: PlanHandling


class PlanHandled(_PlanPart):
    """How often hands do what, and the minutes of it all."""

    setups: int
    boards: int  # placed
    zeros: int  # Z zeros set
    holds: int  # changes of hold
    cutters: int  # changes of cutter
    minutes: float


class PlanLoading(_PlanPart):
    """What stands on the machine at once, and how often: names of programs, of two the first at the left stop."""

    programs: tuple[str, ...]
    times: int
    boards: tuple[int, ...]  # one behind the other, that each program cuts
    seconds: float  # of the machine, each time


class PlanProgram(_PlanPart):
    """A program that cuts."""

    name: str
    title: str
    hold: str
    held: str  # in words
    place: tuple[str, ...]  # how the board is placed, a sentence each
    stop: str
    cutters: tuple[int, ...]
    boards: tuple[str, ...]
    seconds: float


class Plan(_PlanPart):
    """``plan.json``; units stand in the keys."""

    plan: Literal[1]
    job: str
    drawers: tuple[PlanDrawer, ...]
    stock_to_prepare: tuple[PlanStockToPrepare, ...]
    front_rows: tuple[PlanFrontRow, ...]
    cutters: tuple[PlanCutter, ...]
    answers: tuple[PlanAnswer, ...] = ()
    case: PlanCase | None = None
    machine: PlanMachine
    programs: tuple[PlanProgram, ...]
    setups: tuple[PlanLoading, ...]
    handling: PlanHandled


def plan_of(job: Job, drawers: Sequence[Drawer], programs: Sequence[Program], trials: Sequence[TrialSet] = ()) -> Plan:
    """Return the plan. Drawers stand in the order of the job's wishes; programs have the work offsets of their dialect."""
    loadings = loadings_of(programs, board_counts((*drawers, *trials)), job.machine)
    done = handled(map(seats_of, loadings))
    marks = marks_of(drawers)
    feeds = safe_feeds_of(job, drawers)
    return Plan.model_validate(
        {
            "plan": 1,
            "job": job.title,
            "drawers": tuple(_drawer(wish, drawer, marks) for wish, drawer in zip(job.drawers, drawers, strict=True)),
            "stock_to_prepare": rough_stock_of(job, drawers),
            "front_rows": front_rows_of(job, drawers),
            "cutters": tuple(_cutter(cutter, feeds.get(cutter.number)) for cutter in job.cutters),
            "answers": job.answers,
            "case": _case(job, drawers),
            "machine": job.machine,
            "programs": tuple(
                {
                    "name": program.stem,
                    "title": program.title,
                    "hold": program.setup.hold,
                    "held": program.setup.held,
                    "place": tuple(map(str, program.setup.words)),
                    "stop": program.setup.stop,
                    "cutters": tuple(cut.cutter.number for cut in program.cuts),
                    "boards": program.boards,
                    "seconds": round(program.seconds, 1),
                }
                for program in programs
            ),
            "setups": tuple(
                {
                    "programs": tuple(p.stem for p in one.programs),
                    "times": one.times,
                    "boards": tuple(p.stacked for p in one.programs),
                    "seconds": round(one.seconds((p.seconds for p in one.programs), job.machine), 1),
                }
                for one in loadings
            ),
            "handling": asdict(done) | {"minutes": round(done.minutes(job.machine.handling, job.machine.tool_change_s), 1)},
        }
    )


def _case(job: Job, drawers: Sequence[Drawer]) -> dict[str, Any] | None:
    case = case_of(job, drawers)
    if case is None:
        return None
    standing = [
        {"drawer": drawer.id, "left_mm": left_mm, "top_mm": top_mm}
        for row, top_mm in case.levels_mm()
        for drawer, left_mm in zip(row.drawers, row.lefts_mm(case.width_mm), strict=True)
    ]
    height_mm = max(top_mm + row.height_mm for row, top_mm in case.levels_mm())
    width_mm = max(row.with_partitions_mm(row.partition_mm(case.width_mm)) for row in case.rows)
    return {"width_mm": width_mm, "height_mm": height_mm, "standing": tuple(standing)}


def plan_bytes(job: Job, drawers: Sequence[Drawer], programs: Sequence[Program], trials: Sequence[TrialSet] = ()) -> bytes:
    """Return the packet's ``plan.json``."""
    return (json.dumps(plan_of(job, drawers, programs, trials).model_dump(mode="json"), indent=1, allow_nan=False) + "\n").encode("ascii")


def _cutter(cutter: Cutter, safe: SafeFeed | None) -> dict[str, Any]:
    told = {key: getattr(cutter, key) for key in PlanCutter.model_fields if hasattr(cutter, key)}
    return told | {"safe": safe} | ({"depth_per_pass_mm": None} if cutter.kind == "dovetail" else {})


def _sizes(sizes_mm: tuple[float, float, float], *names: str) -> dict[str, float]:
    return dict(zip(names, sizes_mm, strict=True))


def _drawer(wish: DrawerWish, drawer: Drawer, marks: Mapping[Piece, str]) -> dict[str, Any]:
    side = drawer.left.piece
    return {
        "id": drawer.id,
        "name": drawer.name,
        "count": drawer.count,
        "opening_mm": drawer.opening_mm and _sizes(drawer.opening_mm, "width", "height", "depth"),
        "outside_mm": _sizes(drawer.outside_mm, "width", "depth", "height"),
        "show_front_mm": drawer.show_front_mm and _sizes(drawer.show_front_mm, "length", "width", "thickness"),
        "tails": {
            "front": side.half_blind.tails if side.half_blind else (),
            "rear": side.through.tails if side.through else (),
        },
        "stock": wish.stock,
        "bottom_notches": drawer.notches,
        "bottom_corners": corners_told(drawer.notches),
        "seasons": drawer.seasons,
        "boards": tuple(
            {
                "id": board.id,
                "mark": marks[board.piece],
                "role": board.piece.role,
                "wood": board.wood,
                "count": board.count,
                "size_mm": _sizes(board.piece.size_mm, "length", "width", "thickness"),
                "groove_mm": (groove := board.piece.groove)
                and {name: getattr(groove, f"{name}_mm") for name in ("edge", "width", "depth", "start", "stop")},
            }
            for board in drawer.boards
        ),
        "layouts": drawer.layouts,
        "choices": tuple(note for note in drawer.notes if note.kind == "choice"),
        "warnings": tuple(note for note in drawer.notes if note.kind == "warning"),
    }
