"""Sheets as one PDF, a page each in its own paper size, set to print at its true scale (ISO 32000-1, vector content only)."""

from __future__ import annotations

import zlib
from collections.abc import Sequence

from camtools.drawings.sheet import PENS, Sheet
from camtools.templates.outlines import flattened

__all__ = ["pdf_bytes"]

_POINT_MM = 25.4 / 72  # a PDF's unit


def pdf_bytes(sheets: Sequence[Sheet]) -> bytes:
    """Return a PDF of these sheets; it bears neither dates nor identifiers."""
    kids = " ".join(f"{3 + 2 * i} 0 R" for i in range(len(sheets)))
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None >> >>",
        f"<< /Type /Pages /Kids [{kids}] /Count {len(sheets)} >>".encode("ascii"),
    ]
    for i, sheet in enumerate(sheets):
        box = f"{sheet.width_mm / _POINT_MM:.4f} {sheet.height_mm / _POINT_MM:.4f}"
        objects.append(f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {box}] /Resources << >> /Contents {4 + 2 * i} 0 R >>".encode("ascii"))
        content = zlib.compress(_content(sheet).encode("ascii"), 9)
        objects.append(b"<< /Length %d /Filter /FlateDecode >>\nstream\n%b\nendstream" % (len(content), content))
    out = bytearray(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
    places = []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%b\nendobj\n" % (number, body)
    table = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, table)
    return bytes(out)


def _content(sheet: Sheet) -> str:
    scale = f"{1 / _POINT_MM:.6f}"
    lines = [f"{scale} 0 0 {scale} 0 0 cm 1 J 1 j"]
    state: tuple[str | None, float | None] | None = None
    for stroke in sheet.strokes():
        if (stroke.pen, stroke.fill) != state:
            state = (stroke.pen, stroke.fill)
            if stroke.pen:
                pen = PENS[stroke.pen]
                dash = " ".join(f"{d:g}" for d in pen.dash_mm)
                lines.append(f"{pen.width_mm:g} w {pen.grey:g} G [{dash}] 0 d {0 if dash else 1} J")
            if stroke.fill is not None:
                lines.append(f"{stroke.fill:g} g")
        points = flattened(stroke.vertices, closed=stroke.closed)
        path = " ".join(f"{x:.3f} {y:.3f} {'l' if i else 'm'}" for i, (x, y) in enumerate(points))
        paint = {(True, True): "b*", (True, False): "s" if stroke.closed else "S", (False, True): "f*"}
        lines.append(f"{path} {paint[stroke.pen is not None, stroke.fill is not None]}")
    return "\n".join(lines)
