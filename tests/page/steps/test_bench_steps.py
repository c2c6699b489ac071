"""Steps by hand that only some packets ask for."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from camtools.page.steps.bench_steps import distance_piece


def facts(*slid, what="groove"):
    """Return setups at a stop, each slid by so much; no other fact is asked for."""
    limits = [(stop, SimpleNamespace(slid=slid_mm)) for stop, slid_mm in slid]
    return SimpleNamespace(
        setups=[
            SimpleNamespace(
                is_groove=what == "groove", entry=SimpleNamespace(stop=stop, hold="upright"), program=SimpleNamespace(limits=own)
            )
            for stop, own in limits
        ]
    )


@pytest.mark.parametrize(
    ("slid", "told"),
    [
        ([("left", 0.0), ("right", 0.0)], None),
        ([("left", 0.0), ("left", 110.0), ("left", 220.0), ("right", 110.0)], "a distance piece: 110 mm."),
        ([("left", 150.0), ("right", 120.0)], "a distance piece: 150 mm for the left stop and 120 mm for the right stop."),
    ],
)
def test_distance_piece_is_as_long_as_boards_are_slid_from_each_setting_to_the_next(slid, told):
    steps = list(distance_piece(facts(*slid)))
    assert [step.key for step in steps] == (["distance-piece"] if told else [])
    if told:
        assert told in steps[0].do[0]


def test_distance_piece_for_ends_must_be_truer_than_one_for_grooves():
    both = SimpleNamespace(setups=facts(("left", 110.0)).setups + facts(("left", 60.0), what="front-end").setups)
    told = [" ".join(next(distance_piece(own)).do) for own in (facts(("left", 110.0)), both)]
    assert "within 0.05 mm" not in told[0]
    assert "110 mm for grooves and 60 mm for ends held upright." in told[1]
    assert "file it until a caliper tells its length within 0.05 mm" in told[1]
