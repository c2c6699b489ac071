"""The plan of a job as plain data: what `camtools plan` prints for scripts, and what the packet's page tells by name."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from camtools.drawer.boards import Board, Drawer, Note
from camtools.job.job import Cutter, DrawerWish, Job
from camtools.toolpath.moves import Program
from camtools.toolpath.programs import marks_of

__all__ = ["plan_bytes", "plan_of"]


def plan_of(job: Job, drawers: Sequence[Drawer], programs: Sequence[Program]) -> dict[str, Any]:
    """Return the plan as plain data; units stand in the keys. Drawers stand in the order of the job's wishes."""
    marks = marks_of(drawers)
    return {
        "plan": 1,
        "job": job.title,
        "drawers": [
            {
                "id": drawer.id,
                "name": drawer.name,
                "count": drawer.count,
                "opening_mm": _sizes(drawer.opening_mm, ("width", "height", "depth")),
                "outside_mm": _sizes(drawer.outside_mm, ("width", "depth", "height")),
                "show_front_mm": _sizes(drawer.show_front_mm, ("length", "width", "thickness")),
                "tails": {
                    "front": _tails(drawer.left, "half_blind"),
                    "rear": _tails(drawer.left, "through"),
                },
                "stock": _stock(wish),
                "boards": [_board(board, marks[board.piece]) for board in drawer.boards],
                "choices": [_note(note) for note in drawer.notes if note.kind == "choice"],
                "warnings": [_note(note) for note in drawer.notes if note.kind == "warning"],
            }
            for wish, drawer in zip(job.drawers, drawers, strict=True)
        ],
        "cutters": [_cutter(cutter) for cutter in job.cutters],
        "machine": {"spin_up_s": job.machine.spin_up_s, "tool_change_s": job.machine.tool_change_s},
        "programs": [
            {
                "name": program.stem,
                "title": program.title,
                "hold": program.setup.hold,
                "stop": program.setup.stop,
                "cutters": [cut.cutter.number for cut in program.cuts],
                "boards": list(program.boards),
                "seconds": round(program.seconds, 1),
            }
            for program in programs
        ],
    }


def plan_bytes(job: Job, drawers: Sequence[Drawer], programs: Sequence[Program]) -> bytes:
    """Return the packet's ``plan.json``."""
    return (json.dumps(plan_of(job, drawers, programs), indent=1, allow_nan=False) + "\n").encode("ascii")


def _sizes(sizes_mm: tuple[float, float, float] | None, names: tuple[str, str, str]) -> dict[str, float] | None:
    return None if sizes_mm is None else {name: round(size, 3) for name, size in zip(names, sizes_mm, strict=True)}


def _tails(side: Board, joint: str) -> list[dict[str, float]]:
    found = getattr(side.piece, joint)
    return [{"middle_mm": round(tail.middle_mm, 3), "width_mm": round(tail.width_mm, 3)} for tail in (found.tails if found else ())]


def _stock(wish: DrawerWish) -> dict[str, str]:
    stock = wish.stock
    bottom = stock.bottom_species if stock.bottom_kind == "solid" else ""
    return {"wood": stock.species, "sawn": stock.sawn, "bottom_kind": stock.bottom_kind, "bottom_wood": bottom}


def _board(board: Board, mark: str) -> dict[str, Any]:
    groove = board.piece.groove
    return {
        "id": board.id,
        "mark": mark,
        "role": board.piece.role,
        "count": board.count,
        "size_mm": _sizes(board.piece.size_mm, ("length", "width", "thickness")),
        "groove_mm": groove and {name: round(getattr(groove, f"{name}_mm"), 3) for name in ("edge", "width", "depth", "start", "stop")},
    }


def _cutter(cutter: Cutter) -> dict[str, Any]:
    return {
        "number": cutter.number,
        "kind": cutter.kind,
        "diameter_mm": cutter.diameter_mm,
        "angle_deg": cutter.angle_deg,
        "flutes": cutter.flutes,
        "speed_rpm": cutter.speed_rpm,
        "max_speed_rpm": cutter.max_speed_rpm,
        "feed_mm_min": cutter.feed_mm_min,
        "plunge_mm_min": cutter.plunge_mm_min,
        "depth_per_pass_mm": cutter.depth_per_pass_mm if cutter.kind == "straight" else None,
    }


def _note(note: Note) -> dict[str, str]:
    return {"where": note.where, "text": note.text}
