"""DXF files read by another author's reader: the driver of GDAL/OGR, through pyogrio. The writer is ezdxf.

Lengths and areas are compared with closed forms: a bulge b is the tangent of a quarter of the included angle (published DXF
reference), so an arc over a chord c has the radius c (1 + b^2) / (4 b) (mensuration of the circle, any textbook).
"""

from __future__ import annotations

import io
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import ezdxf
import pytest
import shapely

from camtools.drawer import drawers_of
from camtools.drawings import sheets_of
from camtools.drawings.sheet import WASTE, SheetLine, SheetText
from camtools.drawings.sheet_dxf import sheet_dxf_bytes
from camtools.job import read_job
from camtools.templates.dxf import Version, dxf_bytes, open_shape, shape_of
from camtools.templates.kit import kit_of
from camtools.templates.outlines import Outline, Vertex, circle
from camtools.templates.template_files import templates_of
from tests.published.other_hands import outside
from tests.specimens import template_wish

pyogrio = outside("pyogrio")

SAMPLES = ("first-drawer", "inch-cabinet", "specimen-chest")
STEP_DEG = 0.5  # of the chords that the other reader makes of arcs: a circle of them is shorter by a 24th of its square, smaller by a 6th
SHORT = math.radians(STEP_DEG) ** 2 / 5


@dataclass(frozen=True, slots=True)
class Line:
    """A polyline as either side has it."""

    layer: str
    closed: bool
    length_mm: float
    area_mm2: float  # between the line and the chord that closes it, positive counter-clockwise
    start: tuple[float, float]


def seen(data: bytes) -> tuple[list[Line], Counter[tuple[str, str]]]:
    """Return every polyline, area and text, each with its layer, as the other reader has them; areas come before the lines over them."""
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": str(STEP_DEG)})
    meta, _, shapes, fields = pyogrio.raw.read(io.BytesIO(data))
    named = dict(zip(meta["fields"], fields, strict=True))
    lines, words = [], Counter()
    for shape, layer, text in zip(shapely.from_wkb(shapes), named["Layer"], named["Text"], strict=True):
        if shape.geom_type == "Point":
            words[layer, text] += 1
            continue
        assert shape.geom_type == ("Polygon" if layer in ("waste", "sign") else "LineString")
        corners = [corner[:2] for corner in (shape.exterior if shape.geom_type == "Polygon" else shape).coords]
        doubled = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairwise([*corners, corners[0]]))
        lines.append(Line(layer, corners[0] == corners[-1], shape.length, doubled / 2, corners[0]))
    return lines, words


def meant(layer: str, vertices: Sequence[Vertex], closed: bool) -> Line:
    """Return what a polyline of lines and arcs measures, by closed forms."""
    ends = [*vertices, vertices[0]] if closed else list(vertices)
    closed = closed or math.dist(ends[0][:2], ends[-1][:2]) == 0.0  # as the strokes of an O are
    length, doubled = 0.0, ends[-1][0] * ends[0][1] - ends[0][0] * ends[-1][1]
    for (x0, y0, bulge), (x1, y1, _) in pairwise(ends):
        chord, turn = math.hypot(x1 - x0, y1 - y0), 4 * math.atan(abs(bulge))
        radius = chord * (1 + bulge**2) / (4 * abs(bulge)) if bulge else 0.0
        length += radius * turn if bulge else chord
        doubled += x0 * y1 - x1 * y0 + math.copysign(radius**2 * (turn - math.sin(turn)), bulge)
    return Line(layer, closed, length, doubled / 2, vertices[0][:2])


def compare(found: Sequence[Line], asked: Sequence[Line]) -> None:
    """Compare line by line: layer, closure, start, length and area; coordinates are rounded to the file's decimals."""
    assert [(line.layer, line.closed) for line in found] == [(line.layer, line.closed) for line in asked]
    for mine, other in zip(asked, found, strict=True):
        assert other.start == pytest.approx(mine.start, abs=1e-5), mine
        assert other.length_mm == pytest.approx(mine.length_mm, rel=SHORT, abs=1e-4), mine
        assert other.area_mm2 == pytest.approx(mine.area_mm2, rel=SHORT, abs=1e-3), mine


@pytest.mark.parametrize("version", ["R2000", "R12"])
def test_known_shapes_measure_what_mensuration_says(version: Version) -> None:
    """A rectangle of 50 by 30 with corners of 2: 160 - 4 (4 - pi) round, 1500 - 4 (4 - pi) in area; a circle of 5; an open line."""
    part = shape_of(Outline(((0, 0, 2), (50, 0, 2), (50, 30, 2), (0, 30, 2))), "cut")
    data = dxf_bytes([part, shape_of(circle(25, 15, 5), "engrave"), open_shape([(5, 5), (45, 5)], "mark")], version)
    (rectangle, ring, line), words = seen(data)
    assert not words
    assert (rectangle.layer, rectangle.closed, ring.layer, ring.closed, line.layer, line.closed) == (
        "cut", True, "engrave", True, "mark", False,
    )  # fmt: skip
    assert (rectangle.length_mm, rectangle.area_mm2) == pytest.approx((160 - 4 * (4 - math.pi), 1500 - 4 * (4 - math.pi)), rel=1e-5)
    assert (ring.length_mm, ring.area_mm2) == pytest.approx((math.pi * 5, math.pi * 6.25), rel=SHORT)
    assert line.length_mm == pytest.approx(40.0)


@pytest.mark.parametrize("sample", SAMPLES)
def test_drawings_measure_what_was_drawn(sample: str, samples: Path) -> None:
    """Every line of every marking-out sheet, on the layer of its pen and at full size, every word, all that is hatched or black."""
    job, _ = read_job(samples / f"{sample}.toml")
    arcs = 0
    for sheet in sheets_of(job, drawers_of(job)):
        if sheet.picture:
            continue
        lines, words = seen(sheet_dxf_bytes(sheet))
        full = sheet.scale[1] / sheet.scale[0]
        drawn = [item for item in sheet.items if isinstance(item, SheetLine) and item.pen is not None]
        asked = [meant(item.pen, [(x * full, y * full, bulge) for x, y, bulge in item.vertices], item.closed) for item in drawn]
        compare([line for line in lines if line.layer not in ("waste", "sign")], asked)
        areas = [
            item for item in sheet.items if isinstance(item, SheetLine) and (item.fill == 0.0 or (item.fill == WASTE and item.pen is None))
        ]
        sizes = [meant("", [(x * full, y * full, bulge) for x, y, bulge in item.vertices], closed=True).area_mm2 for item in areas]
        found = [abs(line.area_mm2) for line in lines if line.layer in ("waste", "sign")]
        assert found == pytest.approx([abs(size) for size in sizes], rel=SHORT, abs=1e-3)
        assert words == Counter((item.pen, item.text) for item in sheet.items if isinstance(item, SheetText))
        arcs += sum(bulge != 0.0 for item in drawn for *_, bulge in item.vertices)
    assert arcs > 10


@pytest.mark.parametrize("version", ["R2000", "R12"])
@pytest.mark.parametrize("sample", SAMPLES)
def test_templates_read_alike_by_both_readers(sample: str, version: Version, samples: Path) -> None:
    """Every line that a laser is to follow: what ezdxf reads, measured by closed forms, is what the other reader measures."""
    job, _ = read_job(samples / f"{sample}.toml")
    cut = 0
    for name, data in templates_of(kit_of(drawers_of(job), template_wish(dxf=version, leave_out=True))).items():
        if not name.endswith(".dxf"):
            continue
        asked = []
        for entity in ezdxf.read(io.StringIO(data.decode("cp1252"))).modelspace():
            if entity.dxftype() == "LWPOLYLINE":
                vertices = list(entity.get_points("xyb"))
            else:
                vertices = [(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0)) for v in entity.vertices]
            asked.append(meant(entity.dxf.layer, vertices, entity.is_closed))
        lines, words = seen(data)
        assert not words
        compare(lines, asked)
        assert all(line.closed for line in lines if line.layer == "cut")
        cut += sum(line.layer == "cut" for line in lines)
        assert any(line.layer == "mark" and line.length_mm == pytest.approx(100.0) for line in lines), "the check dimension"
    assert cut > 10
