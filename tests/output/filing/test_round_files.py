"""Texts that run several programs: what their heads say, and where there is one work offset, that all boards stand at one stop."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.filing import round_files
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, work_of
from camtools.verify.checking import check
from tests.sabotage.packets import JOB as SMALL

JOB, _ = read_job(Path(__file__).parent.parent.parent.parent / "samples" / "first-drawer.toml")
BARE = dialect_of("bare")


def packed(folder: Path) -> tuple[set[str], list[str]]:
    """Return what the check finds, and the texts of rounds."""
    files = files_of(work_of(JOB, BARE), without=("pictures", "drawings", "templates"))
    report = check(write_packet(folder / "packet", files), jobs=1)
    return {finding.code for finding in report.errors}, [files[name].decode() for name in files if name.startswith("rounds/round")]


def test_a_round_stays_at_one_stop_where_both_have_one_zero(tmp_path: Path) -> None:
    found, texts = packed(tmp_path)
    assert found == set()
    assert len(texts) > 2
    assert all(("zero: left stop" in text) != ("zero: right stop" in text) for text in texts)


def test_one_that_goes_from_stop_to_stop_under_one_zero_is_caught(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(round_files, "groupby", lambda rows, _: [(None, rows)])
    assert "zero-shared" in packed(tmp_path)[0]


def test_a_head_tells_the_greatest_height_that_its_text_goes_to(tmp_path: Path) -> None:
    """Front and side lie flat at once, 18 and 10 mm thick: over the side it goes 8 mm higher than the 40 mm of the machine."""
    (tmp_path / "job.toml").write_text(SMALL, encoding="utf-8")
    work = work_of(read_job(tmp_path / "job.toml")[0], dialect_of("mm"))
    texts = {own.name: own.text for own in work.rounds} | {name: text for own in work.loaded for name, text in own.texts.items()}
    told = {name: re.findall(r"[\d.]+(?= mm above)", _head(text)) for name, text in texts.items()}
    reached = {name: max(map(float, re.findall(r"^G0 Z([\d.]+)", text, re.MULTILINE))) for name, text in texts.items()}
    assert {name: max(map(float, heights)) for name, heights in told.items()} == reached
    assert {*reached.values()} == {40.0, 48.0}


def _head(text: str) -> str:
    """Return the comments before the first code, unfolded."""
    head = text.partition("\nG21")[0]
    return " ".join(re.sub(r"^\(|\)$", "", line) for line in head.splitlines())
