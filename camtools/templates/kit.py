"""What a maker needs to rout a job by hand: every comb, spacer, block and stop setting, worked out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

from camtools.drawer.boards import Drawer, HalfBlind, Role, Through
from camtools.faults import CannotCut, Fault
from camtools.job.job import Cutter, TemplateWish
from camtools.templates.bushes import Bush, bush_for
from camtools.templates.combs import Comb, pins_comb, sockets_comb, tails_comb
from camtools.templates.nesting import nested
from camtools.templates.router_settings import Depth, StopSetting, stops_for
from camtools.templates.spacers import Holder, SpacerSet, holder_for, spacers_of

__all__ = ["Kit", "NamedJoint", "NamedStop", "kit_of"]

Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class NamedJoint:
    """A joint with the short name that is engraved, and the drawers that have it."""

    code: str
    joint: HalfBlind | Through
    drawers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NamedStop:
    """A stop setting, the boards it is for and the drawers that have them."""

    role: Role
    length_mm: float
    drawers: tuple[str, ...]
    setting: StopSetting


@dataclass(frozen=True, slots=True)
class Kit:
    """Everything for routing by hand, and what was left out, with numbers."""

    wish: TemplateWish
    joints: tuple[NamedJoint, ...]
    combs: tuple[Comb, ...]
    holder: Holder | None
    holder_bush_mm: float
    spacers: tuple[SpacerSet, ...]
    depths: tuple[Depth, ...]
    edges_mm: tuple[float, ...]
    stops: tuple[NamedStop, ...]
    left_out: tuple[Fault, ...]


def kit_of(drawers: Sequence[Drawer], wish: TemplateWish) -> Kit:
    """Work the kit out; equal joints share their parts.

    Raises
    ------
    CannotCut
        If a comb or a set of spacers can not be made and the wish is not to leave it out.
    """
    joints = _joints(drawers)
    bushes = _bushes(joints, wish)
    refused: list[Fault] = []
    combs: list[Comb] = []
    for named in joints:
        for make in _comb_makers(named, bushes):
            comb = _tried(make, refused)
            if comb is not None and _fits(comb, wish, refused):
                combs.append(comb)
    holder, bush = _holder(joints, bushes, wish, refused)
    sets: list[SpacerSet] = []
    for named in joints:
        if holder is None:
            break
        try:
            sets.append(spacers_of(named.joint, holder, bush, wish.finger_inset_mm, named.code))
        except CannotCut as error:
            refused += error.faults
    if refused and not wish.leave_out:
        raise CannotCut(*refused)
    stops = _stops(drawers)
    depths = [Depth(wish.comb_mm + comb.depth_mm, comb.bush_mm, comb.plate.name) for comb in combs]
    depths += [Depth(s.setting.depth_mm, 2 * s.setting.cutter_marks_mm, "grooves, without comb") for s in stops]
    edges = sorted({round(s.setting.fence_mm[0], 3) for s in stops})
    return Kit(wish, tuple(joints), tuple(combs), holder, bush, tuple(sets), tuple(depths), tuple(edges), tuple(stops), tuple(refused))


def _tried(make: Callable[[], Made], refused: list[Fault]) -> Made | None:
    try:
        return make()
    except CannotCut as error:
        refused += error.faults
        return None


def _fits(comb: Comb, wish: TemplateWish, refused: list[Fault]) -> bool:
    """Tell whether a comb fits the sheet."""
    return _tried(partial(nested, [comb.plate], wish.sheet_mm), refused) is not None


def _joints(drawers: Sequence[Drawer]) -> list[NamedJoint]:
    found: dict[HalfBlind | Through, list[str]] = {}
    for drawer in drawers:
        for joint in (drawer.left.piece.half_blind, drawer.left.piece.through):
            if joint is not None:
                found.setdefault(joint, []).append(drawer.name)
    named = []
    for letter, kind in (("H", HalfBlind), ("T", Through)):
        own = [(joint, names) for joint, names in found.items() if isinstance(joint, kind)]
        named += [NamedJoint(f"{letter}{i}", joint, tuple(names)) for i, (joint, names) in enumerate(own, 1)]
    return named


def _bushes(joints: Sequence[NamedJoint], wish: TemplateWish) -> dict[Cutter, Bush]:
    """Return a bush for each cutter, one for all its depths: bush and cutter are changed together."""
    depths: dict[Cutter, list[float]] = {}
    for joint in (named.joint for named in joints):
        depths.setdefault(joint.dovetail, []).append(joint.length_mm)
        if isinstance(joint, HalfBlind):
            depths[joint.dovetail].append(joint.length_mm + joint.free_depth_mm)
        else:
            depths.setdefault(joint.straight, []).append(joint.side_mm + joint.proud_mm)
    return {cutter: bush_for(cutter, depth, wish) for cutter, depth in depths.items()}


def _comb_makers(named: NamedJoint, bushes: Mapping[Cutter, Bush]) -> list[Callable[[], Comb]]:
    joint, code = named.joint, named.code
    bush = bushes[joint.dovetail]
    if isinstance(joint, HalfBlind):
        return [
            lambda: tails_comb(joint, bush, f"{code} tails"),
            lambda: sockets_comb(joint, bush, f"{code} sockets"),
        ]
    pins = bushes[joint.straight]
    return [lambda: tails_comb(joint, bush, f"{code} tails"), lambda: pins_comb(joint, pins, f"{code} pins")]


def _holder(
    joints: Sequence[NamedJoint], bushes: Mapping[Cutter, Bush], wish: TemplateWish, refused: list[Fault]
) -> tuple[Holder | None, float]:
    """Return the fingers asked for, or those that cut the commonest half-blind tail, and the bush that goes with them."""
    blind = [named.joint for named in joints if isinstance(named.joint, HalfBlind)]
    if not blind:
        return None, 0.0
    tails = Counter(round(tail.width_mm, 2) for joint in blind for tail in joint.tails)
    common = min(tails, key=lambda width: (-tails[width], width))
    joint = next(joint for joint in blind if any(round(tail.width_mm, 2) == common for tail in joint.tails))
    bush = bushes[joint.dovetail].diameter_mm
    fitting = holder_for(joint, common, bush)
    finger = fitting.finger_mm if wish.finger_mm is None else wish.finger_mm
    radius = min(fitting.radius_mm, finger / 2) if wish.finger_radius_mm is None else wish.finger_radius_mm
    if finger < 2.0:
        refused.append(
            Fault(
                "spacers",
                "no finger is left beside this bush",
                f"{finger:.2f} mm",
                "at least 2 mm",
                f"take a bush smaller by {2.0 - finger:.2f} mm, or wider tails",
            )
        )
        return None, bush
    return Holder(finger, radius), bush


def _stops(drawers: Sequence[Drawer]) -> list[NamedStop]:
    found: dict[tuple[Role, float, StopSetting], list[str]] = {}
    for drawer in drawers:
        for board in drawer.boards:
            piece = board.piece
            if piece.groove is not None:
                setting = stops_for(piece, piece.groove, board.to_drawer)
                found.setdefault((piece.role, piece.size_mm[0], setting), []).append(drawer.name)
    return [NamedStop(role, length, tuple(names), setting) for (role, length, setting), names in found.items()]
