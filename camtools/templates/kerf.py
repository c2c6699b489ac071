"""The width that a laser burns away: what is drawn so that the part comes out right, and a strip to measure it by.

The beam is centred on the line, so a part comes out smaller by a kerf and an opening larger by a kerf: outlines are drawn
half a kerf outside, openings half a kerf inside (docs/sources.md section 10).
Where the laser's owner compensates, the lines must be nominal: a kerf of 0.
"""

from __future__ import annotations

from dataclasses import replace

from camtools.faults import CannotCut, Fault
from camtools.templates.outlines import rectangle
from camtools.templates.plates import Engraving, Plate

__all__ = ["drawn_for_kerf", "strips_to_measure"]

STRIPS = 10  # in the test
STRIP_MM = 12.0  # width of each as drawn


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
