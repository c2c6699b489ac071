"""Where settings may part an end: in wood that stays, between one gap or socket and the next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from camtools.toolpath.moves import Air, Work, reach_of

__all__ = ["EndPart", "Span", "parts_of"]

Span = tuple[float, float]


class EndPart(NamedTuple):
    """What is cut of an end between two places at which settings may part. Both are spans of X."""

    between: Span
    reached: Span  # by the cutters' axes


def parts_of(works: Sequence[Work], stop: str, air: Air) -> tuple[EndPart, ...]:
    """Return the parts of an end, each of which is cut in one setting; one where settings may part it nowhere."""
    places = min((work.partings_mm for work in works), key=len, default=())
    ends = [-math.inf, *sorted(place if stop == "left" else -place for place in places), math.inf]
    found = []
    for between in pairwise(ends):
        cuts = [cut for work in works if (cut := work.cut(stop, air._replace(reach_mm=between))) is not None and cut.moves]
        if cuts:
            found.append(EndPart(between, reach_of(cuts)[0]))
    return tuple(found)
