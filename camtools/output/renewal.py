"""Renews what a packet holds that can be made anew from its other files at any time."""

from __future__ import annotations

import errno
import hashlib
import os
import re
import secrets
from collections.abc import Mapping
from pathlib import Path

from camtools.faults import Fault, PacketFault
from camtools.output.folder import CONTENTS, digest_of, written_in

__all__ = ["renew", "replace_file"]

_PAGE_OF = re.compile(r"(?:job\.toml|(?:manifest|limits|plan)\.json|programs/(?:dry/)?[\w.-]+)")  # what page and check are made from


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
    if written := written_in(folder):
        written |= {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}
        lines = [f"{written[name]}  {name}" for name in sorted(written)]
        # What they were made from, where it was edited by then.
        now = ((name, digest_of(folder / name)) for name in sorted(written) if _PAGE_OF.fullmatch(name))
        lines += [f"# {digest}  {name}" for name, digest in now if digest and digest != written[name]]
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
