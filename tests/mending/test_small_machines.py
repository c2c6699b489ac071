"""A small machine is no dead end: what its remedy says does, and the packet that is made so passes the check."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.small_machines import made_on


@pytest.mark.parametrize(
    ("machine", "dialect", "keys"),
    [
        ("180 x 300 x 45 mm", "short-lines", ["machine.clamp_height", "machine.clearance", "machine.retract"]),
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
