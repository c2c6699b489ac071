"""The data of the page's views in three dimensions, each read only when its view is opened: motions, boards and drawers.

A motion is places, times, lines of text, and the solid things around them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import dropwhile, pairwise
from typing import Any, NamedTuple

import numpy as np

from camtools.geometry.frames import box_of
from camtools.job.job import radius_of
from camtools.output.manifest import BoardEntry, ToolEntry, ZoneEntry
from camtools.page.facts import PacketFacts, ProgramFacts
from camtools.page.solids import PARTS, Solid, edges_of
from camtools.page.staged_carvings import StagedCarving, Stages, staged_carvings
from camtools.pictures.drawing_style import TONES
from camtools.pictures.traces import Traced, wood_shares
from camtools.toolpath.moves import Arc, Line, Move, Point, Rapid
from camtools.toolpath.timing import Pace, move_seconds
from camtools.verify.reader.motion import Motion, ProgramRun
from camtools.wording import MM_PER_INCH

__all__ = ["CHORD_MM", "motion_view", "profile_of", "views_of"]

CHORD_MM = 0.02  # the view's arcs are chords that leave the arc by at most this
_MARGIN_MM = 40.0
_BED_MM = 5.0  # of its thickness that is shown
_KINDS = {"rapid": 0, "feed": 1, "arc": 1}  # 2: feed in wood
_PARTS_OF_MM = 20  # corners of what is carved are whole twentieths
_THINGS = {"stop": "stop", "fence": "stop", "batten": "clamp", "clamp": "clamp", "plate": "plate", "bed": "bed", "backing": "backing"}


class _Row(NamedTuple):
    """A place of a motion, and what is told of the way there."""

    place: Point
    kind: int
    line: int
    feed: float
    length: float
    time: float
    tool: int
    arc: bool = False


def _as_move(motion: Motion) -> Move:
    if motion.kind == "rapid":
        return Rapid(motion.end)
    if motion.centre is None:
        return Line(motion.end, motion.feed_mm_min)
    return Arc(motion.end, motion.centre, motion.sweep_deg < 0, motion.feed_mm_min)


def _chords(motion: Motion) -> list[Point]:
    """Return where a motion goes after its start."""
    if motion.centre is None:
        return [motion.end]
    cx, cy = motion.centre
    radius = math.dist(motion.start[:2], motion.centre)
    first = math.atan2(motion.start[1] - cy, motion.start[0] - cx)
    widest = 2 * math.acos(max(0.0, 1 - CHORD_MM / radius)) if radius > CHORD_MM else math.pi
    count = max(2, math.ceil(abs(math.radians(motion.sweep_deg)) / widest))
    places: list[Point] = []
    for i in range(1, count + 1):
        angle = first + math.radians(motion.sweep_deg) * i / count
        height = motion.start[2] + (motion.end[2] - motion.start[2]) * i / count
        places.append((cx + radius * math.cos(angle), cy + radius * math.sin(angle), height))
    return places


def profile_of(tool: ToolEntry, reach_mm: float) -> list[tuple[float, float]]:
    """Return a cutter's outline as (radius, height over the tip), from the tip to the top of its shank."""
    neck = radius_of(tool.diameter, tool.half_angle, tool.cutting_length)
    radius, top, shank = tool.diameter / 2, tool.cutting_length, tool.shank / 2
    return [(0.0, 0.0), (radius, 0.0), (neck, top), (shank, top), (shank, reach_mm)]


def motion_view(facts: PacketFacts, program: ProgramFacts, board: BoardEntry, carving: StagedCarving | None = None) -> dict[str, Any]:
    """Return the data of one program's view, in its own units. Places are rounded to 0.001 mm or 0.00001 in, times to 0.01 s."""
    # The first rapids only name a place that was unknown till then; nothing moves from anywhere known.
    motions = tuple(dropwhile(lambda motion: motion.kind == "rapid" and motion.start == motion.end, program.run.motions))
    start = motions[0].start if motions else (0.0, 0.0, 0.0)
    machine = facts.limits.machine
    seconds = move_seconds([_as_move(motion) for motion in motions], start, Pace(machine.rapid, machine.acceleration))
    rows = [_Row(start, 0, 0, 0.0, 0.0, 0.0, motions[0].tool if motions else 0)]
    clock = 0.0
    ends = [0.0] * (len(program.run.motions) - len(motions))  # when each motion of the program is over
    for motion, taken in zip(motions, seconds, strict=True):
        chords = _chords(motion)
        pieces = [math.dist(a, b) for a, b in pairwise([motion.start, *chords])]
        whole = sum(pieces)
        gone = 0.0
        for place, piece in zip(chords, pieces, strict=True):
            gone += piece
            time = clock + (taken * gone / whole if whole else taken)
            rows.append(_Row(place, _KINDS[motion.kind], motion.line, motion.feed_mm_min, whole, time, motion.tool, motion.kind == "arc"))
        clock += taken
        ends.append(clock)
    text = program.text.splitlines()
    low, high = box_of(program.entry.to_machine, board.size)
    radii = {tool.number: tool.diameter / 2 for tool in facts.manifest.tools}
    rows = list(_by_wood(rows, low, high, max((radii.get(row.tool, 0.0) for row in rows), default=0.0)))
    places, kinds, lines, feeds, lengths, times, tools, _ = zip(*rows, strict=True)
    window = _window(list(places))
    around = [] if program.limits is None else program.limits.zones
    backing = 0.0 if program.limits is None else program.limits.backing
    if program.entry.hold == "flat":
        around = [*around, _bed(low, window)]
    known = {tool.number for tool in facts.manifest.tools}
    reach = max([tool.stick_out for tool in facts.limits.tools if tool.number in set(tools)], default=40.0)
    boxes = [_cropped("board", low, high, window), *_around(around, backing, low, high, window)]
    board_box, *others = (box and {key: _told(value, program.run) for key, value in box.items()} for box in boxes)
    profiles = {str(number): profile_of(facts.tool(number), reach) for number in sorted(known & set(tools))}
    return {
        "unit": "in" if program.run.units == "inch" else "mm",
        "board": board_box,
        "carved": carving and _carved(carving, ends),
        "around": [box for box in others if box],
        "cutters": {number: [_told(point, program.run) for point in profile] for number, profile in profiles.items()},
        "x": _told([p[0] for p in places], program.run),
        "y": _told([p[1] for p in places], program.run),
        "z": _told([p[2] for p in places], program.run),
        "kind": kinds,
        "line": lines,
        "feed": [round(feed, 1) for feed in _told(feeds, program.run)],
        "length": _told(lengths, program.run),
        "time": [round(time, 2) for time in times],
        "tool": tools,
        "text": {str(line): text[line - 1] for line in sorted(set(lines) - {0})},
    }


def _by_wood(rows: Sequence[_Row], low: Point, high: Point, radius_mm: float) -> Iterator[_Row]:
    """Tell feed in air from feed in wood, where the cutter is within its radius of the board and below its top; lines are parted there."""
    yield rows[0]
    ends = np.array([row.place for row in rows])
    trace = Traced(ends[:-1], ends[1:], np.array([row.kind == 0 for row in rows[1:]], dtype=bool))
    first, last = (share.tolist() for share in wood_shares(trace, low, high, radius_mm)) if len(rows) > 1 else ([], [])
    for (before, row), enter, leave in zip(pairwise(rows), first, last, strict=True):
        if row.kind == 0 or row.arc or leave <= enter:
            yield row._replace(kind=row.kind + (leave - enter > 0.5))
            continue
        for begin, end, wood in ((0.0, enter, False), (enter, leave, True), (leave, 1.0, False)):
            if end > begin:
                x, y, z = (a + (b - a) * end for a, b in zip(before.place, row.place, strict=True))
                time = before.time + (row.time - before.time) * end
                yield row._replace(place=(x, y, z) if end < 1.0 else row.place, kind=1 + wood, time=time)


def _carved(carving: StagedCarving, ends: Sequence[float]) -> dict[str, Any]:
    """Return what stays of the wood, which chips are taken off it, and when each is gone."""
    return {
        "stays": _whole(carving.stays),
        "chips": f"chips-{carving.stages.stem}",
        "shift": round(carving.shift_mm * _PARTS_OF_MM),
        "gone": [round(ends[last], 2) for last, _ in carving.stages.chips],
    }


def _whole(solid: Solid) -> dict[str, Any]:
    return {"v": (solid.corners * _PARTS_OF_MM).round().astype(int).ravel().tolist(), "t": solid.triangles.ravel().tolist()}


def _chips(stages: Stages) -> dict[str, Any]:
    """Return all chips as one mesh, and with which of its triangles each begins."""
    corners, triangles, begins = [np.zeros((0, 3))], [np.zeros((0, 3), dtype=np.int64)], []
    for _, chip in stages.chips:
        begins.append(sum(map(len, triangles)))
        triangles.append(chip.triangles + sum(map(len, corners)))
        corners.append(chip.corners)
    return {**_whole(Solid(np.vstack(corners), np.vstack(triangles))), "from": begins}


def _style() -> dict[str, Any]:
    """Return the colours that setup pictures have."""
    things = {name: TONES[tone] for name, tone in _THINGS.items()}
    return {"things": things, "wood": TONES["wood side"], "chips": TONES["wood"], "cutter": TONES["cutter"]}


def _told(values: Any, run: ProgramRun) -> Any:
    """Return lengths in the units of a program that was run; a name as it is."""
    if isinstance(values, str):
        return values
    per, digits = (1 / MM_PER_INCH, 5) if run.units == "inch" else (1.0, 3)
    return [round(value * per, digits) + 0.0 for value in values]


def _round(values: list[float]) -> list[float]:
    return [round(value, 3) + 0.0 for value in values]


def _window(places: list[Point]) -> tuple[list[float], list[float]]:
    """Return the box that the view shows: the motion, the corner at the stop, and some room around."""
    axes = list(zip((0.0, 0.0, 0.0), *places, strict=True))
    return [min(axis) - _MARGIN_MM for axis in axes], [max(axis) + _MARGIN_MM for axis in axes]


def _cropped(name: str, low: Sequence[float], high: Sequence[float], window: tuple[list[float], list[float]]) -> dict[str, Any] | None:
    """Return the part of a box that lies in the window, if there is any."""
    inside_low = [max(a, b) for a, b in zip(low, window[0], strict=True)]
    inside_high = [min(a, b) for a, b in zip(high, window[1], strict=True)]
    if any(a >= b for a, b in zip(inside_low, inside_high, strict=True)):
        return None
    return {"name": name, "low": _round(inside_low), "high": _round(inside_high)}


def _bed(low: Sequence[float], window: tuple[list[float], list[float]]) -> ZoneEntry:
    """Return the top of the bed, on which a flat board lies, as far as the view shows it."""
    (x0, y0, _), (x1, y1, _) = window
    return ZoneEntry(name="bed", low=(x0, y0, low[2] - _BED_MM), high=(x1, y1, low[2]))


def _around(
    zones: Sequence[ZoneEntry], backing_mm: float, low: Point, high: Point, window: tuple[list[float], list[float]]
) -> list[dict[str, Any] | None]:
    boxes = [_cropped(zone.name, zone.low, zone.high, window) for zone in zones]
    if backing_mm:
        boxes.append(_cropped("backing", [low[0] - 20, 0.0, low[2]], [high[0] + 20, backing_mm, 0.0], window))
    return boxes


def views_of(facts: PacketFacts) -> dict[str, dict[str, Any]]:
    """Return every view's data by the id of its element: motions, boards and the drawers that are put together from them."""
    boards = facts.boards
    carvings = {program.stem: carving for program, carving in staged_carvings(facts)}
    found: dict[str, dict[str, Any]] = {
        f"motion-{program.stem}": motion_view(facts, program, boards[program.entry.board], carvings.get(program.stem))
        for program in facts.programs
    }
    stages = {carving.stages.stem: carving.stages for carving in carvings.values()}
    found |= {f"chips-{stem}": _chips(own) for stem, own in stages.items()}
    found["style"] = _style()
    kept: dict[int, str] = {}  # equal boards share one mesh
    for name, solid in facts.solids.items():
        if kept.setdefault(id(solid), name) == name:
            found[f"board-{name}"] = _mesh(solid)
    for drawer in facts.manifest.drawers:
        if drawer.id in facts.portraits:
            names = {part: getattr(drawer.parts, part) for part in PARTS}
            found[f"drawer-{drawer.id}"] = {
                "boards": {part: f"board-{kept[id(facts.solids[name])]}" for part, name in names.items()},
                "frames": {part: boards[name].to_drawer for part, name in names.items()},
                "apart": 3 * boards[names["left"]].size[2],
                "unit": facts.units,
            }
    return found


def _mesh(solid: Solid) -> dict[str, Any]:
    """Return corners to 0.01 mm, triangles, and creases as pairs of corners."""
    return {
        "v": [round(value, 2) + 0.0 for value in solid.corners.ravel().tolist()],
        "t": solid.triangles.ravel().tolist(),
        "e": edges_of(solid).ravel().tolist(),
    }
