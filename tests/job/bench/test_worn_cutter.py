"""A worn cutter cuts slots in an offcut; what a caliper reads there gives the cutter back, and joints that it then cuts close as chosen."""

from __future__ import annotations

import json
import math
import random
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner

from camtools.cli import group
from camtools.job import read_job
from camtools.job.bench.measured_cutter import Slots, cutter_as_is
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.manifest import ToolEntry
from camtools.output.sections import files_of, work_of
from camtools.toolpath.drawn_cut import DrawnCut
from camtools.verify.carving.carve import BoardWork, Carving, carve, solid_of
from camtools.verify.checking import check
from camtools.verify.fit.plane_sections import section
from camtools.verify.reader.interpreter import run
from tests.joint_specimens import AIR
from tests.verify.bench import FLAT, STATED

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
WORN = (12.55, 13.7)
WORN_STRAIGHT = 5.93
CHOSEN = 0.08
DEPTHS = (3.0, 4.0, 5.0, 6.0, 7.0, 8.0)


def tool(number, diameter, angle, length):
    return ToolEntry(
        number=number, kind="dovetail" if angle else "straight", diameter=diameter, half_angle=angle, cutting_length=length, shank=6
    )


@pytest.fixture(scope="module")
def mouths(tmp_path_factory):
    """Return widths of the mouths of two slots and of a groove that worn cutters cut, as carved; not rounded."""
    folder = tmp_path_factory.mktemp("slots")
    (folder / "job.toml").write_text(JOB)
    job, _ = read_job(folder / "job.toml")
    text = f"{STATED}\n"
    for number, x, depth in (*((1, 12 + 18 * place, depth) for place, depth in enumerate(DEPTHS)), (2, 115, 4.0)):
        pen = DrawnCut(job.cutter(number), AIR)
        pen.over(x, 20.0)
        pen.height(-depth)
        pen.to(x, -40.0)
        pen.to(x, 20.0)
        text += f"T{number} M6 G43 H{number}\nS16000 M3\nG0 X{x} Y20 Z50\n"
        text += "".join("G1 X{:.4f} Y{:.4f} Z{:.4f} F900\n".format(*move.end) for move in pen.cut("slot").moves)
    motions = run(text, "slots.ngc").motions
    tools = {1: tool(1, *WORN, 16), 2: tool(2, WORN_STRAIGHT, 0, 22)}
    solid = solid_of(carve(Carving((300.0, 130.0, 20.0), (BoardWork("slots.ngc", FLAT.to_machine, motions),), tools)))
    wood = section(solid, "z", 20.0 - 1e-4).runs(1, 290.0)
    return [after.low - before.high for before, after in pairwise(wood)]


def test_mouths_are_as_wide_as_the_worn_cutters_are_there(mouths):
    slope = math.tan(math.radians(WORN[1]))
    assert mouths == pytest.approx([*(WORN[0] - 2 * depth * slope for depth in DEPTHS), WORN_STRAIGHT], abs=2e-3)


def test_rounded_readings_give_the_worn_cutter_back_within_what_is_stated(mouths):
    """200 seeds: the marks of the caliper lie anywhere against the jaws, so a reading is up to half a step off."""
    for seed in range(200):
        draw = random.Random(seed)
        marks = [draw.uniform(-0.5, 0.5) for _ in DEPTHS]
        read = tuple((round(width / 0.02 + mark) - mark) * 0.02 for width, mark in zip(mouths, marks, strict=False))
        which = slice(None, None, 5) if seed % 2 else slice(None)  # the first and the last, or all
        shape = cutter_as_is(Slots(DEPTHS[which], read[which]))
        assert abs(shape.diameter_mm - WORN[0]) <= shape.within_mm + 2e-3  # of the carving
        assert abs(shape.angle_deg - WORN[1]) <= shape.within_deg + 0.02


def test_joints_that_the_worn_cutters_cut_with_the_answer_close_as_chosen(mouths, tmp_path: Path):
    job_file = tmp_path / "seeds.toml"
    job_file.write_text(JOB)
    *slots, groove = (f"{round(width / 0.02) * 0.02:.2f}" for width in mouths)
    words = ["--slots", "1", ",".join(slots), "--slot-depths", ",".join(map(str, DEPTHS)), "--slots", "2", groove]
    words += ["--half-blind", f"{CHOSEN} mm", "--through", f"{CHOSEN} mm"]
    result = CliRunner().invoke(group, ["fit", str(job_file), *words])
    assert result.exit_code == 0, result.output
    assert "good enough for steps of 0.040 mm" in " ".join(result.stderr.split())

    def flanks(folder: str, *, answered: bool) -> dict[str, float]:
        if not answered:
            (tmp_path / "seeds.fit.toml").unlink()
        job, _ = read_job(job_file)
        work = work_of(job, dialect_of("mm"))
        packet = write_packet(tmp_path / folder, files_of(work, without=("pictures", "templates", "drawings")))
        manifest = json.loads((packet / "manifest.json").read_text())
        for entry in manifest["tools"]:
            diameter, angle = WORN if entry["kind"] == "dovetail" else (WORN_STRAIGHT, 0.0)
            entry |= {"diameter": diameter, "half_angle": angle}
        (packet / "manifest.json").write_text(json.dumps(manifest))
        (drawer,) = check(packet).drawers
        return {joint.corner: joint.measured.flank and joint.measured.flank.mean_mm for joint in drawer.joints}

    found = flanks("answered", answered=True)
    assert found == pytest.approx(dict.fromkeys(found, CHOSEN), abs=0.005)
    assert max(flanks("plain", answered=False).values()) < 0.01  # as marked they would bind
