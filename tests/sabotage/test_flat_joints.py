"""Joints that are cut with every board flat: a good packet passes, and each way to spoil what is peculiar to them is caught."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from camtools.verify.checking import check
from tests.sabotage.packets import FLAT_JOB, JOB, Packet, good_packet

BACK, FRONT, FRONT_TOO, SIDE = "back-1-left-end", "front-1-right-end", "front-1-left-end", "right-side-1-front-end"
FIVE = '\n  { kind = "straight", diameter = 5, cutting_length = 15 },\n]\n[machine]'


@pytest.fixture(scope="module")
def good(tmp_path_factory):
    return good_packet(tmp_path_factory.mktemp("flat"), FLAT_JOB)


def file(packet: Packet, stem: str) -> str:
    """Return the program of a name, wherever it comes in the order of work."""
    (path,) = (packet.folder / "programs").glob(f"*-{stem}.ngc")
    return f"programs/{path.name}"


def corner(packet: Packet) -> list[int]:
    """Return the lines that lead into the reliefs of the tails' corners."""
    return [number for number, line in enumerate(packet.lines(file(packet, SIDE)), 1) if re.match(r"G1 X\S+ Y-12\.5", line)]


def ends(packet: Packet, name: str) -> tuple[int, int]:
    """Return the lines of a socket program that run on beyond both walls, which come after the deepest Y."""
    deepest = min(float(y) for y in re.findall(r"Y(-[\d.]+)", "\n".join(packet.lines(name))))
    first = packet.find(name, f"Y{deepest:g}", -1) + 1
    return first, first + 1


def further_into_pins(packet: Packet) -> None:
    """Both reliefs of the front's socket 2.5 mm further."""
    for name in (file(packet, stem) for stem in (FRONT, FRONT_TOO)):
        first, second = ends(packet, name)
        packet.map_words(name, "X", lambda x: x + 2.5, lines=[first])
        packet.map_words(name, "X", lambda x: x - 2.5, lines=[second])


def _square_corners(packet: Packet) -> None:
    for number in reversed(corner(packet)):
        packet.drop(file(packet, SIDE), number)


def _deeper_corners(packet: Packet) -> None:
    packet.map_words(file(packet, SIDE), "Y", lambda y: y - 0.3, lines=corner(packet))


def _round_sockets(packet: Packet) -> None:
    first, _ = ends(packet, file(packet, FRONT))
    packet.drop(file(packet, FRONT), first)
    packet.drop(file(packet, FRONT), first)


def _not_through(packet: Packet) -> None:
    packet.map_words(file(packet, BACK), "Z", lambda z: z + 1.0 if z < 0 else z)


def _too_deep(packet: Packet) -> None:
    packet.map_words(file(packet, SIDE), "Z", lambda z: z - 0.3 if z < -10 else z)


def _hold_upright(packet: Packet) -> None:
    packet.change("job.toml", r'holds = \["flat"\]', 'holds = ["upright", "flat"]')


def _unscored(packet: Packet) -> None:
    """The ways along the end go beside it, half a millimetre off."""
    packet.map_words(file(packet, SIDE), "Y", lambda y: y + 1.0 if y == 1.0 else y)


def _into_the_stop(packet: Packet) -> None:
    def larger(content):
        zones = next(entry for entry in content["programs"] if entry["file"] == file(packet, SIDE))["zones"]
        next(zone for zone in zones if zone["name"] == "stop")["high"][1] = 0.0

    packet.edit_json(larger, "limits.json")


SPOILED: dict[str, tuple[Callable[[Packet], None], str, str]] = {
    "corners of the tails are not relieved": (_square_corners, "joint-overlap", SIDE),
    "reliefs of the tails are let in too deep": (_deeper_corners, "gap-shows", SIDE),
    "ends of a socket are not relieved": (_round_sockets, "joint-overlap", FRONT),
    "reliefs of a socket cut into the pins": (further_into_pins, "pin-weak", FRONT),
    "back is not cut through": (_not_through, "joint-overlap", BACK),
    "cutter goes deep into the sheet": (_too_deep, "spoilboard-too-deep", SIDE),
    "machine can hold boards upright": (_hold_upright, "job-differs", "manifest.json"),
    "light pass misses the end": (_unscored, "entry-not-scored", SIDE),
    "stop stands where the cutter comes by": (_into_the_stop, "zone-entered", SIDE),
}  # fmt: skip


def test_a_good_packet_of_flat_joints_passes_without_a_finding(good):
    report = check(good, jobs=1)
    assert report.findings == ()
    stated = {gap.face: gap.widest_mm for joint in report.drawers[0].joints for gap in joint.gaps if gap.stated}
    assert stated.keys() == {"reliefs, side face", "reliefs, back face", "reliefs, inside"}
    # A circle through a corner of 81 degrees, on its bisector: 1.5 (1 - sin(40.5 degrees)) let into both sides, and the clearance.
    assert 0.5258 <= stated["reliefs, side face"] <= 0.5258 + 0.07 + 0.02


@pytest.mark.parametrize("name", SPOILED)
def test_a_spoiled_flat_joint_is_caught(name, good, tmp_path):
    spoil, code, where = SPOILED[name]
    packet = Packet(good, tmp_path / "packet")
    spoil(packet)
    found = {(finding.code, finding.file) for finding in check(packet.folder, jobs=1).findings}
    assert (code, where if where.endswith(".json") else file(packet, where)) in found, found


def test_boards_are_cut_flat_only_where_none_can_stand_upright():
    assert "upright" in JOB
    assert "upright" not in FLAT_JOB


def test_wide_reliefs_near_thin_boards_and_deep_light_passes_pass_too(tmp_path):
    """Reliefs reach beyond front and back where both are thin, and a light pass along an edge may not come before that along the end."""
    text = FLAT_JOB.replace("front = 18", "front = 13").replace("back = 10", "back = 13").replace("light_pass = 0.5", "light_pass = 1.0")
    text = text.replace("[joints]", "[joints]\nstraight = 3").replace("\n]\n[machine]", FIVE)
    assert check(good_packet(tmp_path, text), jobs=1).findings == ()
