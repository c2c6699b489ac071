"""Puts views on paper: the smallest sheet and the largest scale that take them, a title block and a check dimension."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import NamedTuple, TypeVar

from camtools.drawings.sheet import LEAST_MM, Drawing, Sheet, SheetText, SheetView
from camtools.faults import Fault, PacketFault
from camtools.templates.letters import line_of_text
from camtools.wording import Units, sizes, units_told

__all__ = ["PaperSize", "Title", "laid_out", "small_paper", "wrapped"]

Thing = TypeVar("Thing")


class PaperSize(NamedTuple):
    """A sheet of paper (ISO 216; in inches those of ASME Y14.1, from memory)."""

    name: str
    width_mm: float
    height_mm: float


class Title(NamedTuple):
    """What the title block says."""

    stem: str
    what: str  # large
    lines: tuple[str, ...]
    picture: bool = False  # shows how things go together, and has no scale


class _Block(NamedTuple):
    """A view and the room it takes."""

    drawing: Drawing
    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width_mm(self) -> float:
        return self.x1 - self.x0

    @property
    def height_mm(self) -> float:
        return self.y1 - self.y0


def _either_way(name: str, long_mm: float, short_mm: float) -> tuple[PaperSize, ...]:
    return PaperSize(name, long_mm, short_mm), PaperSize(name, short_mm, long_mm)


_PAPERS = {  # the smallest first, of which more shops can print the first two
    Units.MM: (
        _either_way("A4", 297.0, 210.0),
        _either_way("A3", 420.0, 297.0),
        (PaperSize("A2", 594.0, 420.0),),
        (PaperSize("A1", 841.0, 594.0),),
        (PaperSize("A0", 1189.0, 841.0),),
    ),
    Units.INCH: (
        _either_way("letter", 279.4, 215.9),
        _either_way("tabloid", 431.8, 279.4),
        (PaperSize("ANSI C", 558.8, 431.8),),
        (PaperSize("ANSI D", 863.6, 558.8),),
        (PaperSize("ANSI E", 1117.6, 863.6),),
    ),
}
_COMMON = 2
_CHECK_PARTS = {Units.MM: 10, Units.INCH: 8}
_SCALES = (1, 2, 5, 10, 20)  # 1:n of ISO 5455
_SMALLEST = 5  # at which joints can still be told
_MARGIN_MM = 10.0
_BLOCK_MM = 29.0  # height of the title block
_APART_MM = 7.0
_WIDEST_MM = 14.0  # between rows
_AROUND_MM = 1.5  # shown about a view that is shown by itself
_SMALL_MM = 2.0  # height of letters in the title block


def small_paper() -> PaperSize:
    """Return the paper that every shop can print, upright, of the units that are told."""
    return _PAPERS[units_told()[0]][0][1]


def laid_out(
    title: Title, views: Callable[[float], Sequence[Drawing]], *, full_size: bool = False, large: bool = False, largest: int = 1
) -> tuple[Sheet, ...]:
    """Return the sheet, or the few sheets, that these views take.

    The largest scale comes first, then the paper that more shops can print on, then the fewest pages.

    Parameters
    ----------
    views
        Called with a scale, mm of paper for a mm of wood; returns the views in reading order.
    full_size
        Take larger paper rather than a smaller scale.
    largest
        The n of the largest scale 1:n that is tried; one of ISO 5455.
    large
        Take larger paper rather than a scale below 1:5, and cut off what one sheet leaves bare.

    Raises
    ------
    PacketFault
        If no sheet takes the views.
    """
    there = _PAPERS[units_told()[0]]
    for n in _SCALES[:1] if full_size else _SCALES[_SCALES.index(largest) :]:
        drawn = [_Block(view, *view.bounds_mm()) for view in views(1.0 / n)]
        for papers in there if full_size or (large and n >= _SMALLEST) else there[:_COMMON]:
            tried = [(pages, paper) for paper in papers if (pages := _paged(drawn, paper))]
            if tried:
                pages, paper = min(tried, key=lambda pair: len(pair[0]))
                if large and len(pages) == 1:
                    paper = paper._replace(height_mm=min(paper.height_mm, _high(pages[0])))
                return tuple(_sheet(_numbered(title, i, len(pages)), paper, n, rows) for i, rows in enumerate(pages, 1))
    remedy = "let fewer drawers name one row" if large else "this is a defect; please report the job"
    raise PacketFault(
        Fault(title.what, "no sheet of paper takes this drawing", limit=f"{there[-1][0].name} at 1:{_SCALES[-1]}", remedy=remedy)
    )


def _numbered(title: Title, i: int, count: int) -> Title:
    if count == 1:
        return title
    return title._replace(stem=f"{title.stem}-{i}", what=f"{title.what}, sheet {i} of {count}")


def _paged(views: Sequence[_Block], paper: PaperSize) -> list[list[list[_Block]]]:
    """Return rows of views, page by page; nothing where a view is larger than a page."""
    rows = _filled(views, lambda view: view.width_mm, paper.width_mm - 2 * _MARGIN_MM)
    return _filled(rows, _height, paper.height_mm - 2 * _MARGIN_MM - _BLOCK_MM - 4.0)


def _height(row: Sequence[_Block]) -> float:
    return max(block.height_mm for block in row)


def _high(rows: Sequence[Sequence[_Block]]) -> float:
    """Height of a sheet that rows of views fill with the usual room between them."""
    return sum(map(_height, rows)) + _WIDEST_MM * (len(rows) + 1) + 2 * _MARGIN_MM + _BLOCK_MM


def _filled(things: Sequence[Thing], size: Callable[[Thing], float], room: float) -> list[list[Thing]]:
    """Return things one after another in groups that fit a room; nothing where one alone does not."""
    groups: list[list[Thing]] = []
    used = 0.0
    for thing in things:
        if size(thing) > room:
            return []
        used += _APART_MM + size(thing)
        if groups and used <= room:
            groups[-1].append(thing)
        else:
            groups.append([thing])
            used = size(thing)
    return groups


def _sheet(title: Title, paper: PaperSize, n: int, rows: Sequence[Sequence[_Block]]) -> Sheet:
    page = Drawing([])
    room = paper.height_mm - 2 * _MARGIN_MM - _BLOCK_MM
    spare = room - sum(_height(row) for row in rows)
    gap = min(_WIDEST_MM, spare / (len(rows) + 1))
    y, views = paper.height_mm - _MARGIN_MM - gap, list[SheetView]()
    for row in rows:
        height, width = _height(row), sum(view.width_mm for view in row)
        between = min(16.0, (paper.width_mm - 2 * _MARGIN_MM - width) / (len(row) + 1))
        x = (paper.width_mm - width - between * (len(row) - 1)) / 2
        for view in row:
            page.put(view.drawing, x - view.x0, y - view.y1)
            least_mm = min((item.height_mm for item in view.drawing.items if isinstance(item, SheetText)), default=LEAST_MM)
            views.append(
                SheetView((x - _AROUND_MM, y - view.height_mm - _AROUND_MM, x + view.width_mm + _AROUND_MM, y + _AROUND_MM), least_mm)
            )
            x += view.width_mm + between
        y -= height + gap
    _block(page, title, paper, n)
    return Sheet(
        title.stem, title.what, paper.name, paper.width_mm, paper.height_mm, (1, n), tuple(page.items), title.picture, tuple(views)
    )


def _block(page: Drawing, title: Title, paper: PaperSize, n: int) -> None:
    left, right, low, high = _MARGIN_MM, paper.width_mm - _MARGIN_MM, _MARGIN_MM, _MARGIN_MM + _BLOCK_MM
    page.line([(left, low), (right, low), (right, high), (left, high)], "thin", closed=True)
    check, ticks = units_told()[0].check_mm, _CHECK_PARTS[units_told()[0]]
    divide = right - check - 12.0
    page.line([(divide, low), (divide, high)], "thin")
    room = divide - left - 6.0
    page.words_within(room, title.what, left + 3.0, high - 5.0, 3.4, pen="heavy")
    lines = [part for line in title.lines for part in wrapped(line, _SMALL_MM, room)]
    step = min(4.3, (_BLOCK_MM - 12.5) / max(1, len(lines) - 1))
    for i, line in enumerate(lines):
        page.words_within(room, line, left + 3.0, high - 10.2 - step * i, _SMALL_MM)
    x0, base = divide + 6.0, low + 7.0
    if title.picture:
        page.words("a picture, not to scale", x0, high - 5.0, 3.4, "start", pen="heavy")
        page.words(f"sizes are on the sheets of the boards   {paper.name}", x0, high - 10.6, 2.3, "start")
        return
    page.line([(x0, base), (x0 + check, base)], "outline")
    for i in range(ticks + 1):
        tall = 3.0 if i in (0, ticks) else 1.6
        page.line([(x0 + check / ticks * i, base), (x0 + check / ticks * i, base + tall)], "outline")
    page.words(f"check: {sizes(check)} on paper when printed at 100 %", x0 + check / 2, low + 3.6, 2.1)
    page.words(f"scale 1:{n}  {paper.name}", x0, high - 5.0, 3.4, "start", pen="heavy")
    told = "full size: a print can be laid on the wood" if n == 1 else "not full size: do not lay a print on the wood"
    page.words(told, x0, high - 10.6, 2.3, "start")


def wrapped(text: str, height_mm: float, room_mm: float) -> list[str]:
    """Break a text at words into lines that fit, never within a figure: a whole number of inches and its fraction stay together."""
    lines: list[str] = []
    for word in re.split(r" (?!\d+/\d)", text):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and line_of_text(longer, height_mm)[2] <= room_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
