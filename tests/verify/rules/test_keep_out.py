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
KINDS = {
    "left-front": ("stop", "clamp", "plate"), "right-front": ("stop", "clamp", "plate"), "front-left": ("stop", "clamp"),
    "front-right": ("stop", "clamp"), "left-groove": ("stop", "fence", "clamp"), "right-groove": ("stop", "fence", "clamp"),
}  # fmt: skip
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
    ("front-left", "clamp"): {"x low", "x high", "y low"},
    ("front-right", "clamp"): {"x low", "x high", "y low"},
    ("left-groove", "clamp"): {"x low", "x high", "y high"},
    ("right-groove", "clamp"): {"x low", "x high", "y high"},
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
    assert "the stop fills X -50 to 0 mm, Y -10 to 0 mm, Z -80 to -30 mm, and its keep-out zone leaves some of that out" in finding.text


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
        # At least 25 mm high; 15 mm beside a nut of 20 mm over sockets as deep as the thickest board, and beyond the widest groove.
        ("clamp_height = 30", lambda around: zone_of(around, "clamp").update(high=(160.0, -25.0, 24.9)), "front-left"),
        ("clamp_from_end = 25", lambda around: zone_of(around, "clamp").update(high=(160.0, -36.1, 30.0)), "front-left"),
        ("clamp_from_groove = 13", lambda around: zone_of(around, "clamp").update(low=(-160.0, 32.1, 0.0)), "left-groove"),
        ("flat_stop = 4", lambda around: zone_of(around, "fence").update(high=(160.0, 0.0, -5.6)), "left-groove"),  # half of 10 mm
    ],
)
def test_what_the_job_file_leaves_open_of_a_hold_is_bounded(line, edit, stem):
    assert line in JOB
    assert findings_of(edit, stem, JOB.replace(line, ""))


def on_a_narrow_board(edit, high):
    """Judge the groove of a board, to be clamped 25 mm from its reference edge, with a batten in the place of its clamp's zone."""
    small = Small(high=high)
    limits, manifest = json.loads(json.dumps(small.limits())), json.loads(json.dumps(small.manifest()))
    around = next(entry for entry in limits["programs"] if entry["file"] == "programs/left-groove.ngc")
    fence = zone_of(around, "fence")
    batten = {"name": "batten", "low": (fence["low"][0], high, fence["low"][2]), "high": (fence["high"][0], high + 60, fence["high"][2])}
    around["zones"] = [zone for zone in around["zones"] if zone["name"] != "clamp"] + [batten]
    edit(batten)
    limits["programs"] = [around]
    models = Manifest.model_validate_json(json.dumps(manifest)), Limits.model_validate_json(json.dumps(limits))
    return [finding.text for finding in judge_keep_out(written_in(small.job().encode()), *models)]


def test_batten_stands_only_where_a_clamp_finds_no_room():
    """12 mm are room enough for any clamp."""
    assert on_a_narrow_board(lambda batten: None, 36.9) == []
    (text,) = on_a_narrow_board(lambda batten: None, 37.1)
    assert text.startswith("the clamp fills X ")
    assert text.endswith("is missing")


@pytest.mark.parametrize(("side", "axis", "by"), [("low", 1, 0.1), ("low", 2, 0.1), ("high", 1, -20.0), ("high", 2, -0.1)])
def test_batten_that_is_left_out_in_part_is_told(side, axis, by):
    def edit(batten):
        batten[side] = tuple(value + by if i == axis else value for i, value in enumerate(batten[side]))

    (text,) = on_a_narrow_board(edit, 36.0)
    assert text.startswith("the batten fills X ")
