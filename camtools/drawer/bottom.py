"""The bottom: a panel that reaches into every inside corner, with a tongue for each groove. docs/joinery.md section 8."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from camtools.drawer.boards import Notch, Note, corners_told
from camtools.drawer.grooves import Grooves
from camtools.drawer.seasons import moved_mm, thickened_mm
from camtools.drawer.sizing import Sizes
from camtools.faults import CannotCut, Fault, puts
from camtools.job.drawer_limits import HELD_MM, TONGUE_MM
from camtools.job.job import DrawerWish
from camtools.wording import mm, up

__all__ = ["Bottom", "bottom_of"]

CORNER_MM = 0.1  # between the panel and an inside corner, so that it does not bind before its tongue is home
END_MM = 0.3  # between the end of a tongue and the middle of a groove's round end
REAR_MM = 1.0  # by which a bottom that slides in under the back stops short of the back's outside face


@dataclass(frozen=True, slots=True)
class Bottom:
    """The bottom's size and outline, and its place in the drawer."""

    size_mm: tuple[float, float, float]
    outline: tuple[tuple[float, float], ...]  # (u, v), counter-clockwise from the front left
    corner_mm: tuple[float, float, float]  # of u = v = w = 0 in the drawer
    room_mm: float  # how long it may become from front to rear: between the grooves' floors, or to the outside face of a raised back
    notches: tuple[Notch, ...]
    notes: tuple[Note, ...]


def bottom_of(wish: DrawerWish, sizes: Sizes, grooves: Grooves, where: str) -> Bottom:
    """Shape the bottom.

    Its grain, where it is of solid wood, runs from side to side, so that it moves to the front and to the rear. A full-height
    back shares that movement with the front; under a raised back it all goes to the rear.

    Parameters
    ----------
    grooves
        That hold it, all in boards of ``sizes``.
    where
        What faults name the drawer by.

    Raises
    ------
    CannotCut
        Where a tongue would leave its groove in the driest season, or there is none.
    """
    stock, groove = wish.stock, wish.groove
    wide, deep, _ = sizes.outside_mm
    raised = grooves.back is None
    room = (sizes.left_mm[2], wide - sizes.right_mm[2]), (sizes.front_mm[2], deep - sizes.back_mm[2])  # inside the drawer
    try:
        grow, shrink = _movement(wish, room[1][1] - room[1][0] + 2 * groove.depth_mm)
    except ValueError as error:
        ways = (*puts("stock.dampest", None), *puts("stock.driest", None), *puts("stock.climate", None))
        raise CannotCut(Fault(f"{where}, bottom", "wood movement is not known at this moisture", str(error), ways=ways)) from error
    share = 0.0 if raised else 0.5  # of the movement that the front's groove takes up
    side = groove.depth_mm - TONGUE_MM
    front = side - share * grow
    held = front - share * shrink
    if min(held, side) < HELD_MM:
        deeper = up(HELD_MM + TONGUE_MM + share * (grow + shrink), 0.1)
        moves = f", of which it moves {mm(share * (grow + shrink))} at each end" if share and grow + shrink > 0.05 else ""
        raise CannotCut(
            Fault(f"{where}, bottom", "too little of the bottom stays in its groove", mm(held), f"at least {mm(HELD_MM)}{moves}",
                  ways=(*puts("groove.depth", deeper, up(deeper, 0.5), deeper + 0.1), *puts("stock.bottom_kind", "plywood"),
                        *puts("fit.back", "raised"), *puts("stock.bottom_wood", None)))
        )  # fmt: skip

    # Tongues end where the round ends begin; a panel that swells needs that much more at both ends of its side tongues.
    trim = grooves.stop_mm + grooves.left.cutter.diameter_mm / 2 + END_MM
    corner = CORNER_MM + share * grow
    in_x, in_y = CORNER_MM if grooves.hidden else trim, corner if grooves.hidden else trim + share * grow
    x0, x1 = room[0][0] - side, room[0][1] + side
    y0 = room[1][0] - front
    left = room[0][0] + CORNER_MM
    near = room[1][0] + corner
    # The front edge: from the end of the left tongue round the front's tongue to the end of the right one.
    lower = [
        (x0, room[1][0] + in_y),
        (left, room[1][0] + in_y),
        (left, near),
        (room[0][0] + in_x, near),
        (room[0][0] + in_x, y0),
    ]
    notches = [_notch("front", room[1][0] + in_y - y0, left - x0, room[0][0] + in_x - x0, near - y0)]
    front_edge = [*lower, *((x0 + x1 - x, y) for x, y in reversed(lower))]
    if raised:
        y1 = deep - REAR_MM - grow
        points = [*front_edge, (x1, y1), (x0, y1)]
    else:
        y1 = room[1][1] + front
        far = room[1][1] - corner
        end, start = room[1][1] - trim - share * grow, room[0][0] + trim
        notches.append(_notch("rear", y1 - end, left - x0, start - x0, y1 - far))
        upper = [(x0, end), (left, end), (left, far), (start, far), (start, y1)]
        points = [*front_edge, *((x0 + x1 - x, y) for x, y in upper), *reversed(upper)]
    outline = _tidy([(x - x0, y - y0) for x, y in points])
    return Bottom(
        size_mm=(round(x1 - x0, 6), round(y1 - y0, 6), stock.bottom_mm),
        outline=outline,
        corner_mm=(round(x0, 6), round(y0, 6), round(groove.edge_mm + groove.play_mm / 2, 6)),
        room_mm=deep - y0 if raised else room[1][1] - room[1][0] + 2 * groove.depth_mm,
        notches=tuple(notches),
        notes=(_note(wish, raised, side, front), _corners(notches), *_jammed(wish)),
    )


def _notch(end: Literal["front", "rear"], *sizes_mm: float) -> Notch:
    return Notch(end, *(round(size, 6) for size in sizes_mm))


def _corners(notches: Sequence[Notch]) -> Note:
    """Tell how the corners are cut back, and what would make it simpler."""
    simpler = (
        '. With groove.ends = "hidden" the notches at the front would be square: the grooves of sides and front meet there'
        if notches[0].stepped
        else ""
    )
    return Note("choice", "bottom", f"its corners are cut back to clear the ends of the grooves: {corners_told(notches)}{simpler}")


def _jammed(wish: DrawerWish) -> list[Note]:
    """Warn of a solid bottom that grows thicker than its grooves are wide."""
    stock, play = wish.stock, wish.groove.play_mm
    grown = thickened_mm(stock, stock.dampest_percent) if stock.bottom_kind == "solid" else 0.0
    if grown <= play:
        return []
    text = f"at {stock.dampest_percent:g} % moisture it is {mm(grown)} thicker, and its grooves are only {mm(play)} wider than it is now"
    return [Note("warning", "bottom", f"{text}: it jams, and may split their walls. A groove.play of {mm(up(grown, 0.05))} would do")]


def _movement(wish: DrawerWish, depth_mm: float) -> tuple[float, float]:
    """Return how much the bottom grows and shrinks from front to rear, from now to the dampest and the driest season."""
    grow, change = (moved_mm(depth_mm, wish.stock, "bottom", then) for then in (wish.stock.dampest_percent, wish.stock.driest_percent))
    return max(0.0, grow), max(0.0, -change)


def _tidy(points: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Round, and leave out points that coincide with their neighbour or lie on a straight line."""
    rounded = [(round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y in points]
    kept = [point for i, point in enumerate(rounded) if point != rounded[i - 1]]
    corners = []
    for i, (x, y) in enumerate(kept):
        (ax, ay), (bx, by) = kept[i - 1], kept[(i + 1) % len(kept)]
        if abs((x - ax) * (by - ay) - (y - ay) * (bx - ax)) > 1e-9:
            corners.append((x, y))
    return tuple(corners)


def _note(wish: DrawerWish, raised: bool, side: float, front: float) -> Note:
    stock = wish.stock
    kind = "plywood" if stock.bottom_kind == "plywood" else f"solid wood ({stock.bottom_wood}), grain from side to side"
    if raised:
        text = f"slid in under the back, fixed at the front only, its rear edge free; {mm(side)} in the grooves of sides and front"
    else:
        text = f"caught on four sides, not glued; {mm(side)} in the side grooves, {mm(front)} in those of front and back"
    return Note("choice", "bottom", f"{kind}: {text}")
