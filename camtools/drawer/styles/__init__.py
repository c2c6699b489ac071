"""Layout styles. A style is one file beside this one and one line in ``STYLES``."""

from __future__ import annotations

from camtools.drawer.division import Style
from camtools.drawer.styles import even, spaced, standard, swelling

__all__ = ["STYLES"]

STYLES: dict[str, Style] = {
    "even": even.STYLE,
    "swelling": swelling.STYLE,
    "standard": standard.STYLE,
    "spaced": spaced.STYLE,
}
