"""A groove cut in several settings comes out as one: they overlap, they meet without a step, and one distance piece sets their stops."""

from __future__ import annotations

import pytest

from camtools.verify.checking import check
from tests.sabotage.packets import Packet
from tests.verify.small_packet import Small

REST = "programs/left-groove-2.ngc"
SLID_MM = 40.0


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
