"""Findings speak of drawers and boards as the maker does, and of ids where there is no job file to name them."""

from __future__ import annotations

import pytest

from camtools.verify.checking import check
from tests.sabotage.packets import Packet
from tests.verify.small_packet import Small

FRONT = "programs/left-front.ngc"


@pytest.fixture
def packet(tmp_path):
    return Packet(Small().write(tmp_path / "good"), tmp_path / "packet")


def found(packet, code):
    return next(finding for finding in check(packet.folder, jobs=1).findings if finding.code == code)


def test_what_a_program_does_is_told_of_its_board_and_joint(packet):
    packet.change(FRONT, "M3", "M4")
    finding = found(packet, "spindle-reversed")
    assert finding.where == 'left side of drawer "Seeds"'
    assert finding.about == (("seeds", "front left joint"),)


def test_what_the_manifest_says_of_a_board_is_told_of_its_drawer(packet):
    packet.edit_json(lambda content: content["programs"].pop(0))
    assert found(packet, "program-missing").where == 'left side of drawer "Seeds"'


def test_boards_and_cutters_that_the_manifest_holds_twice_are_named_and_so_are_boards_of_no_drawer(packet):
    def edit(content):
        content["boards"] += [content["boards"][0], {**content["boards"][0], "id": "left over", "size": [1.0, 1.0, 0.1]}]
        content["tools"].append(content["tools"][0])

    packet.edit_json(edit)
    told = {(finding.code, finding.where) for finding in check(packet.folder, jobs=1).findings}
    assert {("name-twice", 'front of drawer "Seeds"'), ("name-twice", "cutter 1"), ("board-size", "board 'left over'")} <= told


def test_what_another_file_says_of_a_program_is_told_by_its_name(packet):
    packet.edit_json(lambda content: content["programs"][0].update(tools=[1, 9]))
    finding = found(packet, "name-unknown")
    assert (finding.file, finding.where) == ("manifest.json", FRONT)
    assert finding.about == (("seeds", "front left joint"),)


def test_text_that_quotes_the_name_of_another_board_does_not_mislead(packet):
    """A part is another part's board: what is told concerns the drawer, though the board is the one that is quoted."""
    packet.edit_json(lambda content: content["drawers"][0]["parts"].update(front="left"))
    finding = found(packet, "part-in-wrong-place")
    assert "'left'" in finding.text
    assert finding.where == 'drawer "Seeds"'
    assert finding.about == (("seeds", ""),)


def test_name_that_leads_out_is_told_without_a_manifest_too(packet):
    (packet.folder / "job.toml").unlink()
    (packet.folder / "job.toml").symlink_to(packet.folder / "limits.json")
    assert found(packet, "path-outside").where == "job.toml"
    (packet.folder / "manifest.json").unlink()
    assert found(packet, "path-outside").where == "job.toml"


def test_program_that_several_drawers_share_is_told_of_one_and_counts_the_others(packet):
    packet.edit_json(lambda content: content["drawers"].append({**content["drawers"][0], "id": "more"}))
    packet.edit_json(lambda content: content["programs"].append({**content["programs"][0], "board": "right"}))
    packet.change(FRONT, "M3", "M4")
    (group,) = (group for group in check(packet.folder, jobs=1).groups if group.root.code == "spindle-reversed")
    assert next(group.words()).startswith('left side of drawer "Seeds" and 1 drawer more: ')
    joints = ("front left joint", "front right joint")
    assert set(group.root.about) == {(drawer, joint) for drawer in ("seeds", "more") for joint in joints}


def test_drawer_has_its_id_where_no_job_file_names_it(packet):
    (packet.folder / "job.toml").unlink()
    packet.change(FRONT, "M3", "M4")
    assert found(packet, "spindle-reversed").where == "left side of drawer 'seeds'"


def test_name_that_can_not_be_printed_is_told_in_ascii(packet):
    packet.change("job.toml", '"Seeds"', r'"Se\\u0007eds"')
    packet.change(FRONT, "M3", "M4")
    assert found(packet, "spindle-reversed").where == r"left side of drawer 'Se\x07eds'"
