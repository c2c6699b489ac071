"""Judges what was measured on a drawer: faults with their place, and the boards to look at for the cause."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median_high

from camtools.output.manifest import BoardEntry, JointLimits, Triple
from camtools.verify.fit.bottom_fit import BottomFit, GrooveFound, Part
from camtools.verify.fit.corner import called
from camtools.verify.fit.joint_fit import ALLOWED_MM, INSIDE, Ask, FaceGap, Joint, Spread
from camtools.verify.fit.plane_sections import Blocked
from camtools.verify.fit.standing import Standing, lifted_mm
from camtools.verify.timber import timber_of, wood_of
from camtools.verify.written import Values, WrittenDrawer, known, told_as
from camtools.wording import area, fine, mm, quantity

__all__ = [
    "OVERLAP_MM",
    "Misfit",
    "bottom_faults",
    "joint_faults",
    "season_faults",
    "shown_faults",
    "size_faults",
    "tail_faults",
    "written_groove_faults",
]

OVERLAP_MM = 0.01  # deepest overlap that is none
_ROOT_MM = 1.8  # least of a pin at its narrow side, between the reliefs of its sockets; common practice, no source
_PLANE_MM = 0.01  # by which grooves of one drawer may differ in height
_GROOVE_MM = 0.02  # and in width from what was chosen
_DEPTH_MM = 0.05  # and in depth and ends from each other
_ENGAGED_MM = 1.0  # least of the bottom that stays in a groove; common practice, no source
_HELD_SHARE = 0.4  # of a board's inside length along which the bottom must bear
_BELOW_MM, _BEHIND_MM = 2.5, 2.0  # least wood below and behind a groove; common practice, no source
_SHOWN_MM = 0.05  # by which edges lie apart that are no longer flush to the eye; common practice, no source
_WRITTEN_MM = 0.05  # by which a carved measure may differ from the one in the job file


@dataclass(frozen=True, slots=True)
class Misfit:
    """One thing wrong. ``suspects`` are parts of the drawer; empty where the two boards' twins must tell."""

    code: str
    text: str
    place: Triple | None
    suspects: tuple[str, ...]
    figures: tuple[tuple[str, float], ...]
    joint: str = ""  # or groove, of the drawer; empty for the drawer as a whole


def joint_faults(joint: Joint, gaps: tuple[FaceGap, ...], blocked: Blocked, ask: Ask, bound_mm: float) -> Iterator[Misfit]:
    """Judge a joint. Places are in the corner's frame.

    Parameters
    ----------
    joint, gaps, blocked
        What was measured of it.
    ask
        What it was to be.
    bound_mm
        How far the surfaces of both boards may lie from the true ones, together: an overlap is taken to be deeper by that, since
        so much of it could have been carved away.
    """
    if joint.overlap.depth_mm and joint.overlap.depth_mm + bound_mm > OVERLAP_MM:
        deep = joint.overlap
        text = f"the boards overlap by {fine(deep.depth_mm)}"
        yield Misfit("joint-overlap", text, deep.place, (), (("depth_mm", deep.depth_mm), ("volume_mm3", deep.volume_mm3)))
    if blocked.width_mm:
        text = f"wood {mm(blocked.width_mm)} wide stands in the way of pushing the joint home"
        yield Misfit("joint-blocked", text, blocked.place, (), (("width_mm", blocked.width_mm),))
    yield from _off("flank-clearance", "flank clearance", joint.flank, ask.flank_mm, ())
    if joint.shoulder is not None and joint.shoulder.largest_mm > ALLOWED_MM:
        wide = joint.shoulder
        text = f"the shoulder stands {fine(wide.largest_mm)} off"
        yield Misfit("shoulder-gap", text, wide.largest_at, ("tail",), (("gap_mm", wide.largest_mm),))
    if ask.half_blind:
        yield from _off("tip-gap", "free depth under the tails", joint.tip, ask.tip_mm, ("pin",))
        if joint.lap_mm < ask.lap_mm - ask.tip_mm - ALLOWED_MM:
            chosen = ask.lap_mm - ask.tip_mm
            text = f"{mm(joint.lap_mm)} of wood is left in front of the sockets, {mm(chosen)} was chosen"
            place = joint.tip.largest_at if joint.tip else None
            yield Misfit("lap-thin", text, place, ("pin",), (("lap_mm", joint.lap_mm),))
    else:
        yield from _off("proud-ends", "proud ends of the tails", joint.tip, ask.proud_mm, ("tail",))
        if abs(joint.pins_proud_mm - ask.pins_proud_mm) > ALLOWED_MM:
            text = f"the pins stand {mm(joint.pins_proud_mm)} proud, {mm(ask.pins_proud_mm)} was chosen"
            yield Misfit("proud-ends", text, None, ("pin",), (("proud_mm", joint.pins_proud_mm),))
    if joint.root_mm is not None and joint.root_mm < _ROOT_MM:
        text = f"the reliefs of the sockets leave {mm(joint.root_mm)} of a pin, at least {mm(_ROOT_MM)} is sound"
        yield Misfit("pin-weak", text, None, ("pin",), (("left_mm", joint.root_mm),))
    for gap in gaps:
        if gap.excess_mm > 0.001:
            where = "lies inside the joint" if gap.face == INSIDE else f"shows on the {gap.face}"
            text = f"a gap of {fine(gap.widest_mm)} {where}, at most {fine(gap.limit_mm)} is allowed"
            figures = (("gap_mm", gap.widest_mm), ("area_mm2", gap.area_mm2))
            yield Misfit("gap-inside" if gap.face == INSIDE else "gap-shows", text, gap.place, (), figures)
    if joint.flank is None or joint.shoulder is None or joint.tip is None:
        yield Misfit("gap-shows", "there are no tails and pins to be found", None, (), ())


def _off(code: str, what: str, spread: Spread | None, chosen: float, suspects: tuple[str, ...]) -> Iterator[Misfit]:
    """Yield a fault where a measure is further than allowed from the chosen one: the worse extreme."""
    if spread is None:
        return
    ends = ((spread.smallest_mm, spread.smallest_at), (spread.largest_mm, spread.largest_at))
    value, place = max(ends, key=lambda end: abs(end[0] - chosen))
    if abs(value - chosen) > ALLOWED_MM:
        text = f"{what}: {fine(value)}, {fine(chosen)} was chosen"
        yield Misfit(code, text, place, suspects, (("found_mm", value), ("chosen_mm", chosen)))


def bottom_faults(bottom: BottomFit, limits: JointLimits, inside: Mapping[str, float], corners_mm: tuple[float, float]) -> Iterator[Misfit]:
    """Judge grooves and bottom of a drawer. Places are the drawer's.

    Parameters
    ----------
    bottom, limits
        What was measured, and how it was to fit.
    inside
        Length of each board between the inside corners, in mm, by part.
    corners_mm
        Where the inside of the drawer begins and ends, from its left face.
    """
    sides = {side.part: side for side in bottom.sides}
    held = [sides[part] for part in limits.bottom_held]
    for side in bottom.sides:
        if side.overlap.depth_mm > OVERLAP_MM:
            text = f"the bottom and the {called(side.part)} overlap by {fine(side.overlap.depth_mm)}"
            yield Misfit("bottom-overlap", text, side.overlap.place, (side.part,), (("depth_mm", side.overlap.depth_mm),))
    for side in held:
        if side.groove is None:
            yield Misfit("groove-missing", f"the {called(side.part)} has no groove at the bottom's height", side.place, (side.part,), ())
        elif side.engaged_mm < _ENGAGED_MM or side.held_mm2 < _HELD_SHARE * inside[side.part] * side.engaged_mm:
            reach = max(0.0, side.engaged_mm)
            text = f"the bottom reaches {mm(reach)} into the {called(side.part)} and bears on {area(side.held_mm2)} there"
            figures = (("engaged_mm", side.engaged_mm), ("held_mm2", side.held_mm2))
            yield Misfit("bottom-not-held", text, side.place, (side.part,), figures)
    grooves = {side.part: side.groove for side in held if side.groove}
    if grooves:
        yield from _groove_faults(grooves, bottom.thickness_mm + limits.bottom_play)
        yield from _end_faults(grooves, corners_mm)
    for what, way in bottom.blocked:
        if way.width_mm:
            moved = "slid in from the rear" if what == "bottom" else f"met by the {what} side as that is pushed home"
            text = f"the bottom can not be {moved}: wood {mm(way.width_mm)} wide stands in the way"
            yield Misfit("bottom-blocked", text, way.place, (what,) if what != "bottom" else (), (("width_mm", way.width_mm),))


def _groove_faults(grooves: Mapping[Part, GrooveFound], width: float) -> Iterator[Misfit]:
    low, high, depth = (median_high(getattr(groove, name) for groove in grooves.values()) for name in ("low_mm", "high_mm", "depth_mm"))
    for part, groove in grooves.items():
        name = f"the groove of the {called(part)}"
        off = max(abs(groove.low_mm - low), abs(groove.high_mm - high), groove.slant_mm)
        middle = groove.places[1]
        figures: tuple[tuple[str, float], ...] = (("low_mm", groove.low_mm), ("high_mm", groove.high_mm))
        if off > _PLANE_MM:
            yield Misfit("groove-plane", f"{name} lies {fine(off)} out of the others' plane", middle, (part,), figures)
        wide = groove.high_mm - groove.low_mm
        if abs(wide - width) > _GROOVE_MM:
            yield Misfit("groove-width", f"{name} is {fine(wide)} wide, {fine(width)} was chosen", middle, (part,), figures)
        if abs(groove.depth_mm - depth) > _DEPTH_MM:
            text = f"{name} is {mm(groove.depth_mm)} deep, the others {mm(depth)}"
            yield Misfit("groove-depth", text, groove.places[2], (part,), (("depth_mm", groove.depth_mm),))
        if groove.below_mm < _BELOW_MM or groove.behind_mm < _BEHIND_MM:
            text = f"{name} leaves {mm(groove.below_mm)} of wood below and {mm(groove.behind_mm)} behind"
            yield Misfit("groove-weak", text, middle, (part,), (("below_mm", groove.below_mm), ("behind_mm", groove.behind_mm)))


def _end_faults(grooves: Mapping[Part, GrooveFound], corners_mm: tuple[float, float]) -> Iterator[Misfit]:
    """Compare where grooves start and end: left with right, and each end of the front with its other end and the back's."""
    left, right = grooves.get("left"), grooves.get("right")
    if left and right:
        for what, a, b, *free in (
            ("starts", left.start_mm, right.start_mm, left.open_mm[0], right.open_mm[0]),
            ("ends", left.end_mm, right.end_mm, left.open_mm[1], right.open_mm[1]),
        ):
            if abs(a - b) > _DEPTH_MM and any(free):
                text = f"the groove of the left {what} at {mm(a)} from the front, that of the right at {mm(b)}"
                # Too long is the likelier fault, and the worse.
                side, groove = ("left", left) if (a < b) == (what == "starts") else ("right", right)
                yield Misfit("groove-ends", text, groove.places[0 if what == "starts" else 3], (side,), (("left_mm", a), ("right_mm", b)))
    for part, own in grooves.items():
        if part in ("left", "right"):
            continue
        before, after = own.start_mm - corners_mm[0], corners_mm[1] - own.end_mm
        if abs(before - after) > _DEPTH_MM and any(own.open_mm):
            text = f"the groove of the {part} starts {mm(before)} from the left inside corner and ends {mm(after)} from the right one"
            yield Misfit("groove-ends", text, own.places[0 if before < after else 3], (part,), (("left_mm", before), ("right_mm", after)))


def season_faults(bottom: BottomFit, stock: Values, deep_mm: float) -> Iterator[Misfit]:
    """Judge by the job file whether a solid bottom caught by front and back has room to swell, and stays in their grooves as it shrinks.

    Its grain runs from side to side. It is taken to move as little as its kind of wood may: what is found then holds for any of the kind.

    Parameters
    ----------
    bottom, stock
        What was measured of it, and what is written of the stock.
    deep_mm
        Size of the bottom from front to rear.
    """
    ends = [(side.engaged_mm, side.groove.depth_mm) for side in bottom.sides if side.part in ("front", "back") and side.groove]
    if stock.get("bottom_kind") != "solid" or len(ends) < 2:
        return
    wood = timber_of(wood_of(stock, "bottom"))
    grows, shrinks = (deep_mm * wood.growth(stock, season)[0] for season in ("dampest", "driest"))
    room, held = sum(depth - engaged for engaged, depth in ends), (sum(engaged for engaged, _ in ends) - shrinks) / 2
    if room < grows:
        text = f"the bottom grows by {mm(grows)} at least, from front to rear, until the dampest season; its grooves leave {mm(room)}"
        yield Misfit("bottom-moves", text, None, (), (("grows_mm", grows), ("room_mm", room)))
    if held < _ENGAGED_MM:
        text = f"the bottom shrinks by {mm(shrinks)} at least, from front to rear, and reaches {mm(held)} into its grooves then"
        yield Misfit("bottom-moves", text, None, (), (("shrinks_mm", shrinks), ("engaged_mm", held)))


def size_faults(
    boxes: Mapping[Part, tuple[Triple, Triple]],
    thick: Mapping[Part, float],
    outside: Triple,
    limits: JointLimits,
    standing: Standing,
    diagonals_mm: float,
    finish_mm: float,
) -> Iterator[Misfit]:
    """Judge the outside of the drawer, whether it stands square, and whether it goes into its opening.

    Parameters
    ----------
    boxes, thick
        Lowest and highest corner of each board in the drawer, and its thickness, in mm, by part.
    outside, limits
        Width, depth and height that the drawer is to have in mm, and how it is to fit.
    standing
        How its boards are to stand to one another.
    diagonals_mm
        By how much its diagonals differ.
    finish_mm
        What the maker means to plane off each side.
    """
    wide, deep, high = outside
    proud, top, lap = standing.proud_mm, standing.top_mm, limits.lap
    asked: dict[Part, tuple[tuple[float | None, ...], tuple[float | None, ...]]] = {
        "front": ((-proud["front"], 0.0, 0.0), (wide + proud["front"], thick["front"], top["front"])),
        "back": ((-proud["back"], deep - thick["back"], None), (wide + proud["back"], deep, top["back"])),
        "left": ((0.0, lap, 0.0), (thick["left"], deep + proud["left"], top["left"])),
        "right": ((wide - thick["right"], lap, 0.0), (wide, deep + proud["right"], top["right"])),
    }
    for part, corners in asked.items():
        for low, found in zip(corners, boxes[part], strict=True):
            for axis, want, got in zip("XYZ", low, found, strict=True):
                if want is not None and abs(want - got) > ALLOWED_MM:
                    text = f"the {called(part)} reaches to {axis} {mm(got)}, by the drawer's outside size it is {mm(want)}"
                    yield Misfit("drawer-size", text, None, (), (("found_mm", got), ("expected_mm", want)))
    if diagonals_mm > 2 * ALLOWED_MM:
        text = f"the diagonals inside differ by {mm(diagonals_mm)}"
        yield Misfit("not-square", text, None, ("left", "right"), (("difference_mm", diagonals_mm),))
    if limits.opening is not None:
        for name, size, room in zip(("wide", "high", "deep"), (wide, high, deep), limits.opening, strict=True):
            if size > room:
                planed = name == "wide" and size - room <= 2 * finish_mm + ALLOWED_MM
                code = "to-be-planed" if planed else "opening-too-small"
                text = f"the drawer is {mm(size)} {name}, its opening {mm(room)}"
                yield Misfit(code, text, None, (), (("drawer_mm", size), ("opening_mm", room)))


def shown_faults(
    entries: Mapping[str, BoardEntry], standing: Standing, limits: JointLimits, wish: WrittenDrawer | None
) -> Iterator[Misfit]:
    """Tell what shows of boards as they were measured, and what must be planed. Where one was not measured its size is that of its entry.

    Parameters
    ----------
    entries, standing
        Boards of the drawer, and how they stand to one another.
    limits, wish
        How it is to fit, and what is written of it.
    """
    if wish is None or wish.measured is None or limits.planned is None:
        return
    tops = {
        part: lifted_mm(entries[part]) + (entries[part].size[1] if (width := wish.measured[part][1]) is None else width)
        for part in standing.top_mm
    }
    high = limits.planned[2]
    for part, top in tops.items():
        if top - high > _SHOWN_MM:
            text = f"the upper edge of the {called(part)} lies at {mm(top)}, {mm(high)} was planned: plane {mm(top - high)} off it"
            yield Misfit("edge-to-be-planed", text, None, (), (("found_mm", top), ("planned_mm", high)))
    highest = min(max(tops.values()), high)
    lower = {part: highest - top for part, top in tops.items() if highest - top > _SHOWN_MM}
    if lower:
        told = ", ".join(f"that of the {called(part)} {mm(less)}" for part, less in lower.items())
        text = f"upper edges lie lower than the highest, once that is planed to the planned height: {told}"
        yield Misfit("edges-apart", text, None, (), tuple((f"{part}_mm", less) for part, less in lower.items()))
    if standing.proud_mm["front"] > _SHOWN_MM:
        text = f"both ends of the front stand {mm(standing.proud_mm['front'])} out beyond the sides: plane them flush"
        yield Misfit("ends-to-be-planed", text, None, (), (("proud_mm", standing.proud_mm["front"]),))


def tail_faults(joints: Values, tails: Sequence[tuple[float, float]], high: float) -> Iterator[Misfit]:
    """Judge the layout of a half-blind joint by the job file. ``tails`` are the lower and upper corner of each at its tip."""
    pins = [upper[0] - lower[1] for lower, upper in pairwise(tails)]
    measures = [("tails", "number of tails", float(len(tails)), True)]
    if tails:
        measures += [
            ("half_pin", "lower half pin", tails[0][0], True),
            ("half_pin", "upper half pin", high - tails[-1][1], True),
            ("tail", "lowest tail", tails[0][1] - tails[0][0], True),
            ("tail", "highest tail", tails[-1][1] - tails[-1][0], True),
        ]
    if pins:
        measures.append(("pin", "narrowest pin", min(pins), True))
    yield from _unlike(joints, measures, None, ("tail",))


def written_groove_faults(groove: Values, bottom: BottomFit, thick: Mapping[Part, float]) -> Iterator[Misfit]:
    """Judge by the job file where the grooves lie, and how deep. Places are the drawer's."""
    stopped = groove.get("ends", "stopped") == "stopped"
    for side in bottom.sides:
        if own := side.groove:
            corner = thick["left" if side.part in ("front", "back") else "front"]
            measures = [
                ("edge", f"height of the groove of the {called(side.part)}", own.low_mm, True),
                ("depth", f"depth of the groove of the {called(side.part)}", own.depth_mm, True),
                ("stop", f"stop of the groove of the {called(side.part)}", own.start_mm - corner if stopped else math.inf, False),
            ]
            yield from _unlike(groove, measures, own.places[1], (side.part,))


def _unlike(
    said: Values, measures: Iterable[tuple[str, str, float, bool]], place: Triple | None, suspects: tuple[str, ...]
) -> Iterator[Misfit]:
    """Yield the measures that are not what is written of them, or less than that where they may be more."""
    for key, name, found, exact in measures:
        asked = known(said.get(key))
        if key in said and not asked - _WRITTEN_MM <= found <= (asked + _WRITTEN_MM if exact else math.inf):
            unit, wanted = "" if key == "tails" else "mm", said[key]
            told = quantity(wanted, unit) if isinstance(wanted, float) else told_as(wanted)
            text = f"{name}: {quantity(found, unit)}, by the job file it is {told}"
            yield Misfit("unlike-job", text, place, suspects, (("found", found), ("asked", asked)))
