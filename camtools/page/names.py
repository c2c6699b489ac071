"""Names and settings that the packet's plan adds to its manifest: what drawers, boards and programs are called, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from camtools.faults import Fault, PacketFault
from camtools.output.manifest import ToolEntry
from camtools.output.plan_data import PLAN, Plan, PlanAnswer, PlanCase, PlanCutter, PlanDrawer, PlanFrontRow, PlanMachine
from camtools.output.stock_list import RoughStock

__all__ = ["Names", "read_names"]

_LARGEST_BYTES = 64_000_000


@dataclass(frozen=True, slots=True)
class Names:
    """The plan, read. Everything is empty where the packet has none; ids then stand in for names."""

    drawers: Mapping[str, PlanDrawer] = field(default_factory=dict)  # by id
    marks: Mapping[str, str] = field(default_factory=dict)  # board id -> mark
    titles: Mapping[str, str] = field(default_factory=dict)  # program -> what it does
    held: Mapping[str, str] = field(default_factory=dict)  # program -> its hold in words
    place: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # program -> how its board is placed, a sentence each
    cutters: Mapping[int, PlanCutter] = field(default_factory=dict)  # by number
    machine: PlanMachine | None = None
    stock: tuple[RoughStock, ...] = ()
    rows: tuple[PlanFrontRow, ...] = ()
    answers: tuple[PlanAnswer, ...] = ()
    case: PlanCase | None = None

    def drawer(self, identity: str) -> str:
        """Return what a drawer is called."""
        return self.drawers[identity].name if identity in self.drawers else identity

    def mark_of(self, tool: ToolEntry) -> tuple[float, float]:
        """Return diameter in mm and angle in degrees that are marked on a cutter: as it is, where nothing else is known."""
        planned = self.cutters.get(tool.number)
        return (planned and planned.marked) or (tool.diameter, tool.half_angle)

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
    path = folder / PLAN
    if not path.is_file() or path.is_symlink():
        return Names()
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise ValueError(f"more than {_LARGEST_BYTES} bytes")
        plan = Plan.model_validate_json(path.read_bytes())
    except (ValueError, OSError) as fault:  # a ValidationError is a ValueError
        problem = f"is no plan as camtools writes it: {type(fault).__name__} {fault}"
        raise PacketFault(Fault(PLAN, problem, remedy="write the packet again from its job file")) from fault
    return Names(
        drawers={drawer.id: drawer for drawer in plan.drawers},
        marks={board.id: board.mark for drawer in plan.drawers for board in drawer.boards},
        titles={program.name: program.title for program in plan.programs},
        held={program.name: program.held for program in plan.programs},
        place={program.name: program.place for program in plan.programs},
        cutters={cutter.number: cutter for cutter in plan.cutters},
        machine=plan.machine,
        stock=tuple(RoughStock(**stock.model_dump()) for stock in plan.stock_to_prepare),
        rows=plan.front_rows,
        answers=plan.answers,
        case=plan.case,
    )
