"""Manifest and limits: the contract, filled in from what was worked out, and read back through its own schema."""

import json
import math
import re
from dataclasses import replace

import pytest
from pydantic import ValidationError

from camtools.output.dialects import dialect_of, shipped_dialects
from camtools.output.manifest import Limits, Manifest
from camtools.output.manifest_of import json_bytes, limits_of, manifest_of
from camtools.output.rs274 import ProgramFile, program_file
from camtools.toolpath.dry import dry_programs_of
from camtools.toolpath.programs import programs_of
from tests.output.specimens import DRAWER, JOB, MACHINE, PROGRAMS, job_of


def files_in(name: str = "mm", *, dry: bool = False) -> list[ProgramFile]:
    programs = (*PROGRAMS, *dry_programs_of(PROGRAMS, MACHINE)) if dry else PROGRAMS
    return [program_file(program, dialect_of(name), JOB) for program in programs]


FILES = files_in()
MANIFEST = manifest_of(JOB, (DRAWER,), FILES)
LIMITS = limits_of(JOB, (DRAWER,), FILES)


@pytest.mark.parametrize("name", shipped_dialects())
def test_manifest_and_limits_are_read_back_as_they_were_written(name: str) -> None:
    files = files_in(name, dry=True)
    manifest, limits = manifest_of(JOB, (DRAWER,), files), limits_of(JOB, (DRAWER,), files)
    assert Manifest.model_validate_json(json_bytes(manifest)) == manifest
    assert Limits.model_validate_json(json_bytes(limits)) == limits
    assert {program.file for program in limits.programs} == {program.file for program in manifest.programs} == {file.name for file in files}


def test_json_is_ascii_the_same_each_time_and_has_no_minus_zero() -> None:
    text = json_bytes(manifest_of(replace(JOB, title='Fächer "x"\n</script>'), (DRAWER,), FILES))
    assert text.isascii()
    assert text == json_bytes(manifest_of(replace(JOB, title='Fächer "x"\n</script>'), (DRAWER,), files_in()))
    assert not re.search(rb"-0\.0\b(?!\d)", text)
    assert text.endswith(b"}\n")
    assert json.loads(text)["job"] == 'Fächer "x"\n</script>'


def test_a_matrix_stands_on_one_line_for_people() -> None:
    assert re.search(rb'"to_machine": \[\[[^\n]+\]\],\n', json_bytes(MANIFEST))


def test_numbers_are_no_less_exact_than_a_millionth_of_a_millimetre() -> None:
    board = next(board for board in MANIFEST.boards if board.id == DRAWER.left.id)
    assert board.size == pytest.approx(DRAWER.left.piece.size_mm, abs=1e-6)
    third = replace(DRAWER, outside_mm=(100 / 3, 200 / 3, 1e-7 + 50))
    assert json.loads(json_bytes(manifest_of(JOB, (third,), FILES)))["drawers"][0]["outside"] == [33.333333, 66.666667, 50.0]


def test_a_size_that_rounds_to_nothing_is_not_written() -> None:
    none = replace(DRAWER, outside_mm=(300.0, 1e-9, 90.0))
    with pytest.raises(ValidationError, match="greater than 0"):
        json_bytes(manifest_of(JOB, (none,), FILES))


def test_boards_and_drawer_are_those_that_were_worked_out() -> None:
    (drawer,) = MANIFEST.drawers
    assert drawer.outside == DRAWER.outside_mm
    by_id = {board.id: board for board in MANIFEST.boards}
    assert [by_id[getattr(drawer.parts, part)].role for part in ("front", "back", "left", "right", "bottom")] == [
        "front", "back", "left side", "right side", "bottom",
    ]  # fmt: skip
    assert by_id[drawer.parts.bottom].outline is not None
    assert "outline" not in json.loads(json_bytes(MANIFEST))["boards"][0]


def test_every_map_keeps_its_hand_and_its_lengths() -> None:
    """docs/joinery.md section 2: board to machine and board to drawer have determinants of one sign."""

    def determinant(rows: tuple[tuple[float, ...], ...]) -> float:
        (a, b, c, _), (d, e, f, _), (g, h, i, _) = rows
        return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)

    to_drawer = {board.id: board.to_drawer for board in MANIFEST.boards}
    for program in MANIFEST.programs:
        assert determinant(program.to_machine) == determinant(to_drawer[program.board])
        assert abs(determinant(program.to_machine)) == 1


def test_equal_boards_name_one_file_under_one_number() -> None:
    job, drawers = job_of("Mosses", "Ferns")
    programs = programs_of(job, drawers)
    files = [program_file(program, dialect_of("mm"), job) for program in programs]
    manifest = manifest_of(job, drawers, files)
    assert len(manifest.programs) == 2 * len(files) == 36
    for file in files:
        entries = [entry for entry in manifest.programs if entry.file == file.name]
        assert len(entries) == 2
        assert len({entry.order for entry in entries}) == 1
        assert {entry.board[:2] for entry in entries} == {"d1", "d2"}
    assert [limit.file for limit in limits_of(job, drawers, files).programs] == [file.name for file in files]


def test_an_end_that_is_roughed_has_a_program_for_each_cutter_in_order() -> None:
    entries = MANIFEST.programs
    assert [entry.order for entry in entries] == list(range(1, len(FILES) + 1))
    assert all(len(entry.tools) == 1 for entry in entries)
    assert [entry.tools for entry in entries if entry.board == DRAWER.left.id and "front-end" in entry.file] == [[2], [1]]


def test_dry_runs_are_named_so() -> None:
    entries = manifest_of(JOB, (DRAWER,), files_in(dry=True)).programs
    assert {entry.kind for entry in entries} == {"cut", "dry run", "outline"}
    assert all(("programs/dry/" in entry.file) == (entry.kind != "cut") for entry in entries)
    assert all(len(entry.tools) == 1 for entry in entries if entry.kind != "cut"), "no cutter is changed"
    assert all(entry.order > len(PROGRAMS) for entry in entries if entry.kind != "cut")


def test_limits_tell_what_the_job_says_of_cutters_machine_and_fit() -> None:
    assert LIMITS.machine.travel == MACHINE.travel_mm
    assert [(tool.number, tool.depth_per_pass, tool.plunges) for tool in LIMITS.tools] == [(1, None, False), (2, 3.0, True)]
    (joint,) = LIMITS.joints
    assert (joint.flank, joint.tip, joint.lap, joint.proud, joint.bottom_play) == (0.08, 0.2, 5.0, 0.3, 0.15)
    assert joint.bottom_held == ["front", "back", "left", "right"]
    raised = replace(DRAWER, back=replace(DRAWER.back, piece=replace(DRAWER.back.piece, groove=None)))
    assert limits_of(JOB, (raised,), FILES).joints[0].bottom_held == ["front", "left", "right"]


def test_upright_boards_have_a_backing_and_every_hold_its_zones() -> None:
    by_file = {limit.file: limit for limit in LIMITS.programs}
    for program in MANIFEST.programs:
        limit = by_file[program.file]
        assert limit.backing == (MACHINE.backing_mm if program.hold == "upright" else 0)
        assert "stop" in {zone.name for zone in limit.zones}


def test_what_breaks_the_contract_is_never_written() -> None:
    with pytest.raises(ValidationError):
        manifest_of(JOB, (replace(DRAWER, outside_mm=(math.nan, 1.0, 1.0)),), FILES)
    with pytest.raises(ValidationError):
        json_bytes(MANIFEST.model_copy(update={"units": "inch"}))
