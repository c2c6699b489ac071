"""The piece before anything is cut: every drawer's front from the front and its side from the right, in its case where rows are named.

Sides stand to the right of what they are the side view of, as in third angle projection (ISO 128-3). What lies behind a face is
grey, or dashed: the tails behind the lap of a front, the bottom's groove.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby, pairwise

from camtools.drawer.boards import Drawer, Piece, TailedJoint
from camtools.drawer.case import SHELF_MM, Case, Row, case_of, room_mm
from camtools.drawings.ends import ends_of, outline_of
from camtools.drawings.sheet import Drawing, Sheet
from camtools.drawings.sheet_layout import Title, laid_out, wrapped
from camtools.job.job import Job
from camtools.templates.outlines import flattened
from camtools.wording import bare, counted, sizes, units_told

__all__ = ["picture_of"]

_TONES = {"face": 0.97, "end grain": 0.80, "behind": 0.88, "case": 0.93}
_APART_MM = 9.0  # of paper between a view and the next
_NAME_MM, _WORDS_MM, _GAP_MM = 2.6, 1.8, 1.4  # on paper: height of names and of words, and between lines


def picture_of(job: Job, drawers: Sequence[Drawer]) -> tuple[Sheet, ...]:
    """Return the sheet, or the few sheets, that show a piece.

    Drawers stand in the order of the job's wishes.

    Raises
    ------
    PacketFault
        Where no paper takes it.
    """
    case = case_of(job, drawers)
    loose = [(wish, drawer) for wish, drawer in zip(job.drawers, drawers, strict=True) if wish.row is None]
    overlays = {drawer.id: wish.fit.overlay_below_mm for wish, drawer in zip(job.drawers, drawers, strict=True)}

    def views(scale: float) -> list[Drawing]:
        found = [_case_view(case, overlays, scale)] if case else []
        return found + [_drawer_view(alike, overlays, scale) for alike in _alike(drawer for _, drawer in loose)]

    number = counted(sum(drawer.count for drawer in drawers), "drawer")
    lines = [
        f"{number}: fronts from the front, sides from the right; width x height x depth, tails and pins at the tips of the tails, "
        f"in {units_told()[0].word}",
        "light: faces; dark: end grain; grey in a front: the tails behind its lap; dashed: the bottom's groove",
    ]
    if case:
        lines.append("partitions bring the rows to one width; the case's own wood is not to measure")
    return laid_out(Title("piece", job.title, tuple(lines)), views, large=True)


def _alike(drawers: Iterable[Drawer]) -> list[list[Drawer]]:
    """Return drawers together that look alike."""
    found: dict[object, list[Drawer]] = {}
    for drawer in drawers:
        look = (drawer.front.piece, drawer.show_front_mm, *_side_look(drawer))
        found.setdefault(look, []).append(drawer)
    return list(found.values())


def _side_look(drawer: Drawer) -> tuple[Piece, tuple[float, ...], tuple[float, ...]]:
    return drawer.right.piece, drawer.front.piece.size_mm[1:], drawer.back.piece.size_mm[1:]


def _drawer_view(alike: Sequence[Drawer], overlays: dict[str, float], scale: float) -> Drawing:
    """Return the front and the side of drawers that look alike."""
    drawing, drawer = Drawing([], scale), alike[0]
    off = sum(one.count for one in alike)
    _front(drawing, drawer, _names(alike) + (f", {off} off" if off > 1 else ""), overlays[drawer.id], (0.0, 0.0))
    over = (drawer.show_front_mm[0] - drawer.outside_mm[0]) / 2 if drawer.show_front_mm else 0.0
    _side(drawing, drawer, "", (drawer.outside_mm[0] + over + _APART_MM / scale, 0.0))
    return drawing


def _case_view(case: Case, overlays: dict[str, float], scale: float) -> Drawing:
    """Return the case from the front, and beside each row the sides of its drawers."""
    drawing = Drawing([], scale)
    widest = max(row.with_partitions_mm(row.partition_mm(case.width_mm)) for row in case.rows)
    whole = max(top + row.height_mm for row, top in case.levels_mm())
    _box(drawing, (-SHELF_MM, -whole - SHELF_MM), (widest + 2 * SHELF_MM, whole + 2 * SHELF_MM), _TONES["case"])
    for row, top in case.levels_mm():
        low, lefts = -top - row.height_mm, list(row.lefts_mm(case.width_mm))
        for drawer, x in zip(row.drawers, lefts, strict=True):
            _box(drawing, (x, low), room_mm(drawer), 1.0)
        for drawer, x in zip(row.drawers, lefts, strict=True):
            _front(drawing, drawer, drawer.name, overlays[drawer.id], (x + (room_mm(drawer)[0] - drawer.outside_mm[0]) / 2, low))
        x = widest + SHELF_MM + _APART_MM / scale
        for name, drawer in _sides_of(row):
            _side(drawing, drawer, name, (x, low))
            x += drawer.outside_mm[1] + _APART_MM / scale
    return drawing


def _sides_of(row: Row) -> Iterator[tuple[str, Drawer]]:
    """Return a drawer for each different side of a row, with the names of its drawers where there are several sides."""
    looks: dict[object, list[Drawer]] = {}
    for drawer in row.drawers:
        looks.setdefault(_side_look(drawer), []).append(drawer)
    for alike in looks.values():
        yield (_names(alike) if len(looks) > 1 else ""), alike[0]


def _names(drawers: Iterable[Drawer]) -> str:
    return ", ".join(dict.fromkeys(drawer.name for drawer in drawers))


def _front(drawing: Drawing, drawer: Drawer, name: str, overlay_below_mm: float, corner: tuple[float, float]) -> None:
    """Draw a front whose lower left corner lies at a place of the wood."""
    piece, (x, y) = drawer.front.piece, corner
    length, width, _ = piece.size_mm
    _box(drawing, corner, (length, width), _TONES["face"])
    for part in (part for end in ends_of(piece, "inside")[:1] for part in end.waste):
        points = flattened(part, closed=True)
        drawing.area([(x + d, y + v) for d, v in points], _TONES["behind"])
        drawing.area([(x + length - d, y + v) for d, v in points], _TONES["behind"])
    _groove(drawing, piece, corner)
    drawing.line([(x, y), (x + length, y), (x + length, y + width), (x, y + width)], "outline", closed=True)
    if drawer.show_front_mm:
        over_length, over_width, _ = drawer.show_front_mm
        low = (x + (length - over_length) / 2, y - overlay_below_mm)
        _box(drawing, low, (over_length, over_width))
    wide, deep, high = drawer.outside_mm
    lines = [name, sizes(wide, high, deep)]
    if drawer.show_front_mm:
        lines.append(f"show front {sizes(*drawer.show_front_mm[:2])}")
    _written(drawing, lines, piece, corner, drawer.left.piece.size_mm[2], whole=False)


def _side(drawing: Drawing, drawer: Drawer, name: str, corner: tuple[float, float]) -> None:
    """Draw a drawer from the right, its front to the left, the lower corner of that at a place of the wood."""
    x, y = corner
    front, back, side = drawer.front.piece, drawer.back.piece, drawer.right.piece
    lap, low = drawer.right.to_drawer[1][3], drawer.back.to_drawer[2][3]
    ends = [_corners((x, y), (front.size_mm[2], front.size_mm[1]))]
    ends.append(_corners((x + drawer.outside_mm[1] - back.size_mm[2], y + low), (back.size_mm[2], back.size_mm[1])))
    for corners in ends:
        drawing.area(corners, _TONES["end grain"])
    outline = [(x + lap + u, y + v) for u, v in outline_of(side, "outside")]
    drawing.area(outline, _TONES["face"])
    _groove(drawing, side, (x + lap, y))
    for corners in (outline, *ends):
        drawing.line(corners, "thin", closed=True)
    told = {"front": side.half_blind, "back": side.through}
    words = {end: _division(joint) for end, joint in told.items() if joint}
    if len(set(words.values())) == 1:
        words = {"": next(iter(words.values()))}
    lines = [f"{end}: {text}" if end and not i else text for end, texts in words.items() for i, text in enumerate(texts)]
    beside = max(front.size_mm[2] - lap, back.size_mm[2])
    if _written(drawing, [name, *lines], side, (x + lap, y), beside):
        return
    _written(
        drawing,
        [name, *(f"{end}: {', '.join(texts)}" if end else ", ".join(texts) for end, texts in words.items())],
        side,
        (x + lap, y),
        beside,
        whole=False,
    )


def _division(joint: TailedJoint) -> tuple[str, ...]:
    """Return the widths of tails, and those of pins, from the lower edge up."""
    tails, pins = [tail.width_mm for tail in joint.tails], [high.low_mm - low.high_mm for low, high in pairwise(joint.tails)]
    halves = [half for half in (joint.tails[0].low_mm, joint.width_mm - joint.tails[-1].high_mm) if half > 0]
    return _run("tail", tails), ", ".join(_run(thing, widths) for thing, widths in (("pin", pins), ("half pin", halves)) if widths)


def _run(thing: str, widths_mm: Sequence[float]) -> str:
    """Return how many there are and how wide, equal neighbours together."""
    runs = [(text, len(list(group))) for text, group in groupby(map(bare, widths_mm))]
    if len(runs) == 1:
        return f"{counted(len(widths_mm), thing)} of {runs[0][0]}"
    return f"{counted(len(widths_mm), thing)}: {' + '.join(f'{count} x {text}' if count > 1 else text for text, count in runs)}"


def _groove(drawing: Drawing, piece: Piece, corner: tuple[float, float]) -> None:
    """Draw the bottom's groove behind the face that is seen; it looks the same from either end."""
    groove, (x, y) = piece.groove, corner
    if groove is None:
        return
    low, high = groove.edge_mm, groove.edge_mm + groove.width_mm
    start, stop = max(0.0, groove.start_mm), min(piece.size_mm[0], groove.stop_mm)
    for points in ([(start, low), (stop, low)], [(start, high), (stop, high)]):
        drawing.line([(x + u, y + v) for u, v in points], "hidden")


def _written(
    drawing: Drawing, lines: Sequence[str], piece: Piece, corner: tuple[float, float], beside_mm: float, *, whole: bool = True
) -> bool:
    """Write lines into a face, between what its ends hold and above its groove; the first is its name.

    Parameters
    ----------
    beside_mm
        Of each end that holds something.
    whole
        Write nothing and return False where not all has room; else a name is cut short, and figures that have none are left out.
    """
    scale, (x, y), (length, width, _) = drawing.scale, corner, piece.size_mm
    low = piece.groove.edge_mm + piece.groove.width_mm if piece.groove else 0.0
    high, across = (width - low) * scale - _GAP_MM, (length - 2 * beside_mm) * scale - 2 * _GAP_MM
    told = [([text], _NAME_MM) for text in lines[:1] if text] + [(wrapped(text, _WORDS_MM, across), _WORDS_MM) for text in lines[1:]]
    while (total := sum(len(parts) * (height + _GAP_MM) for parts, height in told) - _GAP_MM) > high and len(told) > 1:
        if whole:
            return False
        told.pop()
    top = y * scale + (low + width) / 2 * scale + total / 2
    for part, height in ((part, height) for parts, height in told for part in parts):
        pen = "heavy" if height > _WORDS_MM else "letter"
        drawing.words_within(across, part, (x + beside_mm) * scale + _GAP_MM, top - height / 2, height, pen=pen)
        top -= height + _GAP_MM
    return True


def _box(drawing: Drawing, corner: tuple[float, float], size: tuple[float, float], tone: float | None = None) -> None:
    drawing.box(corner, (corner[0] + size[0], corner[1] + size[1]), "thin", tone)


def _corners(corner: tuple[float, float], size: tuple[float, float]) -> list[tuple[float, float]]:
    (x, y), (wide, high) = corner, size
    return [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
