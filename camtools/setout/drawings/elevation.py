"""The piece from the front: the rows of its case one over the other, every drawer in its opening, sizes at the margin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from camtools.drawer.boards import Drawer
from camtools.drawer.case import SHELF_MM, Row, case_with, room_mm
from camtools.drawings.ends import ends_of
from camtools.pictures.paper import XY, Scale, rectangle
from camtools.setout.drawings.leaf import Leaf
from camtools.templates.outlines import flattened
from camtools.wording import bare, counted, sizes

__all__ = ["Front", "elevation_of"]

_WIDE_PX, _HIGH_PX = 740, 600  # the picture at most, unless its rows are many
_MARGIN_PX = (150.0, 46.0)  # right of the case for the rows' heights, below it for its width
_MOST_PX = 1.6  # a mm of wood
_LEAST_ROW_PX = 46.0  # so that a finger finds a drawer, where the paper's width allows it
_UNKNOWN_MM = (300.0, 100.0)  # an opening that was never known


@dataclass(frozen=True, slots=True)
class Front:
    """A drawer of the piece, as it is to be seen from the front."""

    number: int  # its place in the job file, from 1
    name: str
    row: str  # none: it names no row
    count: int
    drawer: Drawer | None  # as it is, or as it last was; None: it never could be worked out
    amiss: bool  # it can not be, as it now is

    @property
    def room_mm(self) -> XY:
        """Width and height of its opening."""
        return room_mm(self.drawer) if self.drawer else _UNKNOWN_MM


@dataclass(frozen=True, slots=True)
class _Place:
    """An opening, and its lower left corner."""

    front: Front
    corner_mm: XY


@dataclass(frozen=True, slots=True)
class _Shelf:
    """Openings side by side."""

    name: str  # none for drawers that name no row
    low_mm: float
    high_mm: float
    apart_mm: float  # thickness of its partitions
    places: tuple[_Place, ...]


def elevation_of(title: str, fronts: Sequence[Front], picked: int | None = None) -> str:
    """Return the piece as SVG; each drawer is a link ``?drawer=N`` with its number as ``data-drawer``.

    Parameters
    ----------
    fronts
        In the order of the job file, at least one.
    picked
        Number of the drawer at work, which is framed.
    """
    shelves, width = _shelves(fronts)
    partitions = {bare(round(shelf.apart_mm, 1)) for shelf in shelves if len(shelf.places) > 1}
    apart = f", partitions {partitions.pop()}" if len(partitions) == 1 else ""
    low = min(shelf.low_mm for shelf in shelves)
    thinnest = min(shelf.high_mm for shelf in shelves)
    full = width + 2 * SHELF_MM
    factor = min(_MOST_PX, max(_HIGH_PX / (2 * SHELF_MM - low), _LEAST_ROW_PX / thinnest))
    factor = min(factor, (_WIDE_PX - _MARGIN_PX[0] - 8) / full)
    high_px = (2 * SHELF_MM - low) * factor + _MARGIN_PX[1] + 8
    leaf = Leaf(round(full * factor + _MARGIN_PX[0] + 8), round(high_px))
    scale = Scale(factor, (-SHELF_MM, low - SHELF_MM), (4.0, _MARGIN_PX[1]))
    leaf.box(scale, (-SHELF_MM, low - SHELF_MM), (full, 2 * SHELF_MM - low), "wood side", "outline")
    ordered = sorted((place for shelf in shelves for place in shelf.places), key=lambda place: place.front.number == picked)
    for place in ordered:  # the picked one last, so that its frame lies over its neighbours
        number = place.front.number
        kind = " ".join(["drawer", *(["picked"] if number == picked else []), *(["amiss"] if place.front.amiss else [])])
        with leaf.group({"id": f"front-{number}", "href": f"?drawer={number}", "data-drawer": number, "class": kind, "tabindex": -1}, "a"):
            _draw_front(leaf, scale, place)
    right = scale.at(width + SHELF_MM, 0.0)[0] + 16.0
    for shelf in shelves:
        start, end = scale.at(0.0, shelf.low_mm), scale.at(0.0, shelf.low_mm + shelf.high_mm)
        high = bare(shelf.high_mm)
        leaf.measure((right, start[1]), (right, end[1]), "")
        told = f"{shelf.name}: {high}" if shelf.name else high
        leaf.write((right + 12.0, (start[1] + end[1]) / 2), told, size="small")
    x0, x1 = scale.at(0.0, 0.0)[0], scale.at(width, 0.0)[0]
    leaf.measure((x0, 20.0), (x1, 20.0), f"{bare(width)} inside{apart}")
    return leaf.markup(f"{title} from the front: {counted(sum(front.count for front in fronts), 'drawer')}", parts=True)


def _shelves(fronts: Sequence[Front]) -> tuple[list[_Shelf], float]:
    """Return the rows from the top, those of the case first, and the width inside; drawers without a row fill rows of their own."""
    members: dict[str, list[Front]] = {}
    for front in fronts:
        if front.row and front.drawer:
            members.setdefault(front.row, []).extend([front] * front.count)
    case = case_with(tuple(Row(name, tuple(one.drawer for one in row if one.drawer)) for name, row in members.items()))
    rows: list[tuple[str, list[Front], float]] = []
    width = 0.0
    if case:
        rows = [(row.name, members[row.name], row.partition_mm(case.width_mm)) for row in case.rows]
        width = max(case.width_mm, *(row.with_partitions_mm(row.partition_mm(case.width_mm)) for row in case.rows))
    loose = [front for front in fronts if not (front.row and front.drawer) for _ in range(front.count)]
    wanted = max(width, *(front.room_mm[0] for front in fronts), _squarish(loose))
    line: list[Front] = []
    for front in loose:
        if line and sum(one.room_mm[0] + SHELF_MM for one in line) + front.room_mm[0] > wanted + 1e-6:
            rows.append(("", line, SHELF_MM))
            line = []
        line.append(front)
    rows += [("", line, SHELF_MM)] if line else []
    shelves, top = [], 0.0
    for name, row, apart in rows:
        high = max(front.room_mm[1] for front in row)
        places, x = [], 0.0
        for front in row:
            places.append(_Place(front, (x, top - high)))
            x += front.room_mm[0] + apart
        width = max(width, x - apart)
        shelves.append(_Shelf(name, top - high, high, apart, tuple(places)))
        top -= high + SHELF_MM
    return shelves, width


def _squarish(fronts: Sequence[Front]) -> float:
    """Return the width at which these drawers make a piece that is a little wider than it is high."""
    area = sum((front.room_mm[0] + SHELF_MM) * (front.room_mm[1] + SHELF_MM) for front in fronts)
    return 0.0 if len(fronts) < 3 else float((1.4 * area) ** 0.5)


def _draw_front(leaf: Leaf, scale: Scale, place: _Place) -> None:
    """Draw an opening and the front of its drawer, the tails behind its lap shaded, with its name and size."""
    (x, y), (wide, high) = place.corner_mm, place.front.room_mm
    drawer = place.front.drawer
    leaf.box(scale, (x, y), (wide, high), "paper")
    left, length, width, inset = x, wide, high, 0.0
    if drawer is not None:
        length, width, _ = drawer.front.piece.size_mm
        left, inset = x + (wide - length) / 2, drawer.left.piece.size_mm[2]
        leaf.box(scale, (left, y), (length, width), "wood", None)
        for part in ends_of(drawer.front.piece, "inside")[0].waste:
            points = flattened(part, closed=True, tolerance_mm=0.3)
            for ends in ([(left + d, y + v) for d, v in points], [(left + length - d, y + v) for d, v in points]):
                leaf.fill([[scale.at(*point) for point in ends]], "wood side")
        if drawer.show_front_mm:
            over, up, _ = drawer.show_front_mm
            (a, b), (c, d) = scale.at(x + (wide - over) / 2, y - (up - high) / 2), scale.at(x + (wide + over) / 2, y + (up + high) / 2)
            leaf.draw([[*rectangle(a, b, c, d), (a, b)]], "hidden")
    (x0, y0), (x1, y1) = scale.at(left, y), scale.at(left + length, y + width)
    leaf.draw([[*rectangle(x0, y0, x1, y1), (x0, y0)]], "thin" if drawer is not None else "hidden")
    indent = inset * scale.px_per_mm + 4
    room, lines = x1 - x0 - 2 * indent, [place.front.name]
    if y1 - y0 > 42:
        told = drawer.opening_mm or drawer.outside_mm if drawer else None
        lines.append("not known yet" if told is None else sizes(told[0], told[1 if drawer and drawer.opening_mm else 2], joined=" × "))
    for line, text in enumerate(lines):
        at = (x0 + indent + room / 2, (y0 + y1) / 2 + 9.0 * (len(lines) - 1) - 18.0 * line)
        leaf.write(at, text, size="small" if line else "label", align="center", room_px=room)
    with leaf.group({"class": "frame"}):
        leaf.draw([[*rectangle(x0 - 1, y0 - 1, x1 + 1, y1 + 1), (x0 - 1, y0 - 1)]], "outline")
    leaf.field(rectangle(*scale.at(x, y), *scale.at(x + wide, y + high)))
