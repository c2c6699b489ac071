"""Pictures that the page shows: those in the packet by their names, and how large they are."""

from __future__ import annotations

import re
from pathlib import Path

from camtools.drawings.sheet import LEAST_MM
from camtools.page.blocks import Picture

__all__ = ["Images"]

_SVG_SIZE = re.compile(rb'<svg [^>]*?\bwidth="([1-9][0-9]{0,4})(mm)?" height="([1-9][0-9]{0,4})(?:mm)?"')
_VIEW = re.compile(r'<view id="([a-z0-9-]{1,40})" viewBox="([0-9. -]{1,60})" data-letters="([0-9.]{1,8})"/>')
_LETTERS = re.compile(rb'font-size="([0-9.]{1,8})"')
_PX_PER_MM = 96 / 25.4  # of CSS
_SHEET_LETTERS_PX = LEAST_MM / 0.73 * _PX_PER_MM  # letters of a sheet are lines; their capitals are 0.73 of a font's size


class Images:
    """Finds a packet's pictures."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def find(self, name: str, words: str, label: str = "") -> Picture | None:
        """Return a picture of the packet, an SVG whose size is told in whole px or mm, or None where there is none."""
        path = self._folder / name
        if not path.is_file() or path.is_symlink():
            return None
        content = path.read_bytes()
        if not (size := _SVG_SIZE.match(content)):
            return None
        unit = _PX_PER_MM if size[2] else 1.0
        letters_px = min(map(float, _LETTERS.findall(content)), default=_SHEET_LETTERS_PX)
        wide, high = (round(int(side) * unit) for side in (size[1], size[3]))
        views = tuple((part.replace("-", " ").capitalize(), *rest) for part, *rest in _VIEW.findall(content.decode("utf-8", "replace")))
        part = ""
        if len(views) == 1:
            ((_, part, letters),) = views
            wide, high = (round(float(side) * unit) for side in part.split()[2:])
            letters_px, views = float(letters) * unit, ()
        return Picture(
            f"picture-{path.stem}", words, wide, high, name=name, letters_px=round(letters_px, 1), part=part, views=views, label=label
        )
