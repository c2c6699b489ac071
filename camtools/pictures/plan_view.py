"""A program seen from above, as whoever stands at the machine looks down on it: X to the right, Y away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from camtools.pictures.board_sides import Placing, beyond_stop, clamp_line, placing_of, zone_of
from camtools.pictures.paper import Align, Paper, Scale, rectangle
from camtools.pictures.signs import arrow, arrowheads, clamp_words, edge_marks, face_dots, longest_of_curves, operator, torn, zero_mark
from camtools.pictures.traces import CutRun, Traced, runs_in_box, swept_of, trace_of
from camtools.toolpath.moves import Program, Setup
from camtools.wording import mm

__all__ = ["draw_plan"]

Area = tuple[float, float, float, float]  # left, bottom, right, top

_SIDE_PX = 190.0  # kept free at the left and right of motion and board for words
_FOOT_PX = 44.0  # for the operator
_HEAD_PX = 26.0  # for the heading
_PLATE_PX = 30.0
_LARGEST = 8.0  # px per mm
_STOP_PX = 84.0
_CLAMP_PX = 22.0
_SHEET_PX = 16.0  # of a waste sheet, seen beside the motion
_BACKING_MM = 13.0  # shown of the backing piece beyond the motion
_BROKEN_MM = 14.0  # shown of a long board beyond the motion


@dataclass(frozen=True, slots=True)
class _Scene:
    """What the parts of the plan share."""

    setup: Setup
    placing: Placing
    scale: Scale
    area: Area
    board: Area  # in px
    motion: Area  # in px: where the cutter's centre goes, board included
    broken: bool  # the board goes on beyond the lower edge of the picture
    stop_left: bool
    plate: float  # px at which the upright plate begins


def draw_plan(paper: Paper, program: Program, area: Area) -> None:
    """Draw board, hold, width of cut and centre line of a program into an area in px."""
    traces = [trace_of(cut) for cut in program.cuts]
    scene = _scene(program.setup, traces, area)
    _ground(paper, scene)
    _board(paper, scene, program, traces)
    _clamp(paper, scene)
    _stop(paper, scene)
    for trace in traces:
        _motion(paper, scene, runs_in_box(trace, scene.placing.low, scene.placing.high, program.cutter.diameter_mm / 2))
    _ends(paper, scene, traces)
    _words(paper, scene)


def _scene(setup: Setup, traces: Sequence[Traced], area: Area) -> _Scene:
    placing = placing_of(setup)
    low, high = placing.low, placing.high
    places = np.concatenate([part[:, :2] for trace in traces for part in (trace.starts, trace.ends)])
    (x0, y0), (x1, y1) = places.min(axis=0), places.max(axis=0)
    bottom = low[1]
    broken = setup.hold == "flat" and setup.end != "groove" and low[1] < y0 - 2 * _BROKEN_MM
    if broken:
        bottom = min(float(y0) - _BROKEN_MM / 2, clamp_line(setup) or 0.0) - _BROKEN_MM
    left, right = min(low[0], float(x0)), max(high[0], float(x1))
    near, far = min(bottom, float(y0)), max(high[1], float(y1))
    above_px = _HEAD_PX
    if setup.hold == "upright":
        far = max(far, _backing_shown(setup, float(y1)))
        above_px += _PLATE_PX + 8
    below_px = _FOOT_PX + (46.0 if setup.end == "groove" else 30.0 if setup.hold == "flat" else 12.0)
    above_px += 30.0 if setup.end == "groove" else 6.0
    wide, tall = area[2] - area[0] - 2 * _SIDE_PX, area[3] - area[1] - above_px - below_px
    factor = min(_LARGEST, wide / (right - left), tall / (far - near))
    middle_px = ((area[0] + area[2]) / 2, area[1] + below_px + (tall - factor * (far - near)) / 2)
    scale = Scale(factor, ((left + right) / 2, near), middle_px)
    return _Scene(
        setup=setup,
        placing=placing,
        scale=scale,
        area=area,
        board=(*scale.at(low[0], bottom), *scale.at(high[0], high[1])),
        motion=(*scale.at(left, near), *scale.at(right, far)),
        broken=broken,
        stop_left=setup.stop == "left",
        plate=scale.at(0, _backing_shown(setup, float(y1)))[1],
    )


def _backing_shown(setup: Setup, reach_mm: float) -> float:
    """How much of a thick backing piece is drawn before it is broken off."""
    return min(setup.backing_mm, reach_mm + _BACKING_MM)


def _ground(paper: Paper, scene: _Scene) -> None:
    """The plate with its backing, or the bed with its fence."""
    left, bottom, right, top = scene.area
    setup = scene.setup
    if setup.hold == "upright":
        face, plate = scene.scale.at(0, 0)[1], scene.plate
        paper.fill([rectangle(left, face, right, plate)], "backing", "thin")
        paper.fill([rectangle(left, plate, right, plate + _PLATE_PX)], "plate", "thin")
        return
    paper.fill([rectangle(left, bottom + _FOOT_PX, right, top - _HEAD_PX + 4)], "bed")
    if beyond_stop(setup):
        low_x, low_y, high_x, high_y = scene.motion
        end = min(high_y + _SHEET_PX, top - _HEAD_PX) if setup.piece.corners else scene.board[3]  # where the cutter comes in lies none
        paper.fill([rectangle(low_x - _SHEET_PX, low_y, high_x + _SHEET_PX, end)], "backing", "thin")
    if setup.end == "groove":
        edge = scene.board[1]
        paper.fill([rectangle(left, edge - 40, right, edge)], "plate", "thin")


def _board(paper: Paper, scene: _Scene, program: Program, traces: Sequence[Traced]) -> None:
    """The board, and what each cutter takes of it at its tip and at the top."""
    setup, (left, bottom, right, top) = scene.setup, scene.board
    shape = rectangle(left, bottom, right, top)
    if scene.broken:
        shape = [(left, top), (right, top), *torn((right, bottom), (left, bottom), (0.0, 4.0), 24.0).tolist()]
    paper.fill([shape], "wood end" if setup.hold == "upright" else "wood")
    low, high = scene.placing.low, scene.placing.high
    within = shapely.box(low[0], low[1], high[0], high[1] + setup.backing_mm)  # what is cut of the backing is worth seeing
    deepest = [trace.deepest() for trace in traces]
    for cut, trace in zip(program.cuts, deepest, strict=True):
        tip = swept_of(trace, cut.cutter.diameter_mm / 2)
        paper.fill_region(tip.intersection(within), scene.scale, "tip", "band")
    for cut, trace in zip(program.cuts, deepest, strict=True):
        if cut.cutter.angle_deg:
            depth = -float(trace.ends[:, 2].min())
            mouth = swept_of(trace, cut.cutter.radius_at(depth))
            paper.fill_region(mouth.intersection(within), scene.scale, "top", "band")
    if setup.hold == "flat":
        face_dots(paper, (left, bottom), (right - left, 0), (0, top - bottom), 22.0, 1.3)
    else:
        inside = scene.placing.towards("inside")
        level = top + 5 if inside == "+y" else bottom - 5
        face_dots(paper, (left, level), (right - left, 0), (0, 0), 9.0, 1.6)
    for joint in range(1, program.stacked):  # where one board of a stack bears on the next
        level = bottom + (top - bottom) * joint / program.stacked
        paper.draw([[(left, level), (right, level)]], "outline")
    paper.draw([[*shape, shape[0]]] if not scene.broken else [[*shape[2:], *shape[:3]]], "outline")


def _clamp(paper: Paper, scene: _Scene) -> None:
    """The line that clamps on the face stay behind, and one at it."""
    setup, (left, _, right, _) = scene.setup, scene.board
    line = clamp_line(setup)
    if line is not None:
        y = scene.scale.at(0, line)[1]
        deep = _CLAMP_PX if setup.end == "groove" else -_CLAMP_PX
        paper.draw([[(left, y), (right, y)]], "axis")
        paper.fill([rectangle(left + 8, min(y, y + deep), right - 8, max(y, y + deep))], "clamp", "thin")
        clamp_words(paper, ((left + right) / 2, y + deep / 2), setup, line, right - left - 16)
    if batten := zone_of(setup, "batten"):
        y = scene.scale.at(0, batten.low[1])[1]
        paper.fill([rectangle(scene.area[0], y, scene.area[2], y + _CLAMP_PX)], "stop", "thin")
        x = right - 8 if scene.stop_left else left + 8
        align: Align = "right" if scene.stop_left else "left"
        paper.write((x, y + _CLAMP_PX / 2), "BATTEN, wedged", bold=True, tone="paper", align=align)


def _stop(paper: Paper, scene: _Scene) -> None:
    """The stop, and the sign of the reference edge on the board."""
    left, bottom, right, top = scene.board
    end = top - scene.scale.px_per_mm * beyond_stop(scene.setup)
    block = (left - _STOP_PX, bottom, left, end) if scene.stop_left else (right, bottom, right + _STOP_PX, end)
    if scene.setup.end == "groove":
        block = (block[0], bottom - 40, block[2], top)
    paper.fill([rectangle(*block)], "stop", "outline")
    x, y = (block[0] + block[2]) / 2, (bottom + top) / 2
    number = f" {scene.setup.setting.number}" if scene.setup.setting.slid_mm else ""
    away = 0.0 if scene.setup.end == "groove" else 10.0 if number else 14.0
    shift = -away if scene.stop_left else away
    paper.write((x + shift, y), f"STOP{number}", size="small" if number else "label", bold=True, tone="paper", align="center")
    towards = scene.placing.towards("reference edge")
    if towards == "-y":
        groove = scene.setup.piece.groove
        size = 15.0 if groove is None else min(15.0, scene.scale.px_per_mm * groove.edge_mm - 5)
        edge_marks(paper, ((left + right) / 2, bottom), (0.0, -1.0), size)
        return
    line = clamp_line(scene.setup)
    at = (left if towards == "-x" else right, y if line is None else top + 0.8 * (scene.scale.at(0, line)[1] - top))
    size = min(15.0, (top - bottom) * 0.4)
    ground = "wood end" if scene.setup.hold == "upright" else "wood"
    edge_marks(paper, at, (-1.0 if towards == "-x" else 1.0, 0.0), size, ground)


def _motion(paper: Paper, scene: _Scene, runs: Sequence[CutRun]) -> None:
    """The centre line by kind of move."""
    for run in runs:
        parts = scene.scale.of(run.parts)
        paper.draw(list(parts), run.kind)
        if run.kind == "wood":
            arrowheads(paper, parts[longest_of_curves(parts)], "ink")
            paper.dots(scene.scale.of(run.exits), 4.0, "paper", "thin")
            paper.dots(scene.scale.of(run.entries), 4.0, "ink")


def _ends(paper: Paper, scene: _Scene, traces: Sequence[Traced]) -> None:
    """Where the cutter comes down first and rises last."""
    start = scene.scale.at(*traces[0].starts[0, :2])
    end = scene.scale.at(*traces[-1].ends[-1, :2])
    paper.fill([rectangle(end[0] - 6, end[1] - 6, end[0] + 6, end[1] + 6)], "paper", "outline")
    paper.fill([[(start[0] - 8, start[1] + 7), (start[0] + 8, start[1] + 7), (start[0], start[1] - 8)]], "push", "thin")


def _words(paper: Paper, scene: _Scene) -> None:
    setup, area, board, motion = scene.setup, scene.area, scene.board, scene.motion
    paper.write((area[0] + 10, area[3] - 12), "Seen from above", bold=True)
    free = "+x" if scene.stop_left else "-x"
    at_stop = "-x" if scene.stop_left else "+x"
    zero = scene.scale.at(0, 0)
    zero_mark(paper, zero)
    if setup.setting.slid_mm:
        way = 14 if scene.stop_left else -14
        told = f"X zero, {mm(setup.setting.slid_mm)} from stop {setup.setting.number}"
        paper.write((zero[0] + way, zero[1] + 14), told, size="small", align="left" if scene.stop_left else "right", ground="wood")
    middle = (board[1] + board[3]) / 2
    if setup.hold == "upright":
        rows = [(board[3] + 13, "+y"), (middle, free), (board[1] - 13, "-y")]
        look = f"You stand here and look at the {scene.placing.named('-y')}; the {scene.placing.named('+z')} is up"
        plate = f"upright plate, with a backing piece {mm(setup.backing_mm)} thick"
        paper.write(((area[0] + area[2]) / 2, scene.plate + _PLATE_PX / 2), plate, align="center")
    elif setup.end == "groove":
        rows = [(middle, free)]
        look = "You stand here, the reference edge is nearest to you"
        paper.write(((board[0] + board[2]) / 2, board[3] + 14), scene.placing.named("+y"), bold=True, align="center", ground="bed")
    else:
        rows = [(board[3], "+y"), (middle, free)]
        look = f"You stand here, the {setup.end} lies away from you"
    for y, direction in rows:
        _beside(paper, scene, y, direction)
    _inside_words(paper, scene)
    _at_stop(paper, scene, at_stop, motion)
    operator(paper, ((area[0] + area[2]) / 2 - 210, area[1] + 20), look)
    _axes(paper, (area[2] - 80 if scene.stop_left else area[0] + 26, area[1] + 14))  # away from the words at the stop


def _beside(paper: Paper, scene: _Scene, y: float, direction: str) -> None:
    """Name a side at the board's free end, with a leader to it."""
    board, motion = scene.board, scene.motion
    if scene.stop_left:
        x, edge, inner = max(board[2], motion[2]) + 14, board[2], board[2] - 10
    else:
        x, edge, inner = min(board[0], motion[0]) - 14, board[0], board[0] + 10
    target = {"+y": (inner, board[3]), "-y": (inner, board[1])}.get(direction, (edge, y))
    paper.draw([[(x + (-3 if scene.stop_left else 3), y), target]], "leader")
    ground = "paper" if scene.setup.hold == "upright" else "bed"
    paper.write((x, y), scene.placing.named(direction), bold=True, align="left" if scene.stop_left else "right", ground=ground)


def _inside_words(paper: Paper, scene: _Scene) -> None:
    if scene.setup.hold == "upright":
        return
    board = scene.board
    words = f"{scene.placing.named('+z')} UP"
    line = clamp_line(scene.setup)
    y = board[1] + 26 if line is None else scene.scale.at(0, line)[1] + 16
    if scene.setup.end == "groove":
        behind = board[3] - _behind_clamp(scene)
        y = board[3] - (48 if behind > 100 else 18) if behind > 36 else y - 30
    paper.write(((board[0] + board[2]) / 2, y), words, bold=True, align="center", ground="wood")


def _behind_clamp(scene: _Scene) -> float:
    """Height on the paper above which the face of a board with a groove is free of clamps."""
    line = clamp_line(scene.setup)
    return scene.board[1] if line is None else scene.scale.at(0, line)[1] + _CLAMP_PX


def _at_stop(paper: Paper, scene: _Scene, direction: str, motion: Area) -> None:
    board = scene.board
    align: Align = "right" if scene.stop_left else "left"
    if scene.setup.end == "groove":
        edge = board[0] if scene.stop_left else board[2]
        x = edge + (22 if scene.stop_left else -22)
        # On a low board the words would hide groove or clamp, so they stand over its corner.
        low_board = board[3] - max(board[1] + 40, _behind_clamp(scene)) < 30
        y, target = (board[3] + 14, (edge, board[3])) if low_board else (board[3] - 18, (edge, board[3] - 18))
        paper.draw([[(x, y), target]], "outline")
        inwards: Align = "left" if scene.stop_left else "right"
        paper.write((x, y), scene.placing.named(direction), bold=True, align=inwards, ground="bed" if low_board else "wood")
        shift = -30 if scene.stop_left else 30
        paper.write(
            ((board[0] + board[2]) / 2 - shift, board[1] - 22), f"{scene.placing.named('-y')} at the fence", bold=True, align=inwards
        )
        return
    x = motion[0] - 12 if scene.stop_left else motion[2] + 12
    paper.write((x, board[1] - 16), scene.placing.named(direction), bold=True, align=align)


def _axes(paper: Paper, at: tuple[float, float]) -> None:
    paper.keep_free((at[0] - 5, at[1] - 5, at[0] + 46, at[1] + 46), "axes")
    arrow(paper, at, (at[0] + 46, at[1]), "paper", 9.0)
    arrow(paper, at, (at[0], at[1] + 46), "paper", 9.0)
    paper.write((at[0] + 52, at[1]), "X", bold=True)
    paper.write((at[0], at[1] + 56), "Y", bold=True, align="center")
