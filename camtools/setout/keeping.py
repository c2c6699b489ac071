"""Keeps a job in its file: never over what somebody changed there meanwhile, and with a copy beside it of what is not saved yet."""

from __future__ import annotations

import difflib
import hashlib
import re
import sys
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import IO

from camtools.faults import Fault, JobFault, PacketFault
from camtools.job.tables import bytes_of, content_of, text_in
from camtools.output.folder import replace_file, write_fresh

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

__all__ = ["JobKeeper", "file_name", "keeper_of_new"]

_HEAD = "# camtools setout: not saved. It was begun from "
_HEADING = re.compile(rf"{re.escape(_HEAD)}([0-9a-f]{{64}}|nothing)\n")
_NAME = re.compile(r"[^\W_][\w .()+-]{0,100}\.toml")
_DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{place}" for port in ("com", "lpt") for place in range(10))}  # kept by some systems
_WIDEST = 3  # lines round a change that are shown with it


def file_name(typed: str) -> str:
    """Return the name of a job file beside the others, for what somebody typed.

    Raises
    ------
    PacketFault
        Where it would lead elsewhere, or some system can not hold it.
    """
    name = typed.strip()
    name = name if name.casefold().endswith(".toml") else f"{name}.toml"
    if not _NAME.fullmatch(name) or name.endswith(".fit.toml") or name.split(".")[0].casefold().strip() in _DEVICES:
        limit = "letters, digits, blanks and - _ . ( ) +, at most 100 of them; no folders"
        raise PacketFault(
            Fault(typed[:120] or "a job file", "is no name for a job file", limit=limit, remedy="such as specimen-chest.toml")
        )
    return name


def keeper_of_new(folder: Path) -> JobKeeper:
    """Return the keeper of a job that is begun in a folder, under the first plain name that no file has."""
    return next(JobKeeper(path) for path in _plain_names(folder) if not path.exists())


def _plain_names(folder: Path) -> Iterator[Path]:
    yield folder / "drawers.toml"
    yield from (folder / f"drawers-{number}.toml" for number in count(2))


@dataclass(slots=True)
class JobKeeper:
    """A job file, and the copy beside it of what was not saved yet: ``.NAME.unsaved``.

    ``begun`` is the digest of the file that the job's text was begun from, or was last saved as.
    """

    path: Path
    begun: str = "nothing"
    held: IO[bytes] | None = None

    @property
    def copy(self) -> Path:
        """Where the copy is."""
        return self.path.with_name(f".{self.path.name}.unsaved")

    def hold(self) -> None:
        """Hold the job for this process, so that no two set it out at once.

        Raises
        ------
        PacketFault
            Where another holds it, or the folder can not be written to.
        """
        place = self.path.with_name(f".{self.path.name}.held")
        try:
            self.held = place.open("ab")
        except OSError as fault:
            told = f"can not be set out: {fault.strerror or fault}"
            raise PacketFault(Fault(str(self.path), told, remedy="choose a folder you may write to")) from None
        try:
            if sys.platform == "win32":
                msvcrt.locking(self.held.fileno(), msvcrt.LK_NBLCK, 1)
            else:
                fcntl.flock(self.held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            self.held.close()
            self.held = None
            raise PacketFault(Fault(str(self.path), "is being set out already", remedy="look for its window")) from None

    def let_go(self) -> None:
        """Hold the job no longer."""
        if self.held is not None:
            if sys.platform == "win32":  # which takes no open file away
                self.held.close()
            with suppress(OSError):
                self.path.with_name(f".{self.path.name}.held").unlink(missing_ok=True)
            self.held.close()
            self.held = None

    def open(self) -> str:
        """Return the file's text, and take it as what the job is begun from. Raises JobFault."""
        content = bytes_of(self.path)
        text = text_in(content, str(self.path))
        content_of(text, str(self.path))
        self.begun = _digest(content)
        return text

    @property
    def changed(self) -> bool:
        """Whether somebody changed the file meanwhile, or took it away."""
        return self._now() != self.begun

    def difference(self, text: str) -> str:
        """Return how a text differs from the file as it is now: ``-`` before lines of the file, ``+`` before those of the text."""
        try:
            now = text_in(bytes_of(self.path), self.path.name) if self.path.exists() else ""
        except JobFault:
            now = ""
        lines = difflib.unified_diff(now.splitlines(), text.splitlines(), "on disk", "here", n=_WIDEST, lineterm="")
        return "\n".join("\N{HORIZONTAL ELLIPSIS}" if line.startswith("@@") else line for line in lines)

    def save(self, text: str) -> None:
        """Write the file, in one step.

        Raises
        ------
        PacketFault
            Where somebody changed it meanwhile, or it can not be written; then it is unharmed.
        """
        content = text.encode()
        if self.begun == "nothing":
            write_fresh(self.path, content)
        elif self.changed:
            raise PacketFault(Fault(str(self.path), "was changed meanwhile, so it is left alone"))
        else:
            replace_file(self.path, content)
        self.begun = _digest(content)
        self.drop_copy()

    def keep_copy(self, text: str) -> None:
        """Write the copy, in one step. Raises PacketFault where it can not be written."""
        replace_file(self.copy, f"{_HEAD}{self.begun}\n{text}".encode())

    def drop_copy(self) -> None:
        """Take the copy away."""
        with suppress(OSError):
            self.copy.unlink(missing_ok=True)

    def left_over(self) -> tuple[str, str] | None:
        """Return the text of a copy that was never saved, and the digest of what it was begun from; None where there is none."""
        try:
            whole = text_in(bytes_of(self.copy), str(self.copy))
            found = _HEADING.match(whole)
            if found is None:
                return None
            text = whole[found.end() :]
            content_of(text, str(self.copy))
        except JobFault:
            return None
        return text, found[1]

    def _now(self) -> str:
        try:
            return _digest(self.path.read_bytes())
        except FileNotFoundError:
            return "nothing"
        except OSError:
            return "unread"


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
