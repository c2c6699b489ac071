"""Packets that the tests of the page read: written once, and carved only where a test looks at what was carved."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from benchmarks.opening import browser
from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, work_of
from camtools.page.facts import PacketFacts, read_facts
from camtools.page.index_page import render
from camtools.verify.checking import Checked, check_fully
from camtools.verify.report import Report

NOT_LOOKED_AT = Checked(Report("", (), (), (), judged=True, bound_mm=0.0), ())  # in place of a check whose figures do not matter

WAIT_MS = 120_000  # a busy machine is no failure

Writer = Callable[..., Path]
Open = Callable[..., Any]


@pytest.fixture(scope="session")
def written(tmp_path_factory: pytest.TempPathFactory) -> Writer:
    """Return what writes the packet of a job file, with sections left out."""

    def write(path: Path, without: tuple[str, ...] = ("pictures", "drawings", "templates")) -> Path:
        job, _ = read_job(path)
        work = work_of(job, dialect_of(job.machine.postprocessor, beside=path.parent))
        return write_packet(tmp_path_factory.mktemp("packets") / path.stem, files_of(work, without=without))

    return write


@pytest.fixture(scope="session")
def drawer_packet(written: Writer, samples: Path) -> Path:
    """Return the packet of the small drawer, with the pictures of its programs."""
    return written(samples / "first-drawer.toml", without=("drawings", "templates"))


@pytest.fixture(scope="session")
def drawer_checked(drawer_packet: Path) -> Checked:
    return check_fully(drawer_packet, jobs=1)


@pytest.fixture(scope="session")
def drawer(drawer_packet: Path, drawer_checked: Checked) -> PacketFacts:
    """Return the small drawer, carved."""
    return read_facts(drawer_packet, drawer_checked)


@pytest.fixture(scope="session", params=["specimen-chest", "inch-cabinet", "first-drawer"])
def sample(request: pytest.FixtureRequest, written: Writer, samples: Path) -> PacketFacts:
    """Return each sample, not carved."""
    return read_facts(written(samples / f"{request.param}.toml"), NOT_LOOKED_AT)


@pytest.fixture(scope="module")  # only one at a time can be run so
def chromium() -> Iterator[Any]:
    with browser() as running:
        yield running


@pytest.fixture(scope="session")
def page_file(drawer: PacketFacts) -> Path:
    """Return the page of the small drawer, in its packet, with its pictures."""
    path = drawer.folder / "index.html"
    path.write_bytes(render(drawer))
    return path


def _missed(request: Any) -> bool:
    """Whether a file could not be had; what was still on its way when the page was opened again is given up by the browser itself."""
    return request.failure != "net::ERR_ABORTED"


@pytest.fixture
def opened(chromium: Any) -> Iterator[Open]:
    """Return what opens a page; whatever the page complains of or asks the network for fails the test."""
    complaints: list[str] = []
    contexts: list[Any] = []

    def open_page(path: Path, width: int = 1000, height: int = 1200, at: str = "#all", **options: Any) -> Any:
        context = chromium.new_context(offline=True, viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        tab = context.new_page()
        tab.set_default_timeout(WAIT_MS)
        tab.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
        tab.on("pageerror", lambda error: complaints.append(str(error)))
        tab.on(
            "request", lambda request: complaints.append(request.url) if not request.url.startswith(("file:", "data:", "blob:")) else None
        )
        tab.on("requestfailed", lambda request: complaints.append(f"{request.failure}: {request.url}") if _missed(request) else None)
        tab.on("dialog", lambda dialog: (complaints.append(f"dialog: {dialog.message}"), dialog.dismiss()))
        tab.goto(path.resolve().as_uri() + at)
        return tab

    yield open_page
    for context in contexts:
        context.close()
    assert complaints == []
