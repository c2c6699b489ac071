"""Looks at shapes before they become a DXF file: what a laser would cut wrongly or twice."""

from __future__ import annotations

from collections.abc import Sequence

from shapely import LinearRing, LineString, STRtree
from shapely.ops import unary_union

from camtools.faults import Fault, PacketFault
from camtools.templates.dxf import Shape
from camtools.templates.outlines import Outline

__all__ = ["CUT_LAYER", "faults_in", "refuse_doubtful"]

CUT_LAYER = "cut"
_SAME_MM = 0.001  # lines nearer than this along a length are one line cut twice
_CHORD_MM = 0.005


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
    rings = [LinearRing(_points(shape)) for shape in cut]
    found += [Fault(name, "an outline crosses itself", _at(shape)) for shape, ring in zip(cut, rings, strict=True) if not ring.is_valid]
    pairs = STRtree(rings).query(rings, predicate="intersects") if rings else ((), ())
    for first, second in zip(*pairs, strict=True):
        if first < second:
            found.append(Fault(name, "two outlines touch or cross", f"{_at(cut[first])} and {_at(cut[second])}"))
    lines = [_line(shape) for shape in shapes]
    doubled = sum(line.length for line in lines) - unary_union(lines).length if lines else 0.0
    if doubled > _SAME_MM:
        found.append(Fault(name, "lines lie on one another and would be burned twice", f"{doubled:.3f} mm", f"{_SAME_MM:g} mm"))
    return found


def refuse_doubtful(name: str, shapes: Sequence[Shape]) -> None:
    """Raise PacketFault for shapes that a laser would cut wrongly."""
    if found := faults_in(name, shapes):
        raise PacketFault(*found)


def _points(shape: Shape) -> list[tuple[float, float]]:
    return Outline(shape.vertices).points(_CHORD_MM)


def _line(shape: Shape) -> LineString:
    if not shape.closed:
        return LineString([(x, y) for x, y, _ in shape.vertices])
    points = _points(shape)
    return LineString([*points, points[0]])


def _at(shape: Shape) -> str:
    x, y, _ = shape.vertices[0]
    return f"X{x:.3f} Y{y:.3f}"
