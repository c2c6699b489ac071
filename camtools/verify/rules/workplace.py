"""What the rules of motion look at: what surrounds a program, looked up once, and batches of one cutter's motions in it.

docs/joinery.md sections 2 to 4.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camtools.output.manifest import Limits, MachineLimits, Manifest, ProgramEntry, ToolEntry, ToolLimits, Triple, ZoneEntry
from camtools.verify.carving.carve import board_box
from camtools.verify.carving.cutter import Part, parts_of, radius_at
from camtools.verify.findings import Log
from camtools.verify.lookups import end_worked
from camtools.verify.reader.motion import Motion
from camtools.verify.rules.segments import Pieces, plan_distance

__all__ = ["PLATE_Y_MM", "SLACK_MM", "Mounted", "Scene", "Stated", "Workplace", "workplace_of"]

PLATE_Y_MM = 0.0  # upright, the backing begins here: docs/joinery.md section 3
SLACK_MM = 0.005  # for rounded coordinates, and for arcs cut into chords
_ABSURD_MM = 1e5

Places = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Stated:
    """What the job file says of wood, spindle and cutters that a rule of motion hangs on. It travels between processes."""

    wood_n_mm2: float  # specific cutting force at chips of 0.1 mm
    power_w: float  # of the spindle; not a number where it is not told
    edges: dict[int, float]  # of each cutter, by number
    marked: frozenset[int] = frozenset()  # cutters whose largest speed is written, as it is marked on them


@dataclass(frozen=True, slots=True)
class Mounted:
    """A cutter in its holder: shape and limits."""

    shape: ToolEntry
    limits: ToolLimits
    machine: MachineLimits

    @property
    def radius_mm(self) -> float:
        """At the tip, where a cutter is widest."""
        return radius_at(self.shape, 0.0)

    def bodies(self) -> dict[str, Part]:
        """Return cutting part, shank up to the nut, the nut or holder, and the spindle's body, by name."""
        cutter, shank = parts_of(self.shape, max(self.limits.stick_out - self.shape.cutting_length, 0.0))
        holder = self.limits.holder / 2.0
        body, foot = self.machine.spindle_diameter / 2.0, self.limits.stick_out + self.machine.nut_height
        return {
            "cutter": cutter,
            "shank": shank,
            "holder": Part(self.limits.stick_out, math.inf, holder, holder),
            "spindle's body": Part(foot, math.inf, body, body),
        }


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
    def zero_mm(self) -> Triple:
        """Where the program's zero lies on the machine's travel, from its left and near end; not a number where that is not known."""
        machine, right = self.machine, self.program.stop == "right"
        stops = machine.upright_stops if self.upright else machine.flat_stops
        y = math.nan
        if self.upright and machine.upright_plate is not None:
            y = machine.upright_plate - self.backing_mm
        elif not self.upright and end_worked(self.program) == "groove" and machine.flat_fence is not None:
            y = machine.flat_fence
        return (math.nan if stops is None else stops[right], y, math.nan)

    @property
    def top_mm(self) -> float:
        """Top of the highest thing that is known to stand at the board, itself included."""
        return max((self.high[2], *(zone.high[2] for zone in self.zones)))

    @property
    def safe_z_mm(self) -> float:
        """The height at which a program may start, stop and end: the machine's, and clear of all that is known to stand there."""
        return max(self.high[2] + self.machine.retract, self.top_mm + self.machine.clearance)

    @property
    def clear_z_mm(self) -> float:
        """The height over which traverses are safe."""
        return self.high[2] + self.machine.clearance


def workplace_of(program: ProgramEntry, limits: Limits, manifest: Manifest, log: Log) -> Workplace | None:
    """Return what surrounds a program, or None where nothing can be judged of it.

    Parameters
    ----------
    program
        Its entry.
    limits, manifest
        Where board, cutters and what limits them are looked up.
    log
        Told what is missing.
    """
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
            tools[tool.number] = Mounted(tool, allowed[tool.number], limits.machine)
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


@dataclass(frozen=True, slots=True)
class Scene:
    """What a rule is given: ``pieces`` are those of ``motions`` made with ``cutter``."""

    place: Workplace
    log: Log
    motions: Sequence[Motion]
    pieces: Pieces
    cutter: Mounted
    stated: Stated | None = None

    def near(self, top_mm: float, radius_mm: float) -> Pieces:
        """Return those parts with the tip below ``top_mm`` and nearer in plan to board or backing than ``radius_mm``."""
        low, high = self.place.wood
        below = self.pieces.between(-np.inf, top_mm)
        return below.where(plan_distance(below, low, high) < radius_mm)

    def onsets(self, holds: Callable[[Motion], bool], places: Places | None = None) -> list[Motion]:
        """Return, of all motions or of those at ``places``, the ones from which on a test holds: for states that last."""
        found = []
        before = False
        for at in np.unique(self.pieces.motion if places is None else places):
            now = holds(self.motions[at])
            if now and not before:
                found.append(self.motions[at])
            before = now
        return found

    def rows(self, places: Places) -> list[Motion]:
        """Return the first motion of each unbroken row of ``places``."""
        single = np.unique(places)
        return [self.motions[at] for at in single[np.diff(single, prepend=-2) > 1]]
