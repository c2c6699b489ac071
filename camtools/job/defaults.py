"""What camtools takes where a job file says nothing: each value in one place, with its reason.

Reasons call a thing "common practice" where no source was seen for it, and name the source where there is one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from camtools.job.form import CutterForm, DrawerForm, JobForm
from camtools.job.piece import Cutter, DrawerWish, Fit, GrooveWish, JointWish, Machine, Stock
from camtools.job.woods import UNKNOWN_HARDWOOD, find_wood

__all__ = ["DefaultUsed", "cutters_of", "drawer_of", "machine_of"]


@dataclass(frozen=True, slots=True)
class DefaultUsed:
    """A value that the job file left to camtools."""

    key: str  # path, such as "joints.lap"
    value: str
    reason: str


class _Blanks:
    """One table of the form, before the same table of the piece; what neither says is taken from here, and noted."""

    def __init__(self, path: str, *forms: BaseModel | None) -> None:
        self.path = path
        self.used: list[DefaultUsed] = []
        self._forms = [form for form in forms if form is not None]

    def given(self, key: str) -> Any:
        """Return what is written, or None."""
        return next((value for form in self._forms if (value := getattr(form, key)) is not None), None)

    def take(self, key: str, default: Any, unit: str, reason: str) -> Any:
        """Return what is written, or else the default, noted with its reason."""
        value = self.given(key)
        if value is not None:
            return value
        self.used.append(DefaultUsed(f"{self.path}.{key}", _text(default, unit), reason))
        return default


def _text(value: Any, unit: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.6g} {unit}".rstrip()
    if isinstance(value, tuple | list):
        return " x ".join(_text(item, "") for item in value) + (f" {unit}" if unit else "")
    return f"{value} {unit}".rstrip()


def _step(value: float, step: float, turn: Callable[[float], int] = round) -> float:
    """Round to a multiple of a step; what is not a number stays so."""
    return round(turn(value / step) * step, 6) if math.isfinite(value) else value


def _between(table: Sequence[tuple[float, float]], at: float) -> float:
    """Read a table between its rows, in a straight line; its ends hold beyond them."""
    if not at > table[0][0]:
        return table[0][1] if at <= table[0][0] else math.nan
    for (x0, y0), (x1, y1) in zip(table, table[1:], strict=False):
        if at <= x1:
            return y0 + (y1 - y0) * (at - x0) / (x1 - x0)
    return table[-1][1]


# Chip load in hardwood, mm per edge and turn, lower ends: a conservative calculator chart from 6.35 mm up, an industrial one below.
_CHIP_LOAD = ((3.2, 0.05), (6.35, 0.08), (12.7, 0.10), (19.0, 0.15))
# Depth of a pass in hardwood: a calculator's cautious table; below its first row in proportion to the diameter.
_PASS = ((0.0, 0.0), (6.35, 1.6), (9.5, 3.2), (12.7, 4.8), (19.0, 6.4), (25.0, 9.5))
# Largest speed of cutters with no mark in the job file: the lowest of three trade tables for each diameter.
_LARGEST_SPEED = ((12.7, 22_000.0), (25.4, 16_000.0), (50.8, 10_000.0))
_USUAL_SPEED = 18_000.0
_DOVETAIL_SHARE = 0.6  # of the straight cutter's chip load: full-depth slotting on a weak neck, common practice 50-70 %

_CLEARANCE_FREE_MM = 10.0  # of stick-out above the cutting edges


def neck_of(diameter_mm: float, angle_deg: float, height_mm: float) -> float:
    """Diameter of a dovetail cutter at a height above its tip. joinery.md section 4."""
    return diameter_mm - 2 * height_mm * math.tan(math.radians(angle_deg))


def cutters_of(form: JobForm) -> tuple[tuple[Cutter, ...], list[DefaultUsed]]:
    """Return every cutter with its settings, and those that were left to camtools."""
    machine = _Blanks("machine", form.machine)
    slowest, fastest = machine.given("min_speed") or _MIN_SPEED, machine.given("max_speed") or _MAX_SPEED
    largest_feed = machine.given("max_feed") or _MAX_FEED
    used: list[DefaultUsed] = []
    cutters = []
    for place, cutter in enumerate(form.cutters, 1):
        blanks = _Blanks(f"cutters[{place}]", cutter)
        cutters.append(_cutter(cutter, place, blanks, (slowest, fastest), largest_feed))
        used.extend(blanks.used)
    return tuple(cutters), used


def _cutter(form: CutterForm, place: int, blanks: _Blanks, spindle: tuple[float, float], largest_feed: float) -> Cutter:
    take = blanks.take
    diameter, dovetail = form.diameter, form.kind == "dovetail"
    angle = form.angle if form.angle is not None else math.nan if dovetail else 0.0
    number = take("number", place, "", "its place in the list")
    shank = take("shank", 6.0 if diameter < 8 else 8.0, "mm", "common practice: small machines hold shanks of 6 to 8 mm")
    flutes = take("flutes", 2, "", "common practice: most joint cutters have two edges")
    marked = next((speed for size, speed in _LARGEST_SPEED if diameter <= size), 8000.0)
    max_speed = take("max_speed", marked, "rpm", "the lowest of three trade tables for this diameter; the speed marked on the cutter overrides it")
    usual = max(spindle[0], min(_USUAL_SPEED, spindle[1], max_speed))
    speed = take("speed", usual, "rpm", "the slow end of a trade table for small cutters, within spindle and cutter")
    if dovetail:
        chip = _between(_CHIP_LOAD, max(neck_of(diameter, angle, form.cutting_length), 0.0)) * _DOVETAIL_SHARE
        why = f"{chip:.3f} mm an edge: a conservative chart for hardwood, at the neck's diameter, and of that 60 %"
    else:
        chip = _between(_CHIP_LOAD, diameter)
        why = f"{chip:.3f} mm an edge: the lower end of a conservative chart for hardwood"
    rate = _step(min(speed * flutes * chip, largest_feed), 10, math.floor)
    feed = take("feed", rate, "mm/min", f"{why}, no more than the machine's")
    plunge = take("plunge", _step(feed / 3, 10, math.floor), "mm/min", "common practice: a third of the feed")
    if dovetail:
        depth_per_pass, plunges = form.cutting_length, False
    else:
        cautious = min(_step(_between(_PASS, diameter), 0.1, math.floor), form.cutting_length)
        depth_per_pass = take("depth_per_pass", cautious, "mm", "a cautious table for hardwood")
        plunges = take("plunges", False, "", "not taken for granted: grooves are entered on a ramp")
    stick_out = take("stick_out", form.cutting_length + _CLEARANCE_FREE_MM, "mm", "common practice: the cutting edges and 10 mm more")
    holder = take("holder", 35.0, "mm", "wide enough for the nuts of small spindles, common practice")
    return Cutter(
        number=number,
        kind=form.kind,
        diameter_mm=diameter,
        angle_deg=angle,
        cutting_length_mm=form.cutting_length,
        shank_mm=shank,
        flutes=flutes,
        speed_rpm=speed,
        max_speed_rpm=max_speed,
        feed_mm_min=feed,
        plunge_mm_min=plunge,
        depth_per_pass_mm=depth_per_pass,
        plunges=plunges,
        stick_out_mm=stick_out,
        holder_mm=holder,
    )


_MIN_SPEED, _MAX_SPEED, _MAX_FEED = 8000.0, 24_000.0, 3000.0


def machine_of(form: JobForm, cutters: Sequence[Cutter], drawers: Sequence[DrawerWish]) -> tuple[Machine, list[DefaultUsed]]:
    """Return the machine, with the heights and holds that these cutters and drawers need."""
    blanks = _Blanks("machine", form.machine)
    take = blanks.take
    small = "common practice for a small machine; write your machine's own"
    travel = take("travel", (600.0, 400.0, 80.0), "mm", small)
    widest = max((cutter.diameter_mm for cutter in cutters), default=0.0)
    longest = max((cutter.cutting_length_mm for cutter in cutters), default=0.0)
    thinnest = min((min(drawer.stock.front_mm, drawer.stock.side_mm, drawer.stock.back_mm) for drawer in drawers), default=12.0)
    machine = Machine(
        travel_mm=tuple(travel) if isinstance(travel, list | tuple) else (math.nan,) * 3,
        min_speed_rpm=take("min_speed", _MIN_SPEED, "rpm", small),
        max_speed_rpm=take("max_speed", _MAX_SPEED, "rpm", small),
        max_feed_mm_min=take("max_feed", _MAX_FEED, "mm/min", small),
        rapid_mm_min=take("rapid", 3000.0, "mm/min", small),
        acceleration_mm_s2=take("acceleration", 250.0, "mm/s2", small),
        clearance_mm=take("clearance", 10.0, "mm", "common practice"),
        change_height_mm=take("change_height", 40.0, "mm", "room for fingers and a spanner, common practice"),
        spin_up_s=take("spin_up", 5.0, "s", "the long end of common practice"),
        tool_change_s=take("tool_change", 90.0, "s", "by hand, with setting its length; common practice"),
        holds=_holds(take("holds", ("upright", "flat"), "", "both are needed for these joints")),
        backing_mm=take("backing", max(18.0, _step(widest + 5, 1, math.ceil)), "mm", "a sheet into which the widest cutter runs out"),
        upright_stop_below_mm=take("upright_stop_below", max(25.0, _step(longest + 5, 1, math.ceil)), "mm", "beyond the longest cutting edge"),
        flat_stop_mm=take("flat_stop", min(6.0, _step(thinnest / 2, 0.5, math.floor)), "mm", "low beside the thinnest board"),
        postprocessor=take("postprocessor", "mm", "", "millimetres, arcs, cutter changes at T and M6"),
    )
    return machine, blanks.used


def _holds(value: Any) -> tuple[Any, ...]:
    return tuple(value) if isinstance(value, list | tuple) else ()


def drawer_of(form: JobForm, drawer: DrawerForm, cutters: Sequence[Cutter]) -> tuple[DrawerWish, list[DefaultUsed]]:
    """Return one drawer with the piece's values and its own, and what was left to camtools, by the piece's keys."""
    stock_blanks = _Blanks("stock", drawer.stock, form.stock)
    joint_blanks = _Blanks("joints", drawer.joints, form.joints)
    groove_blanks = _Blanks("groove", drawer.groove, form.groove)
    fit_blanks = _Blanks("fit", drawer.fit, form.fit)
    stock = _stock(stock_blanks)
    joint = _joint(joint_blanks, stock, cutters)
    wish = DrawerWish(
        name=drawer.name,
        count=drawer.count if drawer.count is not None else 1,
        opening_mm=_sizes(drawer.opening),
        outside_mm=_sizes(drawer.outside),
        stock=stock,
        joint=joint,
        groove=_groove(groove_blanks, stock, joint, cutters),
        fit=_fit(fit_blanks),
    )
    return wish, stock_blanks.used + joint_blanks.used + groove_blanks.used + fit_blanks.used


def _sizes(value: Any) -> tuple[float, float, float] | None:
    if value is None:
        return None
    return (value[0], value[1], value[2]) if isinstance(value, list) else (math.nan,) * 3


def _stock(blanks: _Blanks) -> Stock:
    take, given = blanks.take, blanks.given
    side = given("side")
    wood = _wood(take("wood", UNKNOWN_HARDWOOD, "", "moves as much as the liveliest common woods"))
    bottom_kind = take("bottom_kind", "plywood", "", "common practice: it keeps its size")
    bottom_wood = given("bottom_wood")
    return Stock(
        front_mm=given("front"),
        side_mm=side,
        back_mm=take("back", side, "mm", "as the sides: both cutters then work at one depth"),
        bottom_mm=given("bottom"),
        species=wood,
        sawn=take("sawn", "flat", "", "moves most, so the clearance is on the safe side"),
        bottom_kind=bottom_kind,
        bottom_species=_wood(bottom_wood) if bottom_wood is not None else wood,
        driest_percent=take("driest", 6.0, "%", "Wood Handbook Table 13-2, most of the United States indoors, range from memory"),
        dampest_percent=take("dampest", 10.0, "%", "Wood Handbook Table 13-2, most of the United States indoors, range from memory"),
        now_percent=take("now", 8.0, "%", "Wood Handbook Table 13-2, most of the United States indoors"),
    )


def _wood(name: Any) -> str:
    """Return the tables' name of a wood, or the one that is written where they know none."""
    try:
        return find_wood(name).name
    except (KeyError, AttributeError):
        return str(name)


def _joint(blanks: _Blanks, stock: Stock, cutters: Sequence[Cutter]) -> JointWish:
    take, given = blanks.take, blanks.given
    quarter = max(3.0, _step(stock.front_mm / 4, 0.5)) if math.isfinite(stock.front_mm) else math.nan
    lap = take("lap", quarter, "mm", "a quarter of the front, at least 3 mm; books give a fifth to a third")
    free_depth = take("free_depth", 0.2, "mm", "so that the shoulder closes first")
    proud = take("proud", 0.3, "mm", "common practice, to be planed flush")
    tail = stock.front_mm - lap
    dovetail = take("dovetail", _dovetail(cutters, max(tail + free_depth, stock.back_mm + proud)), "", "the first dovetail cutter that is long enough")
    narrowest = next(
        (neck_of(c.diameter_mm, c.angle_deg, stock.back_mm + proud) for c in cutters if c.number == dovetail and c.kind == "dovetail"), math.nan
    )
    straight = take("straight", _straight(cutters, stock.side_mm + proud, narrowest), "", "the widest straight cutter that is long enough and passes between pins")
    rougher = next((c for c in cutters if c.number == straight), None)
    long_enough = rougher is not None and rougher.cutting_length_mm >= max(tail + free_depth, stock.back_mm + proud)
    return JointWish(
        lap_mm=lap,
        style=take("style", DEFAULT_STYLE, "", "the whole family looks alike"),
        tails=given("tails"),
        tail_mm=given("tail"),
        pin_mm=given("pin"),
        half_pin_mm=given("half_pin"),
        clearance_mm=take("clearance", 0.07, "mm", "most wood glues want 0.05 to 0.15 mm between surfaces, trade"),
        free_depth_mm=free_depth,
        proud_mm=proud,
        rough=take("rough", long_enough, "", "it spares the dovetail cutter's neck" if long_enough else "the straight cutter is too short for it"),
        rough_stock_mm=take("rough_stock", 0.5, "mm", "common practice: the last pass takes 0.3 to 0.5 mm"),
        light_pass_mm=take("light_pass", 0.5, "mm", "common practice, so that the edge does not break out"),
        dovetail=dovetail,
        straight=straight,
    )


DEFAULT_STYLE = "standard"


def _dovetail(cutters: Sequence[Cutter], depth: float) -> int:
    of_kind = [cutter for cutter in cutters if cutter.kind == "dovetail"]
    fits = [cutter for cutter in of_kind if cutter.cutting_length_mm >= depth]
    return next((cutter.number for cutter in fits + of_kind), 0)


def _straight(cutters: Sequence[Cutter], depth: float, narrowest: float) -> int:
    of_kind = [cutter for cutter in cutters if cutter.kind == "straight"]
    fits = [cutter for cutter in of_kind if cutter.cutting_length_mm >= depth and cutter.diameter_mm <= narrowest]
    fits.sort(key=lambda cutter: -cutter.diameter_mm)
    return next((cutter.number for cutter in fits + sorted(of_kind, key=lambda cutter: cutter.diameter_mm)), 0)


def _groove(blanks: _Blanks, stock: Stock, joint: JointWish, cutters: Sequence[Cutter]) -> GrooveWish:
    take = blanks.take
    angle = next((c.angle_deg for c in cutters if c.number == joint.dovetail), math.nan)
    longest = max(stock.front_mm - joint.lap_mm, stock.back_mm + joint.proud_mm)
    inside_tail = (joint.half_pin_mm or _HALF_PIN) + longest * math.tan(math.radians(angle)) + _SPARE
    play = take("play", 0.15, "mm", "common practice: 0.1 to 0.2 mm over the measured panel")
    of_kind = [cutter for cutter in cutters if cutter.kind == "straight"]
    fits = sorted((cutter for cutter in of_kind if cutter.diameter_mm <= stock.bottom_mm + play), key=lambda cutter: -cutter.diameter_mm)
    thinnest = sorted(of_kind, key=lambda cutter: cutter.diameter_mm)
    return GrooveWish(
        edge_mm=take("edge", max(10.0, _step(inside_tail, 0.5, math.ceil)), "mm", "common practice 9.5 to 10 mm, or more to lie inside the lowest tail"),
        depth_mm=take("depth", max(2.0, min(6.0, _step(min(stock.side_mm, stock.back_mm) / 3, 0.5))), "mm", "a third of the side, the careful rule of the trade"),
        play_mm=play,
        ends=take("ends", "stopped", "", "nothing shows and nothing is weakened"),
        stop_mm=take("stop", 3.0, "mm", "common practice"),
        cutter=take("cutter", next((c.number for c in fits + thinnest), 0), "", "the widest straight cutter that fits the groove"),
    )


_HALF_PIN = 6.0  # that does not split, common practice 3 to 6 mm
_SPARE = 1.5  # wood of the tail beside the groove


def _fit(blanks: _Blanks) -> Fit:
    take, given = blanks.take, blanks.given
    front = take("front", "inset", "", "the plain way")
    inset = front == "inset"
    cover = given if inset else (lambda key: take(key, 8.0, "mm", "common practice"))
    return Fit(
        front=front,
        side_mm=take("side", 0.4, "mm", "common practice, wood on wood: 0.5 to 1 mm over both sides"),
        above_mm=given("above"),
        behind_mm=take("behind", 8.0, "mm", "common practice: 6 to 12 mm"),
        reveal_mm=take("reveal", 0.0, "mm", "flush with the case") if inset else 0.0,
        overlay_side_mm=cover("overlay_side") or 0.0,
        overlay_above_mm=cover("overlay_above") or 0.0,
        overlay_below_mm=cover("overlay_below") or 0.0,
        back=take("back", "full", "", "the bottom is held on four sides"),
        finish_mm=take("finish", 0.0, "mm", "the clearance does for a planed drawer"),
    )
