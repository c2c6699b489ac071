"""How the width of a joint is divided into tails, pins and half pins, and what a layout style is.

All widths are those of the tip plane, where tails are widest and pins are narrowest. docs/joinery.md section 7.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from camtools.drawer.boards import Tail

__all__ = ["Division", "Measures", "Style"]


@dataclass(frozen=True, slots=True)
class Measures:
    """What every drawer of a family shares, so that the whole piece looks alike."""

    tail_mm: float
    pin_mm: float
    half_pin_mm: float

    def left_mm(self, width_mm: float, count: int) -> float:
        """Width left over by ``count`` standard tails with standard pins; negative where they do not fit."""
        return width_mm - 2 * self.half_pin_mm - count * self.tail_mm - (count - 1) * self.pin_mm


@dataclass(frozen=True, slots=True)
class Division:
    """Widths from the reference edge up; the half pin is the same at both edges."""

    half_pin_mm: float
    tails_mm: tuple[float, ...]
    pins_mm: tuple[float, ...]

    @property
    def count(self) -> int:
        return len(self.tails_mm)

    @property
    def width_mm(self) -> float:
        return 2 * self.half_pin_mm + sum(self.tails_mm) + sum(self.pins_mm)

    def tails(self) -> tuple[Tail, ...]:
        """Place the tails, exactly symmetric about the middle of the joint."""
        edge, middles = self.half_pin_mm, []
        for tail, pin in zip(self.tails_mm, (*self.pins_mm, 0.0), strict=True):
            middles.append(edge + tail / 2)
            edge += tail + pin
        width = self.width_mm
        for i in range(self.count // 2):
            middles[-1 - i] = width - middles[i]
        if self.count % 2:
            middles[self.count // 2] = width / 2
        return tuple(Tail(round(m, 6), round(w, 6)) for m, w in zip(middles, self.tails_mm, strict=True))


@dataclass(frozen=True, slots=True)
class Style:
    """A way to lay out tails.

    ``divide(width_mm, count, measures)`` returns the division with so many tails, or None where the style has none. Whether
    the cutter and the wood allow it is not the style's affair.
    """

    summary: str
    divide: Callable[[float, int, Measures], Division | None]
    fixed: bool = False  # no tail is narrower than the standard one
    outermost: float = 1.0  # the narrowest that the outermost tails are when they average the standard one, as a part of it
