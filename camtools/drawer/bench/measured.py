"""Boards as they were measured, in place of those that were planned: what each comes to, and how they stand together.

docs/joinery.md section 14 tells which board gives way to which.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from camtools.drawer.boards import Note
from camtools.drawer.bounds import cutter_faults
from camtools.drawer.sizing import Sizes, Triple
from camtools.faults import CannotCut, Fault
from camtools.job.drawer_limits import PIN_MM, faults_of_groove
from camtools.job.job import DrawerWish, Job, MeasuredDrawer, Part
from camtools.wording import listed, mm

__all__ = ["FAR_MM", "SHARED_MM", "as_measured", "boards_of", "half_pin_faults", "shared_sizes"]

SHARED_MM = 0.05  # boards whose sizes differ by no more are cut as the largest of them; common practice, no source: planing leaves as much
FAR_MM = 1.0  # a board that is further off its planned size is no board for its place
FLUSH_MM = 0.1  # by which the back's ends stand out at least, where nothing less is chosen, so that they can be planed flush
LEAST_SIDE_MM = 0.2  # clearance at each side of a drawer that comes out wider than planned; common practice, no source
_NAMES = ("length", "width", "thickness")
_MENDED = ("saw it to length", "plane its upper edge", "plane its inside face")
_SAME_MM = 1e-6

Key = tuple[int, Part]
"""A board of the job: its drawer, from 0, and its part."""


def boards_of(wish: DrawerWish, sizes: Sizes) -> dict[Part, Triple]:
    """Return the boards of a drawer as they are planned, by part. The size of a bottom follows from them."""
    bottom = (0.0, 0.0, wish.stock.bottom_mm)
    return {"front": sizes.front_mm, "back": sizes.back_mm, "left": sizes.left_mm, "right": sizes.right_mm, "bottom": bottom}


def shared_sizes(planned: Sequence[tuple[DrawerWish, Sizes]]) -> dict[Key, Triple]:
    """Return what every board is cut as: its size as measured, or as planned where it was not, with those that it shares programs with.

    Length, width and thickness are gathered each by itself, over all boards of a kind: from the largest down, those within `SHARED_MM`
    of it are cut as it. A board is never larger than what it is cut as, so no joint is tighter than chosen.
    """
    found = {
        (place, part): [size if cell is None else cell for size, cell in zip(own, wish.measured.boards[part], strict=True)]
        for place, (wish, sizes) in enumerate(planned)
        if wish.measured is not None
        for part, own in boards_of(wish, sizes).items()
    }
    for parts in (("front",), ("back",), ("left", "right"), ("bottom",)):
        for axis in range(3):
            largest = -1.0
            for size in sorted((size for key, size in found.items() if key[1] in parts), key=lambda size: -size[axis]):
                if largest - size[axis] > SHARED_MM + _SAME_MM or largest < 0:
                    largest = size[axis]
                size[axis] = largest
    return {key: (length, width, thick) for key, (length, width, thick) in found.items()}


def as_measured(job: Job, wish: DrawerWish, planned: Sizes, boards: dict[Part, Triple], where: str) -> tuple[DrawerWish, Sizes]:
    """Return a drawer made of the boards that there are.

    Parameters
    ----------
    planned
        Sizes as they follow from the job file.
    boards
        What its boards are cut as, by part.
    where
        What faults name the drawer by.

    Returns
    -------
    tuple
        The wish with these thicknesses, and the sizes.

    Raises
    ------
    CannotCut
        Where a board can not be used, with what must be planed, sawn or cut anew.
    """
    faults = list(_far(wish, planned, where))
    if faults:
        raise CannotCut(*faults)
    front, back, left, right = (boards[part] for part in ("front", "back", "left", "right"))
    joint, fit = wish.joint, wish.fit
    flush = min(joint.proud_mm, FLUSH_MM)
    # The drawer is as wide as the front is long, if the back is long enough for that and the drawer still goes in.
    wide = min(front[0], back[0] - 2 * flush, planned.outside_mm[0] + 2 * max(0.0, fit.side_mm - LEAST_SIDE_MM))
    tail = wish.stock.front_mm - joint.lap_mm  # is kept, so the lap takes up the front's thickness
    inside = min(left[0], right[0]) - tail - back[2] - joint.proud_mm  # the shorter side stands out as planned
    raised = planned.raise_mm and wish.groove.edge_mm + boards["bottom"][2] + wish.groove.play_mm
    high = max(front[1], left[1], right[1], back[1] + raised)
    sizes = replace(
        planned,
        outside_mm=(round(wide, 6), round(front[2] + inside + back[2], 6), round(high, 6)),
        front_mm=front,
        back_mm=back,
        left_mm=left,
        right_mm=right,
        raise_mm=round(raised, 6),
        lap_mm=round(front[2] - tail, 6),
        front_proud_mm=round((front[0] - wide) / 2, 6),
        pins_proud_mm=round((back[0] - wide) / 2, 6),
        tails_proud_mm=(round(left[0] - tail - inside - back[2], 6), round(right[0] - tail - inside - back[2], 6)),
    )
    stock = replace(wish.stock, front_mm=front[2], side_mm=min(left[2], right[2]), back_mm=back[2], bottom_mm=boards["bottom"][2])
    own = replace(wish, stock=stock, joint=replace(joint, lap_mm=sizes.lap_mm))
    faults = [*_unfit(job, own, sizes, where), *_too_deep(wish, sizes, where)]
    if faults:
        raise CannotCut(*faults)
    return own, replace(sizes, notes=(*sizes.notes, *(_not_measured(wish.measured) if wish.measured else ()), *_notes(planned, sizes)))


def _far(wish: DrawerWish, planned: Sizes, where: str) -> Iterator[Fault]:
    """Yield the boards that are too far off their planned size to be used."""
    assert wish.measured is not None
    for part, sizes in boards_of(wish, planned).items():
        for name, mended, size, cell in zip(_NAMES, _MENDED, sizes, wish.measured.boards[part], strict=True):
            if cell is None or abs(cell - size) <= FAR_MM + _SAME_MM:
                continue
            too, remedy = ("more", mended) if cell > size else ("less", "cut this board anew")
            problem = f"its {name} is {too} than a board of its place may have"
            limit = f"{mm(size - FAR_MM)} to {mm(size + FAR_MM)}, planned is {mm(size)}"
            yield Fault(
                f"{where}, board {wish.measured.mark(part)}", problem, mm(cell), limit, f"{remedy}, or correct the sheet", cannot=True
            )


def _unfit(job: Job, wish: DrawerWish, sizes: Sizes, where: str) -> list[Fault]:
    """Name what the cutters can not do in these boards, or what would be left too thin."""
    found: dict[tuple[str, str], Fault] = {}
    for part, proud in zip(("left", "right"), sizes.tails_proud_mm, strict=True):
        thick = (sizes.left_mm if part == "left" else sizes.right_mm)[2]
        own = replace(wish, stock=replace(wish.stock, side_mm=thick), joint=replace(wish.joint, proud_mm=max(proud, sizes.pins_proud_mm)))
        for fault in (*cutter_faults(job, own, where), *faults_of_groove(lambda key, *_: f"{where}, {key}", own, job.cutters)):
            remedy = "the boards are as they were measured: cut the one that is named anew, or change the job file"
            found.setdefault(fault.kind, replace(fault, remedy=remedy, ways=()))
    return list(found.values())


def _too_deep(wish: DrawerWish, sizes: Sizes, where: str) -> Iterator[Fault]:
    if wish.opening_mm is None:
        return
    room = wish.opening_mm[2] - (wish.fit.reveal_mm if wish.fit.front == "inset" else 0.0)
    if sizes.outside_mm[1] > room:
        over = mm(sizes.outside_mm[1] - room)
        yield Fault(where, "with these boards the drawer is deeper than its opening", mm(sizes.outside_mm[1]), f"at most {mm(room)}",
                    f"saw both sides {over} shorter, or plane the front", cannot=True)  # fmt: skip


def half_pin_faults(wish: DrawerWish, sizes: Sizes, highest_mm: float, where: str) -> Iterator[Fault]:
    """Yield the boards of a measured drawer that leave too little beside the uppermost tail, whose upper corner lies at ``highest_mm``."""
    assert wish.measured is not None
    tops: dict[Part, float] = {
        "front": sizes.front_mm[1],
        "back": sizes.back_mm[1] + sizes.raise_mm,
        "left": sizes.left_mm[1],
        "right": sizes.right_mm[1],
    }
    for part, top in tops.items():
        left = top - highest_mm
        if left < PIN_MM - _SAME_MM:
            yield Fault(f"{where}, board {wish.measured.mark(part)}", "its width leaves too thin a half pin at the upper edge", mm(left),
                        f"at least {mm(PIN_MM)}", "cut this board anew", cannot=True)  # fmt: skip


def _not_measured(measured: MeasuredDrawer) -> Iterator[Note]:
    """Warn of boards of which the sheet says nothing."""
    blank = [measured.mark(part) for part, cells in measured.boards.items() if all(cell is None for cell in cells)]
    if blank:
        yield Note("warning", "boards", f"not measured, and taken as planned: {listed(blank, 'and')}")


def _notes(planned: Sizes, sizes: Sizes) -> Iterator[Note]:
    """Yield what the boards as they are change of the drawer: what shows, and what must be planed."""
    told = zip(("wide", "deep", "high"), sizes.outside_mm, planned.outside_mm, strict=True)
    changed = [f"{mm(now)} {name}, planned {mm(then)}" for name, now, then in told if abs(now - then) > SHARED_MM]
    if changed:
        yield Note("choice", "boards", f"with the boards as measured the drawer is {listed(changed, 'and')}")
    if abs(sizes.lap_mm - planned.lap_mm) > _SAME_MM:
        yield Note("choice", "boards", f"the lap takes up the front's thickness: {mm(sizes.lap_mm)}, planned {mm(planned.lap_mm)}")
    tops = {
        "front": sizes.front_mm[1],
        "left side": sizes.left_mm[1],
        "right side": sizes.right_mm[1],
        "back": sizes.back_mm[1] + sizes.raise_mm,
    }
    high = planned.outside_mm[2]
    for name, top in tops.items():
        if top - high > SHARED_MM:
            yield Note("warning", "boards", f"the upper edge of the {name} must be planed by {mm(top - high)}, to the planned height")
    low = min(max(tops.values()), high)
    lower = [f"that of the {name} {mm(low - top)}" for name, top in tops.items() if low - top > SHARED_MM]
    if lower:
        yield Note("choice", "boards", f"upper edges that show lower than the highest: {listed(lower, 'and')}")
    if sizes.front_proud_mm > SHARED_MM:
        yield Note("warning", "boards", f"both ends of the front stand {mm(sizes.front_proud_mm)} out beyond the sides: plane them flush")
    for name, now, then in (
        ("pins of the back", sizes.pins_proud_mm, planned.pins_proud_mm),
        ("tails of the left side", sizes.tails_proud_mm[0], planned.tails_proud_mm[0]),
        ("tails of the right side", sizes.tails_proud_mm[1], planned.tails_proud_mm[1]),
    ):
        if abs(now - then) > SHARED_MM:
            yield Note("choice", "boards", f"the {name} stand {mm(now)} proud, planned {mm(then)}: plane them flush")
