"""Where the machine stands, and what the coordinates in a program mean.

NISTIR 6556 sections 3.5.5, 3.5.7, 3.5.12, 3.5.13, 3.5.17 and 3.5.18, p. 25-37. Lengths are held in mm, places relative to the
zero of the work offset in force. A real machine stands anywhere when a program starts, so an axis is known only once stated.
"""

from __future__ import annotations

from camtools.verify.reader.codes import OFFSETS
from camtools.verify.reader.expressions import LineFault, whole
from camtools.verify.reader.motion import Point

__all__ = ["Coordinates"]

_NAMES = tuple(f"G{code / 10:g}" for code in OFFSETS)
_AXES = ("X", "Y", "Z")


class Coordinates:
    """Position, units, distance mode, work offsets and the shift of G92.

    Parameters
    ----------
    start
        Where the machine stands, or None where that is not known.
    """

    def __init__(self, start: Point | None) -> None:
        self.at: Point = start or (0.0, 0.0, 0.0)
        self.known = (start is not None,) * 3
        self.scale = 1.0  # mm a unit
        self.absolute = True
        self.offset = _NAMES[0]
        self._shift: Point = (0.0, 0.0, 0.0)
        self._kept_shift: Point = (0.0, 0.0, 0.0)
        self._origins: dict[str, Point] = dict.fromkeys(_NAMES, (0.0, 0.0, 0.0))

    def target(self, values: dict[str, float]) -> Point:
        """Return where a move with these words ends."""
        scale, at = self.scale, self.at
        x, y, z = values.get("X"), values.get("Y"), values.get("Z")
        if self.absolute:
            shift = self._shift
            return (
                at[0] if x is None else x * scale + shift[0],
                at[1] if y is None else y * scale + shift[1],
                at[2] if z is None else z * scale + shift[2],
            )
        for axis, known in zip(_AXES, self.known, strict=True):
            if axis in values and not known:
                raise LineFault("incremental-from-unknown", f"G91 with {axis}, which was never stated")
        return at[0] + (x or 0.0) * scale, at[1] + (y or 0.0) * scale, at[2] + (z or 0.0) * scale

    def learn(self, values: dict[str, float], end: Point) -> Point:
        """Take note of the axes that a rapid names; return its start: on an axis not known before, its end."""
        start = tuple(at if known else to for at, to, known in zip(self.at, end, self.known, strict=True))
        self.known = (
            self.known[0] or "X" in values,
            self.known[1] or "Y" in values,
            self.known[2] or "Z" in values,
        )
        return start[0], start[1], start[2]

    def in_machine(self, place: Point) -> Point:
        """Return a place in machine coordinates."""
        origin = self._origins[self.offset]
        return place[0] + origin[0], place[1] + origin[1], place[2] + origin[2]

    def machine_target(self, values: dict[str, float]) -> Point:
        """Return where a move with G53 ends, in machine coordinates."""
        here = self.in_machine(self.at)
        return (
            values["X"] * self.scale if "X" in values else here[0],
            values["Y"] * self.scale if "Y" in values else here[1],
            values["Z"] * self.scale if "Z" in values else here[2],
        )

    def arrive_in_machine(self, place: Point) -> None:
        """Stand at a place in machine coordinates."""
        origin = self._origins[self.offset]
        self.at = (place[0] - origin[0], place[1] - origin[1], place[2] - origin[2])

    def use_offset(self, code: int) -> None:
        """Take another work offset: the machine stays, its coordinates change. Section 3.5.13."""
        here = self.in_machine(self.at)
        self.offset = _NAMES[OFFSETS[code]]
        self.arrive_in_machine(here)

    def set_origin(self, values: dict[str, float]) -> str:
        """Carry out G10 and return the name of the offset that it moved. Section 3.5.5."""
        key = whole(values.get("L", 0.0), "bad-g10", "L of G10")
        system = whole(values.get("P", 0.0), "bad-g10", "P of G10")
        if key != 2 or not 1 <= system <= len(_NAMES):
            raise LineFault("bad-g10", f"G10 takes L2 and P1 to P{len(_NAMES)}")
        here = self.in_machine(self.at)
        name = _NAMES[system - 1]
        old = self._origins[name]
        x, y, z = (values[axis] * self.scale if axis in values else was for axis, was in zip(_AXES, old, strict=True))
        self._origins[name] = (x, y, z)
        self.arrive_in_machine(here)
        return name

    def shift_here(self, values: dict[str, float]) -> None:
        """Carry out G92: the present place gets the given coordinates. Section 3.5.18."""
        shift = list(self._shift)
        for place, axis in enumerate(_AXES):
            if axis in values:
                if not self.known[place]:
                    raise LineFault("position-unknown", f"G92 {axis}, where {axis} was never stated")
                shift[place] = self.at[place] - values[axis] * self.scale
        self._shift = self._kept_shift = (shift[0], shift[1], shift[2])

    def end_shift(self, *, keep: bool) -> None:
        """Carry out G92.1, or G92.2 which keeps the shift for G92.3."""
        self._shift = (0.0, 0.0, 0.0)
        if not keep:
            self._kept_shift = self._shift

    def renew_shift(self) -> None:
        """Carry out G92.3."""
        self._shift = self._kept_shift
