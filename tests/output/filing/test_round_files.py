"""Rounds for a controller with one work offset: a text asks for its zero once, so all its boards stand at one stop."""

from __future__ import annotations

from pathlib import Path

import pytest

from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.filing import round_files
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, work_of
from camtools.verify.checking import check

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
    monkeypatch.setattr(round_files, "groupby", lambda rows, _: _grouped(rows))
    assert "zero-shared" in packed(tmp_path)[0]


def _grouped(rows):  # type: ignore[no-untyped-def]
    from itertools import groupby

    return groupby(rows, lambda own: round_files._round_of(own[1]))
