"""Combs, cut on a laser and followed by a bush, cut joints that close as well as the machine's programs do."""

from __future__ import annotations

from pathlib import Path

import pytest
from shapely import LineString, Point

from camtools.drawer.boards import Drawer
from camtools.drawer.drawers import drawers_of
from camtools.geometry.frames import mirrors
from camtools.job.job import TemplateWish
from camtools.job.jobfile import read_job
from camtools.templates.kit import Kit, kit_of
from camtools.templates.template_files import templates_of
from tests.output.comb_sweeping import comb_in, frame_of, joined, read_dxf, work_of
from tests.output.specimens import BLADE, DRAWER, STRAIGHT
from tests.specimens import template_wish

ENDS = {
    "left": ("front end", "rear end"),
    "right": ("front end", "rear end"),
    "front": ("left end", "right end"),
    "back": ("left end", "right end"),
}


def routed_boards(kit: Kit, files: dict[str, bytes], drawer: Drawer, kerf_mm: float):
    """Return the work on every board of a drawer, end by end, with the comb whose words name that end."""
    joints = {named.code: named.joint for named in kit.joints}
    works: dict[str, list] = {}
    for part, ends in ENDS.items():
        board = getattr(drawer, part)
        for end in ends:
            for comb in kit.combs:
                told = f"{board.piece.role}, {end}"
                if joints[comb.plate.name.split()[0]] not in (board.piece.half_blind, board.piece.through):
                    continue
                if told not in comb.engraved_up and told not in comb.turned_over:
                    continue
                thick = (drawer.left if comb.kind == "sockets" else board).piece.size_mm[2]
                data = files[f"comb-{comb.plate.name.lower().replace(' ', '-')}-mm.dxf"]
                works.setdefault(part, []).append(work_of(board, comb, data, end, kerf_mm, thick))
    assert {part: len(work) for part, work in works.items()} == dict.fromkeys(ENDS, 2)
    return works


def limits_of(drawer: Drawer) -> dict[str, float]:
    blind, through = drawer.left.piece.half_blind, drawer.left.piece.through
    return {"flank": blind.clearance_mm, "tip": blind.free_depth_mm, "lap": blind.lap_mm, "proud": through.proud_mm}


@pytest.mark.parametrize(
    ("sample", "number", "wishes"),
    [
        ("first-drawer", 0, template_wish(kerf=0.0, dxf="R12", text="outlines")),
        ("specimen-chest", 5, template_wish(kerf=0.4)),
        ("inch-cabinet", 0, template_wish(leave_out=True)),  # its back is raised
    ],
)
def test_joints_routed_with_combs_close_by_the_measures_of_the_check(samples: Path, sample: str, number: int, wishes: TemplateWish) -> None:
    job, _ = read_job(samples / f"{sample}.toml")
    drawers = drawers_of(job)
    kit = kit_of(drawers, wishes)
    files = templates_of(kit)
    drawer = drawers[number]
    faults, bound = joined(drawer, routed_boards(kit, files, drawer, wishes.kerf_mm), job.cutters, limits_of(drawer))
    assert [fault.text for fault in faults] == []
    assert bound < 0.01


def test_a_kerf_that_is_not_the_lasers_is_found() -> None:
    """A comb drawn for 0.25 mm and cut with 0.6 mm is 0.175 mm short on every edge, so the joint does not close as chosen."""
    kit = kit_of((DRAWER,), template_wish())
    files = templates_of(kit)
    bad, _ = joined(DRAWER, routed_boards(kit, files, DRAWER, 0.6), (BLADE, STRAIGHT), limits_of(DRAWER))
    assert "flank-clearance" in {fault.code for fault in bad}


def test_a_comb_the_wrong_way_round_cuts_a_mirror_image() -> None:
    """What the words on the comb say keeps left and right; the other face up would not."""
    kit = kit_of((DRAWER,), template_wish())
    for part, ends in ENDS.items():
        board = getattr(DRAWER, part)
        for end in ends:
            for comb in kit.combs:
                if f"{board.piece.role}, {end}" in comb.engraved_up + comb.turned_over:
                    frame = frame_of(board, comb, end)
                    assert not mirrors(frame, board.to_drawer), (comb.plate.name, end)
                    flipped = (tuple(-x for x in frame[0]), *frame[1:])
                    assert mirrors(flipped, board.to_drawer)


def test_the_bush_comes_as_near_to_the_wood_as_half_of_bush_less_cutter() -> None:
    """Offset (bush - cutter)/2, here of straight walls: docs/sources.md section 10 (four trade sources)."""
    drawers, wishes = (DRAWER,), template_wish(kerf=0.0)
    kit = kit_of(drawers, wishes)
    files = templates_of(kit)
    comb = next(comb for comb in kit.combs if comb.plate.name == "T1 tails")
    joint = DRAWER.left.piece.through
    part, reference, face = comb_in(files["comb-t1-tails-mm.dxf"], 0.0)
    tail = joint.tails[1]
    # At the tip plane, `back` above the cutter's tip, the cutter is this thick:
    thick = comb.cutter.diameter_mm - 2 * joint.back_mm * joint.dovetail.slope
    across = LineString([(part.bounds[0], face - 5.0), (part.bounds[2], face - 5.0)])
    lanes = across.difference(part.buffer(comb.bush_mm / 2, quad_segs=256))
    wall = max(lane.bounds[2] - reference for lane in lanes.geoms if lane.bounds[2] - reference < tail.middle_mm)
    assert wall + thick / 2 == pytest.approx(tail.low_mm, abs=0.001)
    near = part.boundary.distance(Point(tail.low_mm + reference, face - 5.0))
    assert near == pytest.approx(abs(comb.bush_mm - thick) / 2, abs=0.001)


def test_r12_holds_the_same_lines_as_r2000() -> None:
    new, old = (templates_of(kit_of((DRAWER,), template_wish(dxf=version))) for version in ("R2000", "R12"))
    for name in (name for name in new if name.endswith(".dxf")):
        first, second = (read_dxf(files[name]) for files in (new, old))
        assert (first.dxfversion, second.dxfversion) == ("AC1015", "AC1009")
        kinds = {entity.dxftype() for entity in second.modelspace()}
        assert kinds == {"POLYLINE"}
        light = [[(round(x, 6), round(y, 6), round(b, 6)) for x, y, b in e.get_points("xyb")] for e in first.modelspace()]
        heavy = [
            [(round(v.dxf.location.x, 6), round(v.dxf.location.y, 6), round(v.dxf.bulge, 6)) for v in e.vertices]
            for e in second.modelspace()
        ]
        assert light == heavy
