"""The shop file, which the next job starts with."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from camtools.faults import JobFault
from camtools.job import parse_job
from camtools.output.fresh_job import fresh_job
from camtools.setout.session import Session
from camtools.setout.shop import SHOP_FILE, fresh_text, keep_shop
from tests.setout.conftest import edited, write


def test_next_job_starts_with_the_cutters_and_the_machine_of_the_last(session: Session) -> None:
    edited(session, write("joints.clearance", "0,08"))
    assert set(session.keep_shop()) >= {"cutters", "machine.travel", "joints.clearance"}
    text = fresh_text(session.path.parent)
    job, _ = parse_job(text, "the next")
    last = session.now.job
    assert last is not None
    assert job.machine == last.machine
    assert [(own.diameter_mm, own.angle_deg, own.speed_rpm) for own in job.cutters] == [
        (own.diameter_mm, own.angle_deg, own.speed_rpm) for own in last.cutters
    ]
    assert job.drawers[0].joint.clearance_mm == 0.08
    assert "lap" not in tomllib.loads(text)["joints"]
    assert "\n# feed = 1390 " in text  # what is taken for that cutter


def test_job_in_inches_starts_with_the_same_shop(session: Session) -> None:
    session.keep_shop()
    last = session.now.job
    assert last is not None
    job, _ = parse_job(fresh_text(session.path.parent, "in"), "the next")
    assert [cutter.diameter_mm for cutter in job.cutters] == [cutter.diameter_mm for cutter in last.cutters]
    assert job.machine.travel_mm == last.machine.travel_mm
    assert job.machine.acceleration_mm_s2 == pytest.approx(last.machine.acceleration_mm_s2, rel=1e-5)
    assert job.machine.rapid_mm_min == last.machine.rapid_mm_min


def test_comments_of_the_shop_file_and_what_a_job_does_not_say_stay(session: Session) -> None:
    session.keep_shop()
    shop = session.path.with_name(SHOP_FILE)
    shop.write_text(shop.read_text(encoding="utf-8").replace("backing = 18", "spin_up = 9  # by the watch\nbacking = 18"), encoding="utf-8")
    edited(session, write("machine.backing", "20"))
    session.keep_shop()
    assert "spin_up = 9  # by the watch\nbacking = 20\n" in shop.read_text(encoding="utf-8")


def test_shop_is_taken_into_a_job_as_one_step_that_can_be_undone(session: Session, tmp_path: Path) -> None:
    keep_shop(tmp_path, tomllib.loads(fresh_job("mm").decode().replace("diameter = 6 ", "diameter = 5 ")), None)
    before = session.now.text
    taken = edited(session, {"do": "take shop"})
    assert [cutter["diameter"] for cutter in taken.content["cutters"]] == [12.7, 5]
    assert session.undo(session.revision).text == before


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("drawers = []", "drawers"),
        ("[joints]\nlap = 4", "joints.lap"),
        ("[machine]\ntravel = 4", "machine.travel"),
        ("units = 3", "units"),
        ("x", "TOML"),
    ],
)
def test_shop_file_that_no_job_can_start_with_is_refused(tmp_path: Path, text: str, told: str) -> None:
    (tmp_path / SHOP_FILE).write_text(text, encoding="utf-8")
    with pytest.raises(JobFault, match=rf"shop\.toml.*{told}"):
        fresh_text(tmp_path)


def test_job_is_begun_in_inches_without_a_shop_file(session: Session) -> None:
    assert edited(session, {"do": "begin", "units": "in"}).text == fresh_job("in").decode()
