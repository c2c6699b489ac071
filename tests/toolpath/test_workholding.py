"""Setups: stops, faces and the sign that tells a board from its mirror image."""

from dataclasses import replace

import pytest

from camtools.drawer.boards import Board, Piece
from camtools.faults import CannotCut
from camtools.geometry.frames import apply, box_of, determinant
from camtools.toolpath.workholding import setup_of, with_zeros
from tests.toolpath.test_timing import machine

SIZE = (240.0, 90.0, 12.0)
TO_DRAWER = {
    "front": ((1, 0, 0, 0), (0, 0, 1, 0), (0, 1, 0, 0)),
    "back": ((1, 0, 0, 0), (0, 0, -1, 240), (0, 1, 0, 0)),
    "left side": ((0, 0, 1, 0), (1, 0, 0, 5), (0, 1, 0, 0)),
    "right side": ((0, 0, -1, 300), (1, 0, 0, 5), (0, 1, 0, 0)),
}
# docs/joinery.md section 3: hold, stop, then the machine's place of the worked end's reference corner on the outside face.
TABLE = {
    ("left side", "front end"): ("upright", "left"),
    ("left side", "rear end"): ("upright", "right"),
    ("right side", "front end"): ("upright", "right"),
    ("right side", "rear end"): ("upright", "left"),
    ("front", "left end"): ("flat", "right"),
    ("front", "right end"): ("flat", "left"),
    ("back", "left end"): ("upright", "right"),
    ("back", "right end"): ("upright", "left"),
    ("left side", "groove"): ("flat", "left"),
    ("back", "groove"): ("flat", "left"),
    ("right side", "groove"): ("flat", "right"),
    ("front", "groove"): ("flat", "right"),
}


OFFSETS = {
    ("upright", False, "left"): "G54", ("upright", False, "right"): "G55", ("flat", False, "left"): "G56",
    ("flat", False, "right"): "G57", ("flat", True, "left"): "G58", ("flat", True, "right"): "G59",
}  # fmt: skip


def board(role: str) -> Board:
    return Board("b", Piece(role, SIZE), TO_DRAWER[role], 1)


@pytest.mark.parametrize(("role", "end"), TABLE)
def test_every_setup_holds_its_board_at_stop_and_zero(role: str, end: str) -> None:
    """The reference edge meets the stop (or the fence), the worked end lies at zero, and no setup mirrors its board."""
    setup = setup_of(board(role), end, machine(), 40.0)
    assert (setup.hold, setup.stop) == TABLE[role, end]
    assert determinant(setup.to_machine) * determinant(TO_DRAWER[role]) > 0
    low, high = box_of(setup.to_machine, SIZE)
    assert (low[0] if setup.stop == "left" else high[0]) == 0.0
    worked = 240.0 if end in ("rear end", "right end") else 0.0
    here = apply(setup.to_machine, (worked, 0.0, 0.0))
    if end == "groove":
        assert apply(setup.to_machine, (0.0, 0.0, 0.0))[0] == 0.0
        assert low[1] == 0.0
        assert high[2] == 0.0
    else:
        assert here[0] == 0.0
        assert here[2 if setup.hold == "upright" else 1] == 0.0
        assert high[2] == 0.0
    towards = "inside" if "side" in role or setup.hold == "flat" else "outside"
    assert setup.facing == towards
    assert setup.work_offset == OFFSETS[setup.hold, end == "groove", setup.stop]


@pytest.mark.parametrize(("role", "end"), TABLE)
def test_stops_and_clamps_leave_the_board_its_room(role: str, end: str) -> None:
    """No zone that the cutter must keep out of reaches into the board."""
    setup = setup_of(board(role), end, machine(), 40.0)
    low, high = box_of(setup.to_machine, SIZE)
    for zone in setup.zones:
        assert any(zone.high[i] <= low[i] or zone.low[i] >= high[i] for i in range(3)), zone.name


@pytest.mark.parametrize(("role", "end"), TABLE)
def test_what_holds_a_board_stands_where_joinery_section_3_puts_it(role: str, end: str) -> None:
    """Places just within and just without each thing; stop and clamps end 25 mm below an upright end, flat ones 6 mm over the bed."""
    setup = setup_of(board(role), end, machine(), 40.0)
    low, high = box_of(setup.to_machine, SIZE)
    beside = -1.0 if setup.stop == "left" else 1.0  # the stop's side; the board lies on the other, from X0
    x, y = -45.0 * beside, (low[1] + high[1]) / 2

    def at(*place: float) -> set[str]:
        return {zone.name for zone in setup.zones if all(a < p < b for a, p, b in zip(zone.low, place, zone.high, strict=True))}

    if setup.hold == "upright":
        assert at(beside * 0.1, y, -25.1) == at(beside * 50.0, y, -25.1) == {"stop"}
        assert at(x, -12.1, -25.1) == at(x, -60.0, -25.1) == {"clamp"}
        assert at(x, 15.1, -0.1) == at(x, 60.0, -200.0) == {"plate"}
        assert at(beside * 0.1, y, -24.9) == at(x, -12.1, -24.9) == at(x, 14.9, -0.1) == at(-beside * 90.1, y, -25.1) == set()
    else:
        far = -beside * (high[0] - low[0] + 0.1)
        assert at(beside * 0.1, y, -6.1) == at(beside * 50.0, y, -6.1) == {"stop"}
        assert at(x, low[1] - 0.1, -6.1) == at(x, low[1] - 50.0, -6.1) == ({"fence"} if end == "groove" else set())
        assert at(beside * 0.1, y, -5.9) == at(x, low[1] - 0.1, -5.9) == at(far, y, -6.1) == at(x, high[1] + 0.1, -6.1) == set()


@pytest.mark.parametrize(("role", "end"), TABLE)
def test_operator_is_told_when_a_zero_must_be_set_again(role: str, end: str) -> None:
    """An upright end stands as high as it is clamped."""
    (setup,) = with_zeros([setup_of(board(role), end, machine(), 40.0)])
    (told,) = [sentence for sentence in map(str, setup.words) if sentence.startswith(f"Set {setup.work_offset} once")]
    assert ("on every board" in told) == (setup.hold == "upright")
    assert ("for every thickness" in told) == (setup.hold == "flat")


def test_a_height_stop_has_z_set_once_and_is_taken_away_first() -> None:
    upright, flat = (
        with_zeros([setup_of(board(role), end, replace(machine(), height_stop=True), 20.0)])[0]
        for role, end in (("left side", "front end"), ("front", "left end"))
    )
    told = " ".join(map(str, upright.words))
    assert upright.levelled
    assert "its Z once for every cutter" in told
    assert "take the height stop away" in told
    assert not flat.levelled
    assert "height stop" not in " ".join(map(str, flat.words))


@pytest.mark.parametrize("offsets", range(1, 7))
def test_a_work_offset_serves_one_kind_of_setup_or_each_program_asks_for_its_zero(offsets: int) -> None:
    """NISTIR 6556, 3.5.13: G54 to G59. Where a controller has fewer than the six kinds, they share."""
    setups = with_zeros([setup_of(board(role), end, machine(), 40.0) for role, end in TABLE], offsets)
    kinds: dict[str, set[object]] = {}
    for setup, (_, end) in zip(setups, TABLE, strict=True):
        kinds.setdefault(setup.work_offset, set()).add((setup.hold, end == "groove", setup.stop))
    assert sorted(kinds) == [f"G{54 + i}" for i in range(offsets)]
    for setup in setups:
        assert setup.zero_shared == (len(kinds[setup.work_offset]) > 1)
        assert setup.zero_shared == ("the program stops" in setup.words[-1])


def test_a_missing_hold_is_refused() -> None:
    """A machine without an upright plate can not cut tails."""
    with pytest.raises(CannotCut, match="held upright"):
        setup_of(board("left side"), "front end", replace(machine(), holds=("flat",)), 40.0)


def test_a_mirrored_board_is_refused() -> None:
    """A board whose place in the drawer is mirrored against its setup is refused."""
    wrong = replace(board("left side"), to_drawer=TO_DRAWER["right side"])
    with pytest.raises(CannotCut, match="mirror image"):
        setup_of(wrong, "front end", machine(), 40.0)


@pytest.mark.parametrize(("travel_y_mm", "told"), [(240.0, False), (239.0, True)])
def test_front_longer_than_the_travel_is_held_level_where_it_reaches_out(travel_y_mm: float, told: bool) -> None:
    setup = setup_of(board("front"), "left end", replace(machine(), travel_mm=(600.0, travel_y_mm, 90.0)), 20.0)
    assert any("reaches out over the front of the bed" in str(words) for words in setup.words) is told
