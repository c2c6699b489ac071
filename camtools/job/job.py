"""What a job file says, once it is valid: frozen values in mm and degrees."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

__all__ = [
    "PARTS",
    "AnswerUse",
    "Cutter",
    "DrawerWish",
    "Fit",
    "GrooveWish",
    "Job",
    "JointWish",
    "Machine",
    "MeasuredDrawer",
    "Part",
    "Stock",
    "TemplateWish",
    "TrialWish",
    "radius_of",
]


@dataclass(frozen=True, slots=True)
class Stock:
    """Measured thickness of each kind of board, and what the wood is."""

    front_mm: float
    side_mm: float
    back_mm: float
    bottom_mm: float
    front_wood: str  # a row of the movement tables, or a name of our own for "unknown"
    side_wood: str
    back_wood: str
    sawn: Literal["flat", "quarter"]
    bottom_kind: Literal["plywood", "solid"]
    bottom_wood: str  # used where the bottom is solid
    driest_percent: float  # moisture content of the wood in the driest season
    dampest_percent: float  # and in the dampest
    now_percent: float  # and on the day it is worked
    spare_length_mm: float = 25.0  # by how much longer, wider and thicker a board is sawn out than it will be
    spare_width_mm: float = 6.0
    spare_thickness_mm: float = 5.0
    kerf_mm: float = 3.0  # that the saw takes away

    def wood_of(self, role: str) -> str:
        """Return what a board is of, by its role such as "left side": a wood, or "plywood"."""
        if role == "bottom":
            return self.bottom_wood if self.bottom_kind == "solid" else self.bottom_kind
        return {"front": self.front_wood, "back": self.back_wood}.get(role, self.side_wood)


def radius_of(diameter_mm: float, angle_deg: float, height_mm: float) -> float:
    """Radius of a cutting edge at a height above the tip, within the cutting length. docs/joinery.md section 4."""
    return diameter_mm / 2 - height_mm * math.tan(math.radians(angle_deg))


@dataclass(frozen=True, slots=True)
class Cutter:
    """A cutter in its holder with the settings it runs at."""

    number: int
    kind: Literal["dovetail", "straight"]
    diameter_mm: float  # largest
    angle_deg: float  # flank from the axis; 0 for a straight cutter
    cutting_length_mm: float
    shank_mm: float
    flutes: int
    speed_rpm: float
    max_speed_rpm: float  # marked on the cutter, or assumed
    feed_mm_min: float
    plunge_mm_min: float  # feed down a ramp or a plunge
    depth_per_pass_mm: float  # straight cutters; a dovetail cutter always cuts at full depth
    plunges: bool  # cuts to its centre, so it may go straight down into wood
    stick_out_mm: float  # from the tip to the underside of the collet nut
    holder_mm: float  # largest diameter of nut or holder
    assumed: tuple[str, ...] = ()  # keys that could be read off the cutter and were not written: camtools assumes them
    marked: tuple[float, float] | None = None  # diameter and angle that are marked on it, where it was measured since

    @property
    def chip_mm(self) -> float:
        """Feed of each edge in a turn."""
        return self.feed_mm_min / (self.speed_rpm * self.flutes)

    @property
    def most_told(self) -> str:
        """Return its largest speed as a maker should take it: a mark, or an assumption."""
        return f"{self.max_speed_rpm:g} rpm {'assumed' if 'max_speed' in self.assumed else 'marked'}"

    @property
    def mark(self) -> tuple[float, float]:
        """Diameter in mm and angle in degrees that are marked on it."""
        return self.marked or (self.diameter_mm, self.angle_deg)

    @property
    def slope(self) -> float:
        """Tangent of the flank's angle: how much the radius falls for each mm of height."""
        return math.tan(math.radians(self.angle_deg))

    def radius_at(self, height_mm: float) -> float:
        """Radius of the cutting edge at a height above the tip, within the cutting length."""
        return radius_of(self.diameter_mm, self.angle_deg, height_mm)

    def play_mm(self, clearance_mm: float, free_depth_mm: float) -> float:
        """How far a wall of a half-blind socket lies from its tail's flank, both at their widest: the socket is cut deeper."""
        return clearance_mm + free_depth_mm * self.slope

    def relief_mm(self, clearance_mm: float, depth_mm: float) -> float:
        """How far beyond each wall a socket's end is cut so that a square tail goes in: half the clearance is left at its corner.

        The corner lies ``r - c`` further in than the axis on its last line, and as far beside it, ``r`` the radius at the socket's
        mouth; it is to stay ``r - c / 2`` from the axis at most. docs/joinery.md section 12.
        """
        r, c = self.radius_at(depth_mm), clearance_mm
        return max(0.0, r - c - math.sqrt(max(0.0, c * (r - 0.75 * c))))


@dataclass(frozen=True, slots=True)
class Handling:
    """Minutes that handling takes. Common practice, no source."""

    setup_min: float = 1.0  # of every setup: clamps opened and closed, the program started
    board_min: float = 1.0  # of each board: taken off, the next pushed to its stop
    zero_min: float = 1.0  # to set Z zero once
    hold_min: float = 2.0  # from upright work to flat, or back


@dataclass(frozen=True, slots=True)
class Machine:
    """What the machine can do, and how boards are held on it."""

    travel_mm: tuple[float, float, float]
    min_speed_rpm: float
    max_speed_rpm: float
    max_feed_mm_min: float
    rapid_mm_min: float
    acceleration_mm_s2: float
    clearance_mm: float  # height of traverses above the work
    retract_mm: float  # height above the work, clear of all on the machine: programs start, stop and end there, cutters are changed there
    spin_up_s: float  # dwell after the spindle starts
    tool_change_s: float  # for the estimate of time
    holds: tuple[Literal["upright", "flat"], ...]
    backing_mm: float  # thickness of the renewable piece on the upright plate's face that a cutter may run into
    upright_stop_below_mm: float  # how far the top of the upright hold's stop lies below the end worked
    upright_stops_mm: tuple[float, float] | None  # X of the left and right stop from the left end of travel; None: not known
    upright_plate_mm: float | None  # Y of the upright plate's face from the near end of travel
    flat_stops_mm: tuple[float, float] | None  # as the upright ones
    flat_fence_mm: float | None  # Y of the fence's face
    flat_stop_mm: float  # height of the flat hold's stop and fence above the bed
    clamp_height_mm: float  # of the flat hold's clamps above the board's face
    clamp_from_end_mm: float  # least distance of such a clamp from the end worked
    clamp_from_groove_mm: float  # and from the far wall of a groove
    waste_depth_mm: float  # how deep a cutter goes into the waste sheet under a flat board that it cuts through
    postprocessor: str  # name of a shipped dialect or the path of a file
    power_w: float | None = None  # of the spindle; None: not known
    spindle_diameter_mm: float = 80.0  # diameter of its body, which stands over everything from the nut up
    nut_height_mm: float = 25.0  # from the underside of the collet nut to the underside of the spindle's body
    handling: Handling = Handling()
    height_stop: bool = False  # a bar over the upright plate brings the ends of all upright boards to one height
    two_at_once: bool = True  # both stops of a hold take a board at once, where two fit
    stack_mm: float | None = None  # thickness of equal sides that the upright hold clamps together; None: they come one by one

    @property
    def flat_only(self) -> bool:
        """Whether it can hold boards flat and not upright, so that every joint is cut flat."""
        return "flat" in self.holds and "upright" not in self.holds


@dataclass(frozen=True, slots=True)
class JointWish:
    """How the joints of a drawer are to be."""

    lap_mm: float  # wood in front of the half-blind tails
    style: str  # a registered layout style
    tails: int | None  # number asked for, or None: chosen
    tail_mm: float | None  # standard tail at its tip
    pin_mm: float | None  # standard pin at its narrowest
    half_pin_mm: float | None  # at its narrowest
    clearance_mm: float  # at each flank of the half-blind joint, in the plane of the face
    through_clearance_mm: float  # and of the through joint
    free_depth_mm: float  # under the tips of half-blind tails
    proud_mm: float  # ends of through tails and pins, planed off after gluing
    rough: bool  # clear the waste with a straight cutter first
    rough_stock_mm: float  # left on every face by roughing
    light_pass_mm: float  # depth of the first pass along an edge where fibres would break out
    dovetail: int  # number of the cutter for tails and half-blind sockets
    straight: int  # number of the cutter for through pins and roughing

    @property
    def clearances_mm(self) -> tuple[float, float]:
        """Of half-blind and of through joints."""
        return self.clearance_mm, self.through_clearance_mm


@dataclass(frozen=True, slots=True)
class GrooveWish:
    """The groove that holds the bottom."""

    edge_mm: float  # from the reference edge to the groove's near wall
    depth_mm: float
    play_mm: float  # groove width less panel thickness
    ends: Literal["stopped", "hidden"]  # short of the joints, or run on where tail and socket hide it
    stop_mm: float  # wood between the inside corner and a stopped groove's end
    cutter: int  # number of the straight cutter
    bottom_corners: Literal["hand", "machine"]  # who cuts the bottom's corners back


@dataclass(frozen=True, slots=True)
class Fit:
    """How the drawer sits in its opening."""

    front: Literal["inset", "overlay"]
    side_mm: float  # clearance at each side
    above_mm: float | None  # clearance above; None: from wood movement
    behind_mm: float  # clearance behind
    reveal_mm: float  # how far an inset front stands behind the case's face
    overlay_side_mm: float  # how far an overlaid front covers the case at each side
    overlay_above_mm: float
    overlay_below_mm: float
    back: Literal["full", "raised"]  # full height, or raised with the bottom slid in under it
    finish_mm: float  # left on each side for planing to fit

    def drawer_mm(self, opening_mm: tuple[float, float, float]) -> tuple[float, float, float]:
        """Return width, height and depth that the clearances leave; the whole height where wood movement decides on it."""
        wide, high, deep = opening_mm
        width = wide - 2 * self.side_mm + 2 * self.finish_mm
        return width, high - (self.above_mm or 0.0), deep - self.behind_mm - (self.reveal_mm if self.front == "inset" else 0.0)


@dataclass(frozen=True, slots=True)
class TemplateWish:
    """What templates for routing by hand are to be like. None: chosen from the joints."""

    bushes_mm: tuple[float, ...] | None  # outside diameters of the guide bushes there are; None: the common ones
    bush_wall_mm: float
    comb_mm: float  # thickness of the combs; more than the bush is long
    kerf_mm: float  # width that is burned away; 0: lines are drawn where they are
    guide_mm: float | None  # width of the movable guides of a template
    guide_radius_mm: float | None  # of their front corners
    guide_inset_mm: float | None  # of the first and last of them from the board's edges
    sheet_mm: tuple[float, float]  # length and width
    dxf: Literal["R2000", "R12"]
    text: Literal["strokes", "outlines"]
    leave_out: bool  # what can not be made, instead of refusing the whole


Part = Literal["front", "back", "left", "right", "bottom"]
PARTS: tuple[Part, ...] = get_args(Part)
Cells = tuple[float | None, float | None, float | None]


@dataclass(frozen=True, slots=True)
class MeasuredDrawer:
    """One drawer, no kind of drawers, whose boards were measured one by one."""

    entry: int  # of the job file's drawers, from 1
    copy: int  # of that, from 1
    copies: int
    boards: Mapping[Part, Cells]  # length, width and thickness in mm; None where it is as planned

    @property
    def id(self) -> str:
        """Its name in lists, and the beginning of its boards' marks."""
        return f"d{self.entry}" if self.copies == 1 else f"d{self.entry}-{self.copy}"

    def mark(self, part: Part) -> str:
        """Return what is written on a board, so that it is known again."""
        return f"{self.id}-{part}"


@dataclass(frozen=True, slots=True)
class TrialWish:
    """What trial joints are cut at; a step's number is its place here, from 1. Each step is looser than the one before."""

    clearances_mm: tuple[float, ...]  # at each flank, of both joints
    groove_plays_mm: tuple[float, ...]  # groove width less panel thickness


@dataclass(frozen=True, slots=True)
class DrawerWish:
    """One kind of drawer, with the values that it shares with the others already applied."""

    name: str
    count: int
    opening_mm: tuple[float, float, float] | None  # width, height, depth of the opening
    outside_mm: tuple[float, float, float] | None  # width, height, depth of the drawer without proud ends
    stock: Stock
    joint: JointWish
    groove: GrooveWish
    fit: Fit
    row: str | None = None  # its fronts are sawn from one board, from left to right
    family: bool = True  # shares its look with the other drawers
    measured: MeasuredDrawer | None = None

    @property
    def depths_mm(self) -> tuple[float, float, float]:
        """How deep half-blind sockets, through tails and through pins are cut."""
        stock, joint = self.stock, self.joint
        return stock.front_mm - joint.lap_mm + joint.free_depth_mm, stock.back_mm + joint.proud_mm, stock.side_mm + joint.proud_mm

    @property
    def groove_top_mm(self) -> float:
        """Height of the groove's far wall over the drawer's lower edge, where a raised back begins."""
        return self.groove.edge_mm + self.stock.bottom_mm + self.groove.play_mm


@dataclass(frozen=True, slots=True)
class AnswerUse:
    """An answer of the maker: what it says, in words, and what became of it."""

    key: str  # of the job file that it sets
    words: str
    date: datetime.date | None = None  # when it was found
    value: str = ""  # that it sets; nothing where it is not used
    why: str = ""  # it is not
    drawers: tuple[str, ...] = ()  # names of those that this is so for; none: the whole job
    number: int = 0  # by which it can be taken back


@dataclass(frozen=True, slots=True)
class Job:
    """A whole job, valid: a piece of furniture's drawers, and what cuts them."""

    title: str
    machine: Machine
    cutters: tuple[Cutter, ...]
    drawers: tuple[DrawerWish, ...]
    trial: TrialWish
    templates: TemplateWish | None = None  # None: the packet holds none
    units: Literal["mm", "in"] = "mm"  # what people read lengths in
    source: bytes = b""  # the job file, byte for byte; empty where the job was not read from one
    answers: tuple[AnswerUse, ...] = ()  # of the maker, with what became of each
    companions: tuple[tuple[str, bytes], ...] = ()  # files beside it that belong to it, byte for byte, by their names in a packet

    @property
    def woods_cut(self) -> tuple[str, ...]:
        """Woods of all that cutters meet, plywood too, in the order of the alphabet."""
        roles = [("front", "left side", "back", *(("bottom",) if one.groove.bottom_corners == "machine" else ())) for one in self.drawers]
        return tuple(sorted({one.stock.wood_of(role) for one, own in zip(self.drawers, roles, strict=True) for role in own}))

    def cutter(self, number: int) -> Cutter:
        """Return the cutter of this number. Raises KeyError where there is none."""
        for cutter in self.cutters:
            if cutter.number == number:
                return cutter
        raise KeyError(number)
