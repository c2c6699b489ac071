from __future__ import annotations

import xml.etree.ElementTree as ET

import numpy as np
import pytest
import shapely

from camtools.pictures.drawing_style import TONES
from camtools.pictures.paper import Paper, Scale
from tests.pictures.pixels import pixels_of

HOSTILE = "x) M3 S24000 ( $\\frac{1}{0}$ <script>alert(1)</script> & ]]> \n\t\x00 \N{CJK UNIFIED IDEOGRAPH-6728}\N{DECIDUOUS TREE}"


def test_hostile_words_are_drawn_as_plain_words() -> None:
    paper = Paper(900, 60)
    label = paper.write((10, 30), HOSTILE)
    assert label.text.startswith("x) M3 S24000 ( $\\frac{1}{0}$ <script>alert(1)</script> & ]]>")
    assert label.text.endswith("\N{WHITE SQUARE} \N{CJK UNIFIED IDEOGRAPH-6728}\N{DECIDUOUS TREE}")
    assert label.text.isprintable()
    assert (pixels_of(paper.svg()) == 0).any()


def test_words_never_become_markup_and_stay_words() -> None:
    paper = Paper(900, 60)
    label = paper.write((10, 30), HOSTILE)
    svg = ET.fromstring(paper.svg())
    assert {element.tag.rpartition("}")[2] for element in svg.iter()} == {"svg", "path", "text"}
    (written,) = svg.iter("{http://www.w3.org/2000/svg}text")
    assert written.text == label.text
    assert {name for element in svg.iter() for name in element.attrib if "href" in name or name.startswith("on")} == set()


def test_words_in_letters_of_unknown_width_are_fitted_into_their_box() -> None:
    paper = Paper(900, 60)
    known, foreign = paper.write((10, 30), "Größe 5 × 4 mm…"), paper.write((400, 30), "\N{CJK UNIFIED IDEOGRAPH-6728}" * 6)
    widths = [element.get("textLength") for element in ET.fromstring(paper.svg()).iter("{http://www.w3.org/2000/svg}text")]
    assert known.box[2] - known.box[0] > 80
    assert widths == [None, f"{foreign.box[2] - foreign.box[0]:.1f}"]
    assert float(widths[1] or 0) == pytest.approx(6 * 16)  # a square for each


def test_same_picture_has_the_same_bytes() -> None:
    papers = [Paper(200, 100) for _ in range(2)]
    for paper in papers:
        paper.write((10, 30), "one")
        paper.dots([(50, 50)], 9.0, "push", "outline")
    assert papers[0].svg() == papers[1].svg()
    assert pixels_of(papers[0].svg()).shape == (100, 200, 3)


def test_what_has_no_area_leaves_no_mark() -> None:
    paper = Paper(60, 60)
    bare = paper.svg()
    paper.fill_region(shapely.Polygon(), Scale(1.0, (0.0, 0.0), (0.0, 0.0)), "ink", "thin")
    paper.dots([], 3.0, "ink")
    paper.fill([], "ink")
    assert paper.svg() == bare


@pytest.mark.parametrize("tone", TONES)
def test_tones_are_written_as_they_are(tone: str) -> None:
    paper = Paper(40, 40)
    paper.fill([[(0, 0), (40, 0), (40, 40), (0, 40)]], tone)
    assert tuple(pixels_of(paper.svg())[20, 20]) == tuple(int(TONES[tone][i : i + 2], 16) for i in (1, 3, 5))


def test_hole_in_a_region_shows_what_lies_under_it() -> None:
    paper = Paper(60, 60)
    paper.fill_region(shapely.box(0, 0, 6, 6).difference(shapely.box(2, 2, 4, 4)), Scale(10.0, (0.0, 0.0), (0.0, 0.0)), "ink")
    assert tuple(pixels_of(paper.svg())[30, 30]) == (255, 255, 255)
    assert tuple(pixels_of(paper.svg())[50, 10]) == (0, 0, 0)


@pytest.mark.parametrize("align", ["left", "center", "right"])
def test_box_of_words_is_where_their_ink_is(align: str) -> None:
    paper = Paper(300, 60)
    shift = 0.0 if align == "left" else paper.width_of("HxgQ") / (2 if align == "center" else 1)
    label = paper.write((100, 30), "HxgQ", align=align)  # type: ignore[arg-type]
    rows, columns = np.nonzero(pixels_of(paper.svg())[:, :, 0] < 128)
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
