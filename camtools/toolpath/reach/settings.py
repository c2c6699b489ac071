"""Settings: what the travel does not reach of a groove or an end in one, is cut in several, the board slid to another stop between them.

Zero stays where it is; the board stands ``slid_mm`` beyond it. Settings of a groove overlap; those of an end part in the middle of a tail
or a pin, so that no wall is cut in two. docs/joinery.md section 3.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from camtools.faults import Way, puts
from camtools.job.job import Job, Machine
from camtools.toolpath.moves import ONE_SETTING, Arc, Cut, Move, Setting, Setup, reach_of
from camtools.toolpath.reach.parting import EndPart, Span
from camtools.toolpath.workholding import END_GROOVE, PUSH, known_zeros
from camtools.wording import Told, Words, up

__all__ = ["Extent", "Slide", "in_setting", "moved_by", "settings_of", "slides_of", "stop_moved"]

_OVERLAP_MM = 10.0  # of what two settings of a groove reach: more than a stop is ever set wrong; common practice, no source
_MOST = 4  # settings of one groove or end: each stop is set from the one before
_LEAST_MM = 40.0  # that a board is slid along the fence, at least
_HELD = 0.5  # of a board's width, that no setting of an end takes from where it is held; common practice, no source
_MARGIN_MM = 5.0  # in which the stop stands at the end of travel, where the machine's description does not tell its place
_UNITS_MM = {"mm": 10.0, "in": 12.7}  # in which a distance piece is long

Kind = tuple[str, bool, str]  # of a setup: those that have one zero


class Extent(NamedTuple):
    """What is cut of a board in one setup."""

    setup: Setup
    span: Span  # least and greatest X of the cutter's axis if one setting were enough
    parts: Callable[[], Sequence[EndPart]]  # of an end; asked for only where one setting is not enough


class Slide(NamedTuple):
    """How boards are slid in setups of one kind."""

    step_mm: float  # from each setting to the next: the length of the distance piece
    reached: Span  # how far the travel reaches from X zero, away from the stop: from, which is beyond the stop where negative, and to


def slides_of(extents: Iterable[Extent], job: Job) -> dict[Kind, Slide]:
    """Return for each kind of setup how boards are slid where one setting is not enough: by one distance piece for all of them."""
    kinds: dict[Kind, list[Extent]] = {}
    for extent in extents:
        kinds.setdefault(extent.setup.kind, []).append(extent)
    slides = {kind: (_along_fence if kind[1] else _across_travel)(own, job) for kind, own in kinds.items()}
    return {kind: slide for kind, slide in slides.items() if slide is not None}


def settings_of(extent: Extent, slide: Slide | None, job: Job) -> Iterator[tuple[Setting, Span]]:
    """Yield the settings in which the whole of a program's X is reached, and what of X each cuts before the board is slid.

    There is one, without limits, where that does, and where several do not.
    """
    if slide is not None and extent.setup.end == END_GROOVE and _count(extent, job) > 1:
        yield from _of_groove(extent, slide)
    elif slide is not None and extent.setup.end != END_GROOVE and _beyond(extent, slide.reached) and (numbers := _numbers(extent, slide)):
        parts, before_mm = sorted(extent.parts(), key=lambda part: _from_stop(extent.setup, part.reached)), max(-slide.reached[0], 0.0)
        for number in range(numbers[-1] + 1):
            own = [part.between for part, place in zip(parts, numbers, strict=True) if place == number]
            setting = Setting(number + 1, numbers[-1] + 1, slide.step_mm, before_mm)
            yield setting, (min(low for low, _ in own), max(high for _, high in own))
    else:
        yield ONE_SETTING, (-math.inf, math.inf)


def _along_fence(extents: Sequence[Extent], job: Job) -> Slide | None:
    """Return how boards with grooves are slid: as little as does for all, with no more settings than any must have."""
    steps, unit_mm = [0.0], _UNITS_MM[job.units]
    for extent in extents:
        count = _count(extent, job)
        if count > 1:
            least_mm = (_from_stop(extent.setup, extent.span)[1] - _reached_mm(extent.setup, job.machine)[1]) / (count - 1)
            steps.append(round(math.ceil(least_mm / unit_mm - 1e-9) * unit_mm, 6))
    return Slide(max(steps), _reached_mm(extents[0].setup, job.machine)) if max(steps) else None


def _of_groove(extent: Extent, slide: Slide) -> Iterator[tuple[Setting, Span]]:
    step_mm, (start, reach) = slide
    count = 1 + math.ceil((_from_stop(extent.setup, extent.span)[1] - reach) / step_mm - 1e-9)
    for number in range(count):
        low, high = number * step_mm + (0.0 if number else start), number * step_mm + reach
        yield Setting(number + 1, count, step_mm), (low, high) if extent.setup.stop == "left" else (-high, -low)


def _count(extent: Extent, job: Job) -> int:
    """Return how many settings a groove needs at least; 1 too where there is no use in several."""
    setup, (near, far) = extent.setup, _from_stop(extent.setup, extent.span)
    start, reach = _reached_mm(setup, job.machine)
    fits = _zero_mm(setup, job.machine) is None and far - near <= job.machine.travel_mm[0]
    furthest = math.floor((reach - _OVERLAP_MM) / _UNITS_MM[job.units] + 1e-9) * _UNITS_MM[job.units]
    if fits or far <= reach or near < start or furthest < _LEAST_MM:
        return 1
    count = 1 + math.ceil((far - reach) / furthest - 1e-9)
    return count if count <= _MOST else 1


def _across_travel(extents: Sequence[Extent], job: Job) -> Slide | None:
    """Return how boards are slid along the joint at their ends: so that most are reached, in the fewest settings, by the shortest piece.

    They are slid only where an end is wider than the travel: for any other the stop can be moved.
    """
    spans = [_from_stop(extent.setup, extent.span) for extent in extents]
    if max(far - near for near, far in spans) <= job.machine.travel_mm[0]:
        return None
    reached = _reached_mm(extents[0].setup, job.machine, min(near for near, _ in spans))
    wide = [extent for extent in extents if _beyond(extent, reached)]
    unit_mm = _UNITS_MM[job.units]
    tried = []
    for number in range(1, math.ceil(max(far for _, far in spans) / unit_mm) + 1):
        slide = Slide(round(number * unit_mm, 6), reached)
        totals = [_numbers(extent, slide)[-1:] for extent in wide]
        tried.append((totals.count([]), sum(total for own in totals for total in own), slide))
    missed, _, slide = min(tried)
    return slide if missed < len(wide) else None


def _numbers(extent: Extent, slide: Slide) -> list[int]:
    """Return the setting of each part of an end, from the stop on and counted from 0; none where some part can be cut in none."""
    step_mm, (start, reach) = slide
    numbers: list[int] = []
    for near, far in sorted(_from_stop(extent.setup, part.reached) for part in extent.parts()):
        number = max(math.ceil((far - reach) / step_mm - 1e-9), *numbers[-1:], 0)
        if near < start + number * step_mm - 1e-9 or number > (numbers[-1] + 1 if numbers else 0):
            return []
        numbers.append(number)
    held = not numbers or numbers[-1] * step_mm <= _HELD * extent.setup.piece.size_mm[1]
    return numbers if held and len(set(numbers)) <= _MOST else []


def _beyond(extent: Extent, reached: Span) -> bool:
    """Tell whether an end reaches beyond the travel at X zero."""
    near, far = _from_stop(extent.setup, extent.span)
    return near < reached[0] - 1e-9 or far > reached[1] + 1e-9


def _from_stop(setup: Setup, span: Span) -> Span:
    """Return a span of X as seen from the stop."""
    return span if setup.stop == "left" else (-span[1], -span[0])


def _zero_mm(setup: Setup, machine: Machine) -> float | None:
    """Return where X zero lies on the travel, from its left end, if that is known."""
    return next((zero for axis, zero, _, _ in known_zeros(setup, machine) if axis == 0), None)


def _reached_mm(setup: Setup, machine: Machine, near_mm: float = 0.0) -> Span:
    """Return how far the travel reaches from X zero, away from the stop; where the stop's place is not known, from ``near_mm`` on."""
    travel, zero = machine.travel_mm[0], _zero_mm(setup, machine)
    if zero is None:
        return near_mm, near_mm + travel - _MARGIN_MM
    return (-zero, travel - zero) if setup.stop == "left" else (zero - travel, zero)


def stop_moved(setup: Setup, cuts: Sequence[Cut], machine: Machine) -> tuple[Way, ...]:
    """Return ways to move a stop of known place, or both of its hold, to where the travel reaches furthest from them."""
    left, travel = setup.stop == "left", machine.travel_mm[0]
    keys = [key for axis, _, _, key in known_zeros(setup, machine) if axis == 0]
    place = up(max(-_from_stop(setup, reach_of(cuts)[0])[0], 0.0) + _MARGIN_MM, 1)
    own = [way for key in keys for way in puts(f"{key}[{1 if left else 2}]", place if left else travel - place)]
    return (*own, *(way for key in keys for way in puts(key, (place, travel - place))))


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
    setting, side, groove = setup.setting, setup.stop, setup.end == END_GROOVE
    place = next(place for place, words in enumerate(setup.words) if str(words).startswith(PUSH))
    push = setup.words[place]
    edge = ("front end" if "side" in setup.piece.role else "left end") if groove else "reference edge"  # where u = 0, or v = 0
    yield from setup.words[:place]
    if groove:
        why = f"The groove is longer than the travel reaches, and is cut in {setting.total} settings, which overlap"
    else:
        why = f"The end is wider than the travel reaches, and is cut in {setting.total} settings, which part in wood that stays"
    yield f"{why}; this is setting {setting.number}."
    if setting.number == 1:
        yield push
        if _zero_mm(setup, machine) is None:
            least, most = setting.before_mm, setting.before_mm + _MARGIN_MM
            within = Told("within {:mm} of", (most,)) if groove else Told("{:mm} to {:mm} from", (least, most))
            yield Told(f"X zero lies {{}} the {side} end of the travel.", (within,))
        if not groove:
            yield f"If the {side} stop was taken away since X zero was set, clamp it again and set X zero anew at it."
    elif groove:
        told = "Push its {} against the {}, {:mm} to the {} of X zero. X and Y zero stay as they were for setting 1."
        yield Told(told, (edge, setting.stop_words(side), setting.slid_mm, side))
    else:
        pushed = push if isinstance(push, Told) else Told(push, ())
        stop = f"against the {setting.stop_words(side)}, {{:mm}} to the {side} of X zero"
        text = pushed.text.replace(f"against the {side} stop", stop, 1).replace("X at the stop", "X as it was for setting 1", 1)
        yield Told(text, (setting.slid_mm, *pushed.values))
    if not groove:
        yield from setup.words[place + 1 :]
    if setting.number < setting.total:
        now, then = setting.stop_words(side), setting.stop_words(side, more=1)
        along = "along the fence" if groove else "square"
        yield Told(
            f"Before the last board of this setting is unclamped, set the {then}: take the {now} away, lay the distance piece, just "
            f"{{:mm}} long, {along} against the board's {edge}, and clamp the {then} at its other end.",
            (setting.step_mm,),
        )
    beyond = "plate" if setup.hold == "upright" else "bed"
    yield f"Take other stops out of the board's way, and hold it level where it reaches out beyond the {beyond}."


def moved_by(cut: Cut, setup: Setup) -> Cut:
    """Return a cut where the board stands that was slid."""
    way = _way_mm(setup, setup.setting)
    return replace(cut, moves=tuple(_moved(move, way) for move in cut.moves)) if way else cut


def _moved(move: Move, way: float) -> Move:
    moved = replace(move, end=(move.end[0] + way, *move.end[1:]))
    return replace(moved, centre=(moved.centre[0] + way, moved.centre[1])) if isinstance(moved, Arc) else moved
