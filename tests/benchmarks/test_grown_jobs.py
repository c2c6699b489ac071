"""The jobs that benchmarks are run on."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from benchmarks.grown_jobs import grown, write_toml
from camtools.drawer import drawers_of
from camtools.job import parse_job

CHEST = "specimen-chest.toml"


def test_a_grown_job_has_so_many_drawers_and_no_two_copies_share_a_board(samples: Path) -> None:
    job, _ = parse_job(grown(samples / CHEST, times=3), CHEST)
    drawers = drawers_of(job)
    assert len(drawers) == 21
    pieces = [{board.piece for board in drawer.boards} for drawer in drawers]
    for copy in range(1, 3):
        for before in range(copy):
            ours, theirs = pieces[7 * copy : 7 * copy + 7], pieces[7 * before : 7 * before + 7]
            assert not set().union(*ours) & set().union(*theirs)


def test_a_job_of_one_time_is_the_sample(samples: Path) -> None:
    sample = tomllib.loads((samples / CHEST).read_text(encoding="utf-8"))
    same = tomllib.loads(grown(samples / CHEST))
    assert {key: value for key, value in same.items() if key != "drawers"} == {
        key: value for key, value in sample.items() if key != "drawers"
    }
    assert [drawer["opening"] for drawer in same["drawers"]] == [drawer["opening"] for drawer in sample["drawers"]]


def test_a_job_can_be_cut_down_to_its_first_drawers(samples: Path) -> None:
    assert len(tomllib.loads(grown(samples / CHEST, first=2))["drawers"]) == 2


@pytest.mark.parametrize("table", [{"a": 1, "b": 0.5, "c": [1, [2.0]], "d": {"e": True, "f": 'x"\\\n"'}, "g": [{"h": "ü"}]}])
def test_toml_is_read_back_as_it_was_written(table: dict[str, object]) -> None:
    assert tomllib.loads(write_toml(table)) == table
