"""What makes a drawer legal, worked out again from docs/joinery.md without the modules that laid it out.

Each check returns sentences; none means that all is well. Nothing here is taken from ``bounds.py``, ``layout.py`` or ``grooves.py``.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import shapely
from shapely import affinity
from shapely.geometry import Polygon, box

from camtools.drawer.boards import Affine, Board, Drawer, Groove, Tail

__all__ = ["faults_in", "feasible"]

NEAR = 1e-5


def _t(angle_deg: float) -> float:
    return math.sin(math.radians(angle_deg)) / math.cos(math.radians(angle_deg))


def _at(frame: Affine, u: float, v: float, w: float) -> tuple[float, float, float]:
    x, y, z = (row[0] * u + row[1] * v + row[2] * w + row[3] for row in frame)
    return x, y, z


def faults_in(drawer: Drawer, corner_mm: float = 0.25) -> list[str]:
    """Name everything in a drawer that could not be cut, would show or would not fit.

    ``corner_mm`` is the widest strip that may stay open between bottom and inside corner.
    """
    return [*_joints(drawer), *_frames(drawer), *_grooves(drawer), *_bottom(drawer, corner_mm)]


def _joints(drawer: Drawer) -> Iterator[str]:
    front, rear = drawer.left.piece.half_blind, drawer.left.piece.through
    assert front is not None
    assert rear is not None
    if drawer.right.piece.half_blind != front or drawer.front.piece.half_blind != front:
        yield "the boards of the front joint do not share it"
    if drawer.right.piece.through != rear or drawer.back.piece.through != rear:
        yield "the boards of the back joint do not share it"
    t, diameter, height = _t(front.dovetail.angle_deg), front.dovetail.diameter_mm, front.width_mm
    length, back = front.front_mm - front.lap_mm, rear.back_mm
    tails = front.tails
    for one, other in zip(tails, reversed(tails), strict=True):
        if abs(one.middle_mm + other.middle_mm - height) > NEAR or abs(one.width_mm - other.width_mm) > NEAR:
            yield "the tails are not symmetric about the middle"
    first = 1 if rear.raise_mm else 0
    if tails[first:] != rear.tails[first:]:
        yield "front and back are not in step"
    if rear.raise_mm and (
        rear.tails[0].low_mm + back * t > NEAR or abs(rear.tails[0].high_mm - tails[0].high_mm) > NEAR or len(rear.tails) != len(tails)
    ):
        yield "the lowest tail at the rear does not run down to the edge"
    pins = [high.low_mm - low.high_mm for low, high in itertools.pairwise(tails)]
    total = sum(tail.width_mm for tail in tails) + sum(pins) + 2 * tails[0].low_mm
    if abs(total - height) > NEAR:
        yield f"tails and pins add up to {total} and not {height}"
    if tails[0].low_mm < 3 - NEAR:
        yield f"half pin of {tails[0].low_mm}"
    for pin in pins:
        if pin < 3 - NEAR:
            yield f"pin of {pin}"
        for deep in (length, back):
            if pin + 2 * deep * t < diameter:  # docs/joinery.md section 5: the waste at the baseline
                yield f"waste of {pin + 2 * deep * t} at a baseline {deep} deep does not take the cutter of {diameter}"
    for tail in tails:
        if tail.width_mm + 2 * front.clearance_mm + 2 * front.free_depth_mm * t < diameter - NEAR:
            yield f"socket for a tail of {tail.width_mm} does not take the cutter of {diameter}"
        if tail.width_mm - 2 * back * t + 2 * rear.clearance_mm / math.cos(math.atan(t)) < rear.straight.diameter_mm - 2 * NEAR:
            yield f"through socket for a tail of {tail.width_mm} does not take the cutter of {rear.straight.diameter_mm}"
        if tail.width_mm - 2 * max(length, back) * t < 5 - NEAR:
            yield f"base of a tail of {tail.width_mm} is under 5"
    corner = diameter / 2 - length * t - front.clearance_mm - front.free_depth_mm * t
    if not 0.3 - NEAR <= corner <= front.side_mm - 1 + NEAR:
        yield f"corner radius {corner} in a side of {front.side_mm}"
    if front.dovetail.cutting_length_mm < max(length + front.free_depth_mm, rear.length_mm):
        yield "the dovetail cutter is too short"
    if rear.straight.cutting_length_mm < rear.side_mm + rear.proud_mm:
        yield "the straight cutter is too short"


def _frames(drawer: Drawer) -> Iterator[str]:
    wide, deep, high = drawer.outside_mm
    rear = drawer.left.piece.through
    assert rear is not None
    proud = rear.proud_mm
    want = {"front": -1, "back": 1, "left side": 1, "right side": -1, "bottom": 1}
    for board in drawer.boards:
        linear = [row[:3] for row in board.to_drawer]
        (a, b, c), (d, e, f), (g, h, i) = linear
        turned = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
        if turned != want[board.piece.role]:
            yield f"{board.id} is mirrored"
        corners = [_at(board.to_drawer, *corner) for corner in ((0, 0, 0), board.piece.size_mm)]
        low, up = ([pick(axis) for axis in zip(*corners, strict=True)] for pick in (min, max))
        # Ends stand proud: the sides' at the rear, the back's at both sides.
        room = ((-proud, wide + proud), (0.0, deep + proud), (0.0, high))
        for axis, (least, most) in enumerate(room):
            if low[axis] < least - NEAR or up[axis] > most + NEAR:
                yield f"{board.id} reaches out of the drawer along {'XYZ'[axis]}: {low[axis]} to {up[axis]}"
    front, lap = drawer.front.piece.size_mm, drawer.front.piece.half_blind
    assert lap is not None
    if abs(_at(drawer.left.to_drawer, 0, 0, 0)[1] - lap.lap_mm) > NEAR:
        yield "the sides do not begin behind the lap"
    if front[:2] != (wide, high):
        yield "the front is not as large as the drawer"
    if any(abs(_at(board.to_drawer, board.piece.size_mm[0], 0, 0)[1] - deep - proud) > NEAR for board in (drawer.left, drawer.right)):
        yield "the sides do not end proud of the back"


def _reach(groove: Groove, thick: float) -> float:
    """How far from a round end's middle a panel of this thickness may reach into it."""
    radius = groove.cutter.diameter_mm / 2
    play = (groove.width_mm - thick) / 2
    return math.sqrt(max(0.0, radius**2 - (radius - play) ** 2))


def _grooves(drawer: Drawer) -> Iterator[str]:
    front, rear = drawer.left.piece.half_blind, drawer.left.piece.through
    side = drawer.left.piece.groove
    assert front is not None
    assert rear is not None
    assert side is not None
    t, length, back = _t(front.dovetail.angle_deg), front.length_mm, rear.back_mm
    low, high = side.edge_mm, side.edge_mm + side.width_mm
    # A stopped groove ends before it meets a joint, so it may lie anywhere; a hidden one runs on into the front's.
    fronts = drawer.front.piece.groove
    runs_on = fronts is not None and fronts.start_mm < front.side_mm
    for tail, deep in [(front.tails[0], length)] if runs_on else []:
        narrow = Tail(tail.middle_mm, tail.width_mm - 2 * deep * t)
        if low - narrow.low_mm < 1.5 - NEAR or narrow.high_mm - high < 1.5 - NEAR:
            yield f"groove {low} to {high} is not inside the lowest tail, {narrow.low_mm} to {narrow.high_mm}"
    if rear.raise_mm and rear.tails[0].high_mm - back * t - rear.raise_mm < 5 - NEAR:
        yield "too little of the lowest tail holds the raised back"
    planes = set()
    for board in drawer.boards[:4]:
        groove, (long, _, thick) = board.piece.groove, board.piece.size_mm
        if groove is None:
            if board.piece.role != "back" or not rear.raise_mm:
                yield f"{board.id} has no groove"
            continue
        planes.add(tuple(round(_at(board.to_drawer, 0, v, 0)[2], 6) for v in (groove.edge_mm, groove.edge_mm + groove.width_mm)))
        if thick - groove.depth_mm < 3 - NEAR or groove.edge_mm < 4 - NEAR:
            yield f"{board.id} has too little wood behind or under its groove"
        if groove.cutter.diameter_mm > groove.width_mm + NEAR or groove.cutter.cutting_length_mm < groove.depth_mm:
            yield f"{board.id}: the cutter does not make this groove"
        runs_out = rear.raise_mm > 0 and "side" in board.piece.role
        if groove.start_mm < 0 or (groove.stop_mm > long) != runs_out:
            yield f"{board.id}: groove from {groove.start_mm} to {groove.stop_mm} of {long}"
        if "side" not in board.piece.role and abs(groove.start_mm + groove.stop_mm - long) > NEAR:
            yield f"{board.id}: groove is not in the middle"
    if len(planes) != 1:
        yield f"grooves lie in different planes: {sorted(planes)}"
    # A stopped groove in the front keeps a millimetre from the leaning wall of the socket, and in the back from its upright one.
    one = drawer.front.piece.groove
    assert one is not None
    hidden = one.start_mm < front.side_mm
    if not hidden and one.start_mm - front.side_mm - front.clearance_mm - one.depth_mm * t < 1 - NEAR:
        yield "the front's groove breaks into the socket"
    if hidden and abs(one.start_mm - front.side_mm + one.cutter.diameter_mm / 2) > NEAR:
        yield "the front's groove does not run on to the inside corner"
    two = drawer.back.piece.groove
    if two is not None and two.start_mm - rear.side_mm - rear.proud_mm < 1 - NEAR:
        yield "the back's groove breaks into the socket"


def _bottom(drawer: Drawer, corner_mm: float) -> Iterator[str]:
    """Lay the bottom in the drawer, seen from above, and compare it with the room between the boards and in their grooves."""
    panel, rear = drawer.bottom, drawer.left.piece.through
    assert rear is not None
    thick = panel.piece.size_mm[2]
    outline = Polygon(panel.piece.outline)
    if not outline.is_valid or not outline.exterior.is_ccw:
        yield "the bottom's outline crosses itself or runs clockwise"
        return
    if not shapely.equals(shapely.envelope(outline), box(0, 0, *panel.piece.size_mm[:2])):
        yield "the bottom's size is not that of its outline"
    x, y, z = _at(panel.to_drawer, 0, 0, 0)
    lies = affinity.translate(outline, x, y)
    side = drawer.left.piece.groove
    assert side is not None
    if abs(z - side.edge_mm - (side.width_mm - thick) / 2) > NEAR:
        yield "the bottom does not lie in the middle of the groove"
    wide, deep, _ = drawer.outside_mm
    inside = box(
        drawer.left.piece.size_mm[2],
        drawer.front.piece.size_mm[2],
        wide - drawer.right.piece.size_mm[2],
        deep if rear.raise_mm else deep - rear.back_mm,
    )
    pockets = [_pocket(board, thick) for board in drawer.boards[:4] if board.piece.groove is not None]
    room = shapely.union_all([inside, *pockets])
    outside = lies.difference(room)
    if outside.area > 1e-6:
        yield f"the bottom meets wood at {outside.wkt[:200]}"
    for board, pocket in zip([board for board in drawer.boards[:4] if board.piece.groove is not None], pockets, strict=True):
        tongue = lies.intersection(pocket)
        deep_in = min(tongue.bounds[2] - tongue.bounds[0], tongue.bounds[3] - tongue.bounds[1]) if tongue.area else 0.0
        if deep_in < 1.5:
            yield f"the bottom is held only {deep_in} in {board.id}"
    # The panel reaches every inside corner, but for a strip that is too thin to be a hole.
    seen = inside.intersection(box(0, 0, wide, deep - rear.back_mm)).difference(lies)
    if seen.buffer(-corner_mm / 2).area:
        yield f"a hole shows beside the bottom, {seen.wkt[:200]}"


def _pocket(board: Board, thick: float) -> Polygon:
    """Return where a panel of this thickness may be in a groove, seen from above."""
    groove, (long, _, wood) = board.piece.groove, board.piece.size_mm
    assert groove is not None
    radius = groove.cutter.diameter_mm / 2
    past = _reach(groove, thick)
    start, stop = groove.start_mm + radius - past, min(long, groove.stop_mm - radius + past)
    a = _at(board.to_drawer, start, 0, wood - groove.depth_mm)
    b = _at(board.to_drawer, stop, 0, wood)
    return box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]))


def feasible(
    *, height: float, side: float, front: float, lap: float, back: float, diameter: float, angle: float, straight: float,
    clearance: float, free: float, proud: float, edge: float, groove: float, reach: float, raised: bool = False, hidden: bool = False,
) -> bool:  # fmt: skip
    """Tell whether any layout at all can be cut: one tail between the thinnest half pins gives it the most room.

    ``reach`` is the length of the dovetail cutter's edge, ``edge`` the groove's place and ``groove`` its width.
    """
    t, length = _t(angle), front - lap
    corner = diameter / 2 - length * t - clearance - free * t
    if not 0.3 <= corner <= side - 1 or reach < max(length + free, back + proud):
        return False
    tail = height - 6
    longest = max(length, back)
    return (
        tail >= diameter - 2 * clearance - 2 * free * t
        and tail - 2 * longest * t >= 5
        and tail - 2 * back * t + 2 * clearance >= straight
        and (not hidden or (3 + length * t + 1.5 <= edge and height - 3 - length * t - 1.5 >= edge + groove))
        and (not raised or height - 3 - back * t - 5 >= edge + groove)
    )
