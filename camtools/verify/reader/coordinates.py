"""Where the machine stands, and what the coordinates in a program mean.

NISTIR 6556 sections 3.5.7, 3.5.12, 3.5.13 and 3.5.17, p. 26-36. Lengths are held in mm, places relative to the zero of the work
offset in force. A real machine stands anywhere when a program starts, so an axis is known only once stated. Machine coordinates have
their Z0 at the top of travel where a machine homes (common practice), and nothing on the machine stands as high.
"""

from __future__ import annotations

from collections.abc import Collection

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
    top_mm
        Height that stands for the top of travel, of which no program can tell where it lies over the work.
    """

    def __init__(self, start: Point | None, top_mm: float) -> None:
        self.at: Point = start or (0.0, 0.0, 0.0)
        self.known: tuple[bool, ...] = (start is not None,) * 3
        self.at_top = False  # clear of everything, though at no height that is known
        self._top_mm = top_mm
        self.scale = 1.0  # mm a unit
        self.absolute = True
        self.offset = "G54"

    @property
    def placed(self) -> bool:
        """Whether a move starts from a place that is known, or from the top over one."""
        return self.known[0] and self.known[1] and (self.known[2] or self.at_top)

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
        """Take note of the axes that a rapid names; return its start: on an axis not known before, its end, but for the top."""
        held = (*self.known[:2], self.known[2] or self.at_top)
        start = tuple(at if known else to for at, to, known in zip(self.at, end, held, strict=True))
        self.known = tuple(known or axis in values for axis, known in zip(_AXES, self.known, strict=True))
        self.at_top = self.at_top and "Z" not in values
        return start[0], start[1], start[2]

    def to_top(self) -> tuple[Point, Point]:
        """Rise to the top of travel; return start and end of that in the work offset: a height that was not known starts at the top."""
        x, y, z = self.at
        start = (x, y, z if self.known[2] else self._top_mm)
        self.forget("Z")
        self.at_top = True
        return start, (x, y, self._top_mm)

    def forget(self, axes: Collection[str]) -> None:
        """Lose axes: where they stand in the work offset is not known until a program says so."""
        self.known = tuple(known and axis not in axes for axis, known in zip(_AXES, self.known, strict=True))

    def lose(self) -> None:
        """Lose every axis, and the top: at a stop, a person or a changer may have moved the machine."""
        self.forget(_AXES)
        self.at_top = False
