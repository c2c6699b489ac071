"""The upright plate to build: boards of the job stand on it, cutters meet but its strip, and its keys make a job that passes."""

from __future__ import annotations

import csv
import io
import tomllib
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest

from camtools.drawer.drawers import drawers_of
from camtools.drawings.plate_files import plate_files
from camtools.drawings.upright_plate import parts_of, upright_plate_of
from camtools.faults import CannotCut
from camtools.job import parse_job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, work_of
from camtools.toolpath.programs import programs_of
from camtools.verify.checking import check

JOB = """
title = "Seed chest"
stock = { front = 20, side = 12, bottom = 6.4 }
cutters = [
  { kind = "dovetail", diameter = 12.7, angle = 14, cutting_length = 16 },
  { kind = "straight", diameter = 6, cutting_length = 22 },
]
drawers = [{ name = "Seeds", outside = [180, 90, 200] }]
[machine]
travel = [300, 400, 90]
"""


def read(*lines):
    return parse_job("\n".join((JOB, *lines)), "a job")[0]


@pytest.fixture(scope="module")
def job():
    return read('holds = ["flat"]')


@pytest.fixture(scope="module")
def plate(job):
    return upright_plate_of(job)


def test_job_with_the_keys_of_the_plate_makes_a_packet_that_passes(job, plate, tmp_path):
    built = read(*plate.keys)
    assert tomllib.loads("\n".join(plate.keys)).keys() >= {"upright_stops", "upright_plate"}
    work = work_of(built, dialect_of("mm"))
    packet = write_packet(tmp_path / "packet", files_of(work, without=("pictures", "templates", "drawings")))
    assert check(packet).findings == ()


def test_cutters_meet_nothing_of_the_plate_but_the_strip(job, plate):
    built = replace(job, machine=replace(job.machine, holds=("upright", "flat")))
    upright = [program for program in programs_of(built, drawers_of(built)) if program.setup.hold == "upright"]
    deepest = -min(move.end[2] for program in upright for cut in program.cuts for move in cut.moves)
    assert plate.strip_mm - 8.0 - 4.5 > deepest  # its screws, heads included
    assert min(plate.stop_below_mm, plate.bar_below_mm - 15.0) > deepest
    assert plate.over_bed_mm + plate.bed_bolt_mm - 11.0 > plate.strip_mm  # heads of the bolts into the bed
    reach = max(move.end[1] + cut.cutter.diameter_mm / 2 for program in upright for cut in program.cuts for move in cut.moves)
    assert reach < plate.backing_mm


def test_two_boards_stand_between_the_stops_and_are_thicker_than_they(plate):
    left, right = plate.travel_stops_mm
    assert right - left == plate.stops_mm[1] - plate.stops_mm[0] >= 2 * 88
    assert plate.stop_thick_mm < 12


def test_parts_are_those_of_the_drawing(job, plate):
    files = plate_files(job, plate)
    rows = list(csv.DictReader(io.StringIO(files["parts.csv"].decode("utf-8-sig"))))
    assert [(row["part"], int(row["number off"])) for row in rows] == [(part.name, part.count) for part in parts_of(plate)]
    assert float(rows[0]["length mm"]) == plate.width_mm
    assert {Path(name).suffix for name in files} == {".csv", ".dxf", ".pdf", ".svg", ".txt"}


def test_holes_of_the_drawing_lie_where_stops_and_bolts_are(job, plate):
    """Read by a library for DXF files: middles of circles, which are drawn as two half turns, at full size."""
    holes = []
    for name, content in plate_files(job, plate).items():
        if name.endswith(".dxf"):
            document = ezdxf.read(io.StringIO(content.decode("utf-8")))
            for line in document.modelspace().query("LWPOLYLINE"):
                points = line.get_points("xyb")
                if len(points) == 2 and all(bulge == 1.0 for *_, bulge in points):
                    holes.append((round(abs(points[1][0] - points[0][0]), 3), (points[0][0] + points[1][0]) / 2))
    bolts = sorted(x for width, x in holes if width == 8.5)
    apart = {round(b - a, 2) for a in bolts for b in bolts}
    assert plate.bar_bolts_mm[1] - plate.bar_bolts_mm[0] in apart
    assert {width for width, _ in holes} == {8.5, 22.0, 4.5}


def narrow(travel_x_mm):
    job = read('holds = ["flat"]')
    return replace(job, machine=replace(job.machine, travel_mm=(travel_x_mm, 400.0, 90.0)))


def test_widest_board_that_finds_no_room_between_both_stops_stands_at_one():
    """A board 90 mm wide; cutters go 5.85 mm beyond its edges, and 5 mm of travel are spared at each end."""
    assert not upright_plate_of(narrow(114.0)).one_stop
    wide = upright_plate_of(narrow(113.0))
    assert wide.one_stop
    assert "take the one off" in " ".join(plate_files(narrow(113.0), wide)["read-me.txt"].decode().split())


def test_travel_that_leaves_no_room_for_a_board_is_refused_with_what_would_do():
    job = read('holds = ["flat"]')
    drawers = replace(job.drawers[0], outside_mm=(180.0, 130.0, 200.0))
    short = replace(job, drawers=(drawers,), machine=replace(job.machine, travel_mm=(142.0, 400.0, 90.0)))
    assert upright_plate_of(short).one_stop
    with pytest.raises(CannotCut):
        upright_plate_of(replace(short, machine=replace(job.machine, travel_mm=(120.0, 400.0, 90.0))))
