"""How high a drawer's boards stand in the driest and in the dampest season, and how wide its bottom is. docs/joinery.md section 9."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from camtools.drawer.boards import Note, Role, Season
from camtools.drawer.movement import across_mm, plywood_mm
from camtools.job.job import DrawerWish, Stock
from camtools.job.woods import find_wood
from camtools.wording import mm

__all__ = ["above_mm", "moved_mm", "seasons_of", "thickened_mm", "unlike_notes"]

FELT_MM = 0.25  # step between two edges that a finger feels; common practice, no source
UPRIGHT: tuple[Role, ...] = ("left side", "front", "back")  # one of each wood that a drawer may be of


def moved_mm(size_mm: float, stock: Stock, role: str, percent: float) -> float:
    """Return how much a board's size across its grain changes from the day it is worked to a moisture content.

    Parameters
    ----------
    role
        Of the board: "front", "left side", "back", "bottom". A bottom of plywood changes by so much at most.

    Raises
    ------
    ValueError
        Where a moisture content is outside 0 % to fibre saturation.
    """
    wood = stock.wood_of(role)
    if wood == "plywood":
        return plywood_mm(size_mm, stock.now_percent, percent)
    return across_mm(size_mm, find_wood(wood), stock.sawn, stock.now_percent, percent)


def thickened_mm(stock: Stock, percent: float) -> float:
    """Return how much a solid bottom's thickness changes to a moisture content: across the rings where its width moves along them.

    Raises
    ------
    ValueError
        As ``moved_mm``.
    """
    other: Literal["flat", "quarter"] = "quarter" if stock.sawn == "flat" else "flat"
    return across_mm(stock.bottom_mm, find_wood(stock.bottom_wood), other, stock.now_percent, percent)


def seasons_of(
    wish: DrawerWish, heights_mm: dict[Role, float], bottom_mm: tuple[float, float], room_mm: float | None
) -> tuple[Season, ...]:
    """Return what the boards come to in the driest season, now, and in the dampest one, in this order.

    Parameters
    ----------
    heights_mm
        Of front, left side and back, as they are worked.
    bottom_mm
        Of the bottom, from front to rear, and how long it may become there.
    room_mm
        Height of the opening; None where it is not given.
    """
    stock, found = wish.stock, []
    for percent in (stock.driest_percent, stock.now_percent, stock.dampest_percent):
        then = {role: heights_mm[role] + moved_mm(heights_mm[role], stock, role, percent) for role in UPRIGHT}
        deep_mm = bottom_mm[0] + moved_mm(bottom_mm[0], stock, "bottom", percent)
        found.append(
            Season(
                moisture_percent=percent,
                front_mm=then["front"],
                side_mm=then["left side"],
                back_mm=then["back"],
                above_mm=None if room_mm is None else above_mm(stock, heights_mm, room_mm, percent),
                bottom_mm=deep_mm,
                bottom_room_mm=bottom_mm[1] - deep_mm,
                bottom_play_mm=wish.groove.play_mm - thickened_mm(stock, percent) if stock.bottom_kind == "solid" else None,
            )
        )
    return tuple(found)


def above_mm(stock: Stock, heights_mm: Mapping[Role, float], room_mm: float, percent: float) -> float:
    """Return the room above a drawer's highest board at a moisture content; below 0 it binds.

    Parameters
    ----------
    heights_mm
        Of front, left side and back, as they are worked.
    room_mm
        Height of the opening.

    Raises
    ------
    ValueError
        As ``moved_mm``.
    """
    # A raised back stands higher.
    return room_mm - max(heights_mm["left side"] + moved_mm(heights_mm[role], stock, role, percent) for role in UPRIGHT)


def unlike_notes(stock: Stock, front_mm: float, back_mm: float) -> list[Note]:
    """Warn of a front or a back across sides that move otherwise: its grain crosses theirs, and both move upwards.

    Parameters
    ----------
    front_mm, back_mm
        Heights along which they are joined to the sides.
    """
    notes = []
    for role, height_mm in (("front", front_mm), ("back", back_mm)):
        then = []
        for percent in (stock.driest_percent, stock.dampest_percent):
            own, sides = (height_mm + moved_mm(height_mm, stock, one, percent) for one in (role, "left side"))
            then.append((percent, own, sides))
        if max(abs(own - sides) for _, own, sides in then) > FELT_MM:
            told = " and ".join(f"{mm(own)} and {mm(sides)} at {percent:g} %" for percent, own, sides in then)
            notes.append(
                Note("warning", "size",
                     f"the {role} ({stock.wood_of(role)}) moves otherwise than the sides ({stock.side_wood}): of {mm(height_mm)} each they "
                     f"come to {told} moisture. Their edges part by that, and the glue of the joint bears it: take woods that move more "
                     f"alike" + ("" if stock.sawn == "quarter" else ", or quarter-sawn boards"))
            )  # fmt: skip
    return notes
