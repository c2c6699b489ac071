from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from camtools.drawer.boards import Drawer
from camtools.drawer.drawers import drawers_of
from camtools.geometry.half_blind import socket_outline, tail_outline
from camtools.geometry.through import socket_half_width_mm
from camtools.job.jobfile import read_job
from camtools.setout.drawings.joint_views import common_scale, corner_at_work, corner_of, layout_of
from camtools.wording import told_in
from tests.output.test_comments import HOSTILE
from tests.setout.drawings.svg_parts import places_of, tree_of

SAMPLES = Path(__file__).parents[3] / "samples"
CHEST, _ = read_job(SAMPLES / "specimen-chest.toml")
DRAWERS = drawers_of(CHEST)
ROUNDED_PX = 0.11  # a place of a picture is told to a tenth


def lines_of(picture: str) -> list[list[tuple[float, float]]]:
    return [places_of(path) for path in tree_of(picture).iter("path")]


def across(places: list[tuple[float, float]], x: float) -> list[float]:
    """Return the heights at which an outline has a corner on an upright line."""
    return sorted({y for here, y in places if abs(here - x) < 2 * ROUNDED_PX}, reverse=True)


@pytest.mark.parametrize("drawer", [DRAWERS[0], DRAWERS[5]], ids=lambda drawer: drawer.name)
def test_tails_are_drawn_where_the_programs_cut_them(drawer: Drawer) -> None:
    """The outside edges of every tail, at its tips and at the shoulder, are those of the cutter's own outline."""
    px = common_scale(DRAWERS)
    joint = drawer.right.piece.half_blind
    assert joint is not None
    faces = [places_of(path) for path in tree_of(corner_of(drawer, "front", px)).iter("path") if path.attrib["fill"] == "#f7ead0"]
    side = max(faces, key=len)
    low = max(y for _, y in side)
    tip = min(x for x, _ in side)
    shoulder = tip + joint.length_mm * px
    for depth, x in ((0.0, tip), (joint.length_mm, shoulder)):
        curves = [tail_outline(joint, tail.middle_mm, tail.width_mm, depth) for tail in joint.tails]
        edges = [v for curve in curves for v in (curve[0].start[0], curve[-1].end[0])]
        drawn = [(low - y) / px for y in across(side, x)]
        assert all(min(abs(edge - one) for one in drawn) < 3 * ROUNDED_PX / px for edge in edges)


def test_sockets_behind_the_lap_and_tails_in_the_back_are_as_wide_as_they_are_cut() -> None:
    drawer, px = DRAWERS[5], 2.0
    blind, through = drawer.right.piece.half_blind, drawer.right.piece.through
    assert blind is not None
    assert through is not None
    sockets = [socket_outline(blind, tail.middle_mm, tail.width_mm, 0.0) for tail in blind.tails]
    wanted = {
        "front": [curve[-1].end[0] - curve[0].start[0] for curve in sockets],
        "back": [2 * socket_half_width_mm(through, tail, 0.0) for tail in through.tails],
    }
    for corner, widths in wanted.items():
        paths = [path for path in tree_of(corner_of(drawer, corner, px)).iter("path") if path.attrib["fill"] == "#e0c99b"]
        shapes = [part for path in paths for part in path.attrib["d"].split("M") if part]
        heights = [[float(number) for number in shape.replace("Z", "").split()[1::2]] for shape in shapes]
        spans = [(max(own) - min(own)) / px for own in heights]
        assert all(min(abs(span - width) for span in spans) < 0.15 for width in widths)


def test_all_corners_of_a_piece_share_one_scale() -> None:
    px = common_scale(DRAWERS)
    low, high = corner_of(DRAWERS[0], "front", px), corner_of(DRAWERS[6], "front", px)
    heights = [float(tree_of(one).attrib["height"]) for one in (low, high)]
    assert heights[1] - heights[0] == pytest.approx((DRAWERS[6].outside_mm[2] - DRAWERS[0].outside_mm[2]) * px, abs=1.5)


def test_what_can_be_dragged_tells_its_key_and_its_value_and_a_finger_finds_it() -> None:
    drawer = DRAWERS[5]
    joint = drawer.right.piece.half_blind
    groove = drawer.right.piece.groove
    assert joint is not None
    assert groove is not None
    picture = tree_of(corner_at_work(drawer, 6))
    grips = [own for own in picture.iter("g") if own.attrib.get("class") == "grip"]
    values = {own.attrib["data-key"]: float(own.attrib["data-value"]) for own in grips}
    lowest, second = joint.tails[:2]
    assert values == pytest.approx(
        {
            "joints.half_pin": lowest.low_mm,
            "joints.tail": lowest.width_mm,
            "joints.pin": second.low_mm - lowest.high_mm,
            "joints.lap": 5,
            "groove.edge": 11.5,
        }
    )
    assert {own.attrib["data-drawer"] for own in grips} == {"6"}
    assert all(own.attrib["role"] == "slider" and own.attrib["aria-label"] and own.attrib["tabindex"] == "0" for own in grips)
    for own in grips:
        xs, ys = zip(*places_of(own.findall("path")[-1]), strict=True)
        assert min(max(xs) - min(xs), max(ys) - min(ys)) >= 44
    lines = {own.attrib["data-key"]: places_of(line) for own in grips if (line := own.find("g/path")) is not None}
    px = float(grips[0].attrib["data-px"])
    zero = lines["joints.half_pin"][0][1] + px * lowest.low_mm
    assert zero - lines["groove.edge"][0][1] == pytest.approx(11.5 * px, abs=0.2)
    assert lines["joints.half_pin"][0][1] - lines["joints.tail"][0][1] == pytest.approx(lowest.width_mm * px, abs=0.2)
    assert lines["joints.tail"][0][1] - lines["joints.pin"][0][1] == pytest.approx(values["joints.pin"] * px, abs=0.2)


def test_a_job_in_inches_is_dragged_in_inches() -> None:
    job, _ = read_job(SAMPLES / "inch-cabinet.toml")
    drawer = drawers_of(job)[0]
    with told_in("in"):
        grips = [own for own in tree_of(corner_at_work(drawer, 1)).iter("g") if own.attrib.get("class") == "grip"]
    lap = next(own for own in grips if own.attrib["data-key"] == "joints.lap")
    assert lap.attrib["data-unit"] == "in"
    assert float(lap.attrib["data-value"]) * 25.4 == pytest.approx(drawer.right.to_drawer[1][3], abs=0.01)
    assert float(lap.attrib["data-px"]) > 25


def test_each_layout_that_can_be_cut_has_a_picture_of_so_many_tails() -> None:
    drawer = DRAWERS[6]
    for layout in drawer.layouts:
        if layout.half_pin_mm is None:
            with pytest.raises(ValueError, match="no picture"):
                layout_of(drawer, layout)
            continue
        outline = max(lines_of(layout_of(drawer, layout)), key=len)
        tip = sorted({x for x, _ in outline})[0]
        edges = across(outline, tip)
        assert len(edges) == 2 * layout.count
        widths = [low - high for low, high in pairwise(edges)][::2]
        assert widths == pytest.approx([tail * widths[0] / layout.tails_mm[0] for tail in layout.tails_mm], abs=0.25)


@pytest.mark.parametrize("text", HOSTILE)
def test_text_of_the_job_is_only_ever_text(text: str) -> None:
    drawer = replace(DRAWERS[0], name=text)
    for picture in (corner_of(drawer, "front", 2.0), corner_of(drawer, "back", 2.0), corner_at_work(drawer, 1)):
        assert {element.tag for element in tree_of(picture).iter()} <= {"svg", "g", "path", "text"}
