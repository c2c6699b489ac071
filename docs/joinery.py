"""Make the pictures of docs/joinery.md from the functions that make the programs.

Run ``python -m docs.joinery`` in the checkout. The same code makes the same bytes: a test compares them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from camtools.drawer import drawers_of
from camtools.drawer.boards import Board, Drawer, Flat, HalfBlind
from camtools.drawings.sheet import Drawing, Sheet, vertices_of
from camtools.drawings.sheet_svg import svg_bytes
from camtools.geometry.curves import ArcSegment, LineSegment
from camtools.geometry.flat_tails import flat_tail_of, relief_outline
from camtools.geometry.frames import apply, box_of
from camtools.geometry.half_blind import socket_of, socket_outline, tail_corner_of, tail_outline
from camtools.geometry.through import pin_socket_of, socket_half_width_mm
from camtools.job import read_job
from camtools.job.job import Job
from camtools.toolpath.workholding import END_GROOVE, setup_of

__all__ = ["pictures"]

HERE = Path(__file__).parent
SMALL, PLAIN = 2.4, 3.0  # heights of letters, mm of paper
WOOD, SIDE, SPACE, TOOL = 0.93, 0.86, 1.0, 0.78  # greys
Point = tuple[float, float]


def arrow(drawing: Drawing, start: Point, end: Point, label: str = "") -> None:
    """Draw an arrow on paper, named beyond its head."""
    (x0, y0), (x1, y1) = start, end
    long = math.dist(start, end)
    ux, uy = (x1 - x0) / long, (y1 - y0) / long
    s = drawing.scale
    drawing.line([(x0 / s, y0 / s), (x1 / s, y1 / s)], "thin")
    head = [(x1, y1), (x1 - 2.2 * ux - 0.8 * uy, y1 - 2.2 * uy + 0.8 * ux), (x1 - 2.2 * ux + 0.8 * uy, y1 - 2.2 * uy - 0.8 * ux)]
    drawing.area([(x / s, y / s) for x, y in head], 0.0)
    if label:
        drawing.words(label, x1 + 2.4 * ux, y1 + 2.4 * uy, SMALL)


def between(drawing: Drawing, start: Point, end: Point, label: str, beside: Point = (0.0, 0.0)) -> None:
    """Draw a dimension of the wood, arrows at both ends; ``beside`` moves its label on paper."""
    s = drawing.scale
    a, b = (start[0] * s, start[1] * s), (end[0] * s, end[1] * s)
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    arrow(drawing, middle, a)
    arrow(drawing, middle, b)
    drawing.words(label, middle[0] + beside[0], middle[1] + beside[1], SMALL)


def point_at(drawing: Drawing, place: Point, words_at: Point, label: str) -> None:
    """Point at a place of the wood from words on paper."""
    s = drawing.scale
    drawing.line([place, (words_at[0] / s, words_at[1] / s)], "thin")
    right = words_at[0] >= place[0] * s
    drawing.words(label, words_at[0] + (1.0 if right else -1.0), words_at[1], SMALL, "start" if right else "end")


def circle(drawing: Drawing, centre: Point, radius: float, pen: str | None, fill: float | None = None) -> None:
    """Draw a circle of the wood."""
    x, y = centre
    drawing.curve([(x - radius, y, 1.0), (x + radius, y, 1.0)], pen, closed=True, fill=fill)


def cross(drawing: Drawing, place: Point) -> None:
    """Mark a centre."""
    x, y = place
    arm = 1.2 / drawing.scale
    drawing.line([(x - arm, y), (x + arm, y)], "thin")
    drawing.line([(x, y - arm), (x, y + arm)], "thin")


def rectangle(low: Point, high: Point) -> list[Point]:
    """Return the corners of a rectangle."""
    return [low, (high[0], low[1]), high, (low[0], high[1])]


def frames(drawer: Drawer) -> Drawing:
    """A drawer from above: the drawer's frame, and each board's ``u`` and ``w`` as its map has them."""
    drawing = Drawing([], 0.36)
    s = drawing.scale
    for board in drawer.boards[:4]:
        low, high = box_of(board.to_drawer, board.piece.size_mm)
        drawing.area(rectangle(low[:2], high[:2]), SIDE if "side" in board.piece.role else WOOD, "outline")
    for board in drawer.boards[:4]:
        length, _, thick = board.piece.size_mm
        ways = {"u": (0.4 * length, 0.0, thick / 2), "w": (length / 2, 0.0, thick + 34.0)}
        starts = {"u": (0.12 * length, 0.0, thick / 2), "w": (length / 2, 0.0, 0.0)}
        for name, way in ways.items():
            start, end = apply(board.to_drawer, starts[name]), apply(board.to_drawer, way)
            arrow(drawing, (start[0] * s, start[1] * s), (end[0] * s, end[1] * s), name)
        x, y, _ = apply(board.to_drawer, (0.72 * length, 0.0, thick / 2))
        drawing.words(board.piece.role, x * s, y * s, SMALL, upright="side" in board.piece.role)
    arrow(drawing, (-8.0, -8.0), (14.0, -8.0), "X")
    arrow(drawing, (-8.0, -8.0), (-8.0, 14.0), "Y")
    circle(drawing, (0.0, 0.0), 2.4, "outline")
    drawing.words("ring: origin; Z and v point up, out of the picture", drawer.outside_mm[0] * s / 2, -15.0, SMALL)
    return drawing


def _setup_panel(board: Board, end: str, job: Job) -> Drawing:
    """A setup: its board, its stop, its zero, and the axes of the board as they lie in the machine."""
    setup = setup_of(board, end, job.machine, 40.0)
    length, width, thick = board.piece.size_mm
    # Drawn shorter: the other end is broken away.
    shown = 150.0 if end == END_GROOVE else 90.0
    keep = (0.0, shown) if end in ("front end", "left end", END_GROOVE) else (length - shown, length)
    up = 2 if setup.hold == "upright" else 1
    drawing = Drawing([], 0.2)
    s = drawing.scale

    def seen(u: float, v: float, w: float) -> Point:
        place = apply(setup.to_machine, (u, v, w))
        return place[0], place[up]

    corners = [seen(keep[0], 0.0, 0.0), seen(keep[1], width, thick)]
    low = (min(c[0] for c in corners), min(c[1] for c in corners))
    high = (max(c[0] for c in corners), max(c[1] for c in corners))
    drawing.area(rectangle(low, high), WOOD, "outline")
    edge = high[0] if setup.stop == "right" else low[0]
    beyond = edge + (18.0 if setup.stop == "right" else -18.0)
    drawing.area(rectangle((min(edge, beyond), low[1] + 4.0), (max(edge, beyond), low[1] + 44.0)), TOOL, "thin")
    if end == END_GROOVE:
        drawing.area(rectangle((low[0], low[1] - 14.0), (high[0], low[1])), TOOL, "thin")
    drawing.line([seen(keep[0], 0.0, 0.0), seen(keep[1], 0.0, 0.0)], "reference")
    corner = (sum(keep) / 2 - 16.0, 0.3 * width, 0.0)
    for name, way in (("u", (corner[0] + 36.0, corner[1], 0.0)), ("v", (corner[0], corner[1] + 36.0, 0.0))):
        (x0, y0), (x1, y1) = seen(*corner), seen(*way)
        arrow(drawing, (x0 * s, y0 * s), (x1 * s, y1 * s), name)
    circle(drawing, (0.0, 0.0), 4.0, "outline", 0.0)
    view = "from the operator" if setup.hold == "upright" else "from above"
    drawing.words(f"{board.piece.role}, {end}", (low[0] + high[0]) / 2 * s, high[1] * s + 5.0, SMALL)
    drawing.words(f"{setup.hold}, {view}", (low[0] + high[0]) / 2 * s, low[1] * s - 6.5, 2.0)
    return drawing


def holds(drawer: Drawer, job: Job) -> Drawing:
    """Every setup of a drawer in a grid."""
    rows = (
        ((drawer.left, "front end"), (drawer.left, "rear end"), (drawer.right, "front end"), (drawer.right, "rear end")),
        ((drawer.front, "left end"), (drawer.front, "right end"), (drawer.back, "left end"), (drawer.back, "right end")),
        tuple((board, END_GROOVE) for board in (drawer.left, drawer.back, drawer.right, drawer.front)),
    )
    sheet = Drawing([])
    for j, row in enumerate(rows):
        for i, (board, end) in enumerate(row):
            panel = _setup_panel(board, end, job)
            low_x, low_y, high_x, high_y = panel.bounds_mm()
            sheet.put(panel, 43.0 * i - (low_x + high_x) / 2, -43.0 * j - (low_y + high_y) / 2)
    sheet.words("dot: zero of the program; grey: stop and fence; heavy: reference edge", 64.5, -112.0, SMALL)
    return sheet


def cutter(joint: HalfBlind) -> Drawing:
    """The dovetail cutter at full depth, seen along the cut."""
    tool, h = joint.dovetail, joint.length_mm
    drawing = Drawing([], 3.2)
    top, wide = tool.cutting_length_mm, tool.diameter_mm / 2
    neck, shank = tool.radius_at(top), tool.shank_mm / 2
    mouth = tool.radius_at(h)
    wood = [(-16.0, -5.0), (16.0, -5.0), (16.0, h), (mouth, h), (wide, 0.0), (-wide, 0.0), (-mouth, h), (-16.0, h)]
    drawing.area(wood, WOOD, "outline")
    body = [(-wide, 0.0), (wide, 0.0), (neck, top), (shank, top), (shank, top + 5.0), (-shank, top + 5.0), (-shank, top), (-neck, top)]
    drawing.area(body, TOOL, "outline")
    drawing.line([(0.0, -2.5), (0.0, top + 7.0)], "baseline")
    between(drawing, (-14.5, 0.0), (-14.5, h), "h", (2.6, 0.0))
    drawing.line([(-wide, 0.0), (-16.0, 0.0)], "thin")
    between(drawing, (0.0, -2.0), (wide, -2.0), "R", (0.0, 2.6))
    k = 0.4 * h
    between(drawing, (0.0, k), (tool.radius_at(k), k), "r(k)", (0.0, 2.6))
    between(drawing, (9.2, 0.0), (9.2, k), "k", (2.4, 0.0))
    drawing.line([(tool.radius_at(k), k), (10.0, k)], "thin")
    between(drawing, (0.0, h), (mouth, h), "r0", (0.0, 2.6))
    drawing.line([(wide, 0.0), (wide, h + 1.5)], "hidden")
    point_at(drawing, (tool.radius_at(4.0 * k / 3.0) + 0.7, 4.0 * k / 3.0), (27.0, 36.0), f"a, here {tool.angle_deg:g}\N{DEGREE SIGN}")
    return drawing


def half_blind(joint: HalfBlind) -> Drawing:
    """Tail and socket at the tip plane, and the centre lines that make them. Clearances larger than life."""
    joint = replace(joint, clearance_mm=0.6, free_depth_mm=1.6)
    tail = replace(joint.tails[0], middle_mm=0.0, width_mm=22.0)
    drawing = Drawing([], 3.0)
    s = drawing.scale
    side, half, tip = joint.side_mm, tail.width_mm / 2, joint.dovetail.diameter_mm / 2
    corner, socket = tail_corner_of(joint), socket_of(joint, 0.0, tail.width_mm)
    outside = -2.0
    # The front lies beyond the side's inside face: y of the socket and w of the tail are one axis.
    drawing.area(rectangle((-26.0, outside), (26.0, side + tip + 4.0)), WOOD)
    hole = vertices_of(socket_outline(joint, 0.0, tail.width_mm, joint.length_mm))
    drawing.curve([(hole[0][0], outside, 0.0), *hole, (hole[-1][0], outside, 0.0)], None, closed=True, fill=SPACE)
    drawing.curve(hole, "outline")
    body = vertices_of(tail_outline(joint, 0.0, tail.width_mm, 0.0))
    drawing.curve(body, "outline", closed=True, fill=TOOL)
    # Centre line of the tail's high flank and corner, as the cutter runs it, and of the socket.
    x, at, rho = half + corner.offset_mm, corner.depth_mm, corner.radius_mm
    middle = (x - rho, at)
    curve = (LineSegment((x, outside), (x, at)), ArcSegment((x, at), (middle[0], at + rho), middle, clockwise=False))
    drawing.curve(vertices_of(curve), "baseline")
    drawing.line([(-socket.high_mm, outside), (-socket.high_mm, socket.reach_mm), (0.0, socket.reach_mm)], "baseline")
    cross(drawing, middle)
    spot = (middle[0] + rho * math.cos(math.radians(50)), at + rho * math.sin(math.radians(50)))
    circle(drawing, spot, corner.offset_mm, "thin")
    cross(drawing, spot)
    drawing.line([middle, spot], "thin")
    drawing.words("rho", (middle[0] + spot[0]) / 2 * s - 4.2, (middle[1] + spot[1]) / 2 * s + 1.6, SMALL)
    circle(drawing, (-socket.high_mm, 4.0), joint.dovetail.radius_at(joint.free_depth_mm), "thin")
    cross(drawing, (-socket.high_mm, 4.0))
    drawing.line([(-26.0, side), (26.0, side)], "hidden")
    drawing.line([(-26.0, 0.0), (26.0, 0.0)], "thin")
    between(drawing, (0.0, 1.5), (half, 1.5), "wt/2", (0.0, 2.6))
    between(drawing, (half, -1.0), (x, -1.0), "r0", (0.0, -2.6))
    between(drawing, (-24.0, 0.0), (-24.0, side), "Ts", (3.2, 0.0))
    between(drawing, (1.5, 0.0), (1.5, socket.reach_mm), "Ts + p - r0", (11.0, 0.0))
    point_at(drawing, (-half - 0.4, 9.6), (-62.0, 27.0), "p")
    point_at(drawing, (-3.2, 1.0), (-30.0, -12.0), "tail of the side, at its tip")
    point_at(drawing, (-socket.high_mm, -1.2), (-30.0, -18.0), "centre line, sockets")
    point_at(drawing, (x, 4.0), (57.0, 20.0), "centre line, tails")
    point_at(drawing, middle, (57.0, 27.0), "one centre for both corners")
    drawing.words("front, cut at the tip plane", 0.0, (side + tip + 2.0) * s, SMALL)
    drawing.words("side's inside face", -26.0 * s, side * s + 3.0, SMALL, "start")
    return drawing


def through(drawer: Drawer) -> Drawing:
    """A socket in plan, the wall's centre line and the straight cutter where it has reached the wall's end."""
    joint = drawer.back.piece.through
    assert joint is not None
    joint = replace(joint, clearance_mm=0.6)
    tail = replace(joint.tails[0], middle_mm=0.0, width_mm=20.0)
    drawing = Drawing([], 3.4)
    back, radius, angle = joint.back_mm, joint.straight.diameter_mm / 2, math.radians(joint.dovetail.angle_deg)
    walls = [socket_half_width_mm(joint, tail, y) for y in (0.0, back)]
    for sign in (-1.0, 1.0):
        pin = [(sign * walls[0], 0.0), (sign * walls[1], back), (sign * 19.0, back), (sign * 19.0, 0.0)]
        drawing.area(pin, WOOD, "outline")
    t = joint.dovetail.slope
    half = tail.width_mm / 2
    body = [(-half, 0.0), (half, 0.0), (half - back * t, back), (-half + back * t, back)]
    drawing.area(body, TOOL, "hidden")
    path = pin_socket_of(joint, tail)
    reached = back - radius * math.sin(angle)
    far = back + 0.5
    drawing.line([(-path.half_mm(-2.0), -2.0), (-path.half_mm(far), far), (path.half_mm(far), far), (path.half_mm(-2.0), -2.0)], "baseline")
    spot = (path.half_mm(reached), reached)
    circle(drawing, spot, radius, "outline")
    cross(drawing, spot)
    contact = (spot[0] + radius * math.cos(angle), spot[1] + radius * math.sin(angle))
    drawing.line([spot, contact], "thin")
    drawing.words("d/2", (spot[0] + contact[0]) / 2 * 3.4, (spot[1] + contact[1]) / 2 * 3.4 - 2.6, SMALL)
    drawing.line([(-21.0, 0.0), (21.0, 0.0)], "thin")
    between(drawing, (20.2, 0.0), (20.2, back), "Tb", (3.2, 0.0))
    low = 0.45 * back
    between(drawing, (0.0, low), (walls[0] - low * t, low), "half width", (-6.6, 2.6))
    between(drawing, (4.0, 0.0), (4.0, low), "y", (2.6, 0.0))
    drawing.line([(0.0, -2.6), (0.0, back + 2.6)], "hidden")
    point_at(drawing, (-path.half_mm(6.0), 6.0), (-40.0, -10.0), "centre line of the cutter")
    point_at(drawing, (walls[0] - 0.3, 0.3), (44.0, -10.0), "c")
    for words, x, y in (("back", -15.0, 5.0), ("tail", -3.0, 2.0), ("inside face", -15.0, back + 1.2), ("outside face", -15.0, -1.2)):
        drawing.words(words, x * drawing.scale, y * drawing.scale, SMALL)
    return drawing


def flat(drawer: Drawer) -> Drawing:
    """Both reliefs of a joint that is cut with the boards flat: a tail's corner on the side's face, and a socket's end at its mouth."""
    half_blind, through = drawer.left.piece.half_blind, drawer.left.piece.through
    assert half_blind is not None
    assert through is not None
    joint = replace(half_blind, clearance_mm=0.5, free_depth_mm=0.4, flat=Flat(through.straight, 0.4))
    assert joint.flat is not None
    drawing = Drawing([], 4.0)
    s, t, angle = drawing.scale, joint.dovetail.slope, joint.dovetail.angle_deg
    # The side's face: u upwards from the baseline at 0 to the shoulder beyond it, x into the waste.
    at, long, waste = -19.0, 9.0, 8.0
    shoulder, first, corner, last, flank = ((at + x, u) for x, u in relief_outline(joint.flat, angle))
    bulge = -math.tan(math.pi / 8)
    rim = [(*flank, 0.0), (*last, bulge), (*corner, bulge), (*first, 0.0), (*shoulder, 0.0)]
    edge = [(at + long * t, -long, 0.0), *rim, (at + waste, 0.0, 0.0)]
    drawing.curve([*edge, (at + waste, 4.0, 0.0), (at - 6.0, 4.0, 0.0), (at - 6.0, -long, 0.0)], None, closed=True, fill=TOOL)
    drawing.curve(edge, "outline")
    pin = [(at + 0.5 + long * t, -long), (at + 0.5, 0.0), (at + waste, 0.0)]
    drawing.line(pin, "hidden")
    radius = joint.flat.straight.diameter_mm / 2
    place = flat_tail_of(joint, joint.flat).relief_mm
    middle = (at + place[0] + joint.length_mm * t, place[1] - joint.length_mm)
    circle(drawing, middle, radius, "thin")
    cross(drawing, middle)
    drawing.line([corner, middle], "baseline")
    point_at(drawing, (at + 0.5 + 6.0 * t, -6.0), ((at + 10.0) * s, -36.0), "pin")
    point_at(drawing, middle, ((at + 11.5) * s, -16.0), "cutter, d")
    point_at(drawing, (first[0], first[1] - 0.1), ((at + 6.0) * s, 11.0), "let in by e")
    drawing.words("tail", (at - 3.5) * s, -20.0, SMALL)
    drawing.words("side's face, tail's end below", (at + 1.0) * s, -long * s - 5.0, SMALL)
    # The socket's mouth: x across the joint, y inwards.
    half, depth = 9.0, joint.length_mm + joint.free_depth_mm
    here, low, width = 15.0, 2.0, 2 * half + 2 * joint.length_mm * t
    hole = [(here + x, y - joint.side_mm - 1.0, b) for x, y, b in vertices_of(socket_outline(joint, 0.0, width, 0.0))]
    drawing.area(rectangle((here - 12.5, low - 12.0), (here + 14.0, 4.0)), WOOD)
    drawing.curve(hole, None, closed=True, fill=SPACE)
    drawing.curve(hole, "outline")
    tail = rectangle((here - half, -joint.side_mm - 1.0), (here + half, -1.0))
    drawing.area(tail, TOOL, "outline")
    socket = socket_of(joint, 0.0, width)
    y, mouth = socket.reach_mm - joint.side_mm - 1.0, joint.dovetail.radius_at(depth)
    ends = [(here + sign * (socket.high_mm + extra), y) for sign, extra in ((-1.0, joint.relief_mm), (1.0, joint.relief_mm))]
    drawing.line(ends, "baseline")
    circle(drawing, ends[1], mouth, "thin")
    cross(drawing, ends[1])
    cross(drawing, (here + socket.high_mm, y))
    between(drawing, (here + socket.high_mm, y - 3.4), (ends[1][0], y - 3.4), "q", (0.0, -2.6))
    point_at(drawing, (here - half + 0.2, -1.2), ((here - 6.0) * s, 22.0), "square corner, c/2 off the wall")
    drawing.words("tail of the side", here * s, -30.0, SMALL)
    drawing.words("front or back, at the sockets' mouth", here * s, -long * s - 20.0, SMALL)
    return drawing


def bottom(drawer: Drawer) -> Drawing:
    """The corner of side and front from above, cut at the groove: grooves, and the bottom's outline in them."""
    drawing = Drawing([], 2.6)
    left, front, board = drawer.left, drawer.front, drawer.bottom
    groove, across = left.piece.groove, front.piece.groove
    assert groove is not None
    assert across is not None
    reach = 48.0
    for one in (front, left):
        low, high = box_of(one.to_drawer, one.piece.size_mm)
        drawing.area(rectangle(low[:2], (min(high[0], reach), min(high[1], reach))), SIDE if one is left else WOOD, "outline")
    for cut, one in ((groove, left), (across, front)):
        thick, radius = one.piece.size_mm[2], cut.cutter.diameter_mm / 2
        # Cut at half the groove's height it is as wide as it is deep; its round end is seen from above only.
        low = apply(one.to_drawer, (cut.start_mm, 0.0, thick - cut.depth_mm))
        high = apply(one.to_drawer, (cut.start_mm + 80.0, 0.0, thick))
        x0, y0, x1, y1 = min(low[0], high[0]), min(low[1], high[1]), max(low[0], high[0]), max(low[1], high[1])
        drawing.area(rectangle((x0, y0), (min(x1, reach), min(y1, reach))), SPACE, "hidden")
        start = apply(one.to_drawer, (cut.start_mm + radius, 0.0, thick - cut.depth_mm))
        end = apply(one.to_drawer, (cut.start_mm + radius, 0.0, thick))
        drawing.line([start[:2], end[:2]], "baseline")
    corners = [apply(board.to_drawer, (u, v, 0.0))[:2] for u, v in board.piece.outline]
    edge = _within(corners, reach)
    drawing.area([*edge, (reach, reach)], TOOL)
    drawing.line(edge, "outline")
    side, thick = left.piece.size_mm[2], front.piece.size_mm[2]
    between(drawing, (side, thick + 1.6), (apply(front.to_drawer, (across.start_mm, 0.0, 0.0))[0], thick + 1.6), "stop", (2.0, 2.6))
    point_at(drawing, (side + 0.05, thick + 0.05), (54.0, 96.0), "inside corner")
    point_at(drawing, (reach - 6.0, thick - 3.0), (132.0, 30.0), "front's groove and tongue")
    point_at(drawing, (side - 3.0, reach - 5.0), (44.0, 117.0), "side's groove and tongue")
    point_at(drawing, (across.start_mm + across.cutter.diameter_mm / 2, thick - across.depth_mm), (52.0, -4.0), "middle of the round end")
    drawing.words("bottom", 100.0, 84.0, PLAIN)
    drawing.words("front", 100.0, 15.0, PLAIN)
    drawing.words("side", 12.0, 100.0, PLAIN, upright=True)
    return drawing


def _within(corners: Iterable[Point], reach: float) -> list[Point]:
    """Return the part of the outline about its first corner, cut off at ``reach``."""
    points = list(corners)
    near = [i for i, (x, y) in enumerate(points) if x < reach and y < reach]
    ordered = sorted(near, key=lambda i: (i - len(points) // 2) % len(points))
    run = [points[i] for i in ordered]
    first, last = run[0], run[-1]
    return [(first[0], reach), *run, (reach, last[1])] if first[0] < last[0] else [(reach, first[1]), *run, (last[0], reach)]


def _sheet(stem: str, title: str, drawing: Drawing) -> Sheet:
    low_x, low_y, high_x, high_y = drawing.bounds_mm()
    paper = Drawing([])
    paper.put(drawing, 5.0 - low_x, 5.0 - low_y)
    width, height = high_x - low_x + 10.0, high_y - low_y + 10.0
    return Sheet(stem, title, f"{width:.0f} x {height:.0f} mm", width, height, (1, 1), tuple(paper.items), picture=True)


def pictures() -> dict[str, bytes]:
    """Return every picture by its file name."""
    job, _ = read_job(HERE.parent / "samples" / "first-drawer.toml")
    (drawer,) = drawers_of(job)
    joint = drawer.left.piece.half_blind
    assert joint is not None
    drawn = {
        "joinery-frames": ("Frames of drawer and boards", frames(drawer)),
        "joinery-holds": ("Setups", holds(drawer, job)),
        "joinery-cutter": ("The dovetail cutter", cutter(joint)),
        "joinery-half-blind": ("The half-blind joint at the tip plane", half_blind(joint)),
        "joinery-through": ("A through socket", through(drawer)),
        "joinery-flat": ("Reliefs of joints that are cut flat", flat(drawer)),
        "joinery-bottom": ("The bottom's corner", bottom(drawer)),
    }
    return {f"{stem}.svg": svg_bytes(_sheet(stem, title, drawing)) for stem, (title, drawing) in drawn.items()}


def main() -> None:
    """Write the pictures."""
    for name, content in pictures().items():
        (HERE / name).write_bytes(content)


if __name__ == "__main__":
    main()
