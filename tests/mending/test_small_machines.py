"""A small machine is no dead end: what its remedy says does, and the packet that is made so passes the check."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.mending.remedied import after, mended_of
from tests.small_machines import made_on


@pytest.mark.parametrize(
    ("machine", "dialect", "keys"),
    [
        ("180 x 300 x 45 mm", "short-lines", ["machine.clamp_height", "machine.clearance", "machine.retract"]),
        ("300 x 200 x 60 mm", "changer", ["machine.clearance"]),
        ("750 x 1250 mm, no upright hold", "inch", []),
        ("400 x 600 mm, one work offset, no change of cutter", "", []),
    ],
)
def test_remedy_of_a_small_machine_makes_a_packet_that_passes(
    machine: str, dialect: str, keys: list[str], samples: Path, tmp_path: Path
) -> None:
    changes, report = made_on(machine, samples / "first-drawer.toml", tmp_path, dialect)
    assert [change.key for change in changes] == keys
    assert not report.errors
    assert report.drawers


@pytest.mark.parametrize(
    ("machine", "keys"),
    [
        ({"flat_stops": [150, 170]}, {"machine.flat_stops[1]"}),
        ({"upright_stops": [100, 120]}, {"machine.upright_stops", "machine.upright_stops[1]"}),
        ({"travel": [90, 300, 95]}, {"drawers[1].opening[2]"}),
    ],
)
def test_an_end_that_no_settings_reach_asks_for_another_stop_or_a_smaller_drawer(
    machine: dict[str, Any], keys: set[str], samples: Path
) -> None:
    """A travel of 180 mm does for ends 220 mm wide where the stops stand at its ends, and one of 140 mm in settings."""
    content = tomllib.loads((samples / "first-drawer.toml").read_text(encoding="utf-8"))
    content["drawers"][0]["opening"][1] = 220
    content["machine"] = {"travel": [180, 300, 95], **machine}
    error = mended_of(content)
    changes = error.together or error.faults[0].changes
    assert {change.key for fault in error.faults for change in fault.changes} <= keys
    assert after(content, changes) == []
    assert all(fault.drawers == ("Seed drawer",) for fault in error.faults)
