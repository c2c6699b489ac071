"""The template files: closed, clean, of the true size after the kerf, the same bytes each time."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import ezdxf
import pytest
from ezdxf.path import make_path
from shapely import LinearRing, Polygon

from camtools.drawer.drawers import drawers_of
from camtools.faults import CannotCut
from camtools.job.job import TemplateWish
from camtools.job.jobfile import read_job
from camtools.templates.kit import kit_of
from camtools.templates.template_files import templates_of
from tests.output.specimens import DRAWER, job_of
from tests.output.test_comments import HOSTILE
from tests.specimens import template_wish

SAMPLES = ("first-drawer", "specimen-chest", "inch-cabinet")
WISHES = {
    "usual": template_wish(),
    "R12": template_wish(dxf="R12"),
    "outlined, nominal": template_wish(text="outlines", kerf=0.0),
    "wide kerf, small sheet": template_wish(kerf=0.45, sheet=[300.0, 200.0]),
    "guides": template_wish(guide=8.0, guide_radius=3.0, guide_inset=0.0),
}


def read(data: bytes) -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(data.decode("cp1252")))


TRIED = [("first-drawer", wish) for wish in WISHES]
TRIED += [("specimen-chest", wish) for wish in ("usual", "wide kerf, small sheet")]
TRIED += [("inch-cabinet", wish) for wish in ("outlined, nominal", "guides")]


@pytest.fixture(scope="module", params=SAMPLES)
def job(request: pytest.FixtureRequest):
    found, _ = read_job(Path(__file__).parent.parent.parent / "samples" / f"{request.param}.toml")
    return found, drawers_of(found)


@pytest.mark.parametrize(("job", "wishes"), [(sample, WISHES[wish]) for sample, wish in TRIED], indirect=["job"], ids=map(", ".join, TRIED))
def test_every_file_is_clean_when_it_is_read_back(job, wishes: TemplateWish) -> None:
    """The audit of ezdxf; shapely decides on closure, self-crossing and duplicates."""
    files = templates_of(kit_of(job[1], replace(wishes, leave_out=True)))
    names = [name for name in files if name.endswith(".dxf")]
    assert len(names) >= 7
    for name in names:
        assert name.endswith("-mm.dxf")
        document = read(files[name])
        assert document.audit().errors == [], name
        if wishes.dxf == "R2000":
            assert (document.header["$INSUNITS"], document.header["$MEASUREMENT"]) == (4, 1)
        entities = list(document.modelspace())
        assert {entity.dxftype() for entity in entities} == {"LWPOLYLINE" if wishes.dxf == "R2000" else "POLYLINE"}
        assert {entity.dxf.layer for entity in entities} <= {"cut", "engrave", "mark"}
        rings = []
        for entity in entities:
            if entity.dxf.layer != "cut":
                continue
            points = [(p.x, p.y) for p in make_path(entity).flattening(0.002)]
            assert entity.is_closed
            assert points[0] == pytest.approx(points[-1], abs=0.001)
            rings.append(LinearRing(points))
        assert all(ring.is_valid for ring in rings), name
        assert all(not a.intersects(b) for i, a in enumerate(rings) for b in rings[i + 1 :]), name


def outline_in(data: bytes) -> Polygon:
    cut = [e for e in read(data).modelspace() if e.dxf.layer == "cut"]
    return max((Polygon([(p.x, p.y) for p in make_path(e).flattening(0.0005)]) for e in cut), key=lambda shape: shape.area)


@pytest.mark.parametrize("kerf", [0.0, 0.25, 0.45])
def test_combs_have_the_geometrys_size_after_the_kerf(kerf: float) -> None:
    wishes = template_wish(kerf=kerf)
    kit = kit_of((DRAWER,), wishes)
    files = templates_of(kit)
    assert len(kit.combs) == 4
    for comb in kit.combs:
        part = outline_in(files[f"comb-{comb.plate.name.lower().replace(' ', '-')}-mm.dxf"]).buffer(
            -kerf / 2, join_style="mitre", quad_segs=400
        )
        x0, y0, x1, y1 = comb.plate.outline.bounds_mm
        assert part.bounds[2] - part.bounds[0] == pytest.approx(x1 - x0, abs=0.001)
        assert part.bounds[3] - part.bounds[1] == pytest.approx(y1 - y0, abs=0.001)
        true = Polygon(comb.plate.outline.moved(part.bounds[0] - x0, part.bounds[1] - y0).points(0.0005))
        assert part.hausdorff_distance(true) < 0.001 or part.symmetric_difference(true).area < 0.001 * true.length


def test_the_kerf_test_is_nominal_whatever_the_kerf() -> None:
    """Ten strips of 12 mm: what is missing of 120 mm is ten kerfs."""
    files = templates_of(kit_of((DRAWER,), template_wish(kerf=0.4)))
    widths = []
    for entity in read(files["kerf-test-1-mm.dxf"]).modelspace():
        if entity.dxf.layer == "cut":
            xs = [x for x, *_ in entity.get_points()]
            widths.append(max(xs) - min(xs))
    assert sum(widths) == pytest.approx(120.0)
    assert len(widths) == 10


def test_a_check_dimension_of_100_mm_is_in_every_file() -> None:
    for name, data in templates_of(kit_of((DRAWER,), template_wish())).items():
        if name.endswith(".dxf"):
            marks = [list(e.get_points("xy")) for e in read(data).modelspace() if e.dxf.layer == "mark"]
            assert any(len(m) == 2 and abs(m[1][0] - m[0][0]) == pytest.approx(100.0) and m[0][1] == m[1][1] for m in marks), name


def test_pieces_and_their_numbers_are_all_on_the_sheets(job) -> None:
    files = templates_of(kit_of(job[1], template_wish(leave_out=True)))
    told = re.search(r"Numbers off[^:]*: (.*?)\.\n", files["read-me.txt"].decode(), re.DOTALL)
    counts = re.findall(r"(\d+)\s+of\s+([\d.]+)", told.group(1))
    wanted = sorted(float(width) for off, width in counts for _ in range(int(off)) if float(width) >= 2.0)
    found = []
    for name, data in files.items():
        if name.startswith("spacers"):
            for entity in read(data).modelspace():
                if entity.dxf.layer == "cut":
                    xs = [x for x, *_ in entity.get_points()]
                    found.append(round(max(xs) - min(xs) - 0.25, 2))
    assert sorted(found) == pytest.approx(wanted)


def test_pieces_and_guides_as_they_are_told_add_up_to_the_board() -> None:
    text = " ".join(templates_of(kit_of((DRAWER,), template_wish(guide=8.0)))["read-me.txt"].decode().split())
    rows = re.findall(r"- (?:H1|T1), board ([\d.]+): ((?:[\d.]+|\[guide\]| )+)", text)
    assert len(rows) == 2
    for board, row in rows:
        parts = [8.0 if part == "[guide]" else float(part) for part in row.split()]
        assert sum(parts) == pytest.approx(float(board), abs=0.005 * len(parts))


def test_the_same_job_gives_the_same_bytes() -> None:
    assert templates_of(kit_of((DRAWER,), template_wish())) == templates_of(kit_of((DRAWER,), template_wish()))


def test_what_can_not_be_made_is_refused_or_left_out_and_told() -> None:
    wishes = template_wish(bushes=[30.0])
    with pytest.raises(CannotCut, match=r"a bush of 30 mm; limit at most 1\d\.\d\d mm"):
        kit_of((DRAWER,), wishes)
    files = templates_of(kit_of((DRAWER,), replace(wishes, leave_out=True)))
    assert not any(name.startswith("comb") for name in files)
    assert "NOT MADE" in files["read-me.txt"].decode()


def test_a_comb_larger_than_the_sheet_is_left_out_like_any_other() -> None:
    files = templates_of(kit_of((DRAWER,), template_wish(sheet=[130.0, 60.0], leave_out=True)))
    assert not any(name.startswith("comb") for name in files)
    assert "larger than the sheet" in " ".join(files["read-me.txt"].decode().split())


def test_cautions_come_first_in_the_read_me() -> None:
    text = templates_of(kit_of((DRAWER,), template_wish()))["read-me.txt"].decode()
    assert text.index("SAFETY FIRST") < text.index("FILES")
    for word in ("sideways", "Never lift", "Clamp", "offcuts", "come first"):
        assert word in text


def test_every_file_is_told_of_in_the_read_me() -> None:
    files = templates_of(kit_of((DRAWER,), template_wish()))
    text = files["read-me.txt"].decode()
    assert all(f"- {name}\n" in text for name in files if name != "read-me.txt")


@cache
def _usual(name: str) -> dict[str, bytes]:
    return templates_of(kit_of(job_of(name)[1], template_wish()))


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_changes_no_file_name_and_no_template(name: str) -> None:
    plain, hostile = (_usual(n) for n in ("Mosses", name))
    assert plain.keys() == hostile.keys()
    assert all(plain[file] == hostile[file] for file in plain if file.endswith(".dxf"))
    table = hostile["stop-settings.csv"].decode("utf-8-sig")
    assert all(not cell.strip('"').startswith(("=", "+", "-", "@")) for line in table.split("\r\n") for cell in line.split(","))


def test_left_and_right_stops_are_in_the_table() -> None:
    lines = templates_of(kit_of((replace(DRAWER),), template_wish()))["stop-settings.csv"].decode("utf-8-sig").splitlines()
    assert [line.split(",")[0] for line in lines] == ["part", "front", "back", "left side", "right side"]
