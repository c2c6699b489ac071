"""How a board of a setup lies in the machine, told from its map alone: which side of it is where."""

from __future__ import annotations

from dataclasses import dataclass

from camtools.geometry.frames import box_of
from camtools.toolpath.moves import Point, Setup, Zone

__all__ = ["SHEET_MM", "Placing", "beyond_stop", "clamp_line", "end_names", "placing_of", "zone_of"]


SHEET_MM = 3.0  # thickness that a waste sheet is drawn with


@dataclass(frozen=True, slots=True)
class Placing:
    """A board's box in the machine frame, and the name of its side in each direction such as ``-x`` or ``+z``."""

    low: Point
    high: Point
    sides: dict[str, str]

    def named(self, direction: str) -> str:
        """Name of the side in a direction as pictures write it, such as ``INSIDE FACE``."""
        side = self.sides[direction]
        return f"{side} face".upper() if side in ("inside", "outside") else side.upper()

    def stop_top(self, setup: Setup) -> float:
        """Height of the stop's upper side, of the board's where the setup has none."""
        stop = zone_of(setup, "stop")
        return self.high[2] if stop is None else stop.high[2]

    def towards(self, name: str) -> str:
        """Direction in which a side of this name looks."""
        return next(direction for direction, side in self.sides.items() if side == name)


def zone_of(setup: Setup, name: str) -> Zone | None:
    """Return what stands at the board by this name, if anything does."""
    return next((zone for zone in setup.zones if zone.name == name), None)


def clamp_line(setup: Setup) -> float | None:
    """Y beyond which clamps may stand on a flat board: nearer to the operator than this at a joint, further away at a groove."""
    clamp = zone_of(setup, "clamp")
    return None if clamp is None or setup.hold == "upright" else clamp.low[1] if setup.end == "groove" else clamp.high[1]


def beyond_stop(setup: Setup) -> float:
    """How far the end of a flat board stands beyond its stop, as one that is cut right through asks for; 0 elsewhere."""
    stop = zone_of(setup, "stop")
    return -stop.high[1] if stop is not None and setup.sheet_mm else 0.0


def end_names(role: str) -> tuple[str, str]:
    """Names of a board's ends, from ``u = 0``."""
    return ("front end", "rear end") if "side" in role else ("left end", "right end")


def placing_of(setup: Setup) -> Placing:
    """Return where each side of a setup's board looks."""
    far_edge = "rear edge" if setup.piece.role == "bottom" else "top edge"
    names = (end_names(setup.piece.role), ("reference edge", far_edge), ("outside", "inside"))
    sides: dict[str, str] = {}
    for column, (first, last) in enumerate(names):
        way = [row[column] for row in setup.to_machine]
        axis = max(range(3), key=lambda i: abs(way[i]))
        up, down = ("+", "-") if way[axis] > 0 else ("-", "+")
        sides[up + "xyz"[axis]] = last
        sides[down + "xyz"[axis]] = first
    low, high = box_of(setup.to_machine, setup.piece.size_mm)
    return Placing(low, high, sides)
