"""What the values of a drawer must be to one another: joints to stock and cutters, groove to boards, all to its size.

A value that could not be read is not a number and compares with nothing, so that only what is known is judged. What depends on
the layout of the tails is judged where they are laid out.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Collection, Iterator, Sequence
from itertools import pairwise
from typing import Any

from camtools.faults import Fault
from camtools.job.blanks import Blanks, unread
from camtools.job.form import SEASONS, WOODS, ClimateForm, DrawerForm, JobForm
from camtools.job.job import Cutter, DrawerWish, Stock
from camtools.job.slips import nearest
from camtools.job.woods import UNKNOWN_HARDWOOD, UNKNOWN_SOFTWOOD, find_wood, nearest_wood
from camtools.wording import mm, span

__all__ = [
    "HELD_MM",
    "LEAST_BEHIND_MM",
    "LEAST_BELOW_MM",
    "LEAST_TAIL_MM",
    "OVER_MM",
    "PIN_MM",
    "ROUND_MM",
    "STRAIGHT_MM",
    "TONGUE_MM",
    "Keys",
    "faults_of_drawers",
    "faults_of_groove",
    "faults_of_joints",
]

Keys = Callable[..., str]
"""Tells the path of a key such as ``joints.lap``; other keys that the value hangs on may follow it."""

LEAST_LAP_MM = 2.4  # 3/32 in: docs/sources.md section 3, a magazine chapter on drawer building of 2007
LEAST_TAIL_MM = 5.0  # length that glue still holds; common practice, no source
LEAST_BEHIND_MM = 3.0  # wood behind a groove; common practice, no source
LEAST_BELOW_MM = 4.0  # wood under a groove; common practice, no source
PIN_MM = 3.0  # narrowest pin and half pin: docs/sources.md section 3, a tool seller's article on dovetail layout
OVER_MM = 5.0  # wood of the lowest tail that holds a raised back
TONGUE_MM = 0.4  # between a tongue and the floor of its groove
HELD_MM = 1.5  # least of a tongue that stays in its groove in the driest season; common practice, no source
STRAIGHT_MM = 1.0  # of a tail's flank before its corner begins, so that the joint closes at the show face
ROUND_MM = 0.3  # smallest radius of a tail's corner
_SAME_MM = 1e-9


def faults_of_drawers(
    form: JobForm, cutters: Sequence[Cutter], wishes: Sequence[DrawerWish], styles: Collection[str] = ()
) -> Iterator[Fault]:
    """Judge every drawer; its style by those that are known, where any are.

    Parameters
    ----------
    form, wishes
        What is written and what was made of it, a drawer each in the same order.
    cutters
        All that the job file names.
    styles
        Names of the layout styles; none: any word may stand.
    """
    for season in SEASONS:
        if form.stock.climate is not None and None not in (getattr(form.stock, season), getattr(form.stock.climate, season)):
            yield Fault(f"stock.climate.{season}", f"is given, and stock.{season} too", limit="one of them",
                        remedy="take one out: the moisture of the wood follows from the air")  # fmt: skip
    names: dict[str, int] = {}
    for place, (written, wish) in enumerate(zip(form.drawers, wishes, strict=True), 1):
        at, keys = f"drawers[{place}]", _keys(place, written)
        if not unread(wish.name):
            # Names that differ in case, or in how a letter is composed, look alike on paper.
            first = names.setdefault(unicodedata.normalize("NFKC", wish.name).casefold(), place)
            if first != place:
                remedy = "write count for drawers of one size; name the others apart"
                yield Fault(f"{at}.name", f"is the name of drawers[{first}] too", f'"{wish.name}"', "a name of its own", remedy)
        if written.opening is None and written.outside is None:
            yield Fault(at, "has no size", remedy="add opening = [width, height, depth], or outside with the drawer's own")
        if written.opening is not None and written.outside is not None:
            yield Fault(
                f"{at}.outside", "is given, and opening too", limit="one of them", remedy="take one out: the size follows from the opening"
            )
        style = wish.joint.style
        if styles and not unread(style) and style not in styles:
            yield Fault(keys("joints.style"), "there is no such style of layout", f'"{style}"', " or ".join(styles), nearest(style, styles))
        yield from _woods(keys, Blanks("stock", written.stock, form.stock))
        yield from _seasons(keys, wish.stock, form.stock.climate)
        yield from faults_of_joints(keys, wish, cutters)
        yield from faults_of_groove(keys, wish, cutters)
        yield from _size(at, wish)


def _keys(place: int, drawer: DrawerForm) -> Keys:
    """Return paths by where a value stands: with the drawer, where that has it, or what it hangs on, of its own; or with the job."""

    def own(path: str) -> bool:
        table, _, key = path.partition(".")
        form: Any = getattr(drawer, table)
        return form is not None and getattr(form, key) is not None

    return lambda key, *others: f"drawers[{place}].{key}" if any(map(own, (key, *others))) else key


def _woods(keys: Keys, written: Blanks) -> Iterator[Fault]:
    for key in WOODS:
        name = written.given(key)
        try:
            if isinstance(name, str):
                find_wood(name)
        except KeyError:
            near = nearest_wood(name)
            remedy = f'did you mean "{near}"?' if near else f'write "{UNKNOWN_HARDWOOD}" or "{UNKNOWN_SOFTWOOD}", which move a good deal'
            yield Fault(keys(f"stock.{key}"), "is not in the tables of wood movement", f'"{name}"', remedy=remedy)


def _seasons(keys: Keys, stock: Stock, climate: ClimateForm | None) -> Iterator[Fault]:
    seasons = (("driest", stock.driest_percent), ("now", stock.now_percent), ("dampest", stock.dampest_percent))
    for (low, dry), (high, damp) in pairwise(seasons):
        if dry > damp:
            remedy = "driest, now and dampest grow in this order"
            air = getattr(climate, low, None) is not None and keys(f"stock.{low}").startswith("stock")
            where = f"stock.climate.{low}" if air else keys(f"stock.{low}", f"stock.{high}")
            yield Fault(where, f"is above {high}", f"{dry:g} %", f"at most {damp:g} %", remedy)


def _cutter(cutters: Sequence[Cutter], number: int, kind: str, key: str) -> tuple[Cutter | None, list[Fault]]:
    """Find the cutter of a number, which must be of a kind."""
    of_kind = [str(cutter.number) for cutter in cutters if cutter.kind == kind]
    cutter = next((cutter for cutter in cutters if cutter.number == number), None)
    limit = f"a {kind} cutter: {' or '.join(of_kind)}"
    if cutter is not None and cutter.kind == kind:
        return cutter, []
    # That there is none of this kind is told once, with the cutters; so is a kind or a number that could not be read.
    if not of_kind or unread(number) or any(unread(one.kind) or unread(one.number) for one in cutters):
        return None, []
    problem = "names a cutter that is not in the list" if cutter is None else f"names a {cutter.kind} cutter"
    return None, [Fault(key, problem, str(number), limit)]


def faults_of_joints(keys: Keys, wish: DrawerWish, cutters: Sequence[Cutter]) -> Iterator[Fault]:
    """Judge the joints of a drawer by its boards and by the cutters, however the tails are laid out."""
    stock, joint = wish.stock, wish.joint
    tail = stock.front_mm - joint.lap_mm
    lap = keys("joints.lap", "stock.front")
    usual = "a quarter of the front is usual" + ("" if unread(stock.front_mm) else f": {mm(max(3.0, stock.front_mm / 4))}")
    if tail <= 0:
        yield Fault(lap, "leaves nothing of the front for the tails", mm(joint.lap_mm), f"less than the front, {mm(stock.front_mm)}", usual)
    elif tail < LEAST_TAIL_MM:
        yield Fault(lap, "leaves tails too short to hold", f"tails {mm(tail)} long", f"at least {mm(LEAST_TAIL_MM)}", usual)
    if joint.lap_mm < LEAST_LAP_MM:
        yield Fault(lap, "is too thin: the tails would break through", mm(joint.lap_mm), f"at least {mm(LEAST_LAP_MM)}", usual)
    if joint.light_pass_mm > stock.side_mm / 2:
        limit = f"at most half of the side, {mm(stock.side_mm / 2)}"
        yield Fault(keys("joints.light_pass", "stock.side"), "is no light pass", mm(joint.light_pass_mm), limit, f"{span(0.3, 1)} is usual")

    dovetail, faults = _cutter(cutters, joint.dovetail, "dovetail", keys("joints.dovetail"))
    yield from faults
    straight, faults = _cutter(cutters, joint.straight, "straight", keys("joints.straight"))
    yield from faults
    sockets, tails, pins = wish.depths_mm
    needs: list[tuple[Cutter | None, str, float, str, str]] = [
        (dovetail, keys("joints.dovetail", "stock.front"), sockets, "half-blind sockets", "take a longer one, or a thicker lap"),
        (dovetail, keys("joints.dovetail", "stock.back"), tails, "through tails", "take a longer one, or a thinner back"),
        (straight, keys("joints.straight", "stock.side"), pins, "through pins", "take a longer one, or thinner sides"),
    ]
    if joint.rough:
        waste = max(sockets, tails) - joint.rough_stock_mm
        needs.append(
            (straight, keys("joints.rough", "joints.straight", "stock.front"), waste, "waste", "take a longer one, or write rough = false")
        )
    for cutter, key, depth, what, remedy in needs:
        yield from _too_short(cutter, key, depth, what, remedy)


def _too_short(cutter: Cutter | None, key: str, depth_mm: float, what: str, remedy: str) -> Iterator[Fault]:
    if cutter is not None and cutter.cutting_length_mm < depth_mm - _SAME_MM:
        found = f"cutting length {mm(cutter.cutting_length_mm)}"
        yield Fault(key, f"cutter {cutter.number} is too short for the {what}", found, f"at least {mm(depth_mm)}", remedy)


def faults_of_groove(keys: Keys, wish: DrawerWish, cutters: Sequence[Cutter]) -> Iterator[Fault]:
    """Judge the groove of a drawer by its boards and by the cutters."""
    stock, groove = wish.stock, wish.groove
    cutter, faults = _cutter(cutters, groove.cutter, "straight", keys("groove.cutter"))
    yield from faults
    width = stock.bottom_mm + groove.play_mm
    if cutter is not None and cutter.diameter_mm > width + _SAME_MM:
        key = keys("groove.cutter", "stock.bottom", "groove.play")
        limit = f"at most {mm(width)}, the bottom and its play"
        yield Fault(key, f"cutter {cutter.number} is wider than the groove", mm(cutter.diameter_mm), limit, "add a thinner straight cutter")
    yield from _too_short(
        cutter, keys("groove.cutter", "groove.depth"), groove.depth_mm, "groove", "take a longer one, or a shallower groove"
    )
    boards = {"side": stock.side_mm, "front": stock.front_mm}
    if wish.fit.back == "full":
        boards["back"] = stock.back_mm
    name, thin = min(boards.items(), key=lambda board: board[1])
    if thin - groove.depth_mm < LEAST_BEHIND_MM - _SAME_MM:
        yield Fault(
            keys("groove.depth", f"stock.{name}"),
            f"leaves too little wood behind the groove in the {name}",
            f"{mm(groove.depth_mm)} of {mm(thin)}",
            f"at most {mm(max(0.0, thin - LEAST_BEHIND_MM))}",
            f"a third of the board is careful: {mm(thin / 3)}",
        )
    if groove.edge_mm < LEAST_BELOW_MM:
        limit = f"at least {mm(LEAST_BELOW_MM)}"
        yield Fault(keys("groove.edge"), "leaves too little wood under the groove", mm(groove.edge_mm), limit, "10 mm is usual")


def _size(at: str, wish: DrawerWish) -> Iterator[Fault]:
    """Judge what the boards, the groove and the clearances leave of a size."""
    stock = wish.stock
    if wish.outside_mm is not None:
        key, (width, height, depth) = "outside", wish.outside_mm
    elif wish.opening_mm is not None:
        key, (width, height, depth) = "opening", wish.fit.drawer_mm(wish.opening_mm)
    else:
        return
    for axis, name, size, boards, what in (
        (1, "width", width, 2 * stock.side_mm, "both sides"),
        (2, "height", height, wish.groove_top_mm, "the groove for the bottom"),
        (3, "depth", depth, stock.front_mm + stock.back_mm, "front and back"),
    ):
        if size <= boards:
            remedy = "sizes stand in this order: width, height, depth"
            yield Fault(
                f"{at}.{key}[{axis}] ({name})", f"leaves nothing beside {what}", f"{mm(size)} outside", f"more than {mm(boards)}", remedy
            )
