"""What is chosen keeps what is given, and no layout that is tried one by one looks better by the measure of docs/joinery.md section 7.

Measure and shapes are written here again from that text, and every layout is tried, without any of the ways in which the code saves work.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camtools.drawer.bounds import Bounds, Least, bounds_of
from camtools.drawer.division import Division, Measures
from camtools.drawer.layout import Drawn, broken_by, hindered, lay_out, look_of
from camtools.drawer.looks import Eye
from camtools.drawer.styles import STYLES
from camtools.job.job import JointWish
from tests.specimens import FIT, GROOVE, JOINT, STOCK, cutters, drawer, job_of

BOUNDS = bounds_of(job_of(drawer()), drawer())


def _drawn(width: float, bounds: Bounds = BOUNDS, **asked: object) -> Drawn:
    return Drawn(width, replace(JOINT, **asked), bounds)  # type: ignore[arg-type]


def _alone(width: float, style: str, bounds: Bounds = BOUNDS, **asked: object) -> Division | None:
    drawn = _drawn(width, bounds, **asked)
    look = look_of(STYLES[style], [drawn])
    laid = lay_out(STYLES[style], drawn, look) if look else None
    return laid.division if laid else None


# --- the measure and the layouts, once more ---


@dataclass(frozen=True)
class _Tried:
    """A layout: tails, pins and half pin, and the standard widths it was made from."""

    tails: tuple[float, ...]
    pins: tuple[float, ...]
    tail: float
    pin: float
    half_pin: float


def _parts(style: str, count: int) -> list[float]:
    if style != "swelling":
        return [1.0] * count
    steps = [min(i, count - 1 - i) for i in range(count)]
    return [1 + 0.6 * step / max(1, max(steps)) for step in steps]


def _tried(style: str, width: float, count: int, tail: float, pin: float, half_pin: float) -> _Tried | None:
    room = width - 2 * half_pin - (count - 1) * pin
    parts = _parts(style, count)
    if style in ("even", "swelling"):
        tail = room / sum(parts)
        return _Tried(tuple(tail * part for part in parts), (pin,) * (count - 1), tail, pin, half_pin) if tail > 0 else None
    over = room - count * tail
    if over < -1e-9:
        return None
    tails, pins = [tail] * count, [pin] * (count - 1)
    if style == "standard" or count == 1:
        wide = set(range(count)) if count < 3 else {1, count - 2}
        for i in wide:
            tails[i] += over / len(wide)
    else:
        wide = {0, count - 2} if count - 1 < 4 else {1, count - 3}
        for i in wide:
            pins[i] += over / len(wide)
    return _Tried(tuple(tails), tuple(pins), tail, pin, half_pin)


def _can(tried: _Tried, bounds: Bounds, joint: JointWish) -> bool:
    """Tell whether a layout breaks no bound and keeps what is given."""
    near = 1e-6
    return (
        min(tried.tails) >= bounds.tail.mm - near
        and min((tried.pin, *tried.pins)) >= bounds.pin.mm - near
        and bounds.half_pin.mm - near <= tried.half_pin <= bounds.most_half_pin_mm + near
        and tried.half_pin + tried.tails[0] >= bounds.first_high.mm - near
        and joint.tails in (None, len(tried.tails))
        and (joint.tail_mm is None or abs(tried.tails[0] - joint.tail_mm) < near)
        and (joint.pin_mm is None or all(pin >= joint.pin_mm - near for pin in tried.pins))
        and (joint.pin_mm is None or not tried.pins or abs(min(tried.pins) - joint.pin_mm) < near)
        and (joint.half_pin_mm is None or abs(tried.half_pin - joint.half_pin_mm) < near)
    )


def _whole(width: float, step: float = 0.5) -> bool:
    return abs(width / step - round(width / step)) < 1e-9


def _cost(style: str, width: float, tried: _Tried, bounds: Bounds, joint: JointWish, look: tuple[float, ...] | None = None) -> float:
    """Return the faults of looks of a layout, beside a family's tail, pin and half pin, or alone."""
    lean, count = bounds.lean_mm, len(tried.tails)
    pins = tried.pins or (tried.pin,)
    finest = max(4.0, math.ceil(bounds.pin.mm / 0.5 - 1e-9) * 0.5)
    mean = (sum(tried.tails) / count - lean) / (sum(pins) / len(pins) + lean)
    most, least = (max(tried.tails) - lean) / (min(pins) + lean), (min(tried.tails) - lean) / (max(pins) + lean)
    parts = _parts(style, count)
    swell = max(parts) / min(parts)
    neat = math.floor(bounds.cover_mm[0] * 10 + 1e-9) / 10
    between = (joint.pin_mm is None and not _whole(tried.pin)) + (
        joint.half_pin_mm is None and not _whole(tried.half_pin) and abs(tried.half_pin - neat) > 1e-9
    )
    between += count > {"standard": 2, "spaced": 1}.get(style, 99) and joint.tail_mm is None and not _whole(tried.tail)
    low, high = bounds.cover_mm
    inside = tried.half_pin <= low + 1e-9 and tried.half_pin + tried.tails[0] >= high - 1e-9
    cost = abs(math.log(mean / 2)) + 3 * (max(0.0, math.log(most / 4)) + max(0.0, math.log(1 / least)))
    cost += 0.5 * max(0.0, math.log(max(tried.tails) / min(tried.tails) / swell))
    cost += 0.5 * math.log((max(pins) + lean) / (min(pins) + lean))
    cost += 1.5 * abs(math.log((min(pins) + lean) / (finest + lean)))
    edge = (tried.half_pin + lean) / (finest + 2 * lean)
    cost += abs(math.log(edge)) + 3 * max(0.0, math.log(edge / 1.5))
    cost += 0.0 if inside else 1.0
    cost += 5.0 if count == 1 and (width > 50 or bounds.raised) else 0.0
    cost += 0.05 * between
    for one, other in zip((tried.tails[0], tried.pin, tried.half_pin), look or (), strict=False):
        cost += 2 * abs(math.log(one / other))
    return cost


def _all(style: str, drawn: Drawn, most: float = math.inf) -> Iterator[_Tried]:
    """Yield every layout of a grid that can be cut and keeps what is given, but for those whose pins alone cost more than ``most``."""
    width, bounds, joint = drawn.width_mm, drawn.bounds, drawn.joint
    lean, finest = bounds.lean_mm, max(4.0, math.ceil(bounds.pin.mm / 0.5 - 1e-9) * 0.5)
    coarse = 4 if most == math.inf else 2
    steps = [i / 2 for i in range(6, 120, coarse)]
    pins = [joint.pin_mm] if joint.pin_mm else [bounds.pin.mm, *steps[: 50 // coarse]]
    half_pins = [joint.half_pin_mm] if joint.half_pin_mm else [*range(3, 30, coarse), math.floor(bounds.cover_mm[0] * 10) / 10]
    for pin, half_pin in itertools.product(pins, half_pins):
        pins_cost = 1.5 * math.log((max(pin, finest) + lean) / (finest + lean)) + abs(math.log((half_pin + lean) / (finest + 2 * lean)))
        if joint.tail_mm is None and pins_cost > most:
            continue
        for count in [joint.tails] if joint.tails else range(1, 12):
            total = sum(_parts(style, count))
            if joint.tail_mm:
                ways = [(joint.tail_mm, pin, half_pin)]
                if joint.half_pin_mm is None:
                    ways.append((joint.tail_mm, pin, (width - joint.tail_mm * total - (count - 1) * pin) / 2))
                if joint.pin_mm is None and count > 1:
                    ways.append((joint.tail_mm, (width - joint.tail_mm * total - 2 * half_pin) / (count - 1), half_pin))
            elif style in ("even", "swelling"):
                ways = [(0.0, pin, half_pin)]
            else:
                full = (width - 2 * half_pin - (count - 1) * pin) / total  # kept to a given pin where every gap would be opened
                tails = [full] if style == "spaced" and joint.pin_mm and 1 < count < 4 else steps
                ways = [(tail, pin, half_pin) for tail in tails if tail > 0]
            for tail, own_pin, own_half_pin in ways:
                tried = _tried(style, width, count, tail, own_pin, own_half_pin) if min(own_pin, own_half_pin) > 0 else None
                if tried and _can(tried, bounds, joint):
                    yield tried


def _as_tried(division: Division, look: Measures, style: str) -> _Tried:
    tail = look.tail_mm if style in ("standard", "spaced") else division.tails_mm[0]
    pin = min(division.pins_mm, default=look.pin_mm)
    if style == "spaced" and 1 < division.count < 4:
        pin = look.pin_mm
    return _Tried(division.tails_mm, division.pins_mm, tail, pin, division.half_pin_mm)


def _wish(dice: random.Random) -> tuple[Bounds, float, JointWish]:
    """Return a drawer in random wood with a random wish."""
    diameter, angle = dice.choice([(6.35, 8.0), (9.5, 9.0), (9.5, 14.0), (12.7, 7.0), (12.7, 14.0), (19.0, 10.0)])
    side = dice.choice([9.0, 12.0, 16.0])
    front = dice.choice([16.0, 20.0, 24.0])
    joint = replace(JOINT, lap_mm=front / 4)
    groove = replace(GROOVE, edge_mm=dice.choice([8.0, 11.0, 14.0]), depth_mm=4.0, ends=dice.choice(["stopped", "stopped", "hidden"]))
    wish = drawer(
        stock=replace(STOCK, front_mm=front, side_mm=side, back_mm=side), joint=joint, groove=groove,
        fit=replace(FIT, back=dice.choice(["full", "full", "raised"])),
    )  # fmt: skip
    bounds = bounds_of(job_of(wish, tools=cutters(diameter, angle)), wish)
    width = round(dice.uniform(40, 220), 1)
    asked = {
        "tails": dice.randint(1, 6), "tail_mm": round(dice.uniform(12, 45), 1), "pin_mm": round(dice.uniform(4, 18), 1),
        "half_pin_mm": round(dice.uniform(3, 12), 1),
    }  # fmt: skip
    keys = dice.sample(sorted(asked), dice.choice([0, 0, 1, 1, 1, 2, 2, 3, 4]))
    return bounds, width, replace(joint, **{key: asked[key] for key in keys})


@pytest.mark.parametrize("style", STYLES)
def test_of_random_wishes_what_is_given_is_kept_or_refused_and_no_layout_that_can_be_cut_looks_better(style: str) -> None:
    # 500 wishes over the four styles.
    dice, kept, refused = random.Random(f"{style} wishes"), 0, 0
    for _ in range(125):
        bounds, width, joint = _wish(dice)
        drawn = Drawn(width, joint, bounds)
        look = look_of(STYLES[style], [drawn])
        laid = lay_out(STYLES[style], drawn, look) if look else None
        if laid is None or look is None:
            assert next(_all(style, drawn), None) is None, (width, joint)
            refused += 1
            continue
        own = _as_tried(laid.division, look, style)
        assert _can(own, bounds, joint), (width, joint, own)
        cost = _cost(style, width, own, bounds, joint)
        assert cost == pytest.approx(laid.looks.cost - laid.looks.family, abs=1e-6), (width, joint, own)
        best = min((_cost(style, width, tried, bounds, joint) for tried in _all(style, drawn, cost)), default=math.inf)
        assert cost <= best + 1e-6, (width, joint, own)
        kept += 1
    assert kept > 40
    assert refused > 15


@pytest.mark.parametrize("style", STYLES)
def test_no_other_common_look_of_a_family_is_better(style: str) -> None:
    dice = random.Random(f"{style} families")
    for _ in range(6):
        bounds, _, joint = _wish(dice)
        joint = replace(joint, tails=None, tail_mm=None)
        family = [Drawn(round(dice.uniform(50, 180), 1), joint, bounds, dice.randint(1, 3)) for _ in range(3)]
        look = look_of(STYLES[style], family)
        alone = [look_of(STYLES[style], [drawn]) for drawn in family]
        if look is None or None in alone:
            continue
        apart = [_family_cost(style, [replace(drawn, number=1)], own, [math.inf]) for drawn, own in zip(family, alone, strict=True) if own]
        least = _family_cost(style, family, look, apart)
        for _ in range(80):
            pin = joint.pin_mm or dice.choice([bounds.pin.mm, *(i / 2 for i in range(8, 34))])
            half_pin = joint.half_pin_mm or dice.choice([*range(3, 14), math.floor(bounds.cover_mm[0] * 10) / 10])
            if half_pin <= 0:
                continue
            other = Measures(dice.randint(20, 100) / 2, pin, half_pin)
            assert least <= _family_cost(style, family, other, apart) + 1e-6, (family, look, other)


def _family_cost(style: str, family: list[Drawn], look: Measures, apart: list[float]) -> float:
    """Return what a look costs: each drawer as it is best with just these widths, or apart where that is better."""
    total = 0.0
    for drawn, alone in zip(family, apart, strict=True):
        width, bounds, joint = drawn.width_mm, drawn.bounds, drawn.joint
        shared = (look.tail_mm, look.pin_mm, look.half_pin_mm)
        own = (joint.tail_mm or look.tail_mm, joint.pin_mm or look.pin_mm, joint.half_pin_mm or look.half_pin_mm)
        found = []
        for count in range(1, 16):
            full = (width - 2 * own[2] - (count - 1) * own[1]) / count
            # Where all tails or gaps take what is over, or lacks, no tail is the standard one.
            takes = count == 1 or (count == 2 and style == "standard") or (joint.pin_mm and style == "spaced" and count < 4)
            for tail in (own[0], full) if takes else (own[0],):
                tried = _tried(style, width, count, tail, own[1], own[2])
                if tried and _can(tried, bounds, joint):
                    found.append(_cost(style, width, tried, bounds, joint, shared))
        total += drawn.number * min([*found, 1.5 + alone])
    return total


# --- what is known of particular drawers ---


@pytest.mark.parametrize(("width", "count"), [(50, 1), (75, 2), (100, 3), (125, 4)])
def test_a_teachers_count_of_tails_is_met_within_one(width: float, count: int) -> None:
    # A teacher's lesson, imperial rounded: 50 mm board 1 tail, 75 -> 2, 100 -> 3, 125 -> 4.
    division = _alone(width, "even")
    assert division is not None
    assert abs(division.count - count) <= 1


@given(width=st.floats(60, 400), style=st.sampled_from(sorted(STYLES)))
def test_what_is_chosen_breaks_no_bound_and_fills_the_width(width: float, style: str) -> None:
    division = _alone(width, style)
    assert division is not None
    assert broken_by(division, BOUNDS) == []
    assert division.width_mm == pytest.approx(width)
    tails = division.tails()
    assert tails[0].low_mm == pytest.approx(division.half_pin_mm, abs=1e-5)
    assert width - tails[-1].high_mm == pytest.approx(division.half_pin_mm, abs=1e-5)


@given(width=st.floats(60, 400), style=st.sampled_from(sorted(STYLES)))
def test_where_nothing_is_given_tails_are_in_the_proportion_that_the_trade_likes(width: float, style: str) -> None:
    # Tails to pins from 1:1 to 4:1, docs/sources.md section 3.
    division = _alone(width, style)
    assert division is not None
    assert division.count > 1
    for tail, pin in itertools.product(division.tails_mm, division.pins_mm):
        assert 1 <= (tail - BOUNDS.lean_mm) / (pin + BOUNDS.lean_mm) <= 4


def test_a_number_that_can_not_be_cut_tells_which_bounds_it_breaks() -> None:
    (broken,) = hindered(STYLES["even"], _drawn(100, tails=6), 6)
    assert broken.value_mm == pytest.approx(6 * BOUNDS.tail.mm + 5 * BOUNDS.pin.mm + 6)
    assert broken.limit == "width of 100 mm"
    assert broken.reason == BOUNDS.tail.reason
    assert hindered(STYLES["even"], _drawn(100), 4) == []


@pytest.mark.parametrize(("key", "least"), [("tail_mm", 12.48), ("pin_mm", 6.77), ("half_pin_mm", 3.0)])
def test_what_is_given_under_its_bound_is_refused_and_not_evaded(key: str, least: float) -> None:
    for style in STYLES:
        assert _alone(100, style, **{key: least - 0.01}) is None
        (broken,) = hindered(STYLES[style], _drawn(100, **{key: least - 0.01}), 2)
        assert broken.limit == f"at least {least:g} mm"
        assert _alone(100, style, **{key: least + 0.01}) is not None


def test_a_raised_back_gets_two_tails_where_two_can_be_cut() -> None:
    raised = replace(BOUNDS, raised=True)
    for width in range(56, 70):
        division = _alone(width, "even", raised)
        assert division is not None
        assert division.count == 2


@pytest.mark.parametrize("bound", ["tail", "pin", "half_pin", "first_high"])
def test_each_bound_is_broken_just_below_it_and_kept_at_it(bound: str) -> None:
    division = STYLES["even"].divide(120, 3, Measures(24.0, 7.0, 5.7))
    assert division is not None
    tail = min(division.tails_mm)
    value = {"tail": tail, "pin": 7.0, "half_pin": 5.7, "first_high": 5.7 + tail}[bound]

    def bounds(least: float) -> Bounds:
        return replace(BOUNDS, **{bound: Least(least, "a reason")})

    assert broken_by(division, bounds(value)) == []
    (broken,) = broken_by(division, bounds(value + 0.001))
    assert broken.reason == "a reason"
    assert broken.value_mm == pytest.approx(value)


def test_a_hidden_groove_bounds_the_lowest_tail_from_below() -> None:
    division = STYLES["even"].divide(120, 3, Measures(24.0, 7.0, 5.7))
    assert division is not None
    assert [one.what for one in broken_by(division, replace(BOUNDS, most_half_pin_mm=5.69))] == ["lower corner of the lowest tail"]


def test_few_layouts_are_looked_at_for_four_heights_with_a_given_tail_or_where_none_can_be_cut(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    looked = []
    monkeypatch.setattr(Eye, "looks", lambda self, widths, steps, look=Eye.looks: looked.append(widths) or look(self, widths, steps))
    four = [_drawn(width, tail_mm=15.2) for width in (45.0, 90.5, 146.0, 213.5)]
    for style in STYLES.values():
        assert look_of(style, four) is not None
    assert len(looked) < 10_000  # arrays, for four styles
    looked.clear()
    narrow = replace(BOUNDS, most_half_pin_mm=BOUNDS.half_pin.mm - 1)
    assert _alone(150, "standard", narrow) is None
    assert len(looked) < 300
