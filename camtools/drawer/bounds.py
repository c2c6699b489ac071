"""What cutters and wood allow in a pair of joints, front and back, before anything is laid out. docs/joinery.md sections 5 and 6.

The tails at both ends of a side are in step, so every bound is that of the stricter joint. Widths are those of the tip plane.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from camtools.drawer.boards import Flat
from camtools.faults import Fault, puts
from camtools.job.drawer_defaults import SPARE_MM
from camtools.job.drawer_limits import LEAST_TAIL_MM, OVER_MM, PIN_MM, ROUND_MM, STRAIGHT_MM, faults_of_joints
from camtools.job.job import Cutter, DrawerWish, Job
from camtools.wording import down, mm, up

__all__ = ["Bounds", "Least", "bounds_of", "cutter_faults"]

ROOT_MM = 2.0  # least of a pin's narrow side between two reliefs; the rest of it is wider; common practice, no source
SHOULDER_MM = 1.0  # least of the shoulder between two tails that meets the pin; common practice, no source
PASS_MM = 0.05  # by how much a gap is to be wider than the cutter that goes through it
BASE_MM = 5.0  # narrowest base of a tail: below it short grain breaks off; common practice, no source
SOFT_HALF_PIN_MM = 5.0  # the same in softwood, common practice, no source


@dataclass(frozen=True, slots=True)
class Least:
    """A smallest width and the reason for it."""

    mm: float
    reason: str


@dataclass(frozen=True, slots=True)
class Bounds:
    """Smallest widths, where the lowest tail must lie, and where it is wished to lie so that the groove is inside it."""

    tail: Least
    pin: Least
    half_pin: Least
    lean_mm: float  # by which a tail is narrower at half its length than at its tip, both flanks together
    most_half_pin_mm: float  # highest place for the lower corner of the lowest tail; infinite where a groove stops before the joint
    first_high: Least  # lowest place for the upper corner of the lowest tail; 0 where nothing asks for one
    cover_mm: tuple[float, float]  # highest and lowest place for those corners that let the groove lie inside the tail
    raised: bool


def bounds_of(job: Job, wish: DrawerWish, backs_mm: Sequence[float] = ()) -> Bounds:
    """Return what the cutters and the wood of a drawer allow, with a back of any of these thicknesses besides its own."""
    joint, stock, groove = wish.joint, wish.stock, wish.groove
    dovetail, straight = job.cutter(joint.dovetail), job.cutter(joint.straight)
    slope = dovetail.slope
    length, back, thin = stock.front_mm - joint.lap_mm, max(stock.back_mm, *backs_mm, 0.0), min(stock.back_mm, *backs_mm, math.inf)
    longer = max(length, back)
    high = wish.groove_top_mm
    raised = wish.fit.back == "raised"

    flat = Flat(straight, job.machine.waste_depth_mm) if job.machine.flat_only else None
    free = joint.free_depth_mm if flat is None else min(joint.free_depth_mm, flat.below_mm)
    notch = 0.0 if flat is None else flat.notch_mm(dovetail.angle_deg)
    tails = [
        Least(
            dovetail.diameter_mm - 2 * dovetail.play_mm(joint.clearance_mm, free),
            f"{'the half-blind' if flat is None else 'a'} socket must take the dovetail cutter of {mm(dovetail.diameter_mm)}",
        ),
        Least(BASE_MM + 2 * (longer * slope + notch), f"a tail needs {mm(BASE_MM)} of wood at its base"),
    ]
    pins, half_pins = [Least(PIN_MM, "a thinner pin splits")], [Least(PIN_MM, "a thinner half pin breaks off")]
    if flat is None:
        tails.append(
            Least(
                straight.diameter_mm + 2 * back * slope - 2 * joint.through_clearance_mm,
                f"the narrow end of the through socket must take the straight cutter of {mm(straight.diameter_mm)}",
            )
        )
        pins.append(
            Least(
                dovetail.diameter_mm - 2 * min(length, thin) * slope + PASS_MM,
                f"the dovetail cutter of {mm(dovetail.diameter_mm)} must pass between two tails {mm(min(length, thin))} long",
            )
        )
    else:
        relief = max(clearance + relief for _, clearance, relief in _relieved(job, wish, dovetail, thin))
        pins += [
            Least(
                straight.diameter_mm / math.cos(math.radians(dovetail.angle_deg)) + 2 * joint.proud_mm * slope + PASS_MM,
                f"the straight cutter of {mm(straight.diameter_mm)} must pass between two tails",
            ),
            Least(ROOT_MM + 2 * relief, f"{mm(ROOT_MM)} of a pin must be left between the reliefs of two sockets"),
            Least(
                SHOULDER_MM + 2 * flat.opens_mm(dovetail.angle_deg) - 2 * min(length, thin) * slope,
                f"{mm(SHOULDER_MM)} of the shoulder must be left between the reliefs of two tails",
            ),
        ]
        half_pins.append(Least(ROOT_MM + relief, f"{mm(ROOT_MM)} of a half pin must be left beside the relief of its socket"))
    # A stopped groove ends before it meets a joint; a hidden one runs into the front's, and under a raised back all run out.
    hidden, front = groove.ends == "hidden", SPARE_MM + length * slope
    inside = Least(high + front, "the groove must run inside the lowest tail")
    over = Least(high + OVER_MM + back * slope, f"the lowest tail needs {mm(OVER_MM)} of wood over the raised back's lower edge")
    asked = [*([inside] if hidden else []), *([over] if raised else [])]
    wished = front if raised else SPARE_MM + longer * slope
    tail, pin, half_pin = (max(leasts, key=lambda least: least.mm) for leasts in (tails, pins, half_pins))
    return Bounds(
        tail=tail,
        pin=pin,
        half_pin=half_pin,
        lean_mm=length * slope,
        most_half_pin_mm=groove.edge_mm - front if hidden else math.inf,
        first_high=max(asked, key=lambda least: least.mm, default=Least(0.0, "")),
        cover_mm=(groove.edge_mm - wished, high + wished),
        raised=raised,
    )


def _relieved(job: Job, wish: DrawerWish, dovetail: Cutter, back_mm: float) -> tuple[tuple[float, float, float], ...]:
    """Return of the sockets of front and back, where all is cut flat: their depth, clearance and relief, in mm."""
    joint, front_mm = wish.joint, wish.stock.front_mm
    depths = (front_mm - joint.lap_mm + joint.free_depth_mm, back_mm + job.machine.waste_depth_mm)
    fits = zip(depths, (joint.clearance_mm, joint.through_clearance_mm), strict=True)
    return tuple((depth, clearance, dovetail.relief_mm(clearance, depth)) for depth, clearance in fits)


def cutter_faults(job: Job, wish: DrawerWish, where: str) -> list[Fault]:
    """Name everything that these cutters can not do in this wood, however the joint is laid out."""
    faults = list(faults_of_joints(lambda key, *_: f"{where}, {key}", wish, job.cutters))
    joint, length = wish.joint, wish.stock.front_mm - wish.joint.lap_mm
    dovetail = next((cutter for cutter in job.cutters if cutter.number == joint.dovetail and cutter.kind == "dovetail"), None)
    if dovetail is not None and length >= LEAST_TAIL_MM:
        corners = _flat_faults if job.machine.flat_only else _corner_faults
        faults += corners(job, wish, dovetail, length, f"{where}, joints.dovetail", f"cutters[{job.cutters.index(dovetail) + 1}]")
    return faults


def _corner_faults(_: Job, wish: DrawerWish, dovetail: Cutter, length: float, where: str, at: str) -> list[Fault]:
    """Compare the rounded corner of the half-blind tails with the side, and with the cutter, whose place in the job file is ``at``."""
    joint, radius, slope = wish.joint, dovetail.diameter_mm / 2, dovetail.slope
    narrow, play = dovetail.radius_at(length), dovetail.play_mm(joint.clearance_mm, joint.free_depth_mm)  # r0 and p
    if narrow - play < ROUND_MM:
        most = (radius - joint.clearance_mm - ROUND_MM) / slope - joint.free_depth_mm
        return [
            Fault(where, "the dovetail cutter comes to a point within tails so long", f"tails {mm(length)} long",
                  f"at most {mm(max(0.0, most))}",
                  ways=(*puts("joints.lap", up(wish.stock.front_mm - most, 0.1)), *puts("stock.front", down(joint.lap_mm + most, 0.1)),
                        *puts(f"{at}.diameter", up(2 * ((length + joint.free_depth_mm) * slope + joint.clearance_mm + ROUND_MM), 0.1))))
        ]  # fmt: skip
    straight = wish.stock.side_mm + play - narrow
    if straight < STRAIGHT_MM:
        return [
            Fault(where, "the rounded corners of the half-blind tails take up the whole side", f"side {mm(wish.stock.side_mm)}",
                  f"at least {mm(STRAIGHT_MM + narrow - play)}",
                  ways=(*puts("stock.side", up(STRAIGHT_MM + narrow - play, 0.1)),
                        *puts(f"{at}.diameter", down(dovetail.diameter_mm - 2 * (STRAIGHT_MM - straight), 0.1))))
        ]  # fmt: skip
    neck = dovetail.radius_at(wish.stock.back_mm + joint.proud_mm)
    if neck < ROUND_MM:
        return [
            Fault(where, "the dovetail cutter comes to a point within the through tails", f"back {mm(wish.stock.back_mm)}",
                  f"at most {mm((radius - ROUND_MM) / slope - joint.proud_mm)}",
                  ways=(*puts("stock.back", down((radius - ROUND_MM) / slope - joint.proud_mm, 0.1)),
                        *puts(f"{at}.diameter", up(2 * (ROUND_MM + (wish.stock.back_mm + joint.proud_mm) * slope), 0.1))))
        ]  # fmt: skip
    return []


def _flat_faults(job: Job, wish: DrawerWish, dovetail: Cutter, _: float, where: str, at: str) -> list[Fault]:
    """Compare the sockets that the dovetail cutter makes in boards that lie flat with its edges, and with the side that reliefs spare."""
    joint, stock, machine = wish.joint, wish.stock, job.machine
    faults = []
    below = machine.waste_depth_mm
    straight = next((cutter for cutter in job.cutters if cutter.number == joint.straight and cutter.kind == "straight"), None)
    for key, cutter, board, thick in (("dovetail", dovetail, "back", stock.back_mm), ("straight", straight, "side", stock.side_mm)):
        if cutter is not None and cutter.cutting_length_mm < thick + below - 1e-9:
            longer = [one.number for one in job.cutters if one.kind == key and one.cutting_length_mm >= thick + below]
            edges = f"cutters[{job.cutters.index(cutter) + 1}].cutting_length"
            ways = (*puts(f"joints.{key}", *longer), *puts(f"stock.{board}", down(cutter.cutting_length_mm - below, 0.1)),
                    *puts(edges, up(thick + below, 0.5)),
                    *puts("machine.holds", ("upright", "flat")))  # fmt: skip
            faults.append(
                Fault(edges, f"with no upright hold cutter {cutter.number} goes right through the {board}, "
                      "and is too short for that", f"cutting length {mm(cutter.cutting_length_mm)}",
                      f"at least {mm(thick + below)}: {board} {mm(thick)}, {mm(below)} into the waste sheet", ways=ways)
            )  # fmt: skip
    sockets = zip(("half-blind", "through"), _relieved(job, wish, dovetail, stock.back_mm), strict=True)
    for what, (depth, clearance, relief) in sockets:
        mouth, tip = dovetail.radius_at(depth), dovetail.diameter_mm / 2
        smaller = puts(f"{at}.diameter", *(down(dovetail.diameter_mm * share, 0.1) for share in (0.9, 0.8, 0.7, 0.6, 0.5)))
        if mouth - clearance < ROUND_MM:
            faults.append(
                Fault(where, f"the dovetail cutter comes to a point within {what} sockets so deep", f"{mm(depth)} deep",
                      f"at most {mm(max(0.0, (tip - clearance - ROUND_MM) / dovetail.slope))}",
                      ways=puts(f"{at}.diameter", up(2 * (depth * dovetail.slope + clearance + ROUND_MM), 0.1)))
            )  # fmt: skip
            continue
        kept = stock.side_mm + clearance - mouth - math.sqrt(relief * (2 * tip - relief))
        if kept < STRAIGHT_MM:
            faults.append(
                Fault(where, f"the reliefs at the ends of {what} sockets would show on the outside of the side",
                      f"side {mm(stock.side_mm)}",
                      f"at least {mm(stock.side_mm + STRAIGHT_MM - kept)}",
                      ways=(*smaller, *puts("stock.side", up(stock.side_mm + STRAIGHT_MM - kept, 0.1)),
                            *puts("machine.holds", ("upright", "flat"))))
            )  # fmt: skip
    return faults
