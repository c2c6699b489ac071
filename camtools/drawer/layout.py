"""Chooses the look of a family of drawers, and the number of tails of each: the best by the measure of looks. docs/joinery.md section 7.

What a job file gives is kept. What it leaves out is looked for in whole steps and at the bounds, over all numbers of tails.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from camtools.drawer.bounds import Bounds
from camtools.drawer.division import Division, Measures, Style
from camtools.drawer.looks import APART, FAMILY, FINE, RATIO_LIMITS, STEP_MM, Eye, Looks, Widths, off
from camtools.job.job import JointWish
from camtools.wording import counted, down, mm

__all__ = ["Broken", "Drawn", "Laid", "broken_by", "counts_of", "hindered", "lay_out", "look_of"]

_SAME_MM = 1e-7


@dataclass(frozen=True, slots=True)
class Broken:
    """A bound that a division breaks."""

    what: str
    value_mm: float
    limit: str
    reason: str


@dataclass(frozen=True, slots=True)
class Drawn:
    """A joint to be laid out, and how many drawers have it."""

    width_mm: float  # across it, from edge to edge
    joint: JointWish  # whose tails, tail, pin and half pin are kept where it has them
    bounds: Bounds
    number: int = 1


@dataclass(frozen=True, slots=True)
class Laid:
    """A division that breaks no bound and keeps what is given, and how it looks beside its family."""

    division: Division
    looks: Looks


def broken_by(division: Division, bounds: Bounds) -> list[Broken]:
    """Name every bound that a division breaks."""
    low, high = division.half_pin_mm, division.half_pin_mm + division.tails_mm[0]
    broken = [
        Broken(what, width, f"at least {mm(least.mm)}", least.reason)
        for what, width, least in (
            ("half pin", low, bounds.half_pin),
            ("tail", min(division.tails_mm), bounds.tail),
            ("pin", min(division.pins_mm, default=bounds.pin.mm), bounds.pin),
            ("upper corner of the lowest tail", high, bounds.first_high),
        )
        if width < least.mm - _SAME_MM
    ]
    if low > bounds.most_half_pin_mm + _SAME_MM:
        reason = "the groove must run inside the lowest tail"
        broken.append(Broken("lower corner of the lowest tail", low, f"at most {mm(bounds.most_half_pin_mm)}", reason))
    return broken


class _Shape(NamedTuple):
    """A style with so many tails: what it comes to for the eye."""

    tails: int
    total: float  # of the tails, where the outermost is 1
    low: float
    high: float
    wide: int  # tails that share what is over
    gaps: int  # that do
    outermost: bool  # tail is one of those
    fills: bool  # the width in proportion, so that no standard tail makes a difference

    def widths(self, width_mm: float, tail_mm: float, pin_mm: float, half_pin_mm: float) -> Widths | None:
        """Return the widths that these standard ones lead to, or None where they do not fit."""
        count = self.tails
        room = width_mm - 2 * half_pin_mm - (count - 1) * pin_mm
        if self.fills:
            unit = room / self.total
            if unit <= 0:
                return None
            tails = unit, unit * self.low, unit * self.high, room / count
            return Widths(count, *tails, pin_mm, pin_mm, pin_mm, half_pin_mm, self.high / self.low)
        left = room - tail_mm * self.total
        if left < -_SAME_MM:
            return None
        share = left / (self.wide + self.gaps)
        if self.gaps:
            narrow = pin_mm + share if self.gaps == count - 1 else pin_mm
            pins = (narrow, pin_mm + share, pin_mm + left / (count - 1))
            return Widths(count, tail_mm, tail_mm, tail_mm, tail_mm, *pins, half_pin_mm, 1.0)
        outermost = tail_mm + share if self.outermost else tail_mm
        return Widths(count, outermost, tail_mm, tail_mm + share, room / count, pin_mm, pin_mm, pin_mm, half_pin_mm, 1.0)


@lru_cache(maxsize=500)
def _shape(style: Style, count: int) -> _Shape:
    parts = style.tails(count)
    wide, gaps = style.wider(count) if style.wider else ((), ())
    return _Shape(count, sum(parts), min(parts), max(parts), len(wide), len(gaps), 0 in wide, style.wider is None or len(wide) == count)


class _Seen(NamedTuple):
    """One way to lay out a joint, as it looks beside a family but for the family's tail."""

    looks: Looks
    cost: float
    tails: int
    own: tuple[float, float, float]  # standard tail, pin and half pin
    outermost_mm: float


class _Joint:
    """A joint that is looked at with many standard widths, beside its family or alone."""

    def __init__(self, style: Style, drawn: Drawn, *, alone: bool = False) -> None:
        self._style, self._drawn, self._alone = style, drawn, alone
        self.width_mm, self.bounds, self.number = drawn.width_mm, drawn.bounds, drawn.number
        self.eye = Eye(drawn.width_mm, drawn.bounds)
        self.tail, self.pin, self.half_pin = drawn.joint.tail_mm, drawn.joint.pin_mm, drawn.joint.half_pin_mm
        self.shapes = [_shape(style, count) for count in counts_of(drawn)]
        self.fills = style.wider is None
        self._opens = any(shape.gaps for shape in self.shapes)
        self.neat_mm = down(drawn.bounds.cover_mm[0], 0.1)  # the widest half pin that lets the groove lie inside the lowest tail
        self._floors_for: tuple[float, float] | None = None
        self._floors: list[tuple[float, _Shape]] = []
        self._ways_for: tuple[float, float] | None = None
        self._ways: list[_Seen] = []
        self._gave_way: dict[tuple[float | None, float | None], list[_Seen]] = {}
        self._looked_at: dict[tuple[int, tuple[float, float, float]], _Seen | None] = {}

    def by_itself(self) -> _Joint:
        """Return the same joint without its family."""
        return _Joint(self._style, self._drawn, alone=True)

    def frame(self, pin: float, half_pin: float) -> float:
        """Return the least that a layout costs beside a family with these, however many tails it has."""
        pins, half_pins, groove = self.eye.frame(self.pin or pin, self.half_pin or half_pin)
        if self._opens and pin < self.eye.finest_mm:  # all gaps may be opened further
            pins = 0.0
        kept = pins + half_pins + groove
        if self.tail is None:
            return kept
        return min([kept, *(seen.cost + self._far(seen, pin, half_pin) for seen in self._given_way(pin, half_pin))])

    def _given_way(self, pin: float, half_pin: float) -> Iterator[_Seen]:
        """Yield all layouts in which the half pin gives way to the given tail beside this pin, or the pin beside this half pin."""
        for key in (self.pin or pin, None), (None, self.half_pin or half_pin):
            if key not in self._gave_way:
                owns = ((shape, own) for shape in self.shapes for own in self._filling(shape, *key))
                self._gave_way[key] = [seen for shape, own in owns if (seen := self._look(shape, own))]
            yield from self._gave_way[key]

    def floors(self, pin: float, half_pin: float) -> list[tuple[float, _Shape]]:
        """Return the least that each number of tails can cost beside a family with these, whatever its tail, the least first."""
        if self._floors_for != (pin, half_pin):
            self._floors_for = pin, half_pin
            self._floors = sorted(
                ((self._floor(shape, self.pin or pin, self.half_pin or half_pin), shape) for shape in self.shapes),
                key=lambda floor: floor[0],
            )
        return self._floors

    def _floor(self, shape: _Shape, pin: float, half_pin: float) -> float:
        if self.tail is None and not self._in_bounds(pin, half_pin):
            return math.inf
        if self.tail is not None or (self._opens and pin < self.eye.finest_mm):
            return self.frame(pin, half_pin)
        mean = (self.width_mm - 2 * half_pin - (shape.tails - 1) * pin) / shape.tails
        if mean < self.bounds.tail.mm - _SAME_MM:
            return math.inf
        if shape.gaps and not self._all_given(shape):  # narrower tails and wider gaps bring too wide ones into proportion
            mean = min(mean, self.eye.tail_mm(pin))
        # Tails can not look better than all equal.
        widths = Widths(shape.tails, self.width_mm, mean, mean, mean, pin, pin, pin, half_pin, 1.0)
        return self.eye.looks(widths, self._between(pin, half_pin)).cost

    def least(self, pin: float, half_pin: float) -> float:
        """Return the least that any layout can cost beside a family with these."""
        if self.fills:
            return min((seen.cost for seen in self.ways(pin, half_pin)), default=math.inf)
        return self.floors(pin, half_pin)[0][0]

    def ways(self, pin: float, half_pin: float) -> list[_Seen]:
        """Return the layouts with this pin and half pin in a style in which the family's tail makes no difference to them."""
        if self._ways_for != (pin, half_pin):
            self._ways_for = pin, half_pin
            self._ways = [seen for shape in self.shapes for seen in self._layouts(shape, 1.0, pin, half_pin)]
        return self._ways

    def best(self, tail: float, pin: float, half_pin: float, most: float = math.inf) -> tuple[float, _Seen | None]:
        """Return the best layout beside a family with these standard widths that costs less than ``most``, and what it costs."""
        least, best = most, None
        for floor, shape in self.floors(pin, half_pin) if not self.fills else [(0.0, None)]:
            if floor >= least:
                break
            for seen in self.ways(pin, half_pin) if shape is None else self._layouts(shape, tail, pin, half_pin):
                cost = seen.cost + (0.0 if self._alone else FAMILY * off(seen.outermost_mm, tail))
                if cost < least - 1e-9:
                    least, best = cost, seen
        return (least, best) if best else (math.inf, None)

    def _layouts(self, shape: _Shape, tail: float, pin: float, half_pin: float) -> Iterator[_Seen]:
        for own in self._own(shape, self.tail or tail, self.pin or pin, self.half_pin or half_pin):
            seen = self._look(shape, own)
            if seen is not None:
                far = self._far(seen, pin, half_pin)
                yield seen._replace(looks=seen.looks._replace(family=far), cost=seen.cost + far) if far else seen

    def _look(self, shape: _Shape, own: tuple[float, float, float]) -> _Seen | None:
        if self.tail is None:
            return self._seen(shape, own)
        key = shape.tails, own  # the same one meets the eye again and again
        if key not in self._looked_at:
            self._looked_at[key] = self._seen(shape, own)
        return self._looked_at[key]

    def _far(self, seen: _Seen, pin: float, half_pin: float) -> float:
        """Return what it costs a layout that its pin and half pin are not the family's."""
        return 0.0 if self._alone else FAMILY * (off(seen.own[1], pin) + off(seen.own[2], half_pin))

    def _between(self, pin: float, half_pin: float) -> int:
        """Count the widths that are chosen and no whole steps."""
        return (self.pin is None and not _whole(pin)) + (self.half_pin is None and not _whole(half_pin) and half_pin != self.neat_mm)

    def _own(self, shape: _Shape, tail: float, pin: float, half_pin: float) -> Iterator[tuple[float, float, float]]:
        """Yield standard widths that keep what is given: the family's, or one of them made to fill the width where they do not."""
        width = self.width_mm
        gaps = shape.tails - 1
        if self.tail is None:
            yield (width - 2 * half_pin - gaps * pin) / shape.total if shape.fills or self._all_given(shape) else tail, pin, half_pin
            return
        widths = shape.widths(width, tail, pin, half_pin)
        if widths is not None and self._keeps(widths):
            yield tail, pin, half_pin
            return
        # What is over would make the tail or the pin wider that is given: nothing is to be over.
        yield from self._filling(shape, pin, None)
        yield from self._filling(shape, None, half_pin)

    def _filling(self, shape: _Shape, pin: float | None, half_pin: float | None) -> Iterator[tuple[float, float, float]]:
        """Yield the given tail with this pin or this half pin, and the other one so wide that nothing is over, where that is not given."""
        assert self.tail is not None
        room, gaps = self.width_mm - self.tail * shape.total, shape.tails - 1
        if pin is not None and self.half_pin is None:
            yield self.tail, pin, (room - gaps * pin) / 2
        if half_pin is not None and self.pin is None and gaps:
            yield self.tail, (room - 2 * half_pin) / gaps, half_pin

    def _all_given(self, shape: _Shape) -> bool:
        """Tell whether every gap would take what is over, and the pins are given: then the tails take it."""
        return self.pin is not None and 0 < shape.gaps == shape.tails - 1

    def _keeps(self, widths: Widths) -> bool:
        return not (self.tail is not None and abs(widths.outermost_mm - self.tail) > _SAME_MM) and not (
            self.pin is not None and abs(widths.narrowest_pin_mm - self.pin) > _SAME_MM
        )

    def _in_bounds(self, pin: float, half_pin: float) -> bool:
        bounds = self.bounds
        return bounds.half_pin.mm - _SAME_MM <= half_pin <= bounds.most_half_pin_mm + _SAME_MM and pin >= bounds.pin.mm - _SAME_MM

    def _seen(self, shape: _Shape, own: tuple[float, float, float]) -> _Seen | None:
        """Look at a layout by itself; None where it can not be cut or does not keep what is given."""
        bounds, (tail, pin, half_pin) = self.bounds, own
        if not self._in_bounds(pin, half_pin):
            return None
        widths = shape.widths(self.width_mm, tail, pin, half_pin)
        if (
            widths is None
            or widths.narrowest_mm < bounds.tail.mm - _SAME_MM
            or half_pin + widths.outermost_mm < bounds.first_high.mm - _SAME_MM
            or not self._keeps(widths)
        ):
            return None
        steps = self._between(pin, half_pin) + (self.tail is None and not shape.fills and not _whole(tail))
        looks = self.eye.looks(widths, steps)
        return _Seen(looks, looks.cost, shape.tails, own, widths.outermost_mm)


def _whole(width_mm: float) -> bool:
    return abs(width_mm / STEP_MM - round(width_mm / STEP_MM)) < 1e-9


def counts_of(drawn: Drawn) -> Sequence[int]:
    """Return every number of tails that may be thought of: the one asked for, or all that have room for their bases and pins."""
    if drawn.joint.tails is not None:
        return [drawn.joint.tails]
    bounds = drawn.bounds
    room = drawn.width_mm - 2 * bounds.half_pin.mm + bounds.pin.mm
    return range(1, max(1, int(room / (bounds.tail.mm + bounds.pin.mm) + 1e-9)) + 1)


def lay_out(style: Style, drawn: Drawn, look: Measures) -> Laid | None:
    """Lay out a joint beside its family: the best of all numbers of tails, or the one asked for; None where there is none.

    Parameters
    ----------
    look
        What the family shares.
    """
    _, seen = _Joint(style, drawn).best(look.tail_mm, look.pin_mm, look.half_pin_mm)
    if seen is None:
        return None
    division = style.divide(drawn.width_mm, seen.tails, Measures(*seen.own))
    assert division is not None
    return Laid(division, seen.looks._replace(family=seen.looks.family + FAMILY * off(division.tails_mm[0], look.tail_mm)))


def look_of(style: Style, family: Sequence[Drawn]) -> Measures | None:
    """Choose what every drawer of a family shares: the standard widths with which they look best, all together.

    A drawer that can not share them, or looks much better by itself, is laid out by itself, at the cost of being apart. None where
    no drawer can be laid out at all.
    """
    alone = len(family) == 1
    joints = [_Joint(style, drawn, alone=alone) for drawn in family]
    _, look = _best(joints)
    if look is None or not alone:
        return None if look is None else Measures(*look)
    _, seen = joints[0].best(*look)
    assert seen is not None
    tail, pin, half_pin = seen.own
    return Measures(seen.outermost_mm if style.wider is None else tail, pin, half_pin)


def _best(joints: Sequence[_Joint]) -> tuple[float, tuple[float, float, float] | None]:
    """Return the least cost of a family, and the standard widths with it."""
    alone: dict[int, float] = {}

    def by_itself(index: int) -> float:
        if index not in alone:
            cost, look = _best([joints[index].by_itself()])
            alone[index] = APART + cost / joints[index].number if look else 0.0  # what can not be laid out at all decides nothing
        return alone[index]

    apart = math.inf if len(joints) == 1 else APART

    def frames(pin: float, half_pin: float) -> float:
        return sum(joint.number * min(alone.get(index, apart), joint.frame(pin, half_pin)) for index, joint in enumerate(joints))

    finest = joints[0].eye.finest_mm
    untied = all(joint.tail is None for joint in joints)  # so that no pin is better beside a half pin that is worse by itself
    best, look = math.inf, None
    for pin in _pins(joints):
        half_pins = _half_pins(joints, pin)
        if untied and frames(pin, half_pins[0]) >= best:
            if pin > finest:
                break
            continue
        for half_pin in half_pins:
            if frames(pin, half_pin) >= best:
                continue
            least = [joint.number * min(alone.get(index, apart), joint.least(pin, half_pin)) for index, joint in enumerate(joints)]
            if sum(least) >= best:
                continue
            for tail in _tails(joints, pin, half_pin):
                left, total = sum(least), 0.0
                for index, joint in enumerate(joints):
                    left -= least[index]
                    cost, _ = joint.best(tail, pin, half_pin, (best - total - left) / joint.number)
                    if cost > apart:
                        cost = min(cost, by_itself(index))
                    total += cost * joint.number
                    if total + left >= best - 1e-9:
                        break
                else:
                    best, look = total, (tail, pin, half_pin)
    return best, look


def _given(joints: Sequence[_Joint], get: Callable[[_Joint], float | None]) -> list[float]:
    """Return the widths that are given, where every joint gives one: nothing is left to choose."""
    given = [get(joint) for joint in joints]
    return sorted({width for width in given if width is not None}) if None not in given else []


def _steps(low: float, high: float, step: float = STEP_MM) -> list[float]:
    return [i * step for i in range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1)]


def _pins(joints: Sequence[_Joint]) -> list[float]:
    """Return the standard pins to be tried, the finest first."""
    if given := _given(joints, lambda joint: joint.pin):
        return given
    least, eye = joints[0].bounds.pin.mm, joints[0].eye
    widest = max(joint.width_mm for joint in joints) / 2
    return sorted({least, *_steps(least, widest)}, key=lambda pin: eye.frame(pin, 1.0)[0])


def _half_pins(joints: Sequence[_Joint], pin: float) -> list[float]:
    """Return the half pins to be tried beside a pin, the best first."""
    if given := _given(joints, lambda joint: joint.half_pin):
        return given
    least, eye = joints[0].bounds.half_pin.mm, joints[0].eye
    widest = max((joint.width_mm - joint.bounds.tail.mm) / 2 for joint in joints)
    tried = {least, *_steps(least, widest, 1.0)}
    for joint in joints:
        bounds = joint.bounds
        tail = bounds.tail.mm if joint.tail is None else joint.tail
        tried |= {joint.neat_mm, bounds.most_half_pin_mm, bounds.first_high.mm - tail}
        for shape in joint.shapes if bounds.first_high.mm else ():
            if shape.fills and shape.total > 2:  # that which lifts the upper corner of the lowest tail just high enough
                lacks = bounds.first_high.mm * shape.total - joint.width_mm + (shape.tails - 1) * (joint.pin or pin)
                tried.add(lacks / (shape.total - 2))
    return sorted((width for width in tried if least <= width < math.inf), key=lambda width: sum(eye.frame(pin, width)))


def _tails(joints: Sequence[_Joint], pin: float, half_pin: float) -> Sequence[float]:
    """Return the standard tails to be tried beside a pin and a half pin, the likeliest first."""
    if given := _given(joints, lambda joint: joint.tail):
        return given
    first, bounds = joints[0], joints[0].bounds
    if first.fills:
        found = [seen.outermost_mm for joint in joints for seen in joint.ways(pin, half_pin)]
        return (0.0,) if len(joints) == 1 else _steps(min(found, default=1.0) - STEP_MM, max(found, default=0.0) + STEP_MM)
    tried = {bounds.tail.mm, *_steps(bounds.tail.mm, first.eye.tail_mm(pin, RATIO_LIMITS[1]))}
    for joint in joints:
        tried.add(joint.bounds.first_high.mm - (joint.half_pin or half_pin))
        for shape in joint.shapes if len(joints) == 1 or len(joint.shapes) == 1 else ():  # tails that leave nothing over
            room = joint.width_mm - 2 * (joint.half_pin or half_pin) - (shape.tails - 1) * (joint.pin or pin)
            tried.add(down(room / shape.total, STEP_MM))
    likely = first.eye.tail_mm(pin)
    return sorted((tail for tail in tried if tail >= bounds.tail.mm), key=lambda tail: off(tail, likely))


def hindered(style: Style, drawn: Drawn, count: int) -> list[Broken]:
    """Say why there is no layout with so many tails, by the bounds that the roomiest one breaks; nothing where that breaks none."""
    joint, bounds = drawn.joint, drawn.bounds
    broken = [
        Broken(f"{what} asked for", asked, f"at least {mm(least.mm)}", least.reason)
        for what, asked, least in (
            ("tail", joint.tail_mm, bounds.tail),
            ("pin", joint.pin_mm, bounds.pin),
            ("half pin", joint.half_pin_mm, bounds.half_pin),
        )
        if asked is not None and asked < least.mm - _SAME_MM
    ]
    if broken:
        return broken
    shape = _shape(style, count)
    tail, pin = joint.tail_mm or bounds.tail.mm, joint.pin_mm or bounds.pin.mm
    # The lowest tail must reach up to the place that is asked of it, on its half pin.
    half_pin = joint.half_pin_mm or max(bounds.half_pin.mm, min(bounds.first_high.mm - tail, bounds.most_half_pin_mm))
    need = tail * shape.total + (count - 1) * pin + 2 * half_pin
    gaps = f", {counted(count - 1, 'pin')} of {mm(pin)}" if count > 1 else ""
    what = f"{counted(count, 'tail')} of {mm(tail)}{gaps} and half pins of {mm(half_pin)}"
    if need > drawn.width_mm + _SAME_MM:
        return [
            Broken(what, need, f"width of {mm(drawn.width_mm)}", bounds.tail.reason if joint.tail_mm is None else "nothing may be over")
        ]
    room = drawn.width_mm - 2 * half_pin - (count - 1) * pin
    if room > 0 and joint.tail_mm is None:
        unit = room / shape.total
        if found := broken_by(Division(half_pin, tuple(unit * part for part in style.tails(count)), (pin,) * (count - 1)), bounds):
            return found
    if joint.tail_mm is None:
        return []
    return [Broken(what, need, f"width of {mm(drawn.width_mm)}", "what is over has no place where all of them are kept")]
