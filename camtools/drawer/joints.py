"""The two joints of a drawer, laid out, with the reasons; or what stands in the way, and what may mend it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from camtools.drawer.boards import Flat, HalfBlind, Layout, Note, Tail, Through
from camtools.drawer.bounds import SOFT_HALF_PIN_MM, Bounds, bounds_of
from camtools.drawer.division import Division, Measures, Style
from camtools.drawer.layout import Broken, Drawn, Laid, counts_of, hindered, lay_out, look_of
from camtools.drawer.looks import APART, EDGE_MOST, RATIO_LIMITS, SINGLE_MM, Eye, off
from camtools.drawer.styles import STYLES
from camtools.faults import CannotCut, Change, Fault, Way
from camtools.job.drawer_defaults import SPARE_MM
from camtools.job.job import DrawerWish, Job, JointWish
from camtools.job.woods import is_softwood
from camtools.wording import counted, listed, mm, up

__all__ = ["Family", "Joints", "family_of", "joints_of", "run_down"]

FORCED = 0.1  # how far, as a logarithm, the tail of others would be without a drawer for it to decide on them
LAP_WISHED_MM = 3.0  # thinner ones are warned of; common practice, no source


@dataclass(frozen=True, slots=True)
class Joints:
    """The joints of a side with front and back, their tails in step."""

    half_blind: HalfBlind
    through: Through
    notes: tuple[Note, ...]
    layouts: tuple[Layout, ...]


@dataclass(frozen=True, slots=True)
class Family:
    """Drawers that are to look alike, and what they share; no look where none of them can be laid out."""

    style: Style
    joints: tuple[Drawn, ...]  # those that differ, each with the number of drawers that have it
    look: Measures | None
    forced: tuple[tuple[Drawn, str], ...] = ()  # joints that decide on the look of the others, and what it would be without them
    backs_mm: tuple[float, ...] = ()  # thicknesses of their backs, where those were measured


def drawn_of(job: Job, wish: DrawerWish, width_mm: float, backs_mm: Sequence[float]) -> Drawn:
    """Return the joint of a drawer, to be laid out."""
    return Drawn(width_mm, wish.joint, bounds_of(job, wish, backs_mm), wish.count)


def family_of(job: Job, members: Sequence[tuple[DrawerWish, float]], backs_mm: tuple[float, ...] = ()) -> Family:
    """Choose the look of drawers with the same joints, each given with the width of its joint.

    Parameters
    ----------
    backs_mm
        Thicknesses of their backs, where those were measured: the look must do for every one.
    """
    numbers: dict[Drawn, int] = {}
    for wish, width in members:
        drawn = replace(drawn_of(job, wish, width, backs_mm), number=1)
        numbers[drawn] = numbers.get(drawn, 0) + wish.count
    style = STYLES[members[0][0].joint.style]
    joints = tuple(replace(drawn, number=number) for drawn, number in numbers.items())
    # What a drawer asks for by itself is not to decide on the others.
    asked: dict[tuple[float | None, ...], int] = {}
    for drawn in joints:
        asked[_asked(drawn)] = asked.get(_asked(drawn), 0) + drawn.number
    commonest = max(asked, key=lambda wish: asked[wish])
    deciding = [drawn for drawn in joints if _asked(drawn) == commonest]
    look = look_of(style, deciding)
    return Family(style, joints, look, tuple(_forced(style, deciding, look)) if look else (), backs_mm)


def _asked(drawn: Drawn) -> tuple[float | None, ...]:
    return tuple(_wishes(drawn.joint).values())


def _forced(style: Style, joints: Sequence[Drawn], look: Measures) -> Iterator[tuple[Drawn, str]]:
    """Yield the joint that decides on the look of all others, if one does: the lowest, or that which looks worst."""
    if len(joints) == 1:
        return
    laid = {drawn: lay_out(style, drawn, look) for drawn in joints}
    worst = max(joints, key=lambda drawn: one.looks.cost if (one := laid[drawn]) else 0.0)
    for drawn in dict.fromkeys((min(joints, key=lambda drawn: drawn.width_mm), worst)):
        if laid[drawn] is None:  # it is laid out by itself
            continue
        others = [other for other in joints if other is not drawn]
        free = look_of(style, others)
        if free is None:
            continue
        gains, changes = 0.0, []
        for other in others:
            now, then = laid[other], lay_out(style, other, free)
            if now and then:
                gains += (now.looks.cost - then.looks.cost) * other.number
                if now.division.count != then.division.count:
                    changes.append(f"{counts([then.division.count])} rather than {now.division.count} at {mm(other.width_mm)}")
        if gains > 0 and (changes or off(free.tail_mm, look.tail_mm) > FORCED):
            text = f"standard tail {mm(free.tail_mm)} rather than {mm(look.tail_mm)}"
            yield drawn, "; ".join([text, *(f"{change} of height" for change in changes)])
            return


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
        With every bound that is broken, and what may mend it.
    """
    style, drawn = family.style, drawn_of(job, wish, width_mm, family.backs_mm)
    bounds = drawn.bounds
    if bounds.most_half_pin_mm < bounds.half_pin.mm - 1e-9:
        least = wish.groove.edge_mm + bounds.half_pin.mm - bounds.most_half_pin_mm
        raise CannotCut(
            Fault(f"{where}, groove.edge", "the groove is too near to the edge to run inside the lowest tail", mm(wish.groove.edge_mm),
                  f"at least {mm(least)}: {mm(bounds.half_pin.mm)} of half pin, {mm(bounds.lean_mm)} by which the tail narrows, "
                  f"{mm(SPARE_MM)} of its wood", ways=_ways(wish, drawn))
        )  # fmt: skip
    notes: list[Note] = []
    laid = lay_out(style, drawn, family.look) if family.look else None
    look = family.look
    if len(family.joints) > 1 and (laid is None or laid.looks.cost > APART):
        own = look_of(style, [drawn])
        alone = lay_out(style, drawn, own) if own else None
        if alone is not None and (laid is None or alone.looks.cost + APART < laid.looks.cost):
            why = "it can not share their standard widths" if laid is None else "with their standard widths it would look much worse"
            notes.append(Note("warning", "joints", f"this drawer differs from the others: {why}"))
            laid, look = alone, own
    if laid is None or look is None:
        raise CannotCut(
            *(Fault(f"{where}, {_key(wish, fault)}", f"{fault.what}: {fault.reason}", mm(fault.value_mm), fault.limit,
                    ways=_ways(wish, drawn)) for fault in _hindered(style, drawn))
        )  # fmt: skip
    by_itself = look is not family.look or len(family.joints) == 1
    layouts = _layouts(laid, drawn, style, look, alone=by_itself)
    notes += [_why(laid, drawn, style, layouts), _standard(drawn, look, alone=by_itself)]
    for decisive, without in family.forced:
        if replace(decisive, number=drawn.number) == drawn and look is family.look:
            text = f"this drawer decides on the look of the others; without it: {without}. family = false lays it out by itself"
            notes.append(Note("choice", "joints", text))
    notes.extend(_warnings(laid.division, drawn, is_softwood(wish.stock.front_wood) or is_softwood(wish.stock.back_wood)))
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
    flat = Flat(straight, job.machine.waste_depth_mm) if job.machine.flat_only else None
    half_blind = HalfBlind(*shared, flat=flat, front_mm=stock.front_mm, lap_mm=joint.lap_mm, free_depth_mm=joint.free_depth_mm)
    through = Through(*shared, flat=flat, raise_mm=raise_mm, back_mm=stock.back_mm, proud_mm=joint.proud_mm, straight=straight)
    through = replace(through, clearance_mm=joint.through_clearance_mm)
    through = run_down(through)
    notes.append(_depths(through) if flat is None else _reliefs(half_blind, through, flat))
    return Joints(half_blind, through, tuple(notes), layouts)


def run_down(joint: Through) -> Through:
    """Carry the lowest tail under a raised back down beyond the side's edge, at its base too, with its upper corner where it was."""
    if not joint.raise_mm:
        return joint
    lowest, low = joint.tails[0], -up(joint.length_mm * joint.dovetail.slope, 1.0)
    tail = Tail(round((low + lowest.high_mm) / 2, 6), round(lowest.high_mm - low, 6))
    return replace(joint, tails=(tail, *joint.tails[1:]))


def _depths(through: Through) -> Note:
    """Tell the depths at which the cutters work, and where one setting does for two."""
    pins = through.side_mm + through.proud_mm
    if abs(through.side_mm - through.back_mm) < 1e-9:
        text = f"side and back are equally thick: both cutters work at one depth, {mm(pins)}, for tails and pins"
    else:
        text = f"the dovetail cutter works {mm(through.length_mm)} deep for the tails, the straight one {mm(pins)} for the pins"
    return Note("choice", "back joint", text)


def _reliefs(half_blind: HalfBlind, through: Through, flat: Flat) -> Note:
    """Tell how the joints are cut without an upright hold, and what shows of it."""
    angle, laid = through.dovetail.angle_deg, through.laid
    behind = through.clearance_mm + through.back_mm * through.dovetail.slope
    return Note(
        "warning", "joints",
        f"no board can stand upright on this machine, so all is cut flat: tails by straight cutter {flat.straight.number}, sockets of "
        f"front and back by dovetail cutter {through.dovetail.number}. It shows on the sides, where the corner at the baseline beside "
        f"every pin is relieved {mm(flat.notch_mm(angle))} deep, and on the outside of the back, where a gap of {mm(behind)} stays "
        f"behind every tail and one of {mm(laid.relief_mm)} beside its corners. Those of the front, {mm(half_blind.relief_mm)}, are "
        "hidden. A thinner straight cutter leaves less on the sides, a thinner back less on the back",
    )  # fmt: skip


def _why(laid: Laid, drawn: Drawn, style: Style, layouts: Sequence[Layout]) -> Note:
    """Tell why there are so many tails."""
    division = laid.division
    if drawn.joint.tails is not None:
        return Note("choice", "joints", f"{sizes_of(division)}, as many as asked for")
    others = [f"{counts([one.count])} {one.why}" for one in layouts if abs(one.count - division.count) == 1]
    return Note("choice", "joints", f"{sizes_of(division)}: {style.summary}. " + "; ".join(others))


def _layouts(laid: Laid, drawn: Drawn, style: Style, look: Measures, *, alone: bool) -> tuple[Layout, ...]:
    """Return every number of tails that may be thought of, and the first that has no room, with the widths and why it is so."""
    free = replace(drawn, joint=replace(drawn.joint, tails=None))
    found = []
    for count in range(1, max((laid.division.count, *counts_of(free))) + 2):
        asked = replace(drawn, joint=replace(drawn.joint, tails=count))
        chosen = count == laid.division.count
        other = laid if chosen else lay_out(style, asked, look)
        if other is None:
            found.append(Layout(count, (), (), None, chosen, _hindrance(style, drawn, count)))
            if count > laid.division.count and hindered(style, drawn, count):
                break  # so it is with more
            continue
        if chosen:
            why = "chosen" if drawn.joint.tails is None else "asked for"
        elif drawn.joint.tails is not None:
            why = "possible too"
        else:
            other = replace(other, looks=other.looks._replace(family=0.0)) if alone else other
            why = f"would look worse: {_fault_of_looks(other, laid, drawn.bounds)}"
        division = other.division
        found.append(Layout(count, division.tails_mm, division.pins_mm, division.half_pin_mm, chosen, why))
    return tuple(found)


def _hindrance(style: Style, drawn: Drawn, count: int) -> str:
    """Say why there is no layout with this number of tails."""
    if broken := hindered(style, drawn, count):
        first = broken[0]
        wants = f"want {mm(first.value_mm)}" if first.limit.startswith("width") else f"{mm(first.value_mm)}, {first.limit}"
        return f"can not be cut: {first.what} {wants}, for {first.reason}"
    return "would want other standard widths"


def _fault_of_looks(other: Laid, chosen: Laid, bounds: Bounds) -> str:
    """Say in which way a division looks worse than another."""
    name = other.looks.worst_beside(chosen.looks)
    if name == "proportion" and other.division.pins_mm:
        ratio = proportion(
            sum(other.division.tails_mm) / other.division.count, sum(other.division.pins_mm) / (other.division.count - 1), bounds
        )
        return f"tails {ratio:.1f} times as wide as pins at half their length"
    return {
        "proportion": "its tail would be too wide beside the others' pins",
        "evenness": "tails or gaps that differ more",
        "pins": "other pins",
        "half_pins": "other half pins",
        "groove": "the groove would not lie inside the lowest tail",
        "single": "a tail alone",
        "steps": "widths in no whole steps",
        "family": f"outermost tails of {mm(other.division.tails_mm[0])}, unlike the others",
    }[name]


def proportion(tail_mm: float, pin_mm: float, bounds: Bounds) -> float:
    """Return tail to pin at half their length, where neither is flattered."""
    return (tail_mm - bounds.lean_mm) / (pin_mm + bounds.lean_mm)


def _standard(drawn: Drawn, look: Measures, *, alone: bool) -> Note:
    """Tell what the family shares."""
    joint, bounds = drawn.joint, drawn.bounds
    widths = (("tail", look.tail_mm, joint.tail_mm, bounds.tail), ("pin", look.pin_mm, joint.pin_mm, bounds.pin),
              ("half pin", look.half_pin_mm, joint.half_pin_mm, bounds.half_pin))  # fmt: skip
    parts = [
        f"{what} {mm(shared)} (at least {mm(least.mm)}: {least.reason})" if given is None else f"{what} {mm(given)} as asked for"
        for what, shared, given, least in widths
    ]
    whose = "standard widths of this drawer alone" if alone else "shared by the drawers of this stock"
    return Note("choice", "joints", f"{whose}: standard {', '.join(parts)}; widths are those at the tips of the tails")


def counts(works: Sequence[int]) -> str:
    """Return numbers of tails as words."""
    return f"{listed([str(count) for count in works])} {'tail' if list(works) == [1] else 'tails'}"


def sizes_of(division: Division) -> str:
    """Return the widths of a division as words."""

    def some(name: str, widths: Sequence[float]) -> str:
        return f"{counted(len(widths), name)} of {span(widths)}"

    pins = [some("pin", division.pins_mm)] if division.pins_mm else []
    return ", ".join([some("tail", division.tails_mm), *pins, f"half pins of {mm(division.half_pin_mm)}"])


def span(widths: Sequence[float]) -> str:
    """Return the least and the most of widths as words."""
    distinct = sorted({round(width, 2) for width in widths})
    return mm(distinct[0]) if len(distinct) == 1 else f"{mm(distinct[0])} to {mm(distinct[-1])}"


def warnings_of(division: Division, drawn: Drawn) -> list[str]:
    """Name what is unusual in the proportions of a division."""
    bounds, eye, found = drawn.bounds, Eye(drawn.width_mm, drawn.bounds), []
    if not division.pins_mm and not bounds.raised and drawn.width_mm > SINGLE_MM:
        found.append(f"a single tail on a drawer {mm(drawn.width_mm)} high; from {mm(SINGLE_MM)} on two or more hold better and are usual")
    ratios = [proportion(tail, pin, bounds) for tail in division.tails_mm for pin in division.pins_mm]
    low, high = min(ratios, default=RATIO_LIMITS[0]), max(ratios, default=RATIO_LIMITS[1])
    if low < RATIO_LIMITS[0] - 1e-9 or high > RATIO_LIMITS[1] + 1e-9:
        usual = f"{RATIO_LIMITS[0]:g} to {RATIO_LIMITS[1]:g} looks right"
        found.append(f"tails are {low:.2f} to {high:.2f} times as wide as pins at half their length; {usual}")
    if eye.edge_share(division.half_pin_mm) > EDGE_MOST + 1e-9:
        found.append(f"half pins of {mm(division.half_pin_mm)} are wide; up to about {mm(eye.edge_mm)} looks right")
    return found


def _warnings(division: Division, drawn: Drawn, soft: bool) -> list[Note]:
    notes = [Note("warning", "joints", text) for text in warnings_of(division, drawn)]
    if soft and division.half_pin_mm < SOFT_HALF_PIN_MM:
        notes.append(
            Note("warning", "joints", f"half pins of {mm(division.half_pin_mm)} may split in softwood; {mm(SOFT_HALF_PIN_MM)} or more is "
                 f"safer: put the groove {mm(SOFT_HALF_PIN_MM - division.half_pin_mm)} higher")
        )  # fmt: skip
    if drawn.bounds.raised and not division.pins_mm:
        notes.append(
            Note("warning", "back joint", "the only tail runs down to the edge and has one flank: glue alone keeps it from slipping down")
        )
    return notes


def _hindered(style: Style, drawn: Drawn) -> list[Broken]:
    """Say why there is no layout, by the number of tails that comes nearest."""
    found = [broken for count in counts_of(drawn) if (broken := hindered(style, drawn, count))]
    return min(found, key=lambda broken: (len(broken), broken[0].what.split()[0] != "1"), default=[Broken("layout", 0.0, "", "none fits")])


def _key(wish: DrawerWish, broken: Broken) -> str:
    """Return the key of what is asked for of a layout and breaks a bound, or its table where that is not one thing."""
    asked = [key for key, size in _wishes(wish.joint).items() if size is not None]
    named = broken.what.removesuffix(" asked for").replace(" ", "_")
    return f"joints.{named}" if named in asked else f"joints.{asked[0]}" if len(asked) == 1 else "joints"


def _wishes(joint: JointWish) -> dict[str, float | None]:
    return {"tails": joint.tails, "tail": joint.tail_mm, "pin": joint.pin_mm, "half_pin": joint.half_pin_mm}


def _ways(wish: DrawerWish, drawn: Drawn) -> tuple[Way, ...]:
    """Return what may mend a layout: letting go of what is asked for, moving the groove, a higher drawer."""
    wishes, bounds = _wishes(wish.joint), drawn.bounds
    least = {"tail": bounds.tail.mm, "pin": bounds.pin.mm, "half_pin": bounds.half_pin.mm}
    given: Way = tuple(Change(f"joints.{name}") for name, asked in wishes.items() if asked is not None)
    too_small = {name: limit for name, limit in least.items() if (asked := wishes[name]) is not None and asked < limit}
    ways: list[Way] = [(Change(f"joints.{name}", up(limit, 0.1)),) for name, limit in too_small.items()]
    ways += [(change,) for change in given]
    if len(given) > 1:
        ways.append(given)
    lacks = bounds.half_pin.mm - bounds.most_half_pin_mm
    higher = up(wish.groove.edge_mm + lacks, 0.5) - wish.groove.edge_mm if lacks > 0 else 0.0
    groove: Way = (Change("groove.edge", wish.groove.edge_mm + higher),) if higher else ()
    lower_mm = drawn.width_mm - max(bounds.tail.mm + 2 * bounds.half_pin.mm, bounds.first_high.mm + higher + bounds.half_pin.mm)
    size, key = (wish.outside_mm, "outside[2]") if wish.outside_mm else (wish.opening_mm, "opening[2]")
    if lower_mm < 0 and size:
        ways += [(*groove, Change(key, up(size[1] - lower_mm + spare, 0.1))) for spare in (0.0, 1.0, 3.0)]
    return tuple([groove, *ways] if groove and lower_mm >= 0 else ways)
