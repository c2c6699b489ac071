"""Clamps on flat boards: how far from the work, how high, and what is done where they find no room."""

from dataclasses import replace

import pytest

from camtools.drawer.boards import Board, Groove, Piece
from camtools.faults import CannotCut
from camtools.toolpath.clamps import held_down
from camtools.toolpath.groove_cuts import groove_cut
from camtools.toolpath.moves import Cut, Setup, Zone
from camtools.toolpath.sockets import sockets_cut
from camtools.toolpath.workholding import setup_of
from tests.joint_specimens import AIR, HALF_BLIND, straight
from tests.toolpath.test_timing import machine
from tests.toolpath.test_workholding import TO_DRAWER

JOINT = HALF_BLIND["ordinary"]
STRAIGHT = straight()


def flat(role: str, end: str, size: tuple[float, float, float], **changed: float) -> tuple[Setup, tuple[Cut, ...]]:
    """Return a flat setup with its clamps and its cut: sockets, or a groove 10 mm from the reference edge."""
    own = replace(machine(), **changed)
    setup = setup_of(Board("b", Piece(role, size), TO_DRAWER[role], 1), end, own, 40.0)
    groove = Groove(edge_mm=10.0, width_mm=STRAIGHT.diameter_mm, depth_mm=4.0, start_mm=20.0, stop_mm=size[0] - 20.0, cutter=STRAIGHT)
    cut = groove_cut(groove, size[0], setup.stop, AIR) if end == "groove" else sockets_cut(JOINT, setup.stop, AIR)
    return held_down(setup, (cut,), own), (cut,)


def zone(setup: Setup, name: str) -> Zone:
    (found,) = [zone for zone in setup.zones if zone.name == name]
    return found


def test_a_front_is_clamped_away_from_its_end_and_says_how_far() -> None:
    setup, _ = flat("front", "left end", (240.0, 100.0, 20.0))
    clamp = zone(setup, "clamp")
    assert (clamp.high[1], clamp.low[2], clamp.high[2]) == (-35.0, 0.0, 30.0)
    assert "Clamp it across, 35 mm or more from the left end." in map(str, setup.words)
    assert any("no higher than 30 mm above the face" in sentence for sentence in map(str, setup.words))


@pytest.mark.parametrize("role", ["left side", "right side", "front", "back"])
def test_a_board_for_a_groove_is_clamped_beyond_it(role: str) -> None:
    """20 mm beyond the far wall, which lies 10 mm and the cutter's width from the reference edge; told in whole millimetres."""
    setup, _ = flat(role, "groove", (240.0, 100.0, 12.0))
    line = 10.0 + STRAIGHT.diameter_mm + 20.0
    assert zone(setup, "clamp").low[1] == pytest.approx(line)
    assert f"Clamp it along its far edge, {line:.0f} mm or more from the reference edge." in map(str, setup.words)


def test_a_narrow_board_is_held_by_a_batten() -> None:
    """10 mm of the face are enough for a clamp, and less are not; the batten is as high as the fence."""
    line = 10.0 + STRAIGHT.diameter_mm + 20.0
    assert zone(flat("front", "groove", (240.0, line + 10.0, 12.0))[0], "clamp")
    setup, _ = flat("front", "groove", (240.0, line + 9.9, 12.0))
    batten = zone(setup, "batten")
    assert {zone.name for zone in setup.zones} == {"stop", "fence", "batten"}
    assert (batten.low[1], batten.low[2], batten.high[2]) == pytest.approx((line + 9.9, -12.0, -6.0))
    assert any(
        f"would have to stay {line:.0f} mm from the reference edge, and the board is {line + 9.9:g} mm" in str(s) for s in setup.words
    )
    assert any("batten along its far edge, no higher than 6 mm above the bed" in sentence for sentence in map(str, setup.words))


def test_a_front_too_short_to_be_clamped_is_refused_with_figures() -> None:
    assert zone(flat("front", "left end", (45.0, 100.0, 20.0))[0], "clamp")
    with pytest.raises(CannotCut, match=r"too short to be clamped .* found 44.9 mm long; limit at least 45 mm"):
        flat("front", "left end", (44.9, 100.0, 20.0))


@pytest.mark.parametrize("end", ["left end", "groove"])
def test_clamps_that_a_nut_would_meet_are_refused_just_where_it_meets_them(end: str) -> None:
    """The nut comes within half its width of the cutter's axis, and 1 mm is kept free; what the fault proposes does."""
    _, (cut,) = flat("front", end, (240.0, 100.0, 20.0))
    nut, thin = cut.cutter.holder_mm / 2, {"spindle_diameter_mm": 1.0}  # the body is looked at below
    deepest = min(move.end[1] for move in cut.moves)
    least = nut + 1.0 - deepest if end == "left end" else nut + 1.0 - STRAIGHT.diameter_mm / 2
    key = "clamp_from_end_mm" if end == "left end" else "clamp_from_groove_mm"
    assert flat("front", end, (240.0, 100.0, 20.0), **thin, **{key: least}, clamp_height_mm=50.0)
    with pytest.raises(CannotCut, match=r"the nut of cutter .* would pass too near to the clamps"):
        flat("front", end, (240.0, 100.0, 20.0), **thin, **{key: least - 0.01}, clamp_height_mm=50.0)
    # A nut that stays higher than the clamps may pass over them; the edges and the shank may not.
    lowest = min(move.end[2] for move in cut.moves) + cut.cutter.stick_out_mm
    assert flat("front", end, (240.0, 100.0, 20.0), **thin, **{key: least - 0.01}, clamp_height_mm=lowest)


def test_high_clamps_that_the_body_of_the_spindle_would_meet_are_refused_just_where_it_meets_them() -> None:
    """Its underside is a nut's height over the nut's, and half its width and 1 mm are kept free beside the cutter's axis."""
    _, (cut,) = flat("front", "left end", (240.0, 100.0, 20.0))
    underside = min(move.end[2] for move in cut.moves) + cut.cutter.stick_out_mm + 21.0
    least = 65.0 / 2 + 1.0 - min(move.end[1] for move in cut.moves)
    spindle = {"spindle_diameter_mm": 65.0, "nut_height_mm": 21.0}
    assert flat("front", "left end", (240.0, 100.0, 20.0), clamp_from_end_mm=least - 0.01, clamp_height_mm=underside, **spindle)
    assert flat("front", "left end", (240.0, 100.0, 20.0), clamp_from_end_mm=least, clamp_height_mm=underside + 1.0, **spindle)
    with pytest.raises(CannotCut, match=r"the spindle's body over cutter 1 would pass too near to the clamps"):
        flat("front", "left end", (240.0, 100.0, 20.0), clamp_from_end_mm=least - 0.01, clamp_height_mm=underside + 1.0, **spindle)
