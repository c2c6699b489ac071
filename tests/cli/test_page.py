"""`camtools page`: the page is made anew, the packet stays a packet, nothing half-written replaces anything."""

from __future__ import annotations

import hashlib
import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from camtools.cli import group
from camtools.output.folder import write_packet
from camtools.verify.checking import check


def run(*arguments: object) -> Result:
    return CliRunner().invoke(group, list(map(str, arguments)), catch_exceptions=False)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    job = Path(__file__).parent.parent.parent / "samples" / "first-drawer.toml"
    folder = tmp_path_factory.mktemp("made") / "packet"
    assert run("packet", job, "-o", folder, "--no-pictures").exit_code == 0
    return folder


@pytest.fixture
def packet(made: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(made, tmp_path / "packet"))


def contents_hold(folder: Path) -> bool:
    lines = [line.split("  ") for line in (folder / "contents.sha256").read_text().splitlines()]
    return all(hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest for digest, name in lines)


def names_in(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def test_a_packet_has_its_page_from_the_start(made: Path) -> None:
    assert (made / "index.html").read_bytes().startswith(b"<!doctype html>")
    assert contents_hold(made)
    assert (made / "plan.json").is_file()


def test_the_same_page_comes_again_and_the_packet_stays_one(packet: Path, made: Path) -> None:
    (packet / "index.html").write_text("an older page")
    done = run("page", packet, "--json")
    assert done.exit_code == 0, done.output
    assert json.loads(done.stdout) == {"page": str(packet / "index.html"), "pdf": None, "ok": True, "errors": 0}
    assert (packet / "index.html").read_bytes() == (made / "index.html").read_bytes()
    assert (packet / "check.json").read_bytes() == (made / "check.json").read_bytes()
    assert contents_hold(packet)
    assert check(packet, jobs=1).ok
    assert names_in(packet) == names_in(made)


def test_a_packet_whose_page_was_renewed_may_give_way_to_a_new_one(packet: Path) -> None:
    (packet / "index.html").unlink()
    assert run("page", packet).exit_code == 0
    files = {name: (packet / name).read_bytes() for name in names_in(packet) - {"contents.sha256"}}
    write_packet(packet, files)
    assert names_in(packet) == {*files, "contents.sha256"}


def test_a_pdf_is_written_where_it_is_asked_for_and_replaces_only_a_pdf(packet: Path, tmp_path: Path) -> None:
    pdf = tmp_path / "bench.pdf"
    assert run("page", packet, "--pdf", pdf).exit_code == 0
    first = pdf.read_bytes()
    assert first.startswith(b"%PDF-")
    assert run("page", packet, "--pdf", pdf).exit_code == 0
    assert pdf.read_bytes() == first
    pdf.write_text("notes of mine")
    done = run("page", packet, "--pdf", pdf)
    assert done.exit_code == 4
    assert "is no PDF" in " ".join(done.output.split())
    assert pdf.read_text() == "notes of mine"
    assert run("page", packet, "--pdf", tmp_path / "none" / "bench.pdf").exit_code == 4
    assert {path.name for path in tmp_path.iterdir()} == {"packet", "bench.pdf"}


def test_a_program_spoiled_by_hand_makes_a_page_that_forbids_the_cut(packet: Path) -> None:
    program = next((packet / "programs").glob("*left-side-*front-end.ngc"))
    program.write_text(program.read_text().replace("M3", "M4"))
    done = run("page", packet, "--json")
    assert done.exit_code == 1
    assert json.loads(done.stdout)["ok"] is False
    page = (packet / "index.html").read_text("utf-8")
    assert "Do not cut: the check found" in page
    assert "every groove meets" not in page
    assert json.loads((packet / "check.json").read_text())["ok"] is False


@pytest.mark.parametrize("spoil", ["manifest.json", "limits.json", "plan.json"])
def test_a_packet_that_can_not_be_read_keeps_the_page_it_has(packet: Path, spoil: str) -> None:
    (packet / spoil).write_text("{")
    before = {name: (packet / name).read_bytes() for name in ("index.html", "check.json", "contents.sha256")}
    done = run("page", packet)
    assert done.exit_code == 4
    assert spoil in done.output
    assert before == {name: (packet / name).read_bytes() for name in before}


def test_what_is_no_packet_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "photo.jpg").write_text("mine")
    assert run("page", tmp_path).exit_code == 4
    assert run("page", tmp_path / "nowhere").exit_code == 4
    assert [path.name for path in tmp_path.iterdir()] == ["photo.jpg"]


def test_a_link_in_the_pages_place_is_replaced_and_not_followed(packet: Path, tmp_path: Path) -> None:
    target = tmp_path / "precious.html"
    target.write_text("mine")
    (packet / "index.html").unlink()
    (packet / "index.html").symlink_to(target)
    assert run("page", packet).exit_code == 0
    assert target.read_text() == "mine"
    assert not (packet / "index.html").is_symlink()


def test_a_folder_in_the_pages_place_is_told_of_and_nothing_is_left_behind(packet: Path) -> None:
    (packet / "index.html").unlink()
    (packet / "index.html").mkdir()
    done = run("page", packet)
    assert done.exit_code == 4
    assert "could not be written" in " ".join(done.output.split())
    assert not list(packet.glob(".index.html*"))
