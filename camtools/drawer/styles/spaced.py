"""Standard tails on every drawer; what is left over opens two mirrored gaps."""

from __future__ import annotations

from camtools.drawer.division import Style

__all__ = ["STYLE"]


def _wider(count: int) -> tuple[set[int], set[int]]:
    if count == 1:  # no gap to open
        return {0}, set()
    gaps = count - 1
    return set(), {0, gaps - 1} if gaps < 4 else {1, gaps - 2}


STYLE = Style("standard tails, mirrored gaps made wider by what is over", wider=_wider)
