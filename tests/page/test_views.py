"""The motion that the view shows: the program's own, in time with the manifest and within the stated chord of its arcs."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from pathlib import Path

import pytest

from camtools.geometry.frames import box_of
from camtools.output.manifest import ToolEntry
from camtools.page.facts import PacketFacts
from camtools.page.views import CHORD_MM, motion_view, profile_of
from camtools.pictures.drawing_style import PENS


@pytest.fixture(scope="module")
def views(sample: PacketFacts) -> dict[str, dict[str, object]]:
    return {program.stem: motion_view(sample, program, sample.boards[program.entry.board]) for program in sample.programs}


def test_time_is_the_manifests_less_what_stands_still(sample: PacketFacts, views: dict[str, dict[str, object]]) -> None:
    """The manifest counts the spindle's run-up; the rest is motion, within 1 %."""
    for program in sample.programs:
        shown = views[program.stem]["time"][-1]
        assert shown + sample.names.machine.spin_up_s == pytest.approx(program.entry.seconds, rel=0.01), program.entry.file


def test_time_never_runs_back_and_lists_are_of_one_length(views: dict[str, dict[str, object]]) -> None:
    for view in views.values():
        times = view["time"]
        assert all(a <= b for a, b in pairwise(times))
        assert len({len(view[key]) for key in ("x", "y", "z", "kind", "line", "feed", "length", "time", "tool")}) == 1


def test_every_place_lies_on_its_programs_path(sample: PacketFacts, views: dict[str, dict[str, object]]) -> None:
    """Ends of moves are met exactly; chords of an arc leave it by no more than is stated, and their ends lie on it."""
    for program in sample.programs:
        view = views[program.stem]
        unit_mm = {"mm": 1.0, "in": 25.4}[view["unit"]]  # an inch is 25.4 mm: NIST SP 811, appendix B.6
        assert view["unit"] == ("in" if "G20" in program.text else "mm")
        places = [
            (x * unit_mm, y * unit_mm, z * unit_mm, line) for x, y, z, line in zip(*map(view.get, ("x", "y", "z", "line")), strict=True)
        ]
        for motion in program.run.motions:
            if motion.start == motion.end and motion.centre is None:
                continue  # it names a place, and moves nothing
            own = [place for place in places if place[3] == motion.line]
            assert any(math.dist(place[:3], motion.end) < 0.002 for place in own)
            if motion.centre is None:
                continue
            radius = math.dist(motion.start[:2], motion.centre)
            ring = [motion.start[:2], *(place[:2] for place in own)]
            for a, b in pairwise(ring):
                assert math.dist(b, motion.centre) == pytest.approx(radius, abs=0.002)
                middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
                assert radius - math.dist(middle, motion.centre) <= CHORD_MM + 0.002


def test_lines_of_text_are_those_of_the_file(sample: PacketFacts, views: dict[str, dict[str, object]]) -> None:
    for program in sample.programs:
        lines = program.text.splitlines()
        for number, text in views[program.stem]["text"].items():
            assert lines[int(number) - 1] == text
            assert text.lstrip("N0123456789 ").startswith(("G0", "G1", "G2", "G3", "G53 G0"))


def test_board_stop_and_plate_or_bed_are_shown(sample: PacketFacts, views: dict[str, dict[str, object]]) -> None:
    for program in sample.programs:
        view = views[program.stem]
        around = {box["name"] for box in view["around"]}
        assert view["board"]["name"] == "board"
        assert "stop" in around
        assert ("plate" if program.entry.hold == "upright" else "bed") in around
        assert set(view["cutters"]) == {str(number) for number in program.entry.tools}


def test_a_cutter_is_drawn_in_its_true_shape() -> None:
    """At the height h above its tip a cutter of diameter D and flank angle a measures D - 2 h tan(a) (common practice)."""
    tool = ToolEntry(number=1, kind="dovetail", diameter=12.7, half_angle=14.0, cutting_length=12.7, shank=8.0)
    profile = {height: radius for radius, height in profile_of(tool, 40.0)[1:3]}
    assert 2 * profile[0.0] == pytest.approx(12.7)
    assert 2 * profile[12.7] == pytest.approx(6.37, abs=0.005)
    assert profile_of(tool, 40.0)[-1] == (4.0, 40.0)


def test_feed_in_air_and_in_wood_are_told_apart_where_the_rim_meets_the_board(
    sample: PacketFacts, views: dict[str, dict[str, object]]
) -> None:
    """By distance from the board's box: in wood it is less than the cutter's radius, below the board's top."""
    for program in sample.programs:
        view, board = views[program.stem], sample.boards[program.entry.board]
        unit_mm = {"mm": 1.0, "in": 25.4}[view["unit"]]
        low, high = box_of(program.entry.to_machine, board.size)
        radius = max(sample.tool(number).diameter for number in program.entry.tools) / 2
        places = [tuple(v * unit_mm for v in place) for place in zip(*map(view.get, "xyz"), strict=True)]
        for (a, b), kind in zip(pairwise(places), view["kind"][1:], strict=True):
            beside = 0.03 if math.dist(a, b) > 3.0 else 3.0  # short ones may be chords, which are not parted
            for share in (0.05, 0.5, 0.95):
                x, y = (p + (q - p) * share for p, q in zip(a[:2], b[:2], strict=True))
                away = math.hypot(max(low[0] - x, x - high[0], 0.0), max(low[1] - y, y - high[1], 0.0))
                if kind and abs(away - radius) > beside and max(a[2], b[2]) < high[2]:
                    assert kind == (2 if away < radius else 1)


def test_kinds_of_move_have_the_colours_of_the_pictures(house: Path) -> None:
    script = (house / "camtools" / "page" / "templates" / "page.js").read_text()
    assert re.findall(r'name: "([a-z ]+)", color: "(#[0-9a-f]{6})"', script) == [
        ("rapid", PENS["rapid"].colour),
        ("feed in air", PENS["air"].colour),
        ("feed in wood", PENS["wood"].colour),
    ]
