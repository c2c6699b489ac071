"""The two files that describe a packet: ``manifest.json``, the contract, and ``limits.json``, what its programs must keep to.

The manifest alone, with the programs, is enough to carve the boards and put the drawers together. The limits add what a
judge needs: how fast, how deep, how far, how tight. Units are mm, degrees, rpm and mm/min, whatever the programs' units are.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, Strict

__all__ = [
    "BoardEntry",
    "DrawerEntry",
    "Limits",
    "LoadingEntry",
    "Manifest",
    "OnlyEntry",
    "ProgramEntry",
    "ProgramLimits",
    "ToolEntry",
    "ToolLimits",
    "TrialEntry",
    "TrialStep",
    "ZoneEntry",
]

Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]
Count = Annotated[int, Field(ge=1)]
Triple = tuple[float, float, float]
Row = tuple[float, float, float, float]
Matrix = tuple[Row, Row, Row]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", allow_inf_nan=False, frozen=True, strict=True)


class ToolEntry(_Strict):
    """A cutter's shape."""

    number: Annotated[int, Field(ge=0)]
    kind: Literal["dovetail", "straight"]
    diameter: Positive
    half_angle: NotNegative
    cutting_length: Positive
    shank: Positive


class PartsEntry(_Strict):
    """Which board stands where in a drawer."""

    front: str
    back: str
    left: str
    right: str
    bottom: str


class DrawerEntry(_Strict):
    """A drawer: how many, its outside width, depth and height, its boards."""

    id: str
    count: Count
    outside: tuple[Positive, Positive, Positive]
    parts: PartsEntry


class BoardEntry(_Strict):
    """A board as it comes to the machine: length, width, thickness, and its place in the drawer."""

    id: str
    role: Literal["front", "back", "left side", "right side", "bottom"]
    size: tuple[Positive, Positive, Positive]
    count: Count
    to_drawer: Matrix
    outline: list[tuple[float, float]] | None = None
    wood: str | None = None  # or "plywood"


class ProgramEntry(_Strict):
    """A program: what it cuts, on which board, held how, with which cutters. Equal boards name the same file."""

    file: str
    board: str
    hold: Literal["upright", "flat"]
    stop: Literal["left", "right"]
    work_offset: Literal["G54", "G55", "G56", "G57", "G58", "G59"]
    to_machine: Matrix
    tools: list[int]
    kind: Literal["cut", "dry run", "outline"]
    seconds: NotNegative
    order: Count
    backing: Count = 1  # upright, the strip of backing at this stop: another number stands for a fresh one, or for fresh wood of it

    @property
    def only_tool(self) -> int:
        """Return the number of its cutter, which it runs with though it may name none; 0 where it has several."""
        return self.tools[0] if len(self.tools) == 1 else 0


class Manifest(_Strict):
    """``manifest.json``."""

    manifest: Literal[1]
    job: str
    generator: str
    units: Literal["mm"]
    tools: list[ToolEntry]
    drawers: list[DrawerEntry]
    boards: list[BoardEntry]
    programs: list[ProgramEntry]


class ToolLimits(_Strict):
    """What a cutter may do."""

    number: Annotated[int, Field(ge=0)]
    max_speed: Positive  # rpm, marked on the cutter, or assumed where the job file has no mark
    max_feed: Positive
    depth_per_pass: Positive | None  # None: full depth in one pass, entered sideways
    plunges: bool
    stick_out: Positive  # tip to the underside of the nut
    holder: Positive  # largest diameter of the nut


class MachineLimits(_Strict):
    """What the machine may do."""

    travel: tuple[Positive, Positive, Positive]
    min_speed: NotNegative
    max_speed: Positive
    max_feed: Positive
    rapid: Positive
    acceleration: Positive
    clearance: Positive  # height above the work at which traverses are safe
    retract: Positive  # height above the work at which programs start, stop and end
    upright_stops: tuple[NotNegative, NotNegative] | None = None  # X of left and right stop from the left end of travel; None: not known
    upright_plate: NotNegative | None = None  # Y of the upright plate's face from the near end of travel
    flat_stops: tuple[NotNegative, NotNegative] | None = None
    flat_fence: NotNegative | None = None  # Y of the fence's face
    spindle_diameter: Positive = 80.0  # of the body over the nut
    nut_height: NotNegative = 25.0  # from the underside of the nut to that of the body


class ZoneEntry(_Strict):
    """A box that nothing may enter, in the program's machine frame."""

    name: str
    low: Triple
    high: Triple


class ProgramLimits(_Strict):
    """What surrounds the board of one program."""

    file: str
    backing: NotNegative  # renewable wood beyond Y0 that a cutter may run into, upright only
    spoilboard: NotNegative  # how deep a cutter may go below the board, flat only
    zones: list[ZoneEntry]
    slid: NotNegative = 0.0  # how far beyond X0 the board stands, where a groove is cut in several settings


class JointLimits(_Strict):
    """How a drawer's joints and bottom are to fit."""

    drawer: str
    flank: NotNegative  # clearance at each flank of the half-blind joints, in the plane of the face
    through_flank: NotNegative | None = None  # and of the through joints; None: the same
    tip: NotNegative  # free depth under the half-blind tails
    lap: Positive
    proud: NotNegative
    back: Literal["full", "raised"]
    bottom_play: NotNegative  # groove width less panel thickness
    bottom_held: list[Literal["front", "back", "left", "right"]]
    opening: tuple[Positive, Positive, Positive] | None  # width, height, depth
    front: Literal["inset", "overlay"]
    planned: tuple[Positive, Positive, Positive] | None = None  # width, depth, height before boards were measured

    @property
    def flanks(self) -> tuple[float, float]:
        """Clearance at each flank of the half-blind and of the through joints."""
        return self.flank, self.flank if self.through_flank is None else self.through_flank


class LoadingEntry(_Strict):
    """Boards that stand on the machine at once: the programs that cut them, in order, the file that runs these, and how often it is run.

    Of two programs the first cuts the board at the left stop. One board is cut from its program's own file, and has dry runs of its own.
    """

    file: str
    programs: Annotated[tuple[str, ...], Field(min_length=1, max_length=2), Strict(False)]
    times: Count
    seconds: NotNegative
    outline: str = ""  # of two boards, the outline of the motion
    dry: str = ""  # and the whole motion, above all that stands there
    dry_seconds: NotNegative = 0.0  # of both
    stacked: Annotated[tuple[Count, ...], Strict(False)] = ()  # boards one behind the other that each program cuts, where several are

    def boards_of(self, place: int) -> int:
        """Return how many boards stand where one of its programs cuts."""
        return self.stacked[place] if place < len(self.stacked) else 1


class OnlyEntry(_Strict):
    """What a packet is for where it is for one thing only: boards by id, each with the end that is cut, or all of it."""

    name: str  # as the maker calls it
    pieces: list[tuple[str, Literal["", "u=0", "u=L", "groove"]]]


class TrialStep(_Strict):
    """A step of trial joints: the sockets of front and back that are cut for it."""

    number: Count  # as many nicks count it
    clearance: NotNegative  # at each flank
    in_front: float  # by how much higher than in its own place the side is pushed into the front's socket
    in_back: float  # and over the back's


class TrialGroove(_Strict):
    """A groove that is tried, in one of the boards."""

    number: Count
    board: str
    play: NotNegative  # its width less the panel's thickness


class TrialSlot(_Strict):
    """A slot in the right end of the front that a cutter makes in one line: its mouth tells the cutter's size."""

    tool: int
    middle: float  # from the reference edge
    depth: Positive


class TrialEntry(_Strict):
    """Boards that try the joints of some drawers of the job. They are in no drawer; ``to_drawer`` places them as in the first of these."""

    drawers: list[Count]  # places in the job file, from 1
    front: str
    back: str
    side: str
    tip: NotNegative  # as those of a drawer's joints
    lap: Positive
    proud: NotNegative
    steps: list[TrialStep]
    grooves: list[TrialGroove]
    slots: list[TrialSlot]

    @property
    def boards(self) -> tuple[str, str, str]:
        """Ids of its boards."""
        return self.front, self.back, self.side


class RoundEntry(_Strict):
    """A text that runs setups in a row, each as often as it comes, and stops between them for the boards to be changed."""

    file: str
    first: Annotated[int, Field(ge=0)]  # place of the first one among the loadings
    count: Count  # of loadings


class Limits(_Strict):
    """``limits.json``."""

    limits: Literal[1]
    machine: MachineLimits
    tools: list[ToolLimits]
    programs: list[ProgramLimits]
    joints: list[JointLimits]
    loadings: list[LoadingEntry] = []  # every setup, in the order of work
    rounds: list[RoundEntry] = []
    only: OnlyEntry | None = None  # programs that are not of it stand in the folder ``proof`` and are not run
    trials: list[TrialEntry] = []  # of a packet of trial joints, which has no drawers
