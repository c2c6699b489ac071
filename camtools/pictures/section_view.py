"""The cutter's true shape in the wood at full depth, in a section across the cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from camtools.job.job import Cutter
from camtools.pictures.board_sides import SHEET_MM, Placing, beyond_stop, placing_of
from camtools.pictures.paper import Paper, Scale, rectangle
from camtools.pictures.signs import arrowheads, edge_marks, face_dots, torn
from camtools.pictures.traces import Traced, section_of, trace_of
from camtools.toolpath.moves import Program
from camtools.wording import mm, sizes

__all__ = ["draw_section"]

Area = tuple[float, float, float, float]  # left, bottom, right, top

_HEAD_PX = 28.0
_LARGEST = 9.0  # px per mm
_ABOVE_MM = 13.0  # shown above the wood
_BELOW_MM = 9.0  # of an upright board shown below the cut
_STOP_MM = 9.0
_BED_MM = 4.0
_TONES = {"clamp": "clamp", "batten": "stop"}


@dataclass(frozen=True, slots=True)
class _Window:
    """What the section shows: the plane, the board's edges in it, and the part that fits."""

    program: Program
    placing: Placing
    axis: Literal["x", "y"]  # the plane is this axis = at_mm
    at_mm: float
    edges: tuple[float, float]  # of the board, across the section
    floor: float  # lowest of the board shown
    depth: float
    cutter_at: float  # across the section
    scale: Scale
    area: Area

    @property
    def shown(self) -> tuple[float, float]:
        """Part of the board across the section that is within the area."""
        left = self.scale.origin_mm[0]
        return max(self.edges[0], left), min(self.edges[1], left + (self.area[2] - self.area[0]) / self.scale.px_per_mm)

    @property
    def directions(self) -> tuple[str, str]:
        return ("-x", "+x") if self.axis == "y" else ("-y", "+y")


def draw_section(paper: Paper, program: Program, area: Area) -> None:
    """Draw the section of a program's last cut into an area in px."""
    window = _window(program, area)
    cutter = program.cuts[-1].cutter
    _surroundings(paper, window)
    wood = shapely.box(window.shown[0], window.floor, window.shown[1], 0.0)
    for cut in program.cuts:
        wood = wood.difference(section_of(cut, window.axis, window.at_mm))
    paper.fill_region(wood, window.scale, "wood", "outline")
    _broken(paper, window)
    _marks(paper, window)
    if window.axis == "x":
        _across(paper, window)
    _cutter(paper, window, cutter)
    _sizes(paper, window, cutter)
    words = "Section, as you see it" if window.axis == "y" else "Section, you stand at the left"
    title = paper.write((area[0] + 4, area[3] - 12), words, bold=True)
    diameter_mm, angle_deg = cutter.mark
    angle = f", {angle_deg:g}\N{DEGREE SIGN}" if angle_deg else ""
    named = f"{cutter.kind} cutter {cutter.number}, {mm(diameter_mm)}{angle}"
    paper.write((area[2] - 4, area[3] - 12), named, size="small", align="right", room_px=area[2] - 14 - title.box[2])


def _window(program: Program, area: Area) -> _Window:
    setup, cut = program.setup, program.cuts[-1]
    placing, trace = placing_of(setup), trace_of(cut).deepest()
    axis, at = _plane(program, placing, trace)
    across = 0 if axis == "y" else 1
    low, high = placing.low[across], placing.high[across]
    depth = -min(move.end[2] for move in cut.moves)
    flat = setup.hold == "flat"
    floor = placing.low[2] if flat else max(placing.low[2], -depth - _BELOW_MM)
    base = floor - _BED_MM - (SHEET_MM if beyond_stop(setup) else 0.0) if flat else floor
    factor = min(_LARGEST, (area[3] - area[1] - _HEAD_PX - 6) / (_ABOVE_MM - base))
    if axis == "x":  # a groove is shown across the whole board
        factor = min(factor, (area[2] - area[0]) / (high - low + 2 * _STOP_MM + 0.1))
    place = _cutter_at(trace, axis, at, (low, high), cut.cutter.diameter_mm / 2, from_high=setup.stop == "right" and axis == "y")
    start = _start(low, high, place, (area[2] - area[0]) / factor)
    scale = Scale(factor, (start, base), (area[0], area[1] + 2))
    return _Window(program, placing, axis, at, (low, high), floor, depth, place, scale, area)


def _plane(program: Program, placing: Placing, trace: Traced) -> tuple[Literal["x", "y"], float]:
    """Across a groove half way along it; along a joint at half the depth of the tails or sockets."""
    if program.setup.end == "groove":
        places = np.concatenate([trace.starts[:, 0], trace.ends[:, 0]])
        return "x", float(places.min() + places.max()) / 2
    if program.setup.hold == "upright":
        return "y", (placing.low[1] + placing.high[1]) / 2
    return "y", (placing.high[1] + float(trace.ends[:, 1].min())) / 2


def _cutter_at(trace: Traced, axis: str, at: float, edges: tuple[float, float], radius: float, *, from_high: bool) -> float:
    """Where the motion crosses the plane, wholly in the board and nearest to the reference edge if it can be."""
    along, across = (1, 0) if axis == "y" else (0, 1)
    first, last = trace.starts[:, along], trace.ends[:, along]
    meets = (np.minimum(first, last) <= at) & (np.maximum(first, last) >= at) & (first != last)
    if not meets.any():
        return sum(edges) / 2
    share = (at - first[meets]) / (last[meets] - first[meets])
    places = trace.starts[meets, across] + share * (trace.ends[meets, across] - trace.starts[meets, across])
    inner = places[(places > edges[0] + radius + 1) & (places < edges[1] - radius - 1)]
    places = next((some for some in (inner, places[(places > edges[0]) & (places < edges[1])]) if len(some)), places)
    return float(places.max() if from_high else places.min())


def _start(low: float, high: float, place: float, width: float) -> float:
    """Left edge of the part shown: the board's nearer edge, with the stop, where it fits in with the cutter."""
    if high - low + 2 * _STOP_MM <= width:
        return (low + high - width) / 2
    if place - low <= high - place:
        return min(low - _STOP_MM, place - width / 2) if place - low < width * 0.7 else place - width / 2
    return high + _STOP_MM - width if high - place < width * 0.7 else place - width / 2


def _surroundings(paper: Paper, window: _Window) -> None:
    """The bed, and the stop or fence where it is high enough to be seen."""
    setup, scale, area = window.program.setup, window.scale, window.area
    if setup.hold == "flat":
        paper.fill([rectangle(area[0], area[1], area[2], scale.at(0, window.floor)[1])], "bed", "thin")
    if beyond_stop(setup):  # a waste sheet, and no stop where the corners are cut
        paper.fill([rectangle(area[0], scale.at(0, window.floor - SHEET_MM)[1], area[2], scale.at(0, window.floor)[1])], "backing", "thin")
        paper.write((area[0] + 12, scale.at(0, window.floor - SHEET_MM / 2)[1]), "waste sheet", size="small")
        return
    for zone in setup.zones:
        if zone.name != ("stop" if window.axis == "y" else "fence"):
            continue
        under, top = max(area[1], scale.at(0, window.floor)[1]), scale.at(0, zone.high[2])[1]
        first = window.placing.sides[window.directions[0]] == "reference edge"
        x = scale.at(window.edges[0 if first else 1], 0)[0]
        outer = area[0] if first else area[2]
        if area[0] <= x <= area[2] and top > under:
            paper.fill([rectangle(min(x, outer), under, max(x, outer), top)], "stop", "outline")


def _across(paper: Paper, window: _Window) -> None:
    """Clamp or batten of a groove, which the plane cuts; those of an end stand far behind it."""
    setup, scale, area = window.program.setup, window.scale, window.area
    for zone in setup.zones:
        first, last = (scale.at(place, 0)[0] for place in (zone.low[1], min(zone.high[1], window.edges[1] + _STOP_MM)))
        under, top = (scale.at(0, height)[1] for height in (zone.low[2], min(zone.high[2], _ABOVE_MM - 4)))
        if zone.name in _TONES and first < area[2] - 20:
            paper.fill([rectangle(first, max(under, area[1]), min(last, area[2]), top)], _TONES[zone.name], "outline")
            paper.write(((first + min(last, area[2])) / 2, top - 9), zone.name, size="small", align="center")


def _broken(paper: Paper, window: _Window) -> None:
    """Cover the outline where the board goes on beyond the picture by a broken line."""
    (left, bottom), (right, top) = window.scale.at(window.shown[0], window.floor), window.scale.at(window.shown[1], 0)
    if window.shown[0] != window.edges[0]:
        _tear(paper, (left, bottom - 2), (left, top + 2), (1.0, 0.0))
    if window.shown[1] != window.edges[1]:
        _tear(paper, (right, bottom - 2), (right, top + 2), (-1.0, 0.0))
    if window.program.setup.hold == "upright":
        _tear(paper, (left - 2, bottom), (right + 2, bottom), (0.0, 1.0))


def _tear(paper: Paper, start: Sequence[float], end: Sequence[float], inwards: tuple[float, float]) -> None:
    deep = 3 * np.array(inwards)
    teeth = torn(tuple(start + deep), tuple(end + deep), (4 * inwards[0], 4 * inwards[1]), 30.0)
    paper.fill([np.vstack([teeth, np.array([end, start]) - deep])], "paper")
    paper.draw([teeth], "thin")


def _marks(paper: Paper, window: _Window) -> None:
    """The signs of the reference edge and of the inside face."""
    scale, area = window.scale, window.area
    bottom, top = scale.at(0, window.floor)[1], scale.at(0, 0)[1]
    for direction, edge, way in zip(window.directions, window.edges, (1.0, -1.0), strict=True):
        x = scale.at(edge, 0)[0]
        if window.placing.sides[direction] == "reference edge" and area[0] + 20 <= x <= area[2] - 20:
            under = scale.at(0, -window.depth)[1]  # of the cut: below it there is wood for the sign
            high = under - bottom if under - bottom > 12 else top - bottom
            edge_marks(paper, (x, bottom + high / 2), (-way, 0.0), min(14.0, high * 0.4), "wood")
    if window.placing.sides["+z"] == "inside":
        left, right = scale.at(window.shown[0], 0)[0], scale.at(window.shown[1], 0)[0]
        face_dots(paper, (left, top + 5), (right - left, 0), (0, 0), 9.0, 1.6)


def _cutter(paper: Paper, window: _Window, cutter: Cutter) -> None:
    """The cutter's outline: flank to its cutting length, then the shank, broken off above."""
    tip, shank, end = cutter.diameter_mm / 2, cutter.shank_mm / 2, window.depth + _ABOVE_MM - 2
    length = min(cutter.cutting_length_mm, end)
    right = [(tip, 0.0), (cutter.radius_at(length), length)]
    if length < end:
        right += [(shank, length), (shank, end)]
    outline = np.array([*right, *((-x, z) for x, z in reversed(right))]) + np.array([window.cutter_at, -window.depth])
    paper.fill([window.scale.of(outline)], "cutter", "outline")
    x, top = window.scale.at(window.cutter_at, _ABOVE_MM - 2)
    paper.draw([[window.scale.at(window.cutter_at, -window.depth - 1.5), (x, top + 8)]], "axis")


def _sizes(paper: Paper, window: _Window, cutter: Cutter) -> None:
    """The depth, dimensioned on the side towards the middle of the board."""
    way = 1.0 if window.cutter_at < sum(window.edges) / 2 else -1.0
    start, top = window.scale.at(window.cutter_at + way * cutter.diameter_mm / 2, 0)
    bottom = window.scale.at(0, -window.depth)[1]
    x = start + way * 22
    paper.draw([[(start, bottom), (x + way * 6, bottom)], [(start, top), (x + way * 6, top)]], "thin")
    line = np.array([(x, top), (x, bottom)])
    paper.draw([line], "dimension")
    arrowheads(paper, np.stack([line, line[::-1]]), "ink", 8.0, at_end=True)
    at = (x + way * 10, (top + bottom) / 2)
    paper.write(at, sizes(window.depth), align="left" if way > 0 else "right", ground="paper")
