"""What the manifest must agree with in itself, in the limits and in the frames of docs/joinery.md sections 2 and 3."""

from __future__ import annotations

import json

import pytest

from camtools.output.manifest import Limits, Manifest
from camtools.verify.lookups import end_worked, looked_up, mirrored, rigid
from tests.verify.small_packet import Small

SMALL = Small()


def packet_of(edit=lambda manifest, limits: None):
    manifest, limits = json.loads(json.dumps(SMALL.manifest())), json.loads(json.dumps(SMALL.limits()))
    edit(manifest, limits)
    return looked_up(Manifest.model_validate_json(json.dumps(manifest)), Limits.model_validate_json(json.dumps(limits)))


def codes(packet):
    return {finding.code for finding in packet.findings}


def test_sound_manifest_has_all_its_drawers_and_no_finding():
    packet = packet_of()
    assert packet.findings == ()
    assert packet.judged
    assert len(packet.drawers) == 1
    assert {end_worked(program) for program in packet.cuts["left"]} == {"u=0", "u=L", "groove"}


DISAGREEMENTS = [
    (lambda m, _: m["boards"].append(m["boards"][0]), "name-twice", False),
    (lambda m, _: m["tools"].append(m["tools"][0]), "name-twice", False),
    (lambda m, _: m["drawers"].append(m["drawers"][0]), "name-twice", False),
    (lambda m, _: m["drawers"][0]["parts"].update(front="oak"), "name-unknown", False),
    (lambda m, _: m["drawers"][0]["parts"].update(front="bottom"), "part-in-wrong-place", False),
    (lambda m, _: m["programs"][0].update(board="oak"), "name-unknown", False),
    (lambda m, _: m["programs"][0].update(tools=[1, 9]), "name-unknown", False),
    (lambda _, limits: limits["joints"][0].update(drawer="other"), "name-unknown", False),
    (lambda m, _: m["boards"][0].update(size=[100.0, 40.0, 0.2]), "board-size", False),
    (lambda m, _: m["boards"][0].update(size=[9e9, 40.0, 10.0]), "board-size", False),
    (lambda m, _: m["boards"][0].update(to_drawer=[[1, 0, 0, 0], [0, 0.7, 0.7, 0], [0, 0.7, -0.7, 0]]), "frame", False),
    (lambda m, _: m["boards"][3]["to_drawer"][1].__setitem__(3, 2.0**34), "frame", False),
    (lambda m, _: m["programs"][0].update(to_machine=[[0, 0, 0, 0]] * 3), "frame", False),
    (lambda m, _: m["boards"][4].update(outline=[[0, 0], [10, 10], [0, 10], [10, 0]]), "outline", False),
    (lambda m, _: m["boards"][4].update(outline=[[0, 0], [10, 10]]), "outline", False),
    (lambda m, _: m["boards"][4].update(outline=[[0, 0], [500, 0], [0, 50]]), "outline", False),
    (lambda m, _: m["tools"][0].update(half_angle=45.0), "tool-shape", False),
    (lambda m, _: m["tools"][1].update(half_angle=3.0), "tool-shape", True),
    (lambda m, _: m["programs"].pop(0), "program-missing", True),
    (lambda m, _: m["programs"].pop(2), "program-missing", True),
    (lambda m, _: m["programs"][0].update(stop="right"), "setup-wrong", True),
    (lambda m, _: m["programs"][0]["to_machine"][0].__setitem__(3, 0.5), "setup-wrong", True),
    (lambda m, _: m["programs"][0]["to_machine"][1].__setitem__(3, 0.5), "setup-wrong", True),
    (lambda m, _: m["programs"][0]["to_machine"][2].__setitem__(3, 0.5), "setup-wrong", True),
    (lambda m, _: m["programs"][8]["to_machine"][1].__setitem__(3, 0.5), "setup-wrong", True),
    (lambda m, _: m["programs"][0]["to_machine"].__setitem__(0, [0, -1, 0, 40.0]), "setup-wrong", True),
    (lambda m, _: m["programs"][8]["to_machine"].__setitem__(1, [0, -1, 0, 40.0]), "setup-wrong", True),
    (lambda m, _: m["programs"][4]["to_machine"].__setitem__(2, [0, 0, -1, 0]), "setup-wrong", True),
    (lambda m, _: m["programs"][0]["to_machine"].__setitem__(0, [0, -1, 0, 40.0]), "setup-mirrored", True),
    (lambda m, _: m["boards"][2]["to_drawer"].__setitem__(2, [0, -1, 0, 40.0]), "board-placed-wrong", True),
]


@pytest.mark.parametrize(("edit", "code", "judged"), DISAGREEMENTS)
def test_what_does_not_agree_is_found(edit, code, judged):
    packet = packet_of(edit)
    assert code in codes(packet)
    assert packet.judged is judged


def test_rigid_maps_are_turns_and_mirrors_by_right_angles():
    assert rigid(((0.0, 1.0, 0.0, 5.0), (0.0, 0.0, -1.0, 0.0), (-1.0, 0.0, 0.0, 0.0)))
    assert not rigid(((1.0, 0.0, 0.0, 0.0), (1.0, 0.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0)))
    assert not rigid(((2.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0)))
    assert not rigid(((1.0, 1.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0)))


@pytest.mark.parametrize("program", SMALL.manifest()["programs"], ids=lambda program: program["file"])
def test_every_setup_of_the_table_keeps_left_and_right(program):
    """Both maps of the table in docs/joinery.md section 3 have determinants of one sign; swapping one axis mirrors."""
    board = next(board for board in SMALL.manifest()["boards"] if board["id"] == program["board"])
    assert not mirrored(program["to_machine"], board["to_drawer"])
    flipped = [[-value for value in program["to_machine"][0]], *program["to_machine"][1:]]
    assert mirrored(flipped, board["to_drawer"])
