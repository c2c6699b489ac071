"""Texts that run several programs: what their heads say, and where there is one work offset, that all boards stand at one stop."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from camtools.drawer import drawers_of
from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.filing import round_files
from camtools.output.folder import write_packet
from camtools.output.rs274 import ProgramFile
from camtools.output.sections import files_of, work_of
from camtools.toolpath.dry import dry_programs_of
from camtools.toolpath.handling.loadings import board_counts, loadings_of
from camtools.toolpath.moves import Program, stem_of
from camtools.toolpath.programs import programs_of
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


def test_texts_for_several_boards_tell_how_each_stands_and_to_wait_until_the_cutter_stands_still(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(SMALL, encoding="utf-8")
    work = work_of(read_job(tmp_path / "job.toml")[0], dialect_of("mm"))
    heads = {"flat": 0, "upright": 0}
    for loaded in work.loaded:
        hold, paired = loaded.loading.programs[0].setup.hold, len(loaded.loading.programs) > 1
        heads[hold] += paired
        assert all(("height: both ends at one height within 10 mm" in _head(text)) is (hold == "upright") for text in loaded.texts.values())
    assert all(heads.values())
    for text in (own.text for own in work.rounds):
        head = _head(text)
        assert "inside face" in head or "outside face" in head
        assert re.search(r"or more (below|from) the (end|right end|left end|rear end|front end|reference edge)", head) or "Wedge it" in head
        ends = "flat" in head and "fence" not in head and "groove" not in head
        assert ("Bring its end to Y 0" in head) is ends
        lines = [line.strip("()") for line in text.splitlines()]
        for at in (at for at, line in enumerate(lines) if line.startswith("M0 (change boards")):
            before = " ".join(lines[at - 4 : at])
            assert "first: wait until the cutter stands still" in before
            assert ("ends: bring each to Y 0" in before) is ends


@pytest.mark.parametrize("sample", ["first-drawer", "inch-cabinet", "specimen-chest"])
def test_names_of_programs_are_short_and_no_two_begin_alike(sample: str, samples: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A controller that shows 20 characters of a name tells all files apart, in whichever folder they stand."""

    def untold(program: Program, *_: object) -> ProgramFile:
        folder = "programs" if program.kind == "cut" else "programs/dry"
        return ProgramFile(f"{folder}/{program.stem}.ngc", "", program, program.seconds)

    monkeypatch.setattr(round_files, "program_file", untold)
    monkeypatch.setattr(round_files, "round_text", lambda *_: "")
    job, _ = read_job(samples / f"{sample}.toml")
    drawers = drawers_of(job)
    programs = programs_of(job, drawers)
    parted = [replace(program, stem=stem_of("01", f"part-{number}", program.stem[3:])) for number, program in enumerate(programs[:3], 1)]
    files = [untold(program) for program in (*programs, *dry_programs_of(programs, job.machine))]
    loadings = loadings_of(programs, board_counts(drawers), job.machine)
    loaded = round_files.loaded_files(loadings, files, dialect_of("mm"), job)
    rounds = round_files.round_files(loadings, dialect_of("mm"), job)
    run = [*(file.name for file in (*files, *map(untold, parted), *rounds)), *(name for own in loaded for name in own.texts)]
    names = {name.rpartition("/")[2]: 48 if "/dry/" in name else 40 for name in run}
    assert len(names) == len(run)
    assert {name: len(name) for name, most in names.items() if len(name) > most} == {}
    assert len({name[:20] for name in names}) == len(names)


def test_what_two_boards_have_in_common_is_named_once(samples: Path) -> None:
    job, _ = read_job(samples / "specimen-chest.toml")
    drawers = drawers_of(job)
    programs = programs_of(job, drawers)
    named = [round_files.ends_of(own) for own in loadings_of(programs, board_counts(drawers), job.machine) if len(own.programs) > 1]
    assert {"front-1-right-left", "front-3-right-4-left", "right-left-side-1-rear", "back-2-front-1-groove"} <= {*named}


def _head(text: str) -> str:
    """Return the comments before the first code, unfolded."""
    head = text.partition("\nG21")[0]
    return " ".join(re.sub(r"^\(|\)$", "", line) for line in head.splitlines())
