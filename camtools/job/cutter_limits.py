"""What cutters must be among themselves and on the machine, the machine to the boards, and guides of templates in themselves.

A value that could not be read is not a number and compares with nothing, so that only what is known is judged.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence

from camtools.faults import Change, Fault, Way, puts
from camtools.job.blanks import unread
from camtools.job.form import CutterForm, JobForm
from camtools.job.job import Cutter, DrawerWish, Machine, TemplateWish, TrialWish
from camtools.job.slips import nearest
from camtools.wording import down, fine, mm, quantity, up

__all__ = ["ANGLE_DEG", "LOW_CLAMP_MM", "faults_of_cutters", "faults_of_machine", "faults_of_templates", "faults_of_trial"]

ANGLE_DEG = (5.0, 20.0)  # docs/sources.md section 3: cutters on the market have 7 to 18; common practice, no source
LEAST_NECK_MM = 2.0  # a thinner neck snaps; common practice, no source
LOW_CLAMP_MM = 8.0  # a batten screwed down, or a clamp that presses from the side: none is asked to be lower; common practice, no source
_CLEARANCES_MM = (6.0, 5.0, 4.0, 3.0)  # that will do where travel is short; common practice, no source
_PATH = re.compile(r"[./\\]")  # a dialect is named by a file's path where one of these is in it
_EXAMPLES = {
    "dovetail": {"kind": "dovetail", "diameter": 12.7, "angle": 14, "cutting_length": 16},
    "straight": {"kind": "straight", "diameter": 6, "cutting_length": 22},
}
_USES = {"dovetail": "tails and half-blind sockets", "straight": "through pins and grooves"}


def faults_of_cutters(form: JobForm, cutters: Sequence[Cutter], machine: Machine) -> Iterator[Fault]:
    """Judge every cutter by itself, beside the others and on the machine."""
    numbers = {cutter.number for cutter in cutters}
    seen: dict[int, int] = {}
    for place, (written, cutter) in enumerate(zip(form.cutters, cutters, strict=True), 1):
        at = f"cutters[{place}]"
        if not unread(cutter.number) and (first := seen.setdefault(cutter.number, place)) != place:
            free = next(number for number in range(1, 1000) if number not in numbers)
            problem = f"is the number of cutters[{first}] too"
            ways = puts(f"{at}.number", free)
            yield Fault(f"{at}.number", problem, str(cutter.number), "a number of its own", ways=ways)
        yield from _dovetail(at, written, cutter) if cutter.kind == "dovetail" else _straight(at, cutter)
        yield from _held(at, cutter)
        yield from _running(at, cutter, machine)
    kinds = [cutter.kind for cutter in cutters]
    if not any(map(unread, kinds)):  # otherwise the one that is missing may be there
        for kind, use in _USES.items():
            if kind not in kinds:
                ways = puts("cutters[]", _EXAMPLES[kind], example=True)
                yield Fault("cutters", f"there is no {kind} cutter", limit=f"at least one: it cuts {use}", ways=ways)


def _dovetail(at: str, written: CutterForm, cutter: Cutter) -> Iterator[Fault]:
    low, high = ANGLE_DEG
    limit = f"{low:g} to {high:g} degrees"
    if written.angle is None:
        limit += ", of one flank from the axis, as it is marked on the cutter"
        yield Fault(f"{at}.angle", "is missing", limit=limit, ways=puts(f"{at}.angle", 14, 10, 8, 7, 5, example=True))
    elif not unread(cutter.angle_deg) and not low <= cutter.angle_deg <= high:
        halves = puts(f"{at}.angle", *(half for half in (cutter.angle_deg / 2,) if low <= half <= high))
        limit += ", of one flank from the axis"
        ways = (*halves, *puts(f"{at}.angle", 14, 10, 8, 7, 5, example=True))
        yield Fault(f"{at}.angle", "is no angle of a dovetail cutter", f"{cutter.angle_deg:.4g} degrees", limit, ways=ways)
    elif (neck := 2 * cutter.radius_at(cutter.cutting_length_mm)) < LEAST_NECK_MM:
        longest = (cutter.diameter_mm - LEAST_NECK_MM) / 2 / cutter.slope
        yield Fault(
            f"{at}.cutting_length",
            "leaves the cutter no neck above its edges",
            f"a neck of {mm(max(neck, 0.0))}",
            f"at least {mm(LEAST_NECK_MM)}",
            ways=(
                *puts(f"{at}.cutting_length", down(longest, 0.1)),
                *puts(f"{at}.angle", 10, 8, 7, 5),
                *puts(f"{at}.diameter", up(LEAST_NECK_MM + 2 * cutter.cutting_length_mm * cutter.slope, 0.1)),
            ),
        )
    if written.depth_per_pass is not None and not unread(written.depth_per_pass):
        limit, ways = "a dovetail cutter always cuts at full depth", puts(f"{at}.depth_per_pass", None)
        yield Fault(f"{at}.depth_per_pass", "has no meaning for a dovetail cutter", mm(written.depth_per_pass), limit, ways=ways)
    if written.plunges is True:
        problem, limit = "can not be true of a dovetail cutter", "false: it would tear its way down"
        yield Fault(f"{at}.plunges", problem, "true", limit, ways=puts(f"{at}.plunges", None))


def _straight(at: str, cutter: Cutter) -> Iterator[Fault]:
    if cutter.kind == "straight" and cutter.angle_deg > 0:
        ways = (*puts(f"{at}.angle", None), *puts(f"{at}.kind", "dovetail"))
        yield Fault(f"{at}.angle", "has no meaning for a straight cutter", f"{cutter.angle_deg:.4g} degrees", ways=ways)
    most = min(cutter.diameter_mm, cutter.cutting_length_mm)
    if cutter.depth_per_pass_mm > most:
        yield Fault(
            f"{at}.depth_per_pass",
            "is more than the cutter can take",
            mm(cutter.depth_per_pass_mm),
            f"at most {mm(most)}, the lesser of its diameter and its cutting length",
            cannot=True,
            ways=puts(f"{at}.depth_per_pass", None, down(most / 2, 0.1), down(most, 0.1)),
        )


def _held(at: str, cutter: Cutter) -> Iterator[Fault]:
    if cutter.stick_out_mm < cutter.cutting_length_mm:
        limit = f"at least {mm(cutter.cutting_length_mm)}, its cutting length"
        ways = (*puts(f"{at}.stick_out", up(cutter.cutting_length_mm + 10, 1), None), *puts(f"{at}.cutting_length", cutter.stick_out_mm))
        yield Fault(f"{at}.stick_out", "is shorter than the cutting edges", mm(cutter.stick_out_mm), limit, ways=ways)
    if cutter.shank_mm > cutter.holder_mm:
        limit = f"less than the holder, {mm(cutter.holder_mm)}"
        ways = (*puts(f"{at}.holder", None, up(2 * cutter.shank_mm, 1)), *puts(f"{at}.shank", None, cutter.holder_mm))
        yield Fault(f"{at}.shank", "is thicker than what holds it", mm(cutter.shank_mm), limit, ways=ways)


def _running(at: str, cutter: Cutter, machine: Machine) -> Iterator[Fault]:
    low, high, speed = machine.min_speed_rpm, machine.max_speed_rpm, cutter.speed_rpm
    sane = low <= high  # told with the machine where not
    if sane and cutter.max_speed_rpm < low:
        limit = f"at least {low:g} rpm"
        slowest = down(min(cutter.max_speed_rpm, speed), 100)
        ways = (*puts(at, None), (Change("machine.min_speed", slowest), Change(f"{at}.speed", slowest)))
        found = cutter.most_told
        yield Fault(f"{at}.max_speed", "is below the slowest speed of the spindle", found, limit, cannot=True, ways=ways)
    elif speed > cutter.max_speed_rpm:
        limit = f"at most {cutter.most_told}"
        if "max_speed" in cutter.assumed:
            limit += ", by the trade's tables, until max_speed is written as it is marked on its shank"
        ways = puts(f"{at}.speed", cutter.max_speed_rpm, max(low, down(cutter.max_speed_rpm, 1000)), None)
        yield Fault(f"{at}.speed", "is above the largest speed of the cutter", f"{speed:g} rpm", limit, cannot=True, ways=ways)
    elif sane and (speed < low or speed > high):
        ways = puts(f"{at}.speed", min(max(speed, low), high, cutter.max_speed_rpm), None)
        yield Fault(f"{at}.speed", "is no speed of the spindle", f"{speed:g} rpm", f"{low:g} to {high:g} rpm", cannot=True, ways=ways)
    for key, rate in (("feed", cutter.feed_mm_min), ("plunge", cutter.plunge_mm_min)):
        if rate > machine.max_feed_mm_min:
            limit = f"at most {quantity(machine.max_feed_mm_min, 'mm/min')}"
            ways = puts(f"{at}.{key}", machine.max_feed_mm_min, None)
            found = quantity(rate, "mm/min")
            yield Fault(f"{at}.{key}", "is above the largest feed of the machine", found, limit, cannot=True, ways=ways)


def faults_of_machine(machine: Machine, drawers: Sequence[DrawerWish], postprocessors: Collection[str] = ()) -> Iterator[Fault]:
    """Judge the machine by itself, with the boards it is to hold, and by the dialects that are known, where any are."""
    if machine.min_speed_rpm > machine.max_speed_rpm:
        limit = f"at most {machine.max_speed_rpm:g} rpm"
        low, high = Change("machine.min_speed", machine.max_speed_rpm), Change("machine.max_speed", machine.min_speed_rpm)
        ways: tuple[Way, ...] = ((low, high), (low,), (high,))
        yield Fault("machine.min_speed", "is above max_speed", f"{machine.min_speed_rpm:g} rpm", limit, ways=ways)
    if machine.retract_mm < (least := machine.clamp_height_mm + machine.clearance_mm):
        limit, ways = f"at least {mm(least)}, clearance over clamps", puts("machine.retract", up(least, 1))
        yield Fault("machine.retract", "is not clear of all that stands on the machine", mm(machine.retract_mm), limit, ways=ways)
    deepest = max((max(drawer.depths_mm) for drawer in drawers), default=0.0)
    flat = max((drawer.depths_mm[0] for drawer in drawers), default=0.0)
    dry = machine.clamp_height_mm + machine.clearance_mm + flat  # the highest place of a dry run over clamps
    needed = max(machine.retract_mm + deepest, dry + flat)
    if machine.travel_mm[2] < needed:
        over = needed - machine.travel_mm[2]
        if needed > dry + flat:
            limit = f"at least {mm(needed)}: cuts go {mm(deepest)} deep, and programs start {mm(machine.retract_mm)} above the work"
        else:
            limit = f"at least {mm(needed)}: sockets go {mm(flat)} deep, and their dry run passes over clamps"
        lower_mm = down(machine.clamp_height_mm - over, 1)
        lower = puts("machine.clamp_height", *([lower_mm] if lower_mm >= LOW_CLAMP_MM else []))
        ways = (
            *puts("machine.retract", down(machine.retract_mm - over, 0.1), up(machine.clamp_height_mm + machine.clearance_mm, 0.1)),
            *puts("machine.clearance", down(machine.clearance_mm - over, 0.1)),
            *_lower(machine, deepest, flat),
            *((*way, Change("machine.retract", down(machine.retract_mm - over, 0.1))) for way in lower),
            *lower,
            *puts("machine.travel", (*machine.travel_mm[:2], up(needed, 1))),
        )
        found = mm(machine.travel_mm[2])
        yield Fault("machine.travel[3] (Z)", "is less than this job needs", found, limit, cannot=True, ways=ways)
    places = {"upright_plate": (1, machine.upright_plate_mm), "flat_fence": (1, machine.flat_fence_mm)}
    for key, stops in (("upright_stops", machine.upright_stops_mm), ("flat_stops", machine.flat_stops_mm)):
        places |= {f"{key}[{side}]": (0, at) for side, at in enumerate(stops or (), 1)}
    for key, (axis, at) in places.items():
        if at is not None and at > machine.travel_mm[axis]:
            limit = f"at most {mm(machine.travel_mm[axis])}, machine.travel, measured from the left or near end"
            ways = puts(f"machine.{key}", *(round(part * machine.travel_mm[axis]) for part in (0.9, 0.5, 0.2)), example=True)
            yield Fault(f"machine.{key}", "lies beyond the travel", mm(at), limit, ways=ways)
    if len(set(machine.holds)) < len(machine.holds):
        ways = puts("machine.holds", None, tuple(dict.fromkeys(machine.holds)))
        yield Fault("machine.holds", "names a hold twice", ", ".join(machine.holds), "each once", ways=ways)
    thin = [min(drawer.stock.front_mm, drawer.stock.side_mm, drawer.stock.back_mm) for drawer in drawers]
    if thin and machine.flat_stop_mm >= min(thin):
        limit = f"less than the thinnest board, {mm(min(thin))}"
        ways = puts("machine.flat_stop", max(1.0, down(min(thin) / 2, 0.5)))
        yield Fault("machine.flat_stop", "stands in the cutter's way", mm(machine.flat_stop_mm), limit, cannot=True, ways=ways)

    dialect = machine.postprocessor
    if postprocessors and not unread(dialect) and dialect not in postprocessors and not _PATH.search(dialect):
        limit = f'{", ".join(postprocessors)}, or the path of a file of your own, such as "my-machine.toml"'
        meant = nearest(dialect, postprocessors)
        ways = puts("machine.postprocessor", *filter(None, (meant,)), None)
        yield Fault("machine.postprocessor", "there is no such dialect", f'"{dialect}"', limit, ways=ways)


def _lower(machine: Machine, deepest_mm: float, flat_mm: float) -> Iterator[Way]:
    """Yield low clamps, with as much clearance over them as the travel in Z leaves, and programs that start no higher."""
    over_face_mm = machine.travel_mm[2] - max(2 * flat_mm, deepest_mm)  # for clamps and clearance
    for clearance_mm in (machine.clearance_mm, *_CLEARANCES_MM):
        high_mm = down(min(machine.clamp_height_mm, over_face_mm - clearance_mm), 1)
        if clearance_mm <= machine.clearance_mm and high_mm >= LOW_CLAMP_MM:
            way = [Change("machine.clamp_height", high_mm)]
            if clearance_mm < machine.clearance_mm:
                way.append(Change("machine.clearance", clearance_mm))
            if machine.retract_mm + deepest_mm > machine.travel_mm[2]:
                way.append(Change("machine.retract", up(high_mm + clearance_mm, 1)))
            yield tuple(way)


def faults_of_templates(wish: TemplateWish) -> Iterator[Fault]:
    """Judge the templates' movable guides by themselves."""
    if wish.guide_mm is not None and wish.guide_radius_mm is not None and 2 * wish.guide_radius_mm > wish.guide_mm:
        limit, ways = f"at most {mm(wish.guide_mm / 2)}, half the guide", puts("templates.guide_radius", wish.guide_mm / 2, None)
        problem = "is too large for both front corners of a guide"
        yield Fault("templates.guide_radius", problem, mm(wish.guide_radius_mm), limit, ways=ways)


def faults_of_trial(wish: TrialWish) -> Iterator[Fault]:
    """Judge the steps of trial joints: each looser than the one before, so that they are told by counting."""
    for key, steps in (("clearances", wish.clearances_mm), ("groove_plays", wish.groove_plays_mm)):
        rising = tuple(sorted({step for step in steps if not unread(step)}))
        if not any(map(unread, steps)) and steps != rising:
            found = ", ".join(map(fine, steps))
            yield Fault(
                f"trial.{key}", "steps do not rise", found, "each more than the one before", ways=puts(f"trial.{key}", rising, None)
            )
