"""Answers in a packet: what they set must be there where they hold, worked out by the check alone."""

from __future__ import annotations

import json

import pytest

from camtools.verify.checking import check
from tests.verify.small_packet import Small

ANSWERS = """
[groove]
play = {play}
bottom = {{ thickness = {thick}, wood = "{wood}" }}
cutter = {cutter}
"""
LIES = {"play": 0.3, "thick": 3.9, "wood": "plywood", "cutter": 4.0}


@pytest.fixture
def packet(tmp_path):
    """Return a packet whose job file leaves the play of the bottom open."""
    folder = Small().write(tmp_path / "packet")
    job = (folder / "job.toml").read_text().splitlines()
    (folder / "job.toml").write_text("\n".join(line for line in job if not line.startswith("play =")))
    manifest = json.loads((folder / "manifest.json").read_text())
    for board in manifest["boards"]:
        board["wood"] = "plywood" if board["role"] == "bottom" else board.get("wood")
    (folder / "manifest.json").write_text(json.dumps(manifest))
    return folder


def errors(packet, **answer):
    (packet / "job.fit.toml").write_text(ANSWERS.format(**LIES | answer))
    return [str(finding.text) for finding in check(packet).errors]


def test_packet_that_was_made_with_its_answer_passes(packet):
    assert errors(packet, play=0.1) == []


def test_packet_that_was_made_without_its_answer_is_caught(packet):
    assert errors(packet) == ["play of the bottom: 0.1 mm, by the job file it is 0.3 mm"]


@pytest.mark.parametrize("other", [{"thick": 4.41}, {"wood": "oak"}, {"cutter": 4.01}])
def test_answer_of_another_board_or_cutter_asks_for_nothing(packet, other):
    assert errors(packet, **other) == []


def test_answers_that_can_not_be_read_leave_the_packet_not_judged(packet):
    (packet / "job.fit.toml").write_text("[groove")
    report = check(packet)
    assert {(finding.code, finding.file) for finding in report.errors} >= {("job-invalid", "job.fit.toml")}
    assert not report.judged
