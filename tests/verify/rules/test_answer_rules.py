"""Answers in a packet: what they set must be there where they hold, worked out by the check alone."""

from __future__ import annotations

import json
import math
import re

import pytest

from camtools.output.manifest import Limits, Manifest
from camtools.verify.packet_files import read_packet
from camtools.verify.rules.job_rules import judge_against_job
from camtools.verify.written import COMPANIONS, written_in
from tests.answer_trials import disagreements
from tests.verify.small_packet import Small

ANSWERS = """
[[half_blind]]
clearance = {blind}
depth = 12.2
front = {{ thickness = 16, wood = "oak" }}
side = {{ thickness = 10, wood = "oak" }}
dovetail = {{ number = 1, diameter = 10, angle = {angle}, taken_diameter = {taken}, taken_angle = {leaning} }}
[[through]]
clearance = {through}
side = {{ thickness = 10, wood = "oak" }}
back = {{ thickness = 10, wood = "oak" }}
dovetail = {{ number = 1, diameter = 10, angle = 10, taken_diameter = {taken}, taken_angle = {leaning} }}
straight = {{ number = 2, diameter = 4, taken_diameter = {thin} }}
[[groove]]
play = {play}
bottom = {{ thickness = {thick}, wood = "{wood}" }}
straight = {{ number = {number}, diameter = {cutter} }}
"""
LIES = {"blind": 0.2, "through": 0.21, "play": 0.3}
SOUND = {"thick": 3.9, "wood": "plywood", "number": 2, "cutter": 4.0, "angle": 10, "taken": 10, "leaning": 10, "thin": 4}
WORDS = [
    "clearance: 0.08 mm, by the job file it is 0.2 mm",
    "through clearance: 0.08 mm, by the job file it is 0.21 mm",
    "play of the bottom: 0.1 mm, by the job file it is 0.3 mm",
]


SMALL = Small()
JOB = re.sub(r"(?m)^(?:play|clearance) = 0.*", "", SMALL.job()).replace("bottom = 3.9 }", 'bottom = 3.9, wood = "oak" }')


def errors(job=JOB, **answer):
    """Return what the check says of a packet whose job file leaves clearances and play open."""
    manifest = SMALL.manifest()
    for board in manifest["boards"]:
        board["wood"] = "plywood" if board["role"] == "bottom" else "oak"
    models = Manifest.model_validate_json(json.dumps(manifest)), Limits.model_validate_json(json.dumps(SMALL.limits()))
    answers = ANSWERS.format(**SOUND | LIES | answer).encode()
    return [finding.text for finding in judge_against_job(COMPANIONS["job.fit.toml"](written_in(job.encode()), answers), *models)]


def test_packet_that_was_made_with_its_answers_passes():
    assert errors(blind=0.08, through=0.08, play=0.1) == []


def test_packet_that_was_made_without_its_answers_is_caught():
    assert errors() == WORDS


@pytest.mark.parametrize("other", [{"thick": 4.41}, {"wood": "oak"}, {"cutter": 4.01}, {"number": 1}])
def test_answer_of_another_board_or_cutter_asks_for_nothing(other):
    assert errors(**other) == WORDS[:2]


def test_answer_found_with_programs_for_another_cutter_is_worked_out_anew():
    """Section 13 of docs/joinery.md: 0.02 + 0.06 wider and not steeper; and 0.02 + 0.06 / 2 + 0.03 / cos 10 degrees."""
    thin = 4 - 0.06 * math.cos(math.radians(10))
    assert errors(blind=0.02, through=0.02, play=0.1, taken=9.94, thin=thin) == []
    steeper = math.tan(math.radians(11)) - math.tan(math.radians(10))
    found = errors(blind=0.0, through=0.08, play=0.1, leaning=11)
    assert found == [f"clearance: 0.08 mm, by the job file it is {12.2 * steeper:.3g} mm"]


def test_step_found_for_another_cutter_asks_for_nothing_where_boards_lie_flat():
    flat = JOB.replace("[machine]", '[machine]\nholds = ["flat"]')
    assert not [text for text in errors(flat, taken=9.94) if text.startswith(("clearance", "through clearance"))]
    assert {*WORDS} <= {*errors(flat)}


@pytest.mark.parametrize(("diameter", "words"), [(9.8, ["diameter: 10 mm, by the job file it is 9.8 mm"]), (8.9, [])])
def test_measured_cutter_must_be_that_of_the_programs_and_near_its_mark(diameter, words):
    cutter = f"[[cutters]]\nnumber = 1\nkind = 'dovetail'\nmarked_diameter = 10\nmarked_angle = 10\ndiameter = {diameter}\nangle = 10\n"
    written = COMPANIONS["job.fit.toml"](written_in(SMALL.job().encode()), cutter.encode())
    models = Manifest.model_validate_json(json.dumps(SMALL.manifest())), Limits.model_validate_json(json.dumps(SMALL.limits()))
    assert [finding.text for finding in judge_against_job(written, *models)] == words


def test_board_that_was_measured_keeps_the_answer_for_its_planned_thickness():
    """The bottom of this packet is 3.9 mm thick: planned as 3.6 it is a board for which an answer found with 3.2 holds."""
    assert WORDS[2] in errors(JOB.replace("bottom = 3.9", "bottom = 3.6"), thick=3.2)
    assert WORDS[2] not in errors(JOB.replace("bottom = 3.9", "bottom = 3.6"), thick=4.2)


def test_answer_gives_way_to_the_job_file():
    """A clearance that is written is that of both joints."""
    assert errors(JOB.replace("[joints]", "[joints]\nclearance = 0.08")) == WORDS[2:]
    assert errors(JOB.replace("[joints]", "[joints]\nthrough_clearance = 0.08")) == [WORDS[0], WORDS[2]]


def test_answers_that_can_not_be_read_leave_the_packet_not_judged(tmp_path):
    packet = SMALL.write(tmp_path / "packet")
    for text in ("[groove", "cutters = 3", "groove = 3"):
        (packet / "job.fit.toml").write_text(text)
        files = read_packet(packet)
        assert [(finding.code, finding.file) for finding in files.findings] == [("job-invalid", "job.fit.toml")]
        assert files.written is None


SETTINGS = """
[[settings]]
taught = "burnt"
cutter = {{ number = 2, diameter = {diameter} }}
woods = ["oak"]
feed = 1500
[[settings]]
taught = "chattered"
cutter = {{ number = {number}, diameter = {diameter} }}
woods = ["{wood}"]
feed = {feed}
depth_per_pass = {depth}
"""


def settings_errors(max_feed=1600.0, more="", **answer):
    """Return what the check says of the straight cutter, which the packet feeds at so much and takes 1.5 mm deep."""
    manifest, limits, job = SMALL.manifest(), SMALL.limits(), SMALL.job()
    head, *cutters = job.split("[[cutters]]")
    cutters[1] = f"\n{more}\n" + re.sub(r"(?m)^(?:feed|depth_per_pass) = .*", "", cutters[1])
    for board in manifest["boards"]:
        board["wood"] = "plywood" if board["role"] == "bottom" else "oak"
    limits["tools"][1].update(max_feed=max_feed, depth_per_pass=1.5)
    models = Manifest.model_validate_json(json.dumps(manifest)), Limits.model_validate_json(json.dumps(limits))
    answers = SETTINGS.format(**{"diameter": 4.0, "number": 2, "wood": "oak", "feed": 1600, "depth": 1.5} | answer).encode()
    written = COMPANIONS["job.fit.toml"](written_in("[[cutters]]".join([head, *cutters]).encode()), answers)
    findings = judge_against_job(written, *models)
    return [finding.text for finding in findings if finding.subject and finding.subject.name == "2"]


def test_settings_that_a_trial_cut_taught_must_be_there_where_they_hold():
    """The last answer of each key, as camtools goes on from the one before."""
    assert settings_errors() == []
    assert settings_errors(feed=1700) == ["largest feed: 1600 mm/min, by the job file it is 1700 mm/min"]
    assert settings_errors(depth=1.2) == ["depth of a pass: 1.5 mm, by the job file it is 1.2 mm"]
    assert settings_errors(feed=99999) == ["largest feed: 1600 mm/min, by the job file it is 1500 mm/min"], "beyond the machine"
    assert settings_errors(number=1) == settings_errors(wood="teak") == ["largest feed: 1600 mm/min, by the job file it is 1500 mm/min"]


def test_an_answered_feed_may_not_make_chips_thicker_than_charts_have_them():
    """A conservative calculator's chart, its high end for softwood at 4 mm: 0.135 mm; times 2 edges and 8000 rpm."""
    (told,) = settings_errors(max_feed=2200.0, feed=2200, more="speed = 8000")
    assert "largest feed, by an answer: 2200 mm/min" in told
    assert settings_errors(max_feed=2160.0, feed=2160, more="speed = 8000") == []
    assert settings_errors(max_feed=2200.0, feed=2200, more="speed = 9000") == []


def test_maker_and_check_agree_on_the_answers_of_random_jobs():
    """``python -m tests.answer_trials`` tries a thousand."""
    found = [one for seed in range(30) if (one := disagreements(seed)) is not None]
    assert [findings for findings, _ in found if findings] == []
    assert sum(used for _, used in found) > 5
