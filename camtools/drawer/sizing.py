"""From opening to drawer to the sizes of its boards. docs/joinery.md sections 2 and 9."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from camtools.drawer.boards import Note
from camtools.drawer.movement import across_mm
from camtools.drawer.seasons import UPRIGHT, moved_mm, unlike_notes
from camtools.faults import CannotCut, Change, Fault, puts
from camtools.job.drawer_limits import sizes_to_try
from camtools.job.job import DrawerWish, Stock
from camtools.job.woods import find_wood
from camtools.wording import down, mm, sizes

__all__ = ["Sizes", "Triple", "sizes_of", "swelling_mm"]

Triple = tuple[float, float, float]

RUNNING_MM = 1.0  # left above a drawer in the dampest season; common practice, no source
STEP_MM = 0.1  # a height that wood movement decides is rounded down to this
LEAST_INSIDE_MM = 30.0  # width and depth inside a drawer, below which boards can not be held for this work


@dataclass(frozen=True, slots=True)
class Sizes:
    """A drawer and its four sides: length, width, thickness of each board, and how they stand to one another."""

    outside_mm: Triple  # width, depth without proud ends, height
    opening_mm: Triple | None  # width, height, depth
    front_mm: Triple
    back_mm: Triple
    left_mm: Triple
    right_mm: Triple
    raise_mm: float  # of the back's lower edge over the sides'
    lap_mm: float  # wood of the front before the tails
    front_proud_mm: float  # how far both ends of the front stand out beyond the sides
    pins_proud_mm: float  # and both ends of the back
    tails_proud_mm: tuple[float, float]  # and the rear ends of left and right side beyond the back
    show_front_mm: Triple | None  # of the board laid over the front, which covers the opening's edges
    notes: tuple[Note, ...]


def swelling_mm(height_mm: float, stock: Stock) -> tuple[float, float]:
    """How much a drawer grows to the dampest season and shrinks to the driest one, from now, by its highest board then; neither below 0."""
    grow, change = (
        max(moved_mm(height_mm, stock, role, then) for role in UPRIGHT) for then in (stock.dampest_percent, stock.driest_percent)
    )
    return max(0.0, grow), max(0.0, -change)


def sizes_of(wish: DrawerWish, where: str) -> Sizes:
    """Size a drawer and its boards.

    Raises
    ------
    CannotCut
        Where clearances leave nothing, or the boards are too small for their own thickness.
    """
    notes: list[Note] = []
    width, depth, height = _given(wish, where, notes) if wish.outside_mm else _from_opening(wish, where, notes)
    stock, joint = wish.stock, wish.joint
    raised = wish.groove_top_mm if wish.fit.back == "raised" else 0.0
    faults = [
        Fault(where, f"the drawer is too {small} for its own boards", f"{mm(inside)} inside", f"at least {mm(LEAST_INSIDE_MM)}",
              ways=sizes_to_try(wish, axis, LEAST_INSIDE_MM - inside))
        for small, axis, inside in (
            ("narrow", 1, width - 2 * stock.side_mm),
            ("shallow", 3, depth - stock.front_mm - stock.back_mm),
        )
        if inside < LEAST_INSIDE_MM
    ]  # fmt: skip
    if faults:
        raise CannotCut(*faults)
    notes.extend(unlike_notes(stock, height, height - raised))
    side = (round(depth - joint.lap_mm + joint.proud_mm, 6), height, stock.side_mm)
    return Sizes(
        outside_mm=(width, depth, height),
        opening_mm=wish.opening_mm,
        front_mm=(width, height, stock.front_mm),
        back_mm=(round(width + 2 * joint.proud_mm, 6), round(height - raised, 6), stock.back_mm),
        left_mm=side,
        right_mm=side,
        raise_mm=round(raised, 6),
        lap_mm=joint.lap_mm,
        front_proud_mm=0.0,
        pins_proud_mm=joint.proud_mm,
        tails_proud_mm=(joint.proud_mm, joint.proud_mm),
        show_front_mm=_show_front(wish, width, height, notes) if wish.fit.front == "overlay" else None,
        notes=tuple(notes),
    )


def _given(wish: DrawerWish, where: str, notes: list[Note]) -> Triple:
    assert wish.outside_mm is not None
    width, height, depth = wish.outside_mm
    growth, _ = _swelling(wish, height, where)
    notes.append(
        Note("choice", "size", f"outside size as given; in the dampest season it grows {mm(growth)} higher, which the opening must allow")
    )
    return width, depth, height


def _from_opening(wish: DrawerWish, where: str, notes: list[Note]) -> Triple:
    assert wish.opening_mm is not None
    fit, stock = wish.fit, wish.stock
    wide, high, deep = wish.opening_mm
    width, height, depth = fit.drawer_mm(wish.opening_mm)
    if fit.above_mm is None:
        rate, shrinking = _swelling(wish, 1.0, where)
        height = down((high - RUNNING_MM) / (1 + rate), STEP_MM)
        notes.append(
            Note("choice", "size",
                 f"{mm(high - height)} above: {_liveliest(stock)} by {mm(rate * height)} from "
                 f"{stock.now_percent:g} to {stock.dampest_percent:g} % moisture, and {mm(RUNNING_MM)} stays free then; in the driest "
                 f"season, at {stock.driest_percent:g} %, {mm(high - height * (1 - shrinking))}")
        )  # fmt: skip
    else:
        growth, _ = _swelling(wish, max(height, 0.0), where)
        if growth > fit.above_mm:
            notes.append(
                Note("warning", "size", f"it grows {mm(growth)} higher in the dampest season and only {mm(fit.above_mm)} is left "
                     f"above: the drawer will bind; leave at least {mm(growth + RUNNING_MM)}")
            )  # fmt: skip
    faults = [
        Fault(
            where,
            f"the clearances leave no {what}",
            mm(value),
            f"more than {mm(0)} of the opening's {mm(opening)}",
            ways=(*((Change(f"fit.{key}"),) for key in keys), *sizes_to_try(wish, axis, LEAST_INSIDE_MM - value)),
        )
        for axis, what, value, opening, keys in (
            (1, "width", width, wide, ("side", "finish")),
            (2, "height", height, high, ("above",)),
            (3, "depth", depth, deep, ("behind", "reveal")),
        )
        if value <= 0
    ]
    if faults:
        raise CannotCut(*faults)
    notes.extend(_side_notes(wish))
    return round(width, 6), round(depth, 6), round(height, 6)


def _swelling(wish: DrawerWish, height_mm: float, where: str) -> tuple[float, float]:
    try:
        return swelling_mm(height_mm, wish.stock)
    except ValueError as error:
        ways = (*puts("stock.dampest", None), *puts("stock.driest", None), *puts("stock.now", None), *puts("stock.climate", None))
        raise CannotCut(Fault(where, "wood movement is not known at this moisture", str(error), ways=ways)) from error


def _liveliest(stock: Stock) -> str:
    """Return which boards grow most until the dampest season, in words."""
    growth = {role: moved_mm(1.0, stock, role, stock.dampest_percent) for role in UPRIGHT}
    most = max(growth, key=lambda role: growth[role])
    which = {"front": "front grows", "left side": "sides grow", "back": "back grows"}[most]
    return f"{'the ' if len(set(growth.values())) > 1 else ''}{stock.sawn}-sawn {which.replace(' ', f' ({stock.wood_of(most)}) ')}"


def _side_notes(wish: DrawerWish) -> list[Note]:
    fit, stock = wish.fit, wish.stock
    notes = []
    if fit.finish_mm:
        late = ", before which it does not go in" if fit.finish_mm > fit.side_mm else ""
        notes.append(Note("choice", "size", f"{mm(fit.finish_mm)} stays on each side, to be planed off when it is fitted{late}"))
    # Through its thickness a flat-sawn board moves as a quarter-sawn one does across its width.
    through: Literal["flat", "quarter"] = "quarter" if stock.sawn == "flat" else "flat"
    swell = across_mm(stock.side_mm, find_wood(stock.side_wood), through, stock.now_percent, stock.dampest_percent)
    if swell > fit.side_mm:
        notes.append(
            Note("warning", "size", f"each side grows {mm(swell)} thicker in the dampest season; only {mm(fit.side_mm)} is left beside it")
        )
    return notes


def _show_front(wish: DrawerWish, width: float, height: float, notes: list[Note]) -> Triple:
    """Size the board laid over the drawer's own front: over the opening, and over the case's edges beside it."""
    fit = wish.fit
    if wish.opening_mm is not None:
        wide, high = wish.opening_mm[:2]
    else:
        wide = width + 2 * fit.side_mm - 2 * fit.finish_mm
        high = height + (swelling_mm(height, wish.stock)[0] + RUNNING_MM if fit.above_mm is None else fit.above_mm)
    size = (round(wide + 2 * fit.overlay_side_mm, 6), round(high + fit.overlay_above_mm + fit.overlay_below_mm, 6), wish.stock.front_mm)
    notes.append(
        Note("choice", "front",
             f"the drawer has its own front with the joints; a show front of {sizes(*size)} is screwed "
             f"to it from inside, {mm(fit.overlay_side_mm)} over the case at each side, {mm(fit.overlay_above_mm)} above, "
             f"{mm(fit.overlay_below_mm)} below")
    )  # fmt: skip
    return size
