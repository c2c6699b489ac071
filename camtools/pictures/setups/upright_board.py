"""A board that stands upright at the plate, its end up."""

from __future__ import annotations

import shapely

from camtools.pictures.paper import XY
from camtools.pictures.setups.captions import write_clear
from camtools.pictures.setups.scene import STOP_PX, Room, StagedBoard
from camtools.pictures.setups.stage import Face, Stage
from camtools.pictures.signs import edge_marks, hatch
from camtools.wording import at_least, mm

__all__ = ["draw_behind_standing", "draw_standing", "standing_fit", "standing_stage"]

_AWAY = (0.35, 0.45)  # how a mm of Y is drawn: to the right, and up
_LARGEST = 3.6  # px per mm
_PLATE_MM, _CLAMP_MM, _CLAMP_DEEP_MM = 14.0, 13.0, 10.0
_HEAD_PX, _FOOT_PX = 76.0, 20.0  # over the plate for the axis of Z and words, under the board
_SIDE_PX = 100.0  # kept free beside the board for words
_FACE_PX = 116.0  # of the face left free below the clamp
_OTHER_MM, _GAP_PX = 24.0, 12.0  # shown of the other end, and the break before it


def standing_fit(scene: StagedBoard) -> Room:
    """Return how large a board can be drawn."""
    width = scene.placing.high[0] - scene.placing.low[0]
    tall = scene.area[3] - scene.area[1] - _HEAD_PX - _FOOT_PX
    high_mm = (
        _AWAY[1] * (scene.setup.backing_mm + _PLATE_MM - scene.placing.low[1]) + _CLAMP_MM + _OTHER_MM - scene.placing.stop_top(scene.setup)
    )
    wide = scene.area[2] - scene.area[0] - 2 * _SIDE_PX
    return Room(min(_LARGEST, wide / width, (tall - _FACE_PX - _GAP_PX) / high_mm), tall)


def standing_stage(scene: StagedBoard, fit: Room) -> Stage:
    """Return the view of it."""
    low, high, deep = scene.placing.low, scene.placing.high, scene.setup.backing_mm + _PLATE_MM
    origin = (scene.middle_px - fit.factor * (low[0] + high[0]) / 2, scene.area[3] - _HEAD_PX - fit.factor * _AWAY[1] * deep)
    return Stage(scene.paper, fit.factor, origin, _AWAY)


def _floor(scene: StagedBoard, fit: Room) -> float:
    """Z of the lowest of the front that is drawn."""
    deep = scene.setup.backing_mm + _PLATE_MM - scene.placing.low[1]
    return -(fit.high_px / fit.factor - _AWAY[1] * deep)


def draw_behind_standing(scene: StagedBoard, fit: Room, span_px: tuple[float, float]) -> None:
    """Draw the plate and, before it, the backing piece, from one x in px to another."""
    stage, backing = standing_stage(scene, fit), scene.setup.backing_mm
    deep, floor = backing + _PLATE_MM, max(_floor(scene, fit), scene.placing.low[2])
    left = (span_px[0] - stage.at(0.0, 0.0, 0.0)[0]) / fit.factor
    right = (span_px[1] - stage.at(0.0, deep, 0.0)[0]) / fit.factor
    stage.box((left, backing, floor), (right, deep, 0.0), ("plate", "plate", "plate side"))
    stage.box((left, 0.0, floor), (right, backing, 0.0), ("backing", "backing", "plate side"))


def draw_standing(scene: StagedBoard, fit: Room) -> None:
    """Draw the board with stop, clamp, zones, zero and the cutter."""
    paper, program, placing = scene.paper, scene.program, scene.placing
    low, high, factor = placing.low, placing.high, fit.factor
    stage, stop, lowest = standing_stage(scene, fit), scene.stop(fit.factor), _floor(scene, fit)
    broken = lowest > low[2] + 1.0
    floor = lowest if broken else low[2]
    cut_z = floor + _OTHER_MM + _GAP_PX / factor if broken else floor
    middle, stop_z = (low[0] + high[0]) / 2, stop.top
    below = stage.moved(0.0, 0.0, floor - low[2])

    def draw_stop() -> None:
        stage.box((stop.x[0], low[1], floor), (stop.x[1], high[1], stop_z), ("stop side", "stop top", "stop side"))

    def draw_board() -> None:
        inside: Face | None = "front" if placing.sides["-y"] == "inside" else None
        stage.board(program, scene.progress, (low[0], low[1], cut_z), high, dotted=inside, broken=("-z",) if broken else ())
        if broken:
            below.board(program, scene.progress, low, (high[0], high[1], low[2] + _OTHER_MM), dotted=inside, broken=("+z",))

    stop.drawn_with(draw_stop, draw_board)
    taken, within = stage.taken(program, scene.progress, "front", low, high)
    band = shapely.box(low[0], stop_z, high[0], 0.0).difference(taken.now)
    hatch(paper, within(band))
    paper.draw([[stage.at(low[0], low[1], stop_z), stage.at(high[0], low[1], stop_z)]], "limit")
    clamp_z = stop_z - 2.0 - _CLAMP_MM
    inset = min(6.0, (high[0] - low[0]) * 0.1)
    clamp = ((low[0] + inset, low[1] - _CLAMP_DEEP_MM, clamp_z), (high[0] - inset, low[1], clamp_z + _CLAMP_MM))
    stage.box(*clamp, ("clamp", "clamp", "clamp side"))

    face = stage.at(middle, low[1], (cut_z + clamp_z) / 2 + 2.0 / factor)
    scene.name_face([(face[0], face[1] + 26)], placing.named("-y"), factor * (high[0] - low[0]))
    paper.write((face[0], face[1] + 4), "towards you", size="small", bold=True, align="center", ground="wood")
    mark = stage.at(stop.edge_x, low[1], 0.0)[0], face[1] - 28
    edge_marks(paper, mark, (stop.way, 0.0), 16.0)
    named, wide = placing.named("-x" if stop.left else "+x"), factor * (high[0] - low[0])
    lines = [named] if paper.width_of(named, "small", bold=True) < wide - 36 else named.split()
    if paper.width_of(max(lines, key=len), "small", bold=True) < wide - 36:
        for line, words in enumerate(lines):
            at = (mark[0] - stop.way * 26, mark[1] + 9 * (len(lines) - 1) - 18 * line)
            paper.write(at, words, size="small", bold=True, align=stop.align, ground="wood")
    else:
        paper.keep_free((mark[0] - 18, mark[1] - 18, mark[0] + 18, mark[1] + 18), "reference edge")
        scene.captions.put(named, mark, ((stop.way, 0.0), (stop.way, -0.5), (stop.way, -1)), size="small")
    level = stage.at(stop.edge_x, low[1], (stop_z + floor) / 2)
    blocks = [(level[0] + stop.way * STOP_PX / 2, level[1] + away) for away in (0, 60, -60, 100)]
    scene.name_stop(blocks, "label", stop.way)
    clamps = [stage.at(middle + away * (high[0] - low[0]), clamp[0][1], clamp_z + _CLAMP_MM / 2) for away in (0.0, 0.25, -0.25)]
    free_px = stage.at(stop.free_x, high[1] if stop.left else low[1], 0.0)[0]
    scene.draw_push((free_px, face[1] - 34))
    if placing.sides["-y"] == "outside":  # the face that is marked
        over, aside = (face[0], face[1] + 46), (face[0] - stop.way * 0.2 * factor * (high[0] - low[0]), face[1] - 30)
        roomy = stage.at(middle, clamp[0][1], clamp_z)[1] > over[1] + 8
        write_clear(paper, [over if roomy else aside], program.title.partition(",")[0], "small", "pencil", must=True)
    scene.draw_entry(stage)
    stage.axes((0.0, 0.0, 0.0))
    scene.name_clamp(clamps)
    x = free_px - stop.way * (16 if stop.left else 62)  # clear of the arrow of the cutter, which leans to the left
    corners = [stage.at(stop.free_x, low[1], z) for z in (0.0, stop_z)]
    tops = [y for _, y in corners]
    paper.draw([[corner, (x - stop.way * 6, corner[1])] for corner in corners], "thin")
    scene.dimension((x, tops[0]), (x, tops[1]), at_least(-stop_z), ((-stop.way, 0.0), (-stop.way, 0.5)))
    scene.captions.keep_off(*((stage.at(low[0], low[1], z), stage.at(high[0], low[1], z)) for z in (floor, 0.0)))
    scene.name_push()
    scene.name_entry()
    scene.name_zero(stage.at(0.0, 0.0, 0.0))
    _name(scene, stage, below, (stop.edge_x, stop.free_x), floor)


def _name(scene: StagedBoard, stage: Stage, below: Stage, edges: tuple[float, float], floor: float) -> None:
    """Name ends and edges."""
    placing, captions, left = scene.placing, scene.captions, scene.setup.stop == "left"
    low, high, put = placing.low, placing.high, captions.put
    out: XY = (-1, 0.2) if left else (1, 0.2)
    put(
        f"{placing.named('+z')} UP",
        stage.at((low[0] + high[0]) / 2, (low[1] + high[1]) / 2, 0.0),
        ((0.3, 1), (-0.3, 1), (0.8, 1), (-0.8, 1)),
    )
    free = "+x" if left else "-x"
    band = placing.stop_top(scene.setup) / 2
    put(placing.named(free), stage.at(edges[1], low[1] if left else high[1], band * 2.2), ((-out[0], -0.3), (-out[0], 0.3), (-out[0], -1)))
    backing = scene.setup.backing_mm
    x = edges[1] - out[0] * 16.0
    for y, words in ((backing / 2, f"backing piece, {mm(backing)}"), (backing + _PLATE_MM / 2, "upright plate")):
        put(words, stage.at(x, y, 0.0), ((-out[0], 1), (-out[0], 0.3), (0, 1), (-out[0], -0.4)), size="small")
    end, state = scene.other_end()
    foot = below.at(edges[1], low[1], low[2] + _OTHER_MM * 0.4)
    if floor > low[2] or state:
        put(f"{end.upper()}{state}", foot, ((-out[0], 0.1), (-out[0], -0.4), (-out[0], 0.5)))
