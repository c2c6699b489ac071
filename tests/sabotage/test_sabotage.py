"""A good packet passes; each way to spoil it is caught with the right code at the right place; harmless edits pass."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from camtools.toolpath import programs
from camtools.verify.checking import check
from tests.sabotage.packets import Packet, good_packet, good_trial
from tests.sabotage.trial_ways import TRIAL_WAYS
from tests.sabotage.ways import HARMLESS, WAYS


@pytest.fixture(scope="module")
def good(tmp_path_factory):
    return good_packet(tmp_path_factory.mktemp("good"))


def test_there_are_many_ways_to_spoil_a_packet():
    assert len(WAYS) >= 60
    assert len(HARMLESS) >= 8


@pytest.fixture(scope="module")
def trial(tmp_path_factory):
    return good_trial(tmp_path_factory.mktemp("trial"))


@pytest.mark.parametrize("kind", ["good", "trial"])
def test_good_packet_passes_without_a_finding(kind, request):
    report = check(request.getfixturevalue(kind), jobs=1)
    assert report.findings == ()
    assert report.exit_code == 0


@pytest.mark.parametrize(("kind", "name"), [*(("good", name) for name in WAYS), *(("trial", name) for name in TRIAL_WAYS)])
def test_spoiled_packet_is_caught_at_its_place(kind, name, request, tmp_path):
    packet = Packet(request.getfixturevalue(kind), tmp_path / "packet")
    expected = {**WAYS, **TRIAL_WAYS}[name](packet)
    report = check(packet.folder, jobs=1)
    found = [(finding.code, finding.file, finding.line) for finding in report.findings if finding.severity == expected.severity]
    same = [line for code, file, line in found if (code, file) == (expected.code, expected.file)]
    assert any(expected.at(line) for line in same), f"expected {expected}, found {found}"
    assert (report.exit_code in (1, 2)) is (expected.severity == "error")


@pytest.mark.parametrize("name", HARMLESS)
def test_harmless_edit_passes(name, good, tmp_path):
    packet = Packet(good, tmp_path / "packet")
    HARMLESS[name](packet)
    report = check(packet.folder, jobs=1)
    assert [finding for finding in report.findings if finding.severity == "error"] == []
    assert report.exit_code == 0


@pytest.mark.parametrize("name", ["stop", "clamp", "plate", "fence"])
@pytest.mark.parametrize("break_zone", ["left out", "beside"])
def test_maker_that_puts_a_zone_elsewhere_is_caught(name, break_zone, tmp_path, monkeypatch):
    """The writer of packets is broken, not the packet: what it wrote agrees with itself, and with nothing that a board is held by."""
    held_down = programs.held_down
    broken_at = set()

    def broken(setup, *given):
        zones = []
        for zone in held_down(setup, *given).zones:
            (x, y, z), (x2, y2, z2) = zone.low, zone.high
            beside = replace(zone, low=(-x2, -y2, z), high=(-x, -y, z2))
            if zone.name == name:
                broken_at.add((setup.piece.role, setup.end))
            if zone.name != name or break_zone == "beside":
                zones.append(beside if zone.name == name else zone)
        return replace(setup, zones=tuple(zones))

    monkeypatch.setattr(programs, "held_down", broken)
    errors = check(good_packet(tmp_path), jobs=1).errors
    found = {finding.where for finding in errors if finding.code == "zone-wrong" and f"the {name} fills" in finding.text}
    ends = {re.sub(r"programs/\d+-|-waste", "", file) for file in found if "/dry/" not in file}
    assert len(ends) == len(broken_at) >= 4


def test_nothing_outside_the_packet_is_read(good, tmp_path, monkeypatch):
    """Every path that is opened lies in the packet, even when the manifest asks for others."""
    packet = Packet(good, tmp_path / "packet")
    secret = tmp_path / "secret.ngc"
    secret.write_text("G0 X0\n", encoding="ascii")
    packet.edit_json(lambda content: content["programs"][0].update(file=str(secret)))
    packet.edit_json(lambda content: content["programs"][1].update(file="programs/../../secret.ngc"))
    opened: list[Path] = []
    original = Path.open

    def watched(self, *args, **kwargs):
        opened.append(Path(self))
        return original(self, *args, **kwargs)

    monkeypatch.setattr(Path, "open", watched)
    report = check(packet.folder, jobs=1)
    assert sum(finding.code == "path-outside" for finding in report.findings) == 2
    assert all(path.is_relative_to(packet.folder) for path in opened)
    assert opened
