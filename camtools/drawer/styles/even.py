"""All tails of a joint equal: they share what standard pins and half pins leave."""

from __future__ import annotations

from camtools.drawer.division import Division, Measures, Style

__all__ = ["STYLE"]


def _divide(width_mm: float, count: int, measures: Measures) -> Division:
    tail = measures.tail_mm + measures.left_mm(width_mm, count) / count
    return Division(measures.half_pin_mm, (tail,) * count, (measures.pin_mm,) * (count - 1))


STYLE = Style("all tails equal, standard pins between them", _divide)
