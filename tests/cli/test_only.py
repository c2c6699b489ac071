"""`camtools packet --only`: what cuts one thing again, as the whole packet does, and proved like that."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from camtools.cli import group
from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.sections import WorkedJob, work_of
from camtools.toolpath.handling.cut_again import NotInJob, only_of

SAMPLES = Path(__file__).parent.parent.parent / "samples"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(group, ["packet", *map(str, arguments)], catch_exceptions=False)


@pytest.fixture(scope="module")
def chest() -> WorkedJob:
    return work_of(read_job(SAMPLES / "specimen-chest.toml")[0], dialect_of("mm"))


@pytest.mark.parametrize(
    ("name", "ends"),
    [
        ("left-side-2", {("left-side-2", "front end"), ("left-side-2", "rear end"), ("left-side-2", "groove")}),
        ("Left Side 2, rear end", {("left-side-2", "rear end")}),
        ("d4-left", {("left-side-2", "front end"), ("left-side-2", "rear end"), ("left-side-2", "groove")}),
        ("ferns left side", {("left-side-2", "front end"), ("left-side-2", "rear end"), ("left-side-2", "groove")}),
        ("17-left-side-2-rear-end", {("left-side-2", "rear end")}),
        ("9", set()),
        ("17", {("left-side-2", "rear end")}),
        ("Ferns front left joint", {("left-side-2", "front end"), ("front-2", "left end")}),
        ("d4 back right", {("right-side-2", "rear end"), ("back-2", "right end")}),
    ],
)
def test_a_name_means_what_page_and_files_call_so(name: str, ends: set[tuple[str, str]], chest: WorkedJob) -> None:
    if not ends:
        with pytest.raises(NotInJob):
            only_of(name, chest.drawers, chest.programs)
        return
    only = only_of(name, chest.drawers, chest.programs)
    cut = [program for program in chest.programs if only.asks_for(program)]
    assert {(program.stem[3:].removesuffix(f"-{program.setup.end.replace(' ', '-')}"), program.setup.end) for program in cut} == ends
    assert sum(only.counts(chest.drawers, cut).values()) == len({mark for mark, _ in ends})


def test_a_drawer_is_all_of_its_boards(chest: WorkedJob) -> None:
    only = only_of("Ferns", chest.drawers, chest.programs)
    drawer = next(drawer for drawer in chest.drawers if drawer.name == "Ferns")
    assert {board for board, _ in only.pieces} == {board.id for board in drawer.boards}
    assert len([program for program in chest.programs if only.asks_for(program)]) == 12


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("lft-side-2", "did you mean left-side-2?"),
        ("Fern", "did you mean Ferns?"),
        ("xyzzy", "name a drawer, a board"),
        ("bottom-1", "no program cuts it"),
    ],
)
def test_what_is_not_there_is_refused_with_what_is_near(name: str, told: str, chest: WorkedJob) -> None:
    with pytest.raises(NotInJob) as caught:
        only_of(name, chest.drawers, chest.programs)
    assert told in str(caught.value)


def test_its_programs_are_those_of_the_whole_and_the_whole_is_proved(tmp_path: Path) -> None:
    job = SAMPLES / "first-drawer.toml"
    done = run(job, "-o", tmp_path / "one", "--only", "front-1 left end", "--json")
    assert done.exit_code == 0, done.output
    whole = work_of(read_job(job)[0], dialect_of("mm"))
    texts = {file.name: file.text for file in whole.program_files}
    found = {path.relative_to(tmp_path / "one").as_posix(): path.read_text() for path in (tmp_path / "one").rglob("*.ngc")}
    cut = {name for name in found if name.startswith("programs/") and "/dry/" not in name}
    assert {name[-20:] for name in cut} == {"front-1-left-end.ngc"}
    assert len(found) == len(whole.programs) + 2  # its dry run and its outline
    assert {name.replace("proof/", "programs/"): text for name, text in found.items()}.items() <= texts.items()
    with (tmp_path / "one" / "cutlist.csv").open(encoding="utf-8-sig") as file:
        assert [row["mark"] for row in csv.DictReader(file)] == ["front-1"]
    page = (tmp_path / "one" / "index.html").read_text()
    assert "front-1 (front, its left end). One of each is cut." in page
    assert "back-1, left-side-1, right-side-1 and all other boards stay good" in page
    assert "programs/dry" in page
    assert "proof/01" not in page.split("What was checked")[0]


def test_what_was_written_is_told_by_its_name(tmp_path: Path) -> None:
    done = run(SAMPLES / "first-drawer.toml", "-o", tmp_path / "one", "--only", "d1-back", "--no-pictures")
    told = " ".join(done.stderr.split())
    assert "3 programs for d1-back alone, with their dry runs." in told
    assert "Checked with the job's other programs, which stand in proof/ for this alone: 5 boards carved" in told


def test_a_name_that_is_not_there_writes_nothing(tmp_path: Path) -> None:
    refused = run(SAMPLES / "first-drawer.toml", "-o", tmp_path / "one", "--only", "front-9")
    assert refused.exit_code == 2
    assert "did you mean front-1" in refused.stderr
    assert not (tmp_path / "one").exists()
