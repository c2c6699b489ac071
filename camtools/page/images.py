"""Pictures that the page shows: those in the packet by their names, and how large they are."""

from __future__ import annotations

import struct
from pathlib import Path

from camtools.page.blocks import Picture

__all__ = ["Images", "png_size"]


def png_size(content: bytes) -> tuple[int, int]:
    """Width and height of a PNG in px (ISO/IEC 15948, 11.2.2: the header chunk comes first)."""
    if content[:8] != b"\x89PNG\r\n\x1a\n":
        raise ValueError("this is no PNG")
    width, height = struct.unpack(">II", content[16:24])
    return width, height


class Images:
    """Finds a packet's pictures."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def find(self, name: str, words: str) -> Picture | None:
        """Return a picture of the packet, or None where there is none."""
        path = self._folder / name
        if not path.is_file() or path.is_symlink():
            return None
        try:
            with path.open("rb") as stream:
                width, height = png_size(stream.read(24))
        except (OSError, ValueError, struct.error):
            return None
        return Picture(f"picture-{path.stem}", words, width, height, name=name)
