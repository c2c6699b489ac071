"""Renews what a packet holds that can be made anew from its other files at any time."""

from __future__ import annotations

import errno
import hashlib
import os
import secrets
from collections.abc import Mapping
from pathlib import Path

from camtools.faults import Fault, PacketFault
from camtools.output.folder import CONTENTS

__all__ = ["renew", "replace_file"]


def renew(folder: Path, files: Mapping[str, bytes]) -> None:
    """Replace files of a packet, each in one step, and their lines in its list of contents.

    Raises
    ------
    PacketFault
        Where a file can not be written; the one that stood there is then unharmed.
    """
    for name, content in files.items():
        replace_file(folder / name, content)
    listed = folder / CONTENTS
    if listed.is_file() and not listed.is_symlink():
        digests = {name: f"{hashlib.sha256(content).hexdigest()}  {name}" for name, content in files.items()}
        lines = [line for line in listed.read_text("utf-8", errors="replace").splitlines() if line.partition("  ")[2] not in digests]
        lines = sorted([*lines, *digests.values()], key=lambda line: line.partition("  ")[2])
        replace_file(listed, "".join(f"{line}\n" for line in lines).encode("utf-8", "replace"))


def replace_file(path: Path, content: bytes) -> None:
    """Write a file beside the one of this name, then give it the name.

    Raises
    ------
    PacketFault
        Where it can not be written; what stood there is then unharmed.
    """
    fresh = path.with_name(f".{path.name}.new-{secrets.token_hex(4)}")
    try:
        try:
            with fresh.open("xb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            fresh.replace(path)
        finally:
            fresh.unlink(missing_ok=True)
    except OSError as fault:
        remedy = "choose a place you may write to" if fault.errno in (errno.EACCES, errno.EPERM, errno.EROFS) else "nothing was replaced"
        raise PacketFault(Fault(str(path), f"could not be written: {fault.strerror or fault}", remedy=remedy)) from fault
