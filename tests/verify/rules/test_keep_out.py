"""Keep-out zones: what must stand where in each hold, on the small packet, whose zones are written by hand."""

from __future__ import annotations

import json

import pytest

from camtools.output.manifest import Limits, Manifest
from camtools.verify.rules.keep_out import judge_keep_out
from camtools.verify.written import written_in
from tests.verify.small_packet import Small

SMALL = Small()
JOB = SMALL.job()
KINDS = {"left-front": ("stop", "clamp", "plate"), "right-front": ("stop", "clamp", "plate"), "front-left": ("stop",),
         "front-right": ("stop",), "left-groove": ("stop", "fence"), "right-groove": ("stop", "fence")}  # fmt: skip
ZONES = [(stem, name) for stem, names in KINDS.items() for name in names]
# How far a zone may shrink on each side before it leaves out what must stand there: not at all where the board, the worked end or the
# bed bounds it. X, Y and Z from below and from above.
LOOSE = {
    ("left-front", "stop"): {"x low", "z low"},
    ("right-front", "stop"): {"x high", "z low"},
    ("front-left", "stop"): {"x high"},
    ("front-right", "stop"): {"x low"},
    ("left-groove", "stop"): {"x low"},
    ("right-groove", "stop"): {"x high"},
    "clamp": {"y low", "z low"},
    "plate": {"x low", "x high", "y high", "z low"},
    "fence": {"x low", "x high", "y low"},
}


def findings_of(edit=lambda around: None, stem="left-front", job=JOB):
    limits = json.loads(json.dumps(SMALL.limits()))
    edit(next(entry for entry in limits["programs"] if entry["file"] == f"programs/{stem}.ngc"))
    models = Manifest.model_validate_json(json.dumps(SMALL.manifest())), Limits.model_validate_json(json.dumps(limits))
    return judge_keep_out(written_in(job.encode()), *models)


def zone_of(around, name):
    return next(zone for zone in around["zones"] if zone["name"] == name)


def test_zones_of_every_hold_are_those_of_the_setups():
    assert findings_of() == []


@pytest.mark.parametrize(("stem", "name"), ZONES)
def test_zone_that_is_missing_is_told(stem, name):
    findings = findings_of(lambda around: around["zones"].remove(zone_of(around, name)), stem)
    assert [(finding.code, finding.severity) for finding in findings] == [("zone-wrong", "error")]
    assert findings[0].subject.name == f"programs/{stem}.ngc"
    assert f"the {name} fills X " in findings[0].text
    assert findings[0].text.endswith("is missing")


@pytest.mark.parametrize("side", ["x low", "x high", "y low", "y high", "z low", "z high"])
@pytest.mark.parametrize(("stem", "name"), ZONES)
def test_zone_that_is_smaller_is_told_unless_it_reaches_far_enough(stem, name, side):
    axis, end = "xyz".index(side[0]), side[2:]

    def shrink(around):
        corner = list(zone_of(around, name)[end])
        corner[axis] += 0.1 if end == "low" else -0.1
        zone_of(around, name)[end] = tuple(corner)

    told = {finding.code for finding in findings_of(shrink, stem)}
    assert told == (set() if side in LOOSE.get((stem, name), LOOSE.get(name, set())) else {"zone-wrong"})


def test_stop_on_the_wrong_side_is_told_with_where_it_stands():
    turned = {"low": (0.0, -10.0, -300.0), "high": (60.0, 0.0, -30.0)}
    (finding,) = findings_of(lambda around: zone_of(around, "stop").update(turned))
    assert "the stop fills X -50 to 0, Y -10 to 0, Z -80 to -30, and its keep-out zone leaves some of that out" in finding.text


@pytest.mark.parametrize(
    ("stem", "key", "value", "code"),
    [
        ("left-front", "backing", 500.0, "job-differs"),
        ("left-front", "backing", 17.0, "job-differs"),
        ("front-left", "backing", 1.0, "choice-unsound"),
        ("front-left", "spoilboard", 0.5, "choice-unsound"),
        ("left-front", "spoilboard", 0.5, "choice-unsound"),
    ],
)
def test_backing_and_spoilboard_are_the_makers(stem, key, value, code):
    assert code in {finding.code for finding in findings_of(lambda around: around.update({key: value}), stem)}


@pytest.mark.parametrize(
    ("line", "edit", "stem"),
    [
        ("backing = 18", lambda around: around.update(backing=18.1), "left-front"),  # the small packet's widest cutter has 10 mm
        ("upright_stop_below = 30", lambda around: None, "left-front"),  # 25 mm will do for edges of 14 mm
        ("flat_stop = 4", lambda around: zone_of(around, "fence").update(high=(160.0, 0.0, -5.6)), "left-groove"),  # half of 10 mm
    ],
)
def test_what_the_job_file_leaves_open_of_a_hold_is_bounded(line, edit, stem):
    assert line in JOB
    assert findings_of(edit, stem, JOB.replace(line, ""))
