"""What cutters bear and the spindle must give: force, bending and power of each cutter's heaviest pass. docs/joinery.md section 11.

All of it is rough by a factor of two, the mean over a turn, and judged by limits that leave room for that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from camtools.drawer.boards import Drawer, HalfBlind, Note, Through
from camtools.drawer.bounds import cutter_faults
from camtools.drawer.joints import family_of, joints_of
from camtools.drawer.sizing import sizes_of
from camtools.faults import CannotCut, Change, Fault, Way, puts
from camtools.job.cutter_defaults import chip_load_mm
from camtools.job.drawer_limits import LEAST_TAIL_MM, faults_of_groove
from camtools.job.job import Cutter, DrawerWish, Job
from camtools.job.woods import is_softwood
from camtools.wording import down, listed, mm, quantity, up

__all__ = ["Load", "load_faults", "load_warnings", "loads_of"]

# docs/sources.md section 6 for each of these
HARDWOOD_N_MM2 = 60.0  # cutting force by section of a chip that is CHIP_MM thick
SOFTWOOD_N_MM2 = 40.0
CHIP_MM = 0.1
THIN = 0.4  # power of the chip's thickness by which thinner chips resist more
CORE_SHARE = 0.8  # of a diameter with flutes: a round bar of this bends as much
STRENGTH_N_MM2 = 1000.0  # of the hardened steel of shanks and bodies
WARNED = 0.125  # of that strength
REFUSED = 0.25
POWER_WARNED = 0.5  # of the spindle's power
POWER_REFUSED = 1.0
_LARGEST_MM = 25.0  # of a cutter that is proposed
_STEP_MM = 0.5  # of proposed sizes

Key = Literal["joints.dovetail", "joints.straight", "groove.cutter"]


@dataclass(frozen=True, slots=True)
class Load:
    """The heaviest pass of a cutter in one piece of work."""

    key: Key  # of the job file, which names the cutter for this work
    cutter: Cutter
    work: str
    depth_mm: float
    share: float  # of the cutter's width that meets wood: 1 in a full slot
    wood_n_mm2: float  # specific cutting force of the wood at chips of CHIP_MM

    @property
    def soft(self) -> bool:
        """Whether it is softwood."""
        return self.wood_n_mm2 <= SOFTWOOD_N_MM2

    @property
    def chart_mm(self) -> tuple[float, float, float]:
        """What a chart has for each edge: at least, as camtools takes it, and at most."""
        cutter = self.cutter
        return chip_load_mm(cutter.diameter_mm, cutter.angle_deg, cutter.cutting_length_mm, soft=self.soft)

    @property
    def edge_n_mm(self) -> float:
        """Cutting force on each mm of an edge: the specific force, greater for thin chips, times the chip's thickness."""
        return float(self.wood_n_mm2 * CHIP_MM**THIN * self.cutter.chip_mm ** (1 - THIN))

    @property
    def force_n(self) -> float:
        """Mean over a turn, spread evenly over the depth: the chips are as thick wherever a cutter is thin."""
        return self.cutter.flutes * self.edge_n_mm * self.share * self.depth_mm / math.pi

    def _sections(self) -> Iterator[tuple[float, str]]:
        """Yield the stress, N/mm², which is MPa, and the name of each section that may be the weakest."""
        cutter = self.cutter
        neck_mm = 2 * cutter.radius_at(cutter.cutting_length_mm)
        ends = f"at the end of its edges, where it is {mm(neck_mm)} thick"
        for height, diameter, name in (
            (cutter.cutting_length_mm, CORE_SHARE * neck_mm, ends),
            (cutter.stick_out_mm, cutter.shank_mm, f"at the nut, where its shank is {mm(cutter.shank_mm)} thick"),
        ):
            yield 32 * self.force_n * (height - self.depth_mm / 2) / (math.pi * diameter**3), name

    @property
    def stress_n_mm2(self) -> float:
        """Bending at the weakest section."""
        return max(self._sections())[0]

    @property
    def section(self) -> str:
        """Where it is weakest, in words."""
        return max(self._sections())[1]

    @property
    def power_w(self) -> float:
        """Specific force times the wood removed in a second, which is the force at each height times the speed of the edge there."""
        mean_mm = self.cutter.diameter_mm - self.depth_mm * self.cutter.slope
        return self.force_n * math.pi * mean_mm * self.cutter.speed_rpm / 60_000

    def bears(self, power_w: float | None) -> bool:
        """Tell whether neither cutter nor spindle need be warned of."""
        return self.stress_n_mm2 <= WARNED * STRENGTH_N_MM2 and (power_w is None or self.power_w <= POWER_WARNED * power_w)


def loads_of(job: Job, wish: DrawerWish, half_blind: HalfBlind, through: Through) -> tuple[Load, ...]:
    """Return what every cutter of a drawer bears in each piece of its work."""
    sockets, _, pins = wish.depths_mm
    groove = job.cutter(wish.groove.cutter)
    stock = wish.stock
    front, side, back = (
        SOFTWOOD_N_MM2 if is_softwood(wood) else HARDWOOD_N_MM2 for wood in (stock.front_wood, stock.side_wood, stock.back_wood)
    )
    hardest = max(front, side, back)
    bottom = SOFTWOOD_N_MM2 if stock.bottom_kind == "solid" and is_softwood(stock.bottom_wood) else HARDWOOD_N_MM2
    straight, rough = through.straight, wish.joint.rough
    waste = max(half_blind.length_mm, through.length_mm)

    def tails(work: str, joint: HalfBlind | Through) -> Load:
        return Load("joints.dovetail", joint.dovetail, work, joint.length_mm, _share(joint), side)

    def plain(key: Key, work: str, cutter: Cutter, depth_mm: float, wood: float) -> Load:
        return Load(key, cutter, work, min(cutter.depth_per_pass_mm, depth_mm), 1.0, wood)

    joints: tuple[Load, ...]
    if (flat := half_blind.flat) is None:
        work, most = ("through pins and waste" if rough else "through pins"), max(pins, waste)
        joints = (
            tails("half-blind tails", half_blind),
            tails("through tails", through),
            plain("joints.straight", work, straight, most, hardest if rough else back),
        )
    else:
        work, below = ("tails and waste" if rough else "tails"), flat.below_mm
        joints = (
            Load("joints.dovetail", through.dovetail, "the back's sockets", through.back_mm + below, 1.0, back),
            plain("joints.straight", work, straight, max(through.side_mm + below, waste if rough else 0.0), hardest if rough else side),
        )
    return (
        # At its end even a roughed socket is a wall as wide as the cutter.
        Load("joints.dovetail", half_blind.dovetail, "half-blind sockets", sockets, 1.0, front),
        *joints,
        plain("groove.cutter", "the groove", groove, wish.groove.depth_mm, hardest),
        *(
            [plain("groove.cutter", "the bottom's corners", groove, stock.bottom_mm, bottom)]
            if wish.groove.bottom_corners == "machine"
            else []
        ),
    )


def _share(joint: HalfBlind | Through) -> float:
    """Return the share of the cutter's width that meets wood between tails: what roughing left, or all where it fits nowhere.

    Below the narrow mouth of a gap lies wood that no straight cutter reaches, most at the dovetail cutter's tip, where it is taken.
    """
    proud_mm = joint.proud_mm if isinstance(joint, Through) else 0.0
    gaps = [high.low_mm - low.high_mm for low, high in zip(joint.tails, joint.tails[1:], strict=False)]
    mouth_mm = min(gaps, default=math.inf) - 2 * proud_mm * joint.dovetail.slope  # those at the edges are open
    if joint.rough is None or mouth_mm < joint.rough.diameter_mm + 2 * joint.rough_stock_mm:
        return 1.0
    return _roughed(joint.dovetail, joint.rough_stock_mm, joint.length_mm)


def _roughed(cutter: Cutter, stock_mm: float, depth_mm: float) -> float:
    return min(1.0, (stock_mm + depth_mm * cutter.slope) / cutter.diameter_mm)


def load_warnings(job: Job, wish: DrawerWish, half_blind: HalfBlind, through: Through) -> tuple[Note, ...]:
    """Warn of what a drawer's cutters or the spindle bear badly, but bear."""
    return tuple(
        Note("warning", "cutters", f"{over.problem}: {over.value}; that is over {over.limit}. {_remedy(job, wish, over.load)}")
        for over in _overs(job, loads_of(job, wish, half_blind, through))
        if not over.refused
    )


def load_faults(job: Job, drawers: Sequence[Drawer]) -> list[Fault]:
    """Refuse what cutters or spindle do not bear, each once for all the drawers that are alike in it.

    Parameters
    ----------
    drawers
        One for each drawer of the job, in its order.
    """
    faults = []
    for wish, drawer in zip(job.drawers, drawers, strict=True):
        half_blind, through = drawer.left.piece.half_blind, drawer.left.piece.through
        if half_blind is None or through is None:
            continue
        for over in _overs(job, loads_of(job, wish, half_blind, through)):
            if over.refused:
                ways = tuple(way for _, way in _works(job, wish, over.load)) + _resorts(job, over.load)
                limit = f"at most {over.limit}"
                faults.append(Fault(over.load.key, over.problem, over.value, limit, drawers=(wish.name,), ways=ways))
    return faults


def _resorts(job: Job, load: Load) -> tuple[Way, ...]:
    """Name what is left where no single change does: a thick, short cutter, or a stronger spindle."""
    at, cutter = f"cutters[{job.cutters.index(load.cutter) + 1}]", load.cutter
    edges = min(cutter.cutting_length_mm, up(load.depth_mm, _STEP_MM))
    sizes = {"diameter": max(cutter.diameter_mm, _LARGEST_MM / 2), "cutting_length": edges, "shank": 12.0, "stick_out": edges + 10}
    way = tuple(Change(f"{at}.{key}", value) for key, value in sizes.items())
    slower = Change(f"{at}.feed", down(cutter.feed_mm_min / 3, 10))
    return way, (*way, slower), *puts("machine.power", up(load.power_w / POWER_WARNED, 10))


@dataclass(frozen=True, slots=True)
class _Over:
    """A limit that a load is over: of what is refused, or else of what is warned of."""

    load: Load
    refused: bool
    problem: str
    value: str
    limit: str


def _overs(job: Job, loads: Sequence[Load]) -> Iterator[_Over]:
    """Yield for each key of the job file the load that bends its cutter too much, and the one that needs too much power."""
    spindle_w = job.machine.power_w
    for key in dict.fromkeys(load.key for load in loads):
        own = [load for load in loads if load.key == key]
        load = max(own, key=lambda load: load.stress_n_mm2)
        if load.stress_n_mm2 > WARNED * STRENGTH_N_MM2:
            refused = load.stress_n_mm2 > REFUSED * STRENGTH_N_MM2
            share, words = (REFUSED, "a quarter") if refused else (WARNED, "an eighth")
            value = f"about {load.stress_n_mm2:.0f} MPa {load.section}, by {load.force_n:.0f} N in {_told(load)}"
            limit = f"{share * STRENGTH_N_MM2:.0f} MPa, {words} of the strength of hardened steel"
            yield _Over(load, refused, f"cutter {load.cutter.number} may snap", value, limit)
        load = max(own, key=lambda load: load.power_w)
        if spindle_w is not None and load.power_w > POWER_WARNED * spindle_w:
            refused = load.power_w > POWER_REFUSED * spindle_w
            share, words = (POWER_REFUSED, "which is") if refused else (POWER_WARNED, "half of")
            value = f"about {load.power_w:.0f} W for cutter {load.cutter.number} in {_told(load)}"
            yield _Over(load, refused, "the spindle may stall", value, f"{share * spindle_w:.0f} W, {words} machine.power")


def _told(load: Load) -> str:
    roughed = ", roughed" if load.share < 1 else ""
    return f"{load.work} {mm(load.depth_mm)} deep{roughed}, fed at {quantity(load.cutter.feed_mm_min, 'mm/min')}"


# What would work, and was tried -----------------------------------------------------------------------------------------

Trial = tuple[str, Way, Job, DrawerWish, Load]
"""What is changed, in words and in the job file, what is changed by it, and the load as it should become."""


def _remedy(job: Job, wish: DrawerWish, load: Load) -> str:
    """Say which changes would work, each alone, by laying the changed drawer out and estimating all its loads anew."""
    works = [words for words, _ in _works(job, wish, load)]
    if not works:
        return "No single change that was tried works: combine another cutter, a shorter joint and a slower feed"
    return f"By the same estimate, rough by a factor of two, {'any of these' if len(works) > 1 else 'this'} would do: {listed(works)}"


def _works(job: Job, wish: DrawerWish, load: Load) -> list[tuple[str, Way]]:
    found = [_first(trials(job, wish, load), load.key) for trials in _TRIALS]
    return [one for one in found if one is not None]


def _first(trials: Iterable[Trial], key: Key) -> tuple[str, Way] | None:
    for words, way, job, wish, quick in trials:
        if quick.bears(job.machine.power_w):
            loads = [load for load in _relaid(job, wish) if load.key == key]
            if loads and all(load.bears(job.machine.power_w) for load in loads):
                stress, power = max(load.stress_n_mm2 for load in loads), max(load.power_w for load in loads)
                return f"{words} ({stress:.0f} MPa{f', {power:.0f} W' if job.machine.power_w is not None else ''})", way
    return None


def _relaid(job: Job, wish: DrawerWish) -> tuple[Load, ...]:
    """Return the loads of a drawer laid out anew, none where it can not be made."""
    if cutter_faults(job, wish, "") or any(faults_of_groove(lambda key, *_: key, wish, job.cutters)):
        return ()
    try:
        sizes = sizes_of(wish, "")
        height_mm = sizes.outside_mm[2]
        joints = joints_of(job, wish, height_mm, sizes.raise_mm, family_of(job, [(wish, height_mm)]), "")
    except CannotCut:
        return ()
    return loads_of(job, wish, joints.half_blind, joints.through)


def _roughing(job: Job, wish: DrawerWish, load: Load) -> Iterator[Trial]:
    if load.work.endswith("tails") and not wish.joint.rough:
        share = _roughed(load.cutter, wish.joint.rough_stock_mm, load.depth_mm)
        way = (Change("joints.rough", True),)
        yield "joints.rough = true", way, job, replace(wish, joint=replace(wish.joint, rough=True)), replace(load, share=share)


def _slower(job: Job, wish: DrawerWish, load: Load) -> Iterator[Trial]:
    """Feed slower, as long as chips do not become so thin that edges rub."""
    over = load.stress_n_mm2 / (WARNED * STRENGTH_N_MM2)
    if job.machine.power_w is not None:
        over = max(over, load.power_w / (POWER_WARNED * job.machine.power_w))
    cutter = load.cutter
    least, _, _ = load.chart_mm
    feed = down(cutter.feed_mm_min * over ** (-1 / (1 - THIN)), 10)
    if feed >= least * cutter.speed_rpm * cutter.flutes:
        yield _with(f"a feed of {quantity(feed, 'mm/min')}", replace(cutter, feed_mm_min=feed), job, wish, load)


def _shallower(job: Job, wish: DrawerWish, load: Load) -> Iterator[Trial]:
    """Take less in a pass; of a dovetail cutter that means a shorter joint."""
    stock, joint, cutter = wish.stock, wish.joint, load.cutter
    depth = down(load.depth_mm - 1e-6, 0.1 if cutter.kind == "straight" else _STEP_MM)
    while cutter.kind == "straight" and depth > 0:
        yield _with(f"a depth_per_pass of {mm(depth)}", replace(cutter, depth_per_pass_mm=depth), job, wish, replace(load, depth_mm=depth))
        depth = round(depth - 0.1, 6)
    while cutter.kind == "dovetail" and depth >= LEAST_TAIL_MM:
        lap = max(joint.lap_mm, up(stock.front_mm + joint.free_depth_mm - depth, _STEP_MM))
        back = min(stock.back_mm, down(depth - joint.proud_mm, _STEP_MM))
        words = [f"a lap of {mm(lap)}"] if lap > joint.lap_mm else []
        words += [f"a back of {mm(back)}"] if back < stock.back_mm else []
        changed = replace(wish, stock=replace(stock, back_mm=back), joint=replace(joint, lap_mm=lap))
        way = (*puts("joints.lap", *([lap] if lap > joint.lap_mm else [])), *puts("stock.back", *([back] if back < stock.back_mm else [])))
        yield listed(words, "with"), tuple(change for (change,) in way), job, changed, replace(load, depth_mm=depth)
        depth -= _STEP_MM


def _other_cutter(job: Job, wish: DrawerWish, load: Load) -> Iterator[Trial]:
    """Take another of the job's cutters, or one with shorter edges or thicker."""
    own, depth = load.cutter, load.depth_mm
    for cutter in job.cutters:
        if cutter.kind == own.kind and cutter.number != own.number:
            table, field = ("groove", "cutter") if load.key == "groove.cutter" else ("joint", load.key.split(".")[1])
            changed = replace(wish, **{table: replace(getattr(wish, table), **{field: cutter.number})})
            depth = min(cutter.depth_per_pass_mm, depth) if own.kind == "straight" else depth
            words = f"cutter {cutter.number} in place of {own.number}"
            yield words, (Change(load.key, cutter.number),), job, changed, replace(load, cutter=cutter, depth_mm=depth)
    needed = {"joints.dovetail": max(wish.depths_mm[:2]), "joints.straight": max(wish.depths_mm), "groove.cutter": wish.groove.depth_mm}
    edges, diameter = min(own.cutting_length_mm, up(needed[load.key], _STEP_MM)), own.diameter_mm
    angle = f" and {own.angle_deg:g} degrees" if own.kind == "dovetail" else ""
    while diameter <= _LARGEST_MM:
        words = f"a cutter of {mm(diameter)}{angle} with edges {mm(edges)} long"
        yield _with(words, replace(own, diameter_mm=diameter, cutting_length_mm=edges), job, wish, load)
        diameter = down(diameter + _STEP_MM, _STEP_MM)


def _with(words: str, cutter: Cutter, job: Job, wish: DrawerWish, load: Load) -> Trial:
    cutters = tuple(cutter if one.number == cutter.number else one for one in job.cutters)
    at, own = f"cutters[{job.cutters.index(load.cutter) + 1}]", load.cutter
    keys = {"feed": "feed_mm_min", "depth_per_pass": "depth_per_pass_mm", "diameter": "diameter_mm", "cutting_length": "cutting_length_mm"}
    way = tuple(Change(f"{at}.{key}", getattr(cutter, name)) for key, name in keys.items() if getattr(cutter, name) != getattr(own, name))
    return words, way, replace(job, cutters=cutters), wish, replace(load, cutter=cutter)


_TRIALS: tuple[Callable[[Job, DrawerWish, Load], Iterator[Trial]], ...] = (_roughing, _slower, _shallower, _other_cutter)
