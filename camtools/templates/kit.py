"""What a maker needs to rout a job by hand: every comb, spacer, block and stop setting, worked out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial

from camtools.drawer.boards import Drawer, HalfBlind, Role, Through
from camtools.faults import CannotCut, Change, Fault, Way, named_drawers, puts
from camtools.job.job import Cutter, TemplateWish
from camtools.templates.bushes import COMMON_BUSHES_MM, Bush, bush_for
from camtools.templates.combs import Comb, pins_comb, sockets_comb, tails_comb
from camtools.templates.plates import nested
from camtools.templates.router_settings import Depth, StopSetting, stops_for
from camtools.templates.spacers import Guide, SpacerSet, guide_for, spacers_of
from camtools.wording import mm

__all__ = ["Kit", "NamedJoint", "NamedStop", "kit_of"]

_GUIDE_MM = 2.0  # least width of a movable guide, as the job file has it


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
    guide: Guide | None
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
    sets: list[SpacerSet] = []
    guide = None
    for named in joints:
        for kind, cutter, make in _combs_for(named.joint):
            with _collected(refused, named):
                comb = make(bushes[cutter], f"{named.code} {kind}")
                nested([comb.plate], wish.sheet_mm)  # refuses one that is larger than the sheet
                combs.append(comb)
    with _collected(refused):
        guide = _guide(joints, bushes, wish)
    if guide is not None:
        for named in joints:
            with _collected(refused, named):
                sets.append(spacers_of(named.joint, guide, wish.guide_inset_mm, named.code))
    if refused and not wish.leave_out:
        ways = _ways(wish)
        raise CannotCut(*(replace(fault, ways=ways) for fault in refused))
    stops = _stops(drawers)
    depths = [Depth(wish.comb_mm + comb.depth_mm, comb.bush_mm, comb.plate.name) for comb in combs]
    depths += [Depth(s.setting.depth_mm, 2 * s.setting.cutter_marks_mm, "grooves, without comb") for s in stops]
    edges = sorted({round(s.setting.fence_mm[0], 3) for s in stops})
    return Kit(wish, tuple(joints), tuple(combs), guide, tuple(sets), tuple(depths), tuple(edges), tuple(stops), tuple(refused))


def _ways(wish: TemplateWish) -> tuple[Way, ...]:
    """Name ways to have all templates made: another bush, what is given left to camtools, a larger sheet; or to do without some."""
    bushes = (
        () if wish.bushes_mm is None else puts("templates.bushes[]", *(size for size in COMMON_BUSHES_MM if size not in wish.bushes_mm))
    )
    given = (puts(f"templates.{key}", None) for key in ("bushes", "bush_wall", "comb", "guide", "guide_radius", "guide_inset"))
    guides = (Change("templates.guide"), Change("templates.guide_radius"))
    sheets = puts("templates.sheet", *(tuple(round(part * size) for size in wish.sheet_mm) for part in (1.5, 2, 3)), None)
    kerfs = puts("templates.kerf", *(kerf for kerf in (0.2, 0.1) if kerf < wish.kerf_mm))
    return (*bushes, *(way for ways in given for way in ways), guides, *sheets, *kerfs, *puts("templates.leave_out", True))


@contextmanager
def _collected(refused: list[Fault], own: NamedJoint | None = None) -> Iterator[None]:
    """Go on after what can not be made, and keep why; of a joint, say which its code stands for."""
    try:
        yield
    except CannotCut as error:
        kind = "half-blind" if own and isinstance(own.joint, HalfBlind) else "through"
        joint = f", for the {kind} joint of {named_drawers(own.drawers)}" if own else ""
        refused += (replace(fault, where=f"{fault.where}{joint}") for fault in error.faults)


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


def _combs_for(joint: HalfBlind | Through) -> list[tuple[str, Cutter, Callable[[Bush, str], Comb]]]:
    """Return what the combs of a joint guide, which cutter, and what makes each for a bush under a name."""
    tails = ("tails", joint.dovetail, partial(tails_comb, joint))
    if isinstance(joint, HalfBlind):
        return [tails, ("sockets", joint.dovetail, partial(sockets_comb, joint))]
    return [tails, ("pins", joint.straight, partial(pins_comb, joint))]


def _guide(joints: Sequence[NamedJoint], bushes: Mapping[Cutter, Bush], wish: TemplateWish) -> Guide | None:
    """Return the guides asked for, or those that cut the commonest half-blind tail; None where there is no such joint."""
    blind = [named.joint for named in joints if isinstance(named.joint, HalfBlind)]
    if not blind:
        return None
    tails = Counter(round(tail.width_mm, 2) for joint in blind for tail in joint.tails)
    common = min(tails, key=lambda width: (-tails[width], width))
    joint = next(joint for joint in blind if any(round(tail.width_mm, 2) == common for tail in joint.tails))
    fitting = guide_for(joint, common, bushes[joint.dovetail].diameter_mm)
    width = fitting.width_mm if wish.guide_mm is None else wish.guide_mm
    radius = min(fitting.radius_mm, width / 2) if wish.guide_radius_mm is None else wish.guide_radius_mm
    if width < _GUIDE_MM:
        raise CannotCut(Fault("spacers", "no guide is left beside this bush", mm(width), f"at least {mm(_GUIDE_MM)}"))
    return replace(fitting, width_mm=width, radius_mm=radius)


def _stops(drawers: Sequence[Drawer]) -> list[NamedStop]:
    found: dict[tuple[Role, float, StopSetting], list[str]] = {}
    for drawer in drawers:
        for board in drawer.boards:
            piece = board.piece
            if piece.groove is not None:
                setting = stops_for(piece, piece.groove, board.to_drawer)
                found.setdefault((piece.role, piece.size_mm[0], setting), []).append(drawer.name)
    return [NamedStop(role, length, tuple(names), setting) for (role, length, setting), names in found.items()]
