"""How the width of a joint is divided into tails, pins and half pins, and what a layout style is.

All widths are those of the tip plane, where tails are widest and pins are narrowest. docs/joinery.md section 7.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from camtools.drawer.boards import Tail

__all__ = ["Division", "Measures", "Style"]


@dataclass(frozen=True, slots=True)
class Measures:
    """What every drawer of a family shares, so that the whole piece looks alike."""

    tail_mm: float  # the outermost
    pin_mm: float
    half_pin_mm: float


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


def _equal(count: int) -> Sequence[float]:
    return (1.0,) * count


@dataclass(frozen=True, slots=True)
class Style:
    """A way to lay out tails.

    ``tails(count)`` returns their widths from the reference edge up as multiples of the outermost. ``wider(count)`` returns which
    tails and which gaps share what standard ones leave over; where a style has none, all tails fill the width in proportion. Whether
    the cutter and the wood allow it is not the style's affair.
    """

    summary: str
    tails: Callable[[int], Sequence[float]] = _equal
    wider: Callable[[int], tuple[Collection[int], Collection[int]]] | None = None

    def left_mm(self, width_mm: float, count: int, measures: Measures) -> float:
        """Width left over by standard tails, pins and half pins; negative where they do not fit."""
        return width_mm - 2 * measures.half_pin_mm - (count - 1) * measures.pin_mm - measures.tail_mm * sum(self.tails(count))

    def divide(self, width_mm: float, count: int, measures: Measures) -> Division | None:
        """Return the division with so many tails, or None where there is none.

        Parameters
        ----------
        width_mm
            Of the joint, from edge to edge.
        measures
            Its standard widths; where no tail and no gap is made wider, the tail follows from the others.
        """
        parts, left = self.tails(count), self.left_mm(width_mm, count, measures)
        if self.wider is None:
            tail = measures.tail_mm + left / sum(parts)
            tails: tuple[float, ...] = tuple(tail * part for part in parts)
            return Division(measures.half_pin_mm, tails, (measures.pin_mm,) * (count - 1)) if tail > 0 else None
        if left < -1e-9:
            return None
        wide, gaps = self.wider(count)
        share = left / (len(wide) + len(gaps))
        tails = tuple(measures.tail_mm * part + (share if i in wide else 0.0) for i, part in enumerate(parts))
        return Division(measures.half_pin_mm, tails, tuple(measures.pin_mm + (share if i in gaps else 0.0) for i in range(count - 1)))
