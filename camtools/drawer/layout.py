"""Chooses the standard tail, pin and half pin of a family of drawers, and the number of tails of each. docs/joinery.md section 7."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from camtools.drawer.bounds import Bounds, Least
from camtools.drawer.division import Division, Measures, Style
from camtools.job.drawer_defaults import SPARE_MM
from camtools.job.job import JointWish
from camtools.wording import counted, down, listed, mm, up

__all__ = ["Broken", "Laid", "broken_by", "counts", "divisions", "lay_out", "least_tail", "measures_for", "proportion"]

RATIO = 2.25  # tail to pin at half their length; hand look 2:1 to 4:1, router 1:1 to 2:1: docs/sources.md section 3
RATIO_LIMITS = (1.0, 4.0)  # the proportions the trade likes: docs/sources.md section 3
RATIO_SOUGHT = (1.25, 3.5)  # a standard tail is looked for within these
STEP_MM = 0.5  # standard widths are whole steps
LEAST_STANDARD_PIN_MM = 4.0  # a standard pin that is chosen is no thinner, though the limit is lower


@dataclass(frozen=True, slots=True)
class Broken:
    """A bound that a division breaks."""

    what: str
    value_mm: float
    limit: str
    reason: str


@dataclass(frozen=True, slots=True)
class Laid:
    """A division that works, and the number of tails it was chosen from."""

    division: Division
    works: tuple[int, ...]


def proportion(tail_mm: float, pin_mm: float, bounds: Bounds) -> float:
    """Return tail to pin at half their length, where neither is flattered."""
    return (tail_mm - bounds.lean_mm) / (pin_mm + bounds.lean_mm)


def _tail_of(ratio: float, pin_mm: float, bounds: Bounds) -> float:
    return ratio * (pin_mm + bounds.lean_mm) + bounds.lean_mm


def broken_by(division: Division, bounds: Bounds) -> list[Broken]:
    """Name every bound that a division breaks."""
    broken = [
        Broken(what, width, f"at least {mm(least.mm)}", least.reason)
        for what, width, least in (
            ("half pin", division.half_pin_mm, bounds.half_pin),
            ("tail", min(division.tails_mm), bounds.tail),
            ("pin", min(division.pins_mm, default=bounds.pin.mm), bounds.pin),
        )
        if width < least.mm - 1e-9
    ]
    low, high = division.half_pin_mm, division.half_pin_mm + division.tails_mm[0]
    reason = f"the groove must lie {mm(SPARE_MM)} inside the lowest tail, where that is narrowest"
    if low > bounds.most_half_pin_mm + 1e-9:
        broken.append(Broken("lower corner of the lowest tail", low, f"at most {mm(bounds.most_half_pin_mm)}", reason))
    if high < bounds.first_high.mm - 1e-9:
        broken.append(Broken("upper corner of the lowest tail", high, f"at least {mm(bounds.first_high.mm)}", bounds.first_high.reason))
    return broken


def least_tail(half_pin_mm: float, bounds: Bounds) -> Least:
    """Return the narrowest that the lowest tail may be above this half pin."""
    return max(bounds.tail, Least(bounds.first_high.mm - half_pin_mm, bounds.first_high.reason), key=lambda least: least.mm)


def measures_for(widths_mm: Iterable[float], style: Style, joint: JointWish, bounds: Bounds) -> Measures:
    """Choose what every drawer of a family shares; what the job file gives is taken as it is.

    The tail is the one that leaves the family's drawers least width over, near the proportion the trade likes.

    Parameters
    ----------
    widths_mm
        Widths of the family's joints. One that is too narrow for any tail is left out of account.
    """
    widths = sorted(set(widths_mm))
    pin = joint.pin_mm if joint.pin_mm is not None else max(LEAST_STANDARD_PIN_MM, up(bounds.pin.mm, STEP_MM))
    half_pin = joint.half_pin_mm
    if half_pin is None:
        # The wide side of a half pin, which has one flank, is to be as wide as that of a pin, which has two.
        widest = min(pin + bounds.lean_mm, bounds.most_half_pin_mm)
        rooms = [min((width - bounds.tail.mm) / 2, width - bounds.first_high.mm) for width in widths]
        half_pin = max(down(min([widest, *(room for room in rooms if room >= bounds.half_pin.mm)]), 0.1), bounds.half_pin.mm)
    if joint.tail_mm is not None:
        return Measures(joint.tail_mm, pin, half_pin)
    least = least_tail(half_pin, bounds).mm
    rooms = [width - 2 * half_pin for width in widths if width - 2 * half_pin >= least - 1e-9]
    lowest = max(up(least / style.outermost, STEP_MM), up(_tail_of(RATIO_SOUGHT[0], pin, bounds), STEP_MM))
    most = max(lowest, _tail_of(RATIO_SOUGHT[1], pin, bounds))
    if style.fixed and rooms:  # one standard tail must go on the narrowest board
        most = min(most, rooms[0])
        lowest = min(lowest, most)
    ideal = max(lowest, _tail_of(RATIO, pin, bounds))
    candidates = [lowest + i * STEP_MM for i in range(int((most - lowest) / STEP_MM + 1e-9) + 1)]

    def cost(tail: float) -> float:
        """How far the family's drawers are from standard tails, on average, and this tail from the ideal one."""
        return _mean_off(rooms, style, Measures(tail, pin, half_pin)) / tail + 0.3 * abs(tail - ideal) / ideal

    return Measures(min(candidates, key=cost), pin, half_pin)


def _mean_off(rooms: Sequence[float], style: Style, measures: Measures) -> float:
    """How far tails must be from the standard one to fill these widths between half pins, on average."""
    pitch = measures.tail_mm + measures.pin_mm
    total = 0.0
    for room in rooms:
        count = max(1, int((room + measures.pin_mm) / pitch + 1e-9))
        left = room + measures.pin_mm - count * pitch
        total += left / count if style.fixed else min(abs(left) / count, abs(left - pitch) / (count + 1))
    return total / max(1, len(rooms))


def divisions(width_mm: float, style: Style, measures: Measures, bounds: Bounds) -> list[Division]:
    """Return every division of a joint that breaks no bound, the best one first.

    Best is the one whose tails are nearest to the standard one. A raised back wants two tails, for its lowest has one flank.

    Parameters
    ----------
    width_mm
        Of the joint, from edge to edge.
    measures
        Standard widths at the tip plane, in mm.
    """
    most = int((width_mm - 2 * measures.half_pin_mm + measures.pin_mm) / (bounds.tail.mm + measures.pin_mm)) + 1
    found = []
    for count in range(1, most + 1):
        division = style.divide(width_mm, count, measures)
        if division is not None and not broken_by(division, bounds):
            found.append(division)

    def rank(division: Division) -> tuple[bool, float]:
        off = abs(measures.left_mm(width_mm, division.count)) / division.count
        return (bounds.raised and division.count == 1, round(off, 6))

    return sorted(found, key=rank)


def lay_out(width_mm: float, style: Style, joint: JointWish, measures: Measures, bounds: Bounds) -> Laid | list[Broken]:
    """Divide a joint, with the number of tails asked for or the best one; or say which bounds stand in the way.

    Parameters
    ----------
    width_mm
        Of the joint, from edge to edge.
    joint
        Whose number of tails is taken where it has one.
    measures
        Standard widths at the tip plane, in mm.
    """
    if asked := _asked_too_small(style, joint, measures, bounds):
        return asked
    found = divisions(width_mm, style, measures, bounds)
    works = tuple(sorted(division.count for division in found))
    if joint.tails is None:
        if found:
            return Laid(found[0], works)
        division = style.divide(width_mm, 1, measures)
        if division is None and joint.tail_mm is None:  # not even the widest tail that goes on it is wide enough
            widest = max(0.0, width_mm - 2 * measures.half_pin_mm)
            if broken := broken_by(Division(measures.half_pin_mm, (widest,), ()), bounds):
                return broken
    else:
        for division in found:
            if division.count == joint.tails:
                return Laid(division, works)
        division = style.divide(width_mm, joint.tails, measures)
    if division is None:
        count = joint.tails or 1
        need = width_mm - measures.left_mm(width_mm, count)
        return [
            Broken(
                f"{counted(count, 'standard tail')} of {mm(measures.tail_mm)} with pins of {mm(measures.pin_mm)} "
                f"and half pins of {mm(measures.half_pin_mm)}",
                need,
                f"width of {mm(width_mm)}",
                "standard tails are not made narrower",
            )
        ]
    return broken_by(division, bounds)


def _asked_too_small(style: Style, joint: JointWish, measures: Measures, bounds: Bounds) -> list[Broken]:
    """Compare what the job file gives with the bounds: a layout that does without it is not what was asked for."""
    tail = least_tail(measures.half_pin_mm, bounds) if style.fixed else bounds.tail
    return [
        Broken(f"standard {what}", asked, f"at least {mm(least.mm)}", least.reason)
        for what, asked, least in (("tail", joint.tail_mm, tail), ("pin", joint.pin_mm, bounds.pin))
        if asked is not None and asked < least.mm - 1e-9
    ]


def counts(works: Sequence[int]) -> str:
    """Return numbers of tails as words."""
    return f"{listed([str(count) for count in works])} {'tail' if list(works) == [1] else 'tails'}"
