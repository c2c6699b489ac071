"""A board on the machine as whoever stands there sees it: which end, which face, which edge, which stop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from camtools.pictures.board_sides import SHEET_MM, Placing, beyond_stop, clamp_line, placing_of, zone_of
from camtools.pictures.paper import XY, Align, Paper
from camtools.pictures.signs import arrow, clamp_words, draw_heading, edge_marks, operator
from camtools.pictures.stage import Face, Stage
from camtools.toolpath.moves import Point, Program, Setup
from camtools.wording import at_least

__all__ = ["setup_on"]

_WIDE, _HIGH = 900, 640
_TOP_PX, _BOTTOM_PX = 528.0, 52.0  # the picture lies between
_SIDE_PX = 198.0  # kept free beside the board for words
_STOP_PX = 70.0  # width of the stop
_ARROW_PX = 130.0
_LARGEST = 3.6  # px per mm
_UPRIGHT, _LYING = (0.35, 0.45), (0.18, 0.72)  # how a mm of Y is drawn: to the right, and up
_PLATE_MM, _CLAMP_MM = 14.0, 13.0
_WORDS_PX = 96.0  # of the face left free below the clamp
_PLATE_PX = 190.0  # of the plate to be seen beside the board
_BED_MM, _BEYOND_MM, _BEFORE_MM = 10.0, 26.0, 8.0  # of the bed: its thickness, shown beyond the board, shown before it
_REAR_MM, _GAP_MM, _BATTEN_MM = 16.0, 8.0, 26.0
_CLAMP_DEEP_MM, _CLAMP_HIGH_MM = 11.0, 12.0  # of a clamp on a flat board
_LONG_PX = 260.0  # of a board's length, at most, on the paper
_BED_PX = 150.0  # of the bed beside the board
_SHEET_BEYOND_MM = 9.0  # of a waste sheet, seen beside the board
_FENCE_PX = 28.0  # of the fence's upper side
_BED_TONES, _SHEET_TONES, _STOP_TONES, _CLAMP_TONES = (
    ("bed side", "bed", "bed side"),
    ("backing", "backing", "plate side"),
    ("stop side", "stop", "stop side"),
    ("clamp", "clamp", "clamp side"),
)


def setup_on(program: Program) -> Paper:
    """Draw the setup of a program.

    What the program takes away is drawn on the board's visible faces from the motion itself.
    """
    paper = Paper(_WIDE, _HIGH)
    draw_heading(paper, program)
    paper.draw([[(12, _HIGH - 100), (_WIDE - 12, _HIGH - 100)]], "thin")
    draw = _draw_upright if program.setup.hold == "upright" else _draw_lengthwise if program.setup.end == "groove" else _draw_flat
    draw(paper, program, placing_of(program.setup))
    operator(paper, (_WIDE / 2 - 70, 22), "You stand here")
    return paper


@dataclass(frozen=True, slots=True)
class _Stop:
    """The stop, seen from before it: where it stands, and what of the board lies at it and away from it."""

    left: bool
    edge_x: float  # of the board's edge or end at it
    free_x: float  # and of the other
    x: tuple[float, float]  # of its sides
    top: float

    @property
    def way(self) -> float:
        """Direction in X from the board to it."""
        return -1.0 if self.left else 1.0

    def drawn_with(self, draw_stop: Callable[[], None], draw_board: Callable[[], None]) -> None:
        """Draw stop and board: what lies further to the right is covered by what stands to its left."""
        for draw in (draw_stop, draw_board) if self.left else (draw_board, draw_stop):
            draw()

    def name_sides(self, paper: Paper, placing: Placing, words: tuple[XY, XY], targets: tuple[XY, XY]) -> None:
        """Name the board's side at the stop and its free one, words that far from what they name."""
        aligns: tuple[Align, Align] = ("right", "left") if self.left else ("left", "right")
        for away, (right, over), (x, y), align in zip((self.way, -self.way), words, targets, aligns, strict=True):
            _leader(paper, (x + away * right, y + over), (x, y), placing.named("-x" if away < 0 else "+x"), align)


def _stop_of(program: Program, placing: Placing, factor: float) -> _Stop:
    left = program.setup.stop == "left"
    edge, free = (placing.low[0], placing.high[0]) if left else (placing.high[0], placing.low[0])
    wide = _STOP_PX / factor
    return _Stop(left, edge, free, (edge - wide, edge) if left else (edge, edge + wide), placing.stop_top(program.setup))


def _draw_upright(paper: Paper, program: Program, placing: Placing) -> None:
    """Draw a board that stands upright."""
    setup, low, high = program.setup, placing.low, placing.high
    width, middle = high[0] - low[0], (low[0] + high[0]) / 2
    stop_z = placing.stop_top(setup)
    deep = setup.backing_mm + _PLATE_MM
    tall = _TOP_PX - _BOTTOM_PX - 34
    factor = min(_LARGEST, (paper.size[0] - 2 * _SIDE_PX) / width, (tall - _WORDS_PX) / (_CLAMP_MM - stop_z + _UPRIGHT[1] * deep))
    floor = max(low[2], _UPRIGHT[1] * deep - tall / factor)
    stage = Stage(paper, factor, (paper.size[0] / 2 - factor * middle, _BOTTOM_PX + 14 - factor * floor), _UPRIGHT)
    _behind(stage, setup.backing_mm, placing, floor, (paper.size[0] / 2 - 8) / factor - width / 2 - _UPRIGHT[0] * deep, _PLATE_PX / factor)

    stop = _stop_of(program, placing, factor)

    def draw_stop() -> None:
        stage.box((stop.x[0], low[1], floor), (stop.x[1], high[1], stop_z), ("stop", "stop top", "stop side"))

    def draw_board() -> None:
        dotted: Face | None = "front" if placing.sides["-y"] == "inside" else None
        stage.board(program, (low[0], low[1], floor), high, dotted=dotted, broken=("-z",) if floor > low[2] else ())

    stop.drawn_with(draw_stop, draw_board)
    clamp_z = stop_z - 3.0 - _CLAMP_MM
    inset = min(6.0, width * 0.1)
    clamp = ((low[0] + inset, low[1] - 10.0, clamp_z), (high[0] - inset, low[1], clamp_z + _CLAMP_MM))
    stage.box(*clamp, ("clamp", "clamp", "clamp side"))
    paper.write(stage.at(middle, clamp[0][1], clamp_z + _CLAMP_MM / 2), "clamp", size="small", align="center")

    face = stage.at(middle, low[1], (floor + clamp_z) / 2)
    _face_words(paper, (face[0], face[1] + 12), placing.named("-y"), factor * width)
    paper.write((face[0], face[1] - 12), "towards you", bold=True, align="center", ground="wood")
    mark = stage.at(stop.edge_x, low[1], stop_z * 0.68)
    edge_marks(paper, mark, (stop.way, 0.0), 16.0)
    edge, free = stage.at(stop.edge_x, low[1], stop_z * 0.55), stage.at(stop.free_x, low[1], stop_z * 0.55)
    stop.name_sides(paper, placing, ((26, 0), (26, 0)), (edge, free))
    level = stage.at(stop.edge_x, low[1], (stop_z + floor) / 2)
    paper.write((level[0] + stop.way * _STOP_PX / 2, level[1]), "STOP", size="mark", bold=True, tone="paper", align="center")
    # On the right the free edge is seen beside the front face.
    _push_arrow(paper, (stage.at(stop.free_x, high[1] if stop.left else low[1], 0.0)[0], level[1]), setup)
    top = stage.at(middle, deep, 0.0)
    _leader(paper, (top[0] - 10, top[1] + 18), stage.at(middle, (low[1] + high[1]) / 2, 0.0), f"{placing.named('+z')} UP", "center")


def _behind(stage: Stage, backing_mm: float, placing: Placing, floor: float, room_mm: float, wanted_mm: float) -> None:
    """The plate and, before it, the backing piece."""
    beside = min(wanted_mm, room_mm)
    left, right = placing.low[0] - beside, placing.high[0] + beside
    stage.box((left, backing_mm, floor), (right, backing_mm + _PLATE_MM, 0.0), ("plate", "plate", "plate side"))
    stage.box((left, 0.0, floor), (right, backing_mm, 0.0), ("backing", "backing", "plate side"))


def _lowest_px(height_px: float) -> float:
    """Lower edge of something of this height that stands in the middle of the picture, room for words above it."""
    return _BOTTOM_PX + max(0.0, (_TOP_PX - 30.0 - _BOTTOM_PX - height_px) / 2)


def _dotted(placing: Placing) -> Face | None:
    return "top" if placing.sides["+z"] == "inside" else None


def _draw_flat(paper: Paper, program: Program, placing: Placing) -> None:
    """Draw a board whose end is worked, lying away from the operator."""
    setup, low, high = program.setup, placing.low, placing.high
    width, length, thick, middle = high[0] - low[0], high[1] - low[1], high[2] - low[2], (low[0] + high[0]) / 2
    line = clamp_line(setup)
    reach = max(30.0, 14.0 - min(move.end[1] for cut in program.cuts for move in cut.moves), -(line or 0.0))
    tall = _TOP_PX - _BOTTOM_PX - 40
    factor = min(_LARGEST, (paper.size[0] - 2 * _SIDE_PX) / width, (tall - 100) / (_LYING[1] * (reach + _BEYOND_MM) + thick + _BED_MM))
    shown = min(length, (tall / factor - thick - _BED_MM) / _LYING[1] - _BEYOND_MM, _LONG_PX / factor / _LYING[1])
    near = high[1] - shown
    base = _lowest_px(factor * (_LYING[1] * (shown + _BEYOND_MM) + _BED_MM)) - factor * (_LYING[1] * (near - _BEFORE_MM) + low[2] - _BED_MM)
    x_px = paper.size[0] / 2 - factor * (middle + _LYING[0] * (near + high[1]) / 2)
    stage = Stage(paper, factor, (x_px, base), _LYING)
    wide = _BED_PX / factor
    beyond = beyond_stop(setup)
    bed_z = low[2] - (SHEET_MM if beyond else 0.0)
    bed_corner = (low[0] - wide, near - _BEFORE_MM, bed_z - _BED_MM)
    stage.box(bed_corner, (high[0] + wide, high[1] + _BEYOND_MM, bed_z), _BED_TONES)

    stop = _stop_of(program, placing, factor)
    if beyond:
        sheet_end = high[1] + (_SHEET_BEYOND_MM if setup.piece.corners else 0.0)
        stage.box((low[0] - _SHEET_BEYOND_MM, near - 4.0, bed_z), (high[0] + _SHEET_BEYOND_MM, sheet_end, low[2]), _SHEET_TONES)

    def draw_stop() -> None:
        stage.box((stop.x[0], near, bed_z), (stop.x[1], high[1] - beyond, stop.top), _STOP_TONES)

    def draw_board() -> None:
        stage.board(program, (low[0], near, low[2]), high, dotted=_dotted(placing), broken=("-y",) if shown < length else ())

    stop.drawn_with(draw_stop, draw_board)
    if line is not None:
        inset = min(6.0, width * 0.1)
        paper.draw([[stage.at(low[0], line, 0.0), stage.at(high[0], line, 0.0)]], "axis")
        stage.box((low[0] + inset, line - _CLAMP_DEEP_MM, 0.0), (high[0] - inset, line - 1.0, _CLAMP_HIGH_MM), _CLAMP_TONES)
        clamp_words(paper, stage.at(middle, line - _CLAMP_DEEP_MM, _CLAMP_HIGH_MM / 2), setup, line, factor * (width - 2 * inset))

    words = stage.at(middle, near + 4.0, 0.0)
    _face_words(paper, (words[0], words[1] + 8), f"{placing.named('+z')} UP", factor * width)
    mark = stage.at(stop.edge_x, high[1] - reach * 0.7, 0.0)
    edge_marks(paper, mark, (stop.way, 0.0), 16.0)
    far, free = stage.at(stop.edge_x, high[1], stop.top), stage.at(stop.free_x, high[1] - 12.0, 0.0)
    corner = stage.at(stop.edge_x, high[1] - 2.0, 0.0)
    beside = (24 + stop.way * (far[0] - corner[0]), far[1] - corner[1] + 26)  # clear of the stop
    stop.name_sides(paper, placing, (beside, (24, 0)), (corner, free))
    name = stage.at(sum(stop.x) / 2, (near + high[1]) / 2, stop.top)
    paper.write((name[0] + stop.way * 8, name[1]), "STOP", size="mark", bold=True, tone="paper", align="center")
    end = stage.at(middle, high[1], 0.0)
    above = max(end[1] + 30, stage.at(middle, high[1] + _BEYOND_MM, low[2])[1] + 16)
    _leader(paper, (end[0] + 30, above), end, f"{placing.named('+y')}, away from you", "center")
    if beyond:
        told = f"The {setup.end} stands {at_least(beyond)} or more beyond the stop, on a waste sheet"
        paper.write((paper.size[0] / 2, _BOTTOM_PX - 2), told, size="label", bold=True, align="center", ground="paper")
        _leader(
            paper, stage.at(high[0] + 4 * _SHEET_BEYOND_MM, near, bed_z), stage.at(high[0] + 5.0, near + 4.0, low[2]), "waste sheet", "left"
        )
    _push_arrow(paper, stage.at(stop.free_x, near + shown * 0.5, low[2] if stop.left else 0.0), setup)


def _draw_lengthwise(paper: Paper, program: Program, placing: Placing) -> None:
    """Draw a board whose length lies along the fence. A long one is shown without its middle, so that its ends stay large."""
    setup, low, high = program.setup, placing.low, placing.high
    length, width, middle = high[0] - low[0], high[1] - low[1], (low[0] + high[0]) / 2
    half = max(1.1 * width, 70.0)
    left_out = length - 2 * half - _GAP_MM if length > 2 * half + 3 * _GAP_MM else 0.0
    part = half if left_out else length
    line, batten = clamp_line(setup), zone_of(setup, "batten")
    rear = _REAR_MM + (_BATTEN_MM if batten else 0.0)
    deep = _LYING[1] * (_BEFORE_MM + width + rear) + _BED_MM
    factor = min(_LARGEST, (paper.size[0] - 2 * _SIDE_PX) / (length - left_out), (_TOP_PX - _BOTTOM_PX - 70 - _FENCE_PX) / deep)
    fence = _FENCE_PX / factor / _LYING[1]
    base = _lowest_px(factor * deep + _FENCE_PX + 30.0) - factor * (low[2] - _BED_MM - _LYING[1] * (fence + _BEFORE_MM))
    x_px = paper.size[0] / 2 - factor * (middle + _LYING[0] * width / 2)
    stage = Stage(paper, factor, (x_px, base), _LYING)
    ends = {"left": stage.shifted(factor * left_out / 2), "right": stage.shifted(-factor * left_out / 2)}
    wide = _BED_PX / factor - left_out / 2
    bed_corner = (low[0] - wide, -fence - _BEFORE_MM, low[2] - _BED_MM)
    stage.box(bed_corner, (high[0] + wide, high[1] + rear, low[2]), _BED_TONES)
    if batten:
        corner = (high[0] + wide - 20, high[1] + _BATTEN_MM, batten.high[2])
        stage.box((low[0] - wide + 20, high[1], low[2]), corner, ("stop", "stop top", "stop side"))

    stop = _stop_of(program, placing, factor)
    own, free = (ends["left"], ends["right"]) if stop.left else (ends["right"], ends["left"])

    def draw_stop() -> None:
        own.box((stop.x[0], low[1], low[2]), (stop.x[1], high[1], stop.top), _STOP_TONES)

    def draw_board() -> None:
        if not left_out:
            stage.board(program, low, high, dotted=_dotted(placing))
            return
        cut_right: Point = (low[0] + half, high[1], high[2])
        cut_left: Point = (high[0] - half, low[1], low[2])
        ends["left"].board(program, low, cut_right, dotted=_dotted(placing), broken=("+x",))
        ends["right"].board(program, cut_left, high, dotted=_dotted(placing), broken=("-x",))

    def draw_clamps(line: float) -> None:
        back = min(line + _CLAMP_DEEP_MM, high[1] - 1.0)
        for view, start in ((ends["left"], low[0]), (ends["right"], high[0] - part)) if left_out else ((stage, low[0]),):
            paper.draw([[view.at(start, line, 0.0), view.at(start + part, line, 0.0)]], "axis")
            view.box((start + 0.15 * part, line + 1.0, 0.0), (start + 0.85 * part, back, _CLAMP_HIGH_MM), _CLAMP_TONES)
            clamp_words(paper, view.at(start + part / 2, line + 1.0, _CLAMP_HIGH_MM / 2), setup, line, factor * part * 0.7)

    stop.drawn_with(draw_stop, draw_board)
    if line is not None:
        draw_clamps(line)
    fence_z = min(stop.top, 0.0)
    stage.box((low[0] - wide + 4, -fence, low[2]), (high[0] + wide - 4, 0.0, fence_z), ("plate side", "plate", "plate side"))
    paper.write(stage.at(middle, -fence / 2, fence_z), f"{placing.named('-y')} at the fence", bold=True, align="center", ground="paper")
    own_mark = own.at(stop.edge_x - stop.way * 0.35 * part, 0.0, 0.0)
    near_mm = setup.piece.groove.edge_mm if setup.piece.groove else 20.0
    edge_marks(paper, own_mark, (0.0, -1.0), min(16.0, factor * _LYING[1] * near_mm - 4))

    # Words go on the part with the free end, so that they do not cross the break.
    # between groove and clamp where there is more room for them than behind it
    wall = max(move.end[1] + cut.cutter.diameter_mm / 2 for cut in program.cuts for move in cut.moves)
    free_y = (wall, high[1]) if line is None else max((wall, line), (line + _CLAMP_DEEP_MM, high[1]), key=lambda room: room[1] - room[0])
    _face_words(paper, free.at(stop.free_x + stop.way * part / 2, sum(free_y) / 2, 0.0), f"{placing.named('+z')} UP", factor * part)
    top = stage.at(middle, high[1], 0.0)
    paper.write((top[0] - 90, top[1] + 32), placing.named("+y"), bold=True, align="center", ground="paper")
    edge, end = own.at(stop.edge_x, high[1], 0.0), free.at(stop.free_x, high[1] * 0.85, 0.0)
    stop.name_sides(paper, placing, ((30, 26), (30, 8)), (edge, end))
    name = own.at(sum(stop.x) / 2, high[1] / 2, stop.top)
    number = f" {setup.setting.number}" if setup.setting.slid_mm else ""
    at, size = (name[0] + stop.way * 6, name[1]), "small" if number else "mark"
    paper.write(at, f"STOP{number}", size=size, bold=True, tone="paper", align="center")
    _push_arrow(paper, free.at(stop.free_x, high[1] * 0.4, low[2] if stop.left else 0.0), setup)
    if batten:
        behind = (ends["right"] if left_out else stage).at(high[0] - part * 0.3, high[1] + _BATTEN_MM - 4, batten.high[2])
        _leader(paper, (behind[0] + 40, behind[1] + 40), behind, "BATTEN, wedged", "left")
    arrow(paper, (top[0] + 30, top[1] + 60), (top[0] + 30, top[1] + 3), "push", 40.0)
    paper.write((top[0] + 58, top[1] + 34), "to the fence", size="mark", bold=True, ground="paper")


def _leader(paper: Paper, at: XY, target: XY, words: str, align: Align) -> None:
    """Write words and draw a line from them to what they name; near the sheet's edge the words move in."""
    wide = paper.width_of(words, bold=True) + 8
    x = {"left": min(at[0], paper.size[0] - wide), "center": at[0], "right": max(at[0], wide)}[align]
    start = {"left": (x - 4, at[1]), "right": (x + 4, at[1]), "center": (x, at[1] - 9 if target[1] < at[1] else at[1] + 9)}[align]
    paper.draw([[start, target]], "outline")
    paper.write((x, at[1]), words, bold=True, align=align, ground="paper")


def _push_arrow(paper: Paper, tip: XY, setup: Setup) -> None:
    """Draw the big arrow to the stop, its tip at the board's free end or edge, with words over it."""
    way = -1.0 if setup.stop == "left" else 1.0
    arrow(paper, (tip[0] - way * _ARROW_PX, tip[1]), (tip[0] - way * 8, tip[1]), "push", 40.0)
    align: Align = "left" if setup.stop == "left" else "right"
    words = f"to stop {setup.setting.number}" if setup.setting.slid_mm else f"to the {setup.stop} stop"
    paper.write((tip[0] - way * 12, tip[1] + 34), words, size="mark", bold=True, align=align, ground="paper")


def _face_words(paper: Paper, at: XY, words: str, room_px: float) -> None:
    """Name a face on the face itself, as large as it goes."""
    size = "mark" if paper.width_of(words, "mark", bold=True) < room_px - 16 else "small"
    paper.write(at, words, size=size, bold=True, align="center", ground="wood")
