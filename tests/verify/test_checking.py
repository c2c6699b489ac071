"""The whole check on a drawer written by hand: figures that are known beforehand, and what a maker would spoil first."""

from __future__ import annotations

import json

import pytest

from camtools.verify.checking import check
from camtools.verify.report import json_of
from tests.verify.small_packet import Small


def report_of(small, folder):
    return check(small.write(folder / "packet"), jobs=1)


def codes(report):
    return {finding.code for finding in report.findings if finding.severity == "error"}


@pytest.fixture(scope="module")
def good(tmp_path_factory):
    return report_of(Small(), tmp_path_factory.mktemp("small"))


def test_drawer_written_by_hand_passes(good):
    assert good.findings == ()
    assert good.ok
    assert good.exit_code == 0


def test_flank_clearance_is_the_chosen_one_within_five_micrometres(good):
    for joint in good.drawers[0].joints:
        assert joint.measured.flank.smallest_mm == pytest.approx(0.08, abs=0.005)
        assert joint.measured.flank.largest_mm == pytest.approx(0.08, abs=0.005)


def test_shoulders_meet_and_tips_are_free(good):
    for joint in good.drawers[0].joints:
        assert joint.measured.shoulder.largest_mm == pytest.approx(0.0, abs=1e-3)
        assert joint.measured.tip.mean_mm == pytest.approx(0.2, abs=1e-3)  # free depth, and proud ends
        assert joint.measured.overlap.depth_mm == 0.0
        assert joint.blocked.width_mm == 0.0
    assert good.drawers[0].joints[0].measured.lap_mm == pytest.approx(4.0 - 0.2, abs=1e-3)
    assert good.drawers[0].joints[2].measured.pins_proud_mm == pytest.approx(0.2, abs=1e-6)


def test_gaps_that_show_have_the_area_of_the_chosen_clearance(good):
    """Two flanks of 12 mm by 0.08 mm, and a tip of 18.16 mm by 0.2 mm, less the corners that both share."""
    gap = good.drawers[0].joints[0].gaps[0]
    assert gap.face == "side face"
    tip = (18.0 + 2 * 0.08 + 2 * 0.2 * 0.17633 / 2) * 0.2
    assert gap.area_mm2 == pytest.approx(2 * 12.0 * 0.08 + tip, abs=0.02)


def test_groove_and_bottom_are_measured(good):
    sides = {side.part: side for side in good.drawers[0].bottom.sides}
    for part, side in sides.items():
        assert side.groove.low_mm == pytest.approx(8.0, abs=1e-6)
        assert side.groove.high_mm == pytest.approx(12.0, abs=1e-6)
        assert side.groove.depth_mm == pytest.approx(4.0, abs=1e-6)
        assert side.groove.below_mm == pytest.approx(8.0, abs=1e-6)
        assert side.groove.behind_mm == pytest.approx(12.0 if part == "front" else 6.0, abs=1e-6)
        assert side.engaged_mm == pytest.approx(3.5, abs=1e-6)
    # The left groove runs from 3 mm behind the front to 3 mm before the back.
    assert sides["left"].groove.start_mm == pytest.approx(19.0, abs=0.01)
    assert sides["left"].groove.end_mm == pytest.approx(87.0, abs=0.01)


def test_outside_is_the_manifests_and_square(good):
    assert good.drawers[0].outside == pytest.approx((100.0, 100.0, 40.0), abs=1e-6)
    assert good.drawers[0].diagonals_mm == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("flank", [0.02, 0.05, 0.15])
def test_other_clearances_are_measured_as_chosen(flank, tmp_path):
    report = report_of(Small(flank=flank), tmp_path)
    assert codes(report) == set()
    for joint in report.drawers[0].joints:
        assert joint.measured.flank.mean_mm == pytest.approx(flank, abs=0.005)


@pytest.mark.parametrize(
    ("small", "expected"),
    [
        (Small(radius=6.35, angle=14.0), set()),
        (Small(side=8.0, front=14.0, back=12.0), set()),
        (Small(wide=180.0, deep=140.0, high=55.0, middle=27.5, tail=28.0, radius=7.0, angle=8.0), None),
    ],
)
def test_drawers_of_other_sizes_and_cutters_pass(small, expected, tmp_path):
    report = report_of(small, tmp_path)
    overlaps = [joint.measured.overlap.depth_mm for joint in report.drawers[0].joints]
    if expected is None:  # one pass does not clear so wide a socket: what is left must be seen
        assert max(overlaps) > 1.0
    else:
        assert codes(report) == expected


DEPTHS = [
    ("left-front", 0.3, "shoulder-gap", "gap_mm", 0.3),
    ("left-front", -0.3, "joint-overlap", "depth_mm", 0.3),
    ("left-rear", 0.3, "shoulder-gap", "gap_mm", 0.3),
    ("front-right", 0.3, "tip-gap", "found_mm", 0.5),
    ("front-right", -0.3, "joint-overlap", "depth_mm", 0.1),
    ("left-groove", 0.5, "groove-depth", "depth_mm", 4.5),
    ("left-groove", -1.0, "bottom-overlap", "depth_mm", 0.5),
    ("left-groove", 4.1, "groove-weak", "behind_mm", 1.9),
]


@pytest.mark.parametrize(("stem", "deeper", "code", "figure", "value"), DEPTHS)
def test_wrong_depth_is_found_with_its_figure_at_its_program(stem, deeper, code, figure, value, tmp_path):
    report = report_of(Small(deeper={stem: deeper}), tmp_path)
    found = [finding for finding in report.findings if finding.code == code and finding.file == f"programs/{stem}.ngc"]
    assert found, [(finding.code, finding.file) for finding in report.findings]
    assert dict(found[0].figures)[figure] == pytest.approx(value, abs=0.01)
    assert report.exit_code == 1


@pytest.mark.parametrize("by", [0.02, 0.05])
def test_overlap_of_hundredths_is_not_missed(by, tmp_path):
    """Sockets too narrow at each flank by the clearance and a little more: that little more is found."""
    report = report_of(Small(wider={"front-left": -0.08 - by, "back-left": -0.08 - by}), tmp_path)
    depths = {joint.corner: joint.measured.overlap.depth_mm for joint in report.drawers[0].joints}
    # Along the joint ``by``; square to the flank less by the cosine of its angle.
    assert depths["front left"] == pytest.approx(by * 0.985, abs=0.003)
    assert depths["back left"] == pytest.approx(by * 0.985, abs=0.003)
    assert depths["front right"] == depths["back right"] == 0.0
    assert {"joint-overlap", "joint-blocked", "flank-clearance"} <= codes(report)


def test_joint_that_fits_at_home_but_can_not_be_pushed_there_fails(tmp_path):
    """The tail's inside half is left at the baseline's width while the outside is cut away: a hook behind the pins."""
    small = Small()
    packet = small.write(tmp_path / "packet")
    place = packet / "programs" / "front-left.ngc"
    # A socket whose mouth, at the end of the front, is narrower than its inner part: the cutter enters in the middle only.
    text = place.read_text(encoding="ascii")
    lines = text.split("\n")
    start = next(number for number, line in enumerate(lines) if line.startswith("G1 X"))
    first, last = float(lines[start][4:]), float(lines[start + 2][4:])
    middle = (first + last) / 2
    lines[start : start + 4] = [
        f"G1 X{middle}",
        "G1 Y-4.0",
        f"G1 X{first}",
        lines[start + 1],
        f"G1 X{last}",
        "G1 Y-4.0",
        f"G1 X{middle}",
        "G1 Y7",
    ]
    place.write_text("\n".join(lines), encoding="ascii")
    # The side's tail is trimmed to the same narrow mouth beside its outside face, so that nothing overlaps at home.
    side = packet / "programs" / "left-front.ngc"
    text = side.read_text(encoding="ascii")
    narrow = [f"G0 Z12\nG0 X{20.0 + sign * 9.2} Y12\nG1 Z-12.0 F1000\nG1 Y1.5\nG1 Y12" for sign in (-1, 1)]
    side.write_text(text.replace("G0 Z12\nM5\nM30", "\n".join([*narrow, "G0 Z12", "M5", "M30"])), encoding="ascii")
    report = check(packet, jobs=1)
    joint = report.drawers[0].joints[0]
    assert joint.blocked.width_mm > 0.5
    assert "joint-blocked" in codes(report)


def test_identical_boards_are_carved_once(tmp_path):
    small = Small()
    packet = small.write(tmp_path / "packet")
    content = json.loads((packet / "manifest.json").read_text(encoding="ascii"))
    second = json.loads(json.dumps(content["drawers"][0]))
    second["id"] = "more seeds"
    second["parts"] = {part: f"{name}-2" for part, name in second["parts"].items()}
    content["drawers"].append(second)
    content["boards"] += [{**board, "id": f"{board['id']}-2"} for board in content["boards"]]
    content["programs"] += [{**program, "board": f"{program['board']}-2"} for program in content["programs"]]
    (packet / "manifest.json").write_text(json.dumps(content), encoding="ascii")
    limits = json.loads((packet / "limits.json").read_text(encoding="ascii"))
    limits["joints"].append({**limits["joints"][0], "drawer": "more seeds"})
    (packet / "limits.json").write_text(json.dumps(limits), encoding="ascii")
    job = small.job()
    (packet / "job.toml").write_text(job + job[job.index("[[drawers]]") :].replace("Seeds", "More seeds"), encoding="ascii")
    stages = {}
    report = check(packet, jobs=1, watch=lambda what, _done, of: stages.update({what: of}))
    assert report.ok
    assert len(report.boards) == 10
    looked = {"looking at ends": 8, "looking at roughing": 8}
    assert stages == {"running programs": 12, **looked, "carving boards": 5, "joining drawers": 2}


def test_one_process_and_several_say_the_same(tmp_path):
    packet = Small(deeper={"left-front": 0.3}).write(tmp_path / "packet")
    assert json_of(check(packet, jobs=1)) == json_of(check(packet, jobs=2))


def test_report_as_json_is_plain_and_the_same_every_time(good, tmp_path):
    again = check(Small().write(tmp_path / "packet"), jobs=2)  # in processes of their own, where nothing is kept
    assert json_of(again) == json_of(good)
    content = json.loads(json_of(good))
    assert content["ok"] is True
    assert content["drawers"][0]["joints"][0]["measured"]["flank"]["mean_mm"] == 0.08
    assert "-0.0," not in json_of(good)
    assert str(tmp_path) not in json_of(again)


def test_finding_tells_where_it_is_in_the_drawer(tmp_path):
    report = report_of(Small(deeper={"right-front": 0.3}), tmp_path)
    finding = next(finding for finding in report.findings if finding.code == "shoulder-gap")
    figures = dict(finding.figures)
    assert finding.file == "programs/right-front.ngc"
    assert figures["x_mm"] > 90.0
    assert figures["y_mm"] == pytest.approx(16.3, abs=0.05)
    assert finding.where == 'front right joint of drawer "Seeds"'
    assert finding.about == (("seeds", "front right joint"),)
