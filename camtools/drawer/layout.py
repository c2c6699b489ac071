"""Chooses the look of a family of drawers, and the number of tails of each: the best by the measure of looks. docs/joinery.md section 7.

What a job file gives is kept. What it leaves out is looked for in whole steps and at the bounds, over all numbers of tails.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from camtools.drawer.bounds import Bounds
from camtools.drawer.division import Division, Measures, Style
from camtools.drawer.looks import APART, BEYOND, EDGE, FAMILY, RATIO_LIMITS, STEP_MM, Eye, Looks, Numbers, Widths, off
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


class _Shapes(NamedTuple):
    """A style with several numbers of tails: what each comes to for the eye, as arrays of shape (numbers of tails, 1, 1)."""

    tails: Numbers
    total: Numbers  # of the tails, where the outermost is 1
    low: Numbers
    high: Numbers
    wide: Numbers  # tails that share what is over
    gaps: Numbers  # that do
    outermost: Numbers  # tail is one of those
    fills: Numbers  # the width in proportion, so that no standard tail makes a difference

    def widths(self, width_mm: float, tail_mm: Numbers, pin_mm: Numbers, half_pin_mm: Numbers) -> tuple[Widths, Numbers]:
        """Return the widths that these standard ones lead to, and where they fit."""
        room = width_mm - 2 * half_pin_mm - (self.tails - 1) * pin_mm
        left = room - tail_mm * self.total
        share = np.where(self.fills, 0.0, left / np.maximum(1, self.wide + self.gaps))
        standard = np.where(self.fills, room / self.total, tail_mm)
        opened = np.where(self.gaps > 0, share, 0.0)
        widths = Widths(
            tails=self.tails,
            outermost_mm=standard + self.outermost * share,
            narrowest_mm=standard * self.low,
            widest_mm=standard * self.high + share - opened,
            mean_mm=np.where(self.gaps > 0, tail_mm, room / self.tails),
            narrowest_pin_mm=pin_mm + np.where(self.gaps == self.tails - 1, opened, 0.0),
            widest_pin_mm=pin_mm + opened,
            mean_pin_mm=pin_mm + opened * self.gaps / np.maximum(1, self.tails - 1),
            half_pin_mm=half_pin_mm,
            meant=self.high / self.low,
        )
        return widths, np.where(self.fills, room > 0, left >= -_SAME_MM)

    def those(self, keep: Numbers) -> _Shapes:
        """Return some of these."""
        return _Shapes(*(one[keep] for one in self))


@lru_cache(maxsize=500)
def _shapes(style: Style, counts: range) -> _Shapes:
    rows = []
    for count in counts:
        parts, (wide, gaps) = style.tails(count), style.wider(count) if style.wider else ((), ())
        fills = style.wider is None or len(wide) == count
        rows.append((count, sum(parts), min(parts), max(parts), len(wide), len(gaps), 0 in wide, fills))
    return _Shapes(*(np.array(column).reshape(-1, 1, 1) for column in zip(*rows, strict=True)))


_Own = tuple[Numbers, Numbers, Numbers]  # standard tail, pin and half pin


class _Seen(NamedTuple):
    """Layouts of a joint, as they look beside families; arrays of shape (numbers of tails, half pins, tails) or what broadcasts to it."""

    looks: Looks
    cost: Numbers  # infinite where a layout can not be cut or does not keep what is given
    own: _Own
    outermost_mm: Numbers


class _Best(NamedTuple):
    """One of them."""

    tails: int
    own: Measures
    outermost_mm: float
    looks: Looks


class _Joint:
    """A joint that is looked at with many standard widths, beside its family or alone."""

    def __init__(self, style: Style, drawn: Drawn, *, alone: bool = False) -> None:
        self._style, self._drawn, self._alone = style, drawn, alone
        self.width_mm, self.bounds, self.number = drawn.width_mm, drawn.bounds, drawn.number
        self.eye = Eye(drawn.width_mm, drawn.bounds)
        self.tail, self.pin, self.half_pin = drawn.joint.tail_mm, drawn.joint.pin_mm, drawn.joint.half_pin_mm
        shapes = _shapes(style, counts_of(drawn))
        self.shapes = shapes.those((shapes.total * (self.tail or 0.0) <= self.width_mm).ravel())
        self.fills = style.wider is None
        self._opens = bool(self.shapes.gaps.any())
        self.neat_mm = down(drawn.bounds.cover_mm[0], 0.1)  # the widest half pin that lets the groove lie inside the lowest tail

    def by_itself(self) -> _Joint:
        """Return the same joint without its family."""
        return _Joint(self._style, self._drawn, alone=True)

    def frame(self, pin: float, half_pin: Numbers) -> Numbers:
        """Return the least that a layout costs beside a family with these, however many tails it has."""
        pins, half_pins, groove = self.eye.frame(_or(self.pin, pin), _or(self.half_pin, half_pin))
        if self._opens and pin < self.eye.finest_mm:  # all gaps may be opened further
            pins = 0.0
        if self.tail is None:
            return pins + half_pins + groove
        # Pin or half pin may give way to the tail, but that they are not the family's costs no less than what it mends. Alone, each
        # pin that gives way has been seen beside the first.
        return pins + half_pins * (0.0 if self._alone else FAMILY / (EDGE + BEYOND))

    def floor(self, pin: float, half_pin: Numbers) -> Numbers:
        """Return the least that any layout can cost beside a family with these, whatever its tail."""
        frame = self.frame(pin, half_pin)
        if self.tail is not None:
            return frame
        pin, half_pin, shapes = _or(self.pin, pin), _or(self.half_pin, half_pin), self.shapes
        mean = (self.width_mm - 2 * half_pin - (shapes.tails - 1) * pin) / shapes.tails
        can = self._in_bounds(pin, half_pin) & (mean >= self.bounds.tail.mm - _SAME_MM)
        if not (self._opens and pin < self.eye.finest_mm):
            # Narrower tails and wider gaps bring too wide ones into proportion. Tails can not look better than all equal.
            mean = np.where((shapes.gaps > 0) & ~self._all_given(), np.minimum(mean, self.eye.tail_mm(pin)), mean)
            widths = Widths(shapes.tails, self.width_mm, mean, mean, mean, pin, pin, pin, half_pin, 1.0)
            frame = self.eye.looks(widths, self._between(pin, half_pin)).cost
        return np.where(can, frame, math.inf).min(axis=0, initial=math.inf)

    def layouts(self, tail: Numbers, pin: Numbers, half_pin: Numbers) -> Iterator[_Seen]:
        """Yield the ways to lay it out beside families with these standard widths."""
        for own, may in self._own(_or(self.tail, tail), _or(self.pin, pin), _or(self.half_pin, half_pin)):
            widths, fits = self.shapes.widths(self.width_mm, *own)
            can = may & fits & self._can(widths, *own[1:])
            far: Numbers = 0.0
            if not self._alone:
                far = FAMILY * (off(own[1], pin) + off(own[2], half_pin) + off(widths.outermost_mm, tail))
            steps = self._between(*own[1:])
            if self.tail is None:
                steps = steps + ~(self.shapes.fills | _whole(own[0]))
            looks = self.eye.looks(widths, steps)._replace(family=far)
            yield _Seen(looks, np.where(can, looks.cost, math.inf), own, widths.outermost_mm)

    def costs(self, tail: Numbers, pin: float, half_pin: Numbers) -> Numbers:
        """Return what the best of all numbers of tails costs beside families with these."""
        ways = [seen.cost.min(axis=0, initial=math.inf) for seen in self.layouts(tail, pin, half_pin)]
        return np.minimum.reduce(np.broadcast_arrays(*ways, 0.0 * tail)[:-1])

    def best(self, look: Measures) -> _Best | None:
        """Return the best layout beside a family, with the fewest tails where several are as good; None where there is none."""
        found = []
        with np.errstate(all="ignore"):
            for seen in self.layouts(*map(np.float64, (look.tail_mm, look.pin_mm, look.half_pin_mm))):
                row = int(np.argmax(seen.cost <= seen.cost.min(initial=math.inf) + 1e-9)) if seen.cost.size else 0
                if np.isfinite(seen.cost[row : row + 1]).any():
                    found.append((seen, row))
        if not found:
            return None
        seen, row = min(found, key=lambda one: float(one[0].cost[one[1]].item()))

        def at(numbers: Numbers) -> float:
            return float(np.broadcast_to(numbers, seen.cost.shape)[row].item())

        return _Best(int(self.shapes.tails[row].item()), Measures(*map(at, seen.own)), at(seen.outermost_mm), Looks(*map(at, seen.looks)))

    def _between(self, pin: Numbers, half_pin: Numbers) -> Numbers:
        """Count the widths that are chosen and no whole steps."""
        pins = 0 if self.pin is not None else 1 - _whole(pin)
        return pins + (0 if self.half_pin is not None else ~(_whole(half_pin) | (half_pin == self.neat_mm)))

    def _own(self, tail: Numbers, pin: Numbers, half_pin: Numbers) -> Iterator[tuple[_Own, Numbers]]:
        """Yield standard widths that keep what is given, and where they are looked at: the family's, or one made to fill the width."""
        shapes = self.shapes
        gaps = shapes.tails - 1
        if self.tail is None:
            filling = (self.width_mm - 2 * half_pin - gaps * pin) / shapes.total
            yield (np.where(shapes.fills | self._all_given(), filling, tail), pin, half_pin), True
            return
        widths, fits = shapes.widths(self.width_mm, tail, pin, half_pin)
        kept = fits & self._keeps(widths)
        yield (tail, pin, half_pin), kept
        # What is over would make the tail or the pin wider that is given: nothing is to be over.
        room = self.width_mm - tail * shapes.total
        if self.half_pin is None:
            yield (tail, pin, (room - gaps * pin) / 2), ~kept
        if self.pin is None:
            yield (tail, (room - 2 * half_pin) / np.maximum(1, gaps), half_pin), ~kept & (gaps > 0)

    def _all_given(self) -> Numbers:
        """Tell where every gap would take what is over, and the pins are given: then the tails take it."""
        gaps = self.shapes.gaps
        return (self.pin is not None) & (gaps > 0) & (gaps == self.shapes.tails - 1)

    def _keeps(self, widths: Widths) -> Numbers:
        """Tell which widths are those that are given."""
        tails = True if self.tail is None else abs(widths.outermost_mm - self.tail) <= _SAME_MM
        return tails & (True if self.pin is None else abs(widths.narrowest_pin_mm - self.pin) <= _SAME_MM)

    def _in_bounds(self, pin: Numbers, half_pin: Numbers) -> Numbers:
        bounds = self.bounds
        low, high = bounds.half_pin.mm - _SAME_MM, bounds.most_half_pin_mm + _SAME_MM
        return (low <= half_pin) & (half_pin <= high) & (pin >= bounds.pin.mm - _SAME_MM)

    def _can(self, widths: Widths, pin: Numbers, half_pin: Numbers) -> Numbers:
        """Tell which layouts can be cut and keep what is given."""
        return (
            self._in_bounds(pin, half_pin)
            & (widths.narrowest_mm >= self.bounds.tail.mm - _SAME_MM)
            & (half_pin + widths.outermost_mm >= self.bounds.first_high.mm - _SAME_MM)
            & self._keeps(widths)
        )


def _or(given: float | None, width: Numbers) -> Numbers:
    """Return the given width, in the shape of those that are tried, or these."""
    return width if given is None else given + 0.0 * width


def _whole(width_mm: Numbers) -> Numbers:
    steps = width_mm / STEP_MM
    return abs(steps - np.round(steps)) < 1e-9


def counts_of(drawn: Drawn) -> range:
    """Return every number of tails that may be thought of: the one asked for, or all that have room for their bases and pins."""
    if drawn.joint.tails is not None:
        return range(drawn.joint.tails, drawn.joint.tails + 1)
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
    best = _Joint(style, drawn).best(look)
    if best is None:
        return None
    division = style.divide(drawn.width_mm, best.tails, best.own)
    assert division is not None
    return Laid(division, best.looks)


def look_of(style: Style, family: Sequence[Drawn]) -> Measures | None:
    """Choose what every drawer of a family shares: the standard widths with which they look best, all together.

    A drawer that can not share them, or looks much better by itself, is laid out by itself, at the cost of being apart. None where
    no drawer can be laid out at all.
    """
    alone = len(family) == 1
    joints = [_Joint(style, drawn, alone=alone) for drawn in family]
    with np.errstate(all="ignore"):  # what is no layout has widths below 0
        _, look = _best(joints)
    if look is None or not alone:
        return look
    best = joints[0].best(look)
    assert best is not None
    return replace(best.own, tail_mm=best.outermost_mm) if style.wider is None else best.own


def _best(joints: Sequence[_Joint]) -> tuple[float, Measures | None]:
    """Return the least cost of a family, and the standard widths with it.

    For each pin, all half pins and tails are looked at at once: half pins down the rows of an array, tails along them.
    """
    apart = math.inf if len(joints) == 1 else APART
    alone: dict[int, float] = {}  # what a joint costs by itself, where that was asked

    def at_most(index: int, cost: Numbers) -> Numbers:
        return joints[index].number * np.minimum(cost, alone.get(index, apart))

    def frames(pin: float, half_pins: Numbers) -> Numbers:
        return sum(at_most(index, joint.frame(pin, half_pins)) for index, joint in enumerate(joints))

    finest = joints[0].eye.finest_mm
    best, look = math.inf, None
    for pin in _pins(joints):
        half_pins = _half_pins(joints, pin)
        if frames(pin, half_pins).min() >= best and pin > finest:
            break
        for rows in (half_pins[:1], half_pins[1:]):  # the likeliest alone, so that few others are left to be looked at
            rows = rows[frames(pin, rows) < best].reshape(-1, 1)
            floors = [at_most(index, joint.floor(pin, rows)) for index, joint in enumerate(joints)]
            hopeful = (sum(floors) < best).ravel()
            if not hopeful.any():
                continue
            rows, left = rows[hopeful], sum(floors)[hopeful]
            tails = _tails(joints, pin, rows)
            costs: list[Numbers] = []
            total: Numbers = 0.0
            for index, joint in enumerate(joints):
                costs.append(joint.costs(tails, pin, rows))
                left = left - floors[index][hopeful]
                total = total + at_most(index, costs[-1])
                if (total + left).min() >= best - 1e-9:
                    break
            else:
                for index, cost in enumerate(costs):
                    if index not in alone and apart < math.inf and (cost > apart)[total < best - 1e-9].any():
                        by_itself, own = _best([joints[index].by_itself()])
                        alone[index] = APART + by_itself / joints[index].number if own else 0.0  # what can not be laid out decides nothing
                        total = sum(at_most(index, cost) for index, cost in enumerate(costs))
                if total.min() < best - 1e-9:
                    best = float(total.min())
                    row, column = divmod(int(np.argmax(total <= best + 1e-9)), total.shape[1])
                    look = Measures(float(np.broadcast_to(tails, total.shape)[row, column]), pin, float(rows[row, 0]))
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


def _half_pins(joints: Sequence[_Joint], pin: float) -> Numbers:
    """Return the half pins to be tried beside a pin, the best first; shape (half pins,)."""
    if given := _given(joints, lambda joint: joint.half_pin):
        return np.array(given)
    least, eye = joints[0].bounds.half_pin.mm, joints[0].eye
    widest = max((joint.width_mm - joint.bounds.tail.mm) / 2 for joint in joints)
    tried = {least, *_steps(least, widest, 1.0)}
    for joint in joints:
        bounds = joint.bounds
        tail = bounds.tail.mm if joint.tail is None else joint.tail
        tried |= {joint.neat_mm, bounds.most_half_pin_mm, bounds.first_high.mm - tail}
        if bounds.first_high.mm:  # those which lift the upper corner of the lowest tail just high enough
            shapes = joint.shapes.those((joint.shapes.fills & (joint.shapes.total > 2)).ravel())
            lacks = bounds.first_high.mm * shapes.total - joint.width_mm + (shapes.tails - 1) * (joint.pin or pin)
            tried |= set((lacks / (shapes.total - 2)).ravel().tolist())
    half_pins = np.array(sorted(width for width in tried if least <= width < math.inf))
    return half_pins[np.argsort(sum(eye.frame(pin, half_pins)), kind="stable")]


def _tails(joints: Sequence[_Joint], pin: float, half_pins: Numbers) -> Numbers:
    """Return the standard tails to be tried beside a pin and half pins, the likeliest first; shape (1 or half pins, tails)."""
    if given := _given(joints, lambda joint: joint.tail):
        return np.array([given])
    first, least = joints[0], joints[0].bounds.tail.mm
    likely = first.eye.tail_mm(pin)
    if first.fills:
        if len(joints) == 1:
            return np.array([[1.0]])
        seen = [seen for joint in joints for seen in joint.layouts(1.0, pin, half_pins)]
        found = np.concatenate([one.outermost_mm[np.isfinite(one.cost)] for one in seen])
        return np.array([_steps(found.min() - STEP_MM, found.max() + STEP_MM) if found.size else [1.0]])
    tried = [[least, *_steps(least, first.eye.tail_mm(pin, RATIO_LIMITS[1]))] + 0.0 * half_pins]
    half_pin = _or(first.half_pin, half_pins)  # given for all of them or for none
    tried += [high - half_pin for high in {joint.bounds.first_high.mm for joint in joints}]
    for joint in joints:
        if len(joints) == 1 or joint.shapes.tails.size == 1:  # tails that leave nothing over
            room = joint.width_mm - 2 * half_pin - (joint.shapes.tails - 1) * (joint.pin or pin)
            steps = np.floor(room / joint.shapes.total / STEP_MM + 1e-9)
            tried.extend(np.round(steps * STEP_MM, 6))
    tails = np.maximum(np.hstack(tried), least)
    return np.take_along_axis(tails, np.argsort(off(tails, likely), axis=1, kind="stable"), axis=1)


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
    total = sum(style.tails(count))
    tail, pin = joint.tail_mm or bounds.tail.mm, joint.pin_mm or bounds.pin.mm
    # The lowest tail must reach up to the place that is asked of it, on its half pin.
    half_pin = joint.half_pin_mm or max(bounds.half_pin.mm, min(bounds.first_high.mm - tail, bounds.most_half_pin_mm))
    need = tail * total + (count - 1) * pin + 2 * half_pin
    gaps = f", {counted(count - 1, 'pin')} of {mm(pin)}" if count > 1 else ""
    what = f"{counted(count, 'tail')} of {mm(tail)}{gaps} and half pins of {mm(half_pin)}"
    if need > drawn.width_mm + _SAME_MM:
        return [
            Broken(what, need, f"width of {mm(drawn.width_mm)}", bounds.tail.reason if joint.tail_mm is None else "nothing may be over")
        ]
    room = drawn.width_mm - 2 * half_pin - (count - 1) * pin
    if room > 0 and joint.tail_mm is None:
        unit = room / total
        if found := broken_by(Division(half_pin, tuple(unit * part for part in style.tails(count)), (pin,) * (count - 1)), bounds):
            return found
    if joint.tail_mm is None:
        return []
    return [Broken(what, need, f"width of {mm(drawn.width_mm)}", "what is over has no place where all of them are kept")]
