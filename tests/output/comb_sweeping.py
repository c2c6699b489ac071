"""Routs boards by hand from comb files alone: a bush follows the comb's edge, a cutter turns in the bush.

Of a comb nothing is known but its DXF file; it is cut out by a laser of some kerf, screwed on, and the bush is led along every
edge and over all that lies between. What is left of the boards is judged by the packet's own check.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from itertools import pairwise

import ezdxf
from ezdxf.path import make_path
from shapely import LineString, MultiLineString, MultiPolygon, Polygon, affinity, box

from camtools.drawer.boards import Affine, Board, Drawer
from camtools.job.job import Cutter
from camtools.output.manifest import BoardEntry, DrawerEntry, JointLimits, PartsEntry, ToolEntry
from camtools.templates.combs import Comb
from camtools.verify.carving.carve import BoardWork, Carved, Carving, carve
from camtools.verify.fit.assemble import Assembly, assemble
from camtools.verify.fit.judge import Misfit
from camtools.verify.reader.motion import Motion

__all__ = ["JOINT_CODES", "comb_in", "joined", "routed"]

JOINT_CODES = {"joint-overlap", "joint-blocked", "flank-clearance", "shoulder-gap", "tip-gap", "lap-thin", "proud-ends", "gap-shows"}
_SAGITTA_MM = 0.001
_STEP_MM = 0.004  # by which the motion may cut a corner
_FINE = 128  # sides of a quarter circle where plane geometry draws one


def read_dxf(data: bytes) -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(data.decode("cp1252")))


def comb_in(data: bytes, kerf_mm: float) -> tuple[Polygon, float, float]:
    """Return the comb that a laser cuts from a file, and the places of the engraved lines for the reference edge and far face.

    The beam is as wide as the kerf and centred on the line. Letters are at most 4 mm high, those lines are longer.
    """
    space = read_dxf(data).modelspace()
    cut = [Polygon([(p.x, p.y) for p in make_path(entity).flattening(_SAGITTA_MM)]) for entity in space if entity.dxf.layer == "cut"]
    outline = max(cut, key=lambda polygon: polygon.area)
    part = outline.buffer(-kerf_mm / 2, join_style="mitre", quad_segs=_FINE)
    engraved = [LineString([(p.x, p.y) for p in make_path(entity).flattening(1.0)]) for entity in space if entity.dxf.layer == "engrave"]
    lines = [line for line in engraved if len(line.coords) == 2]
    long = [line for line in lines if line.length > 4.2]
    upright = [line for line in long if line.bounds[2] - line.bounds[0] < 1e-6]
    level = [line for line in long if line.bounds[3] - line.bounds[1] < 1e-6]
    return part, min(line.bounds[0] for line in upright), max(line.bounds[1] for line in level)


def _loops(region: MultiPolygon | Polygon) -> Iterator[list[tuple[float, float]]]:
    for polygon in getattr(region, "geoms", (region,)):
        for ring in (polygon.exterior, *polygon.interiors):
            yield list(ring.simplify(_STEP_MM).coords)


def routed(
    comb: Polygon, reference: float, face: float, thick: float, bush_mm: float, cutter: Cutter, depth: float, span: float
) -> tuple[Motion, ...]:
    """Return the motions of the cutter's tip, in the comb's frame: x from the reference edge, y from the near face into the wood."""
    comb = affinity.translate(comb, -reference, thick - face)
    _, _, _, top = comb.bounds
    near = -(cutter.diameter_mm / 2 + bush_mm + 6.0)
    around = box(-bush_mm, near, span + bush_mm, top)
    free = around.difference(comb.buffer(bush_mm / 2, quad_segs=_FINE))
    # Where the bush can be led from the operator's side without being lifted.
    free = max(getattr(free, "geoms", (free,)), key=lambda polygon: polygon.area)
    narrow = cutter.diameter_mm / 2 - depth * math.tan(math.radians(cutter.angle_deg))
    motions = [_feed(start, end, -depth, cutter.number) for loop in _loops(free) for start, end in pairwise(loop)]
    # Over the wood, what lies between the edges is cleared in lines.
    wood = box(-narrow, -narrow, span + narrow, thick + narrow)
    x = -narrow
    while x < span + narrow:
        for run in _runs(free.intersection(wood).intersection(LineString([(x, near), (x, top)]))):
            motions.append(_feed(*run, -depth, cutter.number))
        x += 1.2 * narrow
    # A slot as wide as the bush has no area: its middle line is led along as well.
    for x, y in _blind_ends(comb, bush_mm):
        motions.append(_feed((x, near), (x, y), -depth, cutter.number))
    return tuple(motions)


def _runs(found: LineString | MultiLineString) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    for line in getattr(found, "geoms", (found,)):
        if line.geom_type == "LineString" and not line.is_empty:
            yield line.coords[0], line.coords[-1]


def _blind_ends(comb: Polygon, bush_mm: float) -> Iterator[tuple[float, float]]:
    """Yield the ends of slots that are no wider than the bush, with a thousandth to spare."""
    tight = comb.buffer(bush_mm / 2 - 0.001, quad_segs=_FINE)
    loose = comb.buffer(bush_mm / 2, quad_segs=_FINE)
    slots = box(*comb.bounds).difference(tight).difference(box(*comb.bounds).difference(loose).buffer(0.01))
    for slot in getattr(slots, "geoms", (slots,)):
        x0, _, x1, y1 = slot.bounds
        if not slot.is_empty and x1 - x0 < 0.01:
            yield (x0 + x1) / 2, y1 - 0.001


def _feed(start: tuple[float, float], end: tuple[float, float], z: float, tool: int) -> Motion:
    return Motion("feed", 1, (*start, z), (*end, z), None, 0.0, 1000.0, 18000.0, tool, "G54")


def frame_of(board: Board, comb: Comb, end: str) -> Affine:
    """Return the map from board to comb, as the words on the comb have it: reference edge to the line, end and face as told."""
    length, _, thick = board.piece.size_mm
    up = {"front end": (-1.0, 0.0), "left end": (-1.0, 0.0), "rear end": (1.0, -length), "right end": (1.0, -length)}[end]
    turned = -1.0 if end in comb.turned_over and board.piece.role in comb.turned_over else 1.0
    across = (0.0, turned, 0.0, 0.0)
    if comb.kind == "sockets":
        inward = (1.0, 0.0, 0.0, 0.0) if end == "left end" else (-1.0, 0.0, 0.0, length)
        return (across, inward, (0.0, 0.0, 1.0, -thick))
    towards = (0.0, 0.0, 1.0, 0.0) if comb.kind == "pins" else (0.0, 0.0, -1.0, thick)
    return (across, towards, (up[0], 0.0, 0.0, up[1]))


def work_of(board: Board, comb: Comb, data: bytes, end: str, kerf_mm: float, thick: float) -> BoardWork:
    """Return what routing one end of a board with a comb does to it; the far line is set ``thick`` from the near face or end."""
    part, reference, face = comb_in(data, kerf_mm)
    frame = frame_of(board, comb, end)
    motions = routed(part, reference, face, thick, comb.bush_mm, comb.cutter, comb.depth_mm, board.piece.size_mm[1])
    if frame[0][1] < 0:  # turned over: what lay to the right of the reference edge lies to its left
        motions = tuple(_feed((-m.start[0], m.start[1]), (-m.end[0], m.end[1]), m.start[2], m.tool) for m in motions)
    return BoardWork("comb", frame, motions)


def joined(
    drawer: Drawer, works: dict[str, list[BoardWork]], cutters: tuple[Cutter, ...], limits: dict[str, float]
) -> tuple[list[Misfit], float]:
    """Carve the boards of a drawer, put them together and return what is wrong with the joints, and the bound of the carving."""
    tools = {
        c.number: ToolEntry(
            number=c.number,
            kind=c.kind,
            diameter=c.diameter_mm,
            half_angle=c.angle_deg,
            cutting_length=c.cutting_length_mm,
            shank=c.shank_mm,
        )
        for c in cutters
    }
    parts = dict(zip(("front", "back", "left", "right", "bottom"), drawer.boards, strict=True))
    entries = {
        part: BoardEntry(
            id=board.id, role=board.piece.role, size=board.piece.size_mm, count=1, to_drawer=_floats(board.to_drawer),
            outline=list(board.piece.outline) or None,
        )
        for part, board in parts.items()
    }  # fmt: skip
    carved: dict[str, Carved] = {
        part: carve(Carving(entries[part].size, tuple(works.get(part, ())), tools, parts[part].piece.outline)) for part in parts
    }
    entry = DrawerEntry(
        id=drawer.id, count=1, outside=drawer.outside_mm, parts=PartsEntry(**{part: board.id for part, board in parts.items()})
    )
    raised = drawer.left.piece.through is not None and drawer.left.piece.through.raise_mm > 0
    asked = JointLimits(
        drawer=drawer.id, back="raised" if raised else "full", bottom_held=[], opening=None, front="inset", bottom_play=0.1, **limits
    )
    verdict = assemble(Assembly(entry, asked, entries, carved))
    return [fault for fault in verdict.faults if fault.code in JOINT_CODES], max(board.bound_mm for board in carved.values())


def _floats(frame: Affine) -> Affine:
    a, b, c = (tuple(float(x) for x in row) for row in frame)
    return (a, b, c)  # type: ignore[return-value]
