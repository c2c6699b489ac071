"""A sheet as PNG, in greys, with its resolution written into it so that it prints at its true scale."""

from __future__ import annotations

import io

import numpy as np
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.path import Path
from matplotlib.transforms import IdentityTransform
from PIL import Image

from camtools.drawings.sheet import PENS, Sheet, SheetLine
from camtools.templates.outlines import flattened

__all__ = ["DOTS_PER_INCH", "png_bytes"]

DOTS_PER_INCH = 150
_POINT_MM = 25.4 / 72  # widths and dashes are told in points


def png_bytes(sheet: Sheet) -> bytes:
    """Return the sheet as a PNG file."""
    scale = DOTS_PER_INCH / 25.4
    width, height = round(sheet.width_mm * scale), round(sheet.height_mm * scale)
    renderer = RendererAgg(width, height, DOTS_PER_INCH)
    np.asarray(renderer.buffer_rgba())[:] = 255
    run: list[SheetLine] = []
    for stroke in (*sheet.strokes(), None):
        if run and (stroke is None or (stroke.pen, stroke.fill, stroke.closed) != (run[0].pen, run[0].fill, run[0].closed)):
            _draw(renderer, run, scale)
            run = []
        if stroke is not None:
            run.append(stroke)
    grey = np.ascontiguousarray(np.asarray(renderer.buffer_rgba())[:, :, 0])
    file = io.BytesIO()
    Image.fromarray(grey).save(file, "PNG", dpi=(DOTS_PER_INCH, DOTS_PER_INCH), compress_level=6)
    return file.getvalue()


def _draw(renderer: RendererAgg, run: list[SheetLine], scale: float) -> None:
    """Draw strokes that look alike as one path."""
    corners: list[tuple[float, float]] = []
    codes: list[int] = []
    for stroke in run:
        points = flattened(stroke.vertices, closed=stroke.closed)
        corners += [(x * scale, y * scale) for x, y in points]
        codes += [int(Path.MOVETO), *[int(Path.LINETO)] * (len(points) - 1)]
        if stroke.closed:
            corners.append(corners[-len(points)])
            codes.append(int(Path.CLOSEPOLY))
    first = run[0]
    context = renderer.new_gc()
    context.set_antialiased(True)
    context.set_capstyle("round")
    context.set_joinstyle("round")
    context.set_linewidth(0.0)
    if first.pen:
        pen = PENS[first.pen]
        context.set_linewidth(max(0.5, pen.width_mm / _POINT_MM))
        context.set_foreground((pen.grey, pen.grey, pen.grey, 1.0), isRGBA=True)
        if pen.dash_mm:
            context.set_capstyle("butt")
            context.set_dashes(0, [length / _POINT_MM for length in pen.dash_mm])
    fill = None if first.fill is None else (first.fill, first.fill, first.fill, 1.0)
    renderer.draw_path(context, Path(np.array(corners), np.array(codes, dtype=np.uint8)), IdentityTransform(), fill)
    context.restore()
