"""Flat parts to be cut from a sheet: an outline, its openings, and what is engraved on it; and how they lie on sheets.

A beam is centred on the line that it follows, so a part comes out smaller by a kerf and an opening larger by a kerf: outlines are
drawn half a kerf outside, openings half a kerf inside (docs/sources.md section 10). Where who cuts them compensates, the lines
must be nominal: a kerf of 0.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from shapely import LineString, Polygon

from camtools.faults import CannotCut, Fault
from camtools.templates.outlines import Outline, rectangle
from camtools.wording import mm, sizes

__all__ = ["APART_MM", "Engraving", "Plate", "drawn_for_kerf", "engraved", "nested", "strips_to_measure"]

Point = tuple[float, float]

APART_MM = 4.0  # between parts, and from the sheet's edges; more than any kerf
STRIPS = 10  # in the test
STRIP_MM = 12.0  # width of each as drawn
_STRIP_LONG_MM = 30.0
_MARGIN_MM = 1.0  # between an engraved line and the part's edge


@dataclass(frozen=True, slots=True)
class Engraving:
    """A line of text about a point, its middle; read from the direction that ``upright`` tells."""

    text: str
    x_mm: float
    y_mm: float
    height_mm: float
    upright: bool = False  # True: reads upwards


@dataclass(frozen=True, slots=True)
class Plate:
    """A flat part, as it shall be when it is cut, seen from the side that is engraved."""

    name: str
    outline: Outline
    openings: tuple[Outline, ...] = ()
    lines: tuple[tuple[Point, ...], ...] = ()  # engraved
    labels: tuple[Engraving, ...] = ()

    def moved(self, dx_mm: float, dy_mm: float) -> Plate:
        return replace(
            self,
            outline=self.outline.moved(dx_mm, dy_mm),
            openings=tuple(opening.moved(dx_mm, dy_mm) for opening in self.openings),
            lines=tuple(tuple((x + dx_mm, y + dy_mm) for x, y in line) for line in self.lines),
            labels=tuple(replace(label, x_mm=label.x_mm + dx_mm, y_mm=label.y_mm + dy_mm) for label in self.labels),
        )

    def quarter_turned(self) -> Plate:
        """Return the plate turned a quarter counter-clockwise about the origin."""
        return replace(
            self,
            outline=self.outline.quarter_turned(),
            openings=tuple(opening.quarter_turned() for opening in self.openings),
            lines=tuple(tuple((-y, x) for x, y in line) for line in self.lines),
            labels=tuple(replace(label, x_mm=-label.y_mm, y_mm=label.x_mm, upright=not label.upright) for label in self.labels),
        )


def engraved(outline: Outline, start: Point, end: Point) -> tuple[tuple[Point, ...], ...]:
    """Return both ends of each part of a straight line that lies on a plate, clear of its edge; short parts are left out."""
    inside = Polygon(outline.points()).buffer(-_MARGIN_MM).intersection(LineString((start, end)))
    pieces = [piece for piece in getattr(inside, "geoms", (inside,)) if piece.length > _MARGIN_MM]
    # Rounded to a tenth of a micrometre: plane geometry libraries differ in the last digits.
    return tuple(tuple((round(x, 4), round(y, 4)) for x, y in piece.coords) for piece in pieces)


def drawn_for_kerf(plate: Plate, kerf_mm: float) -> Plate:
    """Return the plate with its outline out and its openings in by half a kerf; what is engraved stays.

    Raises
    ------
    CannotCut
        If a part of the plate is smaller than the kerf allows.
    """
    try:
        return replace(
            plate, outline=plate.outline.grown(kerf_mm / 2), openings=tuple(opening.grown(-kerf_mm / 2) for opening in plate.openings)
        )
    except ValueError as error:
        raise CannotCut(Fault(plate.name, "the kerf is too wide for this part", f"a kerf of {mm(kerf_mm)}", str(error))) from error


def strips_to_measure() -> list[Plate]:
    """Return the strips of the kerf test: drawn as they are, whatever the kerf, and not touching each other."""
    return [
        Plate(
            f"kerf strip {i + 1}",
            rectangle(0.0, 0.0, STRIP_MM, _STRIP_LONG_MM),
            labels=(Engraving(f"{i + 1}/{STRIPS}", STRIP_MM / 2, _STRIP_LONG_MM / 2, 3.0, upright=True),),
        )
        for i in range(STRIPS)
    ]


def nested(plates: Sequence[Plate], sheet_mm: tuple[float, float]) -> list[list[Plate]]:
    """Return the plates moved to their places on sheets of a length and width, a list for each sheet, in rows.

    None touches another, so that no line is cut twice; a plate may be turned a quarter to fit.

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
        Fault(plate.name, "the part is larger than the sheet", sizes(across, up), f"{sizes(*room)} inside a sheet of {sizes(*sheet_mm)}")
    )
