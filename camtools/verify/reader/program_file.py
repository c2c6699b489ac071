"""Reads a program from disk, whatever the file turns out to be."""

from __future__ import annotations

import stat
from pathlib import Path

from camtools.verify.findings import Finding

__all__ = ["LARGEST_BYTES", "read_program"]

LARGEST_BYTES = 16 * 1024 * 1024  # a program for a board's joint takes some hundred kilobytes at most
_BINARY = frozenset(range(32)) - frozenset(b"\t\n\r")


def read_program(path: Path, file: str, limit: int = LARGEST_BYTES) -> tuple[str | None, tuple[Finding, ...]]:
    """Return a program's text, or None with the finding that tells why there is none.

    Parameters
    ----------
    path
        Where it lies.
    file
        Its name for findings, relative to the packet.
    limit
        The most bytes that are read.
    """
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            return _refused("file-unreadable", file, "it is no plain file")
        with path.open("rb") as stream:
            content = stream.read(limit + 1)
    except (OSError, ValueError) as error:
        return _refused("file-unreadable", file, f"it can not be opened: {error.__class__.__name__}")
    if len(content) > limit:
        return _refused("file-too-large", file, f"more than {limit} bytes")
    if not _BINARY.isdisjoint(content):
        line = 1 + content.count(b"\n", 0, next(at for at, byte in enumerate(content) if byte in _BINARY))
        return _refused("not-text", file, "it holds control characters", line)
    try:
        return content.decode("utf-8"), ()
    except UnicodeDecodeError:
        return content.decode("latin-1"), ()  # what is not ASCII is reported where it stands


def _refused(code: str, file: str, text: str, line: int = 0) -> tuple[None, tuple[Finding, ...]]:
    return None, (Finding.of(code, file, line, text),)
