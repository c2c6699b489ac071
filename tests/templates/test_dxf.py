"""DXF files read back by the library that any reader may use, with its own audit."""

from __future__ import annotations

import io
import time

import ezdxf
import pytest

from camtools.templates.dxf import Layer, Shape, TextLine, dxf_bytes, open_shape, shape_of
from camtools.templates.outlines import Outline, circle

PART = Outline(((0, 0, 2), (50, 0, 2), (50, 30, 2), (0, 30, 2)))
SHAPES = [shape_of(PART, "cut"), shape_of(circle(25, 15, 5), "cut"), open_shape([(5, 5), (45, 5)], "engrave")]


def read(data: bytes) -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(data.decode("cp1252")))


@pytest.mark.parametrize(("version", "code", "kind"), [("R2000", "AC1015", "LWPOLYLINE"), ("R12", "AC1009", "POLYLINE")])
def test_a_file_is_read_back_without_a_fault(version, code: str, kind: str) -> None:
    document = read(dxf_bytes(SHAPES, version))
    assert document.dxfversion == code
    assert document.audit().errors == []
    assert [entity.dxftype() for entity in document.modelspace()] == [kind] * 3
    assert [entity.is_closed for entity in document.modelspace()] == [True, True, False]
    assert [entity.dxf.layer for entity in document.modelspace()] == ["cut", "cut", "engrave"]


def test_units_are_millimetres_where_the_version_has_units() -> None:
    """$INSUNITS 4 is mm, $MEASUREMENT 1 is metric (published DXF reference); R12 knows neither."""
    new, old = read(dxf_bytes(SHAPES, "R2000")), read(dxf_bytes(SHAPES, "R12"))
    assert (new.header["$INSUNITS"], new.header["$MEASUREMENT"]) == (4, 1)
    assert "$INSUNITS" not in old.header
    assert "$MEASUREMENT" not in old.header


def test_arcs_stay_arcs() -> None:
    """A quarter circle's bulge is the tangent of 22.5 degrees (published DXF reference)."""
    entity = read(dxf_bytes(SHAPES, "R2000")).modelspace()[0]
    assert sorted({round(bulge, 6) for *_, bulge in entity.get_points("xyb")}) == [0.0, 0.414214]


@pytest.mark.parametrize("version", ["R2000", "R12"])
def test_the_same_shapes_give_the_same_bytes_at_another_time(version) -> None:
    first = dxf_bytes(SHAPES, version)
    time.sleep(0.02)
    assert dxf_bytes(SHAPES, version) == first


def test_r12_is_written_without_a_word_on_the_terminal(capfd: pytest.CaptureFixture[str]) -> None:
    dxf_bytes(SHAPES, "R12")
    assert capfd.readouterr() == ("", "")


def test_no_negative_zero_is_written() -> None:
    data = dxf_bytes([Shape("cut", ((-0.0, -1e-9, -0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)), closed=True)], "R2000")
    assert b"\n-0.0\n" not in data


def test_an_unknown_layer_is_refused() -> None:
    with pytest.raises(KeyError):
        dxf_bytes([open_shape([(0, 0), (1, 1)], "burn")], "R2000")


@pytest.mark.parametrize("text", ["Gräser", "Грибы", "two\nlines\r\n  0\nENDSEC", "%%c%%d", "x" * 300])
@pytest.mark.parametrize("version", ["R2000", "R12"])
def test_no_text_can_end_a_line_or_start_an_entity(text: str, version) -> None:
    line = TextLine("words", text, 1.0, 2.0, 3.0, 40.0, "start", upright=False)
    document = read(dxf_bytes([], version, {"words": Layer(7, 0.2, "words")}, [line]))
    assert document.audit().errors == []
    (entity,) = document.modelspace()
    assert entity.dxftype() == "TEXT"
    assert entity.dxf.text.replace("\\U+", "") != ""
    assert "\n" not in entity.dxf.text
