"""The corners of a drawer, from the same geometry as the programs, and its layouts as small pictures.

The right side stands beside what it is the side view of, as in third angle projection (ISO 128-3). What lies behind a face is shaded
or dashed: the tails behind the lap of a front, the bottom's groove.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from camtools.drawer.boards import Drawer, Groove, Layout, TailedJoint
from camtools.drawings.ends import End, ends_of
from camtools.drawings.sheet import spread
from camtools.pictures.paper import XY, Scale
from camtools.setout.drawings.leaf import Leaf
from camtools.templates.outlines import flattened
from camtools.wording import counted, mm, units_told

__all__ = ["common_scale", "corner_at_work", "corner_of", "layout_of"]

Corner = Literal["front", "back"]

_BEYOND_MM = 16.0  # of a board that is shown beyond the joint
_APART_PX, _EDGE_PX = 26.0, 6.0  # between the two views, and round them
_TALLEST_PX = 190.0  # the highest of the corners that are drawn at one scale
_AT_WORK_PX = 420.0  # the height of the corner at work
_LEAST_PX, _MOST_PX = 1.1, 5.0  # for a mm of wood
_FINGER_PX = 46.0  # from one grip to the next
_COLUMN_PX = 62.0  # of paper for grips, beside and under the views
_SMALL_PX = (64.0, 96.0)  # width and height of a layout that may be chosen
_TOLERANCE_PX = 0.15  # of an arc that is drawn as chords


@dataclass(frozen=True, slots=True)
class _Grip:
    """What can be dragged: a line of the drawing that stands for a key of the job file."""

    key: str
    letter: str
    told: str
    value_mm: float
    line: tuple[XY, XY]  # on paper: across the view, level or upright


@dataclass(frozen=True, slots=True)
class _Views:
    """Two views of a corner on one paper: a board that lies across, and the right side."""

    across: Scale  # of the front or back: X from its right end, positive to the right
    side: Scale  # of the side: X from the face of the front or back that looks out, positive to the right
    inwards: float  # 1 where the side runs to the right from that face


def common_scale(drawers: Sequence[Drawer]) -> float:
    """Return the px for a mm of wood at which the corners of all drawers are drawn beside each other."""
    return min(_MOST_PX / 2, max(_LEAST_PX, _TALLEST_PX / max(drawer.outside_mm[2] for drawer in drawers)))


def corner_of(drawer: Drawer, corner: Corner, px_per_mm: float) -> str:
    """Return a corner as SVG, to be seen beside those of the other drawers."""
    leaf, _ = _drawn(drawer, corner, px_per_mm, (_EDGE_PX, _EDGE_PX, _EDGE_PX))
    return leaf.markup(_told(drawer, corner))


def corner_at_work(drawer: Drawer, number: int) -> str:
    """Return the front corner large, as SVG, with grips for what can be dragged.

    A grip tells the key of the job file that it stands for as ``data-key``, the value there as ``data-value`` in ``data-unit``, how
    many px one of that unit is as ``data-px``, along which axis of the screen as ``data-axis``, and its drawer as ``data-drawer``.
    """
    scale = min(_MOST_PX, max(_LEAST_PX, _AT_WORK_PX / drawer.outside_mm[2]))
    leaf, views = _drawn(drawer, "front", scale, (_COLUMN_PX, _COLUMN_PX + 8, _COLUMN_PX))
    grips = _grips(drawer, views)
    level = [grip for grip in grips if grip.line[0][1] == grip.line[1][1]]
    for column, edge in (("left", _COLUMN_PX / 2), ("right", leaf.size[0] - _COLUMN_PX / 2)):
        held = sorted((grip for grip in level if (grip.key == "groove.edge") == (column == "right")), key=lambda grip: grip.line[0][1])
        places = spread([grip.line[0][1] for grip in held], _FINGER_PX)
        for grip, y in zip(held, places, strict=True):
            _held(leaf, grip, (edge, y), number, scale)
    for grip in grips:
        if grip not in level:
            _held(leaf, grip, (grip.line[0][0], _COLUMN_PX / 2 - 4), number, scale)
    return leaf.markup(_told(drawer, "front"), parts=True)


def _told(drawer: Drawer, corner: Corner) -> str:
    joint = _joint(drawer, corner)
    return f"{drawer.name}, {corner} corner: {counted(len(joint.tails), 'tail')}, outermost {mm(joint.tails[-1].width_mm)}"


def _joint(drawer: Drawer, corner: Corner) -> TailedJoint:
    joint = drawer.right.piece.half_blind if corner == "front" else drawer.right.piece.through
    assert joint is not None
    return joint


def _drawn(drawer: Drawer, corner: Corner, px: float, margins: tuple[float, float, float]) -> tuple[Leaf, _Views]:
    """Draw both views of a corner; margins in px at the left, below and at the right."""
    side = drawer.right.piece
    board = (drawer.front if corner == "front" else drawer.back).piece
    left, below, right = margins
    across_mm = side.size_mm[2] + _BEYOND_MM
    along_mm = board.size_mm[2] + _BEYOND_MM
    proud_mm = drawer.right.to_drawer[1][3] + side.size_mm[0] - drawer.outside_mm[1] if corner == "back" else 0.0
    high_mm = max(drawer.outside_mm[2], board.size_mm[1])
    wide = left + (across_mm + along_mm + 2 * proud_mm) * px + _APART_PX + right
    leaf = Leaf(round(wide), round(below + high_mm * px + _EDGE_PX))
    if corner == "front":
        views = _Views(
            Scale(px, (0.0, 0.0), (left + across_mm * px, below)),
            Scale(px, (0.0, 0.0), (left + across_mm * px + _APART_PX, below)),
            1.0,
        )
    else:
        face = left + (along_mm + proud_mm) * px
        end = face + 2 * proud_mm * px + _APART_PX
        views = _Views(Scale(px, (0.0, 0.0), (end, below)), Scale(px, (0.0, 0.0), (face, below)), -1.0)
    _draw_side(leaf, views, drawer, corner, along_mm)
    _draw_across(leaf, views, drawer, corner, across_mm)
    return leaf, views


def _draw_side(leaf: Leaf, views: _Views, drawer: Drawer, corner: Corner, along_mm: float) -> None:
    """Draw the right side from outside over the end of the front or the back."""
    side, way, scale = drawer.right.piece, views.inwards, views.side
    first = corner == "front"
    board, raise_mm = (drawer.front.piece, 0.0) if first else (drawer.back.piece, drawer.back.to_drawer[2][3])
    start_mm = drawer.right.to_drawer[1][3] if first else drawer.outside_mm[1] - drawer.right.to_drawer[1][3] - side.size_mm[0]
    end = ends_of(side, "outside")[0 if first else 1]
    thick, high = board.size_mm[2], board.size_mm[1]
    leaf.fill([_mapped([(0, 0), (thick, 0), (thick, high), (0, high)], scale, way, 0.0, raise_mm)], "wood side", "thin")
    edge = _edge(end, side.size_mm[1], scale.px_per_mm)
    reach = along_mm - start_mm
    leaf.fill([_mapped([*edge, (reach, side.size_mm[1]), (reach, 0.0)], scale, way, start_mm)], "wood")
    leaf.draw([_mapped([(reach, 0.0), *edge, (reach, side.size_mm[1])], scale, way, start_mm)], "thin")
    if corner == "front":
        leaf.draw([_mapped([(thick, 0.0), (0.0, 0.0), (0.0, high), (thick, high)], scale, way, 0.0)], "outline")
    _draw_break(leaf, [scale.at(way * along_mm, 0.0), scale.at(way * along_mm, side.size_mm[1])])
    if side.groove is not None:
        begin = side.groove.start_mm if first else side.size_mm[0] - side.groove.stop_mm
        _draw_groove(leaf, side.groove, (begin, reach), (scale, way, start_mm, 0.0))


def _draw_across(leaf: Leaf, views: _Views, drawer: Drawer, corner: Corner, across_mm: float) -> None:
    """Draw the front from the front, or the back from behind, as far as its joint with the right side goes."""
    scale, first = views.across, corner == "front"
    board, raise_mm = (drawer.front.piece, 0.0) if first else (drawer.back.piece, drawer.back.to_drawer[2][3])
    way = -1.0 if first else 1.0
    proud_mm = 0.0 if first else -drawer.back.to_drawer[0][3]
    end = ends_of(board, "inside" if first else "outside")[1]
    length, high, _ = board.size_mm
    corners = [(-proud_mm, 0.0), (across_mm, 0.0), (across_mm, high), (-proud_mm, high)]
    leaf.fill([_mapped(corners, scale, way, 0.0, raise_mm)], "wood")
    waste = [
        _mapped(flattened(part, closed=True, tolerance_mm=_TOLERANCE_PX / scale.px_per_mm), scale, way, -proud_mm, raise_mm)
        for part in end.waste
    ]
    if first:
        leaf.fill(waste, "wood side")
        leaf.draw([[*part, part[0]] for part in waste], "hidden")
    else:
        leaf.fill(waste, "wood side", "thin")
    inside = drawer.right.piece.size_mm[2]
    if first:
        leaf.draw([_mapped([(inside, 0.0), (inside, high)], scale, way, 0.0)], "hidden")
    leaf.draw([_mapped([corners[1], corners[0], corners[3], corners[2]], scale, way, 0.0, raise_mm)], "outline" if first else "thin")
    _draw_break(leaf, [scale.at(way * across_mm, raise_mm), scale.at(way * across_mm, raise_mm + high)])
    if board.groove is not None:
        _draw_groove(leaf, board.groove, (length - board.groove.stop_mm, across_mm + proud_mm), (scale, way, -proud_mm, raise_mm))


def _edge(end: End, width_mm: float, px: float) -> list[XY]:
    """Return an end's outline, from the reference edge to the other."""
    found = flattened(end.edge, closed=False, tolerance_mm=_TOLERANCE_PX / px)
    found = found if found[0][1] <= 0.0 else [(found[0][0], 0.0), *found]
    return found if found[-1][1] >= width_mm else [*found, (found[-1][0], width_mm)]


def _mapped(points: Sequence[XY], scale: Scale, way: float, start_mm: float, up_mm: float = 0.0) -> list[XY]:
    """Put ``(d, v)``, d from an end inwards, on the paper."""
    return [scale.at(way * (start_mm + d), up_mm + v) for d, v in points]


def _draw_break(leaf: Leaf, ends: Sequence[XY]) -> None:
    """Draw the line at which a board is broken off: it goes on behind it."""
    (x, low), (_, high) = ends
    middle = (low + high) / 2
    leaf.draw([[(x, low - 5), (x, middle - 7), (x + 5, middle - 3), (x - 5, middle + 3), (x, middle + 7), (x, high + 5)]], "leader")


def _draw_groove(leaf: Leaf, groove: Groove, ends_mm: tuple[float, float], place: tuple[Scale, float, float, float]) -> None:
    """Draw the bottom's groove behind the face that is seen, from its end near the joint to where the board is broken off.

    Parameters
    ----------
    ends_mm
        From the board's end; below 0 the groove runs out through it.
    place
        As ``_mapped`` takes it.
    """
    (begin, stop), low, high = ends_mm, groove.edge_mm, groove.edge_mm + groove.width_mm
    lines = [[(stop, low), (begin, low), (begin, high), (stop, high)]] if begin > 0 else [[(0.0, v), (stop, v)] for v in (low, high)]
    leaf.draw([_mapped(line, *place) for line in lines], "hidden")


def _grips(drawer: Drawer, views: _Views) -> list[_Grip]:
    """Return what can be dragged in the front corner."""
    joint, front, side = _joint(drawer, "front"), drawer.front.piece, drawer.right.piece
    lap = drawer.right.to_drawer[1][3]
    scale = views.side
    left, right = scale.at(-_APART_PX / scale.px_per_mm, 0.0)[0], scale.at(front.size_mm[2] + 4.0, 0.0)[0]
    tails = joint.tails

    def level(v_mm: float) -> tuple[XY, XY]:
        y = scale.at(0.0, v_mm)[1]
        return (left, y), (right, y)

    found = [
        _Grip("joints.half_pin", "a", "half pin", tails[0].low_mm, level(tails[0].low_mm)),
        _Grip("joints.tail", "b", "outermost tail", tails[0].width_mm, level(tails[0].high_mm)),
    ]
    if len(tails) > 1:
        found.append(_Grip("joints.pin", "c", "pin", tails[1].low_mm - tails[0].high_mm, level(tails[1].low_mm)))
    x = scale.at(lap, 0.0)[0]
    found.append(_Grip("joints.lap", "d", "lap", lap, ((x, scale.at(0.0, 0.0)[1]), (x, scale.at(0.0, front.size_mm[1])[1]))))
    if side.groove is not None:
        y = scale.at(0.0, side.groove.edge_mm)[1]
        end = scale.at(front.size_mm[2] + _BEYOND_MM, 0.0)[0]
        found.append(_Grip("groove.edge", "e", "groove from the lower edge", side.groove.edge_mm, ((end, y), (scale.at(lap, 0.0)[0], y))))
    return found


def _held(leaf: Leaf, grip: _Grip, at: XY, number: int, px_per_mm: float) -> None:
    """Draw a grip at its place, with a line from it to what it moves."""
    (x0, y0), (x1, y1) = grip.line
    unit = units_told()[0]
    level = y0 == y1
    value = round(grip.value_mm * unit.per_mm, 4)
    told = {
        "class": "grip",
        "tabindex": 0,
        "role": "slider",
        "aria-label": grip.told,
        "aria-orientation": "vertical" if level else "horizontal",
        "aria-valuenow": f"{value:g}",
        "aria-valuetext": mm(grip.value_mm),
        "data-key": grip.key,
        "data-drawer": number,
        "data-value": f"{value:g}",
        "data-unit": unit.value,
        "data-px": f"{px_per_mm / unit.per_mm:.4f}",
        "data-axis": "y" if level else "x",
    }
    with leaf.group(told):
        with leaf.group({"class": "line"}):
            leaf.draw([[(x0, y0), (x1, y1)]], "band")
        knee = (at[0] + (x0 - at[0]) * 0.75, at[1]) if level else (at[0], at[1] + 0.75 * (y0 - at[1]))
        leaf.draw([[at, knee, (x0, y0)]], "band")
        leaf.mark(at, grip.letter)
        half = _FINGER_PX / 2 - 1
        leaf.field([(at[0] - half, at[1] - half), (at[0] + half, at[1] - half), (at[0] + half, at[1] + half), (at[0] - half, at[1] + half)])


def layout_of(drawer: Drawer, layout: Layout) -> str:
    """Return a layout of a drawer's tails as a small picture: the front end of its side. Raises ValueError where it can not be cut."""
    if layout.half_pin_mm is None:
        raise ValueError("a layout that can not be cut has no picture")
    joint = _joint(drawer, "front")
    wide, high = _SMALL_PX
    scale = Scale(high / joint.width_mm, (0.0, 0.0), (4.0, 4.0))
    thick = drawer.front.piece.size_mm[2]
    length, lap = min(thick, wide / scale.px_per_mm), drawer.right.to_drawer[1][3]
    lap = min(lap, length / 3)
    leaf = Leaf(round(wide + 8), round(high + 8))
    leaf.box(scale, (0.0, 0.0), (length, joint.width_mm), "wood side", "thin")
    lean = (length - lap) * joint.dovetail.slope
    edge: list[XY] = []
    low = layout.half_pin_mm
    for tail, gap in zip(layout.tails_mm, (*layout.pins_mm, 0.0), strict=True):
        edge += [(length, low + lean), (lap, low), (lap, low + tail), (length, low + tail - lean)]
        low += tail + gap
    far = wide / scale.px_per_mm
    outline = [(far, 0.0), (length, 0.0), *edge, (length, joint.width_mm), (far, joint.width_mm)]
    leaf.fill([[scale.at(*point) for point in outline]], "wood", "thin")
    return leaf.markup(f"{counted(layout.count, 'tail')}")
