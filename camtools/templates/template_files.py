"""The files of the templates: combs, spacers, setting blocks and the kerf test as DXF, with a read-me and the stop settings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from camtools.job.job import TemplateWish
from camtools.templates import READ_ME
from camtools.templates.dxf import Shape, dxf_bytes, open_shape, refuse_doubtful, shape_of
from camtools.templates.kit import Kit
from camtools.templates.kit_text import read_me_bytes, stop_table_bytes
from camtools.templates.letters import outline_paths, stroke_paths
from camtools.templates.outlines import rectangle
from camtools.templates.plates import Engraving, Plate, drawn_for_kerf, nested, strips_to_measure
from camtools.templates.router_settings import blocks_of, edge_strip
from camtools.templates.spacers import SHIM_MM, spacer, spacers_off
from camtools.wording import sizes, units_told

__all__ = ["templates_of"]

_BELOW_MM = 8.0  # between the parts and the check dimension


def templates_of(kit: Kit) -> dict[str, bytes]:
    """Return every file of the templates by its name; the read-me tells what was left out.

    Raises
    ------
    CannotCut
        If a part is larger than the sheet, or the kerf too wide for it.
    PacketFault
        If a file would hold lines that touch or are cut twice.
    """
    files = {name: _cut_file(name, plates, wish, edge=edge) for name, plates, wish, edge in _sheets(kit)}
    files["stop-settings.csv"] = stop_table_bytes(kit.stops)
    files[READ_ME] = read_me_bytes(kit, sorted(files))
    return files


def _sheets(kit: Kit) -> Iterator[tuple[str, list[Plate], TemplateWish, bool]]:
    """Yield the parts of each file with its name and how it is drawn, and whether it shows the sheet's edge."""
    wish, unit = kit.wish, units_told()[0].value
    for comb in kit.combs:
        yield f"comb-{comb.plate.name.lower().replace(' ', '-')}-{unit}.dxf", nested([comb.plate], wish.sheet_mm)[0], wish, False
    pieces = []
    for width, count in spacers_off(kit.spacers).items():
        if width >= SHIM_MM and kit.guide is not None:
            pieces += [spacer(width, kit.guide.radius_mm)] * count
    blocks = blocks_of(kit.depths) + [edge_strip(edge) for edge in kit.edges_mm if edge >= SHIM_MM]
    nominal = replace(wish, kerf_mm=0.0)  # for the strips by which the kerf is measured
    for stem, plates, how, edge in (
        ("spacers", pieces, wish, True),
        ("setting-blocks", blocks, wish, True),
        ("kerf-test", strips_to_measure(), nominal, False),
    ):
        for i, sheet in enumerate(nested(plates, wish.sheet_mm), 1):
            yield f"{stem}-{i}-{unit}.dxf", sheet, how, edge


def _cut_file(name: str, plates: Sequence[Plate], wish: TemplateWish, *, edge: bool) -> bytes:
    """Return the DXF file of a sheet: openings first, so that a part is still held by the sheet while they are cut."""
    drawn = [drawn_for_kerf(plate, wish.kerf_mm) for plate in plates]
    shapes = [shape_of(opening, "cut") for plate in drawn for opening in plate.openings]
    shapes += [shape_of(plate.outline, "cut") for plate in drawn]
    for plate in drawn:
        shapes += [open_shape(line, "engrave") for line in plate.lines]
        for label in plate.labels:
            shapes += _letters(label, wish.text)
    if edge:
        shapes.append(shape_of(rectangle(0.0, 0.0, *wish.sheet_mm), "mark"))
    shapes += _check_dimension(shapes, wish.text)
    refuse_doubtful(name, shapes)
    return dxf_bytes(shapes, wish.dxf)


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
    check = units_told()[0].check_mm
    right = left + check
    paths = [((left, base), (right, base))]
    paths += [((x, base + low), (x, base + high)) for x in (left, right) for low, high in ((-2.0, 0.0), (0.0, 2.0))]
    label = Engraving(f"{sizes(check)} when the scale is 1:1", left + check / 2, base - 4.5, 3.0)
    return [open_shape(path, "mark") for path in paths] + _letters(label, text, "mark")
