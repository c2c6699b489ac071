"""How a cutter runs, what a machine can do, what templates and trial joints are like where the job file does not say, each with its reason.

A reason says "common practice" where no source was seen for it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from camtools.job.bench.answers import Answers
from camtools.job.blanks import Blanks, Default, step
from camtools.job.form import WOODS, CutterForm, JobForm, TemplatesForm, TrialForm
from camtools.job.job import AnswerUse, Cutter, DrawerWish, Handling, Machine, TemplateWish, TrialWish, radius_of
from camtools.job.woods import UNKNOWN_HARDWOOD, find_wood, is_softwood
from camtools.wording import fine, mm, span

__all__ = ["chip_load_mm", "cutters_of", "machine_of", "template_wish_of", "trial_wish_of"]

# Chip load, mm for each edge and turn, low and high end against diameter: a conservative calculator's chart, and below its first row an
# industrial chart for spiral cutters. Charts differ by a factor of two and more.
CHIP_LOAD = ((3.2, 0.05, 0.10), (6.35, 0.08, 0.13), (12.7, 0.10, 0.20), (19.0, 0.15, 0.30))
SOFT_CHIP_LOAD = ((3.2, 0.08, 0.13), (6.35, 0.10, 0.15), (12.7, 0.15, 0.25), (19.0, 0.20, 0.38))
GENERAL_CHIP_MM = 0.15  # no thicker chip is taken where the job does not ask for it: the middle of a range for wood in general
# Depth of a pass in hardwood against diameter: a calculator's cautious table, and in proportion below its first row.
PASS_DEPTH = ((0.0, 0.0), (6.35, 1.6), (9.5, 3.2), (12.7, 4.8), (19.0, 6.4), (25.0, 9.5))
SOFT_PASS_SHARE = 0.5  # and in softwood, of the diameter: the same table
# Largest speed up to a diameter: the lowest of the trade tables seen.
LARGEST_SPEED = ((12.7, 22_000.0), (25.4, 16_000.0), (50.8, 10_000.0))
USUAL_SPEED = 18_000.0  # the slow end of a trade table for small cutters
# Of a straight cutter's chip load at the neck, least, usual and most: common practice, no source.
DOVETAIL_SHARE = (0.5, 0.6, 0.7)

MIN_SPEED, MAX_SPEED, MAX_FEED = 8000.0, 24_000.0, 3000.0
TRIAL_CLEARANCES = (0.0, 0.04, 0.08, 0.12, 0.16, 0.2)  # at each flank of a trial joint; common practice, no source
TRIAL_PLAYS = (0.05, 0.15, 0.25)  # of a trial groove; common practice, no source
SPINDLE_MM, NUT_MM = 80.0, 25.0  # diameter of a spindle's body, and how far it stands above the underside of its nut: common practice
KERF_MM = 0.25  # of a laser in birch plywood of 6 mm: a laser shop's table
_NOT_KNOWN = "travel is judged by its length there, not by its place"
WASTE_MM = 0.4  # into the waste sheet under a board that is cut through
_BESIDE_MM = 5.0  # between a nut and the clamps it passes; common practice, no source
_DIALECTS = {  # by the units of the job: name, unit of that name, and reason
    "mm": ("mm", "", "millimetres, arcs, cutter changes in the program"),
    "in": ("inch", "", "inches, as the job: what is read at the controller is what stands on paper; arcs, cutter changes in the program"),
}
_OWN = "as small machines have it: common practice", "in the machine's manual or settings"


def chip_load_mm(diameter_mm: float, angle_deg: float, cutting_length_mm: float, *, soft: bool) -> tuple[float, float, float]:
    """Return what each edge of a cutter takes in a turn: at least, as camtools takes it, and at most.

    It is read off the chart at the diameter, of a dovetail cutter at that of its neck.

    Parameters
    ----------
    angle_deg
        Of a flank from the axis; 0 for a straight cutter.
    soft
        Whether all that it cuts is softwood.
    """
    neck_mm = 2 * radius_of(diameter_mm, angle_deg, cutting_length_mm)
    chart = SOFT_CHIP_LOAD if soft else CHIP_LOAD
    low, high = (_read_off([(row[0], row[end]) for row in chart], neck_mm) for end in (1, 2))
    least, usual, most = DOVETAIL_SHARE if angle_deg else (1.0, 1.0, 1.0)
    return least * low, usual * min(low, GENERAL_CHIP_MM), most * high


def _read_off(table: Sequence[tuple[float, float]], at: float) -> float:
    """Read a table, in a straight line between its rows; its first and last row hold beyond them."""
    if at <= table[0][0]:
        return table[0][1]
    for (x0, y0), (x1, y1) in pairwise(table):
        if at <= x1:
            return y0 + (y1 - y0) * (at - x0) / (x1 - x0)
    return table[-1][1] if math.isfinite(at) else math.nan


def cutters_of(form: JobForm, answers: Answers) -> tuple[tuple[Cutter, ...], list[Default], tuple[AnswerUse, ...]]:
    """Return every cutter with its settings, those that were left to camtools, and what became of answers to cutters."""
    machine, woods = Blanks("machine", form.machine), _woods_cut(form)
    spindle = (machine.given("min_speed") or MIN_SPEED, machine.given("max_speed") or MAX_SPEED)
    most = machine.given("max_feed") or MAX_FEED
    soft = all(wood != "plywood" and is_softwood(wood) for wood in woods)
    taken = {cutter.number for cutter in form.cutters}
    free = iter(number for number in range(1, 1000) if number not in taken)
    cutters: list[Cutter] = []
    used: list[Default] = []
    uses: list[AnswerUse] = []
    for place, cutter in enumerate(form.cutters, 1):
        at = f"cutters[{place}]"
        number = next(free) if cutter.number is None else cutter.number
        settled = sorted(answers.for_settings(at, number, cutter, woods, (*spindle, most)), key=lambda one: one.use.number)
        uses += [one.use for one in settled]
        answered = {one.key: (one.value, f"your answer in {answers.where}: {one.use.words}") for one in settled if one.value is not None}
        blanks = Blanks(at, cutter, answered=answered)
        number = blanks.take("number", number, "", "the first number that is free")
        cutters.append(_cutter(cutter, number, blanks, spindle, most, soft=soft))
        used.extend(blanks.used)
    measured, told = answers.measured(cutters)
    return measured, used, (*told, *uses, *answers.of_no_cutter([cutter.number for cutter in cutters]))


def _woods_cut(form: JobForm) -> tuple[str, ...]:
    """Return the woods that cutters meet, as ``Job.woods_cut`` does; what is no wood is told with the drawers."""
    found = set()
    for drawer in form.drawers:
        given = Blanks("stock", drawer.stock, form.stock).given
        machined = Blanks("groove", drawer.groove, form.groove).given("bottom_corners") == "machine"
        plywood = given("bottom_kind") != "solid"
        found |= {"plywood"} if machined and plywood else set()
        for key in WOODS[1:] if machined and not plywood else WOODS[1:4]:
            written = given(key) or given("wood")
            try:
                found.add(find_wood(written if isinstance(written, str) else UNKNOWN_HARDWOOD).name)
            except KeyError:
                found.add(UNKNOWN_HARDWOOD)
    return tuple(sorted(found))


def _cutter(form: CutterForm, number: int, blanks: Blanks, spindle: tuple[float, float], most_feed: float, *, soft: bool) -> Cutter:
    take, diameter, length = blanks.take, form.diameter, form.cutting_length
    dovetail = form.kind == "dovetail"
    angle = form.angle if form.angle is not None else math.nan if dovetail else 0.0
    slowest = next((speed for size, speed in LARGEST_SPEED if diameter <= size), LARGEST_SPEED[-1][1])
    max_speed = take("max_speed", slowest, "rpm", "the lowest of the trade's tables for this diameter", "the mark on the shank")
    held = f"common practice: small machines hold shanks of {span(6, 8)}"
    shank = take("shank", 6.0 if diameter < 8 else 8.0, "mm", held, "calipers round the shank")
    flutes = take("flutes", 2, "", "common practice for joint cutters", "its cutting edges, counted")
    usual = min(max(min(USUAL_SPEED, spindle[1]), spindle[0]), max_speed)
    speed = take("speed", usual, "rpm", "the slow end of a trade table, within what spindle and cutter allow")
    _, chip, _ = chip_load_mm(diameter, angle, length, soft=soft)
    wood = "softwood" if soft else "hardwood"
    chart = f"the low end of a conservative chart for {wood}"
    charted = f"{DOVETAIL_SHARE[1]:.0%} of {chart} at the diameter of the neck" if dovetail else chart
    why = f"{fine(chip)} for each edge: {charted}"
    rate = step(speed * flutes * chip, 10, math.floor)
    if rate > most_feed:
        rate, why = most_feed, f"the machine's largest; {why}"
    feed = take("feed", rate, "mm/min", why)
    third = step(feed / 3, 10, math.floor)
    if dovetail:  # of a plunge nothing is told where there is none
        plunge = third if form.plunge is None else form.plunge
        depth, plunges = length, False
    else:
        plunge = take("plunge", third, "mm/min", "common practice: a third of the feed")
        charted_mm = SOFT_PASS_SHARE * diameter if soft else _read_off(PASS_DEPTH, diameter)
        cautious = min(step(charted_mm, 0.1, math.floor), length)
        depth = take("depth_per_pass", cautious, "mm", f"a cautious table for {wood}")
        plunges = take("plunges", False, "", "not taken for granted: it enters on a ramp")
    return Cutter(
        number=number,
        kind=form.kind,
        diameter_mm=diameter,
        angle_deg=angle,
        cutting_length_mm=length,
        shank_mm=shank,
        flutes=flutes,
        speed_rpm=speed,
        max_speed_rpm=max_speed,
        feed_mm_min=feed,
        plunge_mm_min=plunge,
        depth_per_pass_mm=depth,
        plunges=plunges,
        stick_out_mm=take("stick_out", length + 10, "mm", f"common practice: the cutting edges and {mm(10)} more"),
        holder_mm=take("holder", 35.0, "mm", "common practice: as wide as the nuts of small spindles", "calipers over the nut"),
        assumed=tuple(default.key.rpartition(".")[2] for default in blanks.used if default.ask),
    )


def machine_of(form: JobForm, cutters: Sequence[Cutter], drawers: Sequence[DrawerWish]) -> tuple[Machine, list[Default]]:
    """Return the machine, with heights and holds that do for these cutters and drawers, and what was left to camtools."""
    blanks = Blanks("machine", form.machine)
    take = blanks.take
    widest = max((cutter.diameter_mm for cutter in cutters), default=0.0)
    longest = max((cutter.cutting_length_mm for cutter in cutters), default=0.0)
    widths = [width for cutter in cutters for width in (cutter.holder_mm, cutter.shank_mm, cutter.diameter_mm)]
    wide = max(widths, default=0.0)  # of what may come over a clamp
    beside = (wide - min((cutter.diameter_mm for cutter in cutters if cutter.kind == "straight"), default=0.0)) / 2
    deep = max((drawer.stock.side_mm for drawer in drawers), default=0.0)  # the sockets' way into a front
    thinnest = min((min(drawer.stock.front_mm, drawer.stock.side_mm, drawer.stock.back_mm) for drawer in drawers), default=0.0)
    clearance = take("clearance", 10.0, "mm", "common practice")
    high = take("clamp_height", 25.0, "mm", "common practice: a strap, its nut and the end of its stud", "a rule beside a clamp")
    handling, handling_defaults = _handling_of(form)
    machine = Machine(
        travel_mm=_three(take("travel", (600.0, 400.0, 80.0), "mm", *_OWN)),
        min_speed_rpm=take("min_speed", MIN_SPEED, "rpm", *_OWN),
        max_speed_rpm=take("max_speed", MAX_SPEED, "rpm", *_OWN),
        max_feed_mm_min=take("max_feed", MAX_FEED, "mm/min", *_OWN),
        rapid_mm_min=take("rapid", 3000.0, "mm/min", *_OWN),
        acceleration_mm_s2=take("acceleration", 250.0, "mm/s2", *_OWN),
        clearance_mm=clearance,
        retract_mm=take("retract", max(40.0, high + clearance), "mm", "common practice: above stops and clamps, room for a spanner"),
        spin_up_s=take("spin_up", 5.0, "s", "common practice, the long end"),
        tool_change_s=take("tool_change", 90.0, "s", "common practice, by hand and with setting its length"),
        holds=_listed(take("holds", ("upright", "flat"), "", "with both no relief of a corner shows")),
        backing_mm=take("backing", max(step(widest + 5, 1, math.ceil), 18.0), "mm", "a sheet that the widest cutter can run out into"),
        upright_stop_below_mm=take("upright_stop_below", max(step(longest + 5, 1, math.ceil), 25.0), "mm", "below the longest cutter"),
        upright_stops_mm=_stops(take("upright_stops", None, "", _NOT_KNOWN)),
        upright_plate_mm=take("upright_plate", None, "", _NOT_KNOWN),
        flat_stops_mm=_stops(take("flat_stops", None, "", _NOT_KNOWN)),
        flat_fence_mm=take("flat_fence", None, "", _NOT_KNOWN),
        flat_stop_mm=take("flat_stop", min(max(step(thinnest / 2, 0.5, math.floor), 1.0), 6.0), "mm", "low beside the thinnest board"),
        clamp_height_mm=high,
        clamp_from_end_mm=take(
            "clamp_from_end",
            step(deep + wide / 2 + _BESIDE_MM, 1, math.ceil),
            "mm",
            f"{mm(_BESIDE_MM)} beside the widest nut over sockets",
        ),
        clamp_from_groove_mm=take(
            "clamp_from_groove", step(beside + _BESIDE_MM, 1, math.ceil), "mm", f"{mm(_BESIDE_MM)} beside the widest nut over a groove"
        ),
        waste_depth_mm=take("waste_depth", WASTE_MM, "mm", f"common practice, {span(0.3, 0.5)}: boards are not all alike"),
        postprocessor=take("postprocessor", *_DIALECTS["in" if form.units == "in" else "mm"]),
        power_w=blanks.given("power"),
        spindle_diameter_mm=take("spindle_diameter", SPINDLE_MM, "mm", "wider than the bodies of small spindles", "a rule across its body"),
        nut_height_mm=take("nut_height", NUT_MM, "mm", "as short as small nuts are", "a rule beside the nut"),
        handling=handling,
        height_stop=take("height_stop", False, "", "not taken for granted: the page has its measures"),
        two_at_once=take("two_at_once", True, "", "a board at each stop, where upright_stops or flat_stops tell that two fit"),
        stack_mm=blanks.given("stack"),
    )
    return machine, [*blanks.used, *handling_defaults]


def _handling_of(form: JobForm) -> tuple[Handling, list[Default]]:
    """Return the minutes of handling, and those that were left to camtools."""
    blanks = Blanks("machine.handling", form.machine and form.machine.handling)
    usual = Handling()
    reason = "common practice, no source: time yourself and write your own"
    minutes = [blanks.take(key, getattr(usual, f"{key}_min"), "min", reason) for key in ("setup", "board", "zero", "hold")]
    return Handling(*minutes), blanks.used


def template_wish_of(form: TemplatesForm) -> tuple[TemplateWish, list[Default]]:
    """Return what the templates are to be like, and what of it was left to camtools."""
    blanks = Blanks("templates", form)
    take, given = blanks.take, blanks.given
    wish = TemplateWish(
        bushes_mm=_listed(given("bushes")) or None,
        bush_wall_mm=take("bush_wall", 1.0, "mm", "common practice: measure your own"),
        comb_mm=take("comb", 6.0, "mm", "common practice: a sheet that a laser cuts, thicker than bushes are long"),
        kerf_mm=take("kerf", KERF_MM, "mm", f"a laser shop's table for birch plywood of {mm(6)}: cut the kerf test and measure your own"),
        guide_mm=given("guide"),
        guide_radius_mm=given("guide_radius"),
        guide_inset_mm=given("guide_inset"),
        sheet_mm=_two(take("sheet", (600.0, 300.0), "mm", "common practice: the bed of a small laser")),
        dxf=take("dxf", "R2000", "", "it bears its unit; R12 is for programs that read nothing newer"),
        text=take("text", "strokes", "", "engraved sooner than outlines"),
        leave_out=take("leave_out", False, "", "what is asked for is made, or refused with numbers"),
    )
    return wish, blanks.used


def trial_wish_of(form: TrialForm | None, cutters: Sequence[Cutter], drawers: Sequence[DrawerWish]) -> tuple[TrialWish, list[Default]]:
    """Return the steps of trial joints, and those that a table of them left to camtools."""
    blanks = Blanks("trial", form)
    sizes = {cutter.number: cutter.diameter_mm for cutter in cutters}
    wider = max((sizes.get(drawer.groove.cutter, 0.0) - drawer.stock.bottom_mm for drawer in drawers), default=0.0)
    least = step(max(wider, 0.0), 0.05, math.ceil)
    plays = tuple(step(least + more, 0.01) for more in TRIAL_PLAYS)
    why = f"common practice: {span(0.1, 0.2)} over the panel; the cutter must fit" if least else f"common practice: {span(0.1, 0.2)}"
    wish = TrialWish(
        clearances_mm=_listed(blanks.take("clearances", TRIAL_CLEARANCES, "mm", "common practice: from tight to loose")),
        groove_plays_mm=_listed(blanks.take("groove_plays", plays, "mm", why)),
    )
    return wish, blanks.used if form is not None else []


def _two(value: Any) -> tuple[float, float]:
    return (value[0], value[1]) if isinstance(value, list | tuple) else (math.nan, math.nan)


def _stops(value: Any) -> tuple[float, float] | None:
    return (value[0], value[1]) if isinstance(value, list | tuple) else None


def _three(value: Any) -> tuple[float, float, float]:
    return (value[0], value[1], value[2]) if isinstance(value, list | tuple) else (math.nan, math.nan, math.nan)


def _listed(value: Any) -> tuple[Any, ...]:
    return tuple(value) if isinstance(value, list | tuple) else ()
