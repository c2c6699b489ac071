"""What the values of a drawer must be to one another: joints to stock and cutters, groove to boards, all to its size.

A value that could not be read is not a number and compares with nothing, so that only what is known is judged. What depends on
the layout of the tails is judged where they are laid out.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise, permutations
from typing import Any

from camtools.faults import Change, Fault, Way, puts
from camtools.job.blanks import Blanks, unread
from camtools.job.form import SEASONS, WOODS, ClimateForm, DrawerForm, JobForm
from camtools.job.job import Cutter, DrawerWish, Stock
from camtools.job.slips import nearest
from camtools.job.woods import UNKNOWN_HARDWOOD, UNKNOWN_SOFTWOOD, find_wood, nearest_wood
from camtools.wording import down, mm, up

__all__ = [
    "CENTIMETRES",
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
    "sizes_to_try",
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
CENTIMETRES = 130.0  # sizes of drawers that are all below this many mm are taken for centimetres, where they can not be made


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
            ways = (*puts(f"stock.{season}", None), *puts(f"stock.climate.{season}", None))
            yield Fault(f"stock.climate.{season}", f"is given, and stock.{season} too", limit="one of them", ways=ways)
    names: dict[str, int] = {}
    rows: dict[str, int] = {}
    for place, (written, wish) in enumerate(zip(form.drawers, wishes, strict=True), 1):
        keys = _keys(place, written)
        owner = f"drawers[{place}]" if unread(wish.name) else wish.name
        for fault in (
            *_named(place, wish, names),
            *_row(place, wishes, rows),
            *_given(place, written),
            *_style(keys, wish, styles),
            *_woods(keys, Blanks("stock", written.stock, form.stock)),
            *_seasons(keys, wish.stock, form.stock.climate),
            *faults_of_joints(keys, wish, cutters),
            *faults_of_groove(keys, wish, cutters),
            *_size(keys, f"drawers[{place}]", wish),
        ):
            yield replace(fault, drawers=(owner,))


def _named(place: int, wish: DrawerWish, names: dict[str, int]) -> Iterator[Fault]:
    if unread(wish.name):
        return
    # Names that differ in case, or in how a letter is composed, look alike on paper.
    first = names.setdefault(unicodedata.normalize("NFKC", wish.name).casefold(), place)
    if first != place:
        key, more = f"drawers[{place}].name", (f"{wish.name} {number}" for number in (place, f"{place}b", f"no. {place}"))
        yield Fault(key, f"is the name of drawers[{first}] too", f'"{wish.name}"', "a name of its own", ways=puts(key, *more))


def _given(place: int, written: DrawerForm) -> Iterator[Fault]:
    at = f"drawers[{place}]"
    if written.opening is None and written.outside is None:
        limit = "opening, or outside with the drawer's own: width, height, depth"
        yield Fault(at, "has no size", limit=limit, ways=puts(f"{at}.opening", (300, 100, 260), example=True))
    if written.opening is not None and written.outside is not None:
        ways = (*puts(f"{at}.outside", None), *puts(f"{at}.opening", None))
        yield Fault(f"{at}.outside", "is given, and opening too", limit="one of them", ways=ways)


def _style(keys: Keys, wish: DrawerWish, styles: Collection[str]) -> Iterator[Fault]:
    style = wish.joint.style
    if styles and not unread(style) and style not in styles:
        ways = puts("joints.style", *sorted(styles, key=lambda known: known != nearest(style, styles)))
        yield Fault(keys("joints.style"), "there is no such style of layout", f'"{style}"', " or ".join(styles), ways=ways)


def _keys(place: int, drawer: DrawerForm) -> Keys:
    """Return paths by where a value stands: with the drawer, where that has it, or what it hangs on, of its own; or with the job."""

    def own(path: str) -> bool:
        table, _, key = path.partition(".")
        form: Any = getattr(drawer, table)
        return form is not None and getattr(form, key) is not None

    return lambda key, *others: f"drawers[{place}].{key}" if any(map(own, (key, *others))) else key


def _row(place: int, wishes: Sequence[DrawerWish], rows: dict[str, int]) -> Iterator[Fault]:
    """Judge a drawer of a row by the row's first: one board must do for the fronts of both."""
    row, own = wishes[place - 1].row, wishes[place - 1].stock
    if row is None or unread(row):
        return
    first = rows.setdefault(row, place)
    other, where = wishes[first - 1].stock, f"drawers[{place}].row"
    ways = puts(where, None)
    if own.front_wood != other.front_wood:
        yield Fault(where, f"joins fronts of two woods, this and that of drawers[{first}]", own.front_wood, other.front_wood, ways=ways)
    if abs(own.front_mm - other.front_mm) > _SAME_MM:
        what = f"joins fronts of two thicknesses, this and that of drawers[{first}]"
        yield Fault(where, what, mm(own.front_mm), mm(other.front_mm), ways=ways)


def _woods(keys: Keys, written: Blanks) -> Iterator[Fault]:
    for key in WOODS:
        name = written.given(key)
        try:
            if isinstance(name, str):
                find_wood(name)
        except KeyError:
            limit = f'a name in the tables; "{UNKNOWN_HARDWOOD}" and "{UNKNOWN_SOFTWOOD}" move a good deal'
            ways = puts(f"stock.{key}", *filter(None, (nearest_wood(name), UNKNOWN_HARDWOOD)))
            yield Fault(keys(f"stock.{key}"), "is not in the tables of wood movement", f'"{name}"', limit, ways=ways)


def _seasons(keys: Keys, stock: Stock, climate: ClimateForm | None) -> Iterator[Fault]:
    seasons = (("driest", stock.driest_percent), ("now", stock.now_percent), ("dampest", stock.dampest_percent))
    airs = [season for season in SEASONS if getattr(climate, season, None) is not None]
    for (low, dry), (high, damp) in pairwise(seasons):
        if dry > damp:
            ordered = sorted(percent for _, percent in seasons)
            exchanged = tuple(Change(f"stock.{key}", new) for (key, was), new in zip(seasons, ordered, strict=True) if was != new)
            ways: tuple[Way, ...] = (exchanged, *puts(f"stock.{low}", damp), *puts(f"stock.{high}", dry))
            if low in airs and high in airs:
                ways += (tuple(Change(f"stock.climate.{one}", getattr(climate, other)) for one, other in ((low, high), (high, low))),)
            ways += tuple((Change(f"stock.climate.{season}"),) for season in airs)
            air = low in airs and keys(f"stock.{low}").startswith("stock")
            where = f"stock.climate.{low}" if air else keys(f"stock.{low}", f"stock.{high}")
            yield Fault(where, f"is above {high}", f"{dry:g} %", f"at most {damp:g} %", ways=ways)


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
    return None, [Fault(key, problem, str(number), limit, ways=puts(_shared(key), *map(int, of_kind)))]


def _shared(key: str) -> str:
    """Return a key of a drawer's own table as that of the job."""
    return ".".join(key.split(".")[-2:])


def faults_of_joints(keys: Keys, wish: DrawerWish, cutters: Sequence[Cutter]) -> Iterator[Fault]:
    """Judge the joints of a drawer by its boards and by the cutters, however the tails are laid out."""
    stock, joint = wish.stock, wish.joint
    tail = stock.front_mm - joint.lap_mm
    lap = keys("joints.lap", "stock.front")
    laps = puts("joints.lap", up(max(3.0, stock.front_mm / 4), 0.5), down(stock.front_mm - LEAST_TAIL_MM, 0.1), LEAST_LAP_MM)
    thicker = puts("stock.front", up(joint.lap_mm + LEAST_TAIL_MM, 0.5))
    if tail <= 0:
        limit = f"less than the front, {mm(stock.front_mm)}"
        yield Fault(lap, "leaves nothing of the front for the tails", mm(joint.lap_mm), limit, ways=(*laps, *thicker))
    elif tail < LEAST_TAIL_MM:
        found, limit = f"tails {mm(tail)} long", f"at least {mm(LEAST_TAIL_MM)}"
        yield Fault(lap, "leaves tails too short to hold", found, limit, cannot=True, ways=(*laps, *thicker))
    if joint.lap_mm < LEAST_LAP_MM:
        limit = f"at least {mm(LEAST_LAP_MM)}"
        yield Fault(lap, "is too thin: the tails would break through", mm(joint.lap_mm), limit, cannot=True, ways=laps)
    if joint.light_pass_mm > stock.side_mm / 2:
        limit = f"at most half of the side, {mm(stock.side_mm / 2)}"
        ways = puts("joints.light_pass", 0.5, down(stock.side_mm / 2, 0.1))
        yield Fault(keys("joints.light_pass", "stock.side"), "is no light pass", mm(joint.light_pass_mm), limit, ways=ways)

    dovetail, faults = _cutter(cutters, joint.dovetail, "dovetail", keys("joints.dovetail"))
    yield from faults
    straight, faults = _cutter(cutters, joint.straight, "straight", keys("joints.straight"))
    yield from faults
    sockets, tails, pins = wish.depths_mm
    reach = -math.inf if dovetail is None else dovetail.cutting_length_mm
    lap_mm, back_mm = up(stock.front_mm + joint.free_depth_mm - reach, 0.1), down(reach - joint.proud_mm, 0.1)
    side_mm = -math.inf if straight is None else down(straight.cutting_length_mm - joint.proud_mm, 0.1)
    needs: list[tuple[Cutter | None, str, float, str, tuple[Way, ...]]] = [
        (dovetail, "joints.dovetail", sockets, "half-blind sockets", puts("joints.lap", lap_mm)),
        (dovetail, "joints.dovetail", tails, "through tails", puts("stock.back", back_mm)),
        (straight, "joints.straight", pins, "through pins", puts("stock.side", side_mm)),
    ]
    for cutter, key, depth, what, ways in needs:
        yield from _too_short(cutters, cutter, key, depth, what, ways)
    if joint.rough:
        waste = max(sockets, tails) - joint.rough_stock_mm
        key = keys("joints.rough", "joints.straight", "stock.front")
        yield from _too_short(cutters, straight, "joints.straight", waste, "waste", puts("joints.rough", False), key)


def _too_short(
    cutters: Sequence[Cutter], cutter: Cutter | None, key: str, depth_mm: float, what: str, ways: tuple[Way, ...], where: str = ""
) -> Iterator[Fault]:
    """Compare the length of a cutter that a key names with the depth of its work, which may be asked for elsewhere; another may do."""
    if cutter is None or not cutter.cutting_length_mm < depth_mm - _SAME_MM:
        return
    found, limit = f"cutting length {mm(cutter.cutting_length_mm)}", f"at least {mm(depth_mm)}"
    longer = [one for one in cutters if one.kind == cutter.kind and one.cutting_length_mm >= depth_mm]
    others = puts(key, *(one.number for one in sorted(longer, key=lambda one: abs(one.diameter_mm - cutter.diameter_mm))))
    length = f"cutters[{cutters.index(cutter) + 1}].cutting_length"
    edges = puts(length, up(depth_mm, 0.5))
    problem = f"cutter {cutter.number} is too short for the {what}"
    yield Fault(where or length, problem, found, limit, cannot=True, ways=(*others, *sorted((*edges, *ways), key=_dearness)))


def _dearness(way: Way) -> int:
    """Order for remedies: what can be chosen, then another cutter, then other boards, which the maker has."""
    return {"cutters": 1, "stock": 2}.get(re.split(r"[.\[]", way[0].key)[0], 0)


def faults_of_groove(keys: Keys, wish: DrawerWish, cutters: Sequence[Cutter]) -> Iterator[Fault]:
    """Judge the groove of a drawer by its boards and by the cutters."""
    stock, groove = wish.stock, wish.groove
    cutter, faults = _cutter(cutters, groove.cutter, "straight", keys("groove.cutter"))
    yield from faults
    width = stock.bottom_mm + groove.play_mm
    if cutter is not None and cutter.diameter_mm > width + _SAME_MM:
        key = keys("groove.cutter", "stock.bottom", "groove.play")
        thin = [one.number for one in cutters if one.kind == "straight" and one.diameter_mm <= width + _SAME_MM]
        new = max({one.number for one in cutters if not unread(one.number)}, default=0) + 1
        added = {
            "number": new,
            "kind": "straight",
            "diameter": down(width, 0.5),
            "cutting_length": up(max(groove.depth_mm + 2, 8.0), 1),
        }
        ways: tuple[Way, ...] = puts("groove.cutter", *thin)
        ways += ((Change("cutters[]", added), Change("groove.cutter", new)),)
        ways += puts("groove.play", up(cutter.diameter_mm - stock.bottom_mm, 0.01))
        problem, limit = f"cutter {cutter.number} is wider than the groove", f"at most {mm(width)}, the bottom and its play"
        yield Fault(key, problem, mm(cutter.diameter_mm), limit, cannot=True, ways=ways)
    shallower = () if cutter is None else puts("groove.depth", down(cutter.cutting_length_mm, 0.1))
    yield from _too_short(cutters, cutter, "groove.cutter", groove.depth_mm, "groove", shallower)
    boards = {"side": stock.side_mm, "front": stock.front_mm}
    if wish.fit.back == "full":
        boards["back"] = stock.back_mm
    name, thin_mm = min(boards.items(), key=lambda board: board[1])
    most_mm = max(0.0, thin_mm - LEAST_BEHIND_MM)
    if groove.depth_mm > most_mm + _SAME_MM:
        yield Fault(
            keys("groove.depth", f"stock.{name}"),
            f"leaves too little wood behind the groove in the {name}",
            f"{mm(groove.depth_mm)} of {mm(thin_mm)}",
            f"at most {mm(most_mm)}",
            cannot=True,
            ways=(*puts("groove.depth", down(thin_mm / 3, 0.5), down(most_mm, 0.1)), *puts(f"stock.{name}", up(groove.depth_mm + 3, 0.5))),
        )
    if groove.edge_mm < LEAST_BELOW_MM:
        ways, limit = puts("groove.edge", 10, LEAST_BELOW_MM, 7, 8, 9), f"at least {mm(LEAST_BELOW_MM)}"
        yield Fault(keys("groove.edge"), "leaves too little wood under the groove", mm(groove.edge_mm), limit, cannot=True, ways=ways)


def _size(keys: Keys, at: str, wish: DrawerWish) -> Iterator[Fault]:
    """Judge what the boards, the groove, the clearances and a pin leave of a size."""
    stock, pin_mm = wish.stock, wish.joint.pin_mm
    if wish.outside_mm is not None:
        key, given, (width, height, depth) = "outside", wish.outside_mm, wish.outside_mm
    elif wish.opening_mm is not None:
        key, given, (width, height, depth) = "opening", wish.opening_mm, wish.fit.drawer_mm(wish.opening_mm)
    else:
        return
    if pin_mm is not None and pin_mm >= height > 0:
        limit = f"less than its height, {mm(height)}"
        yield Fault(
            keys("joints.pin"), "is so wide that the drawer has no room for a pin", mm(pin_mm), limit, ways=puts("joints.pin", None)
        )
    turned = puts(key, *(order for order in permutations(given) if order != given))
    for axis, name, size, boards, what in (
        (1, "width", width, 2 * stock.side_mm, "both sides"),
        (2, "height", height, wish.groove_top_mm, "the groove for the bottom"),
        (3, "depth", depth, stock.front_mm + stock.back_mm, "front and back"),
    ):
        if size <= boards:
            limit = f"more than {mm(boards)}"
            if max(given) < CENTIMETRES:
                limit += "; are these centimetres?"
            problem, found = f"leaves nothing beside {what}", f"{mm(size)} outside"
            ways = sizes_to_try(wish, axis, boards - size + 40)
            first = len(ways) - 3  # the sizes in mm go before those in another order
            yield Fault(f"{at}.{key}[{axis}] ({name})", problem, found, limit, ways=(*ways[:first], *turned, *ways[first:]))


def sizes_to_try(wish: DrawerWish, axis: int, lacking_mm: float) -> tuple[Way, ...]:
    """Name ways to enlarge a drawer that lacks so much along an axis, counted from 1: in mm for centimetres, then by what it lacks."""
    key, given = ("outside", wish.outside_mm) if wish.outside_mm is not None else ("opening", wish.opening_mm)
    if given is None:
        return ()
    tens = puts(key, tuple(round(10 * size, 6) for size in given)) if max(given) < CENTIMETRES else ()
    larger = puts(f"{key}[{axis}]", *(up(given[axis - 1] + lacking_mm + more, 1) for more in (0, 20, 60)))
    return *tens, *larger
