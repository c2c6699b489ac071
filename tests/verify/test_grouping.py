"""One cause is told once, with how much follows from it; no finding is lost, and causes that have nothing in common stay apart."""

from __future__ import annotations

import json

import pytest

from camtools.verify.catalogue import FIT_FINDINGS, REMEDIES
from camtools.verify.checking import check
from camtools.verify.findings import Finding, Subject
from camtools.verify.grouping import groups_of
from camtools.verify.report import json_of
from tests.sabotage.packets import Packet
from tests.verify.small_packet import Small

FRONT, REAR = "programs/left-front.ngc", "programs/left-rear.ngc"


def fit(code, file=FRONT, line=9, drawer="d1", joint="front left joint"):
    return Finding(code, "error", file, line, code, (), Subject("drawer", drawer, joint), ((drawer, joint),), f"{joint} of {drawer}")


def motion(code, file=FRONT, line=9, severity="error"):
    return Finding(code, severity, file, line, code, about=(("d1", "front left joint"), ("d2", "front left joint")))


def codes(*findings):
    return [(group.root.code, sorted(finding.code for finding in group.others)) for group in groups_of(findings)]


def test_every_finding_stands_in_one_group():
    findings = [fit("joint-overlap"), fit("gap-shows", line=12), motion("rapid-in-wood", line=30), fit("gap-shows", REAR, 4, "d2")]
    grouped = [finding for group in groups_of(findings) for finding in (group.root, *group.others)]
    assert sorted(grouped, key=id) == sorted(findings, key=id)


@pytest.mark.parametrize(
    ("findings", "told"),
    [
        # A wrong depth explains all that is wrong with its joint, whatever board that was blamed on.
        ([fit("joint-overlap", REAR, 3), fit("cut-depth", line=7), fit("gap-shows")], [("cut-depth", ["gap-shows", "joint-overlap"])]),
        # In every drawer that the program cuts.
        ([fit("cut-depth", line=7), fit("cut-depth", line=7, drawer="d2")], [("cut-depth", ["cut-depth"])]),
        # What is wrong with the drawer as a whole follows from a joint that was not cut right.
        ([fit("cut-depth", line=7), fit("not-square", REAR, 0, joint="")], [("cut-depth", ["not-square"])]),
        ([fit("cut-depth", line=7), fit("not-square", REAR, 0, "d2", "")], [("cut-depth", []), ("not-square", [])]),
        # Without a known cause, what is wrong with the cut of one program is one thing.
        ([fit("gap-shows", line=12), fit("joint-overlap", line=30)], [("joint-overlap", ["gap-shows"])]),
        ([fit("joint-overlap"), fit("joint-overlap", REAR, joint="back left joint")], [("joint-overlap", []), ("joint-overlap", [])]),
        # A program that was not read to its end, or that was not held as it must be, cut no joint.
        ([motion("number-missing", line=5), fit("joint-overlap", REAR, 3)], [("number-missing", ["joint-overlap"])]),
        ([motion("setup-wrong", line=0), fit("joint-overlap", REAR, 3)], [("setup-wrong", ["joint-overlap"])]),
        ([motion("wrong-work-offset", line=2), fit("cut-depth", line=7)], [("wrong-work-offset", ["cut-depth"])]),
        # A dangerous motion is a thing of its own, but not each line of it, nor what the same line does besides.
        ([motion("spindle-stopped", line=5), fit("joint-overlap", line=30)], [("spindle-stopped", []), ("joint-overlap", [])]),
        ([motion("zone-entered", line=5), motion("zone-entered", line=8)], [("zone-entered", ["zone-entered"])]),
        ([motion("depth-per-pass", line=7), fit("cut-depth", line=7)], [("cut-depth", ["depth-per-pass"])]),
        ([motion("zone-entered", line=5), motion("zone-entered", REAR, 5)], [("zone-entered", []), ("zone-entered", [])]),
        # A warning never hides an error, nor stands before one.
        ([motion("block-delete", line=5, severity="warning"), motion("feed-zero", line=5)], [("block-delete", []), ("feed-zero", [])]),
        # A program and its dry runs are held alike.
        ([motion("setup-wrong", "programs/dry/left-front-dry.ngc", 0), motion("setup-wrong", line=0)], [("setup-wrong", ["setup-wrong"])]),
        # A dry run that differs follows from what is wrong with its program.
        ([motion("dry-path-differs", "programs/dry/left-front-dry.ngc"), fit("gap-shows")], [("dry-path-differs", ["gap-shows"])]),
    ],
)
def test_findings_of_one_cause_are_one_group(findings, told):
    assert codes(*findings) == told


def test_one_number_said_of_many_programs_is_told_once_but_not_of_many_cutters():
    def said(kind, name, text="backing: 500 mm", code="job-differs"):
        return Finding(code, "error", "limits.json", 0, text, subject=Subject(kind, name))

    assert codes(said("program", FRONT), said("program", REAR)) == [("job-differs", ["job-differs"])]
    assert codes(said("cutter", "1"), said("cutter", "2")) == [("job-differs", []), ("job-differs", [])]
    stops = said("program", FRONT, "the stop fills X 0", "zone-wrong"), said("program", REAR, "the stop fills X 1", "zone-wrong")
    assert codes(*stops) == [("zone-wrong", ["zone-wrong"])]


def test_a_line_that_is_too_shallow_is_told_once_with_the_drawer_the_board_and_what_to_do(tmp_path):
    packet = Packet(Small().write(tmp_path / "good"), tmp_path / "packet")
    line = packet.map_words(FRONT, "Z", lambda z: z + 0.5 if z < 0 else z)[0]
    report = check(packet.folder, jobs=1)
    (group,) = (group for group in report.groups if group.root.severity == "error")
    first, more, edited = group.words()
    assert group.place == f"{FRONT}:{line}"
    assert first == 'front left joint of drawer "Seeds": 0.5 mm too shallow, 11.5 mm for 12 mm; lower Z there by the difference'
    assert more.startswith(f"{len(report.errors) - 1} more of the same cause: ")
    assert "joint-overlap 1" in more
    assert edited == f"{FRONT} was edited since the packet was written: undo that, or write the packet anew"
    assert report.causes("error") == 1


def test_report_as_json_keeps_every_finding_and_its_cause(tmp_path):
    report = check(Small(deeper={"left-front": -0.5}).write(tmp_path / "packet"), jobs=1)
    content = json.loads(json_of(report))
    assert [finding["code"] for finding in content["findings"]] == [finding.code for finding in report.findings]
    (cause,) = content["causes"]
    assert sorted(cause) == list(range(len(report.findings)))
    assert content["findings"][cause[0]]["code"] == "cut-depth"


def test_every_fault_of_the_fit_says_what_to_do():
    say_so_themselves = {"cut-depth", "unlike-job", "edge-to-be-planed", "edges-apart", "ends-to-be-planed"}
    assert FIT_FINDINGS.keys() - REMEDIES.keys() == say_so_themselves
