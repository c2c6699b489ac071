"""Standard tails and pins on every drawer; what is left over makes the second tail from each edge wider."""

from __future__ import annotations

from camtools.drawer.division import Style

__all__ = ["STYLE"]


def _wider(count: int) -> tuple[set[int], set[int]]:
    # The outermost tails stay standard where there are others, for they hold the groove and stand together in the piece.
    return {0, count - 1} if count < 3 else {1, count - 2}, set()


STYLE = Style("standard tails and pins, mirrored tails made wider by what is over", wider=_wider)
