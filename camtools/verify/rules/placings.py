"""Placings: are boards held and placed as the setups and the drawer's frame ask? docs/joinery.md sections 2 and 3."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from camtools.output.manifest import BoardEntry, Matrix, ProgramEntry
from camtools.verify.carving.carve import board_box
from camtools.verify.carving.sweep import FURTHEST_MM

__all__ = ["end_worked", "mirrored", "placing_faults", "rigid", "setup_faults"]

_NEAR_MM = 0.005


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


def placing_faults(board: BoardEntry) -> Iterator[str]:
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


def setup_faults(program: ProgramEntry, board: BoardEntry) -> Iterator[str]:
    """Yield what is wrong with how a board stands in a program: it must meet its stop and the zeros of its hold."""
    box = board_box(board.size, program.to_machine)
    sign = 1 if program.stop == "left" else -1
    edge = box.low[0] if sign > 0 else box.high[0]
    if abs(edge) > _NEAR_MM:
        yield f"the board stands {abs(edge):.2f} mm from the {program.stop} stop at X0"
    zero = "G54" if sign > 0 else "G55"
    if program.work_offset != zero:
        yield f"its work offset is {program.work_offset}; the {program.stop} stop's is {zero}"
    if abs(box.high[2]) > _NEAR_MM:
        yield f"the board's upper end or face lies at Z{box.high[2]:.2f}, not at Z0"
    groove = end_worked(program) == "groove"
    if groove and program.hold == "flat":
        if abs(box.low[1]) > _NEAR_MM:
            yield f"the board stands {abs(box.low[1]):.2f} mm from the fence at Y0"
    elif abs(box.high[1]) > _NEAR_MM:
        where = "the plate's face" if program.hold == "upright" else "the end being worked"
        yield f"the board lies {abs(box.high[1]):.2f} mm from Y0, {where}"
    across = program.to_machine[0]
    if not groove and across[1] != sign:
        yield f"the board's reference edge does not meet the {program.stop} stop"
    if groove and program.to_machine[1][1] != 1.0:
        yield "the board's reference edge does not meet the fence"
    if program.hold == "flat" and program.to_machine[2][2] != 1.0:
        yield "the board's inside face does not lie up"
    if program.hold == "upright" and abs(program.to_machine[2][0]) != 1.0:
        yield "the board does not stand on its end"
