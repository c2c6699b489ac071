"""Pictures as pixels, drawn from SVG by a general library."""

from __future__ import annotations

import io

import numpy as np
import resvg_py
from PIL import Image

from camtools.resources import letters

__all__ = ["pixels_of"]


def pixels_of(svg: bytes) -> np.ndarray:
    """Return a picture as rows of red, green and blue, in the letters by which it was measured."""
    fonts = [str(letters(bold=bold)) for bold in (False, True)]
    png = resvg_py.svg_to_bytes(svg_string=svg.decode(), skip_system_fonts=True, font_files=fonts, sans_serif_family="DejaVu Sans")
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)
