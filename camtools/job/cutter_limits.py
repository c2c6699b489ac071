"""What cutters must be among themselves and on the machine, the machine to the boards, and fingers of templates in themselves.

A value that could not be read is not a number and compares with nothing, so that only what is known is judged.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence

from camtools.faults import Fault
from camtools.job.blanks import unread
from camtools.job.form import CutterForm, JobForm
from camtools.job.job import Cutter, DrawerWish, Machine, TemplateWish
from camtools.job.slips import nearest
from camtools.wording import mm, quantity

__all__ = ["ANGLE_DEG", "faults_of_cutters", "faults_of_machine", "faults_of_templates"]

ANGLE_DEG = (5.0, 20.0)  # docs/sources.md section 3: cutters on the market have 7 to 18; common practice, no source
LEAST_NECK_MM = 2.0  # a thinner neck snaps; common practice, no source
_PATH = re.compile(r"[./\\]")  # a dialect is named by a file's path where one of these is in it
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
            yield Fault(f"{at}.number", problem, str(cutter.number), "a number of its own", f"{free} is free")
        yield from _dovetail(at, written, cutter) if cutter.kind == "dovetail" else _straight(at, cutter)
        yield from _held(at, cutter)
        yield from _running(at, cutter, machine)
    kinds = [cutter.kind for cutter in cutters]
    if not any(map(unread, kinds)):  # otherwise the one that is missing may be there
        for kind, use in _USES.items():
            if kind not in kinds:
                yield Fault("cutters", f"there is no {kind} cutter", limit="at least one", remedy=f"add one: it cuts {use}")


def _dovetail(at: str, written: CutterForm, cutter: Cutter) -> Iterator[Fault]:
    low, high = ANGLE_DEG
    limit = f"{low:g} to {high:g} degrees"
    if written.angle is None:
        yield Fault(
            f"{at}.angle", "is missing", limit=limit, remedy="add the angle of one flank from the axis, as it is marked on the cutter"
        )
    elif not unread(cutter.angle_deg) and not low <= cutter.angle_deg <= high:
        whole = low <= cutter.angle_deg / 2 <= high
        remedy = "write the angle of one flank from the axis" + (f": half of it is {cutter.angle_deg / 2:.4g}" if whole else "")
        yield Fault(f"{at}.angle", "is no angle of a dovetail cutter", f"{cutter.angle_deg:.4g} degrees", limit, remedy)
    elif (neck := 2 * cutter.radius_at(cutter.cutting_length_mm)) < LEAST_NECK_MM:
        longest = (cutter.diameter_mm - LEAST_NECK_MM) / 2 / cutter.slope
        yield Fault(
            f"{at}.cutting_length",
            "leaves the cutter no neck above its edges",
            f"a neck of {mm(max(neck, 0.0))}",
            f"at least {mm(LEAST_NECK_MM)}",
            f"measure again: with this diameter and angle the edges are at most {mm(max(longest, 0.0))} long",
        )
    if written.depth_per_pass is not None and not unread(written.depth_per_pass):
        remedy = "take it out: a dovetail cutter always cuts at full depth"
        yield Fault(f"{at}.depth_per_pass", "has no meaning for a dovetail cutter", mm(written.depth_per_pass), remedy=remedy)
    if written.plunges is True:
        yield Fault(f"{at}.plunges", "can not be true of a dovetail cutter", "true", "false", "it would tear its way down: take it out")


def _straight(at: str, cutter: Cutter) -> Iterator[Fault]:
    if cutter.kind == "straight" and cutter.angle_deg > 0:
        remedy = 'take it out, or write kind = "dovetail"'
        yield Fault(f"{at}.angle", "has no meaning for a straight cutter", f"{cutter.angle_deg:.4g} degrees", remedy=remedy)
    most = min(cutter.diameter_mm, cutter.cutting_length_mm)
    if cutter.depth_per_pass_mm > most:
        yield Fault(
            f"{at}.depth_per_pass",
            "is more than the cutter can take",
            mm(cutter.depth_per_pass_mm),
            f"at most {mm(most)}, the lesser of its diameter and its cutting length",
            f"half the diameter is careful: {mm(cutter.diameter_mm / 2)}",
        )


def _held(at: str, cutter: Cutter) -> Iterator[Fault]:
    if cutter.stick_out_mm < cutter.cutting_length_mm:
        limit = f"at least {mm(cutter.cutting_length_mm)}, its cutting length"
        remedy = "measure from the tip to the underside of the nut"
        yield Fault(f"{at}.stick_out", "is shorter than the cutting edges", mm(cutter.stick_out_mm), limit, remedy)
    if cutter.shank_mm > cutter.holder_mm:
        limit = f"less than the holder, {mm(cutter.holder_mm)}"
        yield Fault(f"{at}.shank", "is thicker than what holds it", mm(cutter.shank_mm), limit, "measure both again")


def _running(at: str, cutter: Cutter, machine: Machine) -> Iterator[Fault]:
    low, high, speed = machine.min_speed_rpm, machine.max_speed_rpm, cutter.speed_rpm
    sane = low <= high  # told with the machine where not
    if sane and cutter.max_speed_rpm < low:
        limit = f"at least {low:g} rpm"
        remedy = "this cutter can not be run on this machine"
        yield Fault(f"{at}.max_speed", "is below the slowest speed of the spindle", f"{cutter.max_speed_rpm:g} rpm", limit, remedy)
    elif speed > cutter.max_speed_rpm:
        limit = f"at most {cutter.max_speed_rpm:g} rpm"
        remedy = "run it slower; if the mark on the cutter allows more, write that as its max_speed"
        yield Fault(f"{at}.speed", "is above the largest speed of the cutter", f"{speed:g} rpm", limit, remedy)
    elif sane and (speed < low or speed > high):
        remedy = "change it, or min_speed and max_speed of the machine"
        yield Fault(f"{at}.speed", "is no speed of the spindle", f"{speed:g} rpm", f"{low:g} to {high:g} rpm", remedy)
    for key, rate in (("feed", cutter.feed_mm_min), ("plunge", cutter.plunge_mm_min)):
        if rate > machine.max_feed_mm_min:
            limit = f"at most {quantity(machine.max_feed_mm_min, 'mm/min')}"
            yield Fault(
                f"{at}.{key}",
                "is above the largest feed of the machine",
                quantity(rate, "mm/min"),
                limit,
                "change it, or the machine's max_feed",
            )


def faults_of_machine(machine: Machine, drawers: Sequence[DrawerWish], postprocessors: Collection[str] = ()) -> Iterator[Fault]:
    """Judge the machine by itself, with the boards it is to hold, and by the dialects that are known, where any are."""
    if machine.min_speed_rpm > machine.max_speed_rpm:
        limit = f"at most {machine.max_speed_rpm:g} rpm"
        yield Fault("machine.min_speed", "is above max_speed", f"{machine.min_speed_rpm:g} rpm", limit, "exchange them, or write both")
    if machine.retract_mm < (least := machine.clamp_height_mm + machine.clearance_mm):
        limit, remedy = f"at least {mm(least)}, clearance over clamps", "write the height that is clear of all on the machine"
        yield Fault("machine.retract", "is not clear of all that stands on the machine", mm(machine.retract_mm), limit, remedy)
    deepest = max((max(drawer.depths_mm) for drawer in drawers), default=0.0)
    flat = max((drawer.depths_mm[0] for drawer in drawers), default=0.0)
    dry = machine.clamp_height_mm + machine.clearance_mm + flat  # the highest place of a dry run over clamps
    needed = max(machine.retract_mm + deepest, dry + flat)
    if machine.travel_mm[2] < needed:
        if needed > dry + flat:
            remedy = f"cuts go {mm(deepest)} deep, and programs start {mm(machine.retract_mm)} above the work: lower retract if you can"
        else:
            remedy = f"sockets go {mm(flat)} deep, and their dry run passes clamps: use lower ones and lower clamp_height, or clearance"
        yield Fault("machine.travel[3] (Z)", "is less than this job needs", mm(machine.travel_mm[2]), f"at least {mm(needed)}", remedy)
    places = {"upright_plate": (1, machine.upright_plate_mm), "flat_fence": (1, machine.flat_fence_mm)}
    for key, stops in (("upright_stops", machine.upright_stops_mm), ("flat_stops", machine.flat_stops_mm)):
        places |= {f"{key}[{side}]": (0, at) for side, at in enumerate(stops or (), 1)}
    for key, (axis, at) in places.items():
        if at is not None and at > machine.travel_mm[axis]:
            limit = f"at most {mm(machine.travel_mm[axis])}, machine.travel"
            yield Fault(f"machine.{key}", "lies beyond the travel", mm(at), limit, "measure it from the left or near end of the travel")
    if len(set(machine.holds)) < len(machine.holds):
        yield Fault("machine.holds", "names a hold twice", ", ".join(machine.holds), "each once")
    thin = [min(drawer.stock.front_mm, drawer.stock.side_mm, drawer.stock.back_mm) for drawer in drawers]
    if thin and machine.flat_stop_mm >= min(thin):
        limit = f"less than the thinnest board, {mm(min(thin))}"
        yield Fault("machine.flat_stop", "stands in the cutter's way", mm(machine.flat_stop_mm), limit, "use a lower stop and fence")

    dialect = machine.postprocessor
    if postprocessors and not unread(dialect) and dialect not in postprocessors and not _PATH.search(dialect):
        remedy = nearest(dialect, postprocessors) or 'name one of these, or the path of a file of your own, such as "my-machine.toml"'
        yield Fault("machine.postprocessor", "there is no such dialect", f'"{dialect}"', ", ".join(postprocessors), remedy)


def faults_of_templates(wish: TemplateWish) -> Iterator[Fault]:
    """Judge the templates' fingers by themselves."""
    if wish.finger_mm is not None and wish.finger_radius_mm is not None and 2 * wish.finger_radius_mm > wish.finger_mm:
        limit = f"at most {mm(wish.finger_mm / 2)}, half the finger"
        yield Fault("templates.finger_radius", "is too large for both front corners of a finger", mm(wish.finger_radius_mm), limit)
