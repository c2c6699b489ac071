"""Random sheets of boards, and a job that they are for: two kinds of drawers, one of them twice, with a raised back and roughing."""

from __future__ import annotations

import csv
import io
import random
from pathlib import Path

from camtools.job import read_job
from camtools.job.job import Job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.measuring import lines_of_sheet
from camtools.output.sections import JUDGED, SECTIONS, files_of, work_of

__all__ = ["JOB", "OFF_MM", "packet_of", "random_sheet"]

JOB = """title = "Specimen chest, boards as they are"
stock = { front = 18, side = 10, back = 10, bottom = 4 }
cutters = [
  { kind = "dovetail", diameter = 9.5, angle = 9, cutting_length = 15 },
  { kind = "straight", diameter = 3, cutting_length = 15, depth_per_pass = 3 },
]
[boards]
file = "sheets/measured.csv"
[[drawers]]
name = "Seed drawer"
opening = [121, 48, 119]
[[drawers]]
name = "Moss drawer"
outside = [130, 60, 112]
count = 2
fit = { back = "raised" }
groove = { ends = "hidden" }
stock = { bottom_kind = "solid" }
joints = { rough = true }
"""
OFF_MM = {"length": 0.5, "width": 0.4, "thickness": 0.3}  # over and under the plan


def random_sheet(job: Job, seed: int) -> str:
    """Return a sheet of boards that are off the plan by chance, one cell in eight left blank."""
    chance = random.Random(seed)
    table = io.StringIO()
    writer = csv.writer(table)
    writer.writerow(["board", *(f"{name} mm" for name in OFF_MM)])
    for mark, _, _, _, planned in lines_of_sheet(job):
        cells = [
            f"{float(size) + chance.uniform(-off, off):.2f}" if size and chance.random() > 1 / 8 else ""
            for size, off in zip(planned, OFF_MM.values(), strict=True)
        ]
        writer.writerow([mark, *cells])
    return table.getvalue()


def packet_of(folder: Path, seed: int, job: str = JOB) -> Path:
    """Write the packet of a job with a random sheet into a folder; return it."""
    path, sheet = folder / "drawers.toml", folder / "sheets" / "measured.csv"
    sheet.parent.mkdir()
    path.write_text(job)
    sheet.write_text(random_sheet(read_job(path, boards=False)[0], seed))
    made, _ = read_job(path)
    files = files_of(work_of(made, dialect_of(made.machine.postprocessor)), without=SECTIONS.keys() - JUDGED)
    return write_packet(folder / "packet", files)
