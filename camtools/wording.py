"""Lengths and numbers of things as words, for notes, faults, lists and pages."""

from __future__ import annotations

import math
from collections.abc import Sequence

__all__ = ["MM_PER_INCH", "counted", "down", "listed", "mm", "up"]

MM_PER_INCH = 25.4


def mm(length_mm: float) -> str:
    """Return a length as text, to a hundredth of a millimetre at most."""
    text = f"{length_mm:.2f}".rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text} mm"


def counted(number: int, thing: str) -> str:
    """Return a number of things: 1 board, 2 boards."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def up(length_mm: float, step_mm: float) -> float:
    """Round a length up to the next step."""
    return round(math.ceil(length_mm / step_mm - 1e-9) * step_mm, 6)


def down(length_mm: float, step_mm: float) -> float:
    """Round a length down to the last step."""
    return round(math.floor(length_mm / step_mm + 1e-9) * step_mm, 6)


def listed(words: Sequence[str], joined: str = "or") -> str:
    """Join words as a sentence does: a, b or c."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {joined} {words[-1]}" if words else ""
