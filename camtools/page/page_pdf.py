"""Papers for a shop without a screen: the page, with the same blocks and without the views, and the sheet to measure boards on."""

from __future__ import annotations

import io
from collections.abc import Sequence
from functools import cache
from typing import Any

from reportlab.lib import colors
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Frame, LongTable, PageTemplate, Paragraph
from svglib.fonts import register_font

from camtools import __version__
from camtools.drawings.sheet_pdf import Undated
from camtools.output.measuring import SheetLine
from camtools.page.chapters import CHAPTERS
from camtools.page.facts import PacketFacts
from camtools.page.pdf_blocks import BOLD, MARGIN, PLAIN, boxed, flow, paper_pt, room_pt, style, text
from camtools.page.summary import summary_of
from camtools.resources import letters
from camtools.wording import told_in, unit_word

__all__ = ["measuring_pdf", "pdf_of"]

_FOOT_MM = 9.0
_ADVICE = (
    "Pencil its mark on the outside face of every board, beside the reference edge. Measure with calipers, the thickness at both ends and "
    "in the middle, and write the largest. Measure a width at both ends, square to the reference edge. What is left blank is taken as "
    "planned. A bottom is sawn last, to the size that follows from the other boards: only its thickness is asked for."
)
_WIDTHS = (27, 30, 19, *(18, 17) * 3)  # of the columns in mm
_LINE, _SHUT = colors.HexColor("#b9b1a1"), colors.HexColor("#e8e3d8")
_GOOD, _BAD = colors.HexColor("#1d5c33"), colors.HexColor("#8c1c13")


def pdf_of(facts: PacketFacts) -> bytes:
    """Return the page of a packet as a PDF, in the units of its job; the same bytes for the same packet."""
    with told_in(facts.units):
        return _pdf_of(facts)


def _pdf_of(facts: PacketFacts) -> bytes:
    _fonts()
    summary = summary_of(facts)
    verdict = Paragraph(text(summary.words), style("verdict", bold=True, size=10.5))
    story: list[Flowable] = [
        Paragraph(text(summary.title), style("title", bold=True, size=18, after=4)),
        Paragraph(text(summary.figures), style()),
        boxed([verdict], _GOOD if summary.verdict == "good" else _BAD, 2),
    ]
    for chapter in CHAPTERS:
        if blocks := chapter.blocks(facts):
            story.append(CondPageBreak(50 * mm))
            story.append(_Chapter(text(chapter.heading), style("chapter", bold=True, size=14, before=14, after=6)))
            story += flow(facts, blocks)
    story.append(
        Paragraph(f"Written by camtools {__version__} from the packet's own files. Lengths are in {unit_word()}.", style(before=10))
    )
    return _built(summary.title, story)


def _built(title: str, story: list[Flowable]) -> bytes:
    """Return a document of these flowables, whose letters must be there."""
    out = io.BytesIO()
    _Document(out, title).build(story)
    return out.getvalue()


@cache
def _fonts() -> None:
    """Have the letters by which pictures are measured for pictures and text: they go into the file."""
    for name, weight in ((PLAIN, "normal"), (BOLD, "bold")):
        register_font("sans-serif", str(letters(bold=weight == "bold")), weight, rlgFontName=name)
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


def measuring_pdf(title: str, lines: Sequence[SheetLine]) -> bytes:
    """Return the sheet on which boards are measured, to be filled in with a pencil at the bench, in the units that are told."""
    _fonts()
    unit = unit_word()
    heads = ("board", "drawer", "part", *(name for size in ("length", "width", "thickness") for name in (f"{size}, {unit}", "planned")))
    cells: list[list[Flowable | str]] = [[Paragraph(text(head), style("cell", bold=True, size=6.5, after=0)) for head in heads]]
    rules = [
        ("GRID", (0, 0), (-1, -1), 0.4, _LINE),
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("LINEBELOW", (0, 0), (-1, 0), 1.2, colors.black),
    ]
    for row, (mark, drawer, part, _, planned) in enumerate(lines, 1):
        words = [Paragraph(text(mark), style("cell", bold=True, size=8, after=0))]
        words += [Paragraph(text(word), style("cell", size=8, after=0)) for word in (drawer, part)]
        sizes = [cell for size in planned for cell in ("", Paragraph(text(size), style("cell", size=7.5, after=0, right=True)))]
        cells.append([*words, *sizes])
        rules += [("BACKGROUND", (3 + 2 * at, row), (4 + 2 * at, row), _SHUT) for at, size in enumerate(planned) if not size]
    scale = room_pt()[0] / (sum(_WIDTHS) * mm)
    table = LongTable(
        cells, colWidths=[width * mm * scale for width in _WIDTHS], rowHeights=[None, *[9 * mm] * len(lines)], repeatRows=1, style=rules
    )
    story = [
        Paragraph(text(f"{title}: boards as they are"), style("title", bold=True, size=16, after=6)),
        Paragraph(text(_ADVICE), style(size=9, after=6)),
        table,
    ]
    return _built(title, story)


class _Document(BaseDocTemplate):  # type: ignore[misc]
    """Pages with the piece's name and a number at their foot."""

    def __init__(self, out: io.BytesIO, title: str) -> None:
        super().__init__(
            out, pagesize=paper_pt(), title=title, lang="en", initialFontName=PLAIN, creator=f"camtools {__version__}", invariant=1
        )
        frame = Frame(MARGIN, MARGIN, *room_pt(), leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)
        self._title = title if len(title) <= 80 else f"{title[:77]}..."
        self.addPageTemplates(PageTemplate("page", [frame], onPageEnd=self._number))

    def beforeDocument(self) -> None:  # noqa: N802 - the library's name
        self.canv._doc.info.__class__ = Undated

    def _number(self, canvas: Any, _: BaseDocTemplate) -> None:
        words = (Paragraph(text(self._title), style(size=7.5)), Paragraph(f"page {canvas.getPageNumber()}", style(size=7.5, right=True)))
        for own in words:
            own.wrapOn(canvas, room_pt()[0], MARGIN)
            own.drawOn(canvas, MARGIN, _FOOT_MM * mm)

    def afterFlowable(self, flowable: Flowable) -> None:  # noqa: N802 - the library's name
        if isinstance(flowable, _Chapter):
            key = f"chapter-{flowable.getPlainText()}"
            self.canv.bookmarkPage(key)
            self.canv.addOutlineEntry(flowable.getPlainText(), key)


class _Chapter(Paragraph):  # type: ignore[misc]
    """A heading that the PDF's outline names."""
