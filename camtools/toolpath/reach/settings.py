"""Settings: a groove longer than the machine's travel is cut in several, the board slid along the fence to another stop between them.

Zero stays where it is; the board stands ``slid_mm`` beyond it. docs/joinery.md section 3.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from camtools.job.job import Job, Machine
from camtools.toolpath.moves import ONE_SETTING, Arc, Cut, Move, Setting, Setup
from camtools.toolpath.workholding import END_GROOVE, known_zeros
from camtools.wording import Told, Words

__all__ = ["in_setting", "moved_by", "settings_of", "slides_of"]

_OVERLAP_MM = 10.0  # of what two settings reach: more than a stop is ever set wrong; common practice, no source
_MOST = 4  # settings of one groove: each stop is set from the one before
_LEAST_MM = 40.0  # that a board is slid, at least
_MARGIN_MM = 5.0  # in which the stop stands at the end of travel, where the machine's description does not tell its place
_UNITS_MM = {"mm": 10.0, "in": 12.7}  # in which a distance piece is long

Span = tuple[float, float]
_NO_LIMIT = Setting(1, 1, 0.0)


def slides_of(spans: Iterable[tuple[Setup, Span]], job: Job) -> dict[str, float]:
    """Return by stop how far boards are slid from each setting to the next: as little as does for all, by one distance piece.

    Parameters
    ----------
    spans
        Setups, each with the least and greatest X of the cutter's axis if one setting were enough.
    """
    found: dict[str, float] = {}
    unit_mm = _UNITS_MM[job.units]
    for setup, span in spans:
        count = _count(setup, span, job)
        if count > 1:
            least_mm = (_from_stop(setup, span)[1] - _reached_mm(setup, job.machine)[1]) / (count - 1)
            slide_mm = round(math.ceil(least_mm / unit_mm - 1e-9) * unit_mm, 6)
            found[setup.stop] = max(found.get(setup.stop, 0.0), slide_mm)
    return found


def settings_of(setup: Setup, span: Span, slide_mm: float, job: Job) -> Iterator[tuple[Setting, Span]]:
    """Yield the settings in which the whole of a program's X is reached, and what of X each reaches before the board is slid.

    There is one, without limits, where that does, where it is no groove, and where ``_MOST`` do not.
    """
    if _count(setup, span, job) == 1:
        yield ONE_SETTING, (-math.inf, math.inf)
        return
    start, reach = _reached_mm(setup, job.machine)
    count = 1 + math.ceil((_from_stop(setup, span)[1] - reach) / slide_mm - 1e-9)
    for number in range(count):
        low, high = number * slide_mm + (0.0 if number else start), number * slide_mm + reach
        yield Setting(number + 1, count, slide_mm), (low, high) if setup.stop == "left" else (-high, -low)


def _count(setup: Setup, span: Span, job: Job) -> int:
    """Return how many settings a program needs at least; 1 too where there is no use in several."""
    near, far = _from_stop(setup, span)
    start, reach = _reached_mm(setup, job.machine)
    fits = _zero_mm(setup, job.machine) is None and far - near <= job.machine.travel_mm[0]
    furthest = math.floor((reach - _OVERLAP_MM) / _UNITS_MM[job.units] + 1e-9) * _UNITS_MM[job.units]
    if setup.end != END_GROOVE or fits or far <= reach or near < start or furthest < _LEAST_MM:
        return 1
    count = 1 + math.ceil((far - reach) / furthest - 1e-9)
    return count if count <= _MOST else 1


def _from_stop(setup: Setup, span: Span) -> Span:
    """Return a span of X as seen from the stop."""
    return span if setup.stop == "left" else (-span[1], -span[0])


def _zero_mm(setup: Setup, machine: Machine) -> float | None:
    """Return where X zero lies on the travel, from its left end, if that is known."""
    return next((zero for axis, zero, _, _ in known_zeros(setup, machine) if axis == 0), None)


def _reached_mm(setup: Setup, machine: Machine) -> Span:
    """Return how far the travel reaches from X zero, away from the stop: from, which is beyond the stop where negative, and to."""
    travel, zero = machine.travel_mm[0], _zero_mm(setup, machine)
    if zero is None:
        return 0.0, travel - _MARGIN_MM
    return (-zero, travel - zero) if setup.stop == "left" else (zero - travel, zero)


def in_setting(setup: Setup, setting: Setting, machine: Machine) -> Setup:
    """Return a setup with the board where it stands in this setting, and the operator told of it."""
    if setting.total == 1:
        return setup
    way = _way_mm(setup, setting)
    x, y, z = setup.to_machine
    zones = tuple(
        replace(zone, low=(zone.low[0] + way, *zone.low[1:]), high=(zone.high[0] + way, *zone.high[1:])) if zone.name == "stop" else zone
        for zone in setup.zones
    )
    placed = replace(setup, setting=setting, to_machine=((*x[:3], x[3] + way), y, z), zones=zones)
    return replace(placed, words=tuple(_words(placed, machine)))


def _way_mm(setup: Setup, setting: Setting) -> float:
    """Return how far along X a board is slid: beyond its stop."""
    return -setting.slid_mm if setup.stop == "left" else setting.slid_mm


def _words(setup: Setup, machine: Machine) -> Iterator[Words]:
    """Yield how the board is placed in one of several settings."""
    setting, side = setup.setting, setup.stop
    lie, push, *_ = setup.words
    end = "front end" if "side" in setup.piece.role else "left end"  # where u = 0
    yield lie
    yield (
        f"The groove is longer than the travel reaches, and is cut in {setting.total} settings, which overlap; "
        f"this is setting {setting.number}."
    )
    if setting.number == 1:
        yield push
        if _zero_mm(setup, machine) is None:
            yield Told("X zero lies within {:mm} of the {} end of the travel.", (_MARGIN_MM, side))
    else:
        told = "Push its {} against the {}, {:mm} beyond X zero. All zeros stay as they were for setting 1."
        yield Told(told, (end, setting.stop_words(side), setting.slid_mm))
    if setting.number < setting.total:
        now, then = setting.stop_words(side), setting.stop_words(side, more=1)
        yield Told(
            "Before the last board of this setting is unclamped, set the {}: take the {} away, lay the distance piece, just {:mm} long, "
            "along the fence against the board's {}, and clamp the {} at its other end.",
            (then, now, setting.step_mm, end, then),
        )
    yield "Take other stops out of the board's way, and hold it level where it reaches out beyond the bed."


def moved_by(cut: Cut, setup: Setup) -> Cut:
    """Return a cut where the board stands that was slid."""
    way = _way_mm(setup, setup.setting)
    return replace(cut, moves=tuple(_moved(move, way) for move in cut.moves)) if way else cut


def _moved(move: Move, way: float) -> Move:
    moved = replace(move, end=(move.end[0] + way, *move.end[1:]))
    return replace(moved, centre=(moved.centre[0] + way, moved.centre[1])) if isinstance(moved, Arc) else moved
