"""A board on the machine as whoever stands there sees it: which end, which face, which edge, which stop, where zero and the cutter are."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely

from camtools.pictures.paper import XY, Paper, rectangle
from camtools.pictures.setups import flat_board, upright_board
from camtools.pictures.setups.progress import Progress
from camtools.pictures.setups.scene import Area, Room, StagedBoard
from camtools.pictures.setups.side_view import draw_side
from camtools.pictures.setups.told import told_of
from camtools.pictures.signs import arrow, draw_heading, edge_marks, face_dots, hatch, operator, torn, zero_mark
from camtools.toolpath.moves import Program, Setup

__all__ = ["setup_on"]

_HIGH = 760
_HEAD_PX, _FOOT_PX = 102, 44
_WIDE_PX = {1: 1000, 2: 1560}  # by how many boards there are
_COLUMN_PX, _ROW_PX = 306, 246  # of the view from the side with the legend: beside the boards or below them
_BREAK_PX = 26  # between two boards
_KEYS_PX = 360  # of the legend, where it stands beside the view from the side
_NO_PROGRESS = Progress()


def _kind(
    setup: Setup,
) -> tuple[Callable[[StagedBoard], Room], Callable[[StagedBoard, Room, tuple[float, float]], None], Callable[[StagedBoard, Room], None]]:
    """Return how large a scene can be drawn, and what draws what lies under or behind it, and itself."""
    if setup.hold == "upright":
        return upright_board.standing_fit, upright_board.draw_behind_standing, upright_board.draw_standing
    if setup.end == "groove":
        return flat_board.along_fit, flat_board.draw_under_along, flat_board.draw_along
    return flat_board.away_fit, flat_board.draw_under_away, flat_board.draw_away


def setup_on(*programs: Program, progress: Progress = _NO_PROGRESS, run: str = "") -> Paper:
    """Draw the setup of a program, or of two on boards that stand on the machine at once, the first at the left stop.

    What a program takes away is drawn on the board's visible faces from the motion itself, and so is what was cut before.
    The view from the side and the legend stand beside the boards or below them, by which these can be larger.

    Parameters
    ----------
    run
        Name of the program that is run for both.
    """
    wide = _WIDE_PX[len(programs)]
    paper = Paper(wide, _HIGH)
    beside: Area = (12, _FOOT_PX, wide - 12 - _COLUMN_PX, _HIGH - _HEAD_PX)
    below: Area = (12, _FOOT_PX + _ROW_PX, wide - 12, _HIGH - _HEAD_PX)
    scenes, fit = max((_fitted(paper, programs, progress, area) for area in (beside, below)), key=lambda found: found[1].factor)
    for program, scene in zip(programs, scenes, strict=True):
        draw_heading(paper, program, *((scene.area[0] - 12, scene.area[2]) if len(programs) > 1 else ()))
        paper.tell(*told_of(scene))
    if len(programs) > 1 and run:
        paper.write((scenes[0].area[0] + 104, _HIGH - 74), f"run {run}", size="small", room_px=330)
    paper.draw([[(12, _HIGH - _HEAD_PX + 2), (wide - 12, _HIGH - _HEAD_PX + 2)]], "thin")
    row = scenes[-1].area[2] > wide - 20
    x = scenes[0].area[0] + 30 if row else (scenes[0].area[0] + scenes[-1].area[2]) / 2 - 70
    operator(paper, (x, scenes[0].area[1] + 6 if row else 20), "You stand here")
    _draw(paper, scenes, fit)
    if not row:
        left, right = wide - _COLUMN_PX, wide - 8
        side, keys = (left, _FOOT_PX + 226, right, _HIGH - _HEAD_PX - 4), (left, _FOOT_PX + 196)
    else:
        side, keys = (12, _FOOT_PX - 26, wide - _KEYS_PX - 30, _FOOT_PX + _ROW_PX - 14), (wide - _KEYS_PX, _FOOT_PX + 180)
    draw_side(StagedBoard(paper, programs[0], progress, side))
    _legend(paper, keys, programs)
    return paper


def _fitted(paper: Paper, programs: Sequence[Program], progress: Progress, area: Area) -> tuple[list[StagedBoard], Room]:
    """Return scenes side by side in an area, and how large they can be drawn, all to one scale."""
    left, bottom, right, top = area
    each = (right - left + _BREAK_PX) / len(programs)
    lefts = [left + place * each for place in range(len(programs))]
    scenes = [
        StagedBoard(paper, program, progress, (x, bottom, x + each - _BREAK_PX, top)) for x, program in zip(lefts, programs, strict=True)
    ]
    fit_of, _, _ = _kind(programs[0].setup)
    fits = [fit_of(scene) for scene in scenes]
    return scenes, Room(min(fit.factor for fit in fits), max(fit.high_px for fit in fits))


def _draw(paper: Paper, scenes: Sequence[StagedBoard], fit: Room) -> None:
    """Draw boards before one plate or on one bed."""
    _, under, draw = _kind(scenes[0].setup)
    under(scenes[0], fit, (scenes[0].area[0], scenes[-1].area[2] - 8))
    for scene in scenes:
        draw(scene, fit)
    if len(scenes) > 1:
        x, (_, bottom, _, top) = scenes[1].area[0] - _BREAK_PX / 2, scenes[0].area
        teeth = torn((x, bottom), (x, top), (6.0, 0.0), 18.0)
        half = np.array([5.0, 0.0])
        paper.fill([np.vstack([teeth - half, (teeth + half)[::-1]])], "paper", "thin")


def _legend(paper: Paper, at: XY, programs: Sequence[Program]) -> None:
    """Tell what every sign means."""
    x, y = at

    def tell(words: str) -> None:
        nonlocal y
        paper.write((x + 52, y), words, size="small")
        y -= 25.0

    for tone, words in (("tip", "cut by this program"), ("cut", "cut before")):
        paper.fill([rectangle(x, y - 8, x + 42, y + 8)], tone, "thin")
        tell(words)
    hatch(paper, shapely.Polygon(rectangle(x, y - 9, x + 42, y + 9)))
    tell("keep clear: no clamp, no hand")
    arrow(paper, (x, y), (x + 42, y), "into", 18.0)
    tell("the cutter comes in")
    zero_mark(paper, (x + 8, y), 8.0)
    paper.draw([[(x + 17, y), (x + 42, y)]], "axes")
    tell(f"program zero ({', '.join(program.setup.work_offset for program in programs)}), X, Y, Z")
    paper.fill([rectangle(x, y - 10, x + 34, y + 10)], "wood")
    paper.draw([[(x + 34, y - 10), (x + 34, y + 10)]], "outline")
    edge_marks(paper, (x + 34, y), (1.0, 0.0), 9.0)
    outside = all(program.setup.facing == "outside" for program in programs)
    tell("reference edge, as pencilled" if outside else "reference edge; pencilled outside")
    face_dots(paper, (x, y), (42, 0), (0, 0), 9.0)
    tell("dots: inside face")
    arrow(paper, (x, y), (x + 42, y), "push", 18.0)
    tell("push the board")
