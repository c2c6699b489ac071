"""A sheet as DXF: full size whatever the sheet's scale, each kind of line on a layer named after what it means, waste hatched."""

from __future__ import annotations

from camtools.drawings.sheet import PENS, WASTE, Sheet, SheetLine, SheetText
from camtools.templates.dxf import Area, Layer, Shape, TextLine, dxf_bytes

__all__ = ["DRAWING_LAYERS", "sheet_dxf_bytes"]

_HATCH_MM = 2.0  # between the lines of a hatch, on paper
_INK = 0.1  # darker areas are filled
DRAWING_LAYERS = {name: Layer(pen.colour, pen.width_mm, pen.meaning, pen.dash_mm) for name, pen in PENS.items()} | {
    "waste": Layer(8, 0.13, "what is cut away, hatched"),
    "sign": Layer(7, 0.0, "filled signs: two triangles point out at the reference edge; arrow and board of a small plan"),
}


def sheet_dxf_bytes(sheet: Sheet) -> bytes:
    """Return the sheet as a DXF file, R2000. Words stay words, so that a reader can search and change them; light areas are left out."""
    n = sheet.scale[1] / sheet.scale[0]
    shapes, lines, areas = [], [], []
    for item in sheet.items:
        if isinstance(item, SheetText):
            lines.append(
                TextLine(
                    item.pen, item.text, item.x_mm * n, item.y_mm * n, item.height_mm * n, item.width_mm * n, item.anchor, item.upright
                )
            )
            continue
        vertices = tuple((x * n, y * n, bulge) for x, y, bulge in item.vertices)
        if item.pen is not None:
            shapes.append(Shape(item.pen, vertices, item.closed))
        if _is_waste(item):
            areas.append(Area("waste", vertices, _HATCH_MM * n))
        elif item.fill is not None and item.fill < _INK:
            areas.append(Area("sign", vertices))
    layers = {
        name: Layer(layer.colour, layer.width_mm, layer.meaning, tuple(n * dash for dash in layer.dash_mm))
        for name, layer in DRAWING_LAYERS.items()
    }
    return dxf_bytes(shapes, "R2000", layers, lines, areas)


def _is_waste(item: SheetLine) -> bool:
    return item.fill == WASTE and item.pen is None
