"""A batch of one cutter's motions at the wood, as the rules of motion look at it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from camtools.verify.findings import Log
from camtools.verify.reader.motion import Motion
from camtools.verify.rules.segments import Pieces, plan_distance
from camtools.verify.rules.workplace import Mounted, Workplace

__all__ = ["SLACK_MM", "Scene"]

SLACK_MM = 0.005  # for rounded coordinates, and for arcs cut into chords

Places = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Scene:
    """What a rule is given: ``pieces`` are those of ``motions`` made with ``cutter``."""

    place: Workplace
    log: Log
    motions: Sequence[Motion]
    pieces: Pieces
    cutter: Mounted

    def near(self, top_mm: float, radius_mm: float) -> Pieces:
        """Return those parts with the tip below ``top_mm`` and nearer in plan to board or backing than ``radius_mm``."""
        low, high = self.place.wood
        below = self.pieces.between(-np.inf, top_mm)
        return below.where(plan_distance(below, low, high) < radius_mm)

    def every(self, holds: Callable[[Motion], bool], places: Places) -> list[Motion]:
        """Return each of the motions at ``places`` for which a test holds."""
        return [motion for motion in (self.motions[at] for at in np.unique(places)) if holds(motion)]

    def onsets(self, holds: Callable[[Motion], bool], places: Places | None = None) -> list[Motion]:
        """Return, of all motions or of those at ``places``, the ones from which on a test holds: for states that last."""
        found = []
        before = False
        for at in np.unique(self.pieces.motion if places is None else places):
            now = holds(self.motions[at])
            if now and not before:
                found.append(self.motions[at])
            before = now
        return found

    def rows(self, places: Places) -> list[Motion]:
        """Return the first motion of each unbroken row of ``places``."""
        single = np.unique(places)
        return [self.motions[at] for at in single[np.diff(single, prepend=-2) > 1]]
