"""Standard tails and pins on every drawer; what is left over makes the second tail from each edge wider."""

from __future__ import annotations

from camtools.drawer.division import Division, Measures, Style

__all__ = ["STYLE"]


def _divide(width_mm: float, count: int, measures: Measures) -> Division | None:
    left = measures.left_mm(width_mm, count)
    if left < -1e-9:
        return None
    # The outermost tails stay standard where there are others, for they hold the groove and stand together in the piece.
    wide = {0, count - 1} if count < 3 else {1, count - 2}
    tails = tuple(measures.tail_mm + (left / len(wide) if i in wide else 0.0) for i in range(count))
    return Division(measures.half_pin_mm, tails, (measures.pin_mm,) * (count - 1))


STYLE = Style("standard tails and pins, mirrored tails made wider by what is over", _divide, fixed=True)
