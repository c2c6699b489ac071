"""A board on the machine that is to be drawn into a part of a sheet, and what both holds show of it alike."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from camtools.pictures.board_sides import Placing, placing_of
from camtools.pictures.paper import XY, Align, Paper
from camtools.pictures.setups.captions import Captions, write_clear
from camtools.pictures.setups.progress import Progress
from camtools.pictures.setups.stage import Stage
from camtools.pictures.signs import arrow, arrowheads
from camtools.pictures.traces import Entry
from camtools.toolpath.moves import Program, Setup
from camtools.wording import mm

__all__ = ["STOP_PX", "Area", "Room", "StagedBoard", "Stop"]

Area = tuple[float, float, float, float]  # left, bottom, right, top in px

STOP_PX = 54.0
_ARROW_PX, _INTO_PX, _BESIDE_PX = 78.0, 56.0, 24.0
_SHANK_MM = 10.0  # of a cutter, seen above the work and its edges
_OPPOSITE = {
    "front end": "rear end",
    "rear end": "front end",
    "left end": "right end",
    "right end": "left end",
}


@dataclass(frozen=True, slots=True)
class Room:
    """How large a scene can be drawn: px per mm, and the height in px that it fills then."""

    factor: float
    high_px: float


@dataclass(frozen=True, slots=True)
class Stop:
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

    @property
    def align(self) -> Align:
        """How words stand that are beside the free side."""
        return "left" if self.left else "right"

    def drawn_with(self, draw_stop: Callable[[], None], draw_board: Callable[[], None]) -> None:
        """Draw stop and board: what lies further to the right is covered by what stands to its left."""
        for draw in (draw_stop, draw_board) if self.left else (draw_board, draw_stop):
            draw()


class StagedBoard:
    """One board in its setup, to be drawn into an area."""

    def __init__(self, paper: Paper, program: Program, progress: Progress, area: Area) -> None:
        self.paper, self.program, self.progress, self.area = paper, program, progress, area
        self.setup: Setup = program.setup
        self.placing: Placing = placing_of(program.setup)
        self.captions = Captions(paper, area)
        self._push: XY = (0.0, 0.0)
        self._entry_words: tuple[XY, Sequence[XY]] = ((0.0, 0.0), ())

    @property
    def entry(self) -> Entry:
        """Where the cutter first meets the board."""
        return self.progress.entry(self.program)

    @property
    def middle_px(self) -> float:
        """X of the middle of the area."""
        return (self.area[0] + self.area[2]) / 2

    def stop(self, factor: float) -> Stop:
        """Return the stop where a mm is drawn so large."""
        left = self.setup.stop == "left"
        edge, free = (self.placing.low[0], self.placing.high[0]) if left else (self.placing.high[0], self.placing.low[0])
        wide = STOP_PX / factor
        return Stop(left, edge, free, (edge - wide, edge) if left else (edge, edge + wide), self.placing.stop_top(self.setup))

    @property
    def cutter_mm(self) -> float:
        """How much of the cutter is seen where it comes in, from its tip."""
        cutter = self.program.cuts[0].cutter
        return min(cutter.cutting_length_mm + _SHANK_MM, _SHANK_MM + 4.0 - self.entry.place[2])

    def draw_entry(self, stage: Stage) -> None:
        """Draw the cutter as a ghost where it first meets the board, the way that it comes, and from which side."""
        entry, cutter, paper = self.entry, self.program.cuts[0].cutter, self.paper
        before, after = (np.array([stage.at(*place) for place in way.tolist()]) for way in (entry.before, entry.after))
        paper.keep_free(stage.cutter(cutter, entry.place, self.cutter_mm), "cutter")
        paper.draw([before], "air")
        paper.draw([after], "wood")
        arrowheads(paper, np.stack([after[:-1], after[1:]], axis=1)[-1:], "ink", 9.0, at_end=True)
        x, y, z = entry.place
        radius = cutter.diameter_mm / 2
        off: tuple[float, float, float] = {
            "your side": (0, -1, 0), "beyond the end": (0, 1, 0), "the left": (-1, 0, 0), "the right": (1, 0, 0), "above": (0, 0, 1)
        }[entry.whence]  # fmt: skip
        high = self.cutter_mm if entry.whence == "above" else cutter.cutting_length_mm / 3
        tip = stage.at(x + off[0] * radius, y + off[1] * radius, z + high)
        further = stage.at(x + off[0] * (radius + 1), y + off[1] * (radius + 1), z + high + off[2])
        unit = np.array(further) - tip
        unit = unit / np.hypot(*unit)
        zero = np.array(stage.at(0.0, 0.0, 0.0))
        across = np.array([-unit[1], unit[0]])
        near = float(np.dot(np.array(tip) - zero, across))
        if abs(near) < _BESIDE_PX:  # an arrow beside an axis, not on it
            tip = tuple(np.array(tip) + across * (_BESIDE_PX - near if near > 0 else -_BESIDE_PX - near))
        start = np.array(tip) + unit * (_INTO_PX + 3)
        arrow(paper, (float(start[0]), float(start[1])), (float(tip[0] + unit[0] * 3), float(tip[1] + unit[1] * 3)), "into", 26.0)
        paper.keep_line_free((float(start[0]), float(start[1])), (float(tip[0]), float(tip[1])), 9.0, "arrow of the cutter")
        ways: tuple[XY, ...] = {"your side": ((-1, -0.5), (1, -0.5), (0, -1)), "above": ((0, 1), (1, 0.3), (-1, 0.3))}.get(
            entry.whence, ((0, 1), (1, 0.6), (-1, 0.6), (1, 0), (-1, 0))
        )
        self._entry_words = ((float(start[0]), float(start[1])), ways)

    def name_entry(self) -> None:
        """Say from where the cutter comes in."""
        at, ways = self._entry_words
        self.captions.put(f"cutter from {self.entry.whence}", at, ways, size="small", line=False)

    def dimension(self, start: XY, end: XY, words: str, ways: Sequence[XY]) -> None:
        """Draw a dimension between two places, its words beside it."""
        line = np.array([start, end])
        self.paper.draw([line], "dimension")
        arrowheads(self.paper, np.stack([line, line[::-1]]), "ink", 8.0, at_end=True)
        self.paper.keep_line_free(start, end, 3.0, "dimension")
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        self.captions.put(words, middle, ways, size="small", line=False)

    def name_stop(self, places: Sequence[XY], size: str, way: float) -> None:
        """Write on the stop, or beside it where signs cover it."""
        words, size = (f"STOP {self.setup.setting.number}", "small") if self.setup.setting.slid_mm else ("STOP", size)
        if not write_clear(self.paper, places, words, size, "paper", must=True):
            self.captions.put(words, places[0], ((way, -0.6), (way, 0.6), (way, 0.0)), size=size)

    def name_zero(self, zero: XY) -> None:
        """Say how far zero is from the stop of a later setting."""
        setting = self.setup.setting
        if setting.slid_mm:
            told = f"X zero, {mm(setting.slid_mm)} from stop {setting.number}"
            self.captions.put(told, zero, ((0.5, -1), (-0.5, -1), (0.5, 1), (-0.5, 1)), size="small")

    def draw_push(self, tip: XY) -> None:
        """Draw the big arrow to the stop, its tip at the board's free end or edge."""
        paper, way = self.paper, -1.0 if self.setup.stop == "left" else 1.0
        arrow(paper, (tip[0] - way * _ARROW_PX, tip[1]), (tip[0] - way * 8, tip[1]), "push", 36.0)
        left, right = sorted((tip[0] - way * _ARROW_PX, tip[0]))
        paper.keep_free((left, tip[1] - 20, right, tip[1] + 20), "arrow to the stop")
        self._push = tip

    def name_push(self) -> None:
        """Say at the big arrow where to."""
        paper, setup, tip = self.paper, self.setup, self._push
        way = -1.0 if setup.stop == "left" else 1.0
        words = f"to stop {setup.setting.number}" if setup.setting.slid_mm else f"to the {setup.stop} stop"
        half = paper.width_of(words, bold=True) / 2
        left, right = self.area[0] + half + 8, self.area[2] - half - 8
        middles = [min(max(tip[0] - way * (12 + half + aside), left), right) for aside in (0, 40)]
        places = [(middle, tip[1] + over) for middle in middles for over in (30, -30, 44, -44, 58, -58, 72, -72)]
        if not write_clear(paper, places, words, "label", "ink", "paper", must=True):
            self.captions.put(words, (tip[0] - way * _ARROW_PX / 2, tip[1]), ((0, 1), (0, -1), (-way, 1), (-way, -1)), line=False)

    def name_face(self, places: Sequence[XY], words: str, room_px: float) -> None:
        """Name a face on the face itself, at the first of some places that is clear, as large as it goes; beside it where none is."""
        size = "mark" if self.paper.width_of(words, "mark", bold=True) < room_px - 16 else "small"
        if not write_clear(self.paper, places, words, size, "ink", "wood", must=True):
            self.captions.put(words, places[0], ((0, 1), (0.6, 1), (-0.6, 1), (0, -1)), size=size)

    def name_clamp(self, places: Sequence[XY]) -> None:
        """Write what it is on a clamp, at the first of some places that is clear, or beside it."""
        if not write_clear(self.paper, places, "clamp", "small", must=True):
            self.captions.put("clamp", places[0], ((0.6, 1), (-0.6, 1), (0, -1)), size="small")

    def other_end(self) -> tuple[str, str]:
        """Return the name of the end that is not worked here, and words on whether it is cut."""
        end = _OPPOSITE.get(self.setup.end, "")
        state = self.progress.state_of(self.program)
        if any(other.setup.end == end for other in state.before):
            return end, ", already cut"
        return end, ", already cut on some" if any(other.setup.end == end for other in state.perhaps) else ""
