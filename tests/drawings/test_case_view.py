"""The picture of the whole piece: true to the drawers, in the case's rows, nothing cut off or overlapping."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from camtools.drawer.boards import Drawer
from camtools.drawer.case import case_of
from camtools.drawer.drawers import drawers_of
from camtools.drawings.case_view import picture_of
from camtools.drawings.sheet import Sheet, SheetLine, SheetText
from camtools.drawings.sheet_pdf import pdf_bytes
from camtools.drawings.sheet_svg import svg_bytes
from camtools.faults import PacketFault
from camtools.job.job import Job
from camtools.job.jobfile import read_job
from camtools.wording import told_in
from tests.job.jobs import read
from tests.output.specimens import job_of
from tests.output.test_comments import HOSTILE

SAMPLES = Path(__file__).parent.parent.parent / "samples"
CHEST, _ = read_job(SAMPLES / "specimen-chest.toml")
DRAWERS = drawers_of(CHEST)


def in_rows(job: Job, *rows: str | None) -> Job:
    return replace(job, drawers=tuple(replace(wish, row=row) for wish, row in zip(job.drawers, rows, strict=True)))


def boxes(sheet: Sheet, drawers: tuple[Drawer, ...]) -> dict[str, tuple[float, float, float, float]]:
    """Return the box of each front on the paper, found by the name that stands in it."""
    lines = [item.bounds_mm for item in sheet.items if isinstance(item, SheetLine) and item.pen == "outline" and item.closed]
    found = {}
    for drawer in drawers:
        (word,) = (item for item in sheet.items if isinstance(item, SheetText) and item.text.split(",")[0] == drawer.name)
        x, y, _, _ = word.bounds_mm
        (found[drawer.name],) = (box for box in lines if box[0] < x < box[2] and box[1] < y < box[3])
    return found


def test_the_chest_stands_as_its_case_is_told_in_the_sample() -> None:
    """``samples/specimen-chest.toml``: 858 mm wide inside, partitions of 9 mm in the upper row and of 18 mm in the others."""
    case = case_of(CHEST, DRAWERS)
    assert case is not None
    assert case.width_mm == pytest.approx(858)
    assert [row.partition_mm(case.width_mm) for row in case.rows] == pytest.approx([9, 18, 18])
    (sheet,) = picture_of(CHEST, DRAWERS)
    scale = sheet.scale[0] / sheet.scale[1]
    found = boxes(sheet, DRAWERS)
    for drawer in DRAWERS:
        x0, y0, x1, y1 = found[drawer.name]
        assert (x1 - x0, y1 - y0) == pytest.approx((drawer.outside_mm[0] * scale, drawer.outside_mm[2] * scale))
    rows = [["Mosses", "Lichens", "Seeds"], ["Ferns", "Grasses"], ["Pressed sheets", "Lenses and knives"]]
    for row, partition in zip(rows, (9, 18, 18), strict=True):
        for left, right in pairwise(row):
            assert found[right][0] - found[left][2] == pytest.approx((partition + 0.8) * scale)  # and 0.4 mm at each side of a drawer
            assert found[right][1] == pytest.approx(found[left][1])
    words = [item.text for item in sheet.items if isinstance(item, SheetText)]
    assert sum("half pins" in text for text in words) == 3  # a row's sides are alike
    for above, below in pairwise(rows):
        assert found[below[0]][3] < found[above[0]][1]


@pytest.mark.parametrize("sample", ["first-drawer", "specimen-chest", "inch-cabinet"])
def test_tails_are_drawn_where_they_are_cut(sample: str) -> None:
    job, _ = read_job(SAMPLES / f"{sample}.toml")
    drawers = drawers_of(job)
    (sheet,) = picture_of(job, drawers)
    scale = sheet.scale[0] / sheet.scale[1]
    outlines = [item for item in sheet.items if isinstance(item, SheetLine) and item.pen == "thin" and len(item.vertices) > 8]
    drawn = set()
    for outline in outlines:
        x0, y0, x1, _ = outline.bounds_mm
        for at in (x0, x1):
            drawn.add(tuple(sorted({round((y - y0) / scale, 2) for x, y, _ in outline.vertices if abs(x - at) < 1e-6})))
    for drawer in drawers:
        side = drawer.right.piece
        assert side.half_blind is not None
        assert side.through is not None
        for joint in (side.half_blind, side.through):
            # A through tail's proud end is a little wider than at the back's face.
            more = joint.proud_mm * joint.dovetail.slope if joint is side.through else 0.0
            ends = [end for tail in joint.tails for end in (tail.low_mm - more, tail.high_mm + more)]
            if joint.tails[0].low_mm <= 0:
                ends[0] = 0.0
            assert any(marks == pytest.approx(ends, abs=0.006) for marks in drawn if len(marks) == len(ends)), drawer.name


def test_the_words_tell_the_tails_and_pins_of_a_side() -> None:
    """Half pins, pins and tails add up to the height of the side, as figures on the paper."""
    (sheet,) = picture_of(CHEST, DRAWERS)
    texts = [item.text for item in sheet.items if isinstance(item, SheetText)]
    assert "3 tails: 20 + 22 + 20" in texts
    assert "2 pins of 7, 2 half pins of 6.2" in texts
    assert pytest.approx(DRAWERS[3].outside_mm[2]) == 20 + 22 + 20 + 2 * 7 + 2 * 6.2


@settings(max_examples=25)
@given(
    rows=st.lists(st.sampled_from(["upper", "middle", "lower", None]), min_size=7, max_size=7),
    names=st.lists(st.text(min_size=1, max_size=40), min_size=7, max_size=7, unique=True),
)
def test_nothing_is_cut_off_and_no_words_overlap_in_any_rows(rows: list[str | None], names: list[str]) -> None:
    job = in_rows(CHEST, *rows)
    for sheet in picture_of(job, [replace(drawer, name=name) for drawer, name in zip(DRAWERS, names, strict=True)]):
        assert sheet.width_mm <= 1189
        words = [item.bounds_mm for item in sheet.items if isinstance(item, SheetText)]
        for x0, y0, x1, y1 in (item.bounds_mm for item in sheet.items):
            assert min(x0, y0, sheet.width_mm - x1, sheet.height_mm - y1) >= 7
        for a, b in combinations(words, 2):
            assert min(min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])) < 0.05


def test_figures_are_whole_however_little_room_there_is_and_in_the_units_of_the_job() -> None:
    """A figure that is cut short is another figure; an inch and its fraction stand on one line."""
    widths = [5 + place / 8 for place in range(16)]
    drawers = [{"name": f"Herbs and roots, {wide}", "row": "a", "outside": [wide, 3.4375, 13.5]} for wide in widths]
    stock = {"front": 0.75, "side": 0.5, "bottom": 0.23}
    job, _ = read({"units": "in", "stock": stock, "fit": {"back": "raised", "front": "overlay"}, "drawers": drawers,
                   "cutters.0": {"kind": "dovetail", "diameter": 0.5, "angle": 14, "cutting_length": 0.625},
                   "cutters.1": {"kind": "straight", "diameter": 0.1875, "cutting_length": 0.75}})  # fmt: skip
    with told_in(job.units):
        (sheet,) = picture_of(job, drawers_of(job))
    faces = [item.text for item in sheet.items if isinstance(item, SheetText) and item.y_mm > 40]
    assert all(text.startswith("Herbs") for text in faces if "..." in text)
    assert '3\N{NO-BREAK SPACE}7/16" x' in faces
    assert not [text for text in faces if " mm" in text or re.search(r"( x|^) \d+$|^\d+/\d", text)]


def test_drawers_that_look_alike_are_drawn_once_where_no_row_is_named() -> None:
    (sheet,) = picture_of(in_rows(CHEST, *[None] * 7), DRAWERS)
    texts = [item.text for item in sheet.items if isinstance(item, SheetText)]
    assert "Mosses, Lichens, Seeds, 3 off" in texts
    assert "Pressed sheets" in texts


def test_more_than_a_sheet_takes_goes_on_the_next() -> None:
    names = [f"Drawer {i}" for i in range(30)]
    job, drawers = job_of(*names, widths=tuple(300.0 + i for i in range(30)))
    sheets = picture_of(job, drawers)
    assert len(sheets) > 1
    told = [item.text for sheet in sheets for item in sheet.items if isinstance(item, SheetText)]
    assert all(any(text.split(",")[0] == name for text in told) for name in names)


def test_a_row_that_no_paper_takes_is_refused() -> None:
    wishes = (replace(CHEST.drawers[0], row="upper", count=1000),)
    with pytest.raises(PacketFault, match="no sheet of paper"):
        picture_of(replace(CHEST, drawers=wishes), [replace(DRAWERS[0], count=1000)])


@pytest.mark.parametrize("name", [*HOSTILE, "<script>alert(1)</script>", "]]></title><script>", "Грибы"])
def test_a_hostile_name_is_text_and_nothing_else(name: str) -> None:
    (sheet,) = picture_of(*job_of(name, title=name))
    tags = {element.tag.split("}")[1] for element in ElementTree.fromstring(svg_bytes(sheet)).iter()}
    assert tags == {"svg", "view", "title", "style", "rect", "path"}
    assert len(PdfReader(io.BytesIO(pdf_bytes([sheet], name))).pages) == 1
