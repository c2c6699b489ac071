"""Where the machine stands, and what the coordinates in a program mean.

NISTIR 6556 sections 3.5.7, 3.5.12, 3.5.13 and 3.5.17, p. 26-36. Lengths are held in mm, places relative to the zero of the work
offset in force. A real machine stands anywhere when a program starts, so an axis is known only once stated.
"""

from __future__ import annotations

from camtools.verify.reader.motion import Point
from camtools.verify.reader.words import LineFault

__all__ = ["Coordinates"]

_AXES = ("X", "Y", "Z")


class Coordinates:
    """Position, units, distance mode and work offset.

    Parameters
    ----------
    start
        Where the machine stands, in mm, or None where that is not known.
    """

    def __init__(self, start: Point | None) -> None:
        self.at: Point = start or (0.0, 0.0, 0.0)
        self.known: tuple[bool, ...] = (start is not None,) * 3
        self.scale = 1.0  # mm a unit
        self.absolute = True
        self.offset = "G54"

    def target(self, values: dict[str, float]) -> Point:
        """Return where a move with these words ends."""
        scale, at = self.scale, self.at
        x, y, z = values.get("X"), values.get("Y"), values.get("Z")
        if self.absolute:
            return (
                at[0] if x is None else x * scale,
                at[1] if y is None else y * scale,
                at[2] if z is None else z * scale,
            )
        for axis, known in zip(_AXES, self.known, strict=True):
            if axis in values and not known:
                raise LineFault("incremental-from-unknown", f"G91 with {axis}, which was never stated")
        return at[0] + (x or 0.0) * scale, at[1] + (y or 0.0) * scale, at[2] + (z or 0.0) * scale

    def learn(self, values: dict[str, float], end: Point) -> Point:
        """Take note of the axes that a rapid names; return its start: on an axis not known before, its end."""
        start = tuple(at if known else to for at, to, known in zip(self.at, end, self.known, strict=True))
        self.known = tuple(known or axis in values for axis, known in zip(_AXES, self.known, strict=True))
        return start[0], start[1], start[2]

    def forget(self, values: dict[str, float]) -> None:
        """Lose the axes that a move in machine coordinates names: where they stand in the work offset depends on its zero."""
        self.known = tuple(known and axis not in values for axis, known in zip(_AXES, self.known, strict=True))
