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


def test_program_of_several_boards_counts_them(packet):
    packet.edit_json(lambda content: content["drawers"].append({**content["drawers"][0], "id": "more"}))
    packet.edit_json(lambda content: content["programs"].append({**content["programs"][0], "board": "right"}))
    packet.change(FRONT, "M3", "M4")
    assert found(packet, "spindle-reversed").where == 'left side of drawer "Seeds" and 1 more'


def test_drawer_has_its_id_where_no_job_file_names_it(packet):
    (packet.folder / "job.toml").unlink()
    packet.change(FRONT, "M3", "M4")
    assert found(packet, "spindle-reversed").where == "left side of drawer 'seeds'"


def test_name_that_can_not_be_printed_is_told_in_ascii(packet):
    packet.change("job.toml", '"Seeds"', r'"Se\\u0007eds"')
    packet.change(FRONT, "M3", "M4")
    assert found(packet, "spindle-reversed").where == r"left side of drawer 'Se\x07eds'"
