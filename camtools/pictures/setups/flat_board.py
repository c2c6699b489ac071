"""A board that lies flat: away from the operator where an end is worked, along the fence for a groove."""

from __future__ import annotations

import shapely

from camtools.pictures.board_sides import SHEET_MM, beyond_stop, clamp_line, zone_of
from camtools.pictures.paper import XY
from camtools.pictures.setups.scene import Room, StagedBoard, Stop
from camtools.pictures.setups.stage import Face, Stage
from camtools.pictures.signs import arrow, edge_marks, hatch
from camtools.toolpath.moves import Point
from camtools.wording import at_least

__all__ = ["along_fit", "away_fit", "draw_along", "draw_away", "draw_under_along", "draw_under_away"]

_AWAY = (0.36, 0.62)  # how a mm of Y is drawn: to the right, and up
_LARGEST = 4.2  # px per mm
_HEAD_PX, _FOOT_PX = 122.0, 14.0
_SIDE_PX = 80.0  # kept free beside the board for words
_BED_MM, _BEYOND_MM, _BEFORE_MM = 10.0, 24.0, 6.0  # of the bed: its thickness, shown beyond the board, shown before it
_REAR_MM, _GAP_MM, _BATTEN_MM = 16.0, 8.0, 26.0
_CLAMP_DEEP_MM, _CLAMP_HIGH_MM = 11.0, 12.0
_FACE_PX = 62.0  # of the face left free before the clamp
_OTHER_MM, _GAP_PX = 26.0, 12.0  # shown of the other end, and the break before it
_SHEET_BEYOND_MM = 9.0  # of a waste sheet, seen beside the board
_BESIDE_ZERO_PX = 86.0  # from zero to an arrow beside its axes
_FENCE_PX = 28.0  # of the fence's upper side
_BED_TONES, _SHEET_TONES, _STOP_TONES, _CLAMP_TONES = (
    ("bed side", "bed", "bed side"),
    ("backing", "backing", "plate side"),
    ("stop side", "stop", "stop side"),
    ("clamp", "clamp", "clamp side"),
)


def _dotted(scene: StagedBoard) -> Face | None:
    return "top" if scene.placing.sides["+z"] == "inside" else None


def _bed(
    scene: StagedBoard, stage: Stage, factor: float, span_px: tuple[float, float], y: tuple[float, float], z: float
) -> tuple[float, float]:
    """Draw the bed from one x in px to another; return these x in mm at its near edge."""
    left = (span_px[0] - stage.at(0.0, y[0], 0.0)[0]) / factor
    right = (span_px[1] - stage.at(0.0, y[1], 0.0)[0]) / factor
    stage.box((left, y[0], z - _BED_MM), (right, y[1], z), _BED_TONES)
    return left, right


def _beyond_mm(scene: StagedBoard) -> float:
    """How much of the bed is drawn beyond an end that is worked: the room that is kept free there, too."""
    return max(_BEYOND_MM, scene.setup.free_mm + 4.0)


def _bed_z(scene: StagedBoard) -> float:
    return scene.placing.low[2] - (SHEET_MM if beyond_stop(scene.setup) else 0.0)


def away_fit(scene: StagedBoard) -> Room:
    """Return how large a board whose end is worked can be drawn."""
    low, high = scene.placing.low, scene.placing.high
    tall = scene.area[3] - scene.area[1] - _HEAD_PX - _FOOT_PX
    line = clamp_line(scene.setup)
    head = max(30.0, 14.0 - min(move.end[1] for cut in scene.program.cuts for move in cut.moves))
    head = max(head, _CLAMP_DEEP_MM - line) if line is not None else head
    level = high[2] - _bed_z(scene) + _BED_MM
    deep = _AWAY[1] * (_beyond_mm(scene) + head + _OTHER_MM + _BEFORE_MM) + level
    face = _FACE_PX + _GAP_PX
    wide = scene.area[2] - scene.area[0] - 2 * _SIDE_PX - face * _AWAY[0] / _AWAY[1]
    factor = min(_LARGEST, wide / (high[0] - low[0] + _AWAY[0] * (head + _OTHER_MM)), (tall - face) / deep)
    return Room(factor, factor * deep + face)


def _away_stage(scene: StagedBoard, fit: Room) -> Stage:
    low, high, factor = scene.placing.low, scene.placing.high, fit.factor
    x = scene.middle_px - factor * ((low[0] + high[0]) / 2 + _AWAY[0] * _near(scene, fit) / 2)
    spare = scene.area[3] - scene.area[1] - _HEAD_PX - _FOOT_PX - fit.high_px
    top = scene.area[3] - _HEAD_PX - 0.6 * spare
    return Stage(scene.paper, factor, (x, top - factor * (_AWAY[1] * _beyond_mm(scene) + _bed_z(scene))), _AWAY)


def _near(scene: StagedBoard, fit: Room) -> float:
    """Y at which the near end is drawn."""
    thick = scene.placing.high[2] - _bed_z(scene)
    most = (fit.high_px / fit.factor - thick - _BED_MM) / _AWAY[1] - _beyond_mm(scene) - _BEFORE_MM
    return max(scene.placing.low[1], -most)


def draw_under_away(scene: StagedBoard, fit: Room, span_px: tuple[float, float]) -> None:
    """Draw the bed under a board whose end is worked, from one x in px to another."""
    _bed(scene, _away_stage(scene, fit), fit.factor, span_px, (_near(scene, fit) - _BEFORE_MM, _beyond_mm(scene)), _bed_z(scene))


def draw_away(scene: StagedBoard, fit: Room) -> None:
    """Draw a board whose end is worked, with stop, clamp, zones, zero and the cutter."""
    paper, program, setup, placing = scene.paper, scene.program, scene.setup, scene.placing
    low, high, factor, line = placing.low, placing.high, fit.factor, clamp_line(setup)
    stage, stop, near, bed_z = _away_stage(scene, fit), scene.stop(factor), _near(scene, fit), _bed_z(scene)
    broken, middle, beyond = near > low[1] + 1.0, (low[0] + high[0]) / 2, beyond_stop(setup)
    cut_y = near + _OTHER_MM + _GAP_PX / factor / _AWAY[1] if broken else near
    below = stage.moved(0.0, near - low[1], 0.0)
    if beyond:
        sheet_end = high[1] + (_SHEET_BEYOND_MM if setup.piece.corners else 0.0)
        stage.box((low[0] - _SHEET_BEYOND_MM, near - 4.0, bed_z), (high[0] + _SHEET_BEYOND_MM, sheet_end, low[2]), _SHEET_TONES)
    free = [(low[0], 0.0), (high[0], 0.0), (high[0], setup.free_mm), (low[0], setup.free_mm)]
    hatch(paper, shapely.Polygon([stage.at(x, y, low[2]) for x, y in free]))

    def draw_stop() -> None:
        stage.box((stop.x[0], near, bed_z), (stop.x[1], high[1] - beyond, stop.top), _STOP_TONES)

    def draw_board() -> None:
        broke = ("-y",) if broken else ()
        stage.board(program, scene.progress, (low[0], cut_y, low[2]), high, dotted=_dotted(scene), broken=broke)
        if broken:
            end = (high[0], low[1] + _OTHER_MM, high[2])
            below.board(program, scene.progress, low, end, dotted=_dotted(scene), broken=("+y",))

    stop.drawn_with(draw_stop, draw_board)
    if line is not None:
        _keep_clear(scene, stage, (low[0], line), (high[0], 0.0))
        paper.draw([[stage.at(low[0], line, 0.0), stage.at(high[0], line, 0.0)]], "limit")
        inset = min(6.0, (high[0] - low[0]) * 0.1)
        stage.box((low[0] + inset, line - _CLAMP_DEEP_MM, 0.0), (high[0] - inset, line - 1.0, _CLAMP_HIGH_MM), _CLAMP_TONES)
    front = (line or high[1]) - _CLAMP_DEEP_MM
    mark_y = 0.55 * line if line is not None else -0.5 * _OTHER_MM
    edge_marks(paper, stage.at(stop.edge_x, mark_y, 0.0), (stop.way, 0.0), min(14.0, factor * 10), "wood")
    scene.draw_push(stage.at(stop.free_x, (cut_y + front) / 2, low[2] if stop.left else 0.0))
    scene.draw_entry(stage)
    stage.axes((0.0, 0.0, 0.0))
    zero, mark = stage.at(0.0, 0.0, 0.0), stage.at(stop.edge_x, mark_y, 0.0)
    for (x, y), name in ((zero, "zero"), ((mark[0] - stop.way * 9, mark[1]), "marks of the reference edge")):
        paper.keep_free((x - 10, y - 10, x + 10, y + 10), name)
    ends = (near, high[1] - beyond)
    places = [
        stage.at(sum(stop.x) / 2 + stop.way * 13 / factor, ends[0] + (ends[1] - ends[0]) * part, stop.top) for part in (0.5, 0.3, 0.7, 0.15)
    ]
    scene.name_stop(places, "small", stop.way)
    scene.name_face([stage.at(middle, (cut_y + front) / 2, 0.0)], f"{placing.named('+z')} UP", factor * (high[0] - low[0]))
    scene.name_entry()
    _away_sizes(scene, stage, stop, line)
    if line is not None:
        wide = high[0] - low[0]
        clamps = [stage.at(middle + away * wide, line - _CLAMP_DEEP_MM, _CLAMP_HIGH_MM / 2) for away in (0.0, 0.25, -0.25)]
        scene.name_clamp(clamps)
    end = stage.at(middle, high[1], 0.0)
    scene.captions.put(f"{placing.named('+y')}, away from you", end, ((0.2, 1), (-0.2, 1), (0.8, 1), (-0.8, 1), (1, 0.3), (-1, 0.3)))
    scene.name_zero(stage.at(0.0, 0.0, 0.0))
    scene.captions.keep_off(
        (below.at(low[0], low[1], high[2]), below.at(high[0], low[1], high[2])), (stage.at(low[0], 0.0, 0.0), stage.at(high[0], 0.0, 0.0))
    )
    _name_away(scene, stage, below, stop, broken=broken)
    scene.name_push()


def _keep_clear(scene: StagedBoard, stage: Stage, corner: XY, opposite: XY) -> None:
    """Hatch a part of the upper face, but for what the cutter takes of it."""
    low, high = scene.placing.low, scene.placing.high
    taken, within = stage.taken(scene.program, scene.progress, "top", low, high)
    hatch(scene.paper, within(shapely.box(*corner, *opposite).difference(taken.now)))


def _away_sizes(scene: StagedBoard, stage: Stage, stop: Stop, line: float | None) -> None:
    """Dimension what is kept clear, beside the free edge."""
    x, z = stop.free_x - stop.way * 4.0, scene.placing.low[2] if stop.left else 0.0
    free_mm = scene.setup.free_mm
    if line is not None:
        scene.dimension(stage.at(x, line, z), stage.at(x, 0.0, z), at_least(-line), ((-stop.way, 0.0), (-stop.way, -0.5)))
    scene.dimension(stage.at(x, 0.0, z), stage.at(x, free_mm, z), f"{at_least(free_mm)} free", ((-stop.way, 0.0), (-stop.way, 0.6)))


def _name_away(scene: StagedBoard, stage: Stage, below: Stage, stop: Stop, *, broken: bool) -> None:
    placing, put, setup = scene.placing, scene.captions.put, scene.setup
    low, high, beyond = placing.low, placing.high, beyond_stop(setup)
    at_stop, free = ("-x", "+x") if stop.left else ("+x", "-x")
    out, into = stop.way, -stop.way
    line = clamp_line(setup) or -30.0
    put(placing.named(at_stop), stage.at(stop.edge_x, line * 0.4, 0.0), ((out, 0.3), (out, 1), (out, -0.4)))
    put(placing.named(free), stage.at(stop.free_x, line * 1.3, 0.0), ((into, -0.2), (into, 0.3), (into, -1), (into, 1), (into, -2)))
    other, state = scene.other_end()
    if broken or state:
        put(f"{other.upper()}{state}", below.at(stop.free_x, low[1] + 8.0, 0.0), ((into, 0.0), (into, -0.5), (into, 0.5)))
    if beyond:
        told = f"end {at_least(beyond)} or more beyond the stop"
        put(told, stage.at(stop.edge_x + out * 6.0, high[1] - beyond, stop.top), ((out, 1), (out, 0.4), (out, -0.4)), size="small")
        edge = (high[0] if stop.left else low[0]) - out * _SHEET_BEYOND_MM * 0.5
        put("waste sheet", stage.at(edge, line * 1.2, low[2]), ((into, -0.4), (into, -1), (into, 0.4), (into, -2), (0, -1)))


def _halves(scene: StagedBoard) -> tuple[float, float]:
    """Return how much of the board's length is drawn from each end, and how much is left out between."""
    low, high = scene.placing.low, scene.placing.high
    length, width = high[0] - low[0], high[1] - low[1]
    seen = [min(x - low[0], high[0] - x) + 24.0 for x in (0.0, scene.entry.place[0])]  # zero, and where the cutter comes in
    half = max(0.6 * width, 60.0, *seen)
    return (length, 0.0) if length <= 2 * half + 3 * _GAP_MM else (half, length - 2 * half - _GAP_MM)


def along_fit(scene: StagedBoard) -> Room:
    """Return how large a board that lies along the fence can be drawn: the whole of its width."""
    low, high = scene.placing.low, scene.placing.high
    _, left_out = _halves(scene)
    rear = _REAR_MM + (_BATTEN_MM if zone_of(scene.setup, "batten") else 0.0)
    deep = _AWAY[1] * (_BEFORE_MM + high[1] - low[1] + rear) + _BED_MM
    wide, tall = scene.area[2] - scene.area[0] - 2 * _SIDE_PX, scene.area[3] - scene.area[1] - _HEAD_PX - _FOOT_PX - _FENCE_PX - 80.0
    factor = min(_LARGEST, wide / (high[0] - low[0] - left_out + _AWAY[0] * (high[1] - low[1])), tall / deep)
    return Room(factor, factor * deep + _FENCE_PX)


def _along_stage(scene: StagedBoard, fit: Room) -> Stage:
    low, high, factor = scene.placing.low, scene.placing.high, fit.factor
    x = scene.middle_px - factor * ((low[0] + high[0]) / 2 + _AWAY[0] * (high[1] - low[1]) / 2)
    room = scene.area[3] - scene.area[1] - _HEAD_PX - _FOOT_PX
    foot = scene.area[1] + _FOOT_PX + max(0.0, (room - fit.high_px) / 2 - 10)
    return Stage(scene.paper, factor, (x, foot + _FENCE_PX + factor * (_AWAY[1] * _BEFORE_MM + _BED_MM - low[2])), _AWAY)


def _fence_mm(fit: Room) -> float:
    return _FENCE_PX / fit.factor / _AWAY[1]


def draw_under_along(scene: StagedBoard, fit: Room, span_px: tuple[float, float]) -> None:
    """Draw the bed and what stands along all of it, from one x in px to another; the fence comes last, as the nearest."""
    stage, low, high = _along_stage(scene, fit), scene.placing.low, scene.placing.high
    batten = zone_of(scene.setup, "batten")
    rear = _REAR_MM + (_BATTEN_MM if batten else 0.0)
    left, right = _bed(scene, stage, fit.factor, span_px, (-_fence_mm(fit) - _BEFORE_MM, high[1] + rear), low[2])
    if batten:
        stage.box((left + 8, high[1], low[2]), (right - 8, high[1] + _BATTEN_MM, batten.high[2]), ("stop", "stop top", "stop side"))


def draw_along(scene: StagedBoard, fit: Room) -> None:
    """Draw a board that lies along the fence, a long one without its middle, so that its ends stay large."""
    paper, program, setup, placing = scene.paper, scene.program, scene.setup, scene.placing
    low, high, factor, line = placing.low, placing.high, fit.factor, clamp_line(setup)
    part, left_out = _halves(scene)
    stage, stop = _along_stage(scene, fit), scene.stop(factor)
    left, right = stage.moved(left_out / 2, 0.0, 0.0), stage.moved(-left_out / 2, 0.0, 0.0)
    own, free = (left, right) if stop.left else (right, left)

    def draw_stop() -> None:
        own.box((stop.x[0], low[1], low[2]), (stop.x[1], high[1], stop.top), _STOP_TONES)

    def draw_board() -> None:
        if not left_out:
            stage.board(program, scene.progress, low, high, dotted=_dotted(scene))
            return
        cut_right: Point = (low[0] + part, high[1], high[2])
        cut_left: Point = (high[0] - part, low[1], low[2])
        left.board(program, scene.progress, low, cut_right, dotted=_dotted(scene), broken=("+x",))
        right.board(program, scene.progress, cut_left, high, dotted=_dotted(scene), broken=("-x",))

    stop.drawn_with(draw_stop, draw_board)
    parts = ((left, low[0]), (right, high[0] - part)) if left_out else ((stage, low[0]),)
    clamps: list[list[XY]] = []
    if line is not None:
        back = min(line + _CLAMP_DEEP_MM, high[1] - 1.0)
        for view, start in parts:
            _keep_clear(scene, view, (start, 0.0), (start + part, line))
            paper.draw([[view.at(start, line, 0.0), view.at(start + part, line, 0.0)]], "limit")
            view.box((start + 0.15 * part, line + 1.0, 0.0), (start + 0.85 * part, back, _CLAMP_HIGH_MM), _CLAMP_TONES)
            clamps.append([view.at(start + part * at, line + 1.0, _CLAMP_HIGH_MM / 2) for at in (0.5, 0.65, 0.35, 0.75, 0.25)])
    _draw_fence(scene, stage, fit, own.at(stop.edge_x - stop.way * 0.62 * part, 0.0, 0.0))
    views = (own, free, left if low[0] + part > 0.0 else right)
    _sign_along(scene, views, stop, (part, left_out))
    for places in clamps:
        scene.name_clamp(places)
    _name_along(scene, fit, views, stop, (part, left_out))


def _draw_fence(scene: StagedBoard, stage: Stage, fit: Room, mark: XY) -> None:
    low, paper, fence = scene.placing.low, scene.paper, _fence_mm(fit)
    z = min(scene.placing.stop_top(scene.setup), 0.0)
    left = (scene.area[0] + 12 - stage.at(0.0, -fence, 0.0)[0]) / fit.factor
    right = (scene.area[2] - 12 - stage.at(0.0, 0.0, 0.0)[0]) / fit.factor
    stage.box((left, -fence, low[2]), (right, 0.0, z), ("plate side", "plate", "plate side"))
    at = stage.at((low[0] + scene.placing.high[0]) / 2, -fence / 2, z)
    paper.write(at, f"{scene.placing.named('-y')} at the fence", bold=True, align="center", ground="paper")
    near_mm = scene.setup.piece.groove.edge_mm if scene.setup.piece.groove else 20.0
    edge_marks(paper, mark, (0.0, -1.0), max(9.0, min(16.0, fit.factor * _AWAY[1] * near_mm - 4)), "wood")


def _sign_along(scene: StagedBoard, views: tuple[Stage, Stage, Stage], stop: Stop, parts: tuple[float, float]) -> None:
    """Put zero, cutter and arrows in their places: on the part at the stop, on the free one, or where zero is."""
    (own, free, at_zero), (part, left_out), (low, high, line) = views, parts, (*_corners(scene), clamp_line(scene.setup))
    at_stop = (scene.entry.place[0] < low[0] + part) == stop.left
    scene.draw_entry(own if at_stop or not left_out else free)
    at_zero.axes((0.0, 0.0, 0.0))
    middle = high[1] * 0.5 if line is None else (line + high[1]) / 2
    z = low[2] if stop.left else 0.0
    scene.draw_push(free.at(stop.free_x, middle, z))
    x, y = _fence_arrow(scene, own, at_zero, stop, left_out)
    arrow(scene.paper, (x, y + 52), (x, y + 3), "push", 34.0)
    scene.paper.keep_free((x - 18, y, x + 18, y + 54), "arrow to the fence")
    if line is not None:
        x = stop.free_x - stop.way * 4.0
        ways = ((-stop.way, 0.6), (-stop.way, -0.6), (-stop.way, 1))
        scene.dimension(free.at(x, 0.0, z), free.at(x, line, z), at_least(line), ways)


def _fence_arrow(scene: StagedBoard, own: Stage, at_zero: Stage, stop: Stop, left_out: float) -> XY:
    """Return where the arrow to the fence has its tip: behind the middle of what is drawn, but beside the axes at zero."""
    low, high = _corners(scene)
    x, y = own.at((low[0] + high[0]) / 2 + stop.way * left_out / 2, high[1], 0.0)
    zero = at_zero.at(0.0, 0.0, 0.0)
    return (zero[0] - stop.way * _BESIDE_ZERO_PX if abs(x - zero[0]) < _BESIDE_ZERO_PX else x), y


def _corners(scene: StagedBoard) -> tuple[Point, Point]:
    return scene.placing.low, scene.placing.high


def _name_along(scene: StagedBoard, fit: Room, views: tuple[Stage, Stage, Stage], stop: Stop, parts: tuple[float, float]) -> None:
    """Name what stands there and the board's sides."""
    setup, placing, put = scene.setup, scene.placing, scene.captions.put
    (low, high), line = _corners(scene), clamp_line(setup)
    (own, free, at_zero), (part, left_out) = views, parts
    left, right = (own, free) if stop.left else (free, own)
    scene.captions.keep_off(*((left.at(low[0], y, 0.0), right.at(high[0], y, 0.0)) for y in (low[1], high[1])))
    at_stop, other = ("-x", "+x") if stop.left else ("+x", "-x")
    put(placing.named(at_stop), own.at(stop.edge_x, high[1], 0.0), ((stop.way, 0.7), (-stop.way, 1), (stop.way, 1.5)))
    put(placing.named(other), free.at(stop.free_x, high[1] * 0.85, 0.0), ((-stop.way, 0.4), (-stop.way, 1), (0, 1), (-stop.way, -0.4)))
    scene.name_entry()
    put(placing.named("+y"), free.at(stop.free_x + stop.way * part * 0.3, high[1], 0.0), ((0, 1), (-0.6, 1), (0.6, 1)))
    scene.name_push()
    places = [own.at(sum(stop.x) / 2 + aside, high[1] * part, stop.top) for aside in (0.0, stop.way * 6) for part in (0.6, 0.8, 0.3, 0.95)]
    scene.name_stop(places, "small", stop.way)
    # Words go on the part with the free end, so that they do not cross the break: behind the clamp, or between groove and clamp.
    wall = max(move.end[1] + cut.cutter.diameter_mm / 2 for cut in scene.program.cuts for move in cut.moves)
    rooms = [(wall, high[1]), (0.0, wall)] if line is None else [(line + _CLAMP_DEEP_MM, high[1]), (wall, line), (0.0, wall)]
    rooms.sort(key=lambda room: room[0] - room[1])
    faces = [free.at(stop.free_x + stop.way * part * at, sum(room) / 2, 0.0) for room in rooms for at in (0.5, 0.62, 0.4, 0.75, 0.25)]
    scene.name_face(faces, f"{placing.named('+z')} UP", fit.factor * part)
    tip = _fence_arrow(scene, own, at_zero, stop, left_out)
    put("to the fence", (tip[0], tip[1] + 34), ((1, 0.0), (-1, 0.0), (1, 1)), line=False)
    scene.name_zero(at_zero.at(0.0, 0.0, 0.0))
    if zone_of(setup, "batten"):
        put("BATTEN, wedged", free.at(stop.free_x + stop.way * 8, high[1] + _BATTEN_MM, low[2]), ((-stop.way, 1), (-stop.way, 0.4)))
