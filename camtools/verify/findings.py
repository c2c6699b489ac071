"""What a check found: coded, with its place and figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Finding", "Severity"]

Severity = Literal["error", "warning", "note"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found. An error fails the packet; ``line`` is 1-based, 0 where no line is meant."""

    code: str  # lower case words with hyphens, e.g. "rapid-in-wood"
    severity: Severity
    file: str  # relative to the packet
    line: int
    text: str
    figures: tuple[tuple[str, float], ...] = ()  # name with unit -> value, e.g. ("overlap_mm", 0.31)
