"""Names and settings that the packet's ``plan.json`` adds to its manifest: what drawers, boards and programs are called, and why."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from camtools.faults import Fault, PacketFault

__all__ = ["DrawerWood", "Names", "PlanNote", "read_names"]

_FILE = "plan.json"
_LARGEST_BYTES = 64_000_000
Read = TypeVar("Read")


@dataclass(frozen=True, slots=True)
class PlanNote:
    """Something that the plan chose, or warns of, for one drawer."""

    drawer: str
    where: str
    text: str


@dataclass(frozen=True, slots=True)
class DrawerWood:
    """What a drawer's boards are of."""

    wood: str
    sawn: str
    bottom_kind: str
    bottom_wood: str


@dataclass(frozen=True, slots=True)
class Names:
    """The plan, read. Everything is empty where the packet has none; ids then stand in for names."""

    drawers: Mapping[str, str] = field(default_factory=dict)  # id -> name
    marks: Mapping[str, str] = field(default_factory=dict)  # board id -> mark
    titles: Mapping[str, str] = field(default_factory=dict)  # program -> what it does
    tails: Mapping[str, tuple[int, int]] = field(default_factory=dict)  # drawer id -> number at the front, at the rear
    woods: Mapping[str, DrawerWood] = field(default_factory=dict)  # drawer id -> its wood
    show_fronts: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)  # drawer id -> size in mm
    flutes: Mapping[int, int] = field(default_factory=dict)  # cutter -> number of its edges
    choices: tuple[PlanNote, ...] = ()
    warnings: tuple[PlanNote, ...] = ()
    spin_up_s: float = 0.0
    tool_change_s: float = 0.0

    def drawer(self, identity: str) -> str:
        """Return what a drawer is called."""
        return self.drawers.get(identity, identity)

    def mark(self, board: str) -> str:
        """Return a board's mark, which equal boards share."""
        return self.marks.get(board, board)


def read_names(folder: Path) -> Names:
    """Read the plan of a packet.

    Raises
    ------
    PacketFault
        Where there is a plan, and it is not as camtools writes it.
    """
    path = folder / _FILE
    if not path.is_file() or path.is_symlink():
        return Names()
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise ValueError(f"more than {_LARGEST_BYTES} bytes")
        return _names(json.loads(path.read_bytes()))
    except (ValueError, KeyError, TypeError, AttributeError, OSError, RecursionError) as fault:
        problem = f"is no plan as camtools writes it: {type(fault).__name__} {fault}"
        raise PacketFault(Fault(_FILE, problem, remedy="write the packet again from its job file")) from fault


def _names(plan: Mapping[str, Any]) -> Names:
    drawers = plan["drawers"]

    def each(make: Callable[[Mapping[str, Any]], Read]) -> dict[str, Read]:
        return {_text(drawer["id"]): make(drawer) for drawer in drawers}

    return Names(
        drawers=each(lambda drawer: _text(drawer["name"])),
        marks={_text(board["id"]): _text(board["mark"]) for drawer in drawers for board in drawer["boards"]},
        titles={_text(program["name"]): _text(program["title"]) for program in plan["programs"]},
        tails=each(lambda drawer: (len(drawer["tails"]["front"]), len(drawer["tails"]["rear"]))),
        woods=each(lambda drawer: DrawerWood(*(_text(drawer["stock"][key]) for key in DrawerWood.__slots__))),
        show_fronts={
            _text(drawer["id"]): tuple(float(drawer["show_front_mm"][key]) for key in ("length", "width", "thickness"))  # type: ignore[misc]
            for drawer in drawers
            if drawer["show_front_mm"] is not None
        },
        flutes={int(cutter["number"]): int(cutter["flutes"]) for cutter in plan["cutters"]},
        choices=_notes(drawers, "choices"),
        warnings=_notes(drawers, "warnings"),
        spin_up_s=float(plan["machine"]["spin_up_s"]),
        tool_change_s=float(plan["machine"]["tool_change_s"]),
    )


def _notes(drawers: list[Mapping[str, Any]], kind: str) -> tuple[PlanNote, ...]:
    return tuple(PlanNote(_text(drawer["id"]), _text(note["where"]), _text(note["text"])) for drawer in drawers for note in drawer[kind])


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(f"{value!r} stands where a text belongs")
    return value.encode("utf-8", "replace").decode("utf-8")  # half of a pair of surrogates is no letter
