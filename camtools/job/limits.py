"""What the values of a job file must be to one another: cutters to machine, joints to stock, groove to board.

A value that could not be read is not a number and compares with nothing, so that only what is known is judged.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterator, Sequence
from typing import Any

from camtools.faults import Fault
from camtools.job.defaults import neck_of
from camtools.job.form import CutterForm, DrawerForm, JobForm
from camtools.job.piece import Cutter, DrawerWish, Machine
from camtools.job.woods import find_wood, nearest_wood

__all__ = ["faults_of_cutters", "faults_of_drawers", "faults_of_machine"]

ANGLE_DEG = (5.0, 20.0)  # cutters on the market have 7 to 18, common practice; facts/cutting.md 2.1
LEAST_NECK_MM = 2.0  # thinner ones snap; common practice, no source
LEAST_LAP_MM = 2.4  # 3/32 in: facts/cutting.md 2.2, a magazine chapter of 2007
LEAST_TAIL_MM = 5.0  # length that still holds glue; common practice, no source
LEAST_BEHIND_MM = 3.0  # wood behind a groove; common practice, no source
LEAST_BELOW_MM = 4.0  # wood under a groove; common practice, no source
_SAME = 1e-9


def _mm(size: float) -> str:
    return f"{size:.6g} mm"


def faults_of_cutters(form: JobForm, cutters: Sequence[Cutter], machine: Machine) -> Iterator[Fault]:
    """Judge every cutter by itself, beside the others and on the machine."""
    seen: dict[int, int] = {}
    for place, (written, cutter) in enumerate(zip(form.cutters, cutters, strict=True), 1):
        at = f"cutters[{place}]"
        if (first := seen.setdefault(cutter.number, place)) != place:
            free = next(number for number in range(1, 1000) if number not in {c.number for c in cutters})
            yield Fault(f"{at}.number", f"is the number of cutters[{first}] too", str(cutter.number), "a number of its own", f"{free} is free")
        yield from _shape(at, written, cutter)
        yield from _running(at, cutter, machine)
    kinds = [cutter.kind for cutter in cutters]
    for kind, use in (("dovetail", "tails and half-blind sockets"), ("straight", "through pins and grooves")):
        if kind not in kinds and all(isinstance(known, str) for known in kinds):
            yield Fault("cutters", f"there is no {kind} cutter", limit="at least one", remedy=f"add one: it cuts {use}")


def _shape(at: str, written: CutterForm, cutter: Cutter) -> Iterator[Fault]:
    if cutter.kind == "dovetail":
        low, high = ANGLE_DEG
        limit = f"{low:g} to {high:g} degrees"
        if written.angle is None:
            yield Fault(f"{at}.angle", "is missing", limit=limit, remedy="add the angle of the flank from the axis, as it is marked on the cutter")
        elif cutter.angle_deg < low or cutter.angle_deg > high:
            remedy = "a cutter's whole angle is twice that of its flank: write the flank's" if low <= cutter.angle_deg / 2 <= high else ""
            yield Fault(f"{at}.angle", "is no angle of a dovetail cutter", f"{cutter.angle_deg:.4g} degrees", limit, remedy)
        else:
            neck = neck_of(cutter.diameter_mm, cutter.angle_deg, cutter.cutting_length_mm)
            if neck < LEAST_NECK_MM:
                most = (cutter.diameter_mm - LEAST_NECK_MM) / 2 / math.tan(math.radians(cutter.angle_deg))
                yield Fault(
                    f"{at}.cutting_length", "leaves the cutter no neck at the upper end of its edges", f"neck of {_mm(max(neck, 0.0))}",
                    f"at least {_mm(LEAST_NECK_MM)}", f"measure again: with this diameter and angle the edges are at most {most:.1f} mm long",
                )  # fmt: skip
        for key, why in (("depth_per_pass", "a dovetail cutter always cuts at full depth"), ("plunges", "a dovetail cutter never goes straight down into wood")):
            if (value := getattr(written, key)) not in (None, False) and value == value:
                yield Fault(f"{at}.{key}", "has no meaning here", str(value).lower(), remedy=f"take it out: {why}")
    elif cutter.kind == "straight":
        if cutter.angle_deg > 0:
            yield Fault(f"{at}.angle", "has no meaning for a straight cutter", f"{cutter.angle_deg:.4g} degrees", remedy='take it out, or write kind = "dovetail"')
        if cutter.depth_per_pass_mm > min(cutter.diameter_mm, cutter.cutting_length_mm) + _SAME:
            yield Fault(
                f"{at}.depth_per_pass", "is more than the cutter can take", _mm(cutter.depth_per_pass_mm),
                f"at most {_mm(min(cutter.diameter_mm, cutter.cutting_length_mm))}, its diameter and cutting length", f"half its diameter is careful: {_mm(cutter.diameter_mm / 2)}",
            )  # fmt: skip
    if cutter.stick_out_mm < cutter.cutting_length_mm:
        yield Fault(f"{at}.stick_out", "is shorter than the cutting edges", _mm(cutter.stick_out_mm), f"at least {_mm(cutter.cutting_length_mm)}",
                    "measure from the tip to the underside of the nut")  # fmt: skip
    if cutter.shank_mm > cutter.holder_mm:
        yield Fault(f"{at}.shank", "is thicker than the holder", _mm(cutter.shank_mm), f"less than {_mm(cutter.holder_mm)}", "measure both again")


def _running(at: str, cutter: Cutter, machine: Machine) -> Iterator[Fault]:
    if cutter.speed_rpm > cutter.max_speed_rpm:
        yield Fault(f"{at}.speed", "is above the largest speed of the cutter", f"{cutter.speed_rpm:g} rpm", f"at most {cutter.max_speed_rpm:g} rpm",
                    "run it slower; if the mark on the cutter allows more, write that as max_speed")  # fmt: skip
    low, high = machine.min_speed_rpm, machine.max_speed_rpm
    if cutter.speed_rpm < low or cutter.speed_rpm > high:
        yield Fault(f"{at}.speed", "is no speed of the spindle", f"{cutter.speed_rpm:g} rpm", f"{low:g} to {high:g} rpm",
                    "change it, or min_speed and max_speed of the machine")  # fmt: skip
    elif cutter.max_speed_rpm < low:
        yield Fault(f"{at}.max_speed", "is below the slowest speed of the spindle", f"{cutter.max_speed_rpm:g} rpm", f"at least {low:g} rpm",
                    "this cutter can not be run on this machine")  # fmt: skip
    for key, rate in (("feed", cutter.feed_mm_min), ("plunge", cutter.plunge_mm_min)):
        if rate > machine.max_feed_mm_min:
            yield Fault(f"{at}.{key}", "is more than the machine's largest feed", f"{rate:g} mm/min", f"at most {machine.max_feed_mm_min:g} mm/min",
                        "change it, or max_feed of the machine")  # fmt: skip


def faults_of_machine(machine: Machine, cutters: Sequence[Cutter], drawers: Sequence[DrawerWish]) -> Iterator[Fault]:
    """Judge the machine by itself and with the boards."""
    if machine.min_speed_rpm > machine.max_speed_rpm:
        yield Fault("machine.min_speed", "is above max_speed", f"{machine.min_speed_rpm:g} rpm", f"at most {machine.max_speed_rpm:g} rpm", "exchange them")
    if machine.clearance_mm > machine.change_height_mm:
        yield Fault("machine.change_height", "is below the clearance height", _mm(machine.change_height_mm), f"at least {_mm(machine.clearance_mm)}",
                    "change cutters higher")  # fmt: skip
    deepest = max((_deepest(drawer) for drawer in drawers), default=0.0)
    needed = machine.change_height_mm + deepest
    if machine.travel_mm[2] < needed:
        yield Fault("machine.travel[3] (Z)", "is less than this job needs", _mm(machine.travel_mm[2]), f"at least {_mm(needed)}",
                    f"the cut goes {_mm(deepest)} deep and cutters are changed {_mm(machine.change_height_mm)} above the work: lower change_height")  # fmt: skip
    if len(set(machine.holds)) < len(machine.holds):
        yield Fault("machine.holds", "names a hold twice", ", ".join(machine.holds), "each once")
    for place, drawer in enumerate(drawers, 1):
        thinnest = min(drawer.stock.front_mm, drawer.stock.side_mm, drawer.stock.back_mm)
        if machine.flat_stop_mm >= thinnest:
            yield Fault("machine.flat_stop", "stands as high as a board or higher, in the cutter's way", _mm(machine.flat_stop_mm),
                        f"less than {_mm(thinnest)}, the thinnest board of drawers[{place}]", "use a lower stop and fence")  # fmt: skip
            break


def _deepest(drawer: DrawerWish) -> float:
    """Depth of the deepest cut in a drawer's boards."""
    stock, joint = drawer.stock, drawer.joint
    return max(stock.front_mm - joint.lap_mm + joint.free_depth_mm, stock.back_mm + joint.proud_mm, stock.side_mm + joint.proud_mm)


class _Places:
    """Tells in which table a value stands: the drawer's, where that has it, or the piece's."""

    def __init__(self, place: int, drawer: DrawerForm) -> None:
        self._at, self._drawer = f"drawers[{place}]", drawer

    def __call__(self, path: str, *others: str) -> str:
        """Return the path of the first; it is the drawer's where any of these values is its own."""
        own = any(self._has(one) for one in (path, *others))
        return f"{self._at}.{path}" if own else path

    def _has(self, path: str) -> bool:
        table, _, key = path.partition(".")
        form: Any = getattr(self._drawer, table)
        return form is not None and getattr(form, key) is not None


def faults_of_drawers(form: JobForm, cutters: Sequence[Cutter], wishes: Sequence[DrawerWish]) -> Iterator[Fault]:
    """Judge every drawer: its name, its size, its wood, and what joints and groove leave of it."""
    names: dict[str, int] = {}
    for place, (written, wish) in enumerate(zip(form.drawers, wishes, strict=True), 1):
        at = f"drawers[{place}]"
        if isinstance(wish.name, str):
            # Names that differ in case or in how a letter is composed look alike on paper.
            first = names.setdefault(unicodedata.normalize("NFKC", wish.name).casefold(), place)
            if first != place:
                yield Fault(f"{at}.name", f"is the name of drawers[{first}] too", f'"{wish.name}"', "a name of its own", "where both are the same size, write count instead")
        if written.opening is None and written.outside is None:
            yield Fault(at, "has no size", remedy="add opening = [width, height, depth], or outside with the drawer's own size")
        if written.opening is not None and written.outside is not None:
            yield Fault(f"{at}.outside", "is given and opening too", limit="one of them", remedy="take one out: the drawer's size follows from its opening")
        places = _Places(place, written)
        yield from _wood(places, wish)
        yield from _joints(places, wish, cutters)
        yield from _groove(places, wish, cutters)
        yield from _size(at, places, wish)


def _wood(places: _Places, wish: DrawerWish) -> Iterator[Fault]:
    stock = wish.stock
    for key, name in (("wood", stock.species), ("bottom_wood", stock.bottom_species)):
        if key == "bottom_wood" and name == stock.species:
            continue
        try:
            find_wood(name)
        except KeyError:
            hint = nearest_wood(name)
            remedy = f'did you mean "{hint}"?' if hint else 'write "unknown hardwood" or "unknown softwood", which move as much as the liveliest known ones'
            yield Fault(places(f"stock.{key}"), "is not in the tables of wood movement", f'"{name}"', remedy=remedy)
    months = (("driest", stock.driest_percent), ("now", stock.now_percent), ("dampest", stock.dampest_percent))
    for (low, dry), (high, damp) in zip(months, months[1:], strict=False):
        if dry > damp:
            yield Fault(places(f"stock.{low}", f"stock.{high}"), f"is above {high}", f"{dry:g} %", f"at most {damp:g} %", "driest, now and dampest grow in this order")


def _named(cutters: Sequence[Cutter], number: int, kind: str, where: str) -> tuple[Cutter | None, list[Fault]]:
    """Find the cutter of a number, that must be of a kind."""
    of_kind = [str(cutter.number) for cutter in cutters if cutter.kind == kind]
    cutter = next((cutter for cutter in cutters if cutter.number == number), None)
    if not of_kind or not isinstance(number, int):
        return None, []  # that there is none of this kind is told once, with the cutters
    limit = f"a {kind} cutter: {' or '.join(of_kind)}"
    if cutter is None:
        return None, [Fault(where, "names a cutter that is not in the list", str(number), limit)]
    if isinstance(cutter.kind, str) and cutter.kind != kind:
        return None, [Fault(where, f"names a {cutter.kind} cutter", str(number), limit)]
    return cutter, []


def _joints(places: _Places, wish: DrawerWish, cutters: Sequence[Cutter]) -> Iterator[Fault]:
    stock, joint = wish.stock, wish.joint
    tail = stock.front_mm - joint.lap_mm
    lap, usual = places("joints.lap", "stock.front"), f"a quarter of the front is usual: {_mm(max(3.0, round(stock.front_mm / 2) / 2 if stock.front_mm > 0 else 3.0))}"
    if joint.lap_mm >= stock.front_mm:
        yield Fault(lap, "leaves nothing of the front for the tails", _mm(joint.lap_mm), f"less than the front, {_mm(stock.front_mm)}", usual)
    elif tail < LEAST_TAIL_MM:
        yield Fault(lap, "leaves tails too short to hold", f"tails {_mm(tail)} long", f"at least {_mm(LEAST_TAIL_MM)}", f"take a thinner lap or a thicker front; {usual}")
    if joint.lap_mm < LEAST_LAP_MM:
        yield Fault(lap, "is too thin: tails would show through, or break out", _mm(joint.lap_mm), f"at least {_mm(LEAST_LAP_MM)}", usual)
    dovetail, faults = _named(cutters, joint.dovetail, "dovetail", places("joints.dovetail"))
    yield from faults
    straight, faults = _named(cutters, joint.straight, "straight", places("joints.straight"))
    yield from faults
    deep = tail + joint.free_depth_mm
    thick = stock.back_mm + joint.proud_mm
    if dovetail is not None:
        for depth, what, mend, keys in (
            (deep, "the half-blind sockets", "a thicker lap", ("stock.front", "joints.lap")),
            (thick, "the through tails", "a thinner back", ("stock.back", "stock.side")),
        ):
            if dovetail.cutting_length_mm < depth - _SAME:
                yield Fault(places("joints.dovetail", *keys), f"cutter {dovetail.number} is too short for {what}", f"cutting length {_mm(dovetail.cutting_length_mm)}",
                            f"at least {_mm(depth)}", f"take a longer dovetail cutter, or {mend}")  # fmt: skip
    if straight is not None:
        if straight.cutting_length_mm < stock.side_mm + joint.proud_mm - _SAME:
            yield Fault(places("joints.straight", "stock.side"), f"cutter {straight.number} is too short for the through pins", f"cutting length {_mm(straight.cutting_length_mm)}",
                        f"at least {_mm(stock.side_mm + joint.proud_mm)}", "take a longer straight cutter, or thinner sides")  # fmt: skip
        if dovetail is not None and joint.rough and straight.cutting_length_mm < max(deep, thick) - joint.rough_stock_mm - _SAME:
            yield Fault(places("joints.rough", "joints.straight", "stock.front"), f"cutter {straight.number} is too short to clear the waste", f"cutting length {_mm(straight.cutting_length_mm)}",
                        f"at least {_mm(max(deep, thick) - joint.rough_stock_mm)}", "write rough = false, or take a longer straight cutter")  # fmt: skip
    if joint.light_pass_mm > stock.side_mm / 2:
        yield Fault(places("joints.light_pass", "stock.side"), "is no light pass", _mm(joint.light_pass_mm), f"at most {_mm(stock.side_mm / 2)}", "0.3 to 1 mm is usual")


def _groove(places: _Places, wish: DrawerWish, cutters: Sequence[Cutter]) -> Iterator[Fault]:
    stock, groove = wish.stock, wish.groove
    width = stock.bottom_mm + groove.play_mm
    cutter, faults = _named(cutters, groove.cutter, "straight", places("groove.cutter"))
    yield from faults
    if cutter is not None and cutter.diameter_mm > width + _SAME:
        yield Fault(places("groove.cutter", "stock.bottom", "groove.play"), f"cutter {cutter.number} is wider than the groove", _mm(cutter.diameter_mm),
                    f"at most {_mm(width)}, bottom and play", "take a thinner straight cutter for the groove")  # fmt: skip
    if cutter is not None and cutter.cutting_length_mm < groove.depth_mm:
        yield Fault(places("groove.cutter", "groove.depth"), f"cutter {cutter.number} is too short for the groove", f"cutting length {_mm(cutter.cutting_length_mm)}",
                    f"at least {_mm(groove.depth_mm)}", "take a longer cutter, or a shallower groove")  # fmt: skip
    boards = {"side": stock.side_mm, "front": stock.front_mm} | ({} if wish.fit.back == "raised" else {"back": stock.back_mm})
    name, thin = min(boards.items(), key=lambda board: board[1])
    if thin - groove.depth_mm < LEAST_BEHIND_MM:
        yield Fault(places("groove.depth", f"stock.{name}"), f"leaves too little wood behind the groove in the {name}", _mm(groove.depth_mm),
                    f"at most {_mm(max(0.0, thin - LEAST_BEHIND_MM))}, so that {_mm(LEAST_BEHIND_MM)} stay", f"a third of the board is careful: {_mm(round(thin * 2 / 3) / 2)}")  # fmt: skip
    if groove.edge_mm < LEAST_BELOW_MM:
        yield Fault(places("groove.edge"), "leaves too little wood under the groove", _mm(groove.edge_mm), f"at least {_mm(LEAST_BELOW_MM)}", "9.5 to 10 mm is usual")


def _size(at: str, places: _Places, wish: DrawerWish) -> Iterator[Fault]:
    """Judge what clearances, boards and groove leave of an opening, or of the drawer's own size."""
    stock, fit = wish.stock, wish.fit
    if wish.outside_mm is not None:
        key, (width, height, depth) = "outside", wish.outside_mm
    elif wish.opening_mm is not None:
        key, (wide, high, deep) = "opening", wish.opening_mm
        width = wide - 2 * fit.side_mm + 2 * fit.finish_mm
        height = high - (fit.above_mm or 0.0)
        depth = deep - fit.behind_mm - (fit.reveal_mm if fit.front == "inset" else 0.0)
    else:
        return
    upper = wish.groove.edge_mm + stock.bottom_mm + wish.groove.play_mm
    for axis, name, size, least, what in (
        (1, "width", width, 2 * stock.side_mm, "both sides"),
        (2, "height", height, upper, "the groove"),
        (3, "depth", depth, stock.front_mm + stock.back_mm, "front and back"),
    ):
        if size <= least:
            yield Fault(f"{at}.{key}[{axis}] ({name})", f"leaves no room in the drawer beside {what}", f"{_mm(size)} outside",
                        f"more than {_mm(least)}", "look at the order: width, height, depth")  # fmt: skip
