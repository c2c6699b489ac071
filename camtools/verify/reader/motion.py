"""What a machine did when it ran a program: one record a move, in mm in the program's work offset."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from camtools.verify.findings import Finding

__all__ = ["Motion", "Probed", "ProgramRun"]

Point = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Motion:
    """A move from ``start`` to ``end``.

    An arc lies in the XY plane about ``centre`` (other planes are read, and reported as not judged) and sweeps
    ``sweep_deg`` degrees: positive counter-clockwise, up to 360 either way; Z moves evenly along it.
    """

    kind: Literal["rapid", "feed", "arc"]
    line: int
    start: Point
    end: Point
    centre: tuple[float, float] | None
    sweep_deg: float
    feed_mm_min: float  # 0 for a rapid
    spindle_rpm: float  # 0 stopped; negative when turning anti-clockwise (M4)
    tool: int  # number in the spindle, 0 where none was ever changed in
    work_offset: str  # "G54" ...; "G53" for the rise to the machine's top
    blind: bool = False  # made while the place of an axis was not known: at the start, or after a stop

    def moved(self, x_mm: float) -> Motion:
        """Return the same motion so much further along X."""
        centre = None if self.centre is None else (self.centre[0] + x_mm, self.centre[1])
        start, end = ((place[0] + x_mm, *place[1:]) for place in (self.start, self.end))
        return replace(self, start=start, end=end, centre=centre)


@dataclass(frozen=True, slots=True)
class Probed:
    """Z zero of a work offset, set by a touch plate of a thickness in mm; reach and feed are those of the way down on to it."""

    line: int
    work_offset: str
    plate_mm: float
    reach_mm: float
    feed_mm_min: float


@dataclass(frozen=True, slots=True)
class ProgramRun:
    """A whole program, run. Where an error left motion undefined the run stops there and ``complete`` is False."""

    file: str
    motions: tuple[Motion, ...]
    findings: tuple[Finding, ...]
    complete: bool  # reached M2 or M30
    units: Literal["mm", "inch", ""]
    blend_mm: float | None = None  # by how much corners of cutting moves may be rounded, at most; None where no such move says it
    stops: tuple[tuple[int, float], ...] = ()  # lines at which it stops for its operator, and the spindle's speed there
    zero_asked: bool = False  # it stops before it moves, and asks for X, Y and Z zero
    probed: tuple[Probed, ...] = ()  # zeros that it sets
