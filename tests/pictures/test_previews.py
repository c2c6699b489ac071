from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from camtools.pictures.drawing_style import TONES
from camtools.pictures.paper import Paper
from camtools.pictures.previews import draw_all, preview_of
from camtools.toolpath.moves import Program
from tests.output.picture_specimens import PICTURED, faults_of_words, preview
from tests.output.specimens import PROGRAMS
from tests.pictures.pixels import pixels_of


def _by_stem(stem: str) -> Program:
    return next(program for program in PROGRAMS if program.stem.partition("-")[2] == stem)


def _words(paper: Paper) -> list[str]:
    return [label.text for label in paper.labels]


@pytest.mark.parametrize("name", PICTURED)
def test_words_are_whole_and_apart(name: str) -> None:
    assert faults_of_words(preview(name)) == []


@pytest.mark.parametrize("name", PICTURED)
def test_preview_names_hold_end_faces_edges_and_file(name: str) -> None:
    program, words = PICTURED[name], " | ".join(_words(preview(name)))
    setup = program.setup
    role, far = setup.piece.role.upper(), "REAR EDGE" if setup.piece.role == "bottom" else "TOP EDGE"
    wanted = ["STOP", "REFERENCE EDGE", far, "INSIDE FACE", "You stand here", role, program.stem, program.title]
    wanted += [setup.work_offset, setup.setting.stop_words(setup.stop), "mm"]
    if setup.end != "groove":
        wanted.append(setup.end.upper())
    if setup.hold == "upright":
        wanted += ["OUTSIDE FACE", "upright plate", f"{setup.backing_mm:g} mm thick"]
    assert [word for word in wanted if word not in words] == []


@pytest.mark.parametrize("program", PROGRAMS, ids=lambda program: program.stem)
def test_stop_stands_at_the_side_that_the_setup_says(program: Program) -> None:
    paper = preview_of(program)
    stop = next(label for label in paper.labels if label.text == "STOP")
    free = {"groove": ("REAR END", "RIGHT END")}.get(program.setup.end, ("TOP EDGE",))
    other = next(label for label in paper.labels if label.text in free)
    assert (stop.box[0] < other.box[0]) == (program.setup.stop == "left")


@pytest.mark.parametrize("program", PROGRAMS[::3], ids=lambda program: program.stem)
def test_same_program_gives_the_same_bytes(program: Program) -> None:
    assert preview_of(program).svg() == preview_of(program).svg()


def test_left_and_right_parts_differ_at_a_glance_in_grey() -> None:
    badge = np.s_[22:68, 1110:1262]
    left, right = (pixels_of(preview_of(_by_stem(f"{side}-side-1-front-end")).svg())[badge].mean() for side in ("left", "right"))
    assert left > 190
    assert right < 65


def test_key_plan_blackens_the_board_in_hand() -> None:
    black = {}
    for stem in ("left-side-1-groove", "right-side-1-groove", "front-1-groove", "back-1-groove"):
        plan = pixels_of(preview_of(_by_stem(stem)).svg())[10:76, 20:96].sum(axis=2) < 60
        rows, columns = np.nonzero(plan)
        black[stem] = (columns.mean(), rows.mean())
    assert black["left-side-1-groove"][0] < 30
    assert black["right-side-1-groove"][0] > 46
    assert black["back-1-groove"][1] < 25
    assert black["front-1-groove"][1] > 40


def test_setup_turned_the_other_way_round_shows_in_the_picture() -> None:
    """The picture follows the map of the board, not what the setup says of itself."""
    program = _by_stem("left-side-1-front-end")
    right = _by_stem("right-side-1-front-end").setup
    turned = replace(program, setup=replace(program.setup, to_machine=right.to_machine))
    edge = {
        name: next(label.box[0] for label in preview_of(each).labels if label.text == "TOP EDGE")
        for name, each in (("true", program), ("turned", turned))
    }
    board = [label for label in preview_of(turned).labels if label.text == "REFERENCE EDGE"]
    assert board[0].box[0] > edge["turned"]
    assert edge["true"] > 640


def test_program_without_a_dovetail_cutter_speaks_of_one_width_only() -> None:
    assert "width of cut" in _words(preview_of(_by_stem("back-1-left-end")))
    assert "width cut at the upper surface" in _words(preview_of(_by_stem("front-1-left-end")))


def test_groove_is_told_in_figures() -> None:
    words = " ".join(_words(preview_of(_by_stem("left-side-1-groove"))))
    assert "starts 20 mm from the front end, stops 20 mm from the rear end" in words
    assert "near wall 9 mm from the reference edge; 7 mm of wood left under it" in words


def test_section_across_a_groove_shows_the_clamp_that_its_plane_cuts() -> None:
    assert "clamp" in _words(preview_of(_by_stem("left-side-1-groove")))
    assert "clamp" not in _words(preview_of(_by_stem("front-1-left-end")))


def test_depth_is_dimensioned() -> None:
    assert "15.2 mm" in _words(preview_of(_by_stem("front-1-left-end")))
    assert "12.3 mm" in _words(preview_of(_by_stem("back-1-left-end")))


def test_swept_widths_are_drawn_to_scale() -> None:
    """Across the middle of a socket the picture holds the two widths in the ratio of the cutter's radii and the walls."""
    program = _by_stem("front-1-left-end")
    joint = program.setup.piece.half_blind
    pixels = pixels_of(preview_of(program).svg())
    colours = {tone: np.array([int(TONES[tone][i : i + 2], 16) for i in (1, 3, 5)]) for tone in ("tip", "top")}
    plan = pixels[110:570]
    rows = {tone: (np.abs(plan - colour).sum(axis=2) == 0).sum(axis=1) for tone, colour in colours.items()}
    row = int(np.argmax(rows["top"]))
    tips, tops = rows["tip"][row], rows["top"][row]
    depth = joint.length_mm + joint.free_depth_mm
    lean = 2 * depth * np.tan(np.radians(joint.dovetail.angle_deg))
    wide = sum(
        tail.width_mm + 2 * joint.clearance_mm + 2 * joint.free_depth_mm * np.tan(np.radians(joint.dovetail.angle_deg))
        for tail in joint.tails
    )
    narrow = wide - lean * len(joint.tails)
    # Lines and dots cover some of either, so the ratio is near and not exact.
    assert tops / (tips + tops) == pytest.approx(narrow / wide, abs=0.06)


def test_hostile_title_is_plain_words_and_leaves_the_picture_whole() -> None:
    program = replace(_by_stem("left-side-1-front-end"), title="x) M3 S24000 ( $\\frac{1}{0}$ <b>\n\N{CJK UNIFIED IDEOGRAPH-6728}")
    paper = preview_of(program)
    assert "x) M3 S24000 ( $\\frac{1}{0}$ <b> \N{CJK UNIFIED IDEOGRAPH-6728}" in _words(paper)
    assert faults_of_words(paper) == []


def test_very_long_names_are_cut_with_dots_and_run_into_nothing() -> None:
    program = replace(PROGRAMS[0], title="a name " * 60, owners=tuple(f"drawer {i}" for i in range(60)))
    faults = faults_of_words(preview_of(program))
    assert len(faults) == 2
    assert all(fault.endswith("is cut short") for fault in faults)


def test_every_program_has_both_pictures_in_order() -> None:
    some = PROGRAMS[:2]
    assert list(draw_all(some)) == [name for program in some for name in (program.stem, f"{program.stem}-setup")]


@pytest.mark.parametrize("name", [name for name, program in PICTURED.items() if program.setup.end == "groove"])
def test_section_of_a_groove_shows_the_whole_width_of_the_board(name: str) -> None:
    """The wood of the section spans the board's width at the scale of the groove's depth, with no break at either side."""
    program, svg = PICTURED[name], preview(name).svg().decode()
    wood = [
        np.array(re.findall(r"[\d.]+", path), float).reshape(-1, 2)
        for path in re.findall(rf'<path fill="{TONES["wood"]}" fill-rule="evenodd"[^>]* d="([^"]*)"', svg)
    ]
    wide, high = np.ptp(max(wood, key=len), axis=0)
    _, width, thick = program.setup.piece.size_mm
    assert wide / high == pytest.approx(width / thick, rel=0.01)
