"""Answers of the maker: kept beside the job file, used by every command, told where they do not hold, and taken back."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from camtools.cli import group
from camtools.job import read_job
from camtools.job.bench.answers_form import form_in
from camtools.job.bench.answers_kept import entries_of

JOB = """title = "Seeds"
stock = { front = 20, side = 12, bottom = 6.4, wood = "beech" }
cutters = [
  { kind = "dovetail", diameter = 12.7, angle = 14, cutting_length = 16 },
  { kind = "straight", diameter = 6, cutting_length = 22 },
]
[[drawers]]
name = "Mosses"
opening = [300, 100, 260]
"""


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    path = tmp_path / "drawers.toml"
    path.write_text(JOB)
    return path


def fit(job_file: Path, *words: str) -> Result:
    return CliRunner(env={"COLUMNS": "200"}).invoke(group, ["fit", str(job_file), *words])


def kept(job_file: Path, *words: str) -> list[dict[str, Any]]:
    result = fit(job_file, "--json", *words)
    assert result.exit_code == 0, result.output
    told: list[dict[str, Any]] = json.loads(result.stdout)["kept"]
    return told


def file_of(job_file: Path) -> Path:
    return job_file.with_name("drawers.fit.toml")


def test_nothing_is_written_where_nothing_is_answered(job_file: Path) -> None:
    result = fit(job_file)
    assert (result.exit_code, "No answers are kept" in result.stderr) == (0, True)
    assert not file_of(job_file).exists()


def test_answers_set_what_the_job_file_leaves_open(job_file: Path) -> None:
    kept(job_file, "--half-blind", "0.1", "--through", "0.002 in", "--groove", "0.2 mm", "--date", "2026-11-28")
    (wish,) = read_job(job_file)[0].drawers
    assert (wish.joint.clearance_mm, wish.joint.through_clearance_mm, wish.groove.play_mm) == (0.1, 0.0508, 0.2)
    told = fit(job_file).stderr
    assert "half-blind joints fit with 0.100 mm, 2026-11-28" in told
    assert told in CliRunner(env={"COLUMNS": "200"}).invoke(group, ["plan", str(job_file)]).stderr


def test_step_of_the_trial_is_its_clearance(job_file: Path) -> None:
    job_file.write_text(JOB + "[trial]\nclearances = [0.02, 0.06, 0.1]\ngroove_plays = [0.1, 0.3]\n")
    told = kept(job_file, "--half-blind", "3", "--through", "2", "--groove", "1")
    assert [one["value"] for one in told] == ["0.100 mm", "0.060 mm", "0.100 mm"]
    assert told[0]["answer"] == "half-blind joints fit with 0.100 mm, step 3 of the trial"
    result = fit(job_file, "--through", "4")
    assert result.exit_code == 2
    assert "no step 4, it has 1 for 0.020 mm, 2 for 0.060 mm, 3 for 0.100 mm" in " ".join(result.stderr.split())


def test_trial_that_was_cut_before_a_change_of_the_job_is_named(job_file: Path) -> None:
    trial = job_file.parent / "trial"
    trial.mkdir()
    (trial / "job.toml").write_text(JOB + "[trial]\nclearances = [0.01, 0.05]\n")
    (told,) = kept(job_file, "--half-blind", "2", "--trial", str(trial))
    assert told["value"] == "0.050 mm"


def test_step_is_not_taken_where_it_is_not_known_for_which_cutter_the_trial_was_made(job_file: Path) -> None:
    marked = "number = 1\nkind = 'dovetail'\nmarked_diameter = 12.7\nmarked_angle = 14\n"
    worn = f"[[cutters]]\n{marked}diameter = 12.68\nangle = 14\nwithin = 0.03\n"
    file_of(job_file).write_text(worn)
    result = fit(job_file, "--half-blind", "3")
    assert (result.exit_code, "name the folder of the trial" in " ".join(result.stderr.split())) == (2, True)
    assert file_of(job_file).read_text() == worn
    trial = job_file.parent / "trial"
    trial.mkdir()
    (trial / "job.toml").write_text(JOB)
    told = {one["key"]: one["value"] for one in kept(job_file, "--half-blind", "3", "--trial", str(trial))}
    assert told["joints.clearance"] == "0.060 mm"  # 0.08 for a cutter of 12.70 mm
    kept(job_file, "--half-blind", "0.08")  # in the wood it is what it is


def test_answer_replaces_the_one_found_with_such_boards_and_leaves_all_else(job_file: Path) -> None:
    kept(job_file, "--half-blind", "0.1", "--groove", "0.2")
    file = file_of(job_file)
    file.write_text(file.read_text().replace("play = 0.2", "play = 0.2  # by hand, in May"))
    job_file.write_text(JOB.replace("beech", "oak"))
    kept(job_file, "--half-blind", "0.12")
    kept(job_file, "--half-blind", "0.13")
    tables = tomllib.loads(file.read_text())
    assert [one["clearance"] for one in tables["half_blind"]] == [0.1, 0.13]
    assert "play = 0.2  # by hand, in May" in file.read_text()
    assert not list(job_file.parent.glob(".*"))  # nothing half-written is left


def test_answer_for_other_wood_is_told_and_not_used(job_file: Path) -> None:
    kept(job_file, "--half-blind", "0.1")
    job_file.write_text(JOB.replace("beech", "oak"))
    (told,) = kept(job_file)
    assert told["value"] is None
    assert "the front is" in told["not_used_because"]
    assert read_job(job_file)[0].drawers[0].joint.clearance_mm == 0.07


def test_key_of_the_job_file_goes_before_an_answer_and_that_is_told(job_file: Path) -> None:
    job_file.write_text(JOB + "joints = { clearance = 0.05 }\n")
    told = kept(job_file, "--half-blind", "0.1", "--through", "0.1")
    assert {one["value"] for one in told} == {None}
    assert {one["not_used_because"] for one in told} == {
        "the job file itself says 0.050 mm, which goes before: take joints.clearance out of it to have the answer"
    }


def test_answers_are_taken_back_by_number(job_file: Path) -> None:
    kept(job_file, "--half-blind", "0.1", "--through", "0.05", "--groove", "0.2")
    assert [one["key"] for one in kept(job_file, "--forget", "2")] == ["joints.clearance", "groove.play"]
    assert fit(job_file, "--forget", "3").exit_code == 2
    assert kept(job_file, "--forget", "all") == []
    assert read_job(job_file)[0].drawers[0].joint.clearance_mm == 0.07


def test_answers_that_leave_a_job_impossible_are_kept_with_what_stops_it_and_can_be_taken_back(job_file: Path) -> None:
    job_file.write_text(JOB.replace("bottom = 6.4", "bottom = 6"))
    result = fit(job_file, "--groove", "0.02", "--slots", "2", "6.04")
    assert result.exit_code in (2, 3)
    assert "2 answers kept" in result.stderr
    assert CliRunner().invoke(group, ["plan", str(job_file)]).exit_code == result.exit_code
    assert kept(job_file, "--forget", "all") == []


def test_boards_that_differ_ask_for_the_drawer(job_file: Path) -> None:
    job_file.write_text(JOB + '[[drawers]]\nname = "Ferns"\nopening = [300, 140, 260]\nstock = { side = 14, bottom = 6.4 }\n')
    result = fit(job_file, "--half-blind", "0.1")
    assert result.exit_code == 2
    assert "boards or cutters of Ferns differ from those of Mosses" in result.stderr
    assert len(kept(job_file, "--groove", "0.2")) == 1  # for which they do not
    told = kept(job_file, "--half-blind", "0.1", "--drawer", "Ferns")
    assert [(one["drawers"], one["value"]) for one in told[:2]] == [(["Mosses"], None), (["Ferns"], "0.100 mm")]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--half-blind", "0.6"], "is too large; 0.6 mm; 0 to 0.3 mm"),
        (["--half-blind", "wide"], "wide can not be read"),
        (["--half-blind", "0"], "has no step 0"),
        (["--groove", "0.1", "--drawer", "Algae"], "there is no drawer Algae; there are Mosses"),
        (["--date", "28.11."], "--date"),
    ],
)
def test_answer_that_can_not_be_meant_is_refused_and_nothing_is_written(job_file: Path, words: list[str], told: str) -> None:
    result = fit(job_file, *words)
    assert result.exit_code == 2
    assert told in result.stderr
    assert not file_of(job_file).exists()


def test_broken_file_is_refused_with_its_line_and_stays_as_it_is(job_file: Path) -> None:
    broken = '[[groove]]\nplay = "wide"\n'
    file_of(job_file).write_text(broken)
    result = fit(job_file, "--half-blind", "0.1")
    assert result.exit_code == 2
    assert "drawers.fit.toml, line 2: groove[1].play" in result.stderr
    assert file_of(job_file).read_text() == broken


def test_file_in_one_line_is_changed_in_place_too(job_file: Path) -> None:
    line = 'groove = [{ play = 0.2, bottom = { thickness = 6.4, wood = "plywood" }, straight = { number = 2, diameter = 6 } }]'
    file_of(job_file).write_text(f"# mine\n{line}\n")
    assert len(kept(job_file, "--half-blind", "0.1")) == 2
    assert line in file_of(job_file).read_text()
    assert [one["value"] for one in kept(job_file, "--groove", "0.1")] == ["0.100 mm", "0.100 mm"]


def test_cutter_is_worked_out_from_its_slots_and_kept(job_file: Path) -> None:
    result = fit(job_file, "--slots", "1", "11.08,8.66", "--slot-depths", "3,8", "--slots", "2", "5.96")
    told = " ".join(result.stderr.split())
    assert "Cutter 1: 12.532 mm and 13.60" in told
    assert "good enough for steps of 0.040 mm" in told
    assert "Cutter 2: 5.960 mm; narrower by 0.040 mm: worn or resharpened" in told
    job, _ = read_job(job_file)
    assert [cutter.diameter_mm for cutter in job.cutters] == pytest.approx([12.532, 5.96])
    assert [cutter.mark for cutter in job.cutters] == [(12.7, 14), (6, 0)]
    again = fit(job_file, "--slots", "1", "5.24,10.84").stderr  # as deep as in the trial: 15 and 3.5 mm
    assert "Cutter 1: 12.544 mm and 13.68" in " ".join(again.split())
    rough = fit(job_file, "--slots", "1", "11.1,8.6", "--slot-depths", "3,8", "--caliper", "0.1").stderr
    assert "not good enough for steps of 0.040 mm: read finer" in " ".join(rough.split())
    assert len(kept(job_file)) == 2


def test_cutter_that_is_marked_otherwise_now_is_told(job_file: Path) -> None:
    kept(job_file, "--slots", "2", "5.96")
    job_file.write_text(JOB.replace("diameter = 6,", "diameter = 5,"))
    (told,) = kept(job_file)
    assert told["not_used_because"] == "in the job file it is a straight cutter, 5 mm"
    assert read_job(job_file)[0].cutters[1].diameter_mm == 5


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--slots", "1", "11.96,10.72", "--slot-depths", "3,8"], "14\N{DEGREE SIGN} may be the included angle of both flanks"),
        (["--slots", "2", "6.34"], "it may be one of 6.35 mm, mixed up with 6 mm"),
        (["--slots", "3", "6.34"], "there is no cutter 3; there are 1, 2"),
        (["--slots", "1", "11.08"], "needs two widths or more, and a depth for each; found 1 and 2"),
        (["--slots", "1", "8.66,11.08", "--slot-depths", "3,8"], "the deeper slot must have the narrower mouth"),
    ],
)
def test_slots_of_another_cutter_are_told_and_not_kept(job_file: Path, words: list[str], told: str) -> None:
    result = fit(job_file, *words)
    assert result.exit_code == 2
    assert told in " ".join(result.stderr.split())
    assert not file_of(job_file).exists()


def test_what_a_trial_cut_taught_sets_the_next_step_and_is_taken_back_like_any_answer(job_file: Path) -> None:
    before = read_job(job_file)[0]
    feed = before.cutter(2).feed_mm_min
    kept(job_file, "--burnt", "2", "--date", "2026-11-28")
    kept(job_file, "--chattered", "2")
    kept(job_file, "--torn", "1")
    job, defaults = read_job(job_file)
    assert job.cutter(2).feed_mm_min == min(feed * 1.25, 3000)
    assert job.cutter(2).depth_per_pass_mm == 1.1
    assert {wish.joint.light_pass_mm for wish in job.drawers} == {0.3}
    assert "cutter 2 burned" in next(default.reason for default in defaults if default.key == "cutters[2].feed")
    told = fit(job_file).stderr
    for words in ("cutter 2 burned, 2026-11-28", "cutters[2].feed 3000 mm/min", "cutters[2].depth_per_pass 1.1 mm", "light_pass 0.3 mm"):
        assert words in told
    result = fit(job_file, "--torn", "1")  # the light pass is as light as may be: now it is fed slower
    assert "fresh backing behind the board" in " ".join(result.stderr.split())
    assert read_job(job_file)[0].cutter(1).feed_mm_min < before.cutter(1).feed_mm_min
    assert [use.value for use in read_job(job_file)[0].answers if use.key == "cutters[1].feed"] == ["1170 mm/min"]
    kept(job_file, "--forget", "all")
    assert read_job(job_file)[0].cutters == before.cutters
    assert {wish.joint.light_pass_mm for wish in read_job(job_file)[0].drawers} == {0.5}


def test_settings_go_on_from_the_last_answer_until_nothing_has_room_left_and_then_say_what_else_helps(job_file: Path) -> None:
    for _ in range(12):
        result = fit(job_file, "--burnt", "1")
        if result.exit_code:
            break
    safe = 2 * 18000 * 0.7 * (0.10 + 0.03 * (12.7 - 32 * 0.24933 - 3.2) / 3.15)
    assert read_job(job_file)[0].cutter(1).feed_mm_min == pytest.approx(safe, abs=10)
    assert result.exit_code == 3
    assert "chips as thick as is safe already" in " ".join(result.stderr.split())
    assert "have it sharpened" in " ".join(result.stderr.split())
    answers = len(entries_of(form_in(file_of(job_file).read_text(), "")))
    assert fit(job_file, "--burnt", "1").exit_code == 3
    assert len(entries_of(form_in(file_of(job_file).read_text(), ""))) == answers > 2, "what is refused changes nothing"


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ('wood = "beech"', 'wood = "oak"', "the wood is Oak, European, the answer was found with Beech, European"),
        ("diameter = 6,", "diameter = 6.35,", "cutter 2 is 6.35 mm, the answer was found with 6 mm"),
        ("cutting_length = 22", "cutting_length = 22, feed = 2000", "the job file itself says it, which goes before"),
        ("[[drawers]]", "machine = { max_feed = 2900 }\n[[drawers]]", "3000 mm/min is beyond what cutter and machine allow"),
    ],
)
def test_settings_hold_for_their_cutter_wood_and_machine_alone(job_file: Path, old: str, new: str, why: str) -> None:
    kept(job_file, "--burnt", "2")
    assert old in JOB
    job_file.write_text(JOB.replace(old, new))
    job, _ = read_job(job_file)
    assert [use.why for use in job.answers] == [why]
    job_file.with_name("drawers.fit.toml").unlink()
    assert read_job(job_file)[0].cutters == job.cutters


def test_settings_of_a_cutter_that_is_gone_are_told_as_not_used(job_file: Path) -> None:
    kept(job_file, "--burnt", "2")
    job_file.write_text(JOB.replace("diameter = 6,", "diameter = 6, number = 5,"))
    assert [use.why for use in read_job(job_file)[0].answers] == ["the job file has no such cutter"]


@pytest.mark.parametrize(
    ("words", "problem"),
    [
        (("--burnt", "9"), "no cutter 9 cuts anything here; there are 1, 2"),
        (("--burnt", "two"), "no cutter two cuts anything here"),
        (("--burnt", "2", "--torn", "2"), "one answer to cutter 2 at a time"),
        (("--torn", "2", "--torn", "2"), "one answer to cutter 2 at a time"),
    ],
)
def test_an_answer_to_no_cutter_or_two_at_once_is_refused(job_file: Path, words: tuple[str, ...], problem: str) -> None:
    result = fit(job_file, *words)
    assert (result.exit_code, problem in " ".join(result.stderr.split())) == (2, True), result.stderr
    assert not file_of(job_file).exists()
