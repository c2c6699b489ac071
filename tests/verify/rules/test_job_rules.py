"""Manifest and limits against the job file: no number that the maker wrote, and none that was left open, can be changed unseen."""

from __future__ import annotations

import json
import re

import pytest

from camtools.output.manifest import Limits, Manifest
from camtools.verify.rules.job_rules import judge_against_job
from camtools.verify.written import written_in
from tests.verify.small_packet import Small

SMALL = Small()
JOB = SMALL.job()
# What manifest and limits do not hold: judged on the carved drawer, by the zones, or not at all.
HELD_ELSEWHERE = {"edge", "depth", "stop", "backing", "upright_stop_below", "flat_stop"}
HELD_ELSEWHERE |= {"clamp_height", "clamp_from_end", "clamp_from_groove", "light_pass"}
NUMBERS = [found for found in re.finditer(r"(\w+) = ([\d.]+)", JOB) if found[1] not in HELD_ELSEWHERE]


def findings_of(job=JOB, edit=lambda manifest, limits: None):
    manifest, limits = json.loads(json.dumps(SMALL.manifest())), json.loads(json.dumps(SMALL.limits()))
    edit(manifest, limits)
    models = Manifest.model_validate_json(json.dumps(manifest)), Limits.model_validate_json(json.dumps(limits))
    return judge_against_job(written_in(job.encode()), *models)


def codes(findings):
    return {finding.code for finding in findings}


def left_open(*keys):
    """Return the job file with these keys taken out."""
    return "\n".join(line for line in JOB.splitlines() if line.partition(" ")[0] not in keys)


def test_packet_that_keeps_to_its_job_file_has_no_finding():
    assert findings_of() == []


@pytest.mark.parametrize("number", NUMBERS, ids=[f"{found[1]}-{found.start()}" for found in NUMBERS])
def test_no_number_of_the_job_file_can_be_another_one(number):
    changed = JOB[: number.start(2)] + str(float(number[2]) + 0.01) + JOB[number.end(2) :]
    assert codes(findings_of(changed)) == {"job-differs"}


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("travel = [400, 300, 100]", "travel = [400, 300, 90]", "the machine's travel in Z: 100 mm, by the job file it is 90"),
        ("travel = [400, 300, 100]", "travel = [400, 300]", "by the job file it is nothing"),
        ("opening = [101.0", "opening = [102.0", "width of the opening: 101 mm, by the job file it is 102"),
        ("opening = [101.0, 41.0, 101.0]", "outside = [100, 40, 100]", "opening: 101 x 41 x 101, by the job file it is none"),
        ("proud = 0.2", 'proud = "a bit"', "proud: 0.2 mm, by the job file it is a bit"),
        ('title = "Seed drawer"', 'title = "Chest"', "the job's title: Seed drawer, by the job file it is Chest"),
        ("plunges = true", "plunges = false", "whether it may plunge: yes, by the job file it is no"),
        ('kind = "dovetail"', 'kind = "straight"', "kind: dovetail, by the job file it is straight"),
        ('kind = "straight"', 'number = 7\nkind = "straight"', "the job file has no such cutter"),
        ("backing = 18", 'holds = ["flat"]', "the machine can not hold boards upright"),
        ("[groove]", "[groove]\ncutter = 1", "is cut without cutter 1"),
        ("[joints]", "[joints]\ndovetail = 2", "programs/left-front.ngc is cut without cutter 2"),
        ("[joints]", "[joints]\nstraight = 1", "programs/back-left.ngc is cut without cutter 1"),
        ('name = "Seeds"', 'name = "Seeds"\ncount = 2', "how many are made: 1, by the job file it is 2"),
        ("[[drawers]]", '[[drawers]]\nname = "Ferns"\n[[drawers]]', "the number of drawers: 1, by the job file it is 2"),
        ("behind = 1", 'behind = 1\nback = "raised"', "back: full, by the job file it is raised"),
        ("behind = 1", 'behind = 1\nfront = "overlay"', "front: inset, by the job file it is overlay"),
        ("behind = 1", "behind = 1\nreveal = 0.5", "clearance behind: 0.5 mm, by the job file it is 1"),
        ("behind = 1", "behind = 1\nfinish = 0.2", "clearance at each side, before finishing: 0.7 mm, by the job file it is 0.5"),
    ],
)
def test_what_differs_is_told_with_both_values(old, new, words):
    assert old in JOB
    findings = findings_of(JOB.replace(old, new, 1))
    assert codes(findings) == {"job-differs"}
    assert any(words in finding.text for finding in findings), [finding.text for finding in findings]


@pytest.mark.parametrize(
    ("keys", "edit"),
    [
        (("travel",), lambda _, limits: limits["machine"].update(travel=[610.0, 300.0, 80.0])),
        (("min_speed",), lambda _, limits: limits["machine"].update(min_speed=7000.0)),
        (("max_speed",), lambda _, limits: limits["tools"][0].update(max_speed=22_001.0)),
        (("max_feed",), lambda _, limits: limits["machine"].update(max_feed=3100.0)),
        (("clearance",), lambda _, limits: limits["machine"].update(clearance=9.0)),
        (("spindle_diameter",), lambda _, limits: limits["machine"].update(spindle_diameter=79.0)),
        (("nut_height",), lambda _, limits: limits["machine"].update(nut_height=25.1, spindle_diameter=80.0)),
        (("feed",), lambda _, limits: limits["tools"][1].update(max_feed=2999.0, max_speed=9000.0)),
        (("depth_per_pass",), lambda _, limits: limits["tools"][1].update(depth_per_pass=2.1)),
        (("stick_out",), lambda _, limits: limits["tools"][1].update(stick_out=24.5)),
        (("holder",), lambda _, limits: limits["tools"][1].update(holder=34.0)),
        (("shank",), lambda manifest, _: manifest["tools"][0].update(shank=5.9)),
        (("clearance",), lambda _, limits: limits["joints"][0].update(flank=0.2)),
        (("free_depth",), lambda _, limits: limits["joints"][0].update(tip=0.6)),
        (("proud",), lambda _, limits: limits["joints"][0].update(proud=0.6)),
        (("lap",), lambda _, limits: limits["joints"][0].update(lap=3.1)),
        (("lap",), lambda _, limits: limits["joints"][0].update(lap=5.4)),
        (("play",), lambda _, limits: limits["joints"][0].update(bottom_play=0.4)),
        (("side",), lambda manifest, _: manifest["drawers"][0].update(outside=[100.8, 100.0, 40.0])),
        (("behind",), lambda manifest, _: manifest["drawers"][0].update(outside=[100.0, 84.0, 40.0])),
        (("above",), lambda manifest, _: manifest["drawers"][0].update(outside=[100.0, 100.0, 40.1])),
        (("above",), lambda manifest, _: manifest["drawers"][0].update(outside=[100.0, 100.0, 39.2])),
    ],
)
def test_what_the_job_file_leaves_open_must_be_sound(keys, edit):
    """The bounds are common practice, no source; the movement of wood is bounded by the Wood Handbook, Table 13-5."""
    assert "choice-unsound" in codes(findings_of(left_open(*keys), edit))


# Wood Handbook, Eq. (4-5): at 68 F 42 % humidity gives 8.0 %, 74 % gives 14.2 %.
@pytest.mark.parametrize("seasons", ["now = 8, dampest = 14", 'climate = { now = ["68 F", 42], dampest = [20, 74] }'])
@pytest.mark.parametrize("part", ["front", "side", "back"])
def test_room_above_must_let_the_board_that_moves_most_grow(part, seasons):
    """Wood Handbook, Table 13-5 and Eq. (13-2): 40 mm of flat-sawn European beech grow by 0.00427 x 6 % x 40 = 1.02 mm, teak by 0.45."""
    teak = left_open("above").replace("stock = {", f'stock = {{ {seasons}, wood = "teak",')
    beech = teak.replace("stock = {", f'stock = {{ {part}_wood = "European beech",')

    def room(mm):
        return lambda manifest, _: manifest["drawers"][0].update(outside=[100.0, 100.0, 41.0 - mm])

    assert codes(findings_of(teak, room(1.5))) == set()
    assert codes(findings_of(beech, room(1.5))) == {"choice-unsound"}
    assert codes(findings_of(beech, room(2.0))) == set()
    assert codes(findings_of(teak, room(2.0))) == {"choice-unsound"}


def test_bounds_do_not_hold_where_the_maker_wrote_otherwise():
    """All of the small packet's values were written; several lie beyond what is sound without that."""
    assert "choice-unsound" in codes(findings_of(left_open("depth_per_pass", "behind", "holder")))
    assert findings_of() == []


@pytest.mark.parametrize(
    ("claimed", "found"), [("Oak, European", set()), ("Beech, European", {"job-differs"}), ("plywood", {"job-differs"})]
)
def test_wood_that_a_board_is_said_to_be_of_is_the_one_that_is_written(claimed, found):
    def edit(manifest, _):
        next(board for board in manifest["boards"] if board["role"] == "left side").update(wood=claimed)

    assert codes(findings_of(JOB.replace("stock = {", 'stock = { wood = "beech", side_wood = "white oak",'), edit)) == found
