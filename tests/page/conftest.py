"""Packets that the tests of the page read: written once, and carved only where a test looks at what was carved."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, work_of
from camtools.page.facts import PacketFacts, read_facts
from camtools.verify.checking import Checked, check_fully
from camtools.verify.report import Report

NOT_LOOKED_AT = Checked(Report("", (), (), (), judged=True, bound_mm=0.0), ())  # in place of a check whose figures do not matter

Writer = Callable[..., Path]


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
