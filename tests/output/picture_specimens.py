"""Programs on boards as small, large, long and thick as pictures must bear. Sizes are invented."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from camtools.drawer.boards import Board, Corners, Groove, HalfBlind, Notch, Piece, Through
from camtools.job.job import Cutter
from camtools.pictures.paper import Paper
from camtools.pictures.previews import preview_of
from camtools.pictures.setups.setup_view import setup_on
from camtools.toolpath.moves import Program
from camtools.toolpath.programs import programs_of
from tests.joint_specimens import dovetail, half_blind, straight, through
from tests.output.specimens import DRAWER, JOB, PROGRAMS, STRAIGHT

__all__ = ["EXTREMES", "PICTURED", "faults_of_words", "preview", "setup"]


def _programs(
    *, height: float, length: float, count: int, side: float, front: float, cutter: Cutter, pin: float, raised: float = 0.0,
    rough: Cutter | None = None, travel_x: float = 1200.0,
) -> tuple[Program, ...]:  # fmt: skip
    front_joint = half_blind(width=height, count=count, side=side, front=front, cutter=cutter, pin=pin, rough=rough)
    back_joint = through(
        width=height, count=count, side=side, back=side, cutter=cutter, pin=pin, raised=raised, plain=straight(4.0), rough=rough
    )

    def resized(board: Board, thick: float, joints: tuple[HalfBlind | None, Through | None], *, low: float = 0.0) -> Board:
        run_out = raised and "side" in board.piece.role
        groove = Groove(9.0, 6.15, min(5.0, thick / 2), 20.0, length + 1.0 if run_out else length - 20.0, STRAIGHT)
        return replace(board, piece=Piece(board.piece.role, (length, height - low, thick), *joints, groove))

    drawer = replace(
        DRAWER,
        front=resized(DRAWER.front, front, (front_joint, None)),
        back=resized(DRAWER.back, side, (None, back_joint), low=raised),
        left=resized(DRAWER.left, side, (front_joint, back_joint)),
        right=resized(DRAWER.right, side, (front_joint, back_joint)),
    )
    machine = replace(JOB.machine, travel_mm=(travel_x, 800.0, 200.0), upright_stops_mm=None, flat_stops_mm=None)
    return programs_of(replace(JOB, machine=machine), (drawer,))


STOUT = replace(dovetail(9.5, 9.0), cutting_length_mm=15.5, depth_per_pass_mm=15.5)  # bears sockets 15.2 mm deep
EXTREMES = {
    "low and thin": _programs(height=45.0, length=120.0, count=1, side=8.0, front=14.0, cutter=STOUT, pin=8.0),
    "high and thick": _programs(height=300.0, length=900.0, count=6, side=20.0, front=28.0, cutter=dovetail(19.0, 7.0), pin=16.0),
    "low and long": _programs(height=45.0, length=900.0, count=1, side=12.0, front=20.0, cutter=dovetail(), pin=7.5),
    "high, short, raised back": _programs(
        height=300.0, length=300.0, count=8, side=12.0, front=20.0, cutter=dovetail(), pin=8.0, raised=17.0, rough=straight(4.0)
    ),
}


def _bottoms(wide: float, deep: float, thick: float) -> tuple[Program, ...]:
    """Programs of a bottom with stepped corners, as long and wide as that."""
    notches = Notch("front", 13.0, 5.0, 12.0, 4.5), Notch("rear", 13.0, 5.0, 12.0, 4.5)
    piece = Piece("bottom", (wide, deep, thick), corners=Corners(notches, STRAIGHT, 0.4, 0.5))
    machine = replace(JOB.machine, travel_mm=(1200.0, 800.0, 200.0), upright_stops_mm=None, flat_stops_mm=None)
    programs = programs_of(replace(JOB, machine=machine), (replace(DRAWER, bottom=replace(DRAWER.bottom, piece=piece)),))
    return tuple(program for program in programs if program.setup.piece is piece)


_IN_SETTINGS = _programs(height=60.0, length=420.0, count=2, side=12.0, front=20.0, cutter=dovetail(), pin=7.5, travel_x=180.0)
EXTREMES["slid"] = tuple(program for program in _IN_SETTINGS if program.setup.setting.number == 2)
_WIDE = _programs(height=200.0, length=220.0, count=5, side=12.0, front=20.0, cutter=dovetail(), pin=7.5, travel_x=180.0)
_SECOND = [program for program in _WIDE if program.setup.setting.number == 2 and program.setup.end != "groove"]
EXTREMES["slid end"] = tuple({program.setup.piece.role: program for program in _SECOND}.values())
EXTREMES |= {"small bottom": _bottoms(100.0, 90.0, 4.0), "large bottom": _bottoms(800.0, 700.0, 9.0)}
PICTURED = {f"ordinary, {program.stem}": program for program in PROGRAMS} | {
    f"{name}, {program.stem}": program for name, programs in EXTREMES.items() for program in programs
}


@cache
def preview(name: str) -> Paper:
    """Return the preview of one of `PICTURED`, drawn once."""
    return preview_of(PICTURED[name])


@cache
def setup(name: str) -> Paper:
    """Return the setup picture of one of `PICTURED`, drawn once."""
    return setup_on(PICTURED[name])


def faults_of_words(paper: Paper) -> list[str]:
    """List the words of a picture that are cut short, leave the sheet or run into others or into a sign."""
    faults: list[str] = []
    for index, label in enumerate(paper.labels):
        left, bottom, right, top = label.box
        if left < 0 or bottom < 0 or right > paper.size[0] or top > paper.size[1]:
            faults.append(f"{label.text!r} leaves the sheet")
        if label.text.endswith("\N{HORIZONTAL ELLIPSIS}"):
            faults.append(f"{label.text!r} is cut short")
        for other in (*paper.labels[index + 1 :], *paper.signs):
            if left < other.box[2] and other.box[0] < right and bottom < other.box[3] and other.box[1] < top:
                faults.append(f"{label.text!r} runs into {other.text!r}")
    return faults
