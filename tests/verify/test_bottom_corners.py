"""Bottoms of every kind whose corners programs cut: each carves its outline, and the drawer goes together with what was carved."""

import json

import pytest

from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, work_of
from camtools.verify.carving.carve import solid_of
from camtools.verify.checking import check_fully

JOB = """
title = "Botanist's specimen chest"
stock = {{ front = 20, side = 12, bottom = {bottom}, bottom_kind = "{kind}", wood = "oak" }}
cutters = [
  {{ kind = "dovetail", diameter = 12.7, angle = 14, cutting_length = 16 }},
  {{ kind = "straight", diameter = {cutter}, cutting_length = 22 }},
]
[groove]
bottom_corners = "machine"
ends = "{ends}"
{deeper}
[fit]
back = "{back}"
[joints]
light_pass = {light}
[machine]
postprocessor = "{dialect}"
[[drawers]]
name = "Seeds"
opening = [220, 100, 200]
"""
USUAL = {"bottom": 6.4, "kind": "plywood", "cutter": 6, "ends": "stopped", "deeper": "", "back": "full", "light": 0.5, "dialect": "mm"}
KINDS = {
    "stepped at four corners": {},
    "stepped in front, under a raised back": {"back": "raised"},
    "square in front, in inches": {"ends": "hidden", "back": "raised", "dialect": "inch"},
    "square in front, stepped behind": {"ends": "hidden"},
    "solid, which moves": {"kind": "solid"},
    "thick and deep, a thin cutter": {"bottom": 9, "cutter": 3, "deeper": "depth = 7"},
    "no light pass": {"light": 0},
}


@pytest.mark.parametrize("kind", KINDS)
def test_programs_carve_the_outline_and_the_drawer_goes_together(kind, tmp_path):
    (tmp_path / "job.toml").write_text(JOB.format(**{**USUAL, **KINDS[kind]}), encoding="utf-8")
    job, _ = read_job(tmp_path / "job.toml")
    work = work_of(job, dialect_of(job.machine.postprocessor))
    packet = write_packet(tmp_path / "packet", files_of(work, without=("pictures", "templates", "drawings")))
    checked = check_fully(packet, jobs=1)
    assert [finding for finding in checked.report.findings if finding.severity == "error"] == []
    assert checked.report.judged
    manifest = json.loads((packet / "manifest.json").read_text())
    programs = [entry for entry in manifest["programs"] if entry["kind"] == "cut" and entry["board"] == "d1-bottom"]
    assert [entry["stop"] for entry in programs] == ["left", "right"]
    # What was put together is the carved panel, not the outline: it is smaller than that, by what the cutter ran on into the tongues.
    (length, width, thick), outline = next((board["size"], board["outline"]) for board in manifest["boards"] if board["role"] == "bottom")
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(outline, [*outline[1:], outline[0]], strict=True)) / 2
    carved = solid_of(checked.assemblies[0].carved["bottom"]).volume() / thick
    assert 0.0 < area - carved < 8 * (USUAL | KINDS[kind])["cutter"] ** 2
    assert area < length * width
