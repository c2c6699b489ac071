"""Sheets of flat parts, ready for a laser or a router: kerf, engraving and a check dimension, as DXF."""

from __future__ import annotations

from collections.abc import Sequence

from camtools.job.job import TemplateWish
from camtools.templates.dxf import Shape, dxf_bytes, open_shape, refuse_doubtful, shape_of
from camtools.templates.letters import outline_paths, stroke_paths
from camtools.templates.outlines import rectangle
from camtools.templates.plates import Engraving, Plate, drawn_for_kerf

__all__ = ["cut_file", "shapes_on_sheet"]

_CHECK_MM = 100.0
_BELOW_MM = 8.0  # between the parts and the check dimension


def cut_file(name: str, plates: Sequence[Plate], wish: TemplateWish, *, nominal: bool = False, edge: bool = False) -> bytes:
    """Return the DXF file of these plates.

    Parameters
    ----------
    nominal
        Draw the lines where they are, whatever the kerf: for the strips by which the kerf is measured.
    edge
        Draw the sheet's edge as a mark.

    Raises
    ------
    CannotCut
        If the kerf is too wide for a part.
    PacketFault
        If lines would touch or be cut twice.
    """
    shapes = shapes_on_sheet(plates, 0.0 if nominal else wish.kerf_mm, wish.text)
    if edge:
        shapes.append(shape_of(rectangle(0.0, 0.0, *wish.sheet_mm), "mark"))
    shapes += _check_dimension(shapes, wish.text)
    refuse_doubtful(name, shapes)
    return dxf_bytes(shapes, wish.dxf)


def shapes_on_sheet(plates: Sequence[Plate], kerf_mm: float, text: str) -> list[Shape]:
    """Return the shapes of plates: openings first, so that a part is still held by the sheet while they are cut."""
    drawn = [drawn_for_kerf(plate, kerf_mm) for plate in plates]
    shapes = [shape_of(opening, "cut") for plate in drawn for opening in plate.openings]
    shapes += [shape_of(plate.outline, "cut") for plate in drawn]
    for plate in drawn:
        shapes += [open_shape(line, "engrave") for line in plate.lines]
        for label in plate.labels:
            shapes += _letters(label, text)
    return shapes


def _letters(label: Engraving, text: str, layer: str = "engrave") -> list[Shape]:
    strokes = text == "strokes"
    paths = stroke_paths(label.text, label.height_mm) if strokes else outline_paths(label.text, label.height_mm)
    placed = [
        tuple((label.x_mm - y, label.y_mm + x, 0.0) if label.upright else (label.x_mm + x, label.y_mm + y, 0.0) for x, y in path)
        for path in paths
    ]
    return [Shape(layer, path, closed=not strokes) for path in placed]


def _check_dimension(shapes: Sequence[Shape], text: str) -> list[Shape]:
    """Return a line of known length below everything, with ticks: who measures it knows that the scale is right."""
    left = min(x for shape in shapes for x, _, _ in shape.vertices)
    base = min(y for shape in shapes for _, y, _ in shape.vertices) - _BELOW_MM
    right = left + _CHECK_MM
    paths = [((left, base), (right, base))]
    paths += [((x, base + low), (x, base + high)) for x in (left, right) for low, high in ((-2.0, 0.0), (0.0, 2.0))]
    label = Engraving("100 mm when the scale is 1:1", left + _CHECK_MM / 2, base - 4.5, 3.0)
    return [open_shape(path, "mark") for path in paths] + _letters(label, text, "mark")
