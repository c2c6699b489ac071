from __future__ import annotations

import math
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from camtools.pictures.drawing_style import LETTERS, TONES
from camtools.pictures.setups.setup_view import setup_on
from camtools.toolpath.moves import Program, Setup
from tests.output.picture_specimens import PICTURED, faults_of_words, setup
from tests.output.specimens import PROGRAMS
from tests.pictures.pixels import pixels_of

VIEW_PX = 456  # width of the view of a board


def _box(program: Program, words: str) -> tuple[float, float, float, float]:
    return next(label.box for label in setup_on(program).labels if label.text.startswith(words))


def _push(program: Program) -> np.ndarray:
    pixels = pixels_of(setup_on(program).svg())
    return np.abs(pixels - [int(TONES["push"][i : i + 2], 16) for i in (1, 3, 5)]).sum(axis=2) == 0


def _stop_words(held: Setup) -> tuple[str, str]:
    """Return what stands on the stop, and at the arrow to it."""
    number = held.setting.number
    return ("STOP", f"to the {held.stop} stop") if number == 1 else (f"STOP {number}", f"to stop {number}")


@pytest.mark.parametrize("name", PICTURED)
def test_words_are_whole_and_apart(name: str) -> None:
    assert faults_of_words(setup(name)) == []


@pytest.mark.parametrize("name", PICTURED)
def test_setup_names_end_face_edge_and_stop(name: str) -> None:
    held = PICTURED[name].setup
    words = {label.text for label in setup(name).labels}
    if held.hold == "upright":
        wanted = {f"{held.end.upper()} UP", f"{held.facing.upper()} FACE", "towards you", "REFERENCE EDGE", "TOP EDGE", "clamp"}
        wanted |= {"upright plate", f"backing piece, {held.backing_mm:g} mm"}
    elif held.end == "groove":
        wanted = {"INSIDE FACE UP", "REFERENCE EDGE at the fence", "TOP EDGE", "to the fence"}
        wanted |= {"FRONT END", "REAR END"} if "side" in held.piece.role else {"LEFT END", "RIGHT END"}
    else:
        wanted = {"INSIDE FACE UP", f"{held.end.upper()}, away from you", "REFERENCE EDGE", "TOP EDGE"}
        if held.piece.role == "bottom":
            wanted = wanted - {"TOP EDGE"} | {"REAR EDGE", "waste sheet"}
            wanted |= {"end 18 mm or more beyond the stop"}  # a notch of 12 mm, 0.95 mm for scoring, 3 mm of cutter and 2 mm beside it
    assert wanted | {*_stop_words(held), "You stand here"} <= words


@pytest.mark.parametrize("name", PICTURED)
def test_what_is_kept_clear_bears_its_number(name: str) -> None:
    """Upright from the end down to the stop's top, and before the face; flat from the end to the clamp, and beyond it."""
    held, words = PICTURED[name].setup, {label.text for label in setup(name).labels}
    zones = {zone.name: zone for zone in held.zones}
    wanted = set()
    if held.hold == "upright":
        wanted = {f"{-zones['stop'].high[2]:g} mm", f"{math.ceil(held.free_mm):g} mm"}
    elif held.end != "groove":
        wanted = {f"{math.ceil(held.free_mm):g} mm free", f"{math.ceil(-zones['clamp'].high[1]):g} mm"}
    elif "clamp" in zones:
        wanted = {f"{math.ceil(zones['clamp'].low[1]):g} mm"}
    assert wanted <= words


@pytest.mark.parametrize("name", PICTURED)
def test_stop_and_reference_edge_stand_on_the_same_side_and_the_arrow_comes_from_the_other(name: str) -> None:
    held, boxes = PICTURED[name].setup, {label.text: label.box for label in setup(name).labels}
    stop, push = (boxes[words] for words in _stop_words(held))
    at_stop = "REFERENCE EDGE" if held.end != "groove" else "FRONT END" if "side" in held.piece.role else "LEFT END"
    edge = boxes[at_stop]
    if held.stop == "left":
        assert max(stop[0], edge[0]) < VIEW_PX / 2 < push[2]
        assert stop[2] < push[0]
    else:
        assert push[0] < VIEW_PX / 2 < min(stop[2], edge[2])
        assert push[2] < stop[0]


@pytest.mark.parametrize("program", [program for program in PROGRAMS if program.setup.end != "groove"], ids=lambda program: program.stem)
def test_big_arrow_is_drawn_on_the_free_side(program: Program) -> None:
    columns = np.nonzero(_push(program))[1]
    assert len(columns) > 1000
    assert (columns.mean() > VIEW_PX / 2) == (program.setup.stop == "left")


def test_left_and_right_side_are_mirrored() -> None:
    left, right = (next(p for p in PROGRAMS if p.stem[3:] == f"{side}-side-1-front-end") for side in ("left", "right"))
    assert _box(left, "STOP")[0] < VIEW_PX / 3
    assert _box(right, "STOP")[0] > VIEW_PX * 2 / 3


@pytest.mark.parametrize("program", PROGRAMS[::3], ids=lambda program: program.stem)
def test_picture_is_the_same_every_time_and_valid_as_svg(program: Program) -> None:
    svg = setup_on(program).svg()
    assert svg == setup_on(program).svg()
    assert ET.fromstring(svg).tag.endswith("svg")


def test_the_picture_of_two_boards_names_the_program_that_is_run_and_no_other() -> None:
    pair = [next(p for p in PROGRAMS if p.stem[3:] == f"{side}-side-1-rear-end") for side in ("left", "right")]
    words = [label.text for label in setup_on(*pair, run="04-pair-one-other-end").labels]
    assert "run 04-pair-one-other-end" in words
    assert not any(program.stem in text for program in pair for text in words)


@pytest.mark.parametrize("count", [1, 2])
def test_each_board_and_what_explains_it_is_a_view_of_its_own_that_holds_its_words(count: int) -> None:
    """So narrow that a telephone of 390 px, which leaves 364 px between its margins, shows letters of 11 px."""
    pair = [next(p for p in PROGRAMS if p.stem[3:] == f"{side}-side-1-rear-end") for side in ("left", "right")]
    paper = setup_on(*pair[:count])
    root = ET.fromstring(paper.svg())
    views = {
        own.attrib["id"]: [float(part) for part in own.attrib["viewBox"].split()] for own in root.iter("{http://www.w3.org/2000/svg}view")
    }
    assert [*views] == [f"{program.setup.stop}-stop" for program in pair[:count]] + ["from-the-left", "signs"]
    assert all(LETTERS["small"] * 364 / wide >= 11 for _, _, wide, _ in views.values())
    whole = 0
    for label in paper.labels:
        x0, y0, x1, y1 = label.box[0], paper.size[1] - label.box[3], label.box[2], paper.size[1] - label.box[1]
        met = [(x, y, w, h) for x, y, w, h in views.values() if x0 < x + w and x < x1 and y0 < y + h and y < y1]
        assert len(met) <= 1, label.text
        assert all(x <= x0 and x1 <= x + w and y <= y0 and y1 <= y + h for x, y, w, h in met), label.text
        whole += len(met)
    assert whole > 25
