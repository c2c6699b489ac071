"""Corners of bottoms: what is cut away, how the cutter comes in, and what it never meets."""

from itertools import pairwise

import pytest
import shapely
from shapely import box

from camtools.drawer.boards import Corners, Notch
from camtools.toolpath.corner_cuts import clear_of_stop_mm, corners_cut
from camtools.toolpath.moves import Line
from tests.joint_specimens import AIR, straight
from tests.toolpath.sweeping import left_of, moves_with_start, wood_in_the_way

LONG, WIDE, THICK = 120.0, 80.0, 6.0
STOPS = [("left end", "left"), ("right end", "right")]
# How deep side tongues and front tongues are cut back, and how long: a stepped notch, a square one, and one far wider than the cutter.
NOTCHES = {
    "stepped": (5.7, 12.2, 5.1, 14.0),
    "square": (5.7, 5.7, 5.1, 5.1),
    "wide": (17.0, 30.0, 15.0, 33.0),
    "shallow": (2.1, 9.0, 1.9, 9.5),
}


def outline(name: str, *, rear: bool = True) -> list[tuple[float, float]]:
    u, far_u, v, far_v = NOTCHES[name]
    front = [(0.0, far_v), (u, far_v), (u, v), (far_u, v), (far_u, 0.0)] if far_u > u else [(0.0, v), (u, v), (u, 0.0)]
    half = [*front, *[(LONG - x, y) for x, y in reversed(front)]]
    return [*half, *([(x, WIDE - y) for x, y in reversed(half)] if rear else [(LONG, WIDE), (0.0, WIDE)])]


def corners(name: str, light: float = 0.5, *, rear: bool = True) -> Corners:
    u, far_u, v, far_v = NOTCHES[name]
    notches = tuple(Notch(end, far_v, u, far_u, v) for end in (("front", "rear") if rear else ("front",)))
    return Corners(notches, straight(6.0, depth_per_pass=2.0), 0.4, light)


def in_machine(shape: shapely.Geometry, end: str, stop: str) -> shapely.Geometry:
    """Board to machine for a bottom, docs/joinery.md section 3: X along v from the stop, Y the end."""
    sign, along = (1 if stop == "left" else -1), (-1 if end == "left end" else 1)
    return shapely.affinity.affine_transform(shape, [0, sign, along, 0, 0, 0 if end == "left end" else -LONG])


@pytest.mark.parametrize("rear", [True, False])
@pytest.mark.parametrize("light", [0.0, 0.5])
@pytest.mark.parametrize("name", NOTCHES)
@pytest.mark.parametrize(("end", "stop"), STOPS)
def test_nothing_stays_beyond_the_outline_and_only_tongues_are_run_into(end, stop, name, light, rear):
    cut = corners_cut(corners(name, light, rear=rear), (LONG, WIDE, THICK), stop, AIR)
    half = box(0, 0, LONG / 2, WIDE) if end == "left end" else box(LONG / 2, 0, LONG, WIDE)
    blank, wanted = (in_machine(shape, end, stop) for shape in (half, shapely.Polygon(outline(name, rear=rear)).intersection(half)))
    left = left_of(blank, cut, -THICK - 0.4 + 1e-9)
    assert left.difference(wanted).area < 0.01
    u, _, v, _ = NOTCHES[name]
    panel = in_machine(box(u, v, LONG - u, WIDE - v if rear else WIDE).intersection(half), end, stop)
    assert panel.difference(left).area < 0.01
    run_on = wanted.difference(left).buffer(-1e-6)  # rounding leaves slivers
    assert run_on.area < (2 if rear else 1) * 2 * 3.0 * 6.0  # at most a cutter's half-length and width at each wall
    for part in shapely.get_parts(run_on):
        assert max(part.bounds[2] - part.bounds[0], part.bounds[3] - part.bounds[1]) <= 6.0 + 1e-6


@pytest.mark.parametrize("name", NOTCHES)
@pytest.mark.parametrize(("end", "stop"), STOPS)
def test_it_goes_down_beside_the_board_only_and_never_deeper_than_the_setting(end, stop, name):
    cut = corners_cut(corners(name), (LONG, WIDE, THICK), stop, AIR)
    blank = in_machine(box(0, 0, LONG, WIDE), end, stop)
    depths = {0.0}
    for start, move in moves_with_start(cut):
        if isinstance(move, Line) and move.end[2] < start[2]:
            assert shapely.LineString([start[:2], move.end[:2]]).distance(blank) > 3.0
        if isinstance(move, Line):
            depths.add(move.end[2])
    levels = sorted((z for z in depths if z <= 0.0), reverse=True)
    assert levels[1] == -0.5  # shallow, for the upper face
    assert all(a - b <= 2.0 + 1e-9 for a, b in pairwise(levels))
    assert levels[-1] == pytest.approx(-6.4)
    assert wood_in_the_way(blank, cut, 0.0, AIR.clearance_mm) == []


@pytest.mark.parametrize("name", NOTCHES)
@pytest.mark.parametrize("stop", ["left", "right"])
def test_cutter_keeps_clear_of_a_stop_that_ends_where_it_is_told(stop, name):
    cut = corners_cut(corners(name), (LONG, WIDE, THICK), stop, AIR)
    side = box(-60.0, -LONG, 0.0, -clear_of_stop_mm(corners(name)))
    standing = side if stop == "left" else shapely.affinity.scale(side, xfact=-1.0, origin=(0, 0))
    way = shapely.union_all([shapely.LineString([start[:2], move.end[:2]]) for start, move in moves_with_start(cut) if move.end[2] < 0.0])
    assert way.distance(standing) >= 3.0 + 2.0 - 1e-9
