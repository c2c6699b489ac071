"""Programs in parts: each is one of its own that the controller holds, and together they leave what the whole leaves."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from camtools.crew import Crew
from camtools.drawer.drawers import drawers_of
from camtools.faults import PacketFault
from camtools.job import read_job
from camtools.job.job import Job
from camtools.output.dialects import Dialect
from camtools.output.filing.program_parts import in_parts
from camtools.output.manifest_of import limits_of, manifest_of
from camtools.output.rs274 import program_file
from camtools.output.sections import work_of
from camtools.toolpath.dry import dry_programs_of
from camtools.toolpath.moves import Program
from camtools.toolpath.programs import programs_of
from camtools.verify.breakout import breakout_findings, ends_of
from camtools.verify.lookups import looked_up
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import Motion

SAMPLE = Path(__file__).parent.parent.parent.parent / "samples" / "first-drawer.toml"
SHORT = {"comments": "none", "lengths": "one-cutter"}


@pytest.fixture(scope="module")
def job() -> Job:
    return read_job(SAMPLE)[0]


@pytest.fixture(scope="module")
def programs(job: Job) -> tuple[Program, ...]:
    return programs_of(job, drawers_of(job))


def motions_of(program: Program, dialect: Dialect, job: Job) -> list[Motion]:
    done = run(program_file(program, dialect, job).text, program.stem, fitted=program.cutter.number)
    assert done.findings == ()
    return list(done.motions)


@pytest.mark.parametrize("keys", [{"most_lines": 110}, {"most_lines": 130, "arcs": False}, {"most_characters": 4500}])
def test_parts_are_held_and_cut_what_the_whole_cuts(keys: dict[str, object], job: Job, programs: tuple[Program, ...]) -> None:
    dialect, parted = Dialect(**{**SHORT, **keys}), 0
    for program in programs:
        parts = in_parts(program, dialect, job)
        parted += len(parts) > 1
        for made in (*parts, *dry_programs_of(parts, job.machine)):
            text = program_file(made, dialect, job).text
            assert text.count("\n") <= (dialect.most_lines or math.inf)
            assert len(text) <= (dialect.most_characters or math.inf)
        whole = [(m.kind, m.start, m.end, m.centre, m.feed_mm_min) for m in motions_of(program, dialect, job) if m.kind != "rapid"]
        cut: list[object] = []
        for number, part in enumerate(parts):
            own = [motion for motion in motions_of(part, dialect, job) if motion.kind != "rapid"]
            first, last = own[0].start, own[-1].end
            assert first[2] == pytest.approx(job.machine.clearance_mm)
            fed = [(m.kind, m.start, m.end, m.centre, m.feed_mm_min) for m in own[1 if number else 0 :]]
            assert number == 0 or first[:2] == own[0].end[:2], "straight down in the air"
            assert last[2] >= job.machine.clearance_mm or abs(last[1]) > program.cutter.diameter_mm / 2
            cut += fed
        assert cut == whole
    assert parted >= 2


def test_parts_are_named_and_tell_the_operator_to_leave_the_board(job: Job, programs: tuple[Program, ...]) -> None:
    program = next(program for program in programs if "back-1-right-end" in program.stem)
    first, *_, last = in_parts(program, Dialect(**SHORT, most_lines=130), job)
    assert (first.stem[2:10], last.stem[2:10]) == ("-part-1-", "-part-3-")
    assert last.title.endswith("part 3 of 3")
    assert "Part 2 follows on the same board" in str(first.setup.words[-1])
    assert "leave board, stop and zero as they are" in str(last.setup.words[-1])
    assert first.seconds + last.seconds < program.seconds + 30


def test_a_program_that_the_controller_holds_stays_whole(job: Job, programs: tuple[Program, ...]) -> None:
    for program in programs:
        assert in_parts(program, Dialect(), job) == (program,)
        assert in_parts(program, Dialect(most_lines=600, most_characters=30_000), job) == (program,)


def test_what_can_not_be_parted_is_refused_with_what_would_do_and_that_does(job: Job) -> None:
    keys = {**SHORT, "comments": "semicolon", "arcs": False}
    with pytest.raises(PacketFault) as caught:
        work_of(job, Dialect(**keys, most_lines=118))
    told = [str(fault) for fault in caught.value.faults]
    assert {words[: words.index(":")] for words in told} == {f"program {stem}" for stem in ("07-back-1-right-end", "08-back-1-left-end")}
    assert all('write comments = "none", if the controller takes that' in words for words in told)
    assert all("limit 118, most_lines of the dialect" in words for words in told)
    assert work_of(job, Dialect(**{**keys, "comments": "none"}, most_lines=118)).program_files
    enough = max(int(words.rpartition("a controller that holds ")[2].split()[0]) for words in told)
    assert work_of(job, Dialect(**keys, most_lines=enough)).program_files
    with pytest.raises(PacketFault):
        work_of(job, Dialect(**keys, most_lines=enough - 1))


def test_an_edge_between_parts_is_no_edge_that_the_board_keeps() -> None:
    """Deep tails are cut on the strip of shallow ones: the edge of a first part lies before open backing, until the next takes it away."""
    job, _ = read_job(SAMPLE.with_stem("inch-cabinet"))
    work = work_of(job, Dialect(**SHORT, most_lines=110))
    cutting = [file for file in work.program_files if file.program.kind == "cut" and file.program.setup.hold == "upright"]
    index = looked_up(manifest_of(job, work.drawers, cutting), limits_of(job, work.drawers, cutting))
    runs = {file.name: run(file.text, file.name, fitted=file.program.cutter.number) for file in cutting}
    assert any("-part-3" in file for file in runs)
    assert [finding for finding in breakout_findings(ends_of(index, runs, {}, Crew(1))) if finding.code == "exit-not-backed"] == []
