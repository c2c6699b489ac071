"""A sheet as PNG, in greys, with its resolution written into it so that it prints at its true scale."""

from __future__ import annotations

import io

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.transforms import Affine2D
from PIL import Image

from camtools.drawings.sheet import PENS, Sheet, SheetLine, runs_of
from camtools.templates.outlines import flattened

__all__ = ["DOTS_PER_INCH", "png_bytes"]

DOTS_PER_INCH = 150
_POINT_MM = 25.4 / 72  # widths are told in points


def png_bytes(sheet: Sheet) -> bytes:
    """Return the sheet as a PNG file."""
    width, height = (round(side / 25.4 * DOTS_PER_INCH) / DOTS_PER_INCH for side in (sheet.width_mm, sheet.height_mm))
    figure = Figure((width, height), DOTS_PER_INCH)
    paper = Affine2D().scale(1 / 25.4) + figure.dpi_scale_trans
    for pen, fill, strokes in runs_of(sheet.strokes()):
        path = Path.make_compound_path(*map(_path, strokes))
        patch = PathPatch(path, transform=paper, linewidth=0.0, capstyle="round", joinstyle="round")
        patch.set_facecolor("none" if fill is None else str(fill))
        if pen:
            patch.set_edgecolor(str(PENS[pen].grey))
            patch.set_linewidth(max(0.5, PENS[pen].width_mm / _POINT_MM))
            if dashes := PENS[pen].dash_mm:
                patch.set(capstyle="butt", linestyle=(0, [length / PENS[pen].width_mm for length in dashes]))  # told in widths
        figure.add_artist(patch)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    file = io.BytesIO()
    Image.fromarray(np.asarray(canvas.buffer_rgba())).convert("L").save(file, "PNG", dpi=(DOTS_PER_INCH, DOTS_PER_INCH))
    return file.getvalue()


def _path(stroke: SheetLine) -> Path:
    points = flattened(stroke.vertices, closed=stroke.closed)
    return Path([*points, *(points[:1] if stroke.closed else ())], closed=stroke.closed)
