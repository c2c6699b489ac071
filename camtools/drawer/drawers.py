"""Every drawer of a job, worked out: sizes, joints, grooves, boards."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import ParamSpec, TypeVar

from camtools.drawer.bench.measured import as_measured, boards_of, half_pin_faults, shared_sizes
from camtools.drawer.boards import ROLES, Affine, Board, Corners, Drawer, Groove, HalfBlind, Note, Piece, Role, Through
from camtools.drawer.bottom import Bottom, bottom_of
from camtools.drawer.bounds import cutter_faults
from camtools.drawer.case import with_case_notes
from camtools.drawer.cutting_loads import load_warnings
from camtools.drawer.feeds import feed_warnings
from camtools.drawer.grooves import grooves_of
from camtools.drawer.joints import Family, Joints, family_of, joints_of, run_down
from camtools.drawer.seasons import seasons_of
from camtools.drawer.sizing import Sizes, Triple, sizes_of
from camtools.drawer.styles import STYLES
from camtools.faults import CannotCut, Fault
from camtools.job.job import PARTS, DrawerWish, Job, JointWish
from camtools.wording import listed

__all__ = ["drawers_of"]

Given = ParamSpec("Given")
Result = TypeVar("Result")
Joint = TypeVar("Joint", HalfBlind, Through)


@dataclass(frozen=True, slots=True)
class _Sized:
    """A drawer that has its size and waits for its joints; the wish has the thicknesses of its boards as they are."""

    index: int
    planned: DrawerWish
    planned_mm: Sizes
    where: str
    wish: DrawerWish
    sizes: Sizes


def drawers_of(job: Job) -> tuple[Drawer, ...]:
    """Work out every drawer of a job.

    Drawers with the same joints in boards of the same thickness are a family: they share their standard tail, pin and half pin.

    Raises
    ------
    CannotCut
        Everything at once that the cutters or the wood can not do, in every drawer.
    """
    faults: list[Fault] = []
    sized: list[_Sized] = []
    for index, wish in enumerate(job.drawers, 1):
        entry = wish.measured.entry if wish.measured else index
        where = f'drawers[{entry}] "{wish.name}"'
        wrong = [replace(fault, drawers=(wish.name,)) for fault in (*_style_faults(wish, where), *cutter_faults(job, wish, where))]
        faults.extend(wrong)
        sizes = _tried(faults, wish.name, sizes_of, wish, where)
        if sizes is not None and not wrong:
            sized.append(_Sized(entry, wish, sizes, where, wish, sizes))
    sized = _as_measured(job, sized, faults)

    members: dict[_Alike, list[_Sized]] = {}
    for one in sized:
        members.setdefault(_alike(one), []).append(one)
    families = {alike: _family(job, group) for alike, group in members.items()}
    drawers = [_tried(faults, one.wish.name, _drawer, job, one, families[_alike(one)]) for one in sized]
    if faults:
        raise CannotCut(*faults)
    return with_case_notes(job, [drawer for drawer in drawers if drawer is not None])


def _tried(faults: list[Fault], name: str, make: Callable[Given, Result], *given: Given.args, **named: Given.kwargs) -> Result | None:
    """Make something of the drawer of a name, or note why it can not be made."""
    try:
        return make(*given, **named)
    except CannotCut as error:
        faults.extend(replace(fault, drawers=(name,)) for fault in error.faults)
        return None


def _style_faults(wish: DrawerWish, where: str) -> list[Fault]:
    if wish.joint.style in STYLES:
        return []
    return [Fault(f"{where}, joints", "no such style of layout", wish.joint.style, listed(list(STYLES)))]


def _as_measured(job: Job, sized: list[_Sized], faults: list[Fault]) -> list[_Sized]:
    """Put what boards are cut as in place of what was planned, for the drawers whose boards were measured."""
    boards = shared_sizes([(one.wish, one.sizes) for one in sized])
    found = []
    for place, one in enumerate(sized):
        if one.wish.measured is None:
            found.append(one)
            continue
        own = {part: boards[place, part] for part in PARTS}
        made = _tried(faults, one.wish.name, as_measured, job, one.wish, one.sizes, own, one.where)
        if made is not None:
            found.append(replace(one, wish=made[0], sizes=made[1]))
    return found


_Alike = tuple[JointWish, float, float, float, int]


def _alike(one: _Sized) -> _Alike:
    """Return what the drawers of a family have in common: how they are jointed, and the thickness of front, side and back."""
    stock = one.planned.stock
    joint = replace(one.planned.joint, tails=None, tail_mm=None, pin_mm=None, half_pin_mm=None)
    return joint, stock.front_mm, stock.side_mm, stock.back_mm, 0 if one.wish.family else one.index


def _family(job: Job, members: Sequence[_Sized]) -> Family:
    backs = tuple(dict.fromkeys(one.sizes.back_mm[2] for one in members if one.wish.measured))
    return family_of(job, [(one.planned, one.planned_mm.outside_mm[2]) for one in members], backs)


@dataclass(frozen=True, slots=True)
class _Jointed:
    """The joints of each board of a drawer, which follow its thickness, its width and those of its partner."""

    left: tuple[HalfBlind, Through]
    right: tuple[HalfBlind, Through]
    front: tuple[HalfBlind, HalfBlind]  # at its left and its right end
    back: tuple[Through, Through]


def _jointed(joints: Joints, sizes: Sizes) -> _Jointed:
    """Fit the joints of a layout to the boards of a drawer."""
    (_, front_high, front), (_, back_high, back) = sizes.front_mm, sizes.back_mm
    longest = max(sizes.tails_proud_mm)
    blind = replace(joints.half_blind, front_mm=front, lap_mm=sizes.lap_mm)
    through = run_down(replace(joints.through, back_mm=back, raise_mm=sizes.raise_mm, proud_mm=longest))
    sides = [
        (replace(blind, width_mm=high, side_mm=thick), replace(through, width_mm=high, side_mm=thick, proud_mm=proud))
        for (_, high, thick), proud in zip((sizes.left_mm, sizes.right_mm), sizes.tails_proud_mm, strict=True)
    ]
    left, right = sides
    sockets = [replace(own, width_mm=front_high, side_mm=own.side_mm + sizes.front_proud_mm) for own, _ in sides]
    high = round(back_high + sizes.raise_mm, 6)
    pins = [replace(own, width_mm=high, proud_mm=sizes.pins_proud_mm) for _, own in sides]
    return _Jointed(left, right, (sockets[0], sockets[1]), (pins[0], pins[1]))


def _drawer(job: Job, sized: _Sized, family: Family) -> Drawer:
    wish, sizes, where = sized.wish, sized.sizes, sized.where
    joints = joints_of(job, sized.planned, sized.planned_mm.outside_mm[2], sized.planned_mm.raise_mm, family, where)
    if wish.measured and (thin := list(half_pin_faults(wish, sizes, joints.half_blind.tails[-1].high_mm, where))):
        raise CannotCut(*thin)
    jointed = _jointed(joints, sizes)
    grooves = grooves_of(job, wish, sizes, joints, where)
    bottom = bottom_of(wish, sizes, grooves, where)
    wide, deep, _ = sizes.outside_mm
    identity = wish.measured.id if wish.measured else f"d{sized.index}"

    def board(role: Role, piece: Piece, to_drawer: Affine) -> Board:
        part = PARTS[ROLES.index(role)]
        planned = boards_of(sized.planned, sized.planned_mm)[part] if wish.measured and part != "bottom" else None
        return Board(f"{identity}-{part}", piece, to_drawer, wish.count, wish.stock.wood_of(role), planned)

    def side(role: Role, size: Triple, own: tuple[HalfBlind, Through], groove: Groove) -> Piece:
        return Piece(role, size, half_blind=own[0], through=own[1], groove=groove)

    def unlike(ends: tuple[Joint, Joint]) -> Joint | None:
        return None if ends[0] == ends[1] else ends[1]

    both = joints.half_blind, joints.through
    # Of measured boards each has depths of its own.
    of_joints = [note for note in joints.notes if not (wish.measured and note.where == "back joint" and note.kind == "choice")]
    borne = (*load_warnings(job, wish, *both), *feed_warnings(job, wish, *both))
    # docs/joinery.md section 2
    along = (1.0, 0.0, 0.0, sizes.lap_mm)
    up = (0.0, 1.0, 0.0, 0.0)
    x, y, z = bottom.corner_mm
    heights: dict[Role, float] = {
        "front": sizes.front_mm[1],
        "left side": max(sizes.left_mm[1], sizes.right_mm[1]),
        "back": sizes.back_mm[1],
    }
    return Drawer(
        id=identity,
        name=wish.name,
        count=wish.count,
        outside_mm=sizes.outside_mm,
        opening_mm=sizes.opening_mm,
        front=board(
            "front",
            Piece("front", sizes.front_mm, half_blind=jointed.front[0], right=unlike(jointed.front), groove=grooves.front),
            ((1.0, 0.0, 0.0, 0.0 - sizes.front_proud_mm), (0.0, 0.0, 1.0, 0.0), up),
        ),
        back=board(
            "back",
            Piece("back", sizes.back_mm, through=jointed.back[0], right=unlike(jointed.back), groove=grooves.back),
            ((1.0, 0.0, 0.0, 0.0 - sizes.pins_proud_mm), (0.0, 0.0, -1.0, deep), (0.0, 1.0, 0.0, sizes.raise_mm)),
        ),
        left=board("left side", side("left side", sizes.left_mm, jointed.left, grooves.left), ((0.0, 0.0, 1.0, 0.0), along, up)),
        right=board("right side", side("right side", sizes.right_mm, jointed.right, grooves.right), ((0.0, 0.0, -1.0, wide), along, up)),
        bottom=board(
            "bottom",
            Piece("bottom", bottom.size_mm, outline=bottom.outline, corners=_corners(job, wish, bottom)),
            ((1.0, 0.0, 0.0, x), (0.0, 1.0, 0.0, y), (0.0, 0.0, 1.0, z)),
        ),
        notes=_ordered((*sizes.notes, *of_joints, *grooves.notes, *bottom.notes, *borne)),
        show_front_mm=sizes.show_front_mm,
        notches=bottom.notches,
        layouts=joints.layouts,
        planned_mm=sized.planned_mm.outside_mm if wish.measured else None,
        seasons=seasons_of(wish, heights, (bottom.size_mm[1], bottom.room_mm), sizes.opening_mm and sizes.opening_mm[1]),
    )


def _corners(job: Job, wish: DrawerWish, bottom: Bottom) -> Corners | None:
    if wish.groove.bottom_corners == "hand":
        return None
    return Corners(bottom.notches, job.cutter(wish.groove.cutter), job.machine.waste_depth_mm, wish.joint.light_pass_mm)


def _ordered(notes: tuple[Note, ...]) -> tuple[Note, ...]:
    """Warnings first."""
    return tuple(sorted(notes, key=lambda note: note.kind != "warning"))
