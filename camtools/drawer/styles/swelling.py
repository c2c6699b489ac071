"""Tails that grow from the edges to the middle in equal steps."""

from __future__ import annotations

from collections.abc import Sequence

from camtools.drawer.division import Style

__all__ = ["STYLE"]

GROWTH = 0.6  # how much wider the middle tail is than the outermost, as a fraction of the outermost


def _tails(count: int) -> Sequence[float]:
    steps = [min(i, count - 1 - i) for i in range(count)]
    return [1 + GROWTH * step / max(1, *steps) for step in steps]


STYLE = Style("tails grow to the middle, standard pins between them", _tails)
