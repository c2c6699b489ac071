"""A sheet as DXF: full size whatever the sheet's scale, lines on layers named after what they mean. Areas are left out."""

from __future__ import annotations

from camtools.drawings.sheet import PENS, Sheet, SheetText
from camtools.templates.dxf import Layer, Shape, TextLine, Version, dxf_bytes

__all__ = ["DRAWING_LAYERS", "sheet_dxf_bytes"]

DRAWING_LAYERS = {name: Layer(pen.colour, pen.width_mm, pen.meaning) for name, pen in PENS.items()}


def sheet_dxf_bytes(sheet: Sheet, version: Version = "R2000") -> bytes:
    """Return the sheet as a DXF file. Words stay words, so that a reader can search and change them."""
    n = sheet.scale[1] / sheet.scale[0]
    shapes, lines = [], []
    for item in sheet.items:
        if isinstance(item, SheetText):
            lines.append(
                TextLine(
                    item.pen, item.text, item.x_mm * n, item.y_mm * n, item.height_mm * n, item.width_mm * n, item.anchor, item.upright
                )
            )
        elif item.pen is not None:
            shapes.append(Shape(item.pen, tuple((x * n, y * n, bulge) for x, y, bulge in item.vertices), item.closed))
    return dxf_bytes(shapes, version, DRAWING_LAYERS, lines)
