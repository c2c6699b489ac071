"""Every drawer of a job, worked out: sizes, joints, grooves, boards."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import ParamSpec, TypeVar

from camtools.drawer.boards import Affine, Board, Corners, Drawer, Note, Piece, Role
from camtools.drawer.bottom import Bottom, bottom_of
from camtools.drawer.bounds import cutter_faults
from camtools.drawer.case import with_case_notes
from camtools.drawer.cutting_loads import load_warnings
from camtools.drawer.feeds import feed_warnings
from camtools.drawer.grooves import grooves_of
from camtools.drawer.joints import Family, family_of, joints_of
from camtools.drawer.seasons import seasons_of
from camtools.drawer.sizing import Sizes, sizes_of
from camtools.drawer.styles import STYLES
from camtools.faults import CannotCut, Fault
from camtools.job.job import DrawerWish, Job, JointWish
from camtools.wording import listed

__all__ = ["drawers_of"]

Given = ParamSpec("Given")
Result = TypeVar("Result")


@dataclass(frozen=True, slots=True)
class _Sized:
    """A drawer that has its size and waits for its joints."""

    index: int
    wish: DrawerWish
    sizes: Sizes
    where: str


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
        where = f'drawers[{index}] "{wish.name}"'
        wrong = [replace(fault, drawers=(wish.name,)) for fault in (*_style_faults(wish, where), *cutter_faults(job, wish, where))]
        faults.extend(wrong)
        sizes = _tried(faults, wish.name, sizes_of, wish, where)
        if sizes is not None and not wrong:
            sized.append(_Sized(index, wish, sizes, where))

    members: dict[_Alike, list[_Sized]] = {}
    for one in sized:
        members.setdefault(_alike(one), []).append(one)
    families = {alike: family_of(job, [(one.wish, one.sizes.outside_mm[2]) for one in group]) for alike, group in members.items()}
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


_Alike = tuple[JointWish, float, float, float, int]


def _alike(one: _Sized) -> _Alike:
    """Return what the drawers of a family have in common: how they are jointed, and the thickness of front, side and back."""
    stock = one.wish.stock
    joint = replace(one.wish.joint, tails=None, tail_mm=None, pin_mm=None, half_pin_mm=None)
    return joint, stock.front_mm, stock.side_mm, stock.back_mm, 0 if one.wish.family else one.index


def _drawer(job: Job, sized: _Sized, family: Family) -> Drawer:
    wish, sizes, where = sized.wish, sized.sizes, sized.where
    joints = joints_of(job, wish, sizes.outside_mm[2], sizes.raise_mm, family, where)
    grooves = grooves_of(job, wish, sizes, joints, where)
    bottom = bottom_of(wish, sizes, grooves, where)
    wide, deep, _ = sizes.outside_mm
    half_blind, through, lap, proud = joints.half_blind, joints.through, wish.joint.lap_mm, wish.joint.proud_mm

    def board(role: Role, piece: Piece, to_drawer: Affine) -> Board:
        return Board(f"d{sized.index}-{role.split()[0]}", piece, to_drawer, wish.count, wish.stock.wood_of(role))

    def side(role: Role) -> Piece:
        return Piece(role, sizes.side_mm, half_blind=half_blind, through=through, groove=grooves.side)

    borne = (*load_warnings(job, wish, half_blind, through), *feed_warnings(job, wish, half_blind, through))
    # docs/joinery.md section 2
    along = (1.0, 0.0, 0.0, lap)
    up = (0.0, 1.0, 0.0, 0.0)
    x, y, z = bottom.corner_mm
    heights: dict[Role, float] = {"front": sizes.front_mm[1], "left side": sizes.side_mm[1], "back": sizes.back_mm[1]}
    return Drawer(
        id=f"d{sized.index}",
        name=wish.name,
        count=wish.count,
        outside_mm=sizes.outside_mm,
        opening_mm=sizes.opening_mm,
        front=board(
            "front",
            Piece("front", sizes.front_mm, half_blind=half_blind, groove=grooves.front),
            ((1.0, 0.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), up),
        ),
        back=board(
            "back",
            Piece("back", sizes.back_mm, through=through, groove=grooves.back),
            ((1.0, 0.0, 0.0, 0.0 - proud), (0.0, 0.0, -1.0, deep), (0.0, 1.0, 0.0, sizes.raise_mm)),
        ),
        left=board("left side", side("left side"), ((0.0, 0.0, 1.0, 0.0), along, up)),
        right=board("right side", side("right side"), ((0.0, 0.0, -1.0, wide), along, up)),
        bottom=board(
            "bottom",
            Piece("bottom", bottom.size_mm, outline=bottom.outline, corners=_corners(job, wish, bottom)),
            ((1.0, 0.0, 0.0, x), (0.0, 1.0, 0.0, y), (0.0, 0.0, 1.0, z)),
        ),
        notes=_ordered((*sizes.notes, *joints.notes, *grooves.notes, *bottom.notes, *borne)),
        show_front_mm=sizes.show_front_mm,
        notches=bottom.notches,
        layouts=joints.layouts,
        seasons=seasons_of(wish, heights, (bottom.size_mm[1], bottom.room_mm), sizes.opening_mm and sizes.opening_mm[1]),
    )


def _corners(job: Job, wish: DrawerWish, bottom: Bottom) -> Corners | None:
    if wish.groove.bottom_corners == "hand":
        return None
    return Corners(bottom.notches, job.cutter(wish.groove.cutter), job.machine.waste_depth_mm, wish.joint.light_pass_mm)


def _ordered(notes: tuple[Note, ...]) -> tuple[Note, ...]:
    """Warnings first."""
    return tuple(sorted(notes, key=lambda note: note.kind != "warning"))
