"""DXF files for cutting and drawing: closed polylines with true arcs, a layer for each operation, nothing else.

Before they are written, shapes are searched for what a laser would cut wrongly or twice.

R2000 (AC1015) with light polylines, ``$INSUNITS`` 4 (mm) or 1 (inches) and ``$MEASUREMENT`` to suit, or R12 (AC1009) with old
polylines, which knows no units (published DXF reference; docs/sources.md section 11).
"""

from __future__ import annotations

import io
import logging
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

from ezdxf import options  # type: ignore[attr-defined]  # its documented home, though not exported by name
from ezdxf.colors import BYLAYER
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace
from shapely import LinearRing, LineString, STRtree
from shapely.ops import unary_union

from camtools.faults import Fault, PacketFault
from camtools.templates.outlines import Outline, Vertex, flattened
from camtools.wording import Units, fine, printable, sizes, units_told

__all__ = [
    "CUTTING_LAYERS",
    "CUT_LAYER",
    "Area",
    "Layer",
    "Shape",
    "TextLine",
    "Version",
    "dxf_bytes",
    "faults_in",
    "open_shape",
    "refuse_doubtful",
    "shape_of",
]

Version = Literal["R2000", "R12"]
CUT_LAYER = "cut"
_ONE_LINE_MM = 0.001  # lines nearer than this along a length are one line cut twice
_CHORD_MM = 0.005


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer: its colour number, its line's width in mm, what it means, and its line's dashes by turns with gaps, as long as drawn."""

    colour: int
    width_mm: float
    meaning: str
    dash_mm: tuple[float, ...] = ()


CUTTING_LAYERS: Mapping[str, Layer] = {
    "cut": Layer(1, 0.0, "cut right through, openings before outlines"),
    "engrave": Layer(5, 0.0, "engrave the surface lightly: names, edges of the board"),
    "mark": Layer(8, 0.0, "do not cut: the sheet's edge and the check dimension; draw it or leave it out"),
}


@dataclass(frozen=True, slots=True)
class Shape:
    """A polyline on a layer: vertices ``(x, y, bulge)`` in mm."""

    layer: str
    vertices: tuple[Vertex, ...]
    closed: bool


@dataclass(frozen=True, slots=True)
class Area:
    """An area on a layer, filled, or hatched where its lines stand apart; for drawings, not for cutting."""

    layer: str
    vertices: tuple[Vertex, ...]
    apart_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class TextLine:
    """A line of text on a layer, about the middle of its height; for drawings, not for cutting."""

    layer: str
    text: str
    x_mm: float
    y_mm: float
    height_mm: float
    width_mm: float  # room that it may take
    anchor: Literal["start", "middle", "end"]
    upright: bool


def shape_of(outline: Outline, layer: str) -> Shape:
    """Return a closed outline as a shape."""
    return Shape(layer, outline.vertices, closed=True)


def open_shape(points: Iterable[tuple[float, float]], layer: str) -> Shape:
    """Return an open path of straight lines as a shape."""
    return Shape(layer, tuple((x, y, 0.0) for x, y in points), closed=False)


def dxf_bytes(
    shapes: Iterable[Shape],
    version: Version,
    layers: Mapping[str, Layer] = CUTTING_LAYERS,
    lines: Iterable[TextLine] = (),
    areas: Iterable[Area] = (),
) -> bytes:
    """Return a DXF file, in the units that are told; the same shapes and lines give the same bytes.

    Parameters
    ----------
    shapes : iterable of Shape
        Polylines, in mm.
    version : {"R2000", "R12"}
        R12 bears no units.
    layers : mapping of str to Layer
        Every layer that may be named, in the order of the file.
    lines : iterable of TextLine
        Words, in mm; for drawings, not for cutting.
    areas : iterable of Area
        What is filled or hatched, under all else; R12 knows no such thing, and the library refuses it.

    Raises
    ------
    KeyError
        If a shape or a line names a layer that is not among ``layers``.
    """
    with _timeless():
        document = _drawn(shapes, version, layers, lines, areas)
        text = io.StringIO()
        document.write(text)
    return text.getvalue().encode(document.output_encoding, errors="dxfreplace")  # the library's own, for letters it lacks


def _drawn(
    shapes: Iterable[Shape], version: Version, layers: Mapping[str, Layer], lines: Iterable[TextLine], areas: Iterable[Area]
) -> Drawing:
    document = _new(version)
    per_mm = units_told()[0].per_mm
    for name, layer in layers.items():
        _add_layer(document, version, name, layer, per_mm)
    space = document.modelspace()
    for area in areas:
        layers[area.layer]
        _fill(space, area, per_mm)
    xs: list[float] = []
    ys: list[float] = []
    for shape in shapes:
        layers[shape.layer]
        points = [tuple(round(n, 6) + 0.0 for n in (x * per_mm, y * per_mm, bulge)) for x, y, bulge in shape.vertices]
        xs += [point[0] for point in points]
        ys += [point[1] for point in points]
        attributes = {"layer": shape.layer}
        if version == "R12":
            space.add_polyline2d(points, format="xyb", close=shape.closed, dxfattribs=attributes)
        else:
            space.add_lwpolyline(points, format="xyb", close=shape.closed, dxfattribs=attributes)
    for line in lines:
        layers[line.layer]
        _write(space, line, per_mm)
    if xs:
        low, high = (min(xs), min(ys)), (max(xs), max(ys))
        document.header["$EXTMIN"], document.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
        height = max(high[1] - low[1], (high[0] - low[0]) * 0.75, 1.0) * 1.1
        document.set_modelspace_vport(height, center=((low[0] + high[0]) / 2, (low[1] + high[1]) / 2))
    return document


def _add_layer(document: Drawing, version: Version, name: str, layer: Layer, per_mm: float) -> None:
    """Add a layer, with a line type of its own where its lines are dashed."""
    entry = document.layers.add(name, color=layer.colour)
    if version != "R12":
        entry.description = layer.meaning
        if layer.width_mm:
            entry.dxf.lineweight = round(layer.width_mm * 100)
    if layer.dash_mm:
        dashes = [round((-1) ** i * length * per_mm, 6) for i, length in enumerate(layer.dash_mm)]
        document.linetypes.add(name, [sum(map(abs, dashes)), *dashes], description=layer.meaning)
        entry.dxf.linetype = name


def _fill(space: Modelspace, area: Area, per_mm: float) -> None:
    """Fill an area, or hatch it at 45 degrees."""
    hatch = space.add_hatch(color=BYLAYER, dxfattribs={"layer": area.layer})
    if area.apart_mm:
        step = round(area.apart_mm * per_mm * math.sqrt(0.5), 6)
        hatch.set_pattern_fill("_USER", color=BYLAYER, pattern_type=0, definition=[[45.0, (0.0, 0.0), (-step, step), []]])
        hatch.dxf.pattern_angle, hatch.dxf.pattern_scale = 45.0, round(area.apart_mm * per_mm, 6)
    hatch.paths.add_polyline_path([(round(x * per_mm, 6), round(y * per_mm, 6), bulge) for x, y, bulge in area.vertices], is_closed=True)


_ANCHORS = {"start": TextEntityAlignment.MIDDLE_LEFT, "middle": TextEntityAlignment.MIDDLE_CENTER, "end": TextEntityAlignment.MIDDLE_RIGHT}
_PLAIN_WIDTH = 0.93  # of a letter of the plain style, of its height: its usual advance


def _write(space: Modelspace, line: TextLine, per_mm: float) -> None:
    """Write a line of text, drawn together where the plain style would need more room than there is."""
    shown = printable(line.text)
    room = _PLAIN_WIDTH * line.height_mm * max(1, len(shown))
    entity = space.add_text(
        shown,
        height=round(line.height_mm * per_mm, 4),
        rotation=90.0 if line.upright else 0.0,
        dxfattribs={"layer": line.layer, "width": round(min(1.0, line.width_mm / room), 3)},
    )
    entity.set_placement((round(line.x_mm * per_mm, 4) + 0.0, round(line.y_mm * per_mm, 4) + 0.0), align=_ANCHORS[line.anchor])


def _new(version: Version) -> Drawing:
    if version == "R12":
        # The library warns that R12 has no units even where none are asked for.
        log = logging.getLogger("ezdxf")
        before = log.level
        log.setLevel(logging.ERROR)
        try:
            return new("R12", units=0)
        finally:
            log.setLevel(before)
    metric = units_told()[0] is Units.MM
    document = new("R2000", units=4 if metric else 1)
    document.header["$MEASUREMENT"] = int(metric)
    return document


@contextmanager
def _timeless() -> Iterator[None]:
    """Have the library leave out times and random identifiers, at making and at writing; its switch is put back."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def faults_in(name: str, shapes: Sequence[Shape]) -> list[Fault]:
    """Return what is wrong with the shapes of a file that is to be cut.

    Every shape on the cut layer is closed, does not cross itself and touches no other; nothing lies on anything else.
    """
    found = [
        Fault(name, f"an outline on the layer {CUT_LAYER} is not closed", _at(shape))
        for shape in shapes
        if shape.layer == CUT_LAYER and not shape.closed
    ]
    cut = [shape for shape in shapes if shape.layer == CUT_LAYER and shape.closed]
    rings = [LinearRing(_line(shape)) for shape in cut]
    found += [Fault(name, "an outline crosses itself", _at(shape)) for shape, ring in zip(cut, rings, strict=True) if not ring.is_valid]
    pairs = STRtree(rings).query(rings, predicate="intersects") if rings else ((), ())
    for first, second in zip(*pairs, strict=True):
        if first < second:
            found.append(Fault(name, "two outlines touch or cross", f"{_at(cut[first])} and {_at(cut[second])}"))
    lines = [_line(shape) for shape in shapes]
    doubled = sum(line.length for line in lines) - unary_union(lines).length if lines else 0.0
    if doubled > _ONE_LINE_MM:
        found.append(Fault(name, "lines lie on one another and would be burned twice", fine(doubled), fine(_ONE_LINE_MM)))
    return found


def refuse_doubtful(name: str, shapes: Sequence[Shape]) -> None:
    """Raise PacketFault for shapes that a laser would cut wrongly."""
    if found := faults_in(name, shapes):
        raise PacketFault(*found)


def _line(shape: Shape) -> LineString:
    points = flattened(shape.vertices, closed=shape.closed, tolerance_mm=_CHORD_MM)
    return LineString([*points, *(points[:1] if shape.closed else ())])


def _at(shape: Shape) -> str:
    x, y, _ = shape.vertices[0]
    return f"X {sizes(x)}, Y {sizes(y)}"
