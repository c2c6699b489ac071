"""Pictures that the page shows: those in the packet by their names, those made here as part of the page."""

from __future__ import annotations

import base64
import struct
from pathlib import Path
from typing import Any

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

    def find(self, name: str, words: str) -> dict[str, Any] | None:
        """Return a picture of the packet with its size, or None where there is none."""
        path = self._folder / name
        if not path.is_file() or path.is_symlink():
            return None
        try:
            with path.open("rb") as stream:
                width, height = png_size(stream.read(24))
        except (OSError, ValueError, struct.error):
            return None
        return {"src": name, "alt": words, "width": width, "height": height}

    @staticmethod
    def inline(content: bytes) -> str:
        """Return a picture as an address that holds it."""
        return f"data:image/png;base64,{base64.b64encode(content).decode('ascii')}"
