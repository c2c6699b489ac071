from __future__ import annotations

import csv
from pathlib import Path

import pytest

from camtools.job import woods
from camtools.job.woods import (
    UNKNOWN_HARDWOOD,
    UNKNOWN_SOFTWOOD,
    coefficient_of,
    find_wood,
    known_woods,
    namesakes_of,
    nearest_wood,
    shrinkage_of,
)

TABLES = Path(woods.__file__).parent


@pytest.mark.parametrize(
    ("name", "radial", "tangential"),
    [
        # Wood Handbook FPL-GTR-190 (2010), Table 13-5
        ("Cherry, black", 0.00126, 0.00248),
        ("Red Oak, commercial", 0.00158, 0.00369),
        ("White Oak, commercial", 0.00180, 0.00365),
        ("Maple, sugar", 0.00165, 0.00353),
        ("Walnut, black", 0.00190, 0.00274),
        ("Fir, white", 0.00112, 0.00245),
        ("Beech, American", 0.00190, 0.00431),
        ("Pine, eastern white", 0.00071, 0.00212),
        ("Teak", 0.00101, 0.00186),
    ],
)
def test_coefficients_are_those_of_the_wood_handbook(name: str, radial: float, tangential: float) -> None:
    wood = find_wood(name)
    assert (wood.name, wood.radial_coefficient, wood.tangential_coefficient) == (name, radial, tangential)
    assert "Table 13-5" in wood.source


@pytest.mark.parametrize(
    ("name", "tangential", "radial"),
    [
        # Hoadley in The Structural Conservation of Panel Paintings (Getty), Table 1, p. 15
        ("sweet chestnut", 6.8, 4.0),
        ("European walnut", 6.4, 4.3),
        ("Scots pine", 7.7, 4.0),
        ("European spruce", 7.4, 3.6),
        ("European larch", 7.8, 3.3),
        ("European ash", 8.3, 5.2),
        ("European cherry", 7.8, 4.2),
        ("European maple", 8.8, 4.2),
        ("European lime", 9.5, 6.8),
        ("European oak", 10.2, 5.2),
        ("European beech", 11.8, 5.8),
    ],
)
def test_european_woods_shrink_as_published(name: str, tangential: float, radial: float) -> None:
    wood = find_wood(name)
    assert (wood.tangential_shrinkage, wood.radial_shrinkage) == (tangential, radial)
    assert wood.tangential_coefficient == pytest.approx(tangential / (3000 - 20 * tangential), abs=5e-6)
    assert "Panel Paintings" in wood.source


def test_shrinkage_gives_the_coefficients_that_are_printed() -> None:
    """Wood Handbook Tables 4-3 and 13-5, linked by Eq. (4-9): 59 of 66 rows agree to the last digit."""
    with (TABLES / "shrinkage.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    agree = [
        row["species"]
        for row in rows
        if round(coefficient_of(float(row["S_R"])), 5) == find_wood(row["species"]).radial_coefficient
        and round(coefficient_of(float(row["S_T"])), 5) == find_wood(row["species"]).tangential_coefficient
    ]
    assert len(rows) == 66
    assert len(agree) == 59


@pytest.mark.parametrize("shrinkage", [2.2, 5.1, 7.0, 11.9])
def test_shrinkage_follows_from_a_coefficient_and_back(shrinkage: float) -> None:
    assert shrinkage_of(coefficient_of(shrinkage)) == pytest.approx(shrinkage, rel=1e-12)


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("oak", "Oak, European"),
        ("European oak", "Oak, European"),
        ("beech", "Beech, European"),
        ("black cherry", "Cherry, black"),
        ("CHERRY BLACK", "Cherry, black"),
        ("Cherry, black", "Cherry, black"),
        ("hard maple", "Maple, sugar"),
        ("red oak", "Red Oak, commercial"),
        ("Douglas fir", "Douglas-fir, coast"),
        ("mahogany", "Mahogany (American, Swietenia)"),
        ("poplar", "Yellow-poplar"),
    ],
)
def test_a_wood_is_found_by_the_names_a_maker_uses(written: str, name: str) -> None:
    assert find_wood(written).name == name


def test_every_short_name_stands_for_a_wood_of_the_tables() -> None:
    names = {wood.name for wood in known_woods()}
    assert set(woods._ALIASES.values()) <= names
    for short, name in woods._ALIASES.items():
        assert find_wood(short).name == name, short


@pytest.mark.parametrize(
    ("written", "others"),
    [
        ("cherry", {"Cherry, black"}),
        ("elm", {"Elm, cedar", "Elm, rock", "Elm, slippery", "Elm, winged"}),
        ("cedar", {"Cedar, Atlantic white", "Cedar, eastern red", "Cedar, incense", "Cedar, northern white", "Cedar, Port-Orford",
                   "Cedar, yellow"}),
        ("Douglas fir", {"Douglas-fir, interior north", "Douglas-fir, interior west"}),
        ("black cherry", set()),
        ("American cherry", set()),
        ("tulipwood", set()),
        ("no wood at all", set()),
    ],
)  # fmt: skip
def test_a_short_name_has_the_other_woods_that_it_may_mean(written: str, others: set[str]) -> None:
    assert set(namesakes_of(written)) == others


def test_every_wood_has_its_own_name_and_moves_more_across_flat_sawn_boards() -> None:
    assert len({tuple(sorted(wood.name.casefold().replace(",", "").split())) for wood in known_woods()}) == len(known_woods())
    for wood in known_woods():
        assert 0 < wood.radial_coefficient < wood.tangential_coefficient < 0.006, wood.name
        assert 0 < wood.radial_shrinkage < wood.tangential_shrinkage < 15, wood.name
        assert wood.source


def test_an_unknown_wood_moves_at_least_as_much_as_the_common_ones() -> None:
    hard = (
        "oak",
        "beech",
        "ash",
        "cherry",
        "walnut",
        "maple",
        "birch",
        "lime",
        "mahogany",
        "red oak",
        "white oak",
        "American beech",
        "alder",
    )
    soft = ("pine", "spruce", "larch", "fir", "Douglas fir", "cedar", "Sitka spruce", "western hemlock", "sugar pine")
    for unknown, common in ((UNKNOWN_HARDWOOD, hard), (UNKNOWN_SOFTWOOD, soft)):
        most = find_wood(unknown)
        for name in common:
            assert find_wood(name).tangential_coefficient <= most.tangential_coefficient, name
            assert find_wood(name).radial_coefficient <= most.radial_coefficient, name
        assert "cautious" in most.source


@pytest.mark.parametrize(
    ("written", "name"),
    [("beach", "Beech, European"), ("wallnut", "Walnut, black"), ("europaen oak", "Oak, European"), ("xyloplast", None)],
)
def test_the_nearest_wood_is_named_for_a_slip_of_the_pen(written: str, name: str | None) -> None:
    with pytest.raises(KeyError):
        find_wood(written)
    assert nearest_wood(written) == name
