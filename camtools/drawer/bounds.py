"""What cutters and wood allow in a pair of joints, front and back, before anything is laid out. docs/joinery.md sections 5 and 6.

The tails at both ends of a side are in step, so every bound is that of the stricter joint. Widths are those of the tip plane.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from camtools.faults import Fault, puts
from camtools.job.drawer_defaults import SPARE_MM
from camtools.job.drawer_limits import LEAST_TAIL_MM, OVER_MM, PIN_MM, ROUND_MM, STRAIGHT_MM, faults_of_joints
from camtools.job.job import Cutter, DrawerWish, Job
from camtools.wording import down, mm, up

__all__ = ["Bounds", "Least", "bounds_of", "cutter_faults"]

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


def bounds_of(job: Job, wish: DrawerWish) -> Bounds:
    """Return what the cutters and the wood of a drawer allow."""
    joint, stock, groove = wish.joint, wish.stock, wish.groove
    dovetail, straight = job.cutter(joint.dovetail), job.cutter(joint.straight)
    slope = dovetail.slope
    length, back = stock.front_mm - joint.lap_mm, stock.back_mm
    longer = max(length, back)
    high = wish.groove_top_mm
    raised = wish.fit.back == "raised"

    tail = max(
        Least(
            dovetail.diameter_mm - 2 * dovetail.play_mm(joint.clearance_mm, joint.free_depth_mm),
            f"the half-blind socket must take the dovetail cutter of {mm(dovetail.diameter_mm)}",
        ),
        Least(
            straight.diameter_mm + 2 * back * slope - 2 * joint.clearance_mm,
            f"the narrow end of the through socket must take the straight cutter of {mm(straight.diameter_mm)}",
        ),
        Least(BASE_MM + 2 * longer * slope, f"a tail needs {mm(BASE_MM)} of wood at its base"),
        key=lambda least: least.mm,
    )
    pin = max(
        Least(
            dovetail.diameter_mm - 2 * min(length, back) * slope + PASS_MM,
            f"the dovetail cutter of {mm(dovetail.diameter_mm)} must pass between two tails {mm(min(length, back))} long",
        ),
        Least(PIN_MM, "a thinner pin splits"),
        key=lambda least: least.mm,
    )
    # A stopped groove ends before it meets a joint; a hidden one runs into the front's, and under a raised back all run out.
    hidden, front = groove.ends == "hidden", SPARE_MM + length * slope
    inside = Least(high + front, "the groove must run inside the lowest tail")
    over = Least(high + OVER_MM + back * slope, f"the lowest tail needs {mm(OVER_MM)} of wood over the raised back's lower edge")
    asked = [*([inside] if hidden else []), *([over] if raised else [])]
    wished = front if raised else SPARE_MM + longer * slope
    return Bounds(
        tail=tail,
        pin=pin,
        half_pin=Least(PIN_MM, "a thinner half pin breaks off"),
        lean_mm=length * slope,
        most_half_pin_mm=groove.edge_mm - front if hidden else math.inf,
        first_high=max(asked, key=lambda least: least.mm, default=Least(0.0, "")),
        cover_mm=(groove.edge_mm - wished, high + wished),
        raised=raised,
    )


def cutter_faults(job: Job, wish: DrawerWish, where: str) -> list[Fault]:
    """Name everything that these cutters can not do in this wood, however the joint is laid out."""
    faults = list(faults_of_joints(lambda key, *_: f"{where}, {key}", wish, job.cutters))
    joint, length = wish.joint, wish.stock.front_mm - wish.joint.lap_mm
    dovetail = next((cutter for cutter in job.cutters if cutter.number == joint.dovetail and cutter.kind == "dovetail"), None)
    if dovetail is not None and length >= LEAST_TAIL_MM:
        faults += _corner_faults(wish, dovetail, length, f"{where}, joints.dovetail", f"cutters[{job.cutters.index(dovetail) + 1}]")
    return faults


def _corner_faults(wish: DrawerWish, dovetail: Cutter, length: float, where: str, at: str) -> list[Fault]:
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
