"""The boards of a drawer and the joints they carry, as values that geometry and toolpaths read.

Frames are those of the board: ``u`` along the length, ``v`` across the width from the reference edge,
``w`` through the thickness from the outside face. ``to_drawer`` maps them to the drawer's X, Y, Z.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, get_args

from camtools.job.job import Cutter
from camtools.wording import mm

__all__ = [
    "ROLES",
    "Affine",
    "Board",
    "Corners",
    "Drawer",
    "Flat",
    "Groove",
    "HalfBlind",
    "Nicks",
    "Notch",
    "Note",
    "Piece",
    "Role",
    "Season",
    "Slot",
    "Tail",
    "TailedJoint",
    "Through",
    "TrialCuts",
    "corners_told",
]

Role = Literal["front", "back", "left side", "right side", "bottom"]
ROLES: tuple[Role, ...] = get_args(Role)  # in the order of lists
Affine = tuple[tuple[float, float, float, float], tuple[float, float, float, float], tuple[float, float, float, float]]


@dataclass(frozen=True, slots=True)
class Note:
    """Something the maker should know: a choice made, or a warning."""

    kind: Literal["choice", "warning"]
    where: str
    text: str


@dataclass(frozen=True, slots=True)
class Season:
    """What a drawer's boards come to at a moisture content of their wood, in mm."""

    moisture_percent: float
    front_mm: float  # height of the front
    side_mm: float
    back_mm: float
    above_mm: float | None  # room above the highest board; None where the opening is not given
    bottom_mm: float  # of the bottom, from front to rear
    bottom_room_mm: float  # by how much it may still grow there: to the grooves' floors, or to the outside face of a raised back
    bottom_play_mm: float | None  # of its thickness in the grooves; None of plywood, which keeps it


@dataclass(frozen=True, slots=True)
class Layout:
    """A number of tails that was thought of for a drawer: the widths it gives in mm, none where it can not be cut, and why it is so."""

    count: int
    tails_mm: tuple[float, ...]
    pins_mm: tuple[float, ...]
    half_pin_mm: float | None
    chosen: bool
    why: str


@dataclass(frozen=True, slots=True)
class Tail:
    """A tail across the joint: its middle from the side's reference edge, and its width at the tip plane.

    The tip plane is the end of a half-blind tail; of a through tail the back's outside face (a proud end lies beyond it).
    """

    middle_mm: float
    width_mm: float

    @property
    def low_mm(self) -> float:
        return self.middle_mm - self.width_mm / 2

    @property
    def high_mm(self) -> float:
        return self.middle_mm + self.width_mm / 2


@dataclass(frozen=True, slots=True)
class Flat:
    """How a joint is cut where no board can stand upright. docs/joinery.md section 12."""

    straight: Cutter  # for the tails
    below_mm: float  # how deep cutters go into the waste sheet under the boards

    def notch_mm(self, angle_deg: float) -> float:
        """How far the relief of a corner between flank and shoulder is cut into both."""
        return self.straight.diameter_mm / 2 * (1 - math.sin(math.radians(45.0 - angle_deg / 2)))

    def opens_mm(self, angle_deg: float) -> float:
        """Over what length it opens each of them, from the corner: the cutter comes along the bisector, as wide as it is."""
        return self.straight.diameter_mm / 2 / math.sin(math.radians(45.0 - angle_deg / 2))


@dataclass(frozen=True, slots=True)
class TailedJoint:
    """What both joints of a side have."""

    tails: tuple[Tail, ...]  # from the side's reference edge up
    width_mm: float  # of the side, across the joint
    side_mm: float
    clearance_mm: float
    light_pass_mm: float
    dovetail: Cutter
    rough: Cutter | None  # straight cutter that goes first, or None
    rough_stock_mm: float
    flat: Flat | None = field(default=None, kw_only=True)  # None: tails, and a through joint's pins, are cut upright


@dataclass(frozen=True, slots=True)
class HalfBlind(TailedJoint):
    """The joint of a side with the front. docs/joinery.md section 5."""

    front_mm: float
    lap_mm: float
    free_depth_mm: float

    @property
    def length_mm(self) -> float:
        """Tail length h."""
        return self.front_mm - self.lap_mm

    @property
    def play_mm(self) -> float:
        """How far a socket's wall lies from its tail's flank, each at its widest."""
        return self.dovetail.play_mm(self.clearance_mm, self.free_depth_mm)

    @property
    def relief_mm(self) -> float:
        """How far a socket's end is cut into the pins beside it, where its tail's corners are square."""
        return 0.0 if self.flat is None else self.dovetail.relief_mm(self.clearance_mm, self.length_mm + self.free_depth_mm)


@dataclass(frozen=True, slots=True)
class Through(TailedJoint):
    """The joint of a side with the back. docs/joinery.md section 6."""

    raise_mm: float  # of the back's reference edge over the side's; above 0 the lowest tail runs down to the edge
    back_mm: float
    proud_mm: float
    straight: Cutter

    @property
    def length_mm(self) -> float:
        """Tail length h, proud end included."""
        return self.back_mm + self.proud_mm

    @property
    def laid(self) -> HalfBlind:
        """The sockets of a back that lies flat: those of a front without a lap, whose free depth is in the waste sheet."""
        if self.flat is None:
            raise ValueError("this joint is cut upright")
        return HalfBlind(
            tails=tuple(replace(tail, middle_mm=tail.middle_mm - self.raise_mm) for tail in self.tails),
            width_mm=self.width_mm - self.raise_mm,
            side_mm=self.side_mm + self.proud_mm,
            clearance_mm=self.clearance_mm,
            light_pass_mm=self.light_pass_mm,
            dovetail=self.dovetail,
            rough=self.rough,
            rough_stock_mm=self.rough_stock_mm,
            front_mm=self.back_mm,
            lap_mm=0.0,
            free_depth_mm=self.flat.below_mm,
            flat=self.flat,
        )


@dataclass(frozen=True, slots=True)
class Groove:
    """The bottom's groove in the inside face of one board."""

    edge_mm: float  # near wall, from this board's reference edge
    width_mm: float
    depth_mm: float
    start_mm: float  # along u: where the round end begins; below 0 it runs out through the end
    stop_mm: float  # along u: where the other round end finishes; beyond the length it runs out
    cutter: Cutter


@dataclass(frozen=True, slots=True)
class Notch:
    """How both front or both rear corners of the bottom are cut back, so that it clears the ends of the grooves.

    Two rectangles are taken off, one along the side edge and one along the front or rear edge; where they are one, it is square.
    """

    end: Literal["front", "rear"]
    side_mm: float  # along the side edge, from the corner
    side_deep_mm: float
    end_mm: float  # along the front or rear edge
    end_deep_mm: float

    @property
    def stepped(self) -> bool:
        return max(abs(self.side_mm - self.end_deep_mm), abs(self.end_mm - self.side_deep_mm)) > 1e-6

    def told(self, end: str) -> str:
        """Return it in words; ``end`` is what the edge is called that is not a side's."""
        if not self.stepped:
            return f"one square notch, {mm(self.side_mm)} along the side edge and {mm(self.end_mm)} along the {end} edge"
        return (
            f"a stepped notch, {mm(self.side_deep_mm)} deep over {mm(self.side_mm)} along the side edge, and {mm(self.end_deep_mm)} deep "
            f"over {mm(self.end_mm)} along the {end} edge"
        )


def corners_told(notches: Sequence[Notch]) -> str:
    """Return how a bottom's corners are cut back, in words: all at once where they are alike."""
    if len({replace(notch, end="front") for notch in notches}) == 1 < len(notches):
        return f"at every corner {notches[0].told('front or rear')}"
    return "; ".join(f"at each {notch.end} corner {notch.told(notch.end)}" for notch in notches)


@dataclass(frozen=True, slots=True)
class Corners:
    """How the corners of a bottom are cut back to its outline, where a program does it; those on the left and on the right are alike."""

    notches: tuple[Notch, ...]  # front and rear
    cutter: Cutter
    below_mm: float  # how deep it goes into the waste sheet under the board
    light_mm: float  # depth of a first pass that leaves fibres whole; 0 for none


@dataclass(frozen=True, slots=True)
class Nicks:
    """Shallow nicks beside a socket of a trial board, which count its step and can be felt."""

    middle_mm: float  # across the joint, from the reference edge
    count: int
    pitch_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True)
class Slot:
    """A slot in the right end of a trial front that a cutter makes in a single line, to be measured."""

    middle_mm: float  # from the reference edge
    depth_mm: float
    length_mm: float  # how far the cutter's axis goes in from the end
    cutter: Cutter


@dataclass(frozen=True, slots=True)
class TrialCuts:
    """What makes a board one of a trial: front and back bear a joint at the left end alone, with nicks."""

    nicks: tuple[Nicks, ...] = ()
    slots: tuple[Slot, ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """A board before it has a place in a drawer: equal pieces are cut by the same programs."""

    role: Role
    size_mm: tuple[float, float, float]  # length, width, thickness
    half_blind: HalfBlind | None = None  # at u = 0 of a side; at both ends of a front
    through: Through | None = None  # at u = length of a side; at both ends of a back
    groove: Groove | None = None
    outline: tuple[tuple[float, float], ...] = ()  # (u, v) where the board is not a plain rectangle
    corners: Corners | None = None  # None: sawn by hand
    right: HalfBlind | Through | None = None  # at the right end of a front or back, where that is unlike its left end
    trial: TrialCuts | None = None  # None: a board of a drawer


@dataclass(frozen=True, slots=True)
class Board:
    """A piece in its place."""

    id: str
    piece: Piece
    to_drawer: Affine
    count: int
    wood: str = ""  # or "plywood"
    planned_mm: tuple[float, float, float] | None = None  # length, width, thickness before it was measured; None: it was not


@dataclass(frozen=True, slots=True)
class Drawer:
    """One kind of drawer, worked out."""

    id: str
    name: str
    count: int
    outside_mm: tuple[float, float, float]  # width, depth without proud ends, height
    opening_mm: tuple[float, float, float] | None  # width, height, depth
    front: Board
    back: Board
    left: Board
    right: Board
    bottom: Board
    notes: tuple[Note, ...]
    show_front_mm: tuple[float, float, float] | None = None  # of a board laid over the front: length, width, thickness
    seasons: tuple[Season, ...] = ()  # driest, now, dampest
    layouts: tuple[Layout, ...] = ()  # every number of tails that may be thought of, and the first that has no room
    notches: tuple[Notch, ...] = ()  # of the bottom's corners, front and rear
    planned_mm: tuple[float, float, float] | None = None  # its outside before its boards were measured; None: they were not

    @property
    def boards(self) -> tuple[Board, Board, Board, Board, Board]:
        return (self.front, self.back, self.left, self.right, self.bottom)
