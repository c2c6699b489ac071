"""Words beside what they name: each is put where it covers no other words and no sign, with a line to its place."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from camtools.pictures.paper import XY, Paper

__all__ = ["Captions", "write_clear"]

Box = tuple[float, float, float, float]
Floats = NDArray[np.float64]

_ALL_ROUND: tuple[XY, ...] = ((1, 0.4), (-1, 0.4), (1, -0.4), (-1, -0.4), (0.5, 1), (-0.5, 1), (0.5, -1), (-0.5, -1))
_FIRST_PX, _STEP_PX, _STEPS = 18.0, 14.0, 16
_AROUND = np.array([-4.0, -4.0, 4.0, 4.0])  # px, kept free round words
_NONE_PX2 = 1e-6
_STRIPS = 8  # that a slanting board is minded by


class Captions:
    """Puts words on a paper, within an area: left, bottom, right, top."""

    def __init__(self, paper: Paper, area: Box) -> None:
        self._paper, self._area = paper, area
        self._board: list[Box] = []

    def keep_off(self, near: tuple[XY, XY], far: tuple[XY, XY]) -> None:
        """Mind where a board lies, between two of its sides: words that find no room where they are wanted stand beside it, if they can."""
        (a, b), (c, d) = near, far
        for i in range(_STRIPS):
            places = [(p[k] + (q[k] - p[k]) * share / _STRIPS) for k in (0, 1) for p, q in ((a, c), (b, d)) for share in (i, i + 1)]
            self._board.append((min(places[:4]), min(places[4:]), max(places[:4]), max(places[4:])))

    def put(self, words: str, target: XY, ways: Sequence[XY], *, size: str = "label", line: bool = True) -> None:
        """Write words near a place and, if asked for, draw a line from there.

        Parameters
        ----------
        target
            What they name, in px.
        ways
            From there to the words, the best first. The nearest place that is clear of words and signs is taken; all round, if none is.
        """
        found = self._placed(words, target, ways, size, line=line)
        if found[2] > _NONE_PX2:
            for board in (self._board, []):
                found = min(found, self._placed(words, target, _ALL_ROUND, size, line=line, board=board), key=lambda place: place[2])
        at, box, _ = found
        if line:
            self._paper.draw([[target, (min(max(target[0], box[0]), box[2]), min(max(target[1], box[1]), box[3]))]], "leader")
        self._paper.write(at, words, size=size, bold=True, ground="paper")

    def _placed(
        self, words: str, target: XY, ways: Sequence[XY], size: str, *, line: bool, board: Sequence[Box] = ()
    ) -> tuple[XY, list[float], float]:  # fmt: skip
        """Return where words begin, the box that they fill, and how much they cover there, in px and square px."""
        wide, high = self._paper.width_of(words, size, bold=True), self._paper.height_of(size)
        way = np.tile(np.array(ways, float), (_STEPS, 1))
        far = np.repeat(_FIRST_PX + _STEP_PX * np.arange(_STEPS), len(ways))
        at = np.array(target) + way * (far / np.hypot(way[:, 0], way[:, 1]))[:, None]
        # Words begin, end or have their middle there.
        left = at[:, 0] - wide * np.select([way[:, 0] > 0.3, way[:, 0] < -0.3], [0.0, 1.0], 0.5)
        left = np.clip(left, self._area[0] + 6, max(self._area[2] - 6 - wide, self._area[0] + 6))
        boxes = np.column_stack([left - 3, at[:, 1] - high * 0.55, left + wide + 3, at[:, 1] + high * 0.55])
        taken = np.array([*(label.box for label in (*self._paper.labels, *self._paper.signs)), *board]).reshape(-1, 4)
        out = _area(boxes) - _common(boxes, np.array([self._area]))[:, 0]
        covered = _common(boxes + _AROUND, taken).sum(axis=1) + out
        others = taken[~_hold(taken, target)]
        clear = (int(i) for i in np.flatnonzero(covered < _NONE_PX2) if not line or _seen(target, boxes[i], others))
        best = next(clear, None)
        if best is None:
            best = int(np.argmin(covered + 1.0))
            covered[best] += 1.0  # though clear itself, a line to it runs through something
        return (float(left[best]), float(at[best, 1])), boxes[best].tolist(), float(covered[best])


def write_clear(
    paper: Paper, places: Sequence[XY], words: str, size: str, tone: str = "ink", ground: str | None = None, *, must: bool = False
) -> bool:
    """Write words, in the middle of the first of some places at which they are clear of others and of signs, or least covered.

    Where they must be clear and nowhere are, nothing is written, and the answer is no.
    """
    half = np.array([paper.width_of(words, size, bold=True) / 2, paper.height_of(size) * 0.55])
    middles = np.array(places, float)
    taken = np.array([label.box for label in (*paper.labels, *paper.signs)]).reshape(-1, 4)
    covered = _common(np.column_stack([middles - half, middles + half]), taken).sum(axis=1)
    if must and covered.min() > _NONE_PX2:
        return False
    paper.write(places[int(np.argmin(covered))], words, size=size, bold=True, tone=tone, align="center", ground=ground)
    return True


def _hold(boxes: Floats, at: XY) -> NDArray[np.bool_]:
    """Tell which boxes, a little larger, hold a place."""
    wider = boxes + 1.5 * _AROUND
    return (wider[:, 0] < at[0]) & (at[0] < wider[:, 2]) & (wider[:, 1] < at[1]) & (at[1] < wider[:, 3])


def _seen(target: XY, box: Floats, others: Floats) -> bool:
    """Tell whether a line from a place to the middle of a box runs through no other boxes."""
    way = np.array([(box[0] + box[2]) / 2 - target[0], (box[1] + box[3]) / 2 - target[1]])
    x, y = (np.array(target) + np.linspace(0.0, 1.0, 17)[1:, None] * way).T
    left, bottom, right, top = others.T[:, :, None]
    return not bool(((x > left) & (x < right) & (y > bottom) & (y < top)).any())


def _area(boxes: Floats) -> Floats:
    found: Floats = (boxes[:, 2] - boxes[:, 0]) * (boxes[:, 3] - boxes[:, 1])
    return found


def _common(some: Floats, others: Floats) -> Floats:
    """Return the area that each of some boxes has in common with each of others, ``(n, 4)`` and ``(m, 4)`` to ``(n, m)``."""
    one, two = some[:, None, :], others[None, :, :]
    wide = np.minimum(one[:, :, 2], two[:, :, 2]) - np.maximum(one[:, :, 0], two[:, :, 0])
    high = np.minimum(one[:, :, 3], two[:, :, 3]) - np.maximum(one[:, :, 1], two[:, :, 1])
    found: Floats = np.maximum(wide, 0.0) * np.maximum(high, 0.0)
    return found
