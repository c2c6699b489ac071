"""What the check thinks of woods, against the tables by which drawers are sized: Wood Handbook, Table 13-5, and Hoadley."""

from __future__ import annotations

import pytest

from camtools.drawer.movement import across_mm
from camtools.job.woods import _ALIASES, find_wood, is_softwood, known_woods
from camtools.verify.timber import timber_of, wood_of

NAMES = [*(wood.name for wood in known_woods()), *_ALIASES]


def test_softwoods_are_the_same_to_plan_and_check() -> None:
    for name in NAMES:
        assert timber_of(name).soft == is_softwood(name), name


@pytest.mark.parametrize("sawn", ["flat", "quarter"])
def test_every_wood_grows_within_what_the_check_thinks_possible_at_every_moisture(sawn) -> None:
    seasons = [(now, dampest) for now in range(1, 28, 3) for dampest in range(now + 1, 29, 3)]
    for name in NAMES:
        wood = find_wood(name)
        for now, dampest in seasons:
            least, most = timber_of(name).growth({"sawn": sawn, "now": float(now), "dampest": float(dampest)}, "dampest")
            assert least <= across_mm(1.0, wood, sawn, now, dampest) <= most, (name, now, dampest)


def test_no_kind_is_thought_to_move_much_more_or_less_than_a_wood_of_it_does() -> None:
    """Else its bounds would bind nothing: each end is the coefficient of a wood of the tables."""
    for name in ("beech", "oak", "maple", "cherry", "walnut", "pine", "spruce", "cedar"):
        own = [wood for wood in known_woods() if timber_of(wood.name).moves == timber_of(name).moves]
        ends = [1e5 * pick(wood.tangential_coefficient for wood in own) for pick in (min, max)]
        assert timber_of(name).moves[2:] == pytest.approx(ends, abs=0.6), name


def test_a_wood_that_is_not_named_moves_as_the_liveliest_of_the_common_ones() -> None:
    assert timber_of(None) == timber_of("unknown hardwood")
    assert timber_of("Tupelo, black").moves == (71, 390, 162, 527)


def test_a_part_without_a_wood_of_its_own_is_of_the_others() -> None:
    stock = {"wood": "oak", "side_wood": "pine"}
    assert [wood_of(stock, part) for part in ("front", "left", "right", "back", "bottom")] == ["oak", "pine", "pine", "oak", "oak"]
