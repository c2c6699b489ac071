"""The largest feed that is safe for each cutter, and what limits it: its chips, what bends it, the spindle or the machine."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from camtools.drawer.boards import Drawer, HalfBlind, Note, Through
from camtools.drawer.cutting_loads import POWER_WARNED, STRENGTH_N_MM2, THIN, WARNED, Load, loads_of
from camtools.job.job import Cutter, DrawerWish, Job, Machine
from camtools.wording import down, fine, quantity, up

__all__ = ["HELPS", "LIMITS", "Lesson", "SafeFeed", "feed_warnings", "safe_feeds_of", "taught"]

Limit = Literal["chips", "bending", "power", "machine"]

LIMITS: Mapping[Limit, str] = {
    "chips": "its chips",
    "bending": "its bending",
    "power": "the spindle's power",
    "machine": "the machine",
}
_STEP = 10.0  # mm/min, as feeds that are left to camtools


@dataclass(frozen=True, slots=True)
class SafeFeed:
    """How fast a cutter may be fed in all that it cuts."""

    cutter: Cutter
    soft: bool  # all of it is softwood
    chart_mm: tuple[float, float]  # least and most that a chart has for each edge and turn
    feed_mm_min: float
    limit: Limit
    chip_mm: float  # the thickest that neither chart nor bending forbids

    @property
    def told(self) -> str:
        """Return the feed that is used and the largest, in words."""
        cutter = self.cutter
        used = f"{quantity(cutter.feed_mm_min, 'mm/min')}, {fine(cutter.chip_mm)} for each edge"
        return f"{used}; safe to {quantity(self.feed_mm_min, 'mm/min')}, limited by {LIMITS[self.limit]}"

    @property
    def chips_told(self) -> str:
        """Return how thick its chips are beside the chart: a word, or nothing where they lie within it."""
        least, most = self.chart_mm
        return "thin" if self.cutter.chip_mm < least * (1 - _ROUNDED) else "thick" if self.cutter.chip_mm > most * (1 + _ROUNDED) else ""


_ROUNDED = 0.01  # share of a chip that a feed loses which is rounded down


def safe_feeds_of(job: Job, drawers: Sequence[Drawer]) -> dict[int, SafeFeed]:
    """Return for every cutter that is used, by its number, the largest feed that is safe in all its work. docs/joinery.md section 11.

    Parameters
    ----------
    drawers
        One for each drawer of the job, in its order.
    """
    own: dict[int, list[Load]] = {}
    for wish, drawer in zip(job.drawers, drawers, strict=True):
        side = drawer.left.piece
        if side.half_blind is not None and side.through is not None:
            for load in loads_of(job, wish, side.half_blind, side.through):
                own.setdefault(load.cutter.number, []).append(load)
    return {number: _safe_feed(loads, job.machine) for number, loads in sorted(own.items())}


def _safe_feed(loads: Sequence[Load], machine: Machine) -> SafeFeed:
    cutter, hardest = loads[0].cutter, max(loads, key=lambda load: load.wood_n_mm2)
    least, _, most = hardest.chart_mm
    spindle_w = math.inf if machine.power_w is None else POWER_WARNED * machine.power_w
    over_bending = max(load.stress_n_mm2 for load in loads) / (WARNED * STRENGTH_N_MM2)
    over_power = max(load.power_w for load in loads) / spindle_w

    def eased(over: float) -> float:
        """Return the feed at which a load that grows with the chip to the power 1 - THIN comes to its limit."""
        return cutter.feed_mm_min * over ** (-1 / (1 - THIN)) if over else math.inf

    feeds: dict[Limit, float] = {
        "chips": most * cutter.speed_rpm * cutter.flutes,
        "bending": eased(over_bending),
        "power": eased(over_power),
        "machine": machine.max_feed_mm_min,
    }
    limit = min(feeds, key=lambda name: feeds[name])
    chip = min(feeds["chips"], feeds["bending"]) / (cutter.speed_rpm * cutter.flutes)
    return SafeFeed(cutter, hardest.soft, (least, most), down(feeds[limit], _STEP), limit, chip)


def feed_warnings(job: Job, wish: DrawerWish, half_blind: HalfBlind, through: Through) -> tuple[Note, ...]:
    """Warn of cutters whose chips are thicker than a chart has them for a drawer's wood."""
    hardest: dict[int, Load] = {}
    for load in loads_of(job, wish, half_blind, through):
        known = hardest.setdefault(load.cutter.number, load)
        hardest[load.cutter.number] = max(known, load, key=lambda one: one.wood_n_mm2)
    notes = []
    for number, load in hardest.items():
        safe = _safe_feed([load], job.machine)
        if safe.chips_told == "thick":
            cutter, most = load.cutter, safe.chart_mm[1]
            least_over = down(most * cutter.speed_rpm * cutter.flutes, _STEP)
            notes.append(
                Note("warning", "cutters",
                     f"cutter {number} takes chips of {fine(cutter.chip_mm)} with each edge at a feed of "
                     f"{quantity(cutter.feed_mm_min, 'mm/min')}; a chart for {'softwood' if safe.soft else 'hardwood'} has {fine(most)} at "
                     f"most: it may tear the wood or bend. Feed it at {quantity(least_over, 'mm/min')} or less")
            )  # fmt: skip
    return tuple(notes)


# What a trial cut teaches: docs/joinery.md section 13; common practice, no source.
FASTER = 1.25  # feed after burning
SLOWER = 0.8  # and after tearing
TURN_SLOWER = 0.85  # speed after chatter
THINNER = 0.75  # pass after chatter
LEAST_PASS_MM = 0.5
LIGHTER_MM = 0.3  # light pass after tearing
_FELT = 0.05  # a change by less is no answer

Lesson = Literal["burnt", "chattered", "torn"]

HELPS: Mapping[Lesson, str] = {
    "burnt": "clean resin off the cutter, have it sharpened, or clear the waste first, joints.rough = true",
    "chattered": "let it stick out less, clamp nearer to the cut, take a shorter or thicker cutter, or joints.rough = true",
    "torn": "have the cutter sharpened, put fresh backing behind the board, and see that the light pass is on, joints.light_pass",
}
"""What else helps, beside settings."""


def taught(lesson: Lesson, safe: SafeFeed, machine: Machine, written: Collection[str], light_mm: float = 0.0) -> dict[str, float]:
    """Return what is set after a trial cut taught something, by keys of the job file; nothing where there is no room left.

    Parameters
    ----------
    safe
        How fast it may be fed, as it is set now.
    written
        Keys of its table that the job file has: what is written stays.
    light_mm
        The deepest light pass of all drawers; 0 where the job file has it.
    """
    cutter = safe.cutter
    feed, speed, edges = cutter.feed_mm_min, cutter.speed_rpm, cutter.flutes
    if lesson == "chattered":
        thinner = down(cutter.depth_per_pass_mm * THINNER, 0.1)
        if cutter.kind == "straight" and "depth_per_pass" not in written and thinner >= LEAST_PASS_MM:
            return {"depth_per_pass": thinner}
        slower = down(max(speed * TURN_SLOWER, machine.min_speed_rpm), 100)
        if slower <= speed * (1 - _FELT) and not {"speed", "feed"} & {*written}:
            return {"speed": slower, "feed": down(feed * slower / speed, _STEP)}
        return {}
    if lesson == "torn" and light_mm > LIGHTER_MM:
        return {"light_pass": LIGHTER_MM}
    if lesson == "torn":
        slower = up(max(feed * SLOWER, safe.chart_mm[0] * speed * edges), _STEP)
        return {"feed": slower} if slower <= feed * (1 - _FELT) and "feed" not in written else {}
    faster = down(min(feed * FASTER, safe.feed_mm_min), _STEP)
    if faster >= feed * (1 + _FELT) and "feed" not in written:
        return {"feed": faster}
    slower = up(max(speed / FASTER, machine.min_speed_rpm, feed / (edges * safe.chip_mm)), 100)
    if slower > speed * (1 - _FELT) or "speed" in written:
        return {}
    return {"speed": slower} | ({} if "feed" in written else {"feed": feed})
