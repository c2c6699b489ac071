"""Compares a bottom that programs cut with its outline in the manifest."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from manifold3d import CrossSection, FillRule, JoinType, Manifold
from numpy.typing import NDArray

from camtools.output.manifest import BoardEntry
from camtools.verify.carving.carve import Carved, solid_of
from camtools.verify.fit.judge import Misfit
from camtools.wording import mm, sizes

__all__ = ["outline_faults"]

_ROUNDING_MM = 0.01  # of coordinates, beside what the carving may be off
_ALIKE_MM3 = 0.01
_OVER_MM = 5.0  # a solid that reaches this far beyond a board's faces

Places = NDArray[np.float64]


def outline_faults(carved: Carved, entry: BoardEntry, cutter_mm: float) -> Iterator[Misfit]:
    """Yield where a carved bottom is larger than its outline, or smaller where that may not be.

    A cutter leaves its own rounding where two walls of a notch meet, so it may run on there by its diameter, but only into the tongues,
    which the grooves hide. Between them, where the panel fills the drawer's inside, nothing may be cut away.

    Parameters
    ----------
    carved
        The bottom, in its own frame.
    entry
        Its entry, with an outline.
    cutter_mm
        Diameter of the widest cutter that was used.
    """
    (length, width, thick), points = entry.size, np.asarray(entry.outline)
    solid, off = solid_of(carved), carved.bound_mm + _ROUNDING_MM
    outline = CrossSection([points], FillRule.NonZero)
    whole = Manifold.extrude(outline.offset(off, JoinType.Miter), thick + 2 * _OVER_MM).translate((0.0, 0.0, -_OVER_MM))
    yield from _told("outline-wood-left", "stands beyond the outline", solid - whole, entry)
    corners = _inside_corners(points)
    us, vs = corners[:, 0], corners[:, 1]
    low = (us.min(initial=length / 2), vs.min(initial=width / 2))
    high = (us.max(initial=length / 2), vs.max(initial=width / 2))
    # The panel between its tongues; an end without notches has none.
    low = (low[0] if low[0] < length / 2 else 0.0, low[1] if low[1] < width / 2 else 0.0)
    high = (high[0] if high[0] > length / 2 else length, high[1] if high[1] > width / 2 else width)
    panel = CrossSection.square((high[0] - low[0], high[1] - low[1])).translate(low)
    spared = CrossSection.square((2 * cutter_mm,) * 2, True)
    run_on = sum((spared.translate(tuple(corner)) for corner in corners), CrossSection()) - panel
    least = Manifold.extrude((outline - run_on).offset(-off, JoinType.Miter), thick - 2 * off).translate((0.0, 0.0, off))
    yield from _told("outline-cut-into", "is cut away inside the outline", least - solid, entry)


def _inside_corners(points: Places) -> Places:
    """Return the corners ``(n, 2)`` of an outline, counter-clockwise, at which it turns to the right."""
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return points[turn < 0.0]


def _told(code: str, words: str, wrong: Manifold, entry: BoardEntry) -> Iterator[Misfit]:
    """Yield a fault for all that is wrong, at the largest part of it."""
    volume = float(wrong.volume())
    if volume < _ALIKE_MM3:
        return
    largest = max(wrong.decompose(), key=lambda part: float(part.volume()))
    corners = np.asarray(largest.to_mesh64().vert_properties[:, :3])
    u, v, w = corners.mean(axis=0).tolist()
    sides = np.ptp(corners, axis=0).tolist()
    rows = np.asarray(entry.to_drawer)
    x, y, z = (rows[:, :3] @ (u, v, w) + rows[:, 3]).tolist()
    text = f"wood {words}, most of it {sizes(*sides)} at u {mm(u)}, v {mm(v)} of the bottom"
    yield Misfit(code, text, (x, y, z), ("bottom",), (("volume_mm3", volume),))
