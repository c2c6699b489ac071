"""A board on the machine as whoever stands there sees it: which end, which face, which edge, which stop, where zero and the cutter are."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely

from camtools.pictures.paper import XY, Paper, rectangle
from camtools.pictures.setups import flat_board, upright_board
from camtools.pictures.setups.progress import Progress
from camtools.pictures.setups.scene import Room, StagedBoard
from camtools.pictures.setups.side_view import draw_side
from camtools.pictures.setups.told import told_of
from camtools.pictures.signs import arrow, edge_marks, face_dots, hatch, head_board, operator, torn, zero_mark
from camtools.toolpath.moves import Program, Setup

__all__ = ["setup_on"]

_HIGH = 540
_HEAD_PX, _FOOT_PX = 90, 34
_VIEW_PX, _COLUMN_PX = 456, 300  # width of the view of a board, and of the column with the view from the side and the legend
_BREAK_PX = 12  # half of it at each side of the line between two boards
_SIGNS_PX = 208  # height of the legend, at the foot of the column
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
    Every board has a view of its own, and so have the view from the side and the legend, so that a narrow screen can show each by itself.

    Parameters
    ----------
    run
        Name of the program that is run for both.
    """
    wide = len(programs) * _VIEW_PX + _COLUMN_PX
    paper = Paper(wide, _HIGH)
    scenes = [
        StagedBoard(paper, program, progress, (place * _VIEW_PX + 8, _FOOT_PX, (place + 1) * _VIEW_PX - 8, _HIGH - _HEAD_PX))
        for place, program in enumerate(programs)
    ]
    fit_of, _, _ = _kind(programs[0].setup)
    fits = [fit_of(scene) for scene in scenes]
    fit = Room(min(fit.factor for fit in fits), max(fit.high_px for fit in fits))
    for program, scene in zip(programs, scenes, strict=True):
        head_board(paper, program, scene.area[0], scene.area[2])
        paper.tell(*told_of(scene))
    paper.draw([[(12, _HIGH - _HEAD_PX + 2), (wide - 12, _HIGH - _HEAD_PX + 2)]], "thin")
    _draw(paper, scenes, fit)
    for place, program in enumerate(programs):
        paper.view(f"{program.setup.stop}-stop", (place * _VIEW_PX, 0.0, (place + 1) * _VIEW_PX, _HIGH))
    for scene in scenes:
        operator(paper, (scene.middle_px - 70, 20), "You stand here")
    left, right = wide - _COLUMN_PX + 4, wide - 8
    for name, low, high in (("from-the-left", _SIGNS_PX, _HIGH - _HEAD_PX + 1), ("signs", 0.0, _SIGNS_PX - 8)):
        paper.view(name, (left - 4, low, wide, high))
    draw_side(StagedBoard(paper, programs[0], progress, (left, _SIGNS_PX, right, _HIGH - _HEAD_PX - 4)))
    _legend(paper, (left, _SIGNS_PX - 20), programs)
    file, owners = (f"run {run}", "") if run else (programs[0].stem, f"for {', '.join(programs[0].owners)}")
    y = paper.write_lines((left, _HIGH - 16), file, right - left, size="small")
    paper.write_lines((left, y), owners, right - left, size="small")
    return paper


def _draw(paper: Paper, scenes: Sequence[StagedBoard], fit: Room) -> None:
    """Draw boards before one plate or on one bed."""
    _, under, draw = _kind(scenes[0].setup)
    under(scenes[0], fit, (scenes[0].area[0], scenes[-1].area[2] - 8))
    for scene in scenes:
        draw(scene, fit)
    if len(scenes) > 1:
        x, (_, bottom, _, top) = float(_VIEW_PX), scenes[0].area
        teeth = torn((x, bottom), (x, top), (6.0, 0.0), 18.0)
        half = np.array([5.0, 0.0])
        paper.fill([np.vstack([teeth - half, (teeth + half)[::-1]])], "paper", "thin")


def _legend(paper: Paper, at: XY, programs: Sequence[Program]) -> None:
    """Tell what every sign means."""
    x, y = at

    def tell(words: str) -> None:
        nonlocal y
        paper.write((x + 52, y), words, size="small")
        y -= 23.0

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
