"""A job, its drawers and its programs, built by hand from the shared values. Sizes and names are invented."""

from __future__ import annotations

from dataclasses import replace

from camtools.drawer.boards import Affine, Board, Drawer, Groove, HalfBlind, Piece, Role, Through
from camtools.job.job import Cutter, DrawerWish, Fit, GrooveWish, Job, JointWish, Machine, Stock, TrialWish
from camtools.toolpath.moves import Cut, Move, Program, Rapid
from camtools.toolpath.programs import programs_of
from tests.joint_specimens import dovetail, half_blind, straight, through

__all__ = ["BLADE", "DRAWER", "JOB", "PROGRAMS", "STRAIGHT", "job_of", "program_of"]

BLADE = dovetail()
STRAIGHT = straight()
TRIAL = TrialWish((0.0, 0.1), (0.1,))
MACHINE = Machine(
    travel_mm=(600.0, 400.0, 120.0), min_speed_rpm=8000, max_speed_rpm=24000, max_feed_mm_min=3000, rapid_mm_min=4000,
    acceleration_mm_s2=300, clearance_mm=10.0, retract_mm=60.0, spin_up_s=3.0, tool_change_s=60.0,
    holds=("upright", "flat"), backing_mm=25.0, upright_stop_below_mm=40.0, upright_stops_mm=(150.0, 450.0), upright_plate_mm=80.0,
    flat_stops_mm=(50.0, 550.0), flat_fence_mm=100.0, flat_stop_mm=8.0,
    clamp_height_mm=30.0, clamp_from_end_mm=40.0, clamp_from_groove_mm=25.0, waste_depth_mm=0.4, postprocessor="mm",
)  # fmt: skip
STOCK = Stock(20.0, 12.0, 12.0, 6.0, "oak", "oak", "oak", "quarter", "plywood", "", 7.0, 13.0, 9.0)
JOINT = JointWish(5.0, "even", None, None, None, None, 0.08, 0.08, 0.2, 0.3, True, 0.5, 0.6, 1, 2)
GROOVE = GrooveWish(9.0, 5.0, 0.15, "stopped", 3.0, 2, "hand")
FIT = Fit("inset", 0.8, 1.5, 6.0, 1.0, 0.0, 0.0, 0.0, "full", 0.0)


def _drawer(name: str, width: float, depth: float, count: int, rough: Cutter | None, identity: str) -> Drawer:
    height = 100.0
    front_joint: HalfBlind = half_blind(width=height, count=3, rough=rough)
    back_joint: Through = through(width=height, count=3, rough=rough)
    proud, lap = back_joint.proud_mm, front_joint.lap_mm
    side_length = depth - lap + proud

    def board(part: str, role: Role, length: float, thick: float, place: Affine, joints: tuple[HalfBlind | None, Through | None]) -> Board:
        groove = Groove(9.0, 6.15, 5.0, 20.0, length - 20.0, STRAIGHT)
        piece = Piece(role, (length, height, thick), joints[0], joints[1], groove)
        return Board(f"{identity}-{part}", piece, place, count, "oak")

    front = board("front", "front", width, 20.0, ((1, 0, 0, 0), (0, 0, 1, 0), (0, 1, 0, 0)), (front_joint, None))
    back_at: Affine = ((1, 0, 0, -proud), (0, 0, -1, depth), (0, 1, 0, 0))
    back = board("back", "back", width + 2 * proud, 12.0, back_at, (None, back_joint))
    left = board("left", "left side", side_length, 12.0, ((0, 0, 1, 0), (1, 0, 0, lap), (0, 1, 0, 0)), (front_joint, back_joint))
    right_at: Affine = ((0, 0, -1, width), (1, 0, 0, lap), (0, 1, 0, 0))
    right = board("right", "right side", side_length, 12.0, right_at, (front_joint, back_joint))
    panel = (width - 14.0, depth - 22.0, 6.0)
    corners = ((3.0, 0.0), (panel[0] - 3.0, 0.0), (panel[0], 3.0), (panel[0], panel[1]), (0.0, panel[1]), (0.0, 3.0))
    bottom_at: Affine = ((1, 0, 0, 7.0), (0, 1, 0, 15.0), (0, 0, 1, 9.0))
    bottom = Board(f"{identity}-bottom", Piece("bottom", panel, outline=corners), bottom_at, count, "plywood")
    return Drawer(
        identity, name, count, (width, depth, height), (width + 1.6, height + 1.5, depth + 7), front, back, left, right, bottom, ()
    )


def job_of(
    *names: str, title: str = "Specimen chest", rough: bool = True, widths: tuple[float, ...] = ()
) -> tuple[Job, tuple[Drawer, ...]]:
    """Return a job with a drawer of each name, and the drawers worked out."""
    wide = widths or (300.0,) * len(names)
    wishes = tuple(
        DrawerWish(name, i, (301.6, 101.5, 257.0), None, STOCK, replace(JOINT, rough=rough), GROOVE, FIT) for i, name in enumerate(names, 1)
    )
    drawers = tuple(
        _drawer(name, width, 250.0, i, STRAIGHT if rough else None, f"d{i}")
        for i, (name, width) in enumerate(zip(names, wide, strict=True), 1)
    )
    return Job(title, MACHINE, (BLADE, STRAIGHT), wishes, TRIAL), drawers


JOB, (DRAWER,) = job_of("Mosses and ferns")
PROGRAMS = programs_of(JOB, (DRAWER,))


def program_of(*moves: Move, cutter: Cutter = STRAIGHT, start: tuple[float, float] = (0.0, 0.0)) -> Program:
    """Return a program of one cut that rises, traverses to ``start``, makes these moves and rises again."""
    clear = MACHINE.clearance_mm
    end = moves[-1].end if moves else (*start, clear)
    around = (Rapid((*start, clear)), Rapid((*start, clear)), *moves, Rapid((end[0], end[1], clear)))
    return replace(PROGRAMS[0], stem="trial", title="trial", cuts=(Cut(cutter, "trial", around),), seconds=1.0)
