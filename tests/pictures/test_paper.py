from __future__ import annotations

import io
import itertools
import xml.etree.ElementTree as ET

import numpy as np
import pytest
import shapely
from PIL import Image

from camtools.pictures.drawing_style import TONES
from camtools.pictures.paper import Label, Paper, Scale

HOSTILE = "x) M3 S24000 ( $\\frac{1}{0}$ <script>alert(1)</script> & ]]> \n\t\x00 \N{CJK UNIFIED IDEOGRAPH-6728}\N{DECIDUOUS TREE}"


def _pixels(paper: Paper) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(paper.png())).convert("RGB"))


def test_hostile_words_are_drawn_as_plain_words() -> None:
    paper = Paper(900, 60)
    label = paper.write((10, 30), HOSTILE)
    assert label.text.startswith("x) M3 S24000 ( $\\frac{1}{0}$ <script>alert(1)</script> & ]]>")
    assert label.text.endswith("\N{WHITE SQUARE}" * 2)
    assert label.text.isprintable()
    assert (_pixels(paper) == 0).any()


def test_picture_as_svg_holds_no_word_and_no_script() -> None:
    paper = Paper(900, 60)
    paper.write((10, 30), HOSTILE)
    svg = paper.svg()
    assert b"script" not in svg
    assert b"S24000" not in svg
    assert b"<dc:date>" not in svg
    assert ET.fromstring(svg).tag.endswith("svg")


def test_same_picture_has_the_same_bytes_and_nothing_beside_the_picture() -> None:
    papers = [Paper(200, 100) for _ in range(2)]
    for paper in papers:
        paper.write((10, 30), "one")
        paper.dots([(50, 50)], 9.0, "push", "outline")
    assert papers[0].png() == papers[1].png()
    assert papers[0].svg() == papers[1].svg()
    image = Image.open(io.BytesIO(papers[0].png()))
    assert image.info == {}
    assert image.size == (200, 100)


@pytest.mark.parametrize("tone", TONES)
def test_tones_are_written_as_they_are(tone: str) -> None:
    paper = Paper(40, 40)
    paper.fill([[(0, 0), (40, 0), (40, 40), (0, 40)]], tone)
    assert tuple(_pixels(paper)[20, 20]) == tuple(int(TONES[tone][i : i + 2], 16) for i in (1, 3, 5))


def test_hole_in_a_region_shows_what_lies_under_it() -> None:
    paper = Paper(60, 60)
    paper.fill_region(shapely.box(0, 0, 6, 6).difference(shapely.box(2, 2, 4, 4)), Scale(10.0, (0.0, 0.0), (0.0, 0.0)), "ink")
    assert tuple(_pixels(paper)[30, 30]) == (255, 255, 255)
    assert tuple(_pixels(paper)[50, 10]) == (0, 0, 0)


@pytest.mark.parametrize("align", ["left", "center", "right"])
def test_box_of_words_is_where_their_ink_is(align: str) -> None:
    paper = Paper(300, 60)
    shift = 0.0 if align == "left" else paper.width_of("HxgQ") / (2 if align == "center" else 1)
    label = paper.write((100, 30), "HxgQ", align=align)  # type: ignore[arg-type]
    rows, columns = np.nonzero(_pixels(paper)[:, :, 0] < 128)
    assert label.box[0] == pytest.approx(100 - shift)
    assert label.box[0] - 1 <= columns.min() <= label.box[0] + 3
    assert label.box[2] - 3 <= columns.max() <= label.box[2] + 1
    assert label.box[1] - 1 <= 60 - rows.max() - 1
    assert 60 - rows.min() <= label.box[3] + 1


def test_words_too_long_for_their_room_end_in_dots_within_it() -> None:
    paper = Paper(300, 60)
    label = paper.write((10, 30), "a drawer with quite a long name", room_px=120)
    assert label.text.endswith("\N{HORIZONTAL ELLIPSIS}")
    assert label.text[:5] == "a dra"
    assert label.box[2] <= 130
    assert paper.width_of(label.text[:-1] + "wxyz") > 120 - paper.width_of("\N{HORIZONTAL ELLIPSIS}")


def test_words_without_room_of_their_own_stay_on_the_sheet() -> None:
    label = Paper(120, 60).write((100, 30), "far too long for this", align="center")
    assert label.box[0] >= 0
    assert label.box[2] <= 120


def test_lines_of_words_keep_their_width_and_lose_nothing() -> None:
    paper = Paper(400, 200)
    words = "half-blind tails, full depth 15 mm in one pass, entered from your side"
    below = paper.write_lines((10, 180), words, 220)
    assert " ".join(label.text for label in paper.labels) == words
    assert len(paper.labels) == 3
    assert all(label.box[2] <= 230 for label in paper.labels)
    assert below < paper.labels[-1].box[1]


def test_labels_overlap_where_their_boxes_share_area() -> None:
    boxes = [(0, 0, 10, 10), (9, 9, 20, 20), (10, 0, 20, 9)]
    labels = [Label("x", box) for box in boxes]
    assert [a.overlaps(b) for a, b in itertools.combinations(labels, 2)] == [True, False, False]
