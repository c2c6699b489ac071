"""A board lying on the bed: its end away from the operator for a joint, or its length along a fence for a groove."""

from __future__ import annotations

from camtools.pictures.board_sides import Placing
from camtools.pictures.callouts import BOTTOM_PX, SIDE_PX, STOP_PX, TOP_PX, face_words, leader, push_arrow, stop_words, you_stand_here
from camtools.pictures.paper import Paper
from camtools.pictures.signs import arrow, edge_marks
from camtools.pictures.stage import Face, Stage
from camtools.toolpath.moves import Point, Program

__all__ = ["draw_flat", "draw_lengthwise"]

_AWAY = (0.18, 0.72)
_LARGEST = 3.6  # px per mm
_BED_MM, _BEYOND_MM, _BEFORE_MM = 10.0, 26.0, 8.0  # of the bed: its thickness, shown beyond the board, shown before it
_REAR_MM, _GAP_MM = 16.0, 8.0
_LONG_PX = 260.0  # of a board's length, at most, on the paper
_BED_PX = 150.0  # of the bed beside the board
_FENCE_PX = 28.0  # of the fence's upper side
_BED_TONES, _STOP_TONES, _CLAMP_TONES = (
    ("bed side", "bed", "bed side"),
    ("stop side", "stop", "stop side"),
    ("clamp", "clamp", "clamp side"),
)


def _lowest_px(height_px: float) -> float:
    """Lower edge of something of this height that stands in the middle of the picture, room for words above it."""
    return BOTTOM_PX + max(0.0, (TOP_PX - 30.0 - BOTTOM_PX - height_px) / 2)


def _dotted(placing: Placing) -> Face | None:
    return "top" if placing.sides["+z"] == "inside" else None


def draw_flat(paper: Paper, program: Program, placing: Placing) -> None:
    """Draw a board whose end is worked, lying away from the operator."""
    setup, low, high = program.setup, placing.low, placing.high
    width, length, thick, middle = high[0] - low[0], high[1] - low[1], high[2] - low[2], (low[0] + high[0]) / 2
    reach = max(30.0, 14.0 - min(move.end[1] for cut in program.cuts for move in cut.moves))
    tall = TOP_PX - BOTTOM_PX - 40
    factor = min(_LARGEST, (paper.size[0] - 2 * SIDE_PX) / width, (tall - 100) / (_AWAY[1] * (reach + _BEYOND_MM) + thick + _BED_MM))
    shown = min(length, (tall / factor - thick - _BED_MM) / _AWAY[1] - _BEYOND_MM, _LONG_PX / factor / _AWAY[1])
    near = high[1] - shown
    base = _lowest_px(factor * (_AWAY[1] * (shown + _BEYOND_MM) + _BED_MM)) - factor * (_AWAY[1] * (near - _BEFORE_MM) + low[2] - _BED_MM)
    x_px = paper.size[0] / 2 - factor * (middle + _AWAY[0] * (near + high[1]) / 2)
    stage = Stage(paper, factor, (x_px, base), _AWAY)
    wide = _BED_PX / factor
    bed_corner = (low[0] - wide, near - _BEFORE_MM, low[2] - _BED_MM)
    stage.box(bed_corner, (high[0] + wide, high[1] + _BEYOND_MM, low[2]), _BED_TONES)

    left = setup.stop == "left"
    edge_x, free_x, way = (low[0], high[0], -1.0) if left else (high[0], low[0], 1.0)
    stop_x, stop_z = edge_x + way * STOP_PX / factor, placing.stop_top(setup)

    def draw_stop() -> None:
        stage.box((min(edge_x, stop_x), near, low[2]), (max(edge_x, stop_x), high[1], stop_z), _STOP_TONES)

    def draw_board() -> None:
        stage.board(program, (low[0], near, low[2]), high, dotted=_dotted(placing), broken=("-y",) if shown < length else ())

    for draw in (draw_stop, draw_board) if left else (draw_board, draw_stop):
        draw()
    if shown - reach > 24.0:
        clamp_y, inset = near + (shown - reach) * 0.42, min(6.0, width * 0.1)
        stage.box((low[0] + inset, clamp_y - 6.0, 0.0), (high[0] - inset, clamp_y + 6.0, 8.0), _CLAMP_TONES)
        paper.write(stage.at(middle, clamp_y - 6.0, 4.0), "clamp", size="small", align="center")

    words = stage.at(middle, near + 8.0, 0.0)
    face_words(paper, (words[0], words[1] + 8), f"{placing.named('+z')} UP", factor * width)
    mark = stage.at(edge_x, high[1] - reach - 6.0, 0.0)
    edge_marks(paper, (mark[0] - way * 3, mark[1]), (way, 0.0), 16.0)
    at_stop, other = ("-x", "+x") if left else ("+x", "-x")
    far, free = stage.at(edge_x, high[1], stop_z), stage.at(free_x, high[1] - 12.0, 0.0)
    corner = stage.at(edge_x, high[1] - 2.0, 0.0)
    leader(paper, (far[0] + way * 24, far[1] + 26), corner, placing.named(at_stop), "right" if left else "left")
    leader(paper, (free[0] - way * 24, free[1]), free, placing.named(other), "left" if left else "right")
    name = stage.at((edge_x + stop_x) / 2, (near + high[1]) / 2, stop_z)
    stop_words(paper, (name[0] + way * 8, name[1]))
    end = stage.at(middle, high[1], 0.0)
    above = max(end[1] + 30, stage.at(middle, high[1] + _BEYOND_MM, low[2])[1] + 16)
    leader(paper, (end[0] + 30, above), end, f"{placing.named('+y')}, away from you", "center")
    push_arrow(paper, stage.at(free_x, near + shown * 0.5, low[2] if left else 0.0), setup.stop)
    you_stand_here(paper)


def draw_lengthwise(paper: Paper, program: Program, placing: Placing) -> None:
    """Draw a board whose length lies along the fence. A long one is shown without its middle, so that its ends stay large."""
    setup, low, high = program.setup, placing.low, placing.high
    length, width, middle = high[0] - low[0], high[1] - low[1], (low[0] + high[0]) / 2
    half = max(1.1 * width, 70.0)
    left_out = length - 2 * half - _GAP_MM if length > 2 * half + 3 * _GAP_MM else 0.0
    part = half if left_out else length
    deep = _AWAY[1] * (_BEFORE_MM + width + _REAR_MM) + _BED_MM
    factor = min(_LARGEST, (paper.size[0] - 2 * SIDE_PX) / (length - left_out), (TOP_PX - BOTTOM_PX - 70 - _FENCE_PX) / deep)
    fence = _FENCE_PX / factor / _AWAY[1]
    base = _lowest_px(factor * deep + _FENCE_PX + 30.0) - factor * (low[2] - _BED_MM - _AWAY[1] * (fence + _BEFORE_MM))
    x_px = paper.size[0] / 2 - factor * (middle + _AWAY[0] * width / 2)
    stage = Stage(paper, factor, (x_px, base), _AWAY)
    ends = {"left": stage.shifted(factor * left_out / 2), "right": stage.shifted(-factor * left_out / 2)}
    wide = _BED_PX / factor - left_out / 2
    bed_corner = (low[0] - wide, -fence - _BEFORE_MM, low[2] - _BED_MM)
    stage.box(bed_corner, (high[0] + wide, high[1] + _REAR_MM, low[2]), _BED_TONES)

    left = setup.stop == "left"
    edge_x, free_x, way = (low[0], high[0], -1.0) if left else (high[0], low[0], 1.0)
    stop_x, stop_z = edge_x + way * STOP_PX / factor, placing.stop_top(setup)
    own, free = (ends["left"], ends["right"]) if left else (ends["right"], ends["left"])

    def draw_stop() -> None:
        own.box((min(edge_x, stop_x), low[1], low[2]), (max(edge_x, stop_x), high[1], stop_z), _STOP_TONES)

    def draw_board() -> None:
        if not left_out:
            stage.board(program, low, high, dotted=_dotted(placing))
            return
        cut_right: Point = (low[0] + half, high[1], high[2])
        cut_left: Point = (high[0] - half, low[1], low[2])
        ends["left"].board(program, low, cut_right, dotted=_dotted(placing), broken=("+x",))
        ends["right"].board(program, cut_left, high, dotted=_dotted(placing), broken=("-x",))

    for draw in (draw_stop, draw_board) if left else (draw_board, draw_stop):
        draw()
    fence_z = min(stop_z, 0.0)
    stage.box((low[0] - wide + 4, -fence, low[2]), (high[0] + wide - 4, 0.0, fence_z), ("plate side", "plate", "plate side"))
    named = paper.write(
        stage.at(middle, -fence / 2, fence_z), f"{placing.named('-y')} at the fence", bold=True, align="center", ground="paper"
    )
    edge_marks(paper, (named.box[0] - 34, stage.at(middle, 0.0, fence_z)[1] - 1), (0.0, 1.0), 18.0)

    # Words go on the part with the free end, so that they do not cross the break.
    face_words(paper, free.at(free_x + way * part / 2, high[1] * 0.62, 0.0), f"{placing.named('+z')} UP", factor * part)
    top = stage.at(middle, high[1], 0.0)
    paper.write((top[0] - 90, top[1] + 16), placing.named("+y"), bold=True, align="center", ground="paper")
    at_stop, other = ("-x", "+x") if left else ("+x", "-x")
    edge, end = own.at(edge_x, high[1], 0.0), free.at(free_x, high[1] * 0.85, 0.0)
    leader(paper, (edge[0] + way * 30, edge[1] + 26), edge, placing.named(at_stop), "right" if left else "left")
    leader(paper, (end[0] - way * 30, end[1] + 8), end, placing.named(other), "left" if left else "right")
    name = own.at((edge_x + stop_x) / 2, high[1] / 2, stop_z)
    stop_words(paper, (name[0] + way * 6, name[1]))
    push_arrow(paper, free.at(free_x, high[1] * 0.4, low[2] if left else 0.0), setup.stop)
    arrow(paper, (top[0] + 30, top[1] + 60), (top[0] + 30, top[1] + 3), "push", 40.0)
    paper.write((top[0] + 58, top[1] + 34), "to the fence", size="mark", bold=True, ground="paper")
    you_stand_here(paper)
