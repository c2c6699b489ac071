"""Signs that mean the same in every picture: two triangles on the wood point out at the reference edge, dots lie on the inside face.

A key plan shows the drawer from above, its front nearest to you, with the board in hand black; boards of the left carry a
white badge, boards of the right a black one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from camtools.pictures.paper import XY, Paper, rectangle
from camtools.toolpath.moves import Program, Setup
from camtools.wording import at_least

__all__ = [
    "arrow",
    "arrowheads",
    "clamp_words",
    "draw_heading",
    "edge_marks",
    "edge_triangles",
    "face_dots",
    "hatch",
    "head_board",
    "longest_of_curves",
    "operator",
    "torn",
    "zero_mark",
]

Floats = NDArray[np.float64]

_SAME_PX = 0.5
_LINE_PX = 17.0  # from one line of small words to the next
_TITLES = ("title", "badge", "mark", "label")  # sizes of letters, the largest that fits
_SMOOTH = math.cos(math.radians(25))  # of the bend from one part of a curve to the next


def _turned(shape: Sequence[XY], at: XY, way: XY) -> list[XY]:
    """Put a shape drawn along +x at a place, looking along ``way``."""
    length = math.hypot(*way)
    c, s = way[0] / length, way[1] / length
    return [(at[0] + c * x - s * y, at[1] + s * x + c * y) for x, y in shape]


def arrow(paper: Paper, start: XY, end: XY, tone: str, width_px: float) -> None:
    """Draw a broad arrow with a black outline.

    Parameters
    ----------
    start, end
        Its tail and its tip in px; they must differ.
    tone
        A name of `TONES`, or KeyError.
    width_px
        Of its head, twice that of its shaft.
    """
    length = math.dist(start, end)
    head, half = min(width_px * 1.1, length * 0.6), width_px / 2
    shape = [(0, -half / 2), (length - head, -half / 2), (length - head, -half), (length, 0)]
    shape += [(x, -y) for x, y in reversed(shape[:-1])]
    paper.fill([_turned(shape, start, (end[0] - start[0], end[1] - start[1]))], tone, "thin")


def arrowheads(paper: Paper, parts: Floats, tone: str, size_px: float = 9.0, *, at_end: bool = False) -> None:
    """Put a filled head on straight parts; those shorter than 1.6 heads get none.

    Parameters
    ----------
    parts
        Starts and ends, ``(n, 2, 2)`` in px.
    tone
        A name of `TONES`, or KeyError.
    at_end
        Put it at the part's end rather than before its middle.
    """
    way = parts[:, 1] - parts[:, 0]
    length = np.hypot(way[:, 0], way[:, 1])
    long = length > size_px * 1.6
    unit = way[long] / length[long][:, None]
    across = np.column_stack([-unit[:, 1], unit[:, 0]])
    # Not in the very middle, so that heads of a line run both ways stand apart.
    tip = parts[long, 1] if at_end else parts[long, 0] + 0.36 * (parts[long, 1] - parts[long, 0]) + unit * size_px / 2
    back = tip - unit * size_px
    paper.fill(np.stack([tip, back + across * size_px * 0.38, back - across * size_px * 0.38], axis=1), tone)


def longest_of_curves(parts: Floats) -> NDArray[np.intp]:
    """Return which of straight parts, ``(n, 2, 2)``, are the longest of the curve that they make up: one of each arc and its tangents."""
    way = parts[:, 1] - parts[:, 0]
    length = np.hypot(way[:, 0], way[:, 1])
    unit = way / np.maximum(length, 1e-9)[:, None]
    joined = np.hypot(*(parts[1:, 0] - parts[:-1, 1]).T) < _SAME_PX
    smooth = np.sum(unit[1:] * unit[:-1], axis=1) > _SMOOTH
    curve = np.cumsum(np.concatenate([[True], ~(joined & smooth)])[: len(parts)])
    order = np.lexsort((-length, curve))
    return np.sort(order[np.unique(curve[order], return_index=True)[1]])


def edge_marks(paper: Paper, edge: XY, outwards: XY, size_px: float = 15.0, ground: str | None = None) -> None:
    """Draw the sign of the reference edge as it is pencilled on a board: two filled triangles on the wood, their tips at the edge.

    Parameters
    ----------
    edge
        Place on the edge, between the tips, in px.
    outwards
        Out of the wood, towards stop or fence: of any length but 0.
    size_px
        From a triangle's tip to its base.
    ground
        Tone of a box behind them, 3 px larger than they are, for where they stand on something dark.
    """
    if ground:
        paper.fill([_turned(rectangle(-size_px - 5, -size_px * 1.25, -1, size_px * 1.25), edge, outwards)], ground)
    paper.fill(edge_triangles(edge, outwards, size_px, 2.0), "ink")


def edge_triangles(edge: XY, outwards: XY, size: float, inside: float) -> list[list[XY]]:
    """Return both triangles of the sign of the reference edge, their tips that far inside of the edge."""
    one = [(-inside, 0.0), (-inside - size, size * 0.5), (-inside - size, -size * 0.5)]
    return [_turned([(x, y + shift) for x, y in one], edge, outwards) for shift in (-size * 0.55, size * 0.55)]


def face_dots(paper: Paper, corner: XY, along: XY, across: XY, step_px: float = 13.0, radius_px: float = 1.6) -> None:
    """Draw the sign of the inside face: dots over a parallelogram, or in a row where ``across`` is (0, 0).

    Parameters
    ----------
    corner, along, across
        A corner of the parallelogram and its sides from there, in px.
    step_px, radius_px
        How far dots stand apart, and their size.
    """
    columns = max(1, int(math.hypot(*along) / step_px))
    rows = max(1, int(math.hypot(*across) / step_px))
    i, j = np.meshgrid((np.arange(columns) + 0.5) / columns, (np.arange(rows) + 0.5) / rows)
    x = corner[0] + i * along[0] + j * across[0]
    y = corner[1] + i * along[1] + j * across[1]
    paper.dots(np.column_stack([x.ravel(), y.ravel()]), radius_px, "ink")


def torn(start: XY, end: XY, swing: XY, tooth_px: float) -> Floats:
    """Return the line of a break, ``(n, 2)`` in px: teeth swing that far to one side, half as far to the other, alike from both ends."""
    count = 2 * max(2, round(math.dist(start, end) / tooth_px / 2))
    line = np.linspace(start, end, count + 1)
    line[1::2] += swing
    line[2:-1:2] -= np.array(swing) / 2
    return line


def hatch(paper: Paper, region: shapely.Geometry, step_px: float = 10.0) -> None:
    """Hatch a region, in px, that is to be kept clear."""
    if region.is_empty:
        return
    left, bottom, right, top = region.bounds
    starts = np.arange(left - (top - bottom), right, step_px * math.sqrt(2))
    ends = np.stack([np.column_stack([starts, 0 * starts + bottom]), np.column_stack([starts + top - bottom, 0 * starts + top])], axis=1)
    parts = shapely.get_parts(shapely.intersection(shapely.linestrings(ends), region))
    lines = parts[(shapely.get_type_id(parts) == 1) & (shapely.length(parts) > _SAME_PX)]
    paper.draw(np.stack([shapely.get_coordinates(shapely.get_point(lines, i)) for i in (0, -1)], axis=1), "hatch")


def zero_mark(paper: Paper, at: XY, radius_px: float = 9.0) -> None:
    """Draw the sign of program zero: a disc of four quarters, two of them black."""
    paper.dots([at], radius_px, "paper", "outline")
    turn = np.linspace(0, math.pi / 2, 10)
    quarter = np.vstack([[0, 0], np.column_stack([np.cos(turn), np.sin(turn)]) * radius_px])
    paper.fill([quarter + at, -quarter + at], "ink")


def operator(paper: Paper, at: XY, words: str) -> None:
    """Draw whoever stands at the machine, from above and looking up the sheet, with words beside."""
    x, y = at
    turn = np.linspace(0, 2 * math.pi, 40)
    shoulders = np.column_stack([x + 26 * np.cos(turn), y - 4 + 9 * np.sin(turn)])
    paper.fill([shoulders], "stop side")
    paper.fill([[(x - 7, y + 8), (x + 7, y + 8), (x, y + 18)]], "ink")
    paper.dots([(x, y)], 9.0, "paper", "outline")
    paper.write((x + 36, y), words, size="label", bold=True)


def _badge(paper: Paper, box: tuple[float, float, float, float], role: str) -> None:
    """Write the role so that left and right differ without reading: white on the left, black on the right."""
    left, bottom, right, top = box
    black = role == "right side"
    paper.fill([rectangle(*box)], "ink" if black else "paper", "outline")
    bar = {"left side": (left, bottom, left + 9, top), "front": (left, bottom, right, bottom + 7), "back": (left, top - 7, right, top)}
    if role in bar:
        paper.fill([rectangle(*bar[role])], "ink")
    shift = 4 if role == "left side" else 0
    lift = {"front": 3, "back": -3}.get(role, 0)
    middle = ((left + right) / 2 + shift, (bottom + top) / 2 + lift)
    paper.write(middle, role.upper(), size="badge", bold=True, tone="paper" if black else "ink", align="center", room_px=right - left - 12)


def _key_plan(paper: Paper, box: tuple[float, float, float, float], role: str, end: str) -> None:
    """Draw a drawer from above, front nearest, with the board in hand black and a ring at the end worked."""
    left, bottom, right, top = box
    wide, thin = 13.0, 10.0
    boards = {
        "front": (left, bottom, right, bottom + wide),
        "back": (left + thin, top - thin, right - thin, top),
        "left side": (left, bottom + wide, left + thin, top),
        "right side": (right - thin, bottom + wide, right, top),
    }
    if role == "bottom":
        boards[role] = (left + thin, bottom + wide, right - thin, top - thin)
    for name, board in boards.items():
        paper.fill([rectangle(*board)], "ink" if name == role else "paper", "thin")
    x0, y0, x1, y1 = boards[role]
    level, upright = (y0 + y1) / 2, (x0 + x1) / 2
    ends = {
        "front end": (upright, y0 + 5),
        "rear end": (upright, y1 - 5),
        "left end": (x0 + 6, level),
        "right end": (x1 - 6, level),
    }
    if end in ends:
        paper.dots([ends[end]], 5.0, "paper", "outline")
    elif x1 - x0 > y1 - y0:
        paper.fill([rectangle(x0 + 9, level - 1.5, x1 - 9, level + 1.5)], "paper")
    else:
        paper.fill([rectangle(upright - 1.5, y0 + 9, upright + 1.5, y1 - 9)], "paper")


def clamp_words(paper: Paper, at: XY, setup: Setup, line_mm: float, room_px: float) -> None:
    """Say on a clamp how far it stays from the end worked or from the reference edge, on two lines where one is too short."""
    least = f"{at_least(abs(line_mm))} or more from"
    whence = f"the {'reference edge' if setup.end == 'groove' else setup.end}"
    one_line = (f"clamp, {least} {whence}", f"{least} {whence}")
    words = next((words for words in one_line if paper.width_of(words, "small") < room_px - 4), None)
    if words is not None:
        paper.write(at, words, size="small", align="center", ground="clamp")
        return
    for words, shift in ((least, _LINE_PX / 2), (whence, -_LINE_PX / 2)):
        paper.write((at[0], at[1] + shift), words, size="small", align="center")


def draw_heading(paper: Paper, program: Program) -> None:
    """Write what the program is along the top of a sheet, with key plan and badge."""
    right, top = paper.size
    setup = program.setup
    _key_plan(paper, (20, top - 76, 96, top - 10), setup.piece.role, setup.end)
    paper.write((58, top - 88), "front", size="small", align="center")
    _badge(paper, (right - 188, top - 70, right - 16, top - 20), setup.piece.role)
    room = right - 318
    size = next((size for size in _TITLES if paper.width_of(program.title, size, bold=True) <= room), "label")
    paper.write((116, top - 28), program.title, size=size, bold=True, room_px=room)
    paper.write((116, top - 56), f"{program.stem} \N{MIDDLE DOT} for {', '.join(program.owners)}", room_px=room)
    faces = f"{setup.facing} face " + ("towards you" if setup.hold == "upright" else "up")
    minutes, seconds = divmod(round(program.seconds), 60)
    time = f"{minutes} min {seconds:02d} s" if minutes else f"{seconds} s"
    held = f"held {setup.hold}, {faces}, {setup.setting.stop_words(setup.stop)} ({setup.work_offset}), about {time}"
    paper.write((116, top - 81), held)


def head_board(paper: Paper, program: Program, left: float, right: float) -> None:
    """Write over the view of a board which it is, what is cut, at which stop and with which zero, with key plan and badge."""
    top, setup = paper.size[1], program.setup
    _key_plan(paper, (left + 6, top - 68, left + 72, top - 10), setup.piece.role, setup.end)
    paper.write((left + 39, top - 79), "front", size="small", align="center")
    room = right - left - 86
    size = next((size for size in _TITLES if paper.width_of(program.title, size, bold=True) <= room), None)
    if size:
        paper.write((left + 84, top - 24), program.title, size=size, bold=True)
    else:
        paper.write_lines((left + 84, top - 16), program.title, room, bold=True, most=2)
    _badge(paper, (right - 152, top - 86, right, top - 50), setup.piece.role)
    stop, zero = setup.setting.stop_words(setup.stop), f"zero {setup.work_offset}"
    for words, down_px in ((f"{stop},", 60), (zero, 78)):
        paper.write((left + 84, top - down_px), words, size="small", bold=True, room_px=room - 158)
