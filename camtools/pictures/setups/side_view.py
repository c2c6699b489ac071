"""A setup seen from its left: what is kept clear, where the cutter comes in, and zero with Y and Z."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import shapely

from camtools.pictures.board_sides import SHEET_MM, beyond_stop, clamp_line, zone_of
from camtools.pictures.paper import XY, Scale, rectangle
from camtools.pictures.setups.scene import StagedBoard
from camtools.pictures.setups.stage import half_outline
from camtools.pictures.signs import arrow, arrowheads, hatch, torn, zero_mark
from camtools.wording import at_least

__all__ = ["draw_side"]

Box = tuple[float, float, float, float]  # low Y, low Z, high Y, high Z in mm

_PLATE_MM, _BED_MM, _FENCE_MM, _CLAMP_MM = 12.0, 6.0, 12.0, 13.0
_OVER_MM, _UNDER_MM, _NEAR_MM, _BESIDE_MM = 26.0, 22.0, 22.0, 12.0  # shown over the work, below clamps, before and beside what is shown
_LARGEST = 3.2  # px per mm


@dataclass(slots=True)
class _Side:
    """What is drawn: the window, things by tone and name, what is kept clear, dimensions, and whether the board goes on."""

    window: Box
    things: list[tuple[Box, str, str]]
    clear: list[Box]
    sizes: list[tuple[XY, XY, str]]
    goes_on: list[str] = field(default_factory=list)  # directions in which the board does


def draw_side(scene: StagedBoard) -> None:
    """Draw a board from the side, the operator at the left."""
    paper, area, low, high = scene.paper, scene.area, scene.placing.low, scene.placing.high
    paper.write((area[0], area[3] - 10), "The same, seen from the left", size="small", bold=True)
    side = _upright(scene) if scene.setup.hold == "upright" else _groove(scene) if scene.setup.end == "groove" else _end(scene)
    y0, z0, y1, z1 = side.window
    head = 58 if scene.entry.whence == "above" else 30
    factor = min(_LARGEST, (area[2] - area[0]) / (y1 - y0), (area[3] - area[1] - head) / (z1 - z0))
    left = (area[0] + area[2] - factor * (y1 - y0)) / 2
    scale = Scale(factor, (y0, z0), (left, area[3] - head - factor * (z1 - z0)))

    def box(part: Box) -> list[XY]:
        (x_low, y_low), (x_high, y_high) = scale.at(max(part[0], y0), max(part[1], z0)), scale.at(min(part[2], y1), min(part[3], z1))
        return rectangle(x_low, y_low, x_high, y_high)

    for part, tone, _ in side.things:
        paper.fill([box(part)], tone, "thin")
    shown = shapely.box(max(low[1], y0), max(low[2], z0), min(high[1], y1), high[2])
    taken = scene.progress.taken(scene.program, 0, scene.entry.place[0])
    paper.fill_region(shown, scale, "wood", "outline")
    for region, tone in ((taken.before, "cut"), (taken.now, "tip")):
        paper.fill_region(region.intersection(shown), scale, tone, "thin")
    for direction in side.goes_on:
        upright = direction == "-z"
        start = (max(low[1], y0) - 1.0, z0) if upright else (y0, low[2] - 1.0)
        end = (high[1] + 1.0, z0) if upright else (y0, high[2] + 1.0)
        teeth = torn(scale.at(*start), scale.at(*end), (0.0, 5.0) if upright else (5.0, 0.0), 12.0)
        paper.fill([np.vstack([teeth, np.array([scale.at(*end), scale.at(*start)]) - ((0, 4) if upright else (4, 0))])], "paper")
        paper.draw([teeth], "thin")
    for part in side.clear:
        hatch(paper, shapely.Polygon(box(part)))
    _cutter(scene, scale)
    zero = scale.at(0.0, 0.0)
    for name, way in (("Y", (1.0, 0.0)), ("Z", (0.0, 1.0))):
        tip = (zero[0] + 34 * way[0], zero[1] + 34 * way[1])
        paper.draw([[zero, tip]], "axes")
        arrowheads(paper, np.array([[zero, tip]]), "axes", 12.0, at_end=True)
        paper.write((tip[0] + 9 * way[0], tip[1] + 9 * way[1]), name, size="small", bold=True, tone="axes", align="center", ground="paper")
    zero_mark(paper, zero, 8.0)
    for start, end, words in side.sizes:
        (xa, ya), (xb, yb) = scale.at(*start), scale.at(*end)
        scene.dimension((xa, ya), (xb, yb), words, ((1, 0.0), (-1, 0.0)) if xa == xb else ((0, 1), (0, -1), (1, 1)))
    for part, _, name in side.things:
        if name:
            corners = box(part)
            at = ((corners[0][0] + corners[2][0]) / 2, corners[0][1] + 4)
            scene.captions.put(name, at, ((0, -1), (-0.5, -1), (0.5, -1), (1, 0.5), (1, 0)), size="small")


def _upright(scene: StagedBoard) -> _Side:
    setup, thick = scene.setup, -scene.placing.low[1]
    stop_z, free, back = scene.placing.stop_top(setup), setup.free_mm, setup.backing_mm
    front = -thick - free
    window = (front - 6.0, stop_z - _UNDER_MM, back + _PLATE_MM, _OVER_MM)
    things = [
        ((back, window[1], back + _PLATE_MM, 0.0), "plate", "plate"),
        ((0.0, window[1], back, 0.0), "backing", "backing"),
        ((-thick - 10.0, stop_z - 2.0 - _CLAMP_MM, -thick, stop_z - 2.0), "clamp", "clamp"),
    ]
    sizes = [
        ((front, _OVER_MM - 8.0), (-thick, _OVER_MM - 8.0), at_least(free)),
        ((front + 4.0, 0.0), (front + 4.0, stop_z), at_least(-stop_z)),
    ]
    return _Side(window, things, [(front, stop_z, -thick, _OVER_MM - 4.0)], sizes, ["-z"] if scene.placing.low[2] < window[1] else [])


def _end(scene: StagedBoard) -> _Side:
    setup, low = scene.setup, scene.placing.low
    clamp, line, free = zone_of(setup, "clamp"), clamp_line(setup), setup.free_mm
    high = min(clamp.high[2], 30.0) if clamp is not None else _OVER_MM
    bed = low[2] - (SHEET_MM if beyond_stop(setup) else 0.0)
    near = max((-30.0 if line is None else line - _CLAMP_MM) - _NEAR_MM, low[1])
    window = (near, bed - _BED_MM, free + 4.0, high + 14.0)
    things: list[tuple[Box, str, str]] = [((near, bed - _BED_MM, free + 4.0, bed), "bed", "bed")]
    if beyond_stop(setup):
        things.append(((near, bed, 9.0 if setup.piece.corners else 0.0, low[2]), "backing", "waste sheet"))
    clear, level = [(0.0, low[2], free, high)], high + 5.0
    sizes = [((0.0, level), (free, level), at_least(free))]
    if line is not None:
        things.append(((line - _CLAMP_MM, 0.0, line, high), "clamp", "clamp"))
        clear.append((line, 0.0, 0.0, high))
        sizes.append(((line, level), (0.0, level), at_least(-line)))
    return _Side(window, things, clear, sizes, ["-y"] if near > low[1] else [])


def _groove(scene: StagedBoard) -> _Side:
    setup, low, high = scene.setup, scene.placing.low, scene.placing.high
    clamp, batten, line = zone_of(setup, "clamp"), zone_of(setup, "batten"), clamp_line(setup)
    over = min(clamp.high[2], 30.0) if clamp is not None else _OVER_MM
    window = (-_FENCE_MM - 4.0, low[2] - _BED_MM, high[1] + _BESIDE_MM, over + 14.0)
    things: list[tuple[Box, str, str]] = [
        ((window[0], low[2] - _BED_MM, window[2], low[2]), "bed", ""),
        ((-_FENCE_MM, low[2], 0.0, scene.placing.stop_top(setup)), "plate", "fence"),
    ]
    if batten is not None:
        things.append(((high[1], low[2], high[1] + 9.0, batten.high[2]), "stop", "batten"))
    if line is None:
        return _Side(window, things, [(0.0, 0.0, high[1], over)], [])
    things.append(((line, 0.0, min(line + _CLAMP_MM, high[1]), over), "clamp", "clamp"))
    return _Side(window, things, [(0.0, 0.0, line, over)], [((0.0, over + 5.0), (line, over + 5.0), at_least(line))])


def _cutter(scene: StagedBoard, scale: Scale) -> None:
    """The cutter where it first meets the board, and from which side of the view it comes."""
    paper, cutter, (_, y, z), whence = scene.paper, scene.program.cuts[0].cutter, scene.entry.place, scene.entry.whence
    edge, radius, top = cutter.cutting_length_mm, cutter.diameter_mm / 2, scene.cutter_mm
    half = half_outline(cutter, top)
    outline = [(y + x, z + up_mm) for x, up_mm in half] + [(y - x, z + up_mm) for x, up_mm in half[::-1]]
    paper.fill([[scale.at(*place) for place in outline]], "cutter", "ghost", seen_through=True)
    x, level = scale.at(y, z + edge / 3)
    far = scale.px_per_mm * radius
    if whence == "your side":
        arrow(paper, (x - far - 44, level), (x - far - 3, level), "into", 20.0)
    elif whence == "beyond the end":
        arrow(paper, (x + far + 44, level), (x + far + 3, level), "into", 20.0)
    elif whence == "above":
        x, level = scale.at(y, z + top)
        arrow(paper, (x, level + 34), (x, level + 2), "into", 20.0)
