"""What is cut in several settings comes out as one: those of a groove meet without a step, those of an end part in whole wood."""

from __future__ import annotations

import pytest

from camtools.verify.checking import check
from tests.sabotage.packets import Packet
from tests.verify.small_packet import Small

FAR_GAP = "programs/left-front-2.ngc"
REST = "programs/left-groove-2.ngc"
SLID_MM, PARTED_MM = 40.0, 12.0


def codes(packet):
    return {finding.code for finding in check(packet, jobs=1).errors}


@pytest.fixture(scope="module")
def good(tmp_path_factory):
    return Small(slid=SLID_MM).write(tmp_path_factory.mktemp("good") / "packet")


def edited(good, tmp_path, edit, file="manifest.json"):
    packet = Packet(good, tmp_path / "edited")
    packet.edit_json(lambda content: edit(next(entry for entry in content["programs"] if entry["file"] == REST)), file)
    return codes(packet.folder)


def test_groove_cut_in_two_settings_carves_as_one_cut_in_one(tmp_path):
    whole = check(Small().write(tmp_path / "whole"), jobs=1)
    slid = check(Small(slid=SLID_MM).write(tmp_path / "slid"), jobs=1)
    assert whole.findings == slid.findings == ()
    removed = [next(board for board in report.boards if board.id == "left").removed_mm3 for report in (whole, slid)]
    assert removed[0] == pytest.approx(removed[1], abs=0.01)


@pytest.mark.parametrize(("overlap", "sound"), [(5.1, True), (4.9, False)])
def test_settings_overlap_by_five_mm(overlap, sound, tmp_path):
    found = codes(Small(slid=SLID_MM, overlap=overlap).write(tmp_path / "packet"))
    assert ("setting-overlap" in found) is not sound


@pytest.mark.parametrize(("way", "off", "sound"), [("wider", 0.008, True), ("wider", 0.012, False), ("deeper", 0.012, False)])
def test_settings_leave_no_step_of_a_hundredth(way, off, sound, tmp_path):
    found = codes(Small(slid=SLID_MM, **{way: {"left-groove-2": off}}).write(tmp_path / "packet"))
    assert ("setting-step" in found) is not sound


def test_board_that_stands_elsewhere_than_its_limits_say_is_at_no_stop(good, tmp_path):
    assert "setup-wrong" in edited(good, tmp_path, lambda entry: entry.update(slid=39.0), "limits.json")


def test_settings_share_stop_and_zero(good, tmp_path):
    assert "setting-wrong" in edited(good, tmp_path, lambda entry: entry.update(work_offset="G57"))


def test_stop_is_set_from_the_setting_before(good, tmp_path):
    packet = Packet(good, tmp_path / "edited")
    for file in ("manifest.json", "limits.json"):
        packet.edit_json(
            lambda content: content.update(programs=[e for e in content["programs"] if e["file"] != "programs/left-groove.ngc"]), file
        )
    assert codes(packet.folder) >= {"setting-wrong"}


def test_end_cut_in_two_settings_carves_as_one_cut_in_one(tmp_path):
    parted = Small(parted=PARTED_MM).write(tmp_path / "parted")
    whole = Small().write(tmp_path / "whole")
    reports = [check(folder, jobs=1) for folder in (whole, parted)]
    assert reports[0].findings == reports[1].findings == ()
    removed = [next(board for board in report.boards if board.id == "left").removed_mm3 for report in reports]
    assert removed[0] == pytest.approx(removed[1], abs=0.01)


def over_the_tail(packet, folder, left_mm):
    """Let the far gap's cutter come over the tail until so much of it is left beside the near gap, whose wall the cutter's rim makes."""
    edited, small = Packet(packet, folder), Small()
    narrow = small.radius - (small.front - small.lap) * small.slope
    near_wall = small.middle - small.tail / 2 - narrow + small.radius
    x = near_wall + left_mm + small.radius - PARTED_MM
    edited.insert(FAR_GAP, edited.find(FAR_GAP, "^G0 Z12", -1), f"G1 X{x:.4f}", "G1 Y0.0", f"G1 Y{-(small.side + small.radius + 2)}")
    return edited.folder


@pytest.mark.parametrize(("left_mm", "sound"), [(1.02, True), (0.98, False)])
def test_a_millimetre_of_whole_wood_parts_the_settings_of_an_end(left_mm, sound, tmp_path):
    packet = Small(parted=PARTED_MM).write(tmp_path / "packet")
    assert ("setting-wall" in codes(over_the_tail(packet, tmp_path / "edited", left_mm))) is not sound


@pytest.mark.parametrize("spoil", [{"work_offset": "G55"}, {"stop": "right"}])
def test_settings_of_an_end_have_one_stop_and_one_zero(spoil, tmp_path):
    packet = Packet(Small(parted=PARTED_MM).write(tmp_path / "packet"), tmp_path / "edited")
    packet.edit_json(lambda content: packet.entries(content, FAR_GAP)[0].update(spoil))
    assert codes(packet.folder) & {"setting-wrong", "setup-wrong"}


def test_pieces_of_two_kinds_of_setup_may_differ_under_one_work_offset(tmp_path):
    packet = Packet(Small(parted=PARTED_MM, slid=SLID_MM + 10.0).write(tmp_path / "packet"), tmp_path / "edited")

    def share(content):
        for entry in content["programs"]:
            entry["work_offset"] = "G54"

    packet.edit_json(share)
    assert "setting-wrong" not in codes(packet.folder)
