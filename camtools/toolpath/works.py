"""What is to be done on a piece at one of its ends, or along it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from camtools.toolpath.moves import Cut

__all__ = ["Work"]


@dataclass(frozen=True, slots=True)
class Work:
    """A joint's work in one setup.

    ``cuts`` is called with the stop, "left" or "right", and the clearance height in mm; a cut that is not needed is None.
    """

    end: str
    what: str
    cuts: Callable[[str, float], Sequence[Cut | None]]
