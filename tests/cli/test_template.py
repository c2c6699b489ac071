"""The command ``template``: writes a folder of templates, refuses with numbers, replaces nothing but an older set."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from camtools.cli import group


def run(*args: object) -> Result:
    return CliRunner().invoke(group, ["template", *map(str, args)])


@pytest.fixture
def job(samples: Path) -> Path:
    return samples / "first-drawer.toml"


def test_a_folder_of_templates_is_written(job: Path, tmp_path: Path) -> None:
    done = run(job, "-o", tmp_path / "kit", "--json")
    assert done.exit_code == 0
    told = json.loads(done.stdout)
    assert set(told["files"]) == {path.name for path in (tmp_path / "kit").iterdir()} - {"contents.sha256"}
    assert {"read-me.txt", "stop-settings.csv", "kerf-test-1-mm.dxf", "comb-h1-tails-mm.dxf"} <= set(told["files"])
    assert told["left_out"] == []


def test_an_older_set_gives_way_but_one_worked_on_does_not(job: Path, tmp_path: Path) -> None:
    assert run(job, "-o", tmp_path / "kit").exit_code == 0
    assert run(job, "-o", tmp_path / "kit", "--dxf", "R12").exit_code == 0
    assert b"AC1009" in (tmp_path / "kit" / "comb-h1-tails-mm.dxf").read_bytes()
    (tmp_path / "kit" / "comb-h1-tails-mm.dxf").write_text("mine")
    done = run(job, "-o", tmp_path / "kit")
    assert done.exit_code == 4
    assert "changed by hand" in done.stderr
    assert (tmp_path / "kit" / "comb-h1-tails-mm.dxf").read_text() == "mine"


def test_no_other_folder_gives_way(job: Path, tmp_path: Path) -> None:
    (tmp_path / "letters").mkdir()
    (tmp_path / "letters" / "read-me.txt").write_text("TEMPLATES FOR ROUTING BY HAND\nnot by camtools")
    assert run(job, "-o", tmp_path / "letters").exit_code == 4
    assert (tmp_path / "letters" / "read-me.txt").exists()


def test_a_bush_that_can_not_pass_is_refused_with_numbers_and_nothing_is_written(job: Path, tmp_path: Path) -> None:
    done = run(job, "-o", tmp_path / "kit", "--bush", 30)
    assert done.exit_code == 3
    assert "30 mm bush" in done.stderr
    assert "at most 17." in done.stderr
    assert not (tmp_path / "kit").exists()


def test_what_can_not_be_made_is_left_out_when_asked(job: Path, tmp_path: Path) -> None:
    done = run(job, "-o", tmp_path / "kit", "--bush", 30, "--leave-out", "--json")
    assert done.exit_code == 0
    assert len(json.loads(done.stdout)["left_out"]) >= 4
    assert not list((tmp_path / "kit").glob("comb-*"))


def test_kerf_is_compensated_once(job: Path, tmp_path: Path) -> None:
    done = run(job, "-o", tmp_path / "kit", "--kerf", 0.2, "--nominal")
    assert done.exit_code == 2
    assert "exclude each other" in done.stderr


@pytest.mark.parametrize("option", [("--kerf", "nan"), ("--sheet", "5", "5"), ("--comb", "-1"), ("--finger", "1e9")])
def test_impossible_wishes_are_refused(job: Path, tmp_path: Path, option: tuple[str, ...]) -> None:
    done = run(job, "-o", tmp_path / "kit", *option)
    assert done.exit_code == 2
    assert "Traceback" not in done.output
    assert not (tmp_path / "kit").exists()
