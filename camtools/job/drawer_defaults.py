"""What a drawer is made like where the job file does not say, each value with its reason.

A reason says "common practice" where no source was seen for it. Values of the job and of the drawer are one by then.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from camtools.job.bench.answers import Answers, Settled
from camtools.job.blanks import Blanks, Default, step, unread
from camtools.job.drawer_limits import (
    HELD_MM,
    LEAST_BEHIND_MM,
    LEAST_BELOW_MM,
    OVER_MM,
    PIN_MM,
    ROUND_MM,
    STRAIGHT_MM,
    TONGUE_MM,
)
from camtools.job.form import WOODS, ClimateForm, DrawerForm, JobForm
from camtools.job.job import Cutter, DrawerWish, Fit, GrooveWish, JointWish, Stock
from camtools.job.woods import UNKNOWN_HARDWOOD, emc_percent, find_wood, namesakes_of
from camtools.wording import fine, mm, span

__all__ = ["SPARE_MM", "drawer_of"]

STYLE = "standard"
HALF_PIN_MM = 6.0  # that does not split; common practice 3 to 6 mm
PROUD_MM = 0.3
CLEARANCE_MM = 0.07  # at each flank
SPARE_MM = 1.5  # wood of the lowest tail on each side of the groove
PLAY_MM = 0.15  # of the bottom in its groove
LOOSE_MM = 0.3  # the most, where no cutter is thinner
_LAPS = (1 / 5, 1 / 3)  # of the front; books have all of it, a quarter is usual
_COVERED_BY = {"joints.through_clearance": ("clearance",)}  # keys that say the same more broadly
_INDOORS = "Wood Handbook Table 13-2, most of the United States indoors"
_USUAL_PERCENT = {"driest": (6.0, "; from memory"), "now": (8.0, ""), "dampest": (10.0, "; from memory")}


def drawer_of(
    form: JobForm, drawer: DrawerForm, cutters: Sequence[Cutter], answers: Answers
) -> tuple[DrawerWish, list[Default], list[Settled]]:
    """Return one drawer with the job's values and its own, what was left to camtools, by the job's keys, and what became of answers."""
    plain, used = _drawer_of(form, drawer, cutters, {})
    flat = form.machine is not None and form.machine.holds == ["flat"]
    settled = [_unless_written(one, form, drawer) for one in answers.for_drawer(plain, cutters, flat=flat)]
    answered = {one.key: (one.value, f"your answer in {answers.where}: {one.use.words}") for one in settled if one.value is not None}
    if not answered:
        return plain, used, settled
    wish, used_then = _drawer_of(form, drawer, cutters, answered)
    if _cutters_of(wish) != _cutters_of(plain):
        why = "with it other cutters would be chosen than it was found with: name them in the job file"
        return plain, used, [one.lapsed(why) for one in settled]
    return wish, used_then, settled


def _unless_written(settled: Settled, form: JobForm, drawer: DrawerForm) -> Settled:
    """Let what is written in the job file go before an answer."""
    table, key = settled.key.split(".")
    for name in (key, *_COVERED_BY.get(settled.key, ())):
        if (written := Blanks(table, getattr(drawer, table), getattr(form, table)).given(name)) is not None:
            why = f"the job file itself says {fine(written)}, which goes before: take {table}.{name} out of it to have the answer"
            return settled.lapsed(why)
    return settled


def _cutters_of(wish: DrawerWish) -> tuple[int, int, int]:
    return wish.joint.dovetail, wish.joint.straight, wish.groove.cutter


def _drawer_of(
    form: JobForm, drawer: DrawerForm, cutters: Sequence[Cutter], answered: Mapping[str, tuple[float, str]]
) -> tuple[DrawerWish, list[Default]]:
    tables = (
        Blanks("stock", drawer.stock, form.stock),
        Blanks("joints", drawer.joints, form.joints, answered=answered),
        Blanks("groove", drawer.groove, form.groove, answered=answered),
        Blanks("fit", drawer.fit, form.fit),
    )
    stock = _stock(tables[0], form.stock.climate)
    joint = _joint(tables[1], stock, cutters)
    fit = _fit(tables[3])
    opening, outside = _sizes(drawer.opening), _sizes(drawer.outside)
    wish = DrawerWish(
        name=drawer.name,
        count=1 if drawer.count is None else drawer.count,
        opening_mm=opening,
        row=drawer.row,
        outside_mm=outside,
        stock=stock,
        joint=joint,
        groove=_groove(tables[2], stock, joint, fit, outside or (fit.drawer_mm(opening) if opening else None), cutters),
        fit=fit,
        family=drawer.family is not False,
    )
    return wish, [one for table in tables for one in table.used]


def _sizes(value: Any) -> tuple[float, float, float] | None:
    if value is None:
        return None
    return (value[0], value[1], value[2]) if isinstance(value, list) else (math.nan, math.nan, math.nan)


def _stock(blanks: Blanks, climate: ClimateForm | None) -> Stock:
    take, given = blanks.take, blanks.given
    side = given("side")
    back = take("back", side, "mm", "as the sides: both cutters then work at one depth")
    sawn = take("sawn", "flat", "", "it moves most, which errs on the safe side")
    bottom_kind = take("bottom_kind", "plywood", "", "common practice: it keeps its size")
    woods = {key: given(key) for key in WOODS[1:]}
    needed = [name for key, name in woods.items() if key != "bottom_wood" or bottom_kind == "solid"]
    wood = take("wood", UNKNOWN_HARDWOOD, "", "it moves as much as the liveliest of the common woods") if None in needed else given("wood")
    used = {key for key in woods if key != "bottom_wood" or bottom_kind == "solid"} | ({"wood"} if None in needed else set())
    blanks.used += [default for key in WOODS if key in used for default in _unsure(key, given(key))]
    return Stock(
        front_mm=given("front"),
        side_mm=side,
        back_mm=back,
        bottom_mm=given("bottom"),
        **{key: _wood(wood if name is None else name) for key, name in woods.items()},
        sawn=sawn,
        bottom_kind=bottom_kind,
        driest_percent=_moisture(blanks, climate, "driest"),
        dampest_percent=_moisture(blanks, climate, "dampest"),
        now_percent=_moisture(blanks, climate, "now"),
        spare_length_mm=take("spare_length", 25.0, "mm", f"common practice, {span(20, 30)}: ends are sawn square when the board is planed"),
        spare_width_mm=take("spare_width", 6.0, "mm", f"common practice, {span(5, 10)}: two edges are planed"),
        spare_thickness_mm=take("spare_thickness", 5.0, "mm", f"common practice, {span(4, 6)}: two faces are planed"),
        kerf_mm=take("kerf", 3.0, "mm", "common practice: a circular saw's blade"),
    )


def _moisture(blanks: Blanks, climate: ClimateForm | None, season: str) -> Any:
    """Return the moisture of the wood in %: as written, of the air as written, or as is usual indoors."""
    air = getattr(climate, season, None)
    if blanks.given(season) is not None or air is None:
        usual, known = _USUAL_PERCENT[season]
        return blanks.take(season, usual, "%", f"{_INDOORS}{known}")
    if not isinstance(air, tuple) or any(map(unread, air)):
        return math.nan
    return round(emc_percent(air[0], air[1] / 100), 1)  # Eq. (4-5) is no finer


def _wood(name: Any) -> str:
    """Return a wood's name in the tables, or what is written where they know none."""
    try:
        return find_wood(name).name if isinstance(name, str) else UNKNOWN_HARDWOOD
    except KeyError:
        return str(name)


def _unsure(key: str, name: Any) -> Iterator[Default]:
    """Yield what is taken for a short name that other woods have too."""
    if isinstance(name, str) and (others := namesakes_of(name)):
        more = f" and {len(others) - _NAMESAKES} more" if len(others) > _NAMESAKES else ""
        ask = f'your seller: "{name}" may mean {"; ".join(others[:_NAMESAKES])}{more} too'
        yield Default(f"stock.{key}", find_wood(name).name, "the kind that is sold under this name; of several, one that moves more", ask)


_NAMESAKES = 5  # woods of one short name that are named; the rest are counted


def _joint(blanks: Blanks, stock: Stock, cutters: Sequence[Cutter]) -> JointWish:
    take, given = blanks.take, blanks.given
    quarter = max(step(stock.front_mm / 4, 0.5), 3.0)
    glue = f"for wood glue, which wants surfaces {span(0.05, 0.15)} apart: trade"
    written, clearance = given("clearance"), take("clearance", CLEARANCE_MM, "mm", glue)
    through_clearance = take("through_clearance", *((CLEARANCE_MM, "mm", glue) if written is None else (written, "mm", "as clearance")))
    free_depth = take("free_depth", 0.2, "mm", "common practice, so that the shoulder closes first")
    laps = _laps(stock, given("lap"), quarter, clearance, free_depth, cutters)
    suit = [cutter for cutter in cutters if cutter.number in laps and cutter.cutting_length_mm >= stock.back_mm]
    deep = max(stock.front_mm - quarter + free_depth, stock.back_mm)
    dovetail = take("dovetail", _dovetail(cutters, suit, deep), "", "the first dovetail cutter that suits the boards")
    lap = laps.get(dovetail, quarter)
    usual = f"a quarter of the front, at least {mm(3)}; books give a fifth to a third"
    lap = take("lap", lap, "mm", usual if lap == quarter else f"as near to a quarter of the front as cutter {dovetail} allows")
    proud = _proud(stock, cutters, dovetail, given("straight"))
    proud = take("proud", proud, "mm", "common practice, to be planed flush" if proud == PROUD_MM else "as far as the cutters reach")
    style = take("style", STYLE, "", "every drawer of the piece looks alike")
    sockets, tails, pins = stock.front_mm - lap + free_depth, stock.back_mm + proud, stock.side_mm + proud
    necks = (2 * cutter.radius_at(tails) for cutter in cutters if cutter.number == dovetail)
    straight = take("straight", _straight(cutters, pins, next(necks, math.nan)), "", "the widest straight cutter that passes between pins")
    rough_stock = take("rough_stock", 0.5, "mm", f"common practice: the last pass takes {span(0.3, 0.5)}")
    reach = next((cutter.cutting_length_mm for cutter in cutters if cutter.number == straight), 0.0)
    if reach < max(sockets, tails) - rough_stock:
        why = "the straight cutter is too short to clear the waste"
    else:
        why = "every end would be placed and cut twice; a warning tells where that spares the dovetail cutter"
    return JointWish(
        lap_mm=lap,
        style=style,
        tails=given("tails"),
        tail_mm=given("tail"),
        pin_mm=given("pin"),
        half_pin_mm=given("half_pin"),
        clearance_mm=clearance,
        through_clearance_mm=through_clearance,
        free_depth_mm=free_depth,
        proud_mm=proud,
        rough=take("rough", False, "", why),
        rough_stock_mm=rough_stock,
        light_pass_mm=take("light_pass", 0.5, "mm", "common practice, so that fibres do not break out"),
        dovetail=dovetail,
        straight=straight,
    )


def _first(*choices: Iterable[Cutter]) -> int:
    """Return the number of the first cutter there is; 0 where there is none, which is told elsewhere."""
    return next((cutter.number for cutters in choices for cutter in cutters), 0)


def _dovetail(cutters: Sequence[Cutter], suit: Sequence[Cutter], depth: float) -> int:
    of_kind = [cutter for cutter in cutters if cutter.kind == "dovetail"]
    return _first(suit, (cutter for cutter in of_kind if cutter.cutting_length_mm >= depth), of_kind)


def _proud(stock: Stock, cutters: Sequence[Cutter], dovetail: int, straight: int | None) -> float:
    """Return how far ends may stand out: less than usual where a cutter just reaches through the board."""
    tails = [cutter.cutting_length_mm for cutter in cutters if cutter.number == dovetail]
    pins = [cutter.cutting_length_mm for cutter in cutters if cutter.kind == "straight" and straight in (None, cutter.number)]
    left = min(max(tails, default=math.inf) - stock.back_mm, max(pins, default=math.inf) - stock.side_mm)
    return step(left, 0.1, math.floor) if 0.0 <= left < PROUD_MM else PROUD_MM


def _laps(
    stock: Stock, given: float | None, usual: float, clearance: float, free_depth: float, cutters: Sequence[Cutter]
) -> dict[int, float]:
    """Return the lap nearest to the usual one for each dovetail cutter that can make half-blind tails then. docs/joinery.md section 5."""
    laps = {}
    for cutter in cutters:
        if cutter.kind != "dovetail" or not cutter.slope > 0:
            continue
        radius = cutter.diameter_mm / 2 - clearance
        longest = min(cutter.cutting_length_mm, (radius - ROUND_MM) / cutter.slope) - free_depth
        shortest = (radius + STRAIGHT_MM - stock.side_mm) / cutter.slope - free_depth
        low, high = step(stock.front_mm - longest, 0.1, math.ceil), step(stock.front_mm - shortest, 0.1, math.floor)
        lap = min(max(usual, low), high) if given is None else given
        within = max(_LAPS[0] * stock.front_mm, 3.0) <= lap <= max(_LAPS[1] * stock.front_mm, 3.0)
        if low - 1e-9 <= lap <= high + 1e-9 and (within or given is not None):
            laps[cutter.number] = lap
    return laps


def _straight(cutters: Sequence[Cutter], depth: float, widest: float) -> int:
    by_width = sorted((cutter for cutter in cutters if cutter.kind == "straight"), key=lambda cutter: cutter.diameter_mm)
    long = [cutter for cutter in by_width if cutter.cutting_length_mm >= depth]
    return _first(reversed([cutter for cutter in long if cutter.diameter_mm <= widest]), long, by_width)


def _groove(
    blanks: Blanks, stock: Stock, joint: JointWish, fit: Fit, outside: tuple[float, float, float] | None, cutters: Sequence[Cutter]
) -> GrooveWish:
    take = blanks.take
    raised = fit.back == "raised"
    boards = (stock.side_mm, stock.front_mm) if raised else (stock.side_mm, stock.front_mm, stock.back_mm)
    third = min(max(step(min(stock.side_mm, stock.back_mm) / 3, 0.5), 2.0), 6.0)
    holds = step(HELD_MM + TONGUE_MM + (0.0 if raised or outside is None else _movement(stock, outside[2]) / 2), 0.1, math.ceil)
    by_width = sorted((cutter for cutter in cutters if cutter.kind == "straight"), key=lambda cutter: cutter.diameter_mm)
    wanted = by_width[0].diameter_mm - stock.bottom_mm if by_width else 0.0
    play = step(wanted, 0.01, math.ceil) if PLAY_MM < wanted <= LOOSE_MM else PLAY_MM
    why = (
        f"common practice: {span(0.1, 0.2)} over the panel as measured"
        if play == PLAY_MM
        else "as much as the thinnest straight cutter wants"
    )
    play = take("play", play, "mm", why)
    fitting = [cutter for cutter in by_width if cutter.diameter_mm <= stock.bottom_mm + play + 1e-9]
    reach = max((cutter.cutting_length_mm for cutter in fitting if blanks.given("cutter") in (None, cutter.number)), default=math.inf)
    depth = min(max(third, holds), max(step(min(reach, min(boards) - LEAST_BEHIND_MM), 0.1, math.floor), HELD_MM))
    usual = "common practice: a third of side or back, whichever is thinner"
    depth = take("depth", depth, "mm", usual if depth == third else "as near to a third of the boards as bottom, cutter and wood allow")
    long = [cutter for cutter in fitting if cutter.cutting_length_mm >= depth]
    ends = take("ends", "stopped", "", "it shows nowhere and weakens no joint")
    edge, why = _edge(stock, joint, cutters, raised, ends, outside[1] - stock.bottom_mm - play if outside else math.inf)
    return GrooveWish(
        edge_mm=take("edge", edge, "mm", why),
        depth_mm=depth,
        play_mm=play,
        ends=ends,
        stop_mm=take("stop", 3.0, "mm", "common practice"),
        cutter=take("cutter", _first(reversed(long), reversed(fitting), by_width), "", "the widest straight cutter that fits the groove"),
        bottom_corners=take("bottom_corners", "hand", "", "a saw cuts them in about the time that two settings of the panel take"),
    )


def _movement(stock: Stock, depth_mm: float) -> float:
    """How much a bottom moves from front to rear over the seasons, roughly and a little too much: Wood Handbook Eq. (13-2), p. 13-17."""
    coefficient = 0.0002  # of plywood, docs/sources.md section 2
    if stock.bottom_kind == "solid":
        try:
            wood = find_wood(stock.bottom_wood)
        except KeyError:
            return 0.0
        coefficient = wood.tangential_coefficient if stock.sawn == "flat" else wood.radial_coefficient
    return max(0.0, 1.1 * coefficient * depth_mm * (stock.dampest_percent - stock.driest_percent))


def _edge(stock: Stock, joint: JointWish, cutters: Sequence[Cutter], raised: bool, ends: str, height_mm: float) -> tuple[float, str]:
    """Return where the groove is to lie, and why.

    Parameters
    ----------
    height_mm
        Of the drawer, less the groove's width.
    """
    slope = next((cutter.slope for cutter in cutters if cutter.number == joint.dovetail), math.nan)
    front, longest = stock.front_mm - joint.lap_mm, max(stock.front_mm - joint.lap_mm, stock.back_mm + joint.proud_mm)
    half_pin = HALF_PIN_MM if joint.half_pin_mm is None else joint.half_pin_mm
    usual = max(step(half_pin + longest * slope + SPARE_MM, 0.5, math.ceil), 10.0)
    least_pin = PIN_MM if joint.half_pin_mm is None else joint.half_pin_mm
    above = least_pin + longest * slope + (OVER_MM if raised else SPARE_MM)
    highest = step(height_mm * 0.98 - 1.5 - above, 0.1, math.floor)  # what movement takes of the height is not known yet
    if not highest < usual:
        return usual, f"{mm(10)} or more, so that it lies inside the lowest tail"
    least = max(least_pin + front * slope + SPARE_MM, LEAST_BELOW_MM) if ends == "hidden" else LEAST_BELOW_MM + 1.0
    return max(highest, step(least, 0.1, math.ceil)), "as high as so low a drawer allows"


def _fit(blanks: Blanks) -> Fit:
    take, given = blanks.take, blanks.given
    front = take("front", "inset", "", "the plain way")
    side = take("side", 0.4, "mm", f"common practice, wood on wood: {span(0.5, 1)} over both sides")
    behind = take("behind", 8.0, "mm", f"common practice: {span(6, 12)}")
    overlay = front == "overlay"

    def cover(key: str) -> Any:
        return take(key, 8.0, "mm", "common practice: about half of a case's edge") if overlay else given(key) or 0.0

    return Fit(
        front=front,
        side_mm=side,
        above_mm=given("above"),
        behind_mm=behind,
        reveal_mm=given("reveal") or 0.0 if overlay else take("reveal", 0.0, "mm", "flush with the case"),
        overlay_side_mm=cover("overlay_side"),
        overlay_above_mm=cover("overlay_above"),
        overlay_below_mm=cover("overlay_below"),
        back=take("back", "full", "", "it holds the bottom on the fourth side"),
        finish_mm=take("finish", 0.0, "mm", "the clearance does for boards that come planed"),
    )
