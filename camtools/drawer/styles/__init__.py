"""Layout styles. A style is one file beside this one, with a ``STYLE``, and one line in ``_NAMES``."""

from __future__ import annotations

from importlib import import_module

from camtools.drawer.division import Style

__all__ = ["STYLES"]

_NAMES = (
    "even",
    "swelling",
    "standard",
    "spaced",
)

STYLES: dict[str, Style] = {name: import_module(f"{__name__}.{name}").STYLE for name in _NAMES}
