"""Keep-out zones: where stop, fence, clamps and plate stand, worked out from hold, stop, board and machine, and compared with the limits.

Upright, a board bears on the backing piece, whose front is Y0 and whose rear bears on the plate, which reaches up to the worked end, Z0;
clamps press on its front. Flat, it lies on the bed; for a groove its reference edge meets a fence at Y0. A stop stands at X0. Upright, stop
and clamps stay below the worked end; flat, stop and fence rise a little above the bed, and clamps stand on the face, away from the worked
end or beyond the groove. Where they find no room beside a groove, a batten along the far edge holds the board. docs/joinery.md section 3.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from camtools.output.manifest import BoardEntry, Limits, Manifest, ProgramEntry, Triple, ZoneEntry
from camtools.verify.carving.carve import board_box
from camtools.verify.carving.sweep import Box
from camtools.verify.findings import Finding, Subject
from camtools.verify.lookups import end_worked
from camtools.verify.rules.job_rules import Comparison, bounds_of
from camtools.verify.written import Values, Written, known
from camtools.wording import span

__all__ = ["judge_keep_out"]

_THICK_MM = 50.0  # what stands at a board reaches at least so far away from it
_ROUNDING_MM = 1e-3
# Where the job file does not say; common practice, no source.
_BACKING_MM, _BELOW_MM, _ROOM_MM = 18.0, 25.0, 6.0  # at most, or as much as the largest cutter needs, with room beside it
_FLAT_MM, _LEAST_FLAT_MM = 6.0, 1.0  # at least: that, or half of the thinnest board
_CLAMP_MM = 25.0  # at least, over the face
_NUT_MM, _BESIDE_MM = 35.0, 10.0  # width of nuts, and between them and the clamps at most
_WIDTHS = {"diameter": 0.0, "shank": 0.0, "holder": _NUT_MM}
_EDGE_MM, _PLAY_MM = 20.0, 0.3  # of a groove, at most
_WASTE_MM = 0.5  # into a waste sheet under a board that is cut through, at most
_PASSING_MM = 5.0  # between a stop and the notch that it leaves free, more than the widest cutter, at most
_BEARING_MM = 12.0  # of a face, enough for a clamp in any case


class _Clamps(NamedTuple):
    """How high clamps on a flat board stand over its face, and how far they stay at most from the worked end, and from the fence."""

    height_mm: float
    from_end_mm: float
    from_fence_mm: float


class _Need(NamedTuple):
    """What stands at a board, in the program's machine frame: corners of the box that its zone must cover."""

    name: str
    low: Triple
    high: Triple


def judge_keep_out(written: Written, manifest: Manifest, limits: Limits) -> list[Finding]:
    """Return where zones, backing or spoilboard are not those of the setup."""
    findings: list[Finding] = []
    machine, cutters = written.machine, written.cutters.values()
    widest, longest = (max((known(cutter.get(key)) for cutter in cutters), default=0.0) for key in ("diameter", "cutting_length"))
    thick = [known(drawer.stock.get(part)) for drawer in written.drawers for part in ("front", "side", "back") if part in drawer.stock]
    flat = max(min(min(thick, default=0.0) / 2 - 0.5, _FLAT_MM), _LEAST_FLAT_MM)
    _, below = bounds_of(machine.get("upright_stop_below"), 0.0, max(_BELOW_MM, longest + _ROOM_MM))
    height, _ = bounds_of(machine.get("flat_stop"), flat, flat)
    bodies = [known(cutter.get(key, usual)) for cutter in cutters for key, usual in _WIDTHS.items()]
    beside = max(bodies, default=0.0) / 2 + _BESIDE_MM
    clamps = _Clamps(
        bounds_of(machine.get("clamp_height"), _CLAMP_MM, _CLAMP_MM)[0],
        bounds_of(machine.get("clamp_from_end"), 0.0, max(thick, default=0.0) + beside)[1],
        bounds_of(machine.get("clamp_from_groove"), 0.0, beside)[1]
        + max((_far_wall_mm(drawer.groove, known(drawer.stock.get("bottom"))) for drawer in written.drawers), default=0.0),
    )
    boards = {board.id: board for board in manifest.boards}
    around = {entry.file: entry for entry in limits.programs}
    uses = {(program.file, program.to_machine, boards[program.board].size): program for program in manifest.programs
            if program.board in boards and program.file in around}  # fmt: skip
    deepest = max(thick, default=0.0)
    for program in uses.values():
        entry, board = around[program.file], boards[program.board]
        compare = Comparison("limits.json", findings, Subject("program", program.file))
        if program.hold == "upright":
            most = max(_BACKING_MM, widest + _ROOM_MM)
            compare.number("backing", entry.backing, machine.get("backing"), 0.0, most)
            standing = _upright(program, board, entry.backing, below)
        else:
            compare.number("backing", entry.backing, None, 0.0, 0.0)
            batten = any(zone.name == "batten" for zone in entry.zones)
            cut_mm = _notched_mm(board) if board.role == "bottom" else deepest
            standing = _flat(program, board, height, clamps, batten, cut_mm + widest + _PASSING_MM)
        through = _cut_through(program, board)
        said = machine.get("waste_depth") if through and program.kind == "cut" else None
        compare.number("depth into the spoilboard", entry.spoilboard, said, 0.0, _WASTE_MM if through else 0.0)
        for need in standing:
            same = [zone for zone in entry.zones if zone.name == need.name]
            if not any(_holds(zone, need) for zone in same):
                corners = zip("XYZ", need.low, need.high, strict=True)
                where = ", ".join(f"{axis} {span(low, high)}" for axis, low, high in corners)
                fault = "leaves some of that out" if same else "is missing"
                compare.add("zone-wrong", f"the {need.name} fills {where}, and its keep-out zone {fault}")
    return findings


def _cut_through(program: ProgramEntry, board: BoardEntry) -> bool:
    """Tell whether a flat board is cut right through: a bottom's corners, and the ends of sides and backs that can not stand upright."""
    return program.hold == "flat" and end_worked(program) != "groove" and board.role != "front"


def _holds(zone: ZoneEntry, need: _Need) -> bool:
    lower = all(a <= b + _ROUNDING_MM for a, b in zip(zone.low, need.low, strict=True))
    return lower and all(a >= b - _ROUNDING_MM for a, b in zip(zone.high, need.high, strict=True))


def _stop_x(program: ProgramEntry, box: Box) -> tuple[float, float]:
    return (box.low[0] - _THICK_MM, box.low[0]) if program.stop == "left" else (box.high[0], box.high[0] + _THICK_MM)


def _upright(program: ProgramEntry, board: BoardEntry, backing_mm: float, below_mm: float) -> Iterator[_Need]:
    box, thick = board_box(board.size, program.to_machine), board.size[2]
    left, right = _stop_x(program, box)
    foot, top = -below_mm - _THICK_MM, -below_mm
    yield _Need("stop", (left, -thick, foot), (right, 0.0, top))
    yield _Need("clamp", (box.low[0], -thick - _THICK_MM, foot), (box.high[0], -thick, top))
    far = backing_mm + _THICK_MM
    yield _Need("plate", (box.low[0] - _THICK_MM, backing_mm, -_THICK_MM), (box.high[0] + _THICK_MM, far, 0.0))


def _far_wall_mm(groove: Values, bottom_mm: float) -> float:
    """Return how far from the reference edge a groove reaches, at most."""
    return known(groove.get("edge", _EDGE_MM)) + bottom_mm + known(groove.get("play", _PLAY_MM))


def _notched_mm(board: BoardEntry) -> float:
    """Return how far from its ends the corners of a bottom are cut back, at most."""
    length = board.size[0]
    return max((min(u, length - u) for u, v in board.outline or () if min(v, board.size[1] - v) < _ROUNDING_MM), default=0.0)


def _flat(program: ProgramEntry, board: BoardEntry, height_mm: float, clamps: _Clamps, batten: bool, notch_mm: float) -> Iterator[_Need]:
    box, bed = board_box(board.size, program.to_machine), -board.size[2]
    left, right = _stop_x(program, box)
    near, far = box.low[0] - _THICK_MM, box.high[0] + _THICK_MM  # fence, batten and clamps reach out at both ends
    free_mm = notch_mm if _cut_through(program, board) else 0.0  # of the stop, so that a cutter that goes through the board passes it
    yield _Need("stop", (left, box.low[1], bed), (right, box.high[1] - free_mm, bed + height_mm))
    if end_worked(program) != "groove":
        yield _Need("clamp", (near, box.low[1] - _THICK_MM, 0.0), (far, -clamps.from_end_mm, clamps.height_mm))
        return
    yield _Need("fence", (near, -_THICK_MM, bed), (far, 0.0, bed + height_mm))
    if batten and box.high[1] < clamps.from_fence_mm + _BEARING_MM:
        yield _Need("batten", (near, box.high[1], bed), (far, box.high[1] + _THICK_MM, bed + height_mm))
    else:
        yield _Need("clamp", (near, clamps.from_fence_mm, 0.0), (far, box.high[1] + _THICK_MM, clamps.height_mm))
