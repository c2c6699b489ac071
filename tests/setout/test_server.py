"""Who may ask the server for what, and that what is refused changes nothing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from camtools.output.folder import write_packet
from camtools.setout.gate import Gate
from camtools.setout.packet_work import PacketMaker
from camtools.setout.server import app_of
from tests.setout.conftest import HOST, Window, opened, write

EVIL = "<script>alert(1)</script>"


@pytest.fixture
def untouched(window: Window, chest: Path) -> object:
    """Look afterwards whether anything was changed."""
    before = chest.read_bytes(), window.session.now.text
    yield
    assert (chest.read_bytes(), window.session.now.text) == before
    assert {path.name for path in chest.parent.rglob("*")} <= {"chest.toml", ".chest.toml.held"}


EDIT = {"edits": [write("joints.lap", "4")]}


def test_page_is_shown_to_who_knows_its_address(window: Window) -> None:
    page = window.get("")
    assert page.status_code == 200
    assert "Mosses" in page.text
    assert window.get("own/script.js").status_code == 200


def test_page_runs_no_script_but_its_own_and_stands_in_no_frame(window: Window) -> None:
    page = window.get("")
    policy = page.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert not re.search(r"<script(?![^>]*\bsrc=)|\son\w+=|<style|\sstyle=", page.text)


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("host", ["example.org", "localhost:50000", "127.0.0.1", "127.0.0.1:80", "127.0.0.1:50000.example.org", ""])
def test_request_to_another_host_is_refused(window: Window, host: str) -> None:
    assert window.get("", Host=host).status_code == 403
    assert window.post("edit", EDIT, Host=host).status_code == 403


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("origin", ["null", "http://example.org", "http://127.0.0.1:50001", f"https://{HOST}", f"http://{HOST}.org", ""])
def test_change_that_another_page_asks_for_is_refused(window: Window, origin: str) -> None:
    assert window.post("edit", EDIT, Origin=origin).status_code == 403


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_page_is_not_given_to_another_site(window: Window, site: str) -> None:
    assert window.get("", **{"Sec-Fetch-Site": site}).status_code == 403
    assert window.post("edit", EDIT, **{"Sec-Fetch-Site": site}).status_code == 403


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("path", ["/", "/x/", "/x/edit", "/a-token-that-nobody-know/", "/a-token-that-nobody-knowsx/", "//", "/%00/"])
def test_request_without_the_token_finds_nothing(window: Window, path: str) -> None:
    headers = {"Host": HOST, "Origin": f"http://{HOST}"}
    assert window.client.get(path, headers=headers).status_code == 404
    assert window.client.post(path, headers=headers, json=EDIT).status_code == 404


@pytest.mark.usefixtures("untouched")
def test_body_that_is_too_long_is_refused(window: Window) -> None:
    assert window.post("edit", b" " * 300_000).status_code == 413


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize(
    "body",
    [b"", b"{}", b"[]", b"\xff", b'{"revision": 1, "edits": []}', b'{"revision": 1, "edits": [{"do": "run", "key": "x"}]}', b"[" * 100_000],
)
def test_body_that_is_no_edit_is_refused(window: Window, body: bytes) -> None:
    assert window.post("edit", body).status_code in (400, 413)


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("name", ["../up", "..", "/etc/x", "sub/x", EVIL, "x\x00y", "."])
def test_job_is_not_saved_under_a_name_that_leads_elsewhere(window: Window, name: str) -> None:
    answer = window.post("save", {"name": name})
    assert answer.status_code == 422
    assert "is no name for a job file" in answer.json["message"]


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize(
    "name", ["../chest.toml", "%2e%2e/chest.toml", "x/../../chest.toml", "..%2fchest.toml", "..\\chest.toml", "page.js"]
)
def test_no_file_is_given_that_is_not_of_the_packet(window: Window, name: str) -> None:
    assert window.get(f"packet/{name}").status_code == 404
    assert window.get(f"own/{name}").status_code == 404


def test_files_of_a_packet_are_given_by_its_list_and_no_other(window: Window, chest: Path) -> None:
    folder = write_packet(chest.with_name("chest-packet"), {"manifest.json": b"{}", "index.html": b"<p>page</p>", "programs/a.nc": b"M2"})
    (folder / "mine.txt").write_text("a note")
    (folder / "programs" / "a.nc").unlink()
    (folder / "programs" / "a.nc").symlink_to(chest)
    page = window.get("packet/index.html", **{"Sec-Fetch-Site": "cross-site"})
    assert (page.status_code, page.text, page.mimetype) == (200, "<p>page</p>", "text/html")
    policy = page.headers["Content-Security-Policy"]
    assert policy.startswith("sandbox allow-scripts")
    assert "allow-same-origin" not in policy
    assert "connect-src" not in policy  # default-src 'none' holds
    assert [window.get(f"packet/{name}").status_code for name in ("mine.txt", "programs/a.nc", "contents.sha256")] == [404, 404, 404]


def test_names_with_markup_are_shown_as_text(window: Window) -> None:
    keys = ("title", "drawers[1].name", "drawers[1].row", "stock.wood", "joints.style", "machine.postprocessor")
    answer = window.post("edit", {"edits": [write(key, "<img src=x onerror=alert(1)>") for key in keys]})
    assert answer.status_code == 200
    page = window.get("").text
    assert page.count("&lt;img src=x onerror=alert(1)&gt;") >= len(keys)
    assert "<img" not in page + "".join(answer.json["fragments"].values())


def test_second_window_is_told_and_sees_what_the_first_did(window: Window) -> None:
    seen = {"revision": window.session.revision}
    news = window.session.news
    assert window.get(f"state?since={news}").status_code == 204
    assert window.post("edit", {**EDIT, **seen}).status_code == 200
    late = window.post("edit", {"edits": [write("joints.lap", "6")], **seen})
    assert (late.status_code, late.json["revision"]) == (409, seen["revision"] + 1)
    assert "Another window" in late.json["message"]
    assert window.get(f"state?since={news}").json["revision"] == seen["revision"] + 1
    assert window.session.now.content["joints"]["lap"] == 4


def test_undo_and_save_go_through_the_server(window: Window, chest: Path) -> None:
    window.post("edit", EDIT)
    window.post("undo")
    assert window.post("redo").json["revision"] == 4
    assert window.post("save").status_code == 200
    assert "\nlap = 4  #" in chest.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "text",
    ["", "drawers = 3\ncutters = {}\nstock = []", 'title = 1\nmachine = 2\n[[drawers]]\nname = {}\nopening = "x"'],
)
def test_job_file_that_is_all_wrong_can_be_looked_at_and_written_on(tmp_path: Path, text: str) -> None:
    path = tmp_path / "wrong.toml"
    path.write_text(text, encoding="utf-8")
    session = opened(path)
    app = app_of(session, Gate(HOST, "t"), PacketMaker(), lambda: None)
    app.testing = True
    window = Window(app.test_client(), session, Gate(HOST, "t"))
    of = {"list": "drawers"}
    edits = [
        write("stock.front", "20"),
        write("drawers[1].opening[2]", "60"),
        {"do": "mend"},
        {"do": "add", **of},
        {"do": "copy", **of, "at": 1},
        {"do": "move", **of, "at": 1, "to": 1},
        {"do": "remove", **of, "at": 1},
    ]
    for edit in edits:
        assert window.post("edit", {"edits": [edit]}).status_code in (200, 422)
    assert window.get("").status_code == 200
    session.close()
