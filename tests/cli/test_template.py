"""The command ``template``: writes a folder of templates, refuses with numbers, replaces nothing but an older set."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from camtools.cli import group
from camtools.cli.template import command
from camtools.job.form import TemplatesForm


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
    assert "a bush of 30 mm" in done.stderr
    assert "at most 17." in done.stderr
    assert not (tmp_path / "kit").exists()


def test_what_can_not_be_made_is_left_out_when_asked(job: Path, tmp_path: Path) -> None:
    done = run(job, "-o", tmp_path / "kit", "--bush", 30, "--leave-out", "--json")
    assert done.exit_code == 0
    assert len(json.loads(done.stdout)["left_out"]) >= 4
    assert not list((tmp_path / "kit").glob("comb-*"))


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--kerf", "nan"), "templates.kerf"),
        (("--sheet", "5", "9999"), "templates.sheet"),
        (("--comb", "-1"), "templates.comb"),
        (("--guide", "1e9"), "templates.guide"),
        (("--guide", "8", "--guide-radius", "5 mm"), "at most 4 mm"),
    ],
)
def test_impossible_wishes_are_refused_with_numbers(job: Path, tmp_path: Path, options: tuple[str, ...], told: str) -> None:
    done = run(job, "-o", tmp_path / "kit", *options)
    assert done.exit_code == 2
    assert told in done.stderr
    assert job.name not in done.stderr  # nothing of it stands in the file
    assert not (tmp_path / "kit").exists()


def test_options_go_before_the_jobs_table_and_the_table_before_what_is_usual(job: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text(f'{job.read_text()}\n[templates]\nkerf = "0.01 in"\nbushes = ["13/32 in"]\nleave_out = true\n')
    options = ("--bush", "12", "--sheet", "24 in", "300", "--text", "strokes")
    done = run(mine, "-o", tmp_path / "kit", *options)
    assert done.exit_code == 0, done.output
    told = " ".join((tmp_path / "kit" / "read-me.txt").read_text().split())
    assert "half a kerf of 0.25 mm outside" in told  # a hundredth of an inch, which is 25.4 mm
    assert "bush 12 mm outside" in told
    assert "Cut the combs from 6 mm sheet" in told
    assert "templates.comb" in done.stderr  # was left to camtools, and is told of
    assert "templates.kerf" not in done.stderr
    lines = done.stderr.splitlines()
    assert lines[0].startswith("left out: T1 pins, for the through joint of ")  # whose fingers are too thin beside this bush
    assert run(mine, "-o", tmp_path / "kit", *options, "--no-leave-out").exit_code == 3
    assert run(mine, "-o", tmp_path / "kit", *options, "--bush", "10 mm", "--no-leave-out").exit_code == 0  # the pins' cutter turns in it
    assert "bush 10 mm outside, cutter number 2" in (tmp_path / "kit" / "read-me.txt").read_text()


def test_every_key_of_the_jobs_table_is_an_option() -> None:
    assert {parameter.name for parameter in command.params} - {"job_file", "folder", "as_json"} == set(TemplatesForm.model_fields)
