"""The packet: every section's files, the same each time, harmless whatever the job is called."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from camtools.faults import CannotCut, PacketFault
from camtools.output import sections
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.manifest import Limits, Manifest
from camtools.output.rs274 import program_file
from camtools.output.sections import WorkedJob, files_of, work_of
from camtools.toolpath.dry import dry_programs_of
from camtools.toolpath.programs import programs_of
from tests.output.reading import read
from tests.output.specimens import JOB, MACHINE, job_of
from tests.output.test_comments import HOSTILE
from tests.specimens import template_wish

MM = dialect_of("mm")
PLAIN = ("pictures", "drawings", "templates")  # these have tests of their own


def worked(*names: str, title: str = "Specimen chest") -> WorkedJob:
    job, drawers = job_of(*names, title=title)
    programs = programs_of(job, drawers)
    all_programs = (*programs, *dry_programs_of(programs, MACHINE))
    return WorkedJob(job, drawers, programs, tuple(program_file(program, MM, job) for program in all_programs))


WORK = worked("Mosses", "Ferns")


def test_a_packet_has_all_that_its_manifest_names() -> None:
    files = files_of(WORK, without=PLAIN)
    manifest = Manifest.model_validate_json(files["manifest.json"])
    limits = Limits.model_validate_json(files["limits.json"])
    named = {program.file for program in manifest.programs}
    assert named == {name for name in files if name.startswith("programs/")}
    assert named == {program.file for program in limits.programs}
    assert {"cutlist.csv", "safety.txt"} <= files.keys()
    assert files["safety.txt"].startswith(b"SAFETY")


def test_every_program_that_cuts_has_a_dry_run_and_an_outline_of_its_own() -> None:
    files = files_of(WORK, without=PLAIN)
    cuts = {name.removeprefix("programs/").removesuffix(".ngc") for name in files if name.startswith("programs/") and "/dry/" not in name}
    for number, _, words in (stem.partition("-") for stem in cuts):
        assert f"programs/dry/{number}-dry-{words}.ngc" in files
        assert f"programs/dry/{number}-outline-{words}.ngc" in files


def test_the_same_job_makes_the_same_bytes() -> None:
    assert files_of(WORK, without=PLAIN) == files_of(worked("Mosses", "Ferns"), without=PLAIN)


def test_read_me_tells_of_every_folder_and_file_that_is_there_and_of_no_other() -> None:
    files = files_of(WORK, without=PLAIN)
    told = {name for line in sections.read_me(files).decode("ascii").splitlines() if not line.startswith(" ") for name in line.split(", ")}
    folders = {name.rpartition("/")[0] + "/" for name in files if "/" in name}
    assert folders == {name for name in told if name.endswith("/")} == {"programs/", "programs/dry/"}
    assert {name for name in files if "/" not in name} <= told


def test_templates_are_there_only_where_the_job_asks_for_them_and_then_those_it_asks_for() -> None:
    assert not any(name.startswith("templates/") for name in files_of(WORK, without=("pictures", "drawings")))
    job = replace(JOB, templates=template_wish(kerf=0.3))
    files = files_of(work_of(job, MM), without=("pictures", "drawings"))
    assert {"templates/read-me.txt", "templates/stop-settings.csv", "templates/comb-h1-tails-mm.dxf"} < files.keys()
    assert b"half a kerf of 0.3 mm" in files["templates/read-me.txt"]
    assert b"templates/" in sections.read_me(files)


def test_templates_that_can_not_be_made_are_refused_before_a_program_is_written_unless_they_may_be_left_out() -> None:
    asked = {"bushes": [30.0]}
    with pytest.raises(CannotCut, match="a bush of 30 mm"):
        work_of(replace(JOB, templates=template_wish(**asked)), MM)
    work = work_of(replace(JOB, templates=template_wish(**asked, leave_out=True)), MM)
    assert b"NOT MADE" in files_of(work, without=("pictures", "drawings"))["templates/read-me.txt"]


def test_readme_of_the_project_tells_the_same_of_a_packet_as_its_own(house: Path) -> None:
    table = (house / "README.md").read_text(encoding="utf-8").partition("## What the packet holds")[2]
    rows = {name.replace("`", ""): words for name, words in re.findall(r"^\| (`.+?) \| (.+?) \|$", table, re.MULTILINE)}
    assert rows.pop("read-me.txt")
    assert rows == sections.CONTENT


def test_a_new_section_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sections.SECTIONS, "labels", lambda work: iter([("labels.txt", work.job.title.encode())]))
    assert files_of(WORK, without=PLAIN)["labels.txt"] == b"Specimen chest"


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_does_no_harm_in_program_list_or_path(tmp_path: Path, name: str) -> None:
    """Same names of files, same words in programs; all in the folder and nothing beside it."""
    files = files_of(worked(name, "Ferns", title=name), without=PLAIN)
    assert files.keys() == files_of(WORK, without=PLAIN).keys()
    for path, content in files.items():
        if path.endswith(".ngc"):
            read(content.decode("ascii"))
    write_packet(tmp_path / "chest", files)
    assert [path.name for path in tmp_path.iterdir()] == ["chest"]


def test_a_job_worked_out_has_its_programs_in_order_and_dry_runs_last() -> None:
    work = work_of(JOB, MM)
    assert [file.program.order for file in work.program_files] == list(range(1, len(work.program_files) + 1))
    assert [file.program.kind == "cut" for file in work.program_files] == [True] * len(work.programs) + [False] * 2 * len(work.programs)


def test_every_program_that_can_not_be_written_is_told_at_once() -> None:
    slow = replace(JOB, cutters=tuple(replace(cutter, feed_mm_min=0.0) for cutter in JOB.cutters))
    with pytest.raises(PacketFault) as caught:
        work_of(slow, MM)
    assert len({fault.where.split(":")[0] for fault in caught.value.faults}) > 3
