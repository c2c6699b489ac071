"""Standard tails on every drawer; what is left over opens two mirrored gaps."""

from __future__ import annotations

from camtools.drawer.division import Division, Measures, Style

__all__ = ["STYLE"]


def _divide(width_mm: float, count: int, measures: Measures) -> Division | None:
    left = measures.left_mm(width_mm, count)
    if left < -1e-9:
        return None
    if count == 1:  # no gap to open
        return Division(measures.half_pin_mm, (measures.tail_mm + left,), ())
    gaps = count - 1
    wide = {0, gaps - 1} if gaps < 4 else {1, gaps - 2}
    pins = tuple(measures.pin_mm + (left / len(wide) if i in wide else 0.0) for i in range(gaps))
    return Division(measures.half_pin_mm, (measures.tail_mm,) * count, pins)


STYLE = Style("standard tails, mirrored gaps made wider by what is over", _divide, fixed=True)
