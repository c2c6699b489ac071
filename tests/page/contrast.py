"""How far text stands out from its ground, as published in WCAG 2.1."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["LEAST", "contrast"]

LEAST = 4.5  # to one: success criterion 1.4.3


def _luminance(colour: Sequence[float]) -> float:
    """Relative luminance of sRGB, 0 to 255 (definition of relative luminance)."""
    parts = [value / 255 / 12.92 if value / 255 <= 0.03928 else ((value / 255 + 0.055) / 1.055) ** 2.4 for value in colour[:3]]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: Sequence[float], other: Sequence[float]) -> float:
    """Contrast ratio of two colours (definition of contrast ratio)."""
    low, high = sorted((_luminance(one), _luminance(other)))
    return (high + 0.05) / (low + 0.05)
