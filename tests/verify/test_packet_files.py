"""Reading a packet: only files in it, and a finding for whatever is wrong with one."""

from __future__ import annotations

import json
import os

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from camtools.verify.checking import check
from camtools.verify.packet_files import read_packet
from tests.verify.small_packet import Small


@pytest.fixture
def packet(tmp_path):
    return Small().write(tmp_path / "packet")


def renamed(packet, name):
    """Let the first program's entry name another file."""
    content = json.loads((packet / "manifest.json").read_text(encoding="ascii"))
    content["programs"][0]["file"] = name
    (packet / "manifest.json").write_text(json.dumps(content), encoding="ascii")


def found(packet):
    return [(finding.code, finding.file) for finding in read_packet(packet).findings]


def test_sound_packet_is_read_without_a_finding(packet):
    files = read_packet(packet)
    assert files.findings == ()
    assert files.manifest is not None
    assert files.limits is not None
    assert len(files.programs) == 12


@pytest.mark.parametrize(
    "name",
    [
        "/etc/passwd",
        "../secret.ngc",
        "programs/../../secret.ngc",
        "..",
        ".",
        "",
        "C:\\secret.ngc",
        "programs\\..\\x.ngc",
        "c:x",
        "a\nb",
        "a\0b",
        "x" * 5000,
    ],
)
def test_name_that_leaves_the_packet_is_refused_unopened(name, packet, monkeypatch):
    renamed(packet, name)
    (packet.parent / "secret.ngc").write_text("G0 X0", encoding="ascii")
    asked = []
    monkeypatch.setattr("camtools.verify.packet_files.read_program", lambda place, *_: asked.append(place) or ("", ()))
    assert ("path-outside", "manifest.json") in found(packet)
    assert len(asked) == 11
    assert all(place.is_relative_to(packet) and ".." not in place.parts for place in asked)


@pytest.mark.parametrize("part", ["programs", "programs/left-front.ngc", "manifest.json"])
def test_link_is_refused_wherever_it_stands(part, packet):
    moved = packet.parent / "elsewhere"
    (packet / part).rename(moved)
    (packet / part).symlink_to(moved)
    assert "path-outside" in {code for code, _ in found(packet)}


@pytest.mark.parametrize("name", ["manifest.json", "limits.json"])
@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"null",
        b"[]",
        b"\xff\xfe\x00",
        b'{"manifest": 1}',
        b"[" * 100_000,
        b'{"a": NaN}',
        b"\x00" * 50,
        '{"é": 1}'.encode("utf-16"),
    ],
)
def test_description_that_is_none_is_a_finding(name, content, packet):
    (packet / name).write_bytes(content)
    assert (f"{name.removesuffix('.json')}-invalid", name) in found(packet)
    assert check(packet, jobs=1).exit_code == 2


def test_description_that_is_a_folder_or_missing_is_a_finding(packet):
    (packet / "limits.json").unlink()
    assert ("limits-invalid", "limits.json") in found(packet)
    (packet / "limits.json").mkdir()
    assert ("limits-invalid", "limits.json") in found(packet)


def test_many_faults_of_a_description_are_kept_short(packet):
    content = json.loads((packet / "manifest.json").read_text(encoding="ascii"))
    content["boards"] = [{"id": number} for number in range(500)]
    (packet / "manifest.json").write_text(json.dumps(content), encoding="ascii")
    findings = read_packet(packet).findings
    assert len(findings) == 21
    assert findings[-1].text.endswith(" more like this")


def test_folder_that_is_none_is_a_finding(tmp_path):
    assert found(tmp_path / "nothing") == [("packet-missing", "")]
    (tmp_path / "file").write_text("x", encoding="ascii")
    assert found(tmp_path / "file") == [("packet-missing", "")]
    assert check(tmp_path / "nothing").exit_code == 2


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_named_pipe_does_not_hang(packet):
    (packet / "programs" / "left-front.ngc").unlink()
    os.mkfifo(packet / "programs" / "left-front.ngc")
    assert ("file-unreadable", "programs/left-front.ngc") in found(packet)


VALUES = st.one_of(
    st.none(), st.booleans(), st.integers(-(10**20), 10**20), st.floats(allow_nan=False), st.text(max_size=8),
    st.lists(st.floats(-10, 400), max_size=4), st.dictionaries(st.text(max_size=3), st.integers(), max_size=2),
    st.sampled_from([0, 1, -1, 1e-9, 1e9, "left", "right", "front", "bottom", "upright", "G55", [], {}, [[1, 0, 0, 0]] * 3]),
)  # fmt: skip


def places_of(value, at=()):
    """Every place in a JSON value."""
    yield at
    if isinstance(value, dict):
        for key, item in value.items():
            yield from places_of(item, (*at, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from places_of(item, (*at, index))


SMALL = Small()
MANIFEST, LIMITS = json.loads(json.dumps(SMALL.manifest())), json.loads(json.dumps(SMALL.limits()))
PLACES = {
    "manifest.json": [place for place in places_of(MANIFEST) if place],
    "limits.json": [place for place in places_of(LIMITS) if place],
}


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(data=st.data())
def test_any_value_anywhere_in_a_description_gives_a_report(data, tmp_path_factory):
    """Whatever a hand does to the two descriptions, the check ends with a verdict and raises nothing."""
    packet = SMALL.write(tmp_path_factory.mktemp("mutated") / "packet")
    name = data.draw(st.sampled_from(["manifest.json", "limits.json"]))
    content = json.loads(json.dumps(MANIFEST if name == "manifest.json" else LIMITS))
    place = data.draw(st.sampled_from(PLACES[name]))
    holder = content
    for key in place[:-1]:
        holder = holder[key]
    if data.draw(st.booleans()):
        holder[place[-1]] = data.draw(VALUES)
    else:
        del holder[place[-1]]
    (packet / name).write_text(json.dumps(content), encoding="utf-8")
    report = check(packet, jobs=1)
    assert report.exit_code in (0, 1, 2)
    assert all(finding.text for finding in report.findings)
