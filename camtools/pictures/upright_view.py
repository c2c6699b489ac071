"""A board standing before the upright plate, end up, the stop beside it and a clamp across it."""

from __future__ import annotations

from camtools.pictures.board_sides import Placing
from camtools.pictures.callouts import BOTTOM_PX, SIDE_PX, STOP_PX, TOP_PX, face_words, leader, push_arrow, stop_words, you_stand_here
from camtools.pictures.paper import Paper
from camtools.pictures.signs import edge_marks
from camtools.pictures.stage import Face, Stage
from camtools.toolpath.moves import Program

__all__ = ["draw_upright"]

_AWAY = (0.35, 0.45)
_LARGEST = 3.6  # px per mm
_PLATE_MM, _CLAMP_MM = 14.0, 13.0
_WORDS_PX = 96.0  # of the face left free below the clamp
_PLATE_PX = 190.0  # of the plate to be seen beside the board


def draw_upright(paper: Paper, program: Program, placing: Placing) -> None:
    """Draw a board that stands upright."""
    setup, low, high = program.setup, placing.low, placing.high
    width, middle = high[0] - low[0], (low[0] + high[0]) / 2
    stop_z = placing.stop_top(setup)
    deep = setup.backing_mm + _PLATE_MM
    tall = TOP_PX - BOTTOM_PX - 34
    factor = min(_LARGEST, (paper.size[0] - 2 * SIDE_PX) / width, (tall - _WORDS_PX) / (_CLAMP_MM - stop_z + _AWAY[1] * deep))
    floor = max(low[2], _AWAY[1] * deep - tall / factor)
    stage = Stage(paper, factor, (paper.size[0] / 2 - factor * middle, BOTTOM_PX + 14 - factor * floor), _AWAY)
    _behind(stage, setup.backing_mm, placing, floor, (paper.size[0] / 2 - 8) / factor - width / 2 - _AWAY[0] * deep, _PLATE_PX / factor)

    left = setup.stop == "left"
    edge_x, free_x, way = (low[0], high[0], -1.0) if left else (high[0], low[0], 1.0)
    stop_x = edge_x + way * STOP_PX / factor
    stop = ((min(edge_x, stop_x), low[1], floor), (max(edge_x, stop_x), high[1], stop_z))

    def draw_stop() -> None:
        stage.box(*stop, ("stop", "stop top", "stop side"))

    def draw_board() -> None:
        dotted: Face | None = "front" if placing.sides["-y"] == "inside" else None
        stage.board(program, (low[0], low[1], floor), high, dotted=dotted, broken=("-z",) if floor > low[2] else ())

    # What lies further to the right is covered by what stands to its left.
    for draw in (draw_stop, draw_board) if left else (draw_board, draw_stop):
        draw()

    clamp_z = stop_z - 3.0 - _CLAMP_MM
    inset = min(6.0, width * 0.1)
    clamp = ((low[0] + inset, low[1] - 10.0, clamp_z), (high[0] - inset, low[1], clamp_z + _CLAMP_MM))
    stage.box(*clamp, ("clamp", "clamp", "clamp side"))
    paper.write(stage.at(middle, clamp[0][1], clamp_z + _CLAMP_MM / 2), "clamp", size="small", align="center")

    face = stage.at(middle, low[1], (floor + clamp_z) / 2)
    face_words(paper, (face[0], face[1] + 12), placing.named("-y"), factor * width)
    paper.write((face[0], face[1] - 12), "towards you", bold=True, align="center", ground="wood")
    mark = stage.at(edge_x, low[1], stop_z * 0.68)
    edge_marks(paper, (mark[0] - way * 2, mark[1]), (way, 0.0), 16.0)
    edge, free = stage.at(edge_x, low[1], stop_z * 0.55), stage.at(free_x, low[1], stop_z * 0.55)
    at_stop, other = ("-x", "+x") if left else ("+x", "-x")
    leader(paper, (edge[0] + way * 26, edge[1]), edge, placing.named(at_stop), "right" if left else "left")
    leader(paper, (free[0] - way * 26, free[1]), free, placing.named(other), "left" if left else "right")
    level = stage.at(edge_x, low[1], (stop_z + floor) / 2)
    stop_words(paper, (level[0] + way * STOP_PX / 2, level[1]))
    # On the right the free edge is seen beside the front face.
    push_arrow(paper, (stage.at(free_x, high[1] if left else low[1], 0.0)[0], level[1]), setup.stop)
    top = stage.at(middle, deep, 0.0)
    leader(paper, (top[0] - 10, top[1] + 18), stage.at(middle, (low[1] + high[1]) / 2, 0.0), f"{placing.named('+z')} UP", "center")
    you_stand_here(paper)


def _behind(stage: Stage, backing_mm: float, placing: Placing, floor: float, room_mm: float, wanted_mm: float) -> None:
    """The plate and, before it, the backing piece."""
    beside = min(wanted_mm, room_mm)
    left, right = placing.low[0] - beside, placing.high[0] + beside
    stage.box((left, backing_mm, floor), (right, backing_mm + _PLATE_MM, 0.0), ("plate", "plate", "plate side"))
    stage.box((left, 0.0, floor), (right, backing_mm, 0.0), ("backing", "backing", "plate side"))
