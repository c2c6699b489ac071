"""Packets of trial joints: that of every sample passes its check, and each step's clearance in the carved wood is as it is told."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from camtools.drawer.drawers import drawers_of
from camtools.drawer.trial.trial_boards import slot_depths_mm, trials_of
from camtools.faults import CannotCut
from camtools.job import read_job
from camtools.job.job import Job, TrialWish
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, trial_work_of
from camtools.pictures.trial_view import trial_picture
from camtools.verify.checking import check
from tests.sabotage.packets import Packet

SAMPLES = ("first-drawer", "inch-cabinet", "specimen-chest")


@pytest.fixture(scope="module", params=SAMPLES)
def job(request: pytest.FixtureRequest, samples: Path) -> Job:
    return read_job(samples / f"{request.param}.toml")[0]


def test_every_step_of_every_sample_has_in_the_wood_the_clearance_that_its_nicks_tell(job: Job, tmp_path: Path) -> None:
    work = trial_work_of(job, dialect_of("mm"))
    files = files_of(work, without=("pictures", "drawings", "templates"))
    report = check(write_packet(tmp_path / "packet", files), jobs=1)
    assert report.ok, report.errors
    assert report.findings == ()
    assert sorted(number for trial in report.trials for number in trial.drawers) == list(range(1, len(job.drawers) + 1))
    for trial in report.trials:
        told = [(step.joint, step.number, step.nicks, step.clearance_mm) for step in trial.steps]
        steps = list(enumerate(job.trial.clearances_mm, 1))
        assert told == [(joint, number, number, mm) for joint in ("half-blind", "through") for number, mm in steps]
        for step in trial.steps:
            assert step.flank is not None
            assert step.flank.smallest_mm == pytest.approx(step.clearance_mm, abs=0.005)
            assert step.flank.largest_mm == pytest.approx(step.clearance_mm, abs=0.005)
        panel = job.drawers[trial.drawers[0] - 1].stock.bottom_mm
        assert [groove.width_mm for groove in trial.grooves] == pytest.approx(
            [panel + play for play in job.trial.groove_plays_mm], abs=0.005
        )


SMALL = {
    "travel less than a trial back is wide": "[machine]\ntravel = [120, 300, 95]",
    "boards held flat only": '[machine]\nholds = ["flat"]',
}


@pytest.mark.parametrize("machine", SMALL)
def test_a_trial_is_cut_on_a_small_machine_and_what_is_wrong_with_it_is_found(machine: str, samples: Path, tmp_path: Path) -> None:
    text = (samples / "first-drawer.toml").read_text("utf-8") + "[trial]\nclearances = [0, 0.04, 0.08, 0.12, 0.16]\ngroove_plays = [0.1]\n"
    path = tmp_path / "job.toml"
    path.write_text(f"{text}{SMALL[machine]}\n", "utf-8")
    work = trial_work_of(read_job(path)[0], dialect_of("mm"))
    flat = "flat" in machine
    settings = {program.setup.setting.total for program in work.programs if program.setup.end == "left end"}
    assert settings == ({1} if flat else {1, 2})
    folder = write_packet(tmp_path / "packet", files_of(work, without=("pictures", "drawings", "templates")))
    report = check(folder, jobs=1)
    assert report.findings == ()
    assert [step.flank.largest_mm for step in report.trials[0].steps if step.flank] == pytest.approx(
        [0, 0.04, 0.08, 0.12, 0.16] * 2, abs=5e-3
    )
    if flat:
        packet = Packet(folder, tmp_path / "spoiled")
        packet.map_words("programs/04-trial-back-1-left-end.ngc", "Y", lambda y: y + 0.6 if y < 3 else y)  # nicks
        packet.map_words("programs/01-trial-back-1-left-end.ngc", "X", lambda x: x + 0.01)  # sockets
        assert {finding.code for finding in check(packet.folder, jobs=1).findings} >= {"trial-nicks", "trial-clearance"}


def test_slots_tell_diameter_and_angle_of_the_cutter_by_the_algebra_of_a_cone(job: Job) -> None:
    """Two mouths at two depths: the angle from their difference, then the diameter."""
    for trial in trials_of(job, drawers_of(job), 200.0):
        assert trial.front.piece.trial is not None
        wish = job.drawers[trial.wishes[0]]
        cutter = job.cutter(wish.joint.dovetail)
        slots = [slot for slot in trial.front.piece.trial.slots if slot.cutter == cutter]
        assert tuple(slot.depth_mm for slot in slots) == slot_depths_mm(wish)
        (deep, one), (shallow, other) = ((slot.depth_mm, cutter.diameter_mm - 2 * slot.depth_mm * cutter.slope) for slot in slots)
        slope = (other - one) / 2 / (deep - shallow)
        assert math.degrees(math.atan(slope)) == pytest.approx(cutter.angle_deg)
        assert one + 2 * deep * slope == pytest.approx(cutter.diameter_mm)
        assert deep > 3 * shallow  # so far apart that a hundredth read wrong turns the angle little
        numbers = {slot.cutter.number for slot in trial.front.piece.trial.slots}
        assert numbers == {cutter.number, wish.joint.straight, wish.groove.cutter}


def test_sockets_differ_from_their_tail_by_their_step_alone(job: Job) -> None:
    for trial in trials_of(job, drawers_of(job), 200.0):
        for pins, tails in (
            (trial.front.piece.half_blind, trial.side.piece.half_blind),
            (trial.back.piece.through, trial.side.piece.through),
        ):
            assert pins is not None
            assert tails is not None
            (tail,) = tails.tails
            gaps = [(socket.width_mm - tail.width_mm) / 2 + pins.clearance_mm for socket in pins.tails]
            assert gaps == pytest.approx(job.trial.clearances_mm)
            assert tails.clearance_mm == min(job.trial.clearances_mm)


def test_a_trial_of_more_steps_than_nicks_can_count_is_refused_with_the_number_that_can(samples: Path) -> None:
    job, _ = read_job(samples / "first-drawer.toml")
    many = replace(job, trial=TrialWish(tuple(number / 100 for number in range(16)), (0.1,)))
    with pytest.raises(CannotCut, match="too shallow to be felt"):
        trial_work_of(many, dialect_of("mm"))


def test_words_in_the_picture_of_a_trial_do_not_run_into_each_other(job: Job) -> None:
    for trial in trials_of(job, drawers_of(job), 140.0):
        paper = trial_picture(trial)
        boxes = [label.box for label in paper.labels]
        for i, (left, bottom, right, top) in enumerate(boxes):
            assert left >= 0
            assert bottom >= 0
            assert right <= paper.size[0]
            assert top <= paper.size[1]
            for other in boxes[i + 1 :]:
                assert min(right, other[2]) <= max(left, other[0]) or min(top, other[3]) <= max(bottom, other[1]), (paper.labels[i], other)
