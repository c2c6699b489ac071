"""Lays parts out on sheets, in rows, none touching another: no line is shared, so none is cut twice."""

from __future__ import annotations

from collections.abc import Sequence

from camtools.faults import CannotCut, Fault
from camtools.templates.plates import Plate

__all__ = ["APART_MM", "nested"]

APART_MM = 4.0  # between parts, and from the sheet's edges; more than any kerf


def nested(plates: Sequence[Plate], sheet_mm: tuple[float, float]) -> list[list[Plate]]:
    """Return the plates moved to their places, a list for each sheet; a plate may be turned a quarter to fit.

    Raises
    ------
    CannotCut
        If a plate is larger than the sheet.
    """
    length, width = sheet_mm
    turned = [_laid(plate, sheet_mm) for plate in plates]
    # Tallest first, so that rows waste little; equal parts side by side, in the order of their names.
    turned.sort(key=lambda plate: (-round(_size(plate)[1], 3), -round(_size(plate)[0], 3)))
    sheets: list[list[Plate]] = []
    x = y = row = 0.0
    for plate in turned:
        across, up = _size(plate)
        if not sheets:
            sheets, x, y, row = [[]], APART_MM, APART_MM, 0.0
        if x + across + APART_MM > length:
            x, y, row = APART_MM, y + row + APART_MM, 0.0
        if y + up + APART_MM > width:
            sheets.append([])
            x, y, row = APART_MM, APART_MM, 0.0
        low = plate.outline.bounds_mm
        sheets[-1].append(plate.moved(x - low[0], y - low[1]))
        x, row = x + across + APART_MM, max(row, up)
    return sheets


def _size(plate: Plate) -> tuple[float, float]:
    low_x, low_y, high_x, high_y = plate.outline.bounds_mm
    return high_x - low_x, high_y - low_y


def _laid(plate: Plate, sheet_mm: tuple[float, float]) -> Plate:
    across, up = _size(plate)
    room = (sheet_mm[0] - 2 * APART_MM, sheet_mm[1] - 2 * APART_MM)
    if across <= room[0] and up <= room[1]:
        return plate
    if up <= room[0] and across <= room[1]:
        return plate.quarter_turned()
    raise CannotCut(
        Fault(
            plate.name,
            "the part is larger than the sheet",
            f"{across:.1f} x {up:.1f} mm",
            f"{room[0]:g} x {room[1]:g} mm inside a sheet of {sheet_mm[0]:g} x {sheet_mm[1]:g} mm",
            "name a larger sheet",
        )
    )
