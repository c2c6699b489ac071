"""The packet that is written from the page."""

from __future__ import annotations

import json
import time
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from camtools.drawer.styles import STYLES
from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.sections import SECTIONS, files_of, work_of
from camtools.setout.form_lines import typed_of
from camtools.setout.gate import Gate
from camtools.setout.packet_work import PacketMaker, PacketWork, came_of
from camtools.setout.server import app_of
from tests.setout.conftest import HOST, Window, edited, opened, write


def _programs(job_file: Path) -> dict[str, bytes]:
    """Return the programs that a job file gives on the command line."""
    job, _ = read_job(job_file, styles=tuple(STYLES))
    return files_of(work_of(job, dialect_of(job.machine.postprocessor)), without=SECTIONS.keys() - {"programs"})


def test_chest_that_is_set_out_by_typing_alone_gives_the_programs_of_its_file_byte_for_byte(samples: Path, tmp_path: Path) -> None:
    path = tmp_path / "chest.toml"
    path.write_bytes((samples / "first-drawer.toml").read_bytes())
    session = opened(path)
    wanted = read_job(samples / "specimen-chest.toml", styles=tuple(STYLES))[0]
    sample = (samples / "specimen-chest.toml").read_text(encoding="utf-8")
    content = tomllib.loads(sample)
    edits: list[dict[str, object]] = [{"do": "add", "list": "drawers"} for _ in content["drawers"][1:]]
    for table, value in content.items():
        for place, entry in enumerate(value, 1) if isinstance(value, list) else [(0, value)]:
            at = f"{table}[{place}]" if place else table
            if isinstance(entry, dict):
                edits += [write(f"{at}.{key}", typed_of(inner)) for key, inner in entry.items()]
            else:
                edits.append(write(at, typed_of(entry)))
    for place in range(0, len(edits), 50):
        edited(session, *edits[place : place + 50])
    assert session.now.faults == ()
    session.save(session.revision)
    session.close()
    assert wanted.drawers == read_job(path, styles=tuple(STYLES))[0].drawers
    assert _programs(path) == _programs(samples / "specimen-chest.toml")


def _until(asked: Callable[[], PacketWork | None], state: Callable[[PacketWork], bool]) -> PacketWork:
    end = time.monotonic() + 240
    while time.monotonic() < end:
        work = asked()
        if work is not None and state(work):
            return work
        time.sleep(0.05)
    raise TimeoutError(asked())


def test_packet_is_written_with_progress_checked_shown_and_stopped_without_a_trace(
    samples: Path, tmp_path: Path, house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONPATH", str(house))
    path = tmp_path / "drawer.toml"
    path.write_bytes((samples / "first-drawer.toml").read_bytes())
    session, maker = opened(path), PacketMaker()
    window = Window(app_of(session, Gate(HOST, "t"), maker, lambda: None).test_client(), session, Gate(HOST, "t"))
    edited(session, write("title", "Set out"))
    news = session.news
    try:
        assert window.post("packet").json["message"] == ""
        assert window.post("packet").json["message"] == "Work is being done already."
        _until(lambda: maker.now, lambda work: bool(work.stages) or work.state != "at work")
        assert session.news > news
        window.post("stop")
        stopped = _until(lambda: maker.now, lambda work: work.state != "at work")
        assert (stopped.state, stopped.words) == ("stopped", ("Stopped. A packet that was not finished is not there.",))
        assert sorted(one.name for one in tmp_path.iterdir()) == [".drawer.toml.held", "drawer.toml"]
        assert window.get("packet/index.html").status_code == 404

        window.post("packet")
        written = _until(lambda: maker.now, lambda work: work.state != "at work")
        assert written.state == "done"
        assert "1 drawer put together" in written.words[0]
        assert {"running programs", "carving boards", "drawing"} <= {name for name, done, of in written.stages if done == of}
        assert "Set out" in window.get("packet/index.html").text
        packet = tmp_path / "drawer-packet"
        assert {name: (packet / name).read_bytes() for name in _programs(path)} == _programs(path)
    finally:
        maker.finish()
        session.close()


@pytest.mark.parametrize(
    ("kind", "code", "answer", "rest", "state", "words"),
    [
        ("check", 0, {"ok": True, "judged": True, "findings": []}, "", "done", "It fits."),
        (
            "check",
            1,
            {"ok": False, "judged": True, "findings": [{"severity": "error", "where": "", "file": "a.nc", "text": "is too deep"}]},
            "",
            "refused",
            "Do not cut this. error: a.nc: is too deep",
        ),
        (
            "packet",
            3,
            {"error": "No", "faults": [{"where": "joints.lap", "problem": "is thin", "value": "1 mm", "limit": "", "remedy": "write 4"}]},
            "",
            "refused",
            "No joints.lap: is thin; found 1 mm; write 4",
        ),
        ("packet", 130, None, "", "stopped", "Stopped. A packet that was not finished is not there."),
        ("packet", 1, None, "no module of that name\n", "refused", "no module of that name"),
        ("packet", -9, None, "", "refused", "ended with -9"),
    ],
)
def test_what_came_of_it_is_told(kind: str, code: int, answer: object, rest: str, state: str, words: str) -> None:
    came = came_of(PacketWork(kind, Path("x-packet")), code, b"" if answer is None else json.dumps(answer).encode(), rest)  # type: ignore[arg-type]
    assert (came.state, " ".join(came.words)) == (state, words)
