"""The page as a PDF on A4, for a shop without a screen: the same chapters, the same blocks, without the views."""

from __future__ import annotations

import io
from functools import cache
from typing import Any

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Frame, PageTemplate, Paragraph
from svglib.fonts import register_font

from camtools import __version__
from camtools.drawings.sheet_pdf import Undated
from camtools.page.chapters import CHAPTERS
from camtools.page.facts import PacketFacts
from camtools.page.pdf_blocks import BOLD, HIGH, MARGIN, PLAIN, WIDE, boxed, flow, style, text
from camtools.page.summary import summary_of
from camtools.resources import letters
from camtools.wording import told_in, unit_word

__all__ = ["pdf_of"]

_FOOT_MM = 9.0
_GOOD, _BAD = colors.HexColor("#1d5c33"), colors.HexColor("#8c1c13")


def pdf_of(facts: PacketFacts) -> bytes:
    """Return the page of a packet as a PDF, in the units of its job; the same bytes for the same packet."""
    with told_in(facts.units):
        return _pdf_of(facts)


def _pdf_of(facts: PacketFacts) -> bytes:
    _fonts()
    summary = summary_of(facts)
    out = io.BytesIO()
    document = _Document(out, summary.title)
    verdict = Paragraph(text(summary.words), style("verdict", bold=True, size=10.5))
    story: list[Flowable] = [
        Paragraph(text(summary.title), style("title", bold=True, size=18, after=4)),
        Paragraph(text(summary.figures), style()),
        boxed([verdict], _GOOD if summary.verdict == "good" else _BAD, 2),
    ]
    for chapter in CHAPTERS:
        story.append(CondPageBreak(90 * mm))
        story.append(_Chapter(text(chapter.heading), style("chapter", bold=True, size=14, before=14, after=6)))
        story += flow(facts, chapter.blocks(facts))
    story.append(
        Paragraph(f"Written by camtools {__version__} from the packet's own files. Lengths are in {unit_word()}.", style(before=10))
    )
    document.build(story)
    return out.getvalue()


@cache
def _fonts() -> None:
    """Have the letters by which pictures are measured for pictures and text: they go into the file."""
    for name, weight in ((PLAIN, "normal"), (BOLD, "bold")):
        register_font("sans-serif", str(letters(bold=weight == "bold")), weight, rlgFontName=name)
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


class _Document(BaseDocTemplate):  # type: ignore[misc]
    """Pages with the piece's name and a number at their foot."""

    def __init__(self, out: io.BytesIO, title: str) -> None:
        super().__init__(out, pagesize=A4, title=title, lang="en", initialFontName=PLAIN, creator=f"camtools {__version__}", invariant=1)
        frame = Frame(MARGIN, MARGIN, WIDE, HIGH, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)
        self._title = title if len(title) <= 80 else f"{title[:77]}..."
        self.addPageTemplates(PageTemplate("page", [frame], onPageEnd=self._number))

    def beforeDocument(self) -> None:  # noqa: N802 - the library's name
        self.canv._doc.info.__class__ = Undated

    def _number(self, canvas: Any, _: BaseDocTemplate) -> None:
        words = (Paragraph(text(self._title), style(size=7.5)), Paragraph(f"page {canvas.getPageNumber()}", style(size=7.5, right=True)))
        for own in words:
            own.wrapOn(canvas, WIDE, MARGIN)
            own.drawOn(canvas, MARGIN, _FOOT_MM * mm)

    def afterFlowable(self, flowable: Flowable) -> None:  # noqa: N802 - the library's name
        if isinstance(flowable, _Chapter):
            key = f"chapter-{flowable.getPlainText()}"
            self.canv.bookmarkPage(key)
            self.canv.addOutlineEntry(flowable.getPlainText(), key)


class _Chapter(Paragraph):  # type: ignore[misc]
    """A heading that the PDF's outline names."""
