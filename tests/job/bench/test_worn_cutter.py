"""Worn cutters cut the trial; what a caliper reads there gives them back, and the drawers that they then cut close as the trial did."""

from __future__ import annotations

import json
import math
import random
from pathlib import Path

import pytest
from click.testing import CliRunner

from camtools.cli import group
from camtools.job import read_job
from camtools.job.bench.measured_cutter import Slots, cutter_as_is
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import WorkedJob, files_of, trial_work_of, work_of
from camtools.verify.checking import check
from camtools.verify.report import Report

JOB = """title = "Seeds"
stock = { front = 20, side = 12, bottom = 6.4, wood = "beech" }
cutters = [
  { kind = "dovetail", diameter = 12.7, angle = 14, cutting_length = 16, feed = 1000 },
  { kind = "straight", diameter = 6, cutting_length = 22 },
]
[[drawers]]
name = "Mosses"
outside = [120, 60, 110]
"""
WORN = {"dovetail": (12.55, 13.7), "straight": (5.94, 0.0)}


def carved(work: WorkedJob, folder: Path) -> Report:
    """Write a packet, and carve what the worn cutters make of it."""
    packet = write_packet(folder, files_of(work, without=("pictures", "templates", "drawings")))
    manifest = json.loads((packet / "manifest.json").read_text())
    for entry in manifest["tools"]:
        entry["diameter"], entry["half_angle"] = WORN[entry["kind"]]
    (packet / "manifest.json").write_text(json.dumps(manifest))
    return check(packet)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("worn")
    (folder / "seeds.toml").write_text(JOB)
    return folder


@pytest.fixture(scope="module")
def trial(folder: Path) -> Report:
    job, _ = read_job(folder / "seeds.toml")
    return carved(trial_work_of(job, dialect_of("mm")), folder / "trial")


def mouths(trial: Report) -> dict[tuple[int, float], float]:
    """Return the width of every slot as carved, by cutter and depth."""
    return {(slot.tool, slot.depth_mm): slot.width_mm for slot in trial.trials[0].slots}


def test_mouths_are_as_wide_as_the_worn_cutters_are_there(trial: Report) -> None:
    slope = math.tan(math.radians(13.7))
    for (tool, depth), width in mouths(trial).items():
        assert width == pytest.approx(12.55 - 2 * depth * slope if tool == 1 else 5.94, abs=2e-3)


def test_rounded_readings_give_the_worn_cutter_back_within_what_is_stated(trial: Report) -> None:
    """200 seeds: the marks of the caliper lie anywhere against the jaws, so a reading is up to half a step off."""
    depths, widths = zip(*((depth, width) for (tool, depth), width in mouths(trial).items() if tool == 1), strict=True)
    assert len(depths) == 2
    for seed in range(200):
        draw = random.Random(seed)
        marks = [draw.uniform(-0.5, 0.5) for _ in widths]
        read = tuple((round(width / 0.02 + mark) - mark) * 0.02 for width, mark in zip(widths, marks, strict=True))
        shape = cutter_as_is(Slots(depths, read))
        assert abs(shape.diameter_mm - 12.55) <= shape.within_mm + 2e-3  # of the carving
        assert abs(shape.angle_deg - 13.7) <= shape.within_deg + 0.01


def test_drawers_that_the_worn_cutters_cut_with_the_answers_close_as_the_trial_did(trial: Report, folder: Path) -> None:
    read: dict[int, list[str]] = {}
    for (tool, _), width in mouths(trial).items():
        read.setdefault(tool, []).append(f"{round(width / 0.02) * 0.02:.2f}")
    words = [word for tool, widths in read.items() for word in ("--slots", str(tool), ",".join(widths))]
    words += ["--half-blind", "5", "--through", "4", "--trial", str(folder / "trial")]
    result = CliRunner().invoke(group, ["fit", str(folder / "seeds.toml"), *words])
    assert result.exit_code == 0, result.output
    assert "good enough for steps of 0.040 mm" in " ".join(result.stderr.split())
    job, _ = read_job(folder / "seeds.toml")
    (drawer,) = carved(work_of(job, dialect_of("mm")), folder / "drawers").drawers
    steps = {(step.joint, step.number): step.flank for step in trial.trials[0].steps}
    for joint in drawer.joints:
        blind = joint.corner.startswith("front")
        fitted, found = steps["half-blind", 5] if blind else steps["through", 4], joint.measured.flank
        chosen = job.drawers[0].joint.clearances_mm[0 if blind else 1]
        assert fitted is not None
        assert found is not None
        assert found.mean_mm == pytest.approx(chosen, abs=0.005)
        # The trial's through joints are tightest at the very inside face, and are measured up to 0.6 mm from it.
        assert found.smallest_mm == pytest.approx(fitted.smallest_mm, abs=0.005 if blind else 0.008)
