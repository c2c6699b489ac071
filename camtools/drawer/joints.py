"""The two joints of a drawer, laid out, with the reasons; or what stands in the way and the nearest layout that works."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from camtools.drawer.boards import HalfBlind, Note, Tail, Through
from camtools.drawer.bounds import SOFT_HALF_PIN_MM, Bounds, bounds_of, is_softwood, strictest
from camtools.drawer.division import Division, Measures, Style
from camtools.drawer.layout import RATIO_LIMITS, Laid, broken_by, counts, lay_out, least_tail, measures_for, proportion
from camtools.drawer.styles import STYLES
from camtools.faults import CannotCut, Fault
from camtools.job.drawer_defaults import SPARE_MM
from camtools.job.job import DrawerWish, Job, JointWish
from camtools.wording import counted, mm, up

__all__ = ["Family", "Joints", "family_of", "joints_of"]

LAP_WISHED_MM = 3.0  # thinner ones are warned of; common practice, no source


@dataclass(frozen=True, slots=True)
class Joints:
    """The joints of a side with front and back, their tails in step."""

    half_blind: HalfBlind
    through: Through
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class Family:
    """What drawers share that are to look alike, and the reason for it."""

    measures: Measures
    note: Note


def family_of(job: Job, members: Sequence[tuple[DrawerWish, float]]) -> Family:
    """Choose the standard measures of drawers with the same joints, each given with the width of its joint."""
    joint = members[0][0].joint
    bounds = strictest([bounds_of(job, wish) for wish, _ in members])
    measures = measures_for([width for _, width in members], STYLES[joint.style], joint, bounds)
    return Family(measures, _standard(joint, measures, bounds))


def joints_of(job: Job, wish: DrawerWish, width_mm: float, raise_mm: float, family: Family, where: str) -> Joints:
    """Lay out both joints of a drawer.

    Parameters
    ----------
    width_mm
        Across the joint: height of the sides.
    raise_mm
        Of the back's lower edge over the sides'; 0 for a full-height back.
    family
        What it shares with the drawers that it is to look like.
    where
        What faults name the drawer by.

    Raises
    ------
    CannotCut
        With every bound that is broken, and the nearest layout that works.
    """
    style, bounds = STYLES[wish.joint.style], bounds_of(job, wish)
    if bounds.most_half_pin_mm < bounds.half_pin.mm - 1e-9:
        least = bounds.groove_low_mm + bounds.half_pin.mm - bounds.most_half_pin_mm
        raise CannotCut(
            Fault(f"{where}, groove.edge", "the groove is too near to the edge to run inside the lowest tail", mm(bounds.groove_low_mm),
                  f"at least {mm(least)}: {mm(bounds.half_pin.mm)} of half pin, {mm(bounds.narrowing_mm)} by which the tail narrows, "
                  f"{mm(SPARE_MM)} of its wood", _change_the_drawer(bounds, width_mm))
        )  # fmt: skip
    laid = lay_out(width_mm, style, wish.joint, family.measures, bounds)
    notes: list[Note] = []
    if not isinstance(laid, Laid):
        own = family_of(job, [(wish, width_mm)])
        alone = lay_out(width_mm, style, wish.joint, own.measures, bounds)
        if isinstance(alone, Laid):
            notes.append(
                Note("warning", "joints", f"this drawer differs from the others: with their standard tail, {laid[0].what} is "
                     f"{mm(laid[0].value_mm)}, {laid[0].limit}, for {laid[0].reason}")
            )  # fmt: skip
            family = own
        laid = alone
    if not isinstance(laid, Laid):
        nearest = _nearest(job, wish, width_mm, style)
        raise CannotCut(
            *(Fault(f"{where}, joints", f"{fault.what}: {fault.reason}", mm(fault.value_mm), fault.limit, nearest) for fault in laid)
        )
    notes += [_why(laid, width_mm, style, wish, family.measures, bounds), family.note]
    notes.extend(_warnings(laid.division, bounds, is_softwood(wish.stock.front_wood) or is_softwood(wish.stock.back_wood)))
    if wish.joint.lap_mm < LAP_WISHED_MM:
        notes.append(
            Note("warning", "front joint", f"a lap of {mm(wish.joint.lap_mm)} is thin: it bruises, and the tails may show through it once "
                 f"it is finished; {mm(LAP_WISHED_MM)} or more is safer")
        )  # fmt: skip
    dovetail, straight = job.cutter(wish.joint.dovetail), job.cutter(wish.joint.straight)
    stock, joint = wish.stock, wish.joint
    tails = laid.division.tails()
    rough = straight if joint.rough else None
    shared = (tails, width_mm, stock.side_mm, joint.clearance_mm, joint.light_pass_mm, dovetail, rough, joint.rough_stock_mm)
    half_blind = HalfBlind(*shared, front_mm=stock.front_mm, lap_mm=joint.lap_mm, free_depth_mm=joint.free_depth_mm)
    through = Through(*shared, raise_mm=raise_mm, back_mm=stock.back_mm, proud_mm=joint.proud_mm, straight=straight)
    if raise_mm > 0:
        through = replace(through, tails=(_run_down(tails[0], through), *tails[1:]))
    notes.append(_depths(through))
    return Joints(half_blind, through, tuple(notes))


def _run_down(tail: Tail, joint: Through) -> Tail:
    """Carry the lowest tail down beyond the side's edge, at its base too, with its upper corner where it was."""
    low = -up(joint.length_mm * joint.dovetail.slope, 1.0)
    return Tail(round((low + tail.high_mm) / 2, 6), round(tail.high_mm - low, 6))


def _depths(through: Through) -> Note:
    """Tell the depths at which the cutters work, and where one setting does for two."""
    pins = through.side_mm + through.proud_mm
    if abs(through.side_mm - through.back_mm) < 1e-9:
        text = f"side and back are equally thick: both cutters work at one depth, {mm(pins)}, for tails and pins"
    else:
        text = f"the dovetail cutter works {mm(through.length_mm)} deep for the tails, the straight one {mm(pins)} for the pins"
    return Note("choice", "back joint", text)


def _why(laid: Laid, width_mm: float, style: Style, wish: DrawerWish, measures: Measures, bounds: Bounds) -> Note:
    """Tell why there are so many tails."""
    division = laid.division
    sizes = _sizes(division)
    if wish.joint.tails is not None:
        return Note("choice", "joints", f"{sizes}, as many as asked for; {counts(laid.works)} would work")
    left = f", {mm(measures.left_mm(width_mm, division.count))} over" if style.fixed else ""
    others = [_other(count, width_mm, style, measures, bounds) for count in (division.count - 1, division.count + 1) if count]
    return Note("choice", "joints", f"{sizes}: {style.summary.replace('left over', f'left over{left}')}. " + "; ".join(others))


def _standard(joint: JointWish, measures: Measures, bounds: Bounds) -> Note:
    """Tell where the measures come from that the family shares."""
    tail, pin, half_pin = (" as asked for" if given is not None else "" for given in (joint.tail_mm, joint.pin_mm, joint.half_pin_mm))
    least = least_tail(measures.half_pin_mm, bounds)
    text = (
        f"shared by the drawers of this stock: standard tail {mm(measures.tail_mm)}{tail} (at least {mm(least.mm)}: {least.reason}), "
        f"pin {mm(measures.pin_mm)}{pin} (at least {mm(bounds.pin.mm)}: {bounds.pin.reason}), "
        f"half pin {mm(measures.half_pin_mm)}{half_pin} ({mm(bounds.half_pin.mm)} to {mm(bounds.most_half_pin_mm)}, "
        "so that the groove runs inside the lowest tail); widths are those at the tips of the tails"
    )
    return Note("choice", "joints", text)


def _other(count: int, width_mm: float, style: Style, measures: Measures, bounds: Bounds) -> str:
    """Tell why this number of tails was not chosen."""
    division = style.divide(width_mm, count, measures)
    tails = counts([count])
    if division is None:
        return f"{tails} would need a width of {mm(width_mm - measures.left_mm(width_mm, count))}"
    if broken := broken_by(division, bounds):
        return f"{tails} can not be cut: {broken[0].what} {mm(broken[0].value_mm)}, {broken[0].limit}, for {broken[0].reason}"
    if style.fixed:
        return f"{tails} would leave {mm(measures.left_mm(width_mm, count))} over"
    mean = sum(division.tails_mm) / count
    return f"{tails} would be {mm(mean)} wide{' on average' if count > 1 else ''}, further from the standard {mm(measures.tail_mm)}"


def _sizes(division: Division) -> str:
    def some(name: str, widths: Sequence[float]) -> str:
        distinct = sorted({round(width, 2) for width in widths})
        span = mm(distinct[0]) if len(distinct) == 1 else f"{mm(distinct[0])} to {mm(distinct[-1])}"
        return f"{counted(len(widths), name)} of {span}"

    pins = [some("pin", division.pins_mm)] if division.pins_mm else []
    return ", ".join([some("tail", division.tails_mm), *pins, f"half pins of {mm(division.half_pin_mm)}"])


def _warnings(division: Division, bounds: Bounds, soft: bool) -> list[Note]:
    notes = []
    if soft and division.half_pin_mm < SOFT_HALF_PIN_MM:
        notes.append(
            Note("warning", "joints", f"half pins of {mm(division.half_pin_mm)} may split in softwood; {mm(SOFT_HALF_PIN_MM)} or more is "
                 f"safer: put the groove {mm(SOFT_HALF_PIN_MM - division.half_pin_mm)} higher")
        )  # fmt: skip
    if division.pins_mm:
        ratios = [proportion(tail, pin, bounds) for tail in division.tails_mm for pin in division.pins_mm]
        if min(ratios) < RATIO_LIMITS[0] - 1e-9 or max(ratios) > RATIO_LIMITS[1] + 1e-9:
            notes.append(
                Note("warning", "joints", f"tails are {min(ratios):.1f} to {max(ratios):.1f} times as wide as pins at half their length; "
                     f"{RATIO_LIMITS[0]:g} to {RATIO_LIMITS[1]:g} looks right")
            )  # fmt: skip
    elif bounds.raised:
        notes.append(
            Note("warning", "back joint", "the only tail runs down to the edge and has one flank: glue alone keeps it from slipping down")
        )
    return notes


def _nearest(job: Job, wish: DrawerWish, width_mm: float, style: Style) -> str:
    """Find the nearest layout that works by letting go of what the job file fixes, one thing at a time."""
    joint = wish.joint
    trials = [
        (f"leave out joints.{name}", replace(wish, joint=freer))
        for name, given, freer in (
            ("tails", joint.tails, replace(joint, tails=None)),
            ("tail", joint.tail_mm, replace(joint, tail_mm=None)),
            ("pin", joint.pin_mm, replace(joint, pin_mm=None)),
            ("half_pin", joint.half_pin_mm, replace(joint, half_pin_mm=None)),
        )
        if given is not None
    ]
    free = replace(wish, joint=replace(joint, tails=None, tail_mm=None, pin_mm=None, half_pin_mm=None))
    trials.append(("leave out joints.tails, joints.tail, joints.pin and joints.half_pin", free))
    for name, trial in trials:
        bounds = bounds_of(job, trial)
        laid = lay_out(width_mm, style, trial.joint, measures_for([width_mm], style, trial.joint, bounds), bounds)
        if isinstance(laid, Laid):
            return f"{name}: {_sizes(laid.division)} would work"
    return _change_the_drawer(bounds_of(job, free), width_mm)


def _change_the_drawer(bounds: Bounds, width_mm: float) -> str:
    """Say which groove or which height would work where no layout does."""
    edge = up(bounds.half_pin.mm + SPARE_MM + bounds.narrowing_mm, 0.5)
    higher = max(0.0, edge - bounds.groove_low_mm)
    first_high = bounds.first_high.mm + higher
    least = max(bounds.tail.mm + 2 * bounds.half_pin.mm, first_high + bounds.half_pin.mm)
    parts = []
    if higher:
        parts.append(f"put the groove at least {mm(edge)} from the edge")
    if width_mm < least - 1e-9:
        parts.append(f"make the drawer at least {mm(up(least, 0.1))} high, or take a thinner dovetail cutter or one with a smaller angle")
    return " and ".join(parts) or "take a thinner dovetail cutter or one with a smaller angle"
