"""Drawings: true to scale in every format, nothing cut off or overlapping, nothing the wrong way round."""

from __future__ import annotations

import io
import math
import time
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
from ezdxf.colors import aci2rgb
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from pypdf import PageObject, PdfReader

from camtools.drawer.boards import Board
from camtools.drawer.drawers import drawers_of
from camtools.drawings import _views, drawing_files, sheets_of
from camtools.drawings.board_views import bottom_views, face_view, section_view
from camtools.drawings.ends import ends_of
from camtools.drawings.sheet import WASTE, Drawing, Sheet, SheetLine, SheetText, spread, vertices_of
from camtools.drawings.sheet_dxf import DRAWING_LAYERS, sheet_dxf_bytes
from camtools.drawings.sheet_layout import Title, laid_out
from camtools.drawings.sheet_pdf import pdf_bytes
from camtools.drawings.sheet_png import png_bytes
from camtools.drawings.sheet_svg import svg_bytes
from camtools.drawings.story_stick import stick_views
from camtools.geometry.curves import ArcSegment, LineSegment
from camtools.geometry.frames import apply
from camtools.job.jobfile import read_job
from camtools.templates.dxf import CUTTING_LAYERS, Shape, faults_in
from camtools.templates.outlines import flattened
from tests.drawings.random_sheets import amiss_in_random_job, amiss_on
from tests.output.specimens import DRAWER, JOB, job_of
from tests.output.test_comments import HOSTILE

SAMPLES = ("first-drawer", "specimen-chest", "inch-cabinet")
PAPERS = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "A2": (420.0, 594.0), "A1": (594.0, 841.0), "A0": (841.0, 1189.0)}  # ISO 216
CHECK_MM = 100.0


def sample(name: str):
    job, _ = read_job(Path(__file__).parent.parent.parent / "samples" / f"{name}.toml")
    return job, drawers_of(job)


@pytest.fixture(scope="module")
def every() -> list[Sheet]:
    """Return all sheets of all samples, in mm."""
    return [sheet for name in SAMPLES for sheet in sheets_of(*sample(name))]


SHEETS = sheets_of(JOB, (DRAWER,))


def test_every_sheet_is_on_paper_that_can_be_bought(every: list[Sheet]) -> None:
    for sheet in every:
        assert tuple(sorted((sheet.width_mm, sheet.height_mm))) == PAPERS[sheet.paper]
        assert sheet.scale[1] in (1, 2, 5, 10, 20)  # ISO 5455


def test_nothing_is_off_the_paper_and_no_words_overlap_or_are_struck_through(every: list[Sheet]) -> None:
    assert [text for sheet in every for text in amiss_on(sheet)] == []


def test_no_words_overlap_on_sheets_of_random_jobs() -> None:
    """``python -m tests.drawings`` tries hundreds."""
    found = [amiss_in_random_job(seed) for seed in (48, 53, 56, 62)]
    assert found == [[]] * 4


def test_letters_are_large_enough_to_be_read_on_the_bench(every: list[Sheet]) -> None:
    """ISO 3098 has 1.8 mm as its smallest height of letters."""
    small = [item for sheet in every for item in sheet.items if isinstance(item, SheetText) and item.height_mm < 1.7]
    assert [(item.text, item.height_mm) for item in small] == []


def test_boards_are_drawn_full_size_where_a_sheet_takes_them(every: list[Sheet]) -> None:
    full = [sheet for sheet in every if sheet.stem.startswith("board") and "bottom" not in sheet.stem]
    assert full
    assert {sheet.scale for sheet in full} == {(1, 1)}
    assert {sheet.paper for sheet in full} == {"A4"}


def check_line(sheet: Sheet) -> SheetLine:
    """Return the line that the title block says is 100 mm long."""
    return next(
        item
        for item in sheet.items
        if isinstance(item, SheetLine)
        and item.pen == "outline"
        and len(item.vertices) == 2
        and item.vertices[1][0] - item.vertices[0][0] == CHECK_MM
    )


def test_an_svg_is_as_large_as_its_paper_and_its_units_are_millimetres() -> None:
    for sheet in SHEETS:
        root = ElementTree.fromstring(svg_bytes(sheet))
        assert root.get("width") == f"{sheet.width_mm:g}mm"
        assert root.get("height") == f"{sheet.height_mm:g}mm"
        assert root.get("viewBox") == f"0 0 {sheet.width_mm:g} {sheet.height_mm:g}"
        if not sheet.picture:
            (x0, y, _), (x1, _, _) = check_line(sheet).vertices
            assert f"M{x0:g} {sheet.height_mm - y:g}L{x1:g} {sheet.height_mm - y:g}" in svg_bytes(sheet).decode()


def drawn_in(page: PageObject) -> list[tuple[list[tuple[float, float]], float]]:
    """Return the straight lines of a PDF's page in mm from its lower left corner, and how wide each is drawn."""
    found: list[tuple[list[tuple[float, float]], float]] = []
    points: list[tuple[float, float]] = []
    wide = 0.0

    def visit(operator: bytes, operands: list, matrix: list[float], _: list[float]) -> None:
        nonlocal points, wide
        a, b, c, d, e, f = matrix
        if operator == b"w":
            wide = float(operands[0]) * a * 25.4 / 72
        elif operator in (b"m", b"l"):
            x, y = map(float, operands)
            point = ((a * x + c * y + e) * 25.4 / 72, (b * x + d * y + f) * 25.4 / 72)
            points = [*(points if operator == b"l" else []), point]
            if operator == b"l":
                found.append((points, wide))

    page.extract_text(visitor_operand_before=visit)
    return found


def test_a_pdf_prints_at_its_true_scale() -> None:
    """A PDF's unit is 1/72 in (ISO 32000-1, 8.3.2.3); another library reads how large pages and check lines are."""
    document = PdfReader(io.BytesIO(pdf_bytes(SHEETS)))
    assert document.root_object["/ViewerPreferences"]["/PrintScaling"] == "/None"
    for sheet, page in zip(SHEETS, document.pages, strict=True):
        sides = (float(page.mediabox.width) * 25.4 / 72, float(page.mediabox.height) * 25.4 / 72)
        assert sides == pytest.approx((sheet.width_mm, sheet.height_mm), abs=1e-3)
        if not sheet.picture:
            (x0, y, _), _ = check_line(sheet).vertices
            lines = [(points, wide) for points, wide in drawn_in(page) if points[0] == pytest.approx((x0, y), abs=1e-3)]
            assert any(points[-1] == pytest.approx((x0 + CHECK_MM, y), abs=1e-3) and wide == pytest.approx(0.5) for points, wide in lines)


def test_arcs_of_a_pdf_lie_on_their_circles() -> None:
    """The middle of a cubic curve is the mean of its ends and of its control points, weighed 1 and 3 (ISO 32000-1, 8.5.2.2)."""
    items = tuple(SheetLine(((20.0, 20.0, bulge), (60.0, 20.0, 0.0)), "outline") for bulge in (0.41421356, -0.41421356, 1.0))
    (page,) = PdfReader(io.BytesIO(pdf_bytes([Sheet("arcs", "Arcs", "A4", 210.0, 297.0, (1, 1), items)]))).pages
    middles, start = [], (0.0, 0.0)

    def visit(operator: bytes, operands: list, matrix: list[float], _: list[float]) -> None:
        nonlocal start
        if operator == b"c":
            x1, y1, x2, y2, x3, y3 = map(float, operands)
            middles.append(((start[0] + 3 * x1 + 3 * x2 + x3) / 8, (start[1] + 3 * y1 + 3 * y2 + y3) / 8))
        if operator in (b"m", b"l", b"c"):
            start = (float(operands[-2]), float(operands[-1]))

    page.extract_text(visitor_operand_before=visit)
    deep = 20.0 * math.tan(math.pi / 8)  # height of a quarter circle over a chord of 40 mm; a half circle bends in two quarters
    assert middles[:2] == [pytest.approx((40.0, 20.0 - deep), abs=0.02), pytest.approx((40.0, 20.0 + deep), abs=0.02)]
    assert {round(math.dist(middle, (40.0, 20.0)), 1) for middle in middles[2:]} == {20.0}


def test_words_without_width_leave_a_pdf_whole() -> None:
    words = tuple(SheetText(text, 50.0, 50.0, 2.0, "end", False, "letter") for text in ("", "\N{BRAILLE PATTERN BLANK}", "x"))
    (page,) = PdfReader(io.BytesIO(pdf_bytes([Sheet("bare", "Bare", "A4", 210.0, 297.0, (1, 1), words)]))).pages
    assert "x" in page.extract_text()


def test_words_of_a_pdf_are_words_in_letters_that_the_file_brings(every: list[Sheet]) -> None:
    document = PdfReader(io.BytesIO(pdf_bytes(every)))
    for sheet, page in zip(every, document.pages, strict=True):
        told = page.extract_text()
        assert all(word in told for item in sheet.items if isinstance(item, SheetText) for word in item.text.split()), sheet.title
        for font in page["/Resources"]["/Font"].values():
            assert "/FontFile2" in font.get_object()["/FontDescriptor"]


def test_a_png_prints_at_its_true_scale() -> None:
    """The check line is measured in dots, the dots told in the file."""
    sheet = SHEETS[0]
    image = Image.open(io.BytesIO(png_bytes(sheet)))
    dots = image.info["dpi"][0]
    assert image.size == pytest.approx((sheet.width_mm / 25.4 * dots, sheet.height_mm / 25.4 * dots), abs=1)
    (x0, y, _), _ = check_line(sheet).vertices
    row = np.asarray(image.convert("L"))[round((sheet.height_mm - y) / 25.4 * dots)]
    start = round(x0 / 25.4 * dots)
    run = 0
    while row[start + run] < 128:
        run += 1
    assert run / dots * 25.4 == pytest.approx(CHECK_MM, abs=0.5)


def read_back(sheet: Sheet) -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(sheet_dxf_bytes(sheet).decode("cp1252")))


def test_a_drawings_dxf_is_clean_full_size_and_nothing_lies_twice(every: list[Sheet]) -> None:
    for sheet in (sheet for sheet in every if not sheet.picture):
        document = read_back(sheet)
        assert document.audit().errors == []
        kinds = {entity.dxftype() for entity in document.modelspace()}
        assert kinds - {"HATCH"} == {"TEXT", "LWPOLYLINE"}
        assert {entity.dxf.layer for entity in document.modelspace()} <= set(DRAWING_LAYERS)
        light = [e for e in document.modelspace() if e.dxftype() == "LWPOLYLINE"]
        shapes = [Shape(e.dxf.layer, tuple(e.get_points("xyb")), e.closed) for e in light]
        assert faults_in(sheet.stem, shapes) == []
        longest = max(abs(s.vertices[1][0] - s.vertices[0][0]) for s in shapes if len(s.vertices) == 2 and s.layer == "outline")
        assert longest >= CHECK_MM * sheet.scale[1] - 1e-6
        dashed = {layer.dxf.name: layer.dxf.linetype for layer in document.layers if layer.dxf.linetype != "Continuous"}
        assert dashed == {"hidden": "hidden", "baseline": "baseline"}
        tags = document.linetypes.get("hidden").pattern_tags.tags
        assert [tag.value / sheet.scale[1] for tag in tags if tag.code in (40, 49)] == pytest.approx([3.6, 2.4, -1.2])
        assert {layer.dxf.name: layer.description for layer in document.layers if layer.dxf.name in DRAWING_LAYERS} == {
            name: layer.meaning for name, layer in DRAWING_LAYERS.items()
        }


def contrast_on_white(rgb: tuple[int, int, int]) -> float:
    """Relative luminance and contrast of WCAG 2.2."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (part / 255 for part in rgb)]
    return 1.05 / (0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2] + 0.05)


def test_every_layer_shows_on_white_paper() -> None:
    """WCAG 2.2 asks 4.5:1 of words (criterion 1.4.3) and 3:1 of lines (1.4.11); colour 7 is black there (DXF reference)."""
    for name, layer in (DRAWING_LAYERS | CUTTING_LAYERS).items():
        rgb = (0, 0, 0) if layer.colour == 7 else tuple(aci2rgb(layer.colour))
        assert contrast_on_white(rgb) >= (4.5 if name in ("letter", "heavy") else 3.0), name


def test_every_layer_is_described_where_a_reader_looks_for_it(house: Path) -> None:
    text = (house / "README.md").read_text()
    assert [name for name in DRAWING_LAYERS | CUTTING_LAYERS if f"`{name}`" not in text] == []


def alone(view: Drawing) -> Sheet:
    """Return a sheet of one view."""
    return Sheet("view", "view", "A4", 210.0, 297.0, (1, 1), tuple(view.items))


def test_waste_is_hatched_and_tails_are_not() -> None:
    """All waste of the end grain of a side: its rectangle less the tails, whose round corners take little."""
    hatched = read_back(alone(section_view(DRAWER.left, 1.0))).modelspace().query('HATCH[layer=="waste"]')
    assert all(not hatch.dxf.solid_fill and len(hatch.pattern.lines) == 1 for hatch in hatched)
    joint, thick = DRAWER.left.piece.half_blind, DRAWER.left.piece.size_mm[2]
    pins = joint.width_mm - sum(tail.width_mm for tail in joint.tails)
    assert len(hatched) == len(joint.tails) + 1
    found = sum(abs(area([vertex[:2] for vertex in hatch.paths[0].vertices])) for hatch in hatched)
    assert found == pytest.approx(pins * thick, rel=0.02)


def test_the_sign_of_the_reference_edge_points_out_at_it_on_sheet_and_dxf() -> None:
    """Two triangles on the wood, each with its tip at the edge: the heavy line that every height is measured from."""
    sheet = alone(face_view(DRAWER.left, "outside", 1.0))
    edges = [item.vertices for item in sheet.items if isinstance(item, SheetLine) and item.pen == "reference"]
    drawn = [item.vertices for item in sheet.items if isinstance(item, SheetLine) and item.fill == 0.0]
    filled = [hatch.paths[0].vertices for hatch in read_back(sheet).modelspace().query('HATCH[layer=="sign"]') if hatch.dxf.solid_fill]
    for areas in (drawn, filled):
        marks = [sorted((y, x) for x, y, _ in corners) for corners in areas if len(corners) == 3 and np.ptp(corners, axis=0)[1] > 3.0]
        assert len(marks) == 4  # on both halves
        for (tip, x), (first, _), (second, _) in marks:
            assert first == pytest.approx(second)
            assert any(start[0] < x < end[0] and 0.0 < tip - start[1] < 1.0 for start, end in map(sorted, edges))


def figures(sheets: list[Sheet]) -> set[str]:
    return {item.text for sheet in sheets for item in sheet.items if isinstance(item, SheetText)}


def test_every_tail_is_dimensioned_from_the_reference_edge() -> None:
    blind, through = DRAWER.left.piece.half_blind, DRAWER.left.piece.through
    told = figures([sheet for sheet in SHEETS if sheet.stem.startswith("board-left-side-1")])
    slope = 0.24932800284318068  # tangent of 14 degrees
    for tail in blind.tails:
        assert {f"{tail.low_mm:.2f}", f"{tail.high_mm:.2f}"} <= told
        assert {f"{tail.low_mm + blind.length_mm * slope:.2f}", f"{tail.high_mm - blind.length_mm * slope:.2f}"} <= told
    for tail in through.tails:
        proud = through.proud_mm * slope
        assert {f"{tail.low_mm - proud:.2f}", f"{tail.high_mm + proud:.2f}"} <= told
    assert {f"{blind.length_mm:.2f}", f"{through.length_mm:.2f}", "20.00", "9.00", "15.15"} <= told


def test_every_tail_and_every_grooves_depth_is_told_on_the_boards_of_every_sample(every: list[Sheet]) -> None:
    for name in SAMPLES:
        for board in {board.piece: board for drawer in sample(name)[1] for board in drawer.boards}.values():
            told = {item.text for view in _views(board, 1.0) for item in view.items if isinstance(item, SheetText)}
            piece = board.piece
            if "side" in piece.role:
                ends = [tail.low_mm for tail in piece.half_blind.tails] + [tail.high_mm for tail in piece.half_blind.tails]
                proud = piece.through.proud_mm * piece.through.dovetail.slope
                ends += [end for tail in piece.through.tails for end in (max(0.0, tail.low_mm - proud), tail.high_mm + proud)]
                assert {f"{v:.2f}" for v in ends} <= told, (name, board.id)
            if piece.groove is not None:
                assert f"groove {piece.groove.depth_mm:.2f} deep" in told, (name, board.id)


def test_corners_of_a_bottom_are_enlarged_and_measured_from_its_reference_edges() -> None:
    """Each of the steps that the notches make, as the drawer has them: lengths from the left, heights from the front edge."""
    board = sample("specimen-chest")[1][0].bottom
    piece = board.piece
    whole, front, rear = bottom_views(board, 0.2)
    length, width, _ = piece.size_mm
    for view, low, high in ((front, 0.0, width / 2), (rear, width / 2, width)):
        steps = [(u, v) for u, v in piece.outline if u < length / 2 and low <= v <= high]
        assert len(steps) >= 3
        told = {item.text for item in view.items if isinstance(item, SheetText)}
        assert {f"{value:.2f}" for step in steps for value in step} <= told
        assert "10 times the sheet's scale" in told
        waste = [item for item in view.items if isinstance(item, SheetLine) and item.fill == WASTE]
        corner = abs(area([*steps, (0.0, low if view is front else high)]))
        assert sum(abs(area([v[:2] for v in item.vertices])) for item in waste) == pytest.approx(corner * 2.0**2)
    assert {f"{length:.2f}", f"{width:.2f}"} <= {item.text for item in whole.items if isinstance(item, SheetText)}


def end_places(board: Board, face) -> dict[str, float]:
    return {
        item.text: item.x_mm for item in face_view(board, face, 1.0).items if isinstance(item, SheetText) and item.text.endswith(" end")
    }


# Who looks at a face of a board sees this end at his left: worked out standing before a drawer, without any frame.
LEFT_END = {
    ("left", "outside"): "rear end",
    ("left", "inside"): "front end",
    ("right", "outside"): "front end",
    ("right", "inside"): "rear end",
    ("front", "outside"): "left end",
    ("front", "inside"): "right end",
    ("back", "outside"): "right end",
    ("back", "inside"): "left end",
}


@pytest.mark.parametrize(("part", "face"), LEFT_END)
def test_a_face_is_drawn_as_someone_before_it_sees_it(part: str, face) -> None:
    places = end_places(getattr(DRAWER, part), face)
    assert min(places, key=places.__getitem__) == LEFT_END[part, face]


def test_left_and_right_side_are_mirror_images() -> None:
    left, right = (
        {
            (round(x, 3), round(y, 3))
            for item in face_view(board, "outside", 1.0).items
            if isinstance(item, SheetLine) and item.pen == "outline" and len(item.vertices) > 2
            for x, y, _ in item.vertices
        }
        for board in (DRAWER.left, DRAWER.right)
    )
    far = max(x for x, _ in left)
    assert {(round(far - x, 3), y) for x, y in left} == right
    assert left != right


def test_the_outline_of_an_end_is_that_of_the_joint() -> None:
    """Area of waste on the outside face of a half-blind end: board less the trapezoids of the tails."""
    joint = DRAWER.left.piece.half_blind
    end, _ = ends_of(DRAWER.left.piece, "outside")
    slope = 0.24932800284318068
    wood = sum(joint.length_mm * (tail.width_mm - joint.length_mm * slope) for tail in joint.tails)
    waste = sum(abs(area([(d, v) for d, v, _ in part])) for part in end.waste)
    assert waste == pytest.approx(joint.length_mm * joint.width_mm - wood)


def area(points: list[tuple[float, float]]) -> float:
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairwise([*points, points[0]])) / 2


def test_the_end_of_a_side_shows_its_outside_face_on_the_outside() -> None:
    """Seen from the front, the left side's outside face is at the left, the right side's at the right."""
    for board, leftmost in ((DRAWER.left, True), (DRAWER.right, False)):
        words = next(i for i in section_view(board, 1.0).items if isinstance(i, SheetText) and i.text == "outside")
        assert (words.x_mm < 0) == leftmost
        outer = apply(board.to_drawer, (0.0, 0.0, 0.0))[0]
        inner = apply(board.to_drawer, (0.0, 0.0, board.piece.size_mm[2]))[0]
        assert (outer < inner) == leftmost


def test_equal_boards_share_a_sheet() -> None:
    job, drawers = job_of("Mosses", "Ferns")
    stems = [sheet.stem for sheet in sheets_of(job, drawers) if sheet.stem.startswith("board")]
    assert len(stems) == len([sheet for sheet in SHEETS if sheet.stem.startswith("board")])
    told = figures(sheets_of(job, drawers))
    assert any("Mosses, Ferns" in text for text in told)


def test_a_story_stick_of_ninety_divisions_finds_room(samples: Path, tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    kinds = (f'[[drawers]]\nname = "Tray {high}"\nopening = [300, {high}, 260]\n' for high in range(62, 152, 2))
    file.write_text((samples / "first-drawer.toml").read_text() + "".join(kinds))
    drawers = drawers_of(read_job(file)[0])
    sheets = laid_out(Title("story-stick", "Story stick", ()), lambda _: stick_views(drawers), full_size=True)
    told = " ".join(item.text for sheet in sheets for item in sheet.items if isinstance(item, SheetText))
    assert all(f"Tray {high}" in told for high in range(62, 152, 2))


def test_the_story_stick_has_every_division_of_the_family_full_size() -> None:
    for name in SAMPLES:
        job, drawers = sample(name)
        (stick,) = (sheet for sheet in sheets_of(job, drawers) if sheet.stem == "story-stick")
        assert stick.scale == (1, 1)
        left = next(item for item in stick.items if isinstance(item, SheetLine) and item.pen == "reference").vertices[0][0]
        ticks = {
            round(item.vertices[0][0] - left, 2)
            for item in stick.items
            if isinstance(item, SheetLine)
            and item.pen == "outline"
            and len(item.vertices) == 2
            and item.vertices[0][0] == item.vertices[1][0]
        }
        for drawer in drawers:
            for joint in (drawer.left.piece.half_blind, drawer.left.piece.through):
                for tail in joint.tails:
                    marks = {round(x, 2) for x in (tail.low_mm, tail.high_mm) if 0.0 < x < joint.width_mm}
                    assert all(min(abs(mark - tick) for tick in ticks) < 0.011 for mark in marks), (name, drawer.name)


def named(sheet: Sheet) -> dict[str, str]:
    """Return the number in the ring before each board's name."""
    words = [item for item in sheet.items if isinstance(item, SheetText)]
    roles = ("front", "back", "left side", "right side", "bottom")
    names = [word for word in words if word.text in roles]
    return {name.text: next(n.text for n in words if n.y_mm == name.y_mm and 0 < name.x_mm - n.x_mm < 9.0) for name in names}


def test_boards_are_numbered_in_the_order_of_assembly() -> None:
    """Both sides come last onto stopped grooves, the bottom comes last under a raised back (docs/joinery.md sections 6 and 8)."""
    (sheet,) = (sheet for sheet in SHEETS if sheet.picture)
    assert named(sheet) == {"bottom": "1", "front": "2", "back": "3", "left side": "4", "right side": "5"}
    job, drawers = sample("inch-cabinet")
    others = [named(sheet) for sheet in sheets_of(job, drawers) if sheet.picture and "exploded" in sheet.stem]
    assert [sorted(numbers.values()) for numbers in others] == [list("12345")] * len(drawers)
    assert [numbers["bottom"] == "5" for numbers in others] == [drawer.left.piece.through.raise_mm > 0 for drawer in drawers]
    assert {numbers["bottom"] for numbers in others} == {"1", "5"}


def test_lines_of_an_exploded_view_run_the_way_that_boards_move() -> None:
    """Along X and Y of the drawer only, which lie at 30 degrees to the level in isometric projection (ISO 5456-3)."""
    (sheet,) = (sheet for sheet in SHEETS if sheet.picture)
    ways = [item for item in sheet.items if isinstance(item, SheetLine) and item.pen == "hidden"]
    assert len(ways) == 8 + 4
    for way in ways:
        for (x0, y0, _), (x1, y1, _) in pairwise(way.vertices):
            assert abs(math.degrees(math.atan((y1 - y0) / (x1 - x0)))) == pytest.approx(30.0)


def test_the_same_job_draws_the_same_bytes() -> None:
    first = dict(drawing_files(JOB, (DRAWER,))), png_bytes(SHEETS[0])
    time.sleep(1.01)  # a date has seconds
    assert (dict(drawing_files(JOB, (DRAWER,))), png_bytes(SHEETS[0])) == first


@pytest.mark.parametrize("name", [*HOSTILE, "<script>alert(1)</script>", "]]></title><script>", "Грибы"])
def test_a_hostile_name_is_text_and_nothing_else(name: str) -> None:
    sheets = sheets_of(*job_of(name, title=name))
    assert [sheet.stem for sheet in sheets] == [sheet.stem for sheet in SHEETS]
    for sheet in sheets:
        tags = {element.tag.split("}")[1] for element in ElementTree.fromstring(svg_bytes(sheet)).iter()}
        assert tags == {"svg", "view", "title", "style", "rect", "path"}
    for sheet in {sheet.stem.split("-")[0]: sheet for sheet in sheets}.values():  # one of each kind
        assert ezdxf.read(io.StringIO(sheet_dxf_bytes(sheet).decode("cp1252"))).audit().errors == []
    assert png_bytes(sheets[0]).startswith(b"\x89PNG")
    assert len(PdfReader(io.BytesIO(pdf_bytes(sheets))).pages) == len(sheets)


@given(st.lists(st.floats(-100.0, 300.0), min_size=1, max_size=20), st.floats(0.5, 10.0))
def test_spread_figures_keep_their_order_and_distance_and_move_no_more_than_they_must(values: list[float], apart: float) -> None:
    values.sort()
    places = spread(values, apart)
    assert all(b - a >= apart - 1e-9 for a, b in pairwise(places))
    assert sum(places) == pytest.approx(sum(values), abs=1e-6)
    if all(b - a >= apart for a, b in pairwise(values)):
        assert places == pytest.approx(values)


def test_curves_become_vertices_with_true_arcs() -> None:
    curve = (LineSegment((0.0, 0.0), (0.0, 5.0)), ArcSegment((0.0, 5.0), (3.0, 8.0), (3.0, 5.0), clockwise=True))
    vertices = vertices_of(curve)
    assert [v[:2] for v in vertices] == [(0.0, 0.0), (0.0, 5.0), (3.0, 8.0)]
    assert vertices[1][2] == pytest.approx(-0.41421356)
    assert all(np.hypot(x - 3.0, y - 5.0) == pytest.approx(3.0) for x, y in flattened(vertices, closed=False)[1:])
