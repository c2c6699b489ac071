"""A simple upright plate to build: what it must be for these boards and this machine, its drawing and its parts.

A plate at the front of the bed bears a packer and, above it, a strip of backing that is renewed. Boards stand before it, pushed against one
of two stops, and a bar across them is drawn to the plate by two bolts. The end that is worked stands as high as a front that lies on the
bed, so that one travel in Z serves both holds. docs/joinery.md section 3.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from camtools.drawer.drawers import drawers_of
from camtools.drawings.board_views import heights_beside, lengths_below
from camtools.drawings.sheet import Drawing, Sheet
from camtools.drawings.sheet_layout import Title, laid_out
from camtools.faults import CannotCut, Fault
from camtools.job.job import Job
from camtools.toolpath.moves import Program, reach_of
from camtools.toolpath.programs import programs_of
from camtools.wording import down, figure, mm, sizes, up

__all__ = ["PlatePart", "UprightPlate", "parts_of", "plate_sheets", "upright_plate_of"]

# All of these: common practice, no source.
SHEET_MM = 18.0  # thickness of the plate
_STOP_MM, _STOP_HIGH_MM, _THINNER_MM = 60.0, 110.0, 2.0  # width and length of a stop, and by how much it is thinner than the boards
_BESIDE_MM = 30.0  # of the plate beside each stop
_BAR_MM = (30.0, 40.0)  # height and depth of the bar
_PLAY_MM = 2.0  # beside a board between both stops
_SPARE_MM = 5.0  # between the ends of travel and where the cutter's axis goes
_APART_MM = 40.0  # more than two boards, between the stops
_UNDER_CUT_MM = 20.0  # of whole strip below the deepest cut, where its screws are
_SHARE, _LEAST_HIGH_MM, _MOST_HIGH_MM = 0.6, 160.0, 240.0  # of the longest board, that the plate bears
_BOLT_BELOW_MM = 20.0  # from the bed's surface to the bolts that hold the plate
_BOLT_MM, _ACCESS_MM, _SCREW_MM, _LEDGER_MM = 8.5, 22.0, 4.5, 40.0
_SCREW_UP_MM = 8.0  # from the strip's lower edge to its screws
_LETTER_MM = 2.2  # on paper, height of figures
_STRIPS = 4


@dataclass(frozen=True, slots=True)
class UprightPlate:
    """Its measures in mm. X is counted from the plate's left edge, heights downwards from its upper edge."""

    width_mm: float
    height_mm: float
    backing_mm: float  # thickness of strip and packer
    strip_mm: float  # height of the strip
    stops_mm: tuple[float, float]  # X where boards meet the left and the right stop
    stop_below_mm: float  # from the upper edge to the top of the stops
    stop_thick_mm: float
    bar_below_mm: float  # from the upper edge to the bar's bolts
    over_bed_mm: float  # of the upper edge over the bed's surface
    bed_bolts_mm: tuple[float, ...]  # X of the bolts into the bed
    board_mm: tuple[float, float, float]  # length, width and thickness of the longest, the widest and the thickest board on it
    travel_stops_mm: tuple[float, float]  # X of the stops on the machine's travel
    travel_plate_mm: float  # Y of the plate's face on it

    @property
    def bed_bolt_mm(self) -> float:
        """How far the bolts into the bed lie below its surface: their heads go into the packer, clear of the strip."""
        return max(_BOLT_BELOW_MM, self.strip_mm + _ACCESS_MM / 2 + 3.0 - self.over_bed_mm)

    @property
    def bar_bolts_mm(self) -> tuple[float, float]:
        """X of the bolts that draw the bar: through the middle of each stop."""
        return self.stops_mm[0] - _STOP_MM / 2, self.stops_mm[1] + _STOP_MM / 2

    @property
    def one_stop(self) -> bool:
        """Whether the widest board finds no room between both stops, so that one of them is taken off."""
        return self.stops_mm[1] - self.stops_mm[0] < self.board_mm[1] + _PLAY_MM

    @property
    def keys(self) -> tuple[str, ...]:
        """Lines of the job file's table ``machine`` for a machine that has this plate."""
        stops = ", ".join(f'"{at:g} mm"' for at in self.travel_stops_mm)
        return (
            'holds = ["upright", "flat"]',
            f"upright_stops = [{stops}]",
            f'upright_plate = "{self.travel_plate_mm:g} mm"',
            f'upright_stop_below = "{self.stop_below_mm:g} mm"',
            f'backing = "{self.backing_mm:g} mm"',
        )


@dataclass(frozen=True, slots=True)
class PlatePart:
    """A row of the cut list."""

    name: str
    count: int
    size_mm: tuple[float, float, float]  # length, width, thickness
    note: str


def upright_plate_of(job: Job) -> UprightPlate:
    """Return the plate on which the upright boards of a job are cut by its machine, whatever that holds now.

    Raises
    ------
    CannotCut
        If the machine does not reach the boards on any such plate, or the job can not be cut for another reason.
    """
    machine = replace(job.machine, holds=("upright", "flat"), upright_stops_mm=None, upright_plate_mm=None)
    job = replace(job, machine=machine)
    drawers = drawers_of(job)
    programs = [program for program in programs_of(job, drawers) if program.setup.hold == "upright"]
    boards = [program.setup.piece.size_mm for program in programs]
    widest, longest = max(size[1] for size in boards), max(size[0] for size in boards)
    deepest = -min(move.end[2] for program in programs for cut in program.cuts for move in cut.moves)
    reaches = {stop: _reach(program for program in programs if program.setup.stop == stop) for stop in ("left", "right")}
    over = machine.travel_mm[0] - max(high - low for (low, high), _ in reaches.values())
    spare, step = (_SPARE_MM, 1.0) if over > 2 * _SPARE_MM + 2 else (over / 2, 0.1)
    left = up(max(0.0, -reaches["left"][0][0]) + spare, step)
    right = down(machine.travel_mm[0] - max(0.0, reaches["right"][0][1]) - spare, step)
    room = right - left + _STOP_MM / 2 - _BOLT_MM  # from a stop to the bolt at the other
    if room < widest:
        travel = up(machine.travel_mm[0] + widest - room, 1)
        problem, remedy = "leaves no room for the widest board on an upright plate", f"{mm(travel)} of travel in X, or lower drawers"
        raise CannotCut(Fault("machine.travel[1]", problem, mm(room), f"at least {mm(widest)}", remedy))
    right = min(right, left + up(2 * widest + _APART_MM, 10))
    near = min(reach[1][0] for reach in reaches.values())
    plate = up(max(0.0, -near) + machine.backing_mm + _SPARE_MM, 1)
    placed = replace(machine, upright_stops_mm=(left, right), upright_plate_mm=plate)
    programs_of(replace(job, machine=placed), drawers)  # refuses what does not come to lie within the travel
    margin, strip = _STOP_MM + _BESIDE_MM, up(deepest + _UNDER_CUT_MM, 5)
    width = right - left + 2 * margin
    flat = max(drawer.front.piece.size_mm[2] for drawer in drawers)
    return UprightPlate(
        width_mm=width,
        height_mm=min(max(up(_SHARE * longest, 10), _LEAST_HIGH_MM), _MOST_HIGH_MM),
        backing_mm=machine.backing_mm,
        strip_mm=strip,
        stops_mm=(margin, width - margin),
        stop_below_mm=machine.upright_stop_below_mm,
        stop_thick_mm=min(size[2] for size in boards) - _THINNER_MM,
        bar_below_mm=max(strip, machine.upright_stop_below_mm + 5.0) + _BAR_MM[0] / 2,
        over_bed_mm=flat,
        bed_bolts_mm=(_BESIDE_MM / 2, margin + 20.0, width - margin - 20.0, width - _BESIDE_MM / 2),
        board_mm=(longest, widest, max(size[2] for size in boards)),
        travel_stops_mm=(left, right),
        travel_plate_mm=plate,
    )


def _reach(programs: Iterable[Program]) -> tuple[tuple[float, float], tuple[float, float]]:
    return reach_of([cut for program in programs for cut in program.cuts])


def parts_of(plate: UprightPlate) -> tuple[PlatePart, ...]:
    """Return the cut list of a plate."""
    low, high = plate.stops_mm
    bar = high - low + 2 * _STOP_MM
    packer = plate.height_mm - plate.strip_mm
    return (
        PlatePart("plate", 1, (plate.width_mm, plate.height_mm, SHEET_MM), "plywood; its face flat, its upper edge straight"),
        PlatePart(
            "packer", 1, (plate.width_mm, packer, plate.backing_mm), "the sheet of the backing pieces; glued and screwed to the plate"
        ),
        PlatePart(
            "backing piece", _STRIPS, (plate.width_mm, plate.strip_mm, plate.backing_mm), "screwed along its lower edge, and renewed"
        ),
        PlatePart("stop", 2, (_STOP_HIGH_MM, _STOP_MM, plate.stop_thick_mm), "hardwood or plywood, thinner than the boards"),
        PlatePart("bar", 1, (bar, _BAR_MM[1], _BAR_MM[0]), "straight hardwood"),
        PlatePart("ledger", 1, (plate.width_mm, _LEDGER_MM, _LEDGER_MM), "under the bed, screwed to the back of the plate"),
    )


def plate_sheets(job: Job, plate: UprightPlate) -> tuple[Sheet, ...]:
    """Return the drawing: put together, in section, and each part with its holes."""
    lines = (
        job.title,
        f"boards up to {sizes(*plate.board_mm)} stand on it",
        "x from the left end, heights from the upper edge",
        "the upper edge lies level, along X; see read-me.txt",
    )
    title = Title("upright-plate", "Upright plate", lines)
    views = (_assembled, _section, _plate, _packer, _stop, _bar)
    return laid_out(title, lambda scale: [view(plate, scale) for view in views])


def _named(drawing: Drawing, name: str) -> Drawing:
    low_x, _, high_x, high_y = drawing.bounds_mm()
    drawing.words(name, (low_x + high_x) / 2, high_y + 4.0, 3.0, pen="heavy")
    return drawing


def _hole(drawing: Drawing, x_mm: float, y_mm: float, diameter_mm: float) -> None:
    half = diameter_mm / 2
    drawing.curve([(x_mm - half, y_mm, 1.0), (x_mm + half, y_mm, 1.0)], "outline", closed=True)
    cross = half + 1.5 / drawing.scale
    drawing.line([(x_mm - cross, y_mm), (x_mm + cross, y_mm)], "thin")
    drawing.line([(x_mm, y_mm - cross), (x_mm, y_mm + cross)], "thin")


def _assembled(plate: UprightPlate, scale: float) -> Drawing:
    """Seen by who stands before it: a stop at each end, the bar across both, a board at the left one."""
    drawing = Drawing([], scale)
    width, height, below = plate.width_mm, plate.height_mm, plate.stop_below_mm
    (left, right), bolt = plate.stops_mm, plate.bar_below_mm
    drawing.box((0.0, -height), (width, 0.0))
    drawing.line([(0.0, -plate.strip_mm), (width, -plate.strip_mm)], "outline")
    drawing.line([(0.0, -plate.over_bed_mm), (width, -plate.over_bed_mm)], "hidden")
    board = min((right - left) * 0.45, 130.0)
    drawing.box((left, -height - 25.0), (left + board, 0.0), fill=0.94)
    for low in (left - _STOP_MM, right):
        drawing.box((low, -below - _STOP_HIGH_MM), (low + _STOP_MM, -below), fill=0.82)
    drawing.box((left - _STOP_MM, -bolt - _BAR_MM[0] / 2), (right + _STOP_MM, -bolt + _BAR_MM[0] / 2), fill=0.9)
    for x in plate.bar_bolts_mm:
        _hole(drawing, x, -bolt, _BOLT_MM)
    for text, x, y in (
        ("board", left + board / 2, -height + 15.0),
        ("stop", left - _STOP_MM / 2, -below - _STOP_HIGH_MM + 15.0),
        ("stop", right + _STOP_MM / 2, -below - _STOP_HIGH_MM + 15.0),
        ("bar", (left + board + right) / 2, -bolt),
        ("backing piece", (left + board + right) / 2, -plate.over_bed_mm / 2),
        ("surface of the bed", (left + board + right) / 2, -(plate.over_bed_mm + bolt - _BAR_MM[0] / 2) / 2),
        ("packer", (left + board + right) / 2, -height + 15.0),
    ):
        drawing.words(text, x * scale, y * scale, _LETTER_MM)
    lengths_below(drawing, (0.0, left, right, width), -height - 25.0)
    heights_beside(drawing, (0.0, plate.over_bed_mm, below, plate.strip_mm, height), width, down=True)
    return _named(drawing, "PUT TOGETHER, FROM THE FRONT")


def _section(plate: UprightPlate, scale: float) -> Drawing:
    """Seen from the left stop: the bed at the rear, which is to the right, a board before the backing."""
    drawing = Drawing([], scale)
    height, back, bed = plate.height_mm, plate.backing_mm, plate.over_bed_mm
    thick, bolt = plate.board_mm[2], plate.bar_below_mm
    rear = back + SHEET_MM
    drawing.box((rear, -bed - 40.0), (rear + 60.0, -bed), fill=0.88)
    drawing.box((back, -height), (rear, 0.0), fill=0.8)
    drawing.box((0.0, -height), (back, -plate.strip_mm), fill=0.9)
    drawing.box((0.0, -plate.strip_mm), (back, 0.0), fill=0.97)
    drawing.box((-thick, -height - 25.0), (0.0, 0.0), fill=0.94)
    drawing.box((-thick - _BAR_MM[1], -bolt - _BAR_MM[0] / 2), (-thick, -bolt + _BAR_MM[0] / 2), fill=0.9)
    drawing.box((rear, -bed - 40.0 - _LEDGER_MM), (rear + _LEDGER_MM, -bed - 40.0), fill=0.9)
    for text, x, y in (("bed", rear + 40.0, -bed - 10.0), ("ledger", rear + _LEDGER_MM / 2, -bed - 40.0 - _LEDGER_MM / 2)):
        drawing.words(text, x * scale, y * scale, _LETTER_MM)
    drawing.words("bar", (-thick - _BAR_MM[1] / 2) * scale, (-bolt - _BAR_MM[0] / 2) * scale - 2.5, _LETTER_MM)
    drawing.line([(rear + 60.0, -bed - plate.bed_bolt_mm), (back, -bed - plate.bed_bolt_mm)], "baseline")
    drawing.line([(rear, -bolt), (-thick - _BAR_MM[1] - 15.0, -bolt)], "baseline")
    heights_beside(drawing, (0.0, bed, bed + plate.bed_bolt_mm), rear + 60.0, down=True)
    base = (-height - 25.0) * scale
    for text, x in (("board", -thick / 2), ("backing", back / 2), ("plate", back + SHEET_MM / 2)):
        drawing.words(text, x * scale, base - 2.0, _LETTER_MM, "end", upright=True)
    return _named(drawing, "SECTION, FROM THE LEFT")


def _plate(plate: UprightPlate, scale: float) -> Drawing:
    drawing = Drawing([], scale)
    width, height, low = plate.width_mm, plate.height_mm, plate.over_bed_mm + plate.bed_bolt_mm
    drawing.box((0.0, -height), (width, 0.0))
    for x in plate.bar_bolts_mm:
        _hole(drawing, x, -plate.bar_below_mm, _BOLT_MM)
    for x in plate.bed_bolts_mm:
        _hole(drawing, x, -low, _BOLT_MM)
    lengths_below(drawing, (0.0, *plate.bar_bolts_mm, *plate.bed_bolts_mm, width), -height)
    heights_beside(drawing, (0.0, plate.bar_below_mm, low, height), width, down=True)
    return _named(drawing, f"PLATE, {figure(SHEET_MM)} THICK, HOLES {figure(_BOLT_MM)}")


def _packer(plate: UprightPlate, scale: float) -> Drawing:
    """Strip and packer, one over the other as they come on the plate: heights are from the strip's upper edge."""
    drawing = Drawing([], scale)
    width, height, low = plate.width_mm, plate.height_mm, plate.over_bed_mm + plate.bed_bolt_mm
    drawing.box((0.0, -height), (width, -plate.strip_mm))
    drawing.box((0.0, -plate.strip_mm), (width, 0.0))
    for x in plate.bar_bolts_mm:
        _hole(drawing, x, -plate.bar_below_mm, _BOLT_MM)
    for x in plate.bed_bolts_mm:
        _hole(drawing, x, -low, _ACCESS_MM)
    screws = [width * (i + 0.5) / 4 for i in range(4)]
    for x in screws:
        _hole(drawing, x, -plate.strip_mm + _SCREW_UP_MM, _SCREW_MM)
    lengths_below(drawing, (0.0, *plate.bar_bolts_mm, *plate.bed_bolts_mm, *screws, width), -height)
    heights_beside(drawing, (0.0, plate.strip_mm - _SCREW_UP_MM, plate.strip_mm, plate.bar_below_mm, low, height), width, down=True)
    return _named(
        drawing, f"STRIP AND PACKER, {figure(plate.backing_mm)} THICK, HOLES {figure(_BOLT_MM)}, {figure(_ACCESS_MM)} AND {figure(4.5)}"
    )


def _stop(plate: UprightPlate, scale: float) -> Drawing:
    drawing = Drawing([], scale)
    drawing.box((0.0, -_STOP_HIGH_MM), (_STOP_MM, 0.0))
    bolt = plate.bar_below_mm - plate.stop_below_mm
    _hole(drawing, _STOP_MM / 2, -bolt, _BOLT_MM)
    _hole(drawing, _STOP_MM / 2, -_STOP_HIGH_MM + 12.0, _SCREW_MM)
    lengths_below(drawing, (0.0, _STOP_MM / 2, _STOP_MM), -_STOP_HIGH_MM)
    heights_beside(drawing, (0.0, bolt, _STOP_HIGH_MM - 12.0, _STOP_HIGH_MM), _STOP_MM, down=True)
    return _named(drawing, f"STOP, {figure(plate.stop_thick_mm)} THICK")


def _bar(plate: UprightPlate, scale: float) -> Drawing:
    drawing = Drawing([], scale)
    start = plate.stops_mm[0] - _STOP_MM
    length = plate.stops_mm[1] + _STOP_MM - start
    drawing.box((0.0, -_BAR_MM[0]), (length, 0.0))
    bolts = [x - start for x in plate.bar_bolts_mm]
    for x in bolts:
        _hole(drawing, x, -_BAR_MM[0] / 2, _BOLT_MM)
    lengths_below(drawing, (0.0, *bolts, length), -_BAR_MM[0])
    heights_beside(drawing, (0.0, _BAR_MM[0] / 2, _BAR_MM[0]), length, down=True)
    return _named(drawing, f"BAR, {figure(_BAR_MM[1])} DEEP")
