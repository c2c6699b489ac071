"""Puts one drawer together from its carved boards, measures it and judges it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from manifold3d import Manifold

from camtools.output.manifest import BoardEntry, DrawerEntry, JointLimits, Triple
from camtools.verify.carving.carve import Carved, solid_of
from camtools.verify.fit.bottom_fit import Part, measure_bottom, open_face_mm2
from camtools.verify.fit.corner import CORNERS, Corner, called, joint_worked
from camtools.verify.fit.joint_fit import SKIN_MM, Ask, FaceGap, Joint, Spread, gaps_of, measure_joint
from camtools.verify.fit.judge import (
    Misfit,
    bottom_faults,
    joint_faults,
    season_faults,
    shown_faults,
    size_faults,
    tail_faults,
    written_groove_faults,
)
from camtools.verify.fit.plane_sections import Blocked, blocked_by, depths_between, section
from camtools.verify.fit.reliefs import FlatCutters
from camtools.verify.fit.standing import Standing, standing_of
from camtools.verify.report import DrawerReport, JointReport
from camtools.verify.written import WrittenDrawer, known
from camtools.wording import area

__all__ = ["SIDES", "Assembly", "Verdict", "ask_of", "assemble", "differs", "placed"]

SIDES: tuple[Part, ...] = ("front", "back", "left", "right")
_AROUND_MM = 1.0  # how far around a place two boards are compared
_ALIKE_MM3 = 0.002


@dataclass(frozen=True, slots=True)
class Assembly:
    """A drawer to be put together; it travels between processes."""

    drawer: DrawerEntry
    limits: JointLimits
    entries: dict[str, BoardEntry]  # part -> board
    carved: dict[str, Carved]  # part -> its carving
    wish: WrittenDrawer | None = None  # what the job file says of it; None where that could not be read
    flat: Mapping[str, FlatCutters] = field(default_factory=dict)  # corner -> what cut it, where its boards lay flat

    @property
    def standing(self) -> Standing:
        """How its boards are to stand to one another."""
        return standing_of(self.entries, self.drawer.outside, self.limits, self.wish)


@dataclass(frozen=True, slots=True)
class Verdict:
    """A drawer measured, and what is wrong with it. Places are the drawer's, suspects are named from the likeliest on."""

    report: DrawerReport
    faults: tuple[Misfit, ...]


def placed(carved: Carved, entry: BoardEntry) -> Manifold:
    """Return a carved board where it stands in the drawer."""
    return solid_of(carved).transform(entry.to_drawer)


def ask_of(corner: Corner, assembly: Assembly) -> Ask:
    """Return what is asked of a joint."""
    limits, entries, standing = assembly.limits, assembly.entries, assembly.standing
    return Ask(
        half_blind=corner.half_blind,
        tail_mm=entries[corner.tail_part].size[2],
        pin_mm=entries[corner.pin_part].size[2],
        height_mm=min(standing.top_mm[corner.tail_part], standing.top_mm[corner.pin_part]),
        flank_mm=limits.flanks[0 if corner.half_blind else 1],
        tip_mm=limits.tip,
        lap_mm=limits.lap,
        proud_mm=standing.proud_mm[corner.tail_part],
        pins_proud_mm=standing.proud_mm["back"],
        raised=limits.back == "raised",
        flat=assembly.flat.get(corner.name),
    )


def assemble(assembly: Assembly) -> Verdict:
    """Put a drawer together and judge it."""
    outside, wish = assembly.drawer.outside, assembly.wish
    boards = {part: placed(assembly.carved[part], assembly.entries[part]) for part in (*SIDES, "bottom")}
    cut = {corner.name: _cut_down(corner, boards, assembly) for corner in CORNERS}
    faults: list[Misfit] = []
    joints: list[JointReport] = []
    measured: dict[str, Joint] = {}
    for corner in CORNERS:
        ask = ask_of(corner, assembly)
        tail, pin = cut[corner.name]
        joint = measured[corner.name] = measure_joint(tail, pin, ask)
        gaps = gaps_of(tail, pin, ask)
        proud = ask.proud_mm + 1.0
        blocked = blocked_by(tail, pin, "x", [-proud / 2, *depths_between(0.0, ask.tail_mm)])
        bound = assembly.carved[corner.tail_part].bound_mm + assembly.carved[corner.pin_part].bound_mm
        twin = cut[corner.name.replace(corner.tail_part, "right" if corner.tail_part == "left" else "left")]
        found = [*joint_faults(joint, gaps, blocked, ask, bound)]
        if wish and corner.half_blind:
            tips = [(run.low, run.high) for run in section(tail, "x", SKIN_MM).runs(1, ask.lap_mm + SKIN_MM)]
            found += tail_faults(wish.joints, tips, (assembly.limits.planned or outside)[2])
        faults += [_seen(fault, corner, (tail, pin), twin, outside) for fault in found]
        joints.append(_report_of(corner, joint, gaps, blocked, outside))
    faults += _faces(boards, assembly)
    sides: dict[Part, Manifold] = {part: boards[part] for part in SIDES}
    bottom = measure_bottom(sides, boards["bottom"], outside, raised=assembly.limits.back == "raised")
    inside = _inside(assembly)
    thick = {part: assembly.entries[part].size[2] for part in SIDES}
    grooves = [*bottom_faults(bottom, assembly.limits, inside, (thick["left"], outside[0] - thick["right"]))]
    diagonals = _diagonals(measured, assembly)
    boxes = {part: _box(boards[part]) for part in SIDES}
    if wish:
        grooves += written_groove_faults(wish.groove, bottom, thick)
        grooves += season_faults(bottom, wish.stock, assembly.entries["bottom"].size[1])
    faults += [replace(fault, joint=joint_worked(fault.suspects[0], "groove") if fault.suspects else "") for fault in grooves]
    finish = known(wish.fit.get("finish", 0.0)) if wish else 0.0
    faults += size_faults(boxes, thick, outside, assembly.limits, assembly.standing, diagonals, finish)
    faults += shown_faults(assembly.entries, assembly.standing, assembly.limits, wish)
    size = _size(boxes)
    drawer = assembly.drawer
    report = DrawerReport(drawer.id, wish.name if wish else drawer.id, drawer.count, size, diagonals, tuple(joints), bottom)
    return Verdict(report, tuple(faults))


def _cut_down(corner: Corner, boards: dict[str, Manifold], assembly: Assembly) -> tuple[Manifold, Manifold]:
    thick_tail, thick_pin = assembly.entries[corner.tail_part].size[2], assembly.entries[corner.pin_part].size[2]
    tail, pin = (corner.into(boards[part], assembly.drawer.outside) for part in (corner.tail_part, corner.pin_part))
    return corner.near(tail, thick_tail, thick_pin), corner.near(pin, thick_tail, thick_pin)


def _seen(fault: Misfit, corner: Corner, own: tuple[Manifold, Manifold], twin: tuple[Manifold, Manifold], outside: Triple) -> Misfit:
    """Bring a joint's fault into the drawer's frame, and name the boards to look at.

    A drawer's joints at its left and its right are mirror images: the board that is unlike its twin at that very place is the one to
    look at; where both or neither are, both are named.
    """
    names = {"tail": corner.tail_part, "pin": corner.pin_part}
    suspects = [names[who] for who in fault.suspects]
    if not suspects:
        suspects = [corner.tail_part, corner.pin_part]
        if fault.place is not None:
            unlike = [differs(mine, other, fault.place) for mine, other in zip(own, twin, strict=True)]
            if unlike == [False, True]:
                suspects.reverse()
            if unlike.count(True) == 1:
                suspects = suspects[:1]
    place = corner.out(fault.place, outside) if fault.place else None
    return replace(fault, joint=corner.joint, place=place, suspects=tuple(suspects))


def differs(solid: Manifold, twin: Manifold, place: Triple) -> bool:
    """Tell whether two boards in the same corner's frame differ around a place."""
    size = 2 * _AROUND_MM
    around = Manifold.cube((size, size, size), True).translate(place)
    first, second = solid ^ around, twin ^ around
    common = float((first ^ second).volume())
    return float(first.volume()) + float(second.volume()) - 2 * common > _ALIKE_MM3


def _report_of(corner: Corner, joint: Joint, gaps: tuple[FaceGap, ...], blocked: Blocked, outside: Triple) -> JointReport:
    def out(spread: Spread | None) -> Spread | None:
        if spread is None:
            return None
        return replace(spread, smallest_at=corner.out(spread.smallest_at, outside), largest_at=corner.out(spread.largest_at, outside))

    overlap = replace(joint.overlap, place=corner.out(joint.overlap.place, outside))
    measured = Joint(overlap, out(joint.flank), out(joint.shoulder), out(joint.tip), joint.lap_mm, joint.pins_proud_mm, joint.root_mm)
    shown = tuple(replace(gap, place=corner.out(gap.place, outside)) for gap in gaps)
    return JointReport(corner.name, measured, shown, replace(blocked, place=corner.out(blocked.place, outside)))


def _faces(boards: dict[str, Manifold], assembly: Assembly) -> list[Misfit]:
    """Look for holes in the outside faces between the joints."""
    entries = assembly.entries
    proud = assembly.standing.proud_mm
    side, along = (max(entries[part].size[2] for part in parts) for parts in (("left", "right"), ("front", "back")))
    beside = {
        "front": side + proud["front"] + 0.5,
        "back": max([side + proud["back"], *_reaches(assembly)]) + 0.5,
        "left": along + max(proud["left"], proud["right"], *(own.notch_mm for own in assembly.flat.values())) + 0.5,
    }
    faults = []
    for part in SIDES:
        open_mm2, place = open_face_mm2(part, boards[part], assembly.drawer.outside, beside.get(part, beside["left"]))
        if open_mm2:
            text = f"{area(open_mm2)} of the {called(part)}'s outside face are cut away"
            faults.append(Misfit("face-broken", text, place, (part,), (("area_mm2", open_mm2),)))
    return faults


def _reaches(assembly: Assembly) -> list[float]:
    """Return how far the sockets of a back that was cut flat reach at its outside face."""
    side, back = assembly.entries["left"].size[2], assembly.entries["back"].size[2]
    return [
        own.reach_mm(side, back, assembly.limits.flanks[1])
        for corner in CORNERS
        if not corner.half_blind and (own := assembly.flat.get(corner.name)) is not None
    ]


def _inside(assembly: Assembly) -> dict[str, float]:
    """Return the length of each board between the drawer's inside corners."""
    wide, deep, _ = assembly.drawer.outside
    thick = {part: assembly.entries[part].size[2] for part in SIDES}
    across, along = wide - thick["left"] - thick["right"], deep - thick["front"] - thick["back"]
    return {"front": across, "back": across, "left": along, "right": along}


def _diagonals(joints: dict[str, Joint], assembly: Assembly) -> float:
    """Return the difference of the diagonals between the sides' shoulders."""
    wide, deep, _ = assembly.drawer.outside
    corners = {}
    for corner in CORNERS:
        shoulder = joints[corner.name].shoulder
        pin = assembly.entries[corner.pin_part].size[2]
        y = shoulder.largest_at[1] if shoulder else pin
        x = assembly.entries[corner.tail_part].size[2]
        corners[corner.name] = (x if corner.tail_part == "left" else wide - x, y if corner.half_blind else deep - y)
    return abs(math.dist(corners["front left"], corners["back right"]) - math.dist(corners["front right"], corners["back left"]))


def _box(solid: Manifold) -> tuple[Triple, Triple]:
    a, b, c, d, e, f = (float(value) for value in solid.bounding_box())
    return (a, b, c), (d, e, f)


def _size(boxes: Mapping[Part, tuple[Triple, Triple]]) -> Triple:
    """Return width, depth and height from outside face to outside face, so that proud ends are left aside."""
    wide, deep = boxes["right"][1][0] - boxes["left"][0][0], boxes["back"][1][1] - boxes["front"][0][1]
    return wide, deep, max(box[1][2] for box in boxes.values()) - min(box[0][2] for box in boxes.values())
