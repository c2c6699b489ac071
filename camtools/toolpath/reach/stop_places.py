"""Where stops would have to stand for more boards to be cut two at once: tried, by working the job anew."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from camtools.drawer.boards import Drawer
from camtools.faults import CannotCut
from camtools.job.job import Job, Machine
from camtools.toolpath.handling.loadings import board_counts, loadings_of
from camtools.toolpath.moves import Program
from camtools.toolpath.programs import programs_of, with_offsets

__all__ = ["BetterStops", "better_stops"]

_UNITS_MM = {"mm": 10.0, "in": 12.7}  # to which a stop is set
_MARGIN_MM = 5.0  # of travel, that programs leave at its ends

Places = tuple[float, float]


@dataclass(frozen=True, slots=True)
class BetterStops:
    """Places of both stops of a hold, from the left end of the travel, and the setups of the whole job with them."""

    places_mm: Mapping[str, Places]  # by hold: those that differ from what the machine's description says
    setups: int
    setups_now: int


def better_stops(job: Job, drawers: Sequence[Drawer], programs: Sequence[Program], offsets: int) -> BetterStops | None:
    """Return where stops would save setups, moved as little as does; None where they stand well, or the job could not be cut so.

    Parameters
    ----------
    programs
        Of these drawers, with the work offsets of a controller that has ``offsets`` of them.
    """
    counts = board_counts(drawers)
    now = _setups(programs, counts, job.machine)
    machine, places_mm, least = job.machine, dict[str, Places](), now
    for hold in job.machine.holds if job.machine.two_at_once else ():
        tried = [
            (_setups(programs, counts, _moved(machine, hold, places)), order, places)
            for order, places in enumerate(_places(hold, programs, job))
        ]
        setups, _, places = min(tried, default=(least, 0, (0.0, 0.0)))
        if setups < least:
            machine, least = _moved(machine, hold, places), setups
            places_mm[hold] = places
    if not places_mm:
        return None
    other = replace(job, machine=machine)
    try:
        least = _setups(with_offsets(programs_of(other, drawers), offsets), counts, machine)
    except CannotCut:
        return None
    return BetterStops(places_mm, least, now) if least < now else None


def _setups(programs: Sequence[Program], counts: Mapping[str, int], machine: Machine) -> int:
    return sum(loading.times for loading in loadings_of(programs, counts, machine))


def _moved(machine: Machine, hold: str, places: Places) -> Machine:
    return replace(machine, upright_stops_mm=places) if hold == "upright" else replace(machine, flat_stops_mm=places)


def _places(hold: str, programs: Sequence[Program], job: Job) -> list[Places]:
    """Return places of a hold's stops as far apart as the travel lets its programs reach: one of them moved, then both."""
    unit_mm, travel_mm = _UNITS_MM[job.units], job.machine.travel_mm[0]
    own = [program for program in programs if program.setup.hold == hold]
    reaches = {stop: [program.reach_mm[0] for program in own if program.setup.stop == stop] for stop in ("left", "right")}
    if not all(reaches.values()) or any(program.setup.setting.total > 1 for program in own):
        return []
    before_mm = max(0.0, *(-low for low, _ in reaches["left"])) + _MARGIN_MM
    beyond_mm = max(0.0, *(high for _, high in reaches["right"])) + _MARGIN_MM
    left = math.ceil(before_mm / unit_mm - 1e-9) * unit_mm
    right = math.floor((travel_mm - beyond_mm) / unit_mm + 1e-9) * unit_mm
    stands = job.machine.upright_stops_mm if hold == "upright" else job.machine.flat_stops_mm
    found = [] if stands is None else [(stands[0], right), (left, stands[1])]
    return [(round(one, 6), round(other, 6)) for one, other in (*found, (left, right)) if one < other]
