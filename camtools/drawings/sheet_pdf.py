"""Sheets as one PDF, a page each in its own paper size, set to print at its true scale (ISO 32000-1); its letters go into the file."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from functools import cache
from typing import Any

from ezdxf.math import bulge_to_arc
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFInfo, PDFString
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from camtools import __version__
from camtools.drawings.sheet import PENS, Sheet, SheetLine, SheetText, runs_of
from camtools.resources import letters
from camtools.wording import printable

__all__ = ["Undated", "pdf_bytes"]

_FACES = {"letter": "sheet", "heavy": "sheet-bold"}  # by pen
_CAPITAL = 0.729  # of the size of the letters


class Undated(PDFInfo):  # type: ignore[misc]
    """What a PDF says of itself, without a date, so that it is the same on any day."""

    def format(self, document: Any) -> Any:
        told = {"Title": self.title, "Creator": self.creator, "Producer": self.producer}
        return PDFDictionary({key: PDFString(value) for key, value in told.items()}).format(document)


@cache
def _faces() -> None:
    for pen, face in _FACES.items():
        pdfmetrics.registerFont(TTFont(face, letters(bold=pen == "heavy")))


def pdf_bytes(sheets: Sequence[Sheet], title: str = "Marking-out sheets") -> bytes:
    """Return a PDF of these sheets, the same for the same sheets."""
    _faces()
    out = io.BytesIO()
    canvas = Canvas(out, pageCompression=1, invariant=1, initialFontName=_FACES["letter"])
    canvas._doc.info.__class__ = Undated
    canvas.setTitle(title)
    canvas.setCreator(f"camtools {__version__}")
    canvas.setViewerPreference("PrintScaling", "None")
    for sheet in sheets:
        canvas.setPageSize((sheet.width_mm * mm, sheet.height_mm * mm))
        canvas.scale(mm, mm)
        canvas.setLineJoin(1)
        for pen, fill, strokes in runs_of(item for item in sheet.items if isinstance(item, SheetLine)):
            if pen:
                canvas.setLineWidth(PENS[pen].width_mm)
                canvas.setStrokeGray(PENS[pen].grey)
                canvas.setDash(PENS[pen].dash_mm)
                canvas.setLineCap(0 if PENS[pen].dash_mm else 1)
            if fill is not None:
                canvas.setFillGray(fill)
            path = canvas.beginPath()
            for stroke in strokes:
                _add(path, stroke)
            canvas.drawPath(path, stroke=int(pen is not None), fill=int(fill is not None), fillMode=FILL_EVEN_ODD)
        canvas.setFillGray(0.0)
        for item in sheet.items:
            if isinstance(item, SheetText):
                _write(canvas, item)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _add(path: PDFPathObject, stroke: SheetLine) -> None:
    path.moveTo(*stroke.vertices[0][:2])
    for (x0, y0, bulge), (x1, y1, _) in stroke.sides():
        if bulge == 0.0:
            path.lineTo(x1, y1)
            continue
        (x, y), first, last, radius = bulge_to_arc((x0, y0), (x1, y1), bulge)  # run counter-clockwise, however the bulge turns
        begin, sweep = math.degrees(first if bulge > 0 else last), math.degrees(4 * math.atan(bulge))
        path.arcTo(x - radius, y - radius, x + radius, y + radius, begin, sweep)
    if stroke.closed:
        path.close()


def _write(canvas: Canvas, text: SheetText) -> None:
    """Write words in the room that they have on the other kinds of sheets, drawn together where they are wider."""
    shown = printable(text.text)
    face, size = _FACES[text.pen], text.height_mm / _CAPITAL
    width = pdfmetrics.stringWidth(shown, face, size)
    together = min(1.0, text.width_mm / width) if width and text.width_mm else 1.0
    shift = {"start": 0.0, "middle": -0.5, "end": -1.0}[text.anchor] * width * together
    canvas.saveState()
    canvas.translate(text.x_mm, text.y_mm)
    canvas.rotate(90 if text.upright else 0)
    canvas.setFont(face, size)
    canvas.scale(together, 1)
    canvas.drawString(shift / together, -text.height_mm / 2, shown)
    canvas.restoreState()
