"""`camtools trial`: from a job file to a packet of trial joints, with its page."""

from __future__ import annotations

import csv
import json
from pathlib import Path

from click.testing import CliRunner, Result

from camtools.cli import group

JOB = "first-drawer.toml"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(group, ["trial", *map(str, arguments)], catch_exceptions=False)


def test_a_trial_is_written_with_its_own_cut_list_and_a_page_that_says_how_to_answer(samples: Path, tmp_path: Path) -> None:
    job = tmp_path / JOB
    job.write_text((samples / JOB).read_text() + "\n[trial]\nclearances = [0.04, 0.1]\n")
    done = run(job, "-o", tmp_path / "out", "--json")
    assert done.exit_code == 0, done.output
    assert json.loads(done.stdout)["boards_carved"] == 3
    assert (tmp_path / "out" / "job.toml").read_bytes() == job.read_bytes()
    with (tmp_path / "out" / "cutlist.csv").open(encoding="utf-8-sig", newline="") as stream:
        assert [row["part"] for row in csv.DictReader(stream)] == ["front", "back", "left side"]
    page = (tmp_path / "out" / "index.html").read_text()
    assert "camtools fit JOB --half-blind N --through N --groove N" in page
    assert "drawings/trial-front-1-steps.svg" in page
    assert "Glue up" not in page
    assert (tmp_path / "out" / "drawings" / "trial-front-1-steps.svg").is_file()


def test_steps_that_do_not_rise_are_refused_and_nothing_is_written(samples: Path, tmp_path: Path) -> None:
    job = tmp_path / JOB
    job.write_text((samples / JOB).read_text() + "\n[trial]\nclearances = [0.1, 0.1]\n")
    done = run(job, "-o", tmp_path / "out")
    assert done.exit_code == 2
    assert "steps do not rise" in done.stderr
    assert not (tmp_path / "out").exists()


def test_a_machine_with_less_travel_than_one_socket_needs_is_refused_with_what_would_do(samples: Path, tmp_path: Path) -> None:
    job = tmp_path / JOB
    job.write_text((samples / JOB).read_text() + "\n[machine]\ntravel = [30, 300, 95]\n")
    done = run(job, "-o", tmp_path / "out", "--json")
    assert done.exit_code == 3
    told = json.loads(done.stdout)["faults"]
    assert all(fault["where"] and fault["value"] and "machine.travel" in fault["limit"] for fault in told)
    assert all(fault["changes"] for fault in told)  # tried on the trial, not on the drawers
    assert not (tmp_path / "out").exists()
