"""Judging what was measured: faults that come alone, and what only the carved drawer shows of the job file: tails, groove, planing."""

from __future__ import annotations

import json
import re

import pytest

from camtools.output.manifest import JointLimits
from camtools.verify import checking
from camtools.verify.checking import check
from camtools.verify.fit.bottom_fit import measure_bottom
from camtools.verify.fit.joint_fit import gaps_of, measure_joint
from camtools.verify.fit.judge import bottom_faults, joint_faults, tail_faults
from camtools.verify.fit.plane_sections import FREE
from camtools.wording import told_in
from tests.verify.fit.test_bottom_fit import OUTSIDE, box, drawer
from tests.verify.fit.test_faces import ASK, finger_joint
from tests.verify.small_packet import Small

TAILS = [(6.0, 26.0), (34.0, 68.0), (74.0, 94.0)]  # half pins of 6 mm on a board of 100 mm, pins of 8 and 6 mm


@pytest.mark.parametrize(
    ("tails", "pins", "suspects"),
    [(0.3, 0.3, []), (0.33, 0.3, [("tail",)]), (0.3, 0.33, [("pin",)]), (0.27, 0.27, [("tail",), ("pin",)])],
)
def test_proud_ends_are_judged_board_by_board(tails, pins, suspects):
    """0.3 mm was chosen, and two hundredths are allowed."""
    tail, pin = finger_joint(proud=tails)[0], finger_joint(proud=pins)[1]
    faults = list(joint_faults(measure_joint(tail, pin, ASK), gaps_of(tail, pin, ASK), FREE, ASK, 0.0))
    assert [(fault.code, fault.suspects) for fault in faults] == [("proud-ends", who) for who in suspects]


@pytest.mark.parametrize(("part", "start", "end"), [("front", 11.0, 90.0), ("front", 10.0, 89.0), ("back", 11.0, 90.0)])
def test_groove_of_front_or_back_has_both_its_ends_alike(part, start, end):
    limits = JointLimits.model_validate_json(json.dumps(Small().limits()["joints"][0]))
    boards = drawer()
    depths = {"front": (6, 11), "back": (69, 74)}[part]
    low, high = {"front": (0, 10), "back": (70, 80)}[part]
    panel = box((6.5, 6.5, 8.05), (93.5, 73.5, 11.95))

    def found():
        bottom = measure_bottom(boards, panel, OUTSIDE, raised=False)
        inside = {"front": 80.0, "back": 80.0, "left": 60.0, "right": 60.0}
        faults = bottom_faults(bottom, limits, inside, (10.0, 90.0))
        return [fault.suspects for fault in faults if fault.code == "groove-ends"]

    assert found() == []
    boards[part] = box((0, low, 0), (100, high, 40)) - box((start, depths[0], 8), (end, depths[1], 12))
    assert found() == [(part,)]


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"tails": 3.0, "half_pin": 6.0, "pin": 6.0, "tail": 20.0}, []),
        ({"tails": 4.0}, ["number of tails: 3, by the job file it is 4"]),
        ({"half_pin": 6.1}, ["lower half pin: 6 mm, by the job file it is 6.1 mm", "upper half pin: 6 mm, by the job file it is 6.1 mm"]),
        ({"pin": 6.1}, ["narrowest pin: 6 mm, by the job file it is 6.1 mm"]),
        ({"tail": 20.1}, ["lowest tail: 20 mm, by the job file it is 20.1 mm", "highest tail: 20 mm, by the job file it is 20.1 mm"]),
        (
            {"tail": 19.9, "style": "swelling"},
            ["lowest tail: 20 mm, by the job file it is 19.9 mm", "highest tail: 20 mm, by the job file it is 19.9 mm"],
        ),
        ({"pin": 5.9}, ["narrowest pin: 6 mm, by the job file it is 5.9 mm"]),
        ({"half_pin": "wide"}, ["lower half pin: 6 mm, by the job file it is wide", "upper half pin: 6 mm, by the job file it is wide"]),
    ],
)
def test_layout_of_the_tails_is_the_written_one(said, told):
    assert [fault.text for fault in tail_faults(said, TAILS, 100.0)] == told


def test_an_inch_job_is_told_its_layout_in_inches_and_its_number_of_tails_as_it_is():
    with told_in("in"):
        told = [fault.text for fault in tail_faults({"tails": 4.0, "pin": 6.35}, TAILS, 100.0)]
    assert told == ["number of tails: 3, by the job file it is 4", 'narrowest pin: 15/64" plus 0.002", by the job file it is 1/4"']


def test_joint_without_tails_has_not_the_written_number():
    assert [fault.code for fault in tail_faults({"tails": 1.0}, [], 100.0)] == ["unlike-job"]


def unlike(tmp_path, old, new):
    packet = Small().write(tmp_path / "packet")
    job = packet / "job.toml"
    assert old in job.read_text(encoding="ascii")
    job.write_text(job.read_text(encoding="ascii").replace(old, new), encoding="ascii")
    return [finding for finding in check(packet, jobs=1).findings if finding.code == "unlike-job"]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("edge = 8.0", "edge = 8.1", "height of the groove of the left side: 8 mm, by the job file it is 8.1 mm"),
        ("edge = 8.0\ndepth = 4.0", "edge = 8.0\ndepth = 4.1", "depth of the groove of the left side: 4 mm, by the job file it is 4.1 mm"),
        ("stop = 3", "stop = 3.1", "stop of the groove of the left side: 3 mm, by the job file it is 3.1 mm"),
        ("[joints]", "[joints]\nhalf_pin = 11.1", "lower half pin: 11 mm, by the job file it is 11.1 mm"),
        ("[joints]", "[joints]\ntails = 2", "number of tails: 1, by the job file it is 2"),
    ],
)
def test_carved_drawer_is_held_against_the_job_file(old, new, words, tmp_path):
    assert any(words in finding.text for finding in unlike(tmp_path, old, new))


def test_place_of_a_fault_is_told_in_the_units_of_the_job(tmp_path, monkeypatch):
    monkeypatch.setattr(checking, "told_in", lambda _units: told_in("in"))
    (told,) = {found.text.partition(" (")[2] for found in unlike(tmp_path, "edge = 8.0", "edge = 8.1") if "left side" in found.text}
    assert re.fullmatch(r'X [^ ]+", Y [^ ]+", Z [^ ]+" in the drawer\).*', told), told


@pytest.mark.parametrize(("old", "new"), [("stop = 3", "stop = 2.9"), ("stop = 3", 'stop = 9\nends = "hidden"')])
def test_groove_may_stop_earlier_than_written_and_a_hidden_one_anywhere(old, new, tmp_path):
    """A stop is made longer where a socket leans towards it."""
    assert unlike(tmp_path, old, new) == []


@pytest.mark.parametrize(
    ("finish", "wide", "codes", "exit_code"),
    [(0.0, 96.1, {"opening-too-small"}, 1), (1.95, 96.1, {"to-be-planed"}, 0), (1.9, 96.1, {"opening-too-small"}, 1)],
)
def test_no_more_is_planed_off_than_the_job_file_leaves_for_it(finish, wide, codes, exit_code, tmp_path):
    """An opening 3.9 mm narrower than the drawer, and sides without clearance."""

    class Tight(Small):
        def job(self):
            fit = f"side = {(wide - self.wide) / 2 + finish:.3f}\nfinish = {finish}"
            return super().job().replace("side = 0.5", fit).replace("opening = [101.0", f"opening = [{wide}")

        def limits(self):
            limits = super().limits()
            limits["joints"][0]["opening"][0] = wide
            return limits

    report = check(Tight().write(tmp_path / "packet"), jobs=1)
    assert {finding.code for finding in report.findings} == codes
    assert report.exit_code == exit_code
