"""Flat parts to be cut from a sheet: an outline, its openings, and what is engraved on it.

A beam is centred on the line that it follows, so a part comes out smaller by a kerf and an opening larger by a kerf: outlines are
drawn half a kerf outside, openings half a kerf inside (docs/sources.md section 10). Where who cuts them compensates, the lines
must be nominal: a kerf of 0.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from shapely import LineString, Polygon

from camtools.faults import CannotCut, Fault
from camtools.templates.outlines import Outline, rectangle

__all__ = ["Engraving", "Plate", "drawn_for_kerf", "engraved", "strips_to_measure"]

Point = tuple[float, float]

STRIPS = 10  # in the test
STRIP_MM = 12.0  # width of each as drawn


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


def engraved(outline: Outline, start: Point, end: Point, margin_mm: float = 1.0) -> tuple[tuple[Point, ...], ...]:
    """Return the parts of a straight line that lie on a plate, ``margin_mm`` clear of its edge."""
    inside = Polygon(outline.points()).buffer(-margin_mm).intersection(LineString((start, end)))
    pieces = [piece for piece in getattr(inside, "geoms", (inside,)) if piece.length > margin_mm]
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
            plate,
            outline=plate.outline.grown(kerf_mm / 2),
            openings=tuple(opening.grown(-kerf_mm / 2) for opening in plate.openings),
        )
    except ValueError as error:
        raise CannotCut(
            Fault(
                plate.name,
                "the kerf is too wide for this part",
                f"{kerf_mm:g} mm kerf",
                str(error),
                "measure the kerf, or use a narrower beam",
            )
        ) from error


def strips_to_measure(length_mm: float = 30.0) -> list[Plate]:
    """Return the strips of the kerf test: drawn as they are, whatever the kerf, and not touching each other."""
    return [
        Plate(
            f"kerf strip {i + 1}",
            rectangle(0.0, 0.0, STRIP_MM, length_mm),
            labels=(Engraving(f"{i + 1}/{STRIPS}", STRIP_MM / 2, length_mm / 2, 3.0, upright=True),),
        )
        for i in range(STRIPS)
    ]
