"""The job file as a form: its tables and keys, what may stand in each, and what an editor says of them.

A key bears the name of the field it fills in ``job.py``, without the unit: lengths carry their own.
"""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, Strict, ValidatorFunctionWrapHandler, field_validator

from camtools.job.quantities import Name, acceleration, angle, feed, length, number, temperature

__all__ = [
    "FIRST",
    "SEASONS",
    "UNREAD",
    "WOODS",
    "BoardsForm",
    "ClimateForm",
    "CutterForm",
    "DrawerForm",
    "FitForm",
    "GrooveForm",
    "HandlingForm",
    "JobForm",
    "JointForm",
    "MachineForm",
    "OwnStockForm",
    "StockForm",
    "TemplatesForm",
    "TrialForm",
]

UNREAD: Any = object()  # stands where a value was refused, so that the rest can still be judged

WOODS = ("wood", "front_wood", "side_wood", "back_wood", "bottom_wood")  # keys of the stock; the first for all that is left out

SEASONS = ("driest", "now", "dampest")  # keys of the stock and of its climate

FIRST = {  # keys that a maker has to know of, by table
    "stock": ("front", "side", "back", "bottom", "wood", "sawn", "bottom_kind"),
    "cutters": ("kind", "diameter", "angle", "cutting_length", "shank", "stick_out", "holder", "speed", "max_speed", "feed"),
    "machine": ("travel", "max_speed", "max_feed", "upright_stops", "upright_plate", "flat_stops", "flat_fence", "postprocessor"),
    "joints": ("style", "clearance", "lap", "proud", "rough"),
    "groove": ("edge", "depth", "play", "ends", "bottom_corners"),
    "fit": ("front", "side", "above", "behind", "reveal", "back"),
}

Text = Annotated[str, Name()]
Thickness = Annotated[float, length(3, 60)]
Panel = Annotated[float, length(2, 25)]
Spare = Annotated[float, length(0, 300)]
Cover = Annotated[float, length(0, 30)]
Feed = Annotated[float, feed(20, 30_000)]
Speed = Annotated[float, number(500, 60_000, "rpm")]
Angle = Annotated[float, angle(0, 45)]
Gain = Annotated[float, acceleration(10, 20_000)]
Seconds = Annotated[float, number(0, 600, "seconds")]
Minutes = Annotated[float, number(0, 120, "minutes")]
Percent = Annotated[float, number(1, 28, "% moisture")]
Humidity = Annotated[float, number(5, 95, "% relative humidity")]
Air = Annotated[tuple[Annotated[float, temperature(0, 50)], Humidity], Strict(False)]  # TOML has lists
Place = Annotated[int, Field(ge=1, le=999)]
Sizes = Annotated[list[Annotated[float, length(20, 2000)]], Field(min_length=3, max_length=3)]
Travel = Annotated[list[Annotated[float, length(20, 5000)]], Field(min_length=3, max_length=3)]
Bushes = Annotated[list[Annotated[float, length(5, 80)]], Field(min_length=1, max_length=40)]
Sheet = Annotated[list[Annotated[float, length(50, 5000)]], Field(min_length=2, max_length=2)]
Gaps = Annotated[list[Annotated[float, length(0, 0.3)]], Field(min_length=1, max_length=8)]
Plays = Annotated[list[Annotated[float, length(0, 2)]], Field(min_length=1, max_length=3)]
OnTravel = Annotated[float, length(0, 5000)]
Stops = Annotated[list[OnTravel], Field(min_length=2, max_length=2)]
Holds = Annotated[list[Literal["upright", "flat"]], Field(min_length=1, max_length=2)]


def _says(description: str) -> Any:
    """A key that may be left out."""
    return Field(None, description=description)


class _Table(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False, frozen=True)

    @field_validator("*", mode="wrap")
    @classmethod
    def _pass_unread(cls, value: Any, handler: ValidatorFunctionWrapHandler) -> Any:
        return math.nan if value is UNREAD else handler(value)  # nothing compares with it


class ClimateForm(_Table):
    """Air in which the wood comes to rest: degrees Celsius and % relative humidity. It stands for the moisture of the wood."""

    driest: Air | None = _says("Air of the driest season, such as [21, 30].")
    dampest: Air | None = _says("Air of the dampest season, such as [20, 70].")
    now: Air | None = _says("Air in which the wood lies before it is worked, such as [18, 50].")


class OwnStockForm(_Table):
    """Boards of one drawer, where they differ from the piece's."""

    front: Thickness | None = _says("Thickness of the front, as measured.")
    side: Thickness | None = _says("Thickness of the sides, as measured.")
    back: Thickness | None = _says("Thickness of the back, as measured. Left out: as the sides.")
    bottom: Panel | None = _says("Thickness of the bottom panel, as measured: sheets are thinner than their name.")
    wood: Text | None = _says('Wood of all boards that have none of their own: "European beech", "oak", "unknown hardwood".')
    front_wood: Text | None = _says("Wood of the front. Left out: as wood.")
    side_wood: Text | None = _says("Wood of the sides. Left out: as wood.")
    back_wood: Text | None = _says("Wood of the back. Left out: as wood.")
    sawn: Literal["flat", "quarter"] | None = _says("How the boards are sawn; quarter-sawn boards move about half as much.")
    bottom_kind: Literal["plywood", "solid"] | None = _says("A panel that keeps its size, or solid wood, that moves.")
    bottom_wood: Text | None = _says("Wood of a solid bottom. Left out: as wood.")
    spare_length: Spare | None = _says("How much longer a board is sawn out than it will be.")
    spare_width: Spare | None = _says("How much wider a board is sawn out than it will be, for the plane.")
    spare_thickness: Spare | None = _says("How much thicker the rough board is than the planed one.")
    kerf: Annotated[float, length(0, 10)] | None = _says("Width that the saw takes away.")
    driest: Percent | None = _says("Moisture content of the wood in the driest season, in %.")
    dampest: Percent | None = _says("Moisture content of the wood in the dampest season, in %.")
    now: Percent | None = _says("Moisture content of the wood on the day it is worked, in %.")


class StockForm(OwnStockForm):
    """Thickness of the boards, as measured, and what they are made of."""

    front: Thickness = Field(description="Thickness of the fronts, as measured.")
    side: Thickness = Field(description="Thickness of the sides, as measured.")
    climate: ClimateForm | None = _says("Air of the seasons, in place of the moisture of the wood in them.")
    bottom: Panel = Field(description="Thickness of the bottom panels, as measured: sheets are thinner than their name.")


class CutterForm(_Table):
    """A cutter in its holder, and how it is run."""

    number: Place | None = _says("Its number in the machine. Left out: the first number that is free.")
    kind: Literal["dovetail", "straight"] = Field(description="Dovetail: widest at its tip. Straight: of one diameter.")
    diameter: Annotated[float, length(1, 50)] = Field(description="Largest diameter; of a dovetail cutter at its tip.")
    angle: Angle | None = _says('Dovetail cutters: of the flank from the axis, 5 to 20 degrees, or a slope such as "1:6".')
    cutting_length: Annotated[float, length(2, 80)] = Field(description="Length of the cutting edges, from the tip up.")
    shank: Annotated[float, length(2, 26)] | None = _says("Diameter of the shank, as measured.")
    flutes: Annotated[int, Field(ge=1, le=6)] | None = _says("Number of cutting edges round the cutter.")
    speed: Speed | None = _says("Speed of the spindle with this cutter, rpm.")
    max_speed: Speed | None = _says("Largest speed, rpm: read the mark on its shank.")
    feed: Feed | None = _says("Feed in the cut.")
    plunge: Feed | None = _says("Feed straight down, or down a steep ramp.")
    depth_per_pass: Annotated[float, length(0.1, 50)] | None = _says(
        "Straight cutters: depth of one pass. A dovetail cutter always cuts at full depth."
    )
    plunges: bool | None = _says("Whether a straight cutter cuts to its centre, so that it may go straight down into wood.")
    stick_out: Annotated[float, length(5, 200)] | None = _says("From the tip to the underside of the collet nut.")
    holder: Annotated[float, length(5, 120)] | None = _says("Largest diameter of collet nut and holder.")


class HandlingForm(_Table):
    """Minutes that handling takes, for the estimate of time and the order of work."""

    setup: Minutes | None = _says("Minutes of every setup: clamps opened, chips swept, clamps closed, the program started.")
    board: Minutes | None = _says("Minutes for each board of a setup: taken off, and the next pushed to its stop.")
    zero: Minutes | None = _says("Minutes to set Z zero once.")
    hold: Minutes | None = _says("Minutes to change from upright work to flat, or back.")


class MachineForm(_Table):
    """What the machine can do, and how boards are held on it."""

    travel: Travel | None = _says("Travel in X, Y and Z.")
    min_speed: Speed | None = _says("Slowest speed of the spindle, rpm.")
    max_speed: Speed | None = _says("Fastest speed of the spindle, rpm.")
    max_feed: Feed | None = _says("Largest feed.")
    power: Annotated[float, number(20, 20_000, "W")] | None = _says("Power of the spindle in W, to be held against what cutting needs.")
    rapid: Feed | None = _says("Speed of rapid moves.")
    acceleration: Gain | None = _says("Acceleration, in mm or inches by the second squared, for the estimate of time.")
    clearance: Annotated[float, length(2, 200)] | None = _says("Height above the work at which a cutter traverses.")
    retract: Annotated[float, length(2, 500)] | None = _says(
        "Height above the work, clear of all that stands on the machine: programs start and end there, and cutters are changed there."
    )
    spin_up: Seconds | None = _says("Seconds until the spindle turns at full speed.")
    tool_change: Seconds | None = _says("Seconds it takes to change a cutter, for the estimate of time.")
    handling: HandlingForm | None = _says("Minutes of handling: setup, board, zero and hold.")
    height_stop: bool | None = _says("Whether a bar brings the ends of all upright boards to one height, so that Z is set once a cutter.")
    two_at_once: bool | None = _says("Whether both stops of a hold take a board at once, where two fit.")
    stack: Annotated[float, length(2, 200)] | None = _says(
        "How thick a stack of equal sides the upright hold clamps: through tails of so many are cut together. Left out: board by board."
    )
    holds: Holds | None = _says('How boards can be held: upright, an end up, or flat on the bed. With "flat" alone all is cut flat.')
    backing: Annotated[float, length(3, 100)] | None = _says(
        "Thickness of the renewable piece behind an upright board, that cutters run into."
    )
    upright_stop_below: Annotated[float, length(3, 300)] | None = _says(
        "How far stop and clamps of the upright hold lie below the end that is worked."
    )
    upright_stops: Stops | None = _says(
        "Where boards meet the left and the right stop of the upright hold: X from the left end of the travel."
    )
    upright_plate: OnTravel | None = _says("Where the face of the upright plate stands: Y from the end of the travel nearest to you.")
    flat_stops: Stops | None = _says("Where boards meet the left and the right stop of the flat hold: X from the left end of the travel.")
    flat_fence: OnTravel | None = _says("Where boards meet the fence of the flat hold: Y from the end of the travel nearest to you.")
    flat_stop: Annotated[float, length(1, 60)] | None = _says("Height of stop and fence of the flat hold above the bed.")
    clamp_height: Annotated[float, length(3, 150)] | None = _says("How high the clamps of the flat hold stand above the board's face.")
    clamp_from_end: Annotated[float, length(5, 300)] | None = _says(
        "How far from the end that is worked the clamps of the flat hold stay, at least."
    )
    clamp_from_groove: Annotated[float, length(3, 300)] | None = _says(
        "How far beyond a groove the clamps of the flat hold stay, at least, seen from the fence."
    )
    spindle_diameter: Annotated[float, length(20, 300)] | None = _says("Largest diameter of the spindle's body over the collet nut.")
    nut_height: Annotated[float, length(0, 150)] | None = _says("From the underside of the collet nut up to the spindle's body.")
    waste_depth: Annotated[float, length(0.1, 3)] | None = _says(
        "How deep cutters go into the waste sheet under a flat board that they cut through."
    )
    postprocessor: Annotated[str, Field(min_length=1, max_length=1000)] | None = _says(
        'How programs are written: "mm", "inch" or another that comes with camtools, or the path of a file of your own, from the job file.'
    )


class JointForm(_Table):
    """The joints: half-blind at the front, through at the back."""

    lap: Annotated[float, length(0.5, 30)] | None = _says("Wood left in front of the half-blind tails.")
    style: Annotated[str, Field(min_length=1, max_length=40)] | None = _says("Style of layout.")
    tails: Annotated[int, Field(ge=1, le=60)] | None = _says("Number of tails, which is kept. Left out: chosen.")
    tail: Annotated[float, length(3, 300)] | None = _says(
        "Width of the outermost tails at their tips, where they are widest; it is kept. Left out: chosen."
    )
    pin: Annotated[float, length(1, 300)] | None = _says(
        "Width of the pins where they are narrowest; it is kept, but for gaps that a style opens. Left out: chosen."
    )
    half_pin: Annotated[float, length(1, 300)] | None = _says(
        "Width of the half pins at both edges where they are narrowest; it is kept. Left out: chosen."
    )
    clearance: Annotated[float, length(0, 0.3)] | None = _says("Gap for glue at each flank.")
    through_clearance: Annotated[float, length(0, 0.3)] | None = _says(
        "Gap for glue at each flank of the through joint, where it is not that of the half-blind one."
    )
    free_depth: Annotated[float, length(0, 2)] | None = _says("Room under the tips of half-blind tails, so that the shoulder closes.")
    proud: Annotated[float, length(0, 1)] | None = _says("How far through tails and pins stand out, to be planed off after gluing.")
    rough: bool | None = _says("Whether a straight cutter clears the waste before the dovetail cutter.")
    rough_stock: Annotated[float, length(0.1, 3)] | None = _says("What roughing leaves on every face.")
    light_pass: Annotated[float, length(0, 3)] | None = _says("Depth of a light first pass along an edge that would break out; 0 for none.")
    dovetail: Place | None = _says("Number of the dovetail cutter.")
    straight: Place | None = _says("Number of the straight cutter that cuts the pins of the back, and roughs.")


class GrooveForm(_Table):
    """The groove that holds the bottom."""

    edge: Annotated[float, length(2, 100)] | None = _says("From the drawer's lower edge to the groove's near wall.")
    depth: Annotated[float, length(1, 20)] | None = _says("Depth of the groove.")
    play: Annotated[float, length(0, 2)] | None = _says("How much wider the groove is than the bottom is thick.")
    ends: Literal["stopped", "hidden"] | None = _says("Stopped short of the joints, or run on where a tail and its socket hide it.")
    stop: Annotated[float, length(0, 50)] | None = _says("Wood between the drawer's inside corner and a stopped groove's end.")
    cutter: Place | None = _says("Number of the straight cutter for the groove, and for the bottom's corners.")
    bottom_corners: Literal["hand", "machine"] | None = _says(
        "Who cuts the bottom's corners back: sawn by hand from the drawing, or by a program on the flat hold."
    )


class FitForm(_Table):
    """How a drawer sits in its opening."""

    front: Literal["inset", "overlay"] | None = _says("Front set into the opening, or laid over the case's face.")
    side: Cover | None = _says("Clearance at each side; metal slides want their own, often half an inch (12.7 mm).")
    above: Cover | None = _says("Clearance above. Left out: from the movement of the wood.")
    behind: Annotated[float, length(0, 300)] | None = _says("Clearance behind the drawer.")
    reveal: Cover | None = _says("How far an inset front stands behind the case's face.")
    overlay_side: Cover | None = _says("How far a front laid over covers the case at each side.")
    overlay_above: Cover | None = _says("How far a front laid over covers the case above.")
    overlay_below: Cover | None = _says("How far a front laid over covers the case below.")
    back: Literal["full", "raised"] | None = _says("Back at full height, or raised, with the bottom slid in under it.")
    finish: Annotated[float, length(0, 3)] | None = _says("Left on each side for planing the drawer to its opening.")


class TemplatesForm(_Table):
    """Combs, spacers and gauges for who routs by hand; a packet holds them where the job has this table."""

    bushes: Bushes | None = _says(
        "Outside diameters of your guide bushes; each cutter gets the smallest that it turns in. Left out: the common sizes."
    )
    bush_wall: Annotated[float, length(0.3, 10)] | None = _says("Thickness of a bush's wall.")
    comb: Annotated[float, length(2, 30)] | None = _says("Thickness of the combs; more than a bush is long.")
    kerf: Annotated[float, length(0, 1)] | None = _says(
        "Width that the laser burns away; 0 where who cuts the templates compensates for it, so that lines are drawn where they are."
    )
    guide: Annotated[float, length(2, 200)] | None = _says(
        "Width of the movable guides of a template. Left out: what the commonest tail needs."
    )
    guide_radius: Annotated[float, length(0, 40)] | None = _says(
        "Radius of the guides' front corners. Left out: what the rounded tails need."
    )
    guide_inset: Annotated[float, length(0, 100)] | None = _says(
        "How far first and last guide stand inside the board's edges, 0 for flush. Left out: over the tails."
    )
    sheet: Sheet | None = _says("Length and width of a sheet to cut from.")
    dxf: Literal["R2000", "R12"] | None = _says("Version of the DXF files.")
    text: Literal["strokes", "outlines"] | None = _says("How names are engraved: a line for each stroke, or outlines of letters.")
    leave_out: bool | None = _says("Whether the rest is made where something can not be, instead of refusing the whole.")


class TrialForm(_Table):
    """Steps that trial joints are cut at, before the boards are."""

    clearances: Gaps | None = _says("Gaps at each flank to try, a step each, from the tightest on.")
    groove_plays: Plays | None = _says("How much wider than the bottom is thick to try grooves, from the tightest on.")


class BoardsForm(_Table):
    """Boards as they were measured; layout and programs of each follow its own sizes then."""

    file: Annotated[str, Field(min_length=1, max_length=1000)] = Field(
        description="Path of the sheet that `camtools measure` writes, filled in at the bench, from the job file."
    )


class DrawerForm(_Table):
    """One kind of drawer: its opening or its own size, and what it has of its own."""

    name: Text = Field(description="Its name on programs, lists and pictures; each drawer has another.")
    count: Annotated[int, Field(ge=1, le=1000)] | None = _says("How many of it to make.")
    row: Text | None = _says(
        "Name of the row of the case it stands in: rows from the top, drawers from the left, in the order written. "
        "The fronts of a row are sawn from one board, its grain running on."
    )
    opening: Sizes | None = _says("Width, height and depth of the opening it slides into. Give this or outside.")
    outside: Sizes | None = _says("Width, height and depth of the drawer itself. Give this or opening.")
    family: bool | None = _says("Whether it shares its look, standard tail, pin and half pin, with the other drawers. Left out: it does.")
    stock: OwnStockForm | None = _says("Boards that differ from the piece's.")
    joints: JointForm | None = _says("Joints that differ from the piece's.")
    groove: GrooveForm | None = _says("A groove that differs from the piece's.")
    fit: FitForm | None = _says("A fit that differs from the piece's.")


class JobForm(_Table):
    """A piece of furniture with drawers, for camtools."""

    title: Text = Field(description="Name of the piece.")
    units: Literal["mm", "in"] | None = _says("What a number without a unit is, and what people read all lengths in. Left out: mm.")
    stock: StockForm
    cutters: Annotated[list[CutterForm], Field(min_length=1, max_length=99)] = Field(
        description="At least one dovetail and one straight cutter."
    )
    machine: MachineForm | None = None
    joints: JointForm | None = None
    groove: GrooveForm | None = None
    fit: FitForm | None = None
    templates: TemplatesForm | None = None
    trial: TrialForm | None = None
    boards: BoardsForm | None = None
    drawers: Annotated[list[DrawerForm], Field(min_length=1, max_length=2000)] = Field(description="The drawers, one entry for each size.")
