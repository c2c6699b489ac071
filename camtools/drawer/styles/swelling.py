"""Tails that grow from the edges to the middle in equal steps."""

from __future__ import annotations

from camtools.drawer.division import Division, Measures, Style

__all__ = ["STYLE"]

GROWTH = 0.6  # how much wider the middle tail is than the outermost, as a fraction of the outermost


def _divide(width_mm: float, count: int, measures: Measures) -> Division:
    steps = [min(i, count - 1 - i) for i in range(count)]
    shares = [1 + GROWTH * step / max(1, max(steps)) for step in steps]
    room = count * measures.tail_mm + measures.left_mm(width_mm, count)
    tails = tuple(room * share / sum(shares) for share in shares)
    return Division(measures.half_pin_mm, tails, (measures.pin_mm,) * (count - 1))


STYLE = Style("tails grow to the middle, standard pins between them", _divide, outermost=1 / (1 + GROWTH / 2))
