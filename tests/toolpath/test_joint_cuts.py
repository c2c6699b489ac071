"""Tails, sockets and pins: what the passes leave at every level is the joint and nothing else."""

import contextlib
import math
import random

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon, box
from shapely.ops import unary_union

from camtools.drawer.boards import HalfBlind, Through
from camtools.faults import CannotCut
from camtools.geometry.half_blind import socket_outline, tail_outline
from camtools.geometry.through import socket_half_width_mm
from camtools.toolpath.moves import Arc, Cut, Rapid
from camtools.toolpath.pins import pins_cut
from camtools.toolpath.sockets import rough_sockets_cut, sockets_cut
from camtools.toolpath.tails import rough_tails_cut, tails_cut
from tests.geometry.test_half_blind import points_of
from tests.joint_specimens import AIR, HALF_BLIND, THROUGH, dovetail, half_blind, straight, through
from tests.toolpath.sweeping import left_of, moves_with_start, wood_in_the_way

STOPS = ["left", "right"]
SHARES = [0.02, 0.5, 0.98]  # of the depth; just off the ends, where a section is clear cut
# Chords of the curves on both sides of the comparison: 20 mm radius, one degree.
NEAR_MM = 0.002


def edge_on(width: float, thick: float, stop: str) -> Polygon:
    return box(0.0 if stop == "left" else -width, -thick, width if stop == "left" else 0.0, 0.0)


def turned(shape: shapely.Geometry, stop: str, y_sign: float = -1.0) -> shapely.Geometry:
    """Lay a joint's plane figure into the machine frame of a stop."""
    return shapely.transform(shape, lambda points: points * [1.0 if stop == "left" else -1.0, y_sign])


def differ_mm(one: shapely.Geometry, other: shapely.Geometry) -> float:
    """Mean distance between two figures' outlines."""
    return one.symmetric_difference(other).area / max(one.length, other.length)


@pytest.mark.parametrize("stop", STOPS)
@pytest.mark.parametrize("share", SHARES)
@pytest.mark.parametrize("joint", HALF_BLIND.values(), ids=HALF_BLIND)
def test_half_blind_tails_are_left_standing(joint: HalfBlind, share: float, stop: str) -> None:
    """After the passes only the tails stand, rounded at the inside face, and no waste between them."""
    depth = share * joint.length_mm
    left = left_of(edge_on(joint.width_mm, joint.side_mm, stop), tails_cut(joint, stop, AIR), -depth)
    tails = unary_union([Polygon(points_of(tail_outline(joint, t.middle_mm, t.width_mm, depth))) for t in joint.tails])
    assert differ_mm(left, turned(tails, stop)) < NEAR_MM


@pytest.mark.parametrize("stop", STOPS)
@pytest.mark.parametrize("share", SHARES)
@pytest.mark.parametrize("joint", HALF_BLIND.values(), ids=HALF_BLIND)
def test_half_blind_sockets_are_cleared(joint: HalfBlind, share: float, stop: str) -> None:
    """After the passes the sockets are empty, and the pins between them whole."""
    depth = share * (joint.length_mm + joint.free_depth_mm)
    wood = edge_on(joint.width_mm, 60.0, stop)
    left = left_of(wood, sockets_cut(joint, stop, AIR), -depth)
    sockets = unary_union([Polygon(points_of(socket_outline(joint, t.middle_mm, t.width_mm, depth))) for t in joint.tails])
    assert differ_mm(left, wood.difference(turned(sockets, stop))) < NEAR_MM


@pytest.mark.parametrize("stop", STOPS)
@pytest.mark.parametrize("share", SHARES)
@pytest.mark.parametrize("joint", THROUGH.values(), ids=THROUGH)
def test_through_tails_are_left_standing(joint: Through, share: float, stop: str) -> None:
    """Through tails run straight through; at the back's outside face they have the width that the layout says."""
    depth = share * joint.length_mm
    left = left_of(edge_on(joint.width_mm, joint.side_mm, stop), tails_cut(joint, stop, AIR), -depth)
    narrower = (depth - joint.proud_mm) * joint.dovetail.slope
    tails = unary_union([
        box(0.0 if t.low_mm <= 0 else t.low_mm + narrower, 0.0, t.high_mm - narrower, joint.side_mm) for t in joint.tails
    ])  # fmt: skip
    assert differ_mm(left, turned(tails, stop)) < NEAR_MM


@pytest.mark.parametrize("stop", STOPS)
@pytest.mark.parametrize("joint", THROUGH.values(), ids=THROUGH)
def test_pins_are_left_standing(joint: Through, stop: str) -> None:
    """The straight cutter leaves the pins: sockets narrow towards the inside face, clearance wider than the tails."""
    back = joint.back_mm
    width = joint.width_mm - joint.raise_mm
    wood = edge_on(width, back, stop)
    left = left_of(wood, pins_cut(joint, stop, AIR), -(joint.side_mm + joint.proud_mm) + 0.01)
    sockets = []
    for tail in joint.tails:
        middle = tail.middle_mm - joint.raise_mm
        mouth, end = socket_half_width_mm(joint, tail, 0.0), socket_half_width_mm(joint, tail, back)
        low = (-1.0, -1.0) if tail.low_mm <= 0 else (middle - mouth, middle - end)
        sockets.append(Polygon([(low[0], back), (middle + mouth, back), (middle + end, 0.0), (low[1], 0.0)]))
    assert differ_mm(left, wood.difference(turned(unary_union(sockets), stop))) < NEAR_MM


def every_cut() -> dict[str, tuple[Cut, Polygon]]:
    cuts: dict[str, tuple[Cut, Polygon]] = {}
    for stop in STOPS:
        for name, half in HALF_BLIND.items():
            cuts[f"{name} tails {stop}"] = (tails_cut(half, stop, AIR), edge_on(half.width_mm, half.side_mm, stop))
            cuts[f"{name} sockets {stop}"] = (sockets_cut(half, stop, AIR), edge_on(half.width_mm, 300.0, stop))
        for name, joint in THROUGH.items():
            cuts[f"{name} through tails {stop}"] = (tails_cut(joint, stop, AIR), edge_on(joint.width_mm, joint.side_mm, stop))
            cuts[f"{name} pins {stop}"] = (
                pins_cut(joint, stop, AIR),
                edge_on(joint.width_mm - joint.raise_mm, joint.back_mm, stop),
            )
    return cuts


@pytest.mark.parametrize("seed", range(40))
def test_pins_of_any_size_are_left_standing_and_nothing_between_them(seed: int) -> None:
    """Thick and thin boards, steep and flat flanks, thick and thin cutters: no island, no wall cut into. Sizes are drawn at random."""
    dice = random.Random(seed)
    joint = None
    while joint is None:
        plain = straight(dice.choice([3.0, 4.0, 5.0, 6.0, 6.35, 8.0]), dice.choice([1.5, 2.0, 3.0]))
        cutter = dovetail(12.7, dice.choice([7.0, 9.5, 12.0, 14.0, 18.0]))
        width, side, back, pin = (dice.uniform(*limits) for limits in ((40, 140), (8, 19), (8, 19), (4, 14)))
        count, light = dice.randint(1, 5), dice.choice([0.0, 0.5])
        drawn = through(width=width, count=count, pin=pin, side=side, back=back, cutter=cutter, plain=plain, light=light)
        with contextlib.suppress(CannotCut):
            if min(tail.width_mm for tail in drawn.tails) > 8.0 and pins_cut(drawn, "left", AIR):
                joint = drawn
    test_pins_are_left_standing(joint, "left")


CUTS = every_cut()


@pytest.mark.parametrize("name", CUTS)
def test_entry_rapids_and_ends(name: str) -> None:
    """A dovetail cutter falls and rises only beside the wood, no rapid comes near it, and every cut ends at clearance."""
    cut, wood = CUTS[name]
    assert wood_in_the_way(wood, cut, 0.0, AIR.clearance_mm) == []
    assert cut.moves[0].end[2] == cut.moves[-1].end[2] == AIR.clearance_mm
    for start, move in moves_with_start(cut):
        if isinstance(move, Arc):
            assert start[2] == move.end[2]


def test_the_rules_of_entry_can_fail() -> None:
    """The check above does catch a dovetail cutter that falls into the wood."""
    cut, wood = CUTS["ordinary tails left"]
    moved = shapely.transform(wood, lambda points: points - [0.0, 15.0])
    assert wood_in_the_way(moved, cut, 0.0, AIR.clearance_mm)


def first_touch(cut: Cut, face: float, inwards: float, height: float) -> list[tuple[float, float, float]]:
    """Spans of X along a face in the order in which a level way at ``height`` cuts into it, each with how deep it goes.

    ``inwards`` is 1 where the wood lies beyond the face in Y, -1 where before it.
    """
    radius = cut.cutter.diameter_mm / 2
    spans = []
    for start, move in moves_with_start(cut):
        if abs(start[2] - height) > 1e-6 or abs(move.end[2] - height) > 1e-6:
            continue
        way = LineString([start[:2], move.end[:2]])
        if isinstance(move, Arc):
            turn = (math.atan2(p[1] - move.centre[1], p[0] - move.centre[0]) for p in (start, move.end))
            first, last = turn
            sweep = (last - first + math.pi) % (2 * math.pi) - math.pi
            reach = math.dist(start[:2], move.centre)
            angles = [first + sweep * i / 60 for i in range(61)]
            way = LineString([(move.centre[0] + reach * math.cos(a), move.centre[1] + reach * math.sin(a)) for a in angles])
        swept = way.buffer(radius, quad_segs=180)
        cutting = swept.intersection(LineString([(-500, face + inwards * 1e-6), (500, face + inwards * 1e-6)]))
        if not cutting.is_empty:
            low, _, high, _ = cutting.bounds
            depth = inwards * ((swept.bounds[3] if inwards > 0 else swept.bounds[1]) - face)
            spans.append((low, high, depth))
    return spans


def scored_share(cut: Cut, face: float, inwards: float, wood: Polygon) -> float:
    """Share of the line along which a cut enters a face, at its full depth, that a pass of at most 0.7 mm goes over first."""
    height = min(move.end[2] for move in cut.moves)
    scored, done = shapely.GeometryCollection(), shapely.GeometryCollection()
    edge = LineString([(wood.bounds[0], 0), (wood.bounds[2], 0)])
    for low, high, depth in first_touch(cut, face, inwards, height):
        span = LineString([(low, 0), (high, 0)]).intersection(edge).difference(done)
        if depth <= 0.7:
            scored = scored.union(span)
        done = done.union(span)
    return float(scored.length / done.length)


@pytest.mark.parametrize("stop", STOPS)
@pytest.mark.parametrize(
    ("make", "joint", "face", "inwards"),
    [(tails_cut, half_blind(light=0.5), -12.0, 1.0), (tails_cut, through(light=0.5), -12.0, 1.0),
     (sockets_cut, half_blind(light=0.5), 0.0, -1.0), (pins_cut, through(light=0.5), -12.0, 1.0),
     (pins_cut, through(light=0.5, raised=17.0), -12.0, 1.0),
     (pins_cut, through(light=0.5, count=4, pin=8.0, plain=straight(10.9)), -12.0, 1.0)],
    ids=["half-blind tails", "through tails", "sockets", "pins", "pins of a raised back", "pins hardly wider than the cutter"],
)  # fmt: skip
def test_the_whole_entry_line_is_scored_by_a_light_pass_first(make, joint, face, inwards, stop) -> None:  # type: ignore[no-untyped-def]
    """Teeth lift fibres where they leave the face. The rim of a 12.7 mm cutter takes only a chord of 4.9 mm at 0.5 mm depth."""
    assert scored_share(make(joint, stop, AIR), face, inwards, edge_on(joint.width_mm - getattr(joint, "raise_mm", 0.0), 60.0, stop)) > 0.95


@pytest.mark.parametrize("stop", STOPS)
@pytest.mark.parametrize(
    ("make", "joint"),
    [(tails_cut, half_blind(light=0.5)), (tails_cut, through(light=0.5)), (pins_cut, through(light=0.5, raised=17.0)),
     (pins_cut, through(light=0.5, raised=17.0, count=4, pin=8.0, plain=straight(10.9)))],
    ids=["half-blind", "through", "pins of a raised back", "a socket hardly wider than the cutter"],
)  # fmt: skip
def test_the_edges_of_the_board_are_scored_before_a_gap_there_is_cut(make, joint, stop) -> None:  # type: ignore[no-untyped-def]
    """Teeth would leave through the unbacked edge: the first way over it at full depth takes at most the light pass off it, all along."""
    cut, raised = make(joint, stop, AIR), getattr(joint, "raise_mm", 0.0)
    low, high = (0.0, joint.width_mm - raised) if stop == "left" else (raised - joint.width_mm, 0.0)
    radius, height = cut.cutter.diameter_mm / 2, min(move.end[2] for move in cut.moves)
    edges = ((low, -1.0), (high, 1.0))
    for edge, outwards in edges if not raised else edges[:1] if stop == "left" else edges[1:]:
        over = []
        for start, move in moves_with_start(cut):
            inside = radius + min(outwards * (edge - start[0]), outwards * (edge - move.end[0]))  # how far the rim goes into the board
            along = min(start[1], move.end[1]) < -12.0 and max(start[1], move.end[1]) >= 0.0
            if start[2] == move.end[2] == height and along and 0 < inside < 2 * radius:
                over.append(inside)
        assert over[0] == pytest.approx(0.5), over


@pytest.mark.parametrize("stop", STOPS)
@pytest.mark.parametrize("light", [0.6, 1.2])
def test_rounds_in_a_pin_socket_sink_by_the_setting_and_the_last_one_takes_a_thin_strip(light: float, stop: str) -> None:
    """Over any place the cutter comes again at most 2.5 mm lower, or takes a strip of at most 0.7 mm at the wall or at the face."""
    joint = through(plain=straight(6.0, depth_per_pass=2.5), light=light)
    cut = pins_cut(joint, stop, AIR)
    there = edge_on(joint.width_mm, joint.back_mm, stop)
    columns = [Point(x, y) for x in np.arange(there.bounds[0], there.bounds[2] / 2, 1.0) for y in np.arange(-11.9, 0, 1.0)]
    height = dict.fromkeys(range(len(columns)), 0.0)
    tree = shapely.STRtree(columns)
    for start, move in moves_with_start(cut):
        lowest = min(start[2], move.end[2])
        if lowest >= 0 or isinstance(move, Rapid):
            continue
        way = LineString([start[:2], move.end[:2]])
        met = [i for i in tree.query(way.buffer(3.0), predicate="intersects") if height[i] > max(start[2], move.end[2]) + 1e-9]
        deep = [columns[i] for i in met if height[i] - lowest > 2.5 + 0.6]
        for place in deep:  # 0.6: a way sinks so much at most
            assert way.distance(place) > 3.0 - 0.75, (start, move)
        for i in met:
            height[i] = lowest
    left = left_of(there, cut, -12.0)
    assert max(height[i] for i, place in enumerate(columns) if not left.covers(place)) < -12.0


@pytest.mark.parametrize("stop", STOPS)
def test_roughing_leaves_stock_on_every_face(stop: str) -> None:
    """A straight cutter that goes first stays half a millimetre off tails and sockets, at every level, and below them."""
    rough = straight(6.0)
    half, joint = half_blind(rough=rough, pin=14.0), through(rough=rough, pin=14.0)
    for work, cut in ((half, rough_tails_cut(half, stop, AIR)), (joint, rough_tails_cut(joint, stop, AIR))):
        assert cut is not None
        left = left_of(edge_on(100.0, 12.0, stop), cut, -0.01)
        finished = left_of(edge_on(100.0, 12.0, stop), tails_cut(work, stop, AIR), -0.01)
        assert finished.buffer(0.49).intersection(edge_on(100.0, 12.0, stop)).difference(left.buffer(0.001)).area < 0.001
        assert min(move.end[2] for move in cut.moves) == pytest.approx(-(work.length_mm - 0.5))
    cut = rough_sockets_cut(half, stop, AIR)
    assert cut is not None
    wood = edge_on(100.0, 60.0, stop)
    pins = left_of(wood, sockets_cut(half, stop, AIR), -0.01)
    assert pins.buffer(0.49).intersection(wood).difference(left_of(wood, cut, -0.01).buffer(0.001)).area < 0.001
    assert min(move.end[2] for move in cut.moves) == pytest.approx(-(half.length_mm + half.free_depth_mm - 0.5))


@pytest.mark.parametrize(("thick", "thin"), [(15.875, 4.0), (19.05, 3.0), (12.7, 6.0)])
def test_roughing_keeps_off_the_rounded_corners_of_sockets(thick: float, thin: float) -> None:
    """A thin straight cutter could reach into corners that a thick dovetail cutter leaves round: stock stays there too."""
    joint = half_blind(width=120.0, count=2, pin=14.0, cutter=dovetail(thick, 7.0), rough=straight(thin))
    cut = rough_sockets_cut(joint, "left", AIR)
    assert cut is not None
    wood = edge_on(120.0, 60.0, "left")
    pins = left_of(wood, sockets_cut(joint, "left", AIR), -0.01)
    assert pins.buffer(0.49).intersection(wood).difference(left_of(wood, cut, -0.01).buffer(0.001)).area < 0.001


def test_roughing_is_left_out_where_it_does_not_fit() -> None:
    """A straight cutter wider than the waste is not sent in."""
    assert rough_sockets_cut(half_blind(rough=straight(20.0)), "left", AIR) is None


def test_roughing_says_which_gaps_are_too_narrow_for_it() -> None:
    """Half pins of 5 mm beside a pin of 14 mm: with a 6 mm cutter only what is open at an edge and the wide gap are cleared."""
    joint = half_blind(rough=straight(9.0), pin=14.0)
    cut = rough_tails_cut(joint, "left", AIR)
    assert cut is not None
    assert str(cut.purpose) == "waste in gaps between tails, 0.5 mm left on every face"
    narrow = rough_tails_cut(half_blind(rough=straight(9.0), pin=9.5), "left", AIR)
    assert narrow is not None
    assert str(narrow.purpose).endswith("; 2 of 4 gaps between tails too narrow for this cutter, and left to the next")


def test_a_straight_cutter_too_thick_for_a_socket_is_refused() -> None:
    """The refusal names the cutter's size and the widest that fits."""
    with pytest.raises(CannotCut, match=r"too thick .* found 16 mm; limit 11 mm"):
        pins_cut(through(count=4, pin=8.0, plain=straight(16.0)), "left", AIR)


@pytest.mark.parametrize("angle", [7.0, 10.0, 14.0])
def test_wood_lies_on_the_cutters_left(angle: float) -> None:
    """Round every gap the tails lie on the left of the way, so that a cutter turning clockwise is fed against its turning."""
    joint = half_blind(cutter=dovetail(12.7, angle), pin=12.0)
    cut = tails_cut(joint, "left", AIR)
    tails = [(t.low_mm, t.high_mm) for t in joint.tails]
    inwards = 0
    for start, move in moves_with_start(cut):
        x = start[0]
        if x == move.end[0] and start[1] < move.end[1] and move.end[1] > 0:
            radius = 12.7 / 2 - joint.length_mm * math.tan(math.radians(angle))
            beside = [high for _, high in tails if abs(x - radius - high) < 1e-6]
            inwards += bool(beside)
    assert inwards == len(tails)
