"""Lays the blocks of a chapter out on paper."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from itertools import zip_longest
from typing import Any
from xml.etree import ElementTree
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import Flowable, Image, KeepTogether, LongTable, Paragraph, Spacer, Table
from svglib.svglib import svg2rlg

from camtools.drawings.sheet_layout import small_paper
from camtools.page import blocks as b
from camtools.page.facts import PacketFacts

__all__ = ["BOLD", "MARGIN", "PLAIN", "boxed", "flow", "paper_pt", "room_pt", "style", "text"]

MARGIN = 13 * mm
PLAIN, BOLD = "camtools-plain", "camtools-bold"  # of the fonts that the document brings
_INK, _LINE, _MARK, _TINT = (colors.HexColor(tone) for tone in ("#1d1b16", "#b9b1a1", "#7a4a00", "#fdf6e3"))
_HIGHEST, _SMALL = 80 * mm, 38 * mm  # of a picture of a setup, of which two fit one sheet, and of another one
_CARDS = 4  # side by side
_BAR, _PAD = 4 * mm, 2 * mm
_BADGES = {"left": "LEFT SIDE", "right": "RIGHT SIDE", "": ""}
_ODD = str.maketrans({chr(code): "\N{REPLACEMENT CHARACTER}" for code in (*range(9), 11, 12, *range(14, 32), 127)})
Flow = list[Flowable]


def paper_pt() -> tuple[float, float]:
    """Return width and height of the paper, in points, for the units that are told."""
    paper = small_paper()
    return paper.width_mm * mm, paper.height_mm * mm


def room_pt() -> tuple[float, float]:
    """Return width and height of what is printed on it, in points."""
    wide, high = paper_pt()
    return wide - 2 * MARGIN, high - 2 * MARGIN


@cache
def style(
    name: str = "text", *, bold: bool = False, size: float = 9, before: float = 0, after: float = 3, right: bool = False
) -> ParagraphStyle:
    """Return a style of text.

    Parameters
    ----------
    name
        Its name; a "chapter" stays with what follows it.
    bold, right
        Whether it is bold, and set to the right.
    size, before, after
        Of the letters, and of the space above and below, in points.
    """
    return ParagraphStyle(
        name, fontName=BOLD if bold else PLAIN, fontSize=size, leading=1.22 * size, textColor=_INK, spaceBefore=before, spaceAfter=after,
        alignment=2 if right else 0, splitLongWords=True, keepWithNext=name == "chapter",
    )  # fmt: skip


def text(words: object) -> str:
    """Return text that stays text: nothing in it is markup, or a sign that a PDF can not show."""
    return escape(str(words).translate(_ODD))


def boxed(content: Flow, colour: colors.Color = _INK, width: float = 1.5) -> Table:
    """Return flowables in a frame."""
    lines = [("BOX", (0, 0), (-1, -1), width, colour), ("LEFTPADDING", (0, 0), (-1, -1), 6), ("BOTTOMPADDING", (0, 0), (-1, -1), 3)]
    return LongTable([[own] for own in content], colWidths=[room_pt()[0]], style=lines, spaceBefore=6, spaceAfter=6)


def flow(facts: PacketFacts, blocks: Iterable[b.Block], room: float | None = None) -> Flow:
    """Lay blocks out, as wide as the paper where nothing else is told; a heading stays with what comes after it."""
    room = room_pt()[0] if room is None else room
    laid_out: Flow = []
    waiting: Flow = []
    row = list(blocks)
    for block, after in zip_longest(row, row[1:]):
        laid = _LAYOUTS[block.kind](facts, block, room)
        if block.kind == "heading" or (waiting and after is not None and after.kind == "steps"):
            waiting += laid
        elif laid:
            laid_out += [KeepTogether([*waiting, laid[0]]) if waiting else laid[0], *laid[1:]]
            waiting = []
    return [*laid_out, *waiting]


def _words(_: PacketFacts, block: b.TextBlock, room: float) -> Flow:
    lead = f"<b>{text(block.lead)}.</b> " if block.lead else ""
    words = f"<b>{text(block.text)}</b>" if block.tone == "strong" else text(block.text)
    paragraph = Paragraph(lead + words, style(size=7.2 if block.tone == "small" else 8.2))
    if block.tone != "warning":
        return [paragraph]
    marked = [("LINEBEFORE", (0, 0), (0, -1), 3, _MARK), ("BACKGROUND", (0, 0), (-1, -1), _TINT)]
    return [Table([[paragraph]], colWidths=[room], style=marked, spaceAfter=4)]


def _heading(_: PacketFacts, block: b.Heading, __: float) -> Flow:
    return [Paragraph(text(block.text), style("heading", bold=True, size=11, before=8, after=4))]


def _table(_: PacketFacts, block: b.Table, room: float) -> Flow:
    size = 7.5
    lines: list[Sequence[object]] = [block.columns, *block.rows, *([block.foot] if block.foot else [])]
    bold = [0, *([len(lines) - 1] if block.foot else [])]
    cells = [
        [Paragraph(text(value), style("cell", bold=i in bold, size=size, after=0, right=n in block.right)) for n, value in enumerate(line)]
        for i, line in enumerate(lines)
    ]
    rules = [("LINEBELOW", (0, 0), (-1, 0), 1.2, _INK), ("LINEBELOW", (0, 1), (-1, -1), 0.4, _LINE), ("VALIGN", (0, 0), (-1, -1), "TOP")]
    sides = [
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), 1),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
    ]
    foot = [("LINEABOVE", (0, -1), (-1, -1), 1.2, _INK)] if block.foot else []
    widths = _column_widths([[str(value) for value in line] for line in lines], size, room)
    return [LongTable(cells, colWidths=widths, repeatRows=1, style=[*rules, *sides, *foot], spaceBefore=3, spaceAfter=6)]


def _column_widths(lines: list[list[str]], size: float, room: float) -> list[float]:
    """Give every column its longest word, and share what is left by what its longest text still wants."""

    def wide(text: str) -> float:
        return float(pdfmetrics.stringWidth(text, BOLD, size)) + 7

    columns = list(zip(*lines, strict=True))
    least = [max(wide(word) for text in column for word in text.split() or [""]) for column in columns]
    wanted = [max(wide(text) for text in column) for column in columns]
    most = max(least)
    while sum(least) > room:  # a word too long for its column is broken
        most *= 0.9
        least = [min(own, most) for own in least]
    spare, longing = room - sum(least), [want - need for want, need in zip(wanted, least, strict=True)]
    if sum(longing) <= spare:
        return [want + (spare - sum(longing)) / len(columns) for want in wanted]
    return [need + spare * more / sum(longing) for need, more in zip(least, longing, strict=True)]


def _facts(_: PacketFacts, block: b.Facts, room: float) -> Flow:
    small = 8 if room > 80 * mm else 6.6
    cells = [
        [Paragraph(text(term), style(bold=True, size=small, after=0)), Paragraph(text(value), style(size=small, after=0))]
        for term, value in block.rows
    ]
    rules = [("LINEBELOW", (0, 0), (-1, -1), 0.3, _LINE), ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, -1), 0)]
    close = [(f"{side}PADDING", (0, 0), (-1, -1), own) for side, own in (("TOP", 0.8), ("BOTTOM", 0.8), ("RIGHT", 2))]
    first = min(36 * mm, (0.26 if small == 8 else 0.47) * room)
    return [Table(cells, colWidths=[first, room - first], style=[*rules, *close], spaceAfter=4)]


def _cautions(_: PacketFacts, block: b.Cautions, __: float) -> Flow:
    return [boxed([Paragraph(f"<b>{text(topic)}.</b> {text(words)}", style(size=8.5)) for topic, words in block.rows])]


def _picture(facts: PacketFacts, block: b.Picture, room: float) -> Flow:
    scale = min(room / block.width_px, (_HIGHEST if block.name.endswith("-setup.svg") else _SMALL) / block.height_px)
    wide, high = block.width_px * scale, block.height_px * scale
    if block.content:
        return [Image(io.BytesIO(block.content), wide, high)]
    content = (facts.folder / block.name).read_bytes()
    try:
        ElementTree.fromstring(content)  # the library would show what is left of a broken one
        drawing = svg2rlg(io.BytesIO(content), external_reference_root=str(facts.folder))
    except ElementTree.ParseError:
        drawing = None
    if drawing is None:
        return [Paragraph(text(f"{block.alt} (the picture can not be read)"), style())]
    scale = min(room / drawing.width, high / drawing.height)
    drawing.scale(scale, scale)
    drawing.width, drawing.height = drawing.width * scale, drawing.height * scale
    return [drawing]


def _beside(facts: PacketFacts, block: b.Beside, room: float) -> Flow:
    half = room / 2
    cells = [[flow(facts, blocks, half - _PAD) for blocks in (block.first, block.second)]]
    close = [("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), _PAD), ("VALIGN", (0, 0), (-1, -1), "TOP")]
    return [Table(cells, colWidths=[half, half], style=close, splitInRow=1)]


def _folded(facts: PacketFacts, block: b.Folded, room: float) -> Flow:
    return [*_heading(facts, b.Heading(block.summary), room), *flow(facts, block.blocks, room)]


def _left_out(_: PacketFacts, __: b.View | b.OffPaper, ___: float) -> Flow:
    return []


def _cards(facts: PacketFacts, block: b.Cards, room: float) -> Flow:
    """Lay cards out side by side."""
    each = room / _CARDS
    rows = [[_card(facts, card, each - 2 * _PAD) for card in block.cards[i : i + _CARDS]] for i in range(0, len(block.cards), _CARDS)]
    close = [("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 2 * _PAD), ("VALIGN", (0, 0), (-1, -1), "TOP")]
    return [Table([[*row, *[""] * (_CARDS - len(row))]], colWidths=[each] * _CARDS, style=close, hAlign="LEFT") for row in rows]


def _card(facts: PacketFacts, card: b.Card, room: float) -> Flow:
    inner = [own for block in card.blocks for own in ((*block.first, *block.second) if isinstance(block, b.Beside) else (block,))]
    return [*_heading(facts, b.Heading(card.heading), room), *flow(facts, inner, room)]


def _steps(facts: PacketFacts, block: b.Steps, room: float) -> Flow:
    return [own for step in block.steps for own in _step(facts, step, room)]


def _step(facts: PacketFacts, step: b.Step, room: float) -> Flow:
    """Lay out a step in a frame, with a black bar along the side that it belongs to."""
    inner = room - 2 * _PAD - _BAR
    heading = Paragraph(f"☐ {text(step.heading)}", style("step", bold=True, size=10, after=1))
    head: Flowable = heading
    if step.side:
        corner = Paragraph(_BADGES[step.side], style("badge", bold=True, size=10.5, after=1, right=True))
        close = [("LEFTPADDING", (0, 0), (-1, -1), 0), ("VALIGN", (0, 0), (-1, -1), "TOP")]
        head = Table([[heading, corner]], colWidths=[inner - 30 * mm, 30 * mm], style=close)
    rows: Flow = [head]
    rows += [Paragraph(f"• {text(line)}", style(size=8, after=0)) for line in step.do]
    rows += [Paragraph(f"<b>{text(caution.topic)}:</b> {text(caution.short)}.", style(size=8, after=0)) for caution in step.cautions]
    if step.ticks:
        rows.append(Paragraph(" &nbsp; ".join(f"☐ {text(tick.text)}" for tick in step.ticks), style(size=7.5, after=1)))
    rows += _in_rows(facts, step.pictures, inner)
    rows += flow(facts, (_run_in(block) if isinstance(block, b.Facts) else block for block in step.more), inner)
    left, right = (_PAD + (_BAR if step.side == side else 0) for side in ("left", "right"))
    lines = [("BOX", (0, 0), (-1, -1), 0.6, _LINE), ("TOPPADDING", (0, 0), (-1, -1), 0.8), ("BOTTOMPADDING", (0, 0), (-1, -2), 0.4)]
    sides = [("LEFTPADDING", (0, 0), (-1, -1), left), ("RIGHTPADDING", (0, 0), (-1, -1), right)]
    return [_Barred(LongTable([[own] for own in rows], colWidths=[room], style=[*lines, *sides]), step.side), Spacer(1, 4)]


def _run_in(block: b.Facts) -> b.TextBlock:
    """Return facts as one paragraph."""
    return b.TextBlock(" ".join(f"{term}: {value}." for term, value in block.rows), tone="small")


def _in_rows(facts: PacketFacts, pictures: Sequence[b.Picture], room: float) -> Flow:
    """Lay pictures out two by two."""
    if len(pictures) == 1:
        return flow(facts, pictures, room)
    pairs = [b.Beside(tuple(pictures[i : i + 1]), tuple(pictures[i + 1 : i + 2])) for i in range(0, len(pictures), 2)]
    return [own for pair in pairs for own in _beside(facts, pair, room)]


class _Barred(Flowable):  # type: ignore[misc]
    """A flowable with a black bar inside its left or right edge."""

    def __init__(self, inner: Flowable, side: str) -> None:
        super().__init__()
        self._inner, self._side = inner, side

    def wrap(self, room: float, high: float) -> tuple[float, float]:
        self.width, self.height = self._inner.wrap(room, high)
        return self.width, self.height

    def split(self, room: float, high: float) -> list[Flowable]:
        if self.height < room_pt()[1] and high < self.height:
            return []  # a step that fits a page is not torn
        return [_Barred(part, self._side) for part in self._inner.splitOn(self.canv, room, high)]

    def draw(self) -> None:
        self._inner.drawOn(self.canv, 0, 0)
        if self._side:
            self.canv.setFillColor(_INK)
            self.canv.rect(0 if self._side == "left" else self.width - _BAR, 0, _BAR, self.height, stroke=0, fill=1)


_LAYOUTS: dict[str, Callable[[PacketFacts, Any, float], Flow]] = {
    "words": _words, "heading": _heading, "table": _table, "facts": _facts, "cautions": _cautions, "picture": _picture,
    "beside": _beside, "folded": _folded, "view": _left_out, "off-paper": _left_out, "cards": _cards, "steps": _steps,
}  # fmt: skip
