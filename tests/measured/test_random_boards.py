"""Boards off the plan by chance are cut, carved and put together: every joint closes, and what shows is told."""

from __future__ import annotations

import csv

import pytest

from camtools.job.job import PARTS
from camtools.page.facts import read_facts
from camtools.page.steps.bench_steps import after_the_machine, before_the_machine
from camtools.verify.checking import Checked
from tests.measured.sheets import JOB, packet_of
from tests.measured.telling import judged

ONE = JOB[: JOB.rindex("[[drawers]]")]


@pytest.mark.parametrize(("seed", "job"), [(2, JOB), (5, ONE), (6, ONE)])
def test_joints_of_random_boards_close_and_what_shows_is_told(seed, job, tmp_path):
    report, wrong = judged(packet_of(tmp_path, seed, job))
    assert wrong == []
    assert report.judged
    assert report.drawers
    facts = read_facts(tmp_path / "packet", Checked(report, ()))
    steps = {step.key: step for step in (*before_the_machine(facts), *after_the_machine(facts))}
    ids = {board.id for board in facts.manifest.boards}
    assert ids == {f"{drawer.id}-{part}" for drawer in report.drawers for part in PARTS}
    assert ids == {row[0] for row in steps["measured"].more[1].rows}
    assert all(name in "".join(block.lead for block in steps["plane"].more) for name in (drawer.name for drawer in report.drawers))
    rows = list(csv.DictReader((tmp_path / "packet" / "cutlist.csv").read_text("utf-8-sig").splitlines()))
    assert all(("planned was" in row["shape"]) is (row["part"] != "bottom") for row in rows)
