"""What was edited since a packet was written is named, and what was drawn from it; none of it fails a packet that is still right."""

from __future__ import annotations

from pathlib import PurePosixPath

import pytest

from camtools.output.folder import renew
from camtools.verify.checking import check
from camtools.verify.contents import compared_contents
from tests.sabotage.packets import good_packet
from tests.sabotage.ways import LEFT_FRONT, LEFT_REAR
from tests.verify.small_packet import Small

PROGRAM = LEFT_FRONT
STEM = PurePosixPath(LEFT_FRONT).stem
NUMBER, _, WORDS = STEM.partition("-")
DRAWN = (f"drawings/{STEM}.png", f"programs/dry/{NUMBER}-dry-{WORDS}.ngc", f"programs/dry/{NUMBER}-outline-{WORDS}.ngc")


@pytest.fixture
def packet(tmp_path):
    """Return a packet with its dry runs, a page and a picture of one program and of its setup."""
    folder = good_packet(tmp_path)
    (folder / "drawings").mkdir()
    drawings = dict.fromkeys((DRAWN[0], f"drawings/{STEM}-setup.png", f"drawings/{PurePosixPath(LEFT_REAR).stem}.png"), b"drawn")
    renew(folder, {**drawings, "index.html": b"page", "check.json": b"{}"})
    return folder


def edit(packet, name):
    (packet / name).write_bytes((packet / name).read_bytes() + b"\n")


def found(packet):
    return [(finding.code, finding.file) for finding in compared_contents(packet)[0]]


def test_packet_as_it_was_written_is_told_nothing_of(packet):
    assert found(packet) == []


def test_edited_program_is_named_with_what_still_shows_it_as_it_was(packet):
    edit(packet, PROGRAM)
    notes = compared_contents(packet)[0]
    assert [(note.code, note.file) for note in notes] == [
        ("file-edited", PROGRAM),
        ("drawing-stale", PROGRAM),
        ("page-stale", "index.html"),
    ]
    assert notes[1].text.startswith(", ".join(DRAWN))
    assert PROGRAM in notes[2].text
    assert {note.severity for note in notes} == {"note"}


def test_program_edited_by_hand_that_is_still_right_passes(tmp_path):
    packet = Small().write(tmp_path / "packet")
    edit(packet, "programs/left-front.ngc")
    report = check(packet, jobs=1)
    assert [(finding.code, finding.file) for finding in report.findings] == [("file-edited", "programs/left-front.ngc")]
    assert report.exit_code == 0


def test_page_made_anew_shows_the_edit_until_the_next_one(packet):
    edit(packet, PROGRAM)
    renew(packet, {"index.html": b"new page"})
    assert found(packet) == [("file-edited", PROGRAM), ("drawing-stale", PROGRAM)]
    edit(packet, PROGRAM)
    assert ("page-stale", "index.html") in found(packet)


@pytest.mark.parametrize("name", ["manifest.json", "limits.json", "job.toml", "plan.json"])
def test_page_is_older_than_an_edited_description_too(name, packet):
    edit(packet, name)
    assert found(packet) == [("file-edited", name), ("page-stale", "index.html")]


def test_files_that_are_gone_or_new_are_named_but_not_what_file_managers_leave(packet):
    (packet / PROGRAM).unlink()
    (packet / "programs/notes.txt").write_text("mine")
    (packet / ".DS_Store").write_text("")
    assert found(packet) == [("file-missing", PROGRAM), ("file-unlisted", "programs/notes.txt")]


def test_packet_without_a_list_of_contents_is_told_so(packet):
    (packet / "contents.sha256").unlink()
    assert found(packet) == [("contents-missing", "contents.sha256")]


def test_many_files_are_counted(packet):
    for number in range(30):
        (packet / f"{number}.txt").write_text("mine")
    notes = compared_contents(packet)[0]
    assert len(notes) == 21
    assert notes[-1].text == "and 10 files more like this"


def test_links_and_names_that_lead_out_are_not_followed(packet, tmp_path):
    (tmp_path / "secret").write_text("mine")
    (packet / "link").symlink_to(tmp_path / "secret")
    with (packet / "contents.sha256").open("a") as file:
        file.write(f"{'0' * 64}  ../secret\n")
    assert found(packet) == [("file-missing", "../secret")]
