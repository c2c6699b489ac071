"""Where a board that lies flat is clamped. docs/joinery.md section 3."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from camtools.faults import CannotCut, Fault, puts
from camtools.geometry.frames import box_of
from camtools.job.cutter_limits import LOW_CLAMP_MM
from camtools.job.job import Cutter, Machine
from camtools.toolpath.moves import Cut, Setup, Zone
from camtools.toolpath.workholding import END_GROOVE
from camtools.wording import Told, down, mm, up

__all__ = ["held_down"]

_BEARING_MM = 10.0  # of a face, that a clamp takes; common practice, no source
_ROOM_MM = 1.0  # between a clamp and what passes it, at least
_BODY = "spindle's body"
_WIDE_MM = 1000.0  # further than anything on a small machine


def held_down(setup: Setup, cuts: Sequence[Cut], machine: Machine) -> Setup:
    """Return a flat setup with its clamps, or with a batten where they find no room beside a groove; an upright one as it is.

    Raises
    ------
    CannotCut
        If the board is too short to be clamped, or a cutter or its holder would meet the clamps.
    """
    if setup.hold == "upright":
        return setup
    low, high = box_of(setup.to_machine, setup.piece.size_mm)
    height = machine.clamp_height_mm
    if setup.end == END_GROOVE:
        wall = max(move.end[1] + cut.cutter.diameter_mm / 2 for cut in cuts for move in cut.moves)
        line, key = wall + machine.clamp_from_groove_mm, "machine.clamp_from_groove"
        if high[1] - line < _BEARING_MM:
            return _held_by_batten(setup, line, machine)
        told = Told("Clamp it along its far edge, {:up} or more from the reference edge.", (line,))
        zone = Zone("clamp", (-_WIDE_MM, line, 0.0), (_WIDE_MM, _WIDE_MM, height))
    else:
        line, key = -machine.clamp_from_end_mm, "machine.clamp_from_end"
        if line - low[1] < _BEARING_MM:
            least = machine.clamp_from_end_mm + _BEARING_MM
            ways = puts(key, down(high[1] - low[1] - _BEARING_MM, 1))
            problem = "the board is too short to be clamped clear of the end that is worked"
            raise CannotCut(Fault(f"clamps, {key}", problem, f"{mm(high[1] - low[1])} long", f"at least {mm(least)}", ways=ways))
        told = Told("Clamp it across, {:up} or more from the {}.", (-line, setup.end))
        zone = Zone("clamp", (-_WIDE_MM, -_WIDE_MM, 0.0), (_WIDE_MM, line, height))
    if faults := list(_met(zone, cuts, key, machine)):
        raise CannotCut(*faults)
    words = (told, Told("Clamps with their nuts and studs stand no higher than {:mm} above the face.", (height,)))
    return replace(setup, zones=(*setup.zones, zone), words=(*setup.words, *words))


def _held_by_batten(setup: Setup, line_mm: float, machine: Machine) -> Setup:
    low, high = box_of(setup.to_machine, setup.piece.size_mm)
    zone = Zone("batten", (-_WIDE_MM, high[1], low[2]), (_WIDE_MM, high[1] + 60.0, low[2] + machine.flat_stop_mm))
    words = (
        Told(
            "No clamp finds room on its face: it would have to stay {:up} from the reference edge, and the board is {:mm} wide.",
            (line_mm, high[1] - low[1]),
        ),
        Told("Wedge it against the fence with a batten along its far edge, no higher than {:mm} above the bed.", (machine.flat_stop_mm,)),
    )
    return replace(setup, zones=(*setup.zones, zone), words=(*setup.words, *words))


def _met(clamp: Zone, cuts: Sequence[Cut], key: str, machine: Machine) -> Iterator[Fault]:
    """Yield what would meet the clamps: for each cutter the part of it that reaches furthest."""
    for cut in cuts:
        reaches = []
        for move in cut.moves:
            y, z = move.end[1:]
            way = max(y - clamp.high[1], clamp.low[1] - y)  # from the cutter's axis to the clamps
            bodies = _bodies(cut.cutter, machine)
            reaches += [(radius - way, name, start + z) for name, radius, start in bodies if z + start < clamp.high[2]]
        over, name, lowest = max(reaches)
        if over > -_ROOM_MM + 1e-9:
            lacking = over + _ROOM_MM
            own = machine.clamp_from_groove_mm if key.endswith("groove") else machine.clamp_from_end_mm
            ways = (*puts(key, up(own + lacking, 1)), *puts("machine.clamp_height", *([down(lowest, 1)] if lowest >= LOW_CLAMP_MM else [])))
            whose = f" over cutter {cut.cutter.number}" if name == _BODY else f" of cutter {cut.cutter.number}"
            problem = f"the {name}{whose} would pass too near to the clamps"
            yield Fault(f"clamps, {key}", problem, mm(own), f"at least {mm(own + lacking)}", ways=ways)


def _bodies(cutter: Cutter, machine: Machine) -> tuple[tuple[str, float, float], ...]:
    """Return a cutter's parts and what stands over them: name, largest radius and lowest height over the tip."""
    return (
        ("edges", cutter.diameter_mm / 2, 0.0),
        ("shank", cutter.shank_mm / 2, cutter.cutting_length_mm),
        ("nut", cutter.holder_mm / 2, cutter.stick_out_mm),
        (_BODY, machine.spindle_diameter_mm / 2, cutter.stick_out_mm + machine.nut_height_mm),
    )
