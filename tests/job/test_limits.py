"""Both sides of every limit: what stands on it is taken, what is beyond it is refused. Where it is told is tried in ``test_cases``."""

from __future__ import annotations

from typing import Any

import pytest

from camtools.faults import CannotCut, JobFault
from tests.job.jobs import read

LONG = {"cutters.0.diameter": 20, "cutters.0.cutting_length": 30, "cutters.1.cutting_length": 30}


@pytest.mark.parametrize(
    ("values", "inside", "beyond", "where"),
    [
        ({}, {"cutters.0.angle": 5}, {"cutters.0.angle": 4.99}, "cutters[1].angle"),
        ({"cutters.0.diameter": 20}, {"cutters.0.angle": 20}, {"cutters.0.angle": 20.01}, "cutters[1].angle"),
        # neck of 12.7 - 2 x 21.45 x tan 14: just over 2 mm, then just under
        ({}, {"cutters.0.cutting_length": 21.45}, {"cutters.0.cutting_length": 21.47}, "cutters[1].cutting_length"),
        ({}, {"cutters.1.depth_per_pass": 6}, {"cutters.1.depth_per_pass": 6.01}, "cutters[2].depth_per_pass"),
        ({}, {"cutters.0.stick_out": 16}, {"cutters.0.stick_out": 15.99}, "cutters[1].stick_out"),
        ({"cutters.0.holder": 12}, {"cutters.0.shank": 12}, {"cutters.0.shank": 12.01}, "cutters[1].shank"),
        ({"cutters.0.max_speed": 20000}, {"cutters.0.speed": 20000}, {"cutters.0.speed": 20001}, "cutters[1].speed"),
        ({}, {"cutters.0.speed": 8000}, {"cutters.0.speed": 7999}, "cutters[1].speed"),
        ({"machine.max_speed": 15000}, {"cutters.0.speed": 15000}, {"cutters.0.speed": 15001}, "cutters[1].speed"),
        ({}, {"cutters.0.max_speed": 8000}, {"cutters.0.max_speed": 7999}, "cutters[1].max_speed"),
        ({}, {"cutters.1.feed": 3000}, {"cutters.1.feed": 3001}, "cutters[2].feed"),
        ({}, {"cutters.1.plunge": 3000}, {"cutters.1.plunge": 3001}, "cutters[2].plunge"),
        ({}, {"machine.retract": 35}, {"machine.retract": 34.99}, "machine.retract"),
        ({}, {"machine.travel": [600, 400, 65.4]}, {"machine.travel": [600, 400, 65.3]}, "machine.travel[3] (Z)"),
        ({}, {"machine.upright_plate": 400}, {"machine.upright_plate": 400.1}, "machine.upright_plate"),
        ({}, {"machine.flat_stops": [0, 600]}, {"machine.flat_stops": [0, 600.1]}, "machine.flat_stops[2]"),
        ({}, {"machine.flat_stop": 11.99}, {"machine.flat_stop": 12}, "machine.flat_stop"),
        (LONG, {"joints.lap": 2.4}, {"joints.lap": 2.39}, "joints.lap"),
        ({}, {"joints.lap": 15}, {"joints.lap": 15.01}, "joints.lap"),
        (
            {"stock.side": 5, "stock.back": 10, "groove.depth": 2},
            {"joints.light_pass": 2.5},
            {"joints.light_pass": 2.51},
            "joints.light_pass",
        ),
        ({}, {"joints.clearance": 0.3}, {"joints.clearance": 0.31}, "joints.clearance"),
        ({}, {"joints.proud": 1}, {"joints.proud": 1.01}, "joints.proud"),
        ({"joints.lap": 5}, {"cutters.0.cutting_length": 15.2}, {"cutters.0.cutting_length": 15.19}, "cutters[1].cutting_length"),
        # a lap of a third of the front, where a quarter asks for longer edges
        ({}, {"cutters.0.cutting_length": 13.6}, {"cutters.0.cutting_length": 13.49}, "cutters[1].cutting_length"),
        (
            {"stock.back": 15.6, "joints.proud": 0.3},
            {"cutters.0.cutting_length": 15.9},
            {"cutters.0.cutting_length": 15.89},
            "cutters[1].cutting_length",
        ),
        ({"stock.back": 15.6}, {"cutters.0.cutting_length": 15.6}, {"cutters.0.cutting_length": 15.59}, "cutters[1].cutting_length"),
        ({"joints.proud": 0.3}, {"cutters.1.cutting_length": 12.3}, {"cutters.1.cutting_length": 12.29}, "cutters[2].cutting_length"),
        ({}, {"cutters.1.cutting_length": 12}, {"cutters.1.cutting_length": 11.99}, "cutters[2].cutting_length"),
        ({"joints.rough": True}, {"cutters.1.cutting_length": 14.7}, {"cutters.1.cutting_length": 14.69}, "joints.rough"),
        ({"groove.play": 0.15}, {"cutters.1.diameter": 6.55}, {"cutters.1.diameter": 6.56}, "groove.cutter"),
        ({}, {"cutters.1.diameter": 6.7}, {"cutters.1.diameter": 6.71}, "groove.cutter"),
        ({}, {"groove.depth": 9}, {"groove.depth": 9.01}, "groove.depth"),
        ({"stock.back": 8}, {"groove.depth": 5}, {"groove.depth": 5.01}, "groove.depth"),
        ({}, {"groove.edge": 4}, {"groove.edge": 3.99}, "groove.edge"),
        ({}, {"stock.driest": 8}, {"stock.driest": 8.01}, "stock.driest"),
        ({}, {"stock.dampest": 8}, {"stock.dampest": 7.99}, "stock.now"),
        (
            {"groove.edge": 13.5},
            {"drawers.0.opening": [280, 20.06, 300]},
            {"drawers.0.opening": [280, 20.04, 300]},
            "drawers[1].opening[2] (height)",
        ),
        ({}, {"drawers.0.opening": [24.81, 90, 300]}, {"drawers.0.opening": [24.8, 90, 300]}, "drawers[1].opening[1] (width)"),
        ({"fit.reveal": 2}, {"drawers.0.opening": [280, 90, 42.01]}, {"drawers.0.opening": [280, 90, 42]}, "drawers[1].opening[3] (depth)"),
        (
            {"drawers.0.opening": None},
            {"drawers.0.outside": [280, 90, 32.01]},
            {"drawers.0.outside": [280, 90, 32]},
            "drawers[1].outside[3] (depth)",
        ),
    ],
)
def test_what_stands_on_a_limit_is_taken_and_what_is_beyond_is_refused(
    values: dict[str, Any], inside: dict[str, Any], beyond: dict[str, Any], where: str
) -> None:
    read(values | inside)
    with pytest.raises((JobFault, CannotCut)) as raised:
        read(values | beyond)
    assert where in [fault.where.split(": ")[1] for fault in raised.value.faults]
    assert all(fault.ways and fault.limit for fault in raised.value.faults)


def test_a_raised_back_has_no_groove_to_be_too_deep() -> None:
    values = {"stock.back": 6, "stock.side": 12, "groove.depth": 5}
    with pytest.raises(CannotCut, match=r"groove\.depth"):
        read(values)
    read(values | {"fit.back": "raised"})


def test_a_fault_of_the_piece_is_told_once_for_all_its_drawers() -> None:
    more = {f"drawers.{place}": {"name": f"Ferns {place}", "opening": [280, 90, 300]} for place in range(1, 9)}
    with pytest.raises(JobFault) as raised:
        read({"joints.lap": 20} | more)
    assert len(raised.value.faults) == 1


def test_a_value_that_can_not_be_read_is_the_only_thing_told_of_it() -> None:
    """What depends on it is not judged, whatever it is."""
    keys = {
        "stock": "front side back bottom wood now driest sawn bottom_kind",
        "cutters.0": "number kind diameter angle cutting_length speed max_speed flutes feed shank holder",
        "cutters.1": "number kind diameter cutting_length depth_per_pass plunges stick_out",
        "machine": "travel holds max_speed min_speed max_feed clearance flat_stop",
        "joints": "lap straight dovetail free_depth proud rough half_pin",
        "groove": "edge depth play cutter ends",
        "fit": "front side above behind finish back",
        "drawers.0": "name opening count stock",
    }
    for path in (f"{table}.{key}" for table, names in keys.items() for key in names.split()):
        with pytest.raises(JobFault) as raised:
            read({path: []})
        assert len(raised.value.faults) == 1, (path, raised.value.faults)
