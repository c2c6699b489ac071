"""The piece as it will stand, seen from the front: every drawer in its opening, below them those that no row tells the place of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from camtools.page.facts import PacketFacts

__all__ = ["InPlace", "PieceView", "piece_view"]

_EDGE_MM = 12.0  # of wood or paper round all, and between drawers that no row tells of
_LETTERS = 0.042  # height of letters, of the width: 14 px where a telephone shows it
_BROADER = 1.3  # than high, where drawers alone make the view

Box = tuple[float, float, float, float]  # left, top, width, height in mm


@dataclass(frozen=True, slots=True)
class InPlace:
    """A drawer in its place: the id of its kind, that kind's number in the list, its opening and its front."""

    drawer: str
    number: int
    opening: Box
    front: Box

    @property
    def middle(self) -> tuple[float, float]:
        x, y, wide, high = self.front
        return round(x + wide / 2, 2), round(y + high / 2, 2)


@dataclass(frozen=True, slots=True)
class PieceView:
    """Every drawer in a view, the kinds of drawers by name and id, and the case where there is one."""

    places: tuple[InPlace, ...]
    drawers: tuple[tuple[str, str], ...]
    case: tuple[float, float] | None  # width and height in mm; its corner is that of the view

    @property
    def size_mm(self) -> tuple[float, float]:
        wide, high = self.case or (0.0, 0.0)
        ends = [(own.opening[0] + own.opening[2] + _EDGE_MM, own.opening[1] + own.opening[3] + _EDGE_MM) for own in self.places]
        return round(max(wide, *(right for right, _ in ends)), 2), round(max(high, *(bottom for _, bottom in ends)), 2)

    @property
    def letters_mm(self) -> float:
        return round(_LETTERS * self.size_mm[0], 2)


def piece_view(facts: PacketFacts) -> PieceView | None:
    """Return the view; None where the packet holds no drawers."""
    kinds = [drawer.id for drawer in facts.manifest.drawers]
    if not kinds:
        return None
    case = facts.names.case
    box = (case.width_mm + 2 * _EDGE_MM, case.height_mm + 2 * _EDGE_MM) if case else None
    corners = [
        (own.drawer, own.left_mm + _EDGE_MM, own.top_mm + _EDGE_MM) for own in (case.standing if case else ()) if own.drawer in kinds
    ]
    placed = {name for name, _, _ in corners}
    loose = [drawer.id for drawer in facts.manifest.drawers if drawer.id not in placed for _ in range(drawer.count)]
    corners += _beside_each_other(facts, loose, box)
    places = tuple(_standing(facts, name, kinds.index(name) + 1, left, top) for name, left, top in corners)
    return PieceView(places, tuple((facts.names.drawer(name), name) for name in kinds), box)


def _room(facts: PacketFacts, name: str) -> tuple[float, float]:
    """Return width and height of a drawer's opening; of the drawer where none is told."""
    drawer = next(drawer for drawer in facts.manifest.drawers if drawer.id == name)
    fit = facts.fit(drawer)
    return fit.opening[:2] if fit and fit.opening else (drawer.outside[0], drawer.outside[2])


def _standing(facts: PacketFacts, name: str, number: int, left: float, top: float) -> InPlace:
    """Return a drawer in its place: it stands on the lower edge of its opening, a show front even all round."""
    wide, high = _room(facts, name)
    drawer = next(drawer for drawer in facts.manifest.drawers if drawer.id == name)
    shown, planned = (drawer.outside[0], drawer.outside[2]), facts.names.drawers.get(name)
    low = high
    if planned and planned.show_front_mm:
        shown = planned.show_front_mm["length"], planned.show_front_mm["width"]
        low = (high + shown[1]) / 2
    front = (left + (wide - shown[0]) / 2, top + low - shown[1], *shown)
    return InPlace(name, number, (round(left, 2), round(top, 2), wide, high), (round(front[0], 2), round(front[1], 2), *front[2:]))


def _beside_each_other(facts: PacketFacts, names: Sequence[str], case: tuple[float, float] | None) -> Iterator[tuple[str, float, float]]:
    """Yield drawers in rows below the case, as broad as that, each with its left and its upper edge."""
    rooms = [_room(facts, name) for name in names]
    area = sum(wide * high for wide, high in rooms)
    broad = max([case[0] if case else (_BROADER * area) ** 0.5, *(wide + 2 * _EDGE_MM for wide, _ in rooms)])
    x, y, tallest = _EDGE_MM, (case[1] if case else 0.0) + _EDGE_MM, 0.0
    for name, (wide, high) in zip(names, rooms, strict=True):
        if x > _EDGE_MM and x + wide + _EDGE_MM > broad:
            x, y, tallest = _EDGE_MM, y + tallest + _EDGE_MM, 0.0
        yield name, x, y
        x, tallest = x + wide + _EDGE_MM, max(tallest, high)
