"""What surrounds a program: the board in the machine, the cutters and the limits, looked up once. docs/joinery.md sections 2 to 4."""

from __future__ import annotations

import math
from dataclasses import dataclass

from camtools.output.manifest import Limits, MachineLimits, Manifest, ProgramEntry, ToolEntry, ToolLimits, Triple, ZoneEntry
from camtools.verify.carving.carve import board_box
from camtools.verify.findings import Log

__all__ = ["PLATE_Y_MM", "Mounted", "Workplace", "workplace_of"]

PLATE_Y_MM = 0.0  # upright, the backing begins here: docs/joinery.md section 3
_ABSURD_MM = 1e5


@dataclass(frozen=True, slots=True)
class Mounted:
    """A cutter in its holder: shape and limits."""

    shape: ToolEntry
    limits: ToolLimits

    @property
    def radius_mm(self) -> float:
        """At the tip, where a cutter is widest."""
        return self.shape.diameter / 2.0

    def bodies(self) -> tuple[tuple[str, float, float, float, float], ...]:
        """Name, lowest and highest height over the tip, radius at the lowest and loss of radius a mm of height."""
        shape, limits = self.shape, self.limits
        taper = math.tan(math.radians(min(shape.half_angle, 80.0)))
        reach = max(limits.stick_out, shape.cutting_length)
        return (
            ("cutter", 0.0, shape.cutting_length, self.radius_mm, taper),
            ("shank", shape.cutting_length, reach, shape.shank / 2.0, 0.0),
            ("holder", limits.stick_out, math.inf, limits.holder / 2.0, 0.0),
        )


@dataclass(frozen=True, slots=True)
class Workplace:
    """A program's board, cutters and limits. Corners are in the machine frame, in mm."""

    program: ProgramEntry
    low: Triple  # of the board
    high: Triple
    machine: MachineLimits
    tools: dict[int, Mounted]
    backing_mm: float
    spoilboard_mm: float
    zones: tuple[ZoneEntry, ...]

    @property
    def upright(self) -> bool:
        """Whether the board stands against the upright plate."""
        return self.program.hold == "upright"

    @property
    def wood(self) -> tuple[Triple, Triple]:
        """Corners of the board together with its backing."""
        if not self.upright:
            return self.low, self.high
        return self.low, (self.high[0], max(self.high[1], PLATE_Y_MM + self.backing_mm), self.high[2])

    @property
    def clear_z_mm(self) -> float:
        """The height over which traverses are safe."""
        return self.high[2] + self.machine.clearance


def workplace_of(program: ProgramEntry, limits: Limits, manifest: Manifest, log: Log) -> Workplace | None:
    """Look up what a program needs; what is missing is noted, and None returned where nothing can be judged."""
    board = next((board for board in manifest.boards if board.id == program.board), None)
    box = None if board is None else board_box(board.size, program.to_machine)
    if box is None or not all(abs(value) < _ABSURD_MM for value in (*box.low, *box.high)):
        log.add("board-not-in-manifest", 0, f"board {program.board!a} is missing, or its size or place is absurd")
        return None
    around = next((entry for entry in limits.programs if entry.file == program.file), None)
    if around is None:
        log.add("program-without-limits", 0, "limits.json names no backing, spoilboard or zones for this program")
    allowed = {entry.number: entry for entry in limits.tools}
    tools = {}
    for tool in manifest.tools:
        if tool.number in allowed:
            tools[tool.number] = Mounted(tool, allowed[tool.number])
        elif tool.number in program.tools:
            log.add("tool-without-limits", 0, f"limits.json does not name tool {tool.number}", tool=tool.number)
    return Workplace(
        program,
        box.low,
        box.high,
        limits.machine,
        tools,
        around.backing if around else 0.0,
        around.spoilboard if around else 0.0,
        tuple(around.zones) if around else (),
    )
