"""Tails, sockets and pins: what the passes leave at every level is the joint and nothing else."""

import math

import pytest
import shapely
from shapely import Polygon, box
from shapely.ops import unary_union

from camtools.drawer.boards import HalfBlind, Through
from camtools.faults import CannotCut
from camtools.geometry.half_blind import socket_outline, tail_outline
from camtools.geometry.through import socket_half_width_mm
from camtools.toolpath.moves import Arc, Cut
from camtools.toolpath.pins import pins_cut
from camtools.toolpath.sockets import rough_sockets_cut, sockets_cut
from camtools.toolpath.tails import rough_tails_cut, tails_cut
from tests.geometry.test_half_blind import points_of
from tests.joint_specimens import HALF_BLIND, THROUGH, dovetail, half_blind, straight, through
from tests.toolpath.sweeping import left_of, moves_with_start, wood_in_the_way

CLEAR = 10.0
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
    left = left_of(edge_on(joint.width_mm, joint.side_mm, stop), tails_cut(joint, stop, CLEAR), -depth)
    tails = unary_union([Polygon(points_of(tail_outline(joint, t.middle_mm, t.width_mm, depth))) for t in joint.tails])
    assert differ_mm(left, turned(tails, stop)) < NEAR_MM


@pytest.mark.parametrize("stop", STOPS)
@pytest.mark.parametrize("share", SHARES)
@pytest.mark.parametrize("joint", HALF_BLIND.values(), ids=HALF_BLIND)
def test_half_blind_sockets_are_cleared(joint: HalfBlind, share: float, stop: str) -> None:
    """After the passes the sockets are empty, and the pins between them whole."""
    depth = share * (joint.length_mm + joint.free_depth_mm)
    wood = edge_on(joint.width_mm, 60.0, stop)
    left = left_of(wood, sockets_cut(joint, stop, CLEAR), -depth)
    sockets = unary_union([Polygon(points_of(socket_outline(joint, t.middle_mm, t.width_mm, depth))) for t in joint.tails])
    assert differ_mm(left, wood.difference(turned(sockets, stop))) < NEAR_MM


@pytest.mark.parametrize("stop", STOPS)
@pytest.mark.parametrize("share", SHARES)
@pytest.mark.parametrize("joint", THROUGH.values(), ids=THROUGH)
def test_through_tails_are_left_standing(joint: Through, share: float, stop: str) -> None:
    """Through tails run straight through; at the back's outside face they have the width that the layout says."""
    depth = share * joint.length_mm
    left = left_of(edge_on(joint.width_mm, joint.side_mm, stop), tails_cut(joint, stop, CLEAR), -depth)
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
    left = left_of(wood, pins_cut(joint, stop, CLEAR), -(joint.side_mm + joint.proud_mm) + 0.01)
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
            cuts[f"{name} tails {stop}"] = (tails_cut(half, stop, CLEAR), edge_on(half.width_mm, half.side_mm, stop))
            cuts[f"{name} sockets {stop}"] = (sockets_cut(half, stop, CLEAR), edge_on(half.width_mm, 300.0, stop))
        for name, joint in THROUGH.items():
            cuts[f"{name} through tails {stop}"] = (tails_cut(joint, stop, CLEAR), edge_on(joint.width_mm, joint.side_mm, stop))
            cuts[f"{name} pins {stop}"] = (
                pins_cut(joint, stop, CLEAR),
                edge_on(joint.width_mm - joint.raise_mm, joint.back_mm, stop),
            )
    return cuts


CUTS = every_cut()


@pytest.mark.parametrize("name", CUTS)
def test_entry_rapids_and_ends(name: str) -> None:
    """A dovetail cutter falls and rises only beside the wood, no rapid comes near it, and every cut ends at clearance."""
    cut, wood = CUTS[name]
    assert wood_in_the_way(wood, cut, 0.0, CLEAR) == []
    assert cut.moves[0].end[2] == cut.moves[-1].end[2] == CLEAR
    for start, move in moves_with_start(cut):
        if isinstance(move, Arc):
            assert start[2] == move.end[2]


def test_the_rules_of_entry_can_fail() -> None:
    """The check above does catch a dovetail cutter that falls into the wood."""
    cut, wood = CUTS["ordinary tails left"]
    moved = shapely.transform(wood, lambda points: points - [0.0, 15.0])
    assert wood_in_the_way(moved, cut, 0.0, CLEAR)


@pytest.mark.parametrize(
    ("cut", "y"),
    [
        (tails_cut(half_blind(light=0.6), "left", CLEAR), -(12.0 + 6.35 - 0.6)),
        (sockets_cut(half_blind(light=0.6), "left", CLEAR), 6.35 - 0.6),
        (pins_cut(through(light=0.6), "left", CLEAR), -(12.0 + 3.0 - 0.6)),
    ],
)
def test_the_light_pass_takes_its_depth_of_the_face_before_all_else(cut: Cut, y: float) -> None:
    """The first way along the joint: a cutter's radius before the face, but for 0.6 mm."""
    along = next(move for start, move in moves_with_start(cut) if start[2] == move.end[2] < 0 and start[1] == move.end[1])
    assert along.end[1] == pytest.approx(y)


@pytest.mark.parametrize("stop", STOPS)
def test_straight_passes_are_never_deeper_than_the_setting(stop: str) -> None:
    """Pins are cut in equal levels, none deeper than the cutter's depth per pass."""
    joint = through(plain=straight(6.0, depth_per_pass=2.5))
    heights = sorted({move.end[2] for move in pins_cut(joint, stop, CLEAR).moves if move.end[2] < 0}, reverse=True)
    steps = [above - below for above, below in zip([0.0, *heights], heights, strict=False)]
    assert max(steps) <= 2.5
    assert max(steps) - min(steps) < 1e-9


@pytest.mark.parametrize("stop", STOPS)
def test_roughing_leaves_stock_on_every_face(stop: str) -> None:
    """A straight cutter that goes first stays half a millimetre off tails and sockets, at every level, and below them."""
    rough = straight(6.0)
    half, joint = half_blind(rough=rough, pin=14.0), through(rough=rough, pin=14.0)
    for work, cut in ((half, rough_tails_cut(half, stop, CLEAR)), (joint, rough_tails_cut(joint, stop, CLEAR))):
        assert cut is not None
        left = left_of(edge_on(100.0, 12.0, stop), cut, -0.01)
        finished = left_of(edge_on(100.0, 12.0, stop), tails_cut(work, stop, CLEAR), -0.01)
        assert finished.buffer(0.49).intersection(edge_on(100.0, 12.0, stop)).difference(left.buffer(0.001)).area < 0.001
        assert min(move.end[2] for move in cut.moves) == pytest.approx(-(work.length_mm - 0.5))
    cut = rough_sockets_cut(half, stop, CLEAR)
    assert cut is not None
    wood = edge_on(100.0, 60.0, stop)
    pins = left_of(wood, sockets_cut(half, stop, CLEAR), -0.01)
    assert pins.buffer(0.49).intersection(wood).difference(left_of(wood, cut, -0.01).buffer(0.001)).area < 0.001
    assert min(move.end[2] for move in cut.moves) == pytest.approx(-(half.length_mm + half.free_depth_mm - 0.5))


@pytest.mark.parametrize(("thick", "thin"), [(15.875, 4.0), (19.05, 3.0), (12.7, 6.0)])
def test_roughing_keeps_off_the_rounded_corners_of_sockets(thick: float, thin: float) -> None:
    """A thin straight cutter could reach into corners that a thick dovetail cutter leaves round: stock stays there too."""
    joint = half_blind(width=120.0, count=2, pin=14.0, cutter=dovetail(thick, 7.0), rough=straight(thin))
    cut = rough_sockets_cut(joint, "left", CLEAR)
    assert cut is not None
    wood = edge_on(120.0, 60.0, "left")
    pins = left_of(wood, sockets_cut(joint, "left", CLEAR), -0.01)
    assert pins.buffer(0.49).intersection(wood).difference(left_of(wood, cut, -0.01).buffer(0.001)).area < 0.001


def test_roughing_is_left_out_where_it_does_not_fit() -> None:
    """A straight cutter wider than the waste is not sent in."""
    assert rough_sockets_cut(half_blind(rough=straight(20.0)), "left", CLEAR) is None


def test_a_straight_cutter_too_thick_for_a_socket_is_refused() -> None:
    """The refusal names the cutter's size and the widest that fits."""
    with pytest.raises(CannotCut, match=r"too thick .* found 16 mm; limit 1[0-9]\.\d\d mm"):
        pins_cut(through(count=4, pin=8.0, plain=straight(16.0)), "left", CLEAR)


@pytest.mark.parametrize("angle", [7.0, 10.0, 14.0])
def test_wood_lies_on_the_cutters_left(angle: float) -> None:
    """Round every gap the tails lie on the left of the way, so that a cutter turning clockwise is fed against its turning."""
    joint = half_blind(cutter=dovetail(12.7, angle), pin=12.0)
    cut = tails_cut(joint, "left", CLEAR)
    tails = [(t.low_mm, t.high_mm) for t in joint.tails]
    inwards = 0
    for start, move in moves_with_start(cut):
        x = start[0]
        if x == move.end[0] and start[1] < move.end[1] and move.end[1] > 0:
            radius = 12.7 / 2 - joint.length_mm * math.tan(math.radians(angle))
            beside = [high for _, high in tails if abs(x - radius - high) < 1e-6]
            inwards += bool(beside)
    assert inwards == len(tails)
