"""Roughing in packets: what must be left, and where it must have been. Spoiled packets are in tests/sabotage too."""

from __future__ import annotations

from pathlib import Path

import pytest

from camtools.verify.checking import check
from tests.sabotage.packets import Packet, good_packet


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return good_packet(tmp_path_factory.mktemp("good"))


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("rough = true\nrough_stock = 0.5", set()),
        ("rough = true\nrough_stock = 0.53", {"roughing-too-near"}),
        ("rough = true\nrough_stock = 0.47", set()),
        ("rough = false", set()),
        ("", set()),
    ],
)
def test_as_much_must_be_left_as_the_job_file_says(said: str, found: set[str], good: Path, tmp_path: Path) -> None:
    packet = Packet(good, tmp_path / "packet")
    packet.change("job.toml", "^rough = true", said)
    assert {finding.code for finding in check(packet.folder, jobs=1).errors} == found


@pytest.mark.parametrize(("diameter", "found"), [(3.0, {"roughing-missing"}), (14.0, set())])
def test_only_waste_that_the_straight_cutter_passes_must_be_cleared(diameter: float, found: set[str], good: Path, tmp_path: Path) -> None:
    """The half pin beside the board's edge is some 5 mm wide, the waste between tails 6."""
    packet = Packet(good, tmp_path / "packet")
    waste = [file.name for file in sorted((packet.folder / "programs").glob("*-waste.ngc"))]
    assert len(waste) == 6

    def edit(content: dict) -> None:
        content["programs"] = [entry for entry in content["programs"] if "waste" not in entry["file"]]
        for tool in content["tools"]:
            tool["diameter"] = diameter if tool["kind"] == "straight" else tool["diameter"]

    packet.edit_json(edit)
    assert {finding.code for finding in check(packet.folder, jobs=1).errors if "roughing" in finding.code} == found
