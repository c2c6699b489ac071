"""Puts a packet into its folder: whole or not at all, and never over anything but an older packet; renews what can be made anew."""

from __future__ import annotations

import contextlib
import errno
import glob
import hashlib
import os
import re
import secrets
import shutil
import stat
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path, PurePosixPath

from pydantic import ValidationError

from camtools import templates
from camtools.faults import Fault, PacketFault
from camtools.job.bench.companions import COMPANIONS
from camtools.output.manifest import Manifest

if sys.platform != "win32":
    import fcntl

__all__ = ["CONTENTS", "Check", "clear_leftovers", "refuse_other_file", "renew", "replace_file", "write_fresh", "write_packet"]

CONTENTS = "contents.sha256"  # what was written, in the form that `sha256sum --check` reads
Check = Callable[[Path], Iterable[Mapping[str, bytes]]]

_PART = re.compile(r"[a-z0-9][a-z0-9_-]*(?:\.[a-z0-9_-]+)*")
# Names that some systems keep for devices.
_DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{i}" for port in ("com", "lpt") for i in range(10))}
_LONGEST_NAME = 120
_AT_ONCE = 16
_UNHELD_S = 24 * 3600.0
_LEFT_S = 60.0  # a folder that is newer may belong to a run that is about to hold it
_LARGEST_MANIFEST = 256 * 1024 * 1024
_LITTER = {".DS_Store", "Thumbs.db", "desktop.ini"}  # left behind by file managers
_REWRITTEN = {"check.json", "index.html", "index.pdf"}  # made anew from a packet at any time, so no loss
_WRITTEN = "|".join(map(re.escape, ("job.toml", *COMPANIONS)))
_SOURCES = re.compile(rf"(?:{_WRITTEN}|(?:manifest|limits|plan)\.json|programs/(?:dry/)?[\w.-]+)")  # of page and check
_PROGRAMS = "programs/"
_MANIFEST = "manifest.json"
_FULL = "free some space; nothing was changed"
_LOCKED = "choose a folder you may write to"
_REMEDIES = {
    "ENOSPC": _FULL,
    "EDQUOT": _FULL,
    "EACCES": _LOCKED,
    "EPERM": _LOCKED,
    "EROFS": _LOCKED,
    "ENAMETOOLONG": "choose a shorter name",
}


def write_packet(folder: Path, files: Mapping[str, bytes], check: Check | None = None) -> Path:
    """Write a packet and return where it is.

    The files are written beside ``folder``, checked there, and take its name in one step. An older packet gives way to the
    new one only then; it is refused where it holds files that camtools did not write, or programs that were changed by hand.
    Files without a manifest are a set of templates, which gives way to such a set alone, and only where nothing in it was changed.

    Parameters
    ----------
    files
        Content by name; names are lower-case, relative, with ``/`` between parts.
    check
        Called with the folder before it gets its name; yields files to add, which are there when it is asked for more, or raises
        `PacketFault` to keep the packet back.

    Raises
    ------
    PacketFault
        Where the folder can not be written, must not be replaced, or the check refuses.
    """
    kind = "packet" if _MANIFEST in files else "set of templates"
    try:
        target = _target(folder)
        _refuse_names(files)
        if os.path.lexists(target):
            _refuse_stranger(target, target, kind)
        clear_leftovers(target)
        fresh = target.with_name(f".{target.name}.new-{secrets.token_hex(4)}")
        fresh.mkdir()
        lock = _locked(fresh)
        try:
            whole: dict[str, bytes] = {}
            for added in _batches(files, fresh, check):
                if doubled := sorted(whole.keys() & added.keys()):
                    raise PacketFault(Fault(", ".join(doubled), "a check adds files to a packet, and may not change one"))
                whole |= added
                _refuse_names(whole)
                (fresh / CONTENTS).write_bytes(_contents(whole))  # first, so that what a killed run leaves is known as its own
                _fill(fresh, added)
            _sync_all(fresh)
            _publish(fresh, target, kind)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)
            if lock is not None:
                os.close(lock)
        with contextlib.suppress(OSError):  # the packet is in its place by now; this only hastens the disk
            _sync(target.parent)
    except OSError as fault:
        raise _unwritten(folder, fault) from fault
    return target


def renew(folder: Path, files: Mapping[str, bytes]) -> None:
    """Replace files of a packet, each in one step, and their lines in its list of contents.

    Raises
    ------
    PacketFault
        Where a file can not be written; the one that stood there is then unharmed.
    """
    for name, content in files.items():
        replace_file(folder / name, content)
    if written := _written_in(folder):
        written |= {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}
        # What they were made from, where it was edited by then.
        now = {name: _digest_of(folder / name) for name in written if _SOURCES.fullmatch(name)}
        edited = {f"# {digest}": name for name, digest in now.items() if digest not in ("", written[name])}
        listed = _listed(written) + "".join(f"{digest}  {name}\n" for digest, name in sorted(edited.items(), key=lambda line: line[1]))
        replace_file(folder / CONTENTS, listed.encode("utf-8", "replace"))


def refuse_other_file(path: Path, start: bytes, kind: str) -> None:
    """Refuse to put a file in the place of anything but an older one of its kind, or into a folder that is not there.

    Parameters
    ----------
    path
        Where the file is to stand.
    start
        What every file of its kind starts with.
    kind
        What it is called.

    Raises
    ------
    PacketFault
        With the reason.
    """
    if path.exists() and not _starts(path, start):
        raise PacketFault(Fault(str(path), f"is there and is no {kind}, so it is left alone", remedy="name another file"))
    if not path.absolute().parent.is_dir():
        raise PacketFault(Fault(str(path), "the folder that it should stand in does not exist", remedy="make that folder first"))


def _starts(path: Path, start: bytes) -> bool:
    if not _regular(path):
        return False
    with path.open("rb") as file:
        return file.read(len(start)) == start


def write_fresh(path: Path, content: bytes) -> None:
    """Write a file that is to be filled in, whole or not at all; one that is there is left alone.

    Raises
    ------
    PacketFault
        Where there is one, or it can not be written.
    """
    fresh = path.with_name(f".{path.name}.new-{secrets.token_hex(4)}")
    try:
        try:
            fresh.write_bytes(content)
            _sync(fresh)
            if sys.platform == "win32":
                fresh.rename(path)  # which there takes no name that is taken
            else:
                path.hardlink_to(fresh)
        finally:
            fresh.unlink(missing_ok=True)
    except FileExistsError:
        raise PacketFault(Fault(str(path), "is there, so it is left alone", remedy="name another file")) from None
    except OSError as fault:
        told = f"could not be written: {fault.strerror or fault}"
        raise PacketFault(Fault(str(path), told, remedy="name a place that is there, and that you may write in")) from None


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
            fresh.write_bytes(content)
            _sync(fresh)
            if path.exists():
                shutil.copymode(path, fresh)
            fresh.replace(path)
        finally:
            fresh.unlink(missing_ok=True)
    except OSError as fault:
        raise _unwritten(path, fault) from fault


def _unwritten(place: Path, fault: OSError) -> PacketFault:
    remedy = _REMEDIES.get(errno.errorcode.get(fault.errno or 0, ""), "nothing was changed")
    return PacketFault(Fault(str(place), f"could not be written: {fault.strerror or fault}", remedy=remedy))


def _batches(files: Mapping[str, bytes], fresh: Path, check: Check | None) -> Iterator[Mapping[str, bytes]]:
    yield files
    if check:
        yield from check(fresh)


def _locked(folder: Path) -> int | None:
    """Hold a folder for this process until what is returned is closed; None where another holds it, or the system can not do that."""
    if sys.platform == "win32":
        return None
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(handle)
        return None
    return handle


def clear_leftovers(target: Path) -> None:
    """Take away what a run that was killed left beside its packet: it is named like it, no process holds it, and all in it was listed.

    Where folders can not be held, it is taken away when it is a day old.
    """
    for place in target.parent.glob(f".{glob.escape(target.name)}.new-" + 8 * "[0-9a-f]"):
        with contextlib.suppress(OSError):
            lock = _locked(place)
            if lock is None and sys.platform != "win32":
                continue
            try:
                ours = set(_names_in(place)) <= {*_written_in(place), CONTENTS}
                if ours and time.time() - place.stat().st_mtime > (_UNHELD_S if lock is None else _LEFT_S):
                    shutil.rmtree(place, ignore_errors=True)
            finally:
                if lock is not None:
                    os.close(lock)


def _target(folder: Path) -> Path:
    """Return the folder's true place; only its last part need not exist."""
    whole = Path(os.path.abspath(folder))  # noqa: PTH100 - resolve() would follow a link in the last part
    if not whole.name:
        raise PacketFault(Fault(str(folder), "is no place for a packet", remedy="name a new folder"))
    try:
        parent = whole.parent.resolve(strict=True)
    except (OSError, RuntimeError):
        parent = whole.parent
    if not parent.is_dir():
        raise PacketFault(
            Fault(str(folder), "the folder that it should stand in does not exist", str(whole.parent), remedy="make that folder first")
        )
    return parent / whole.name


def _refuse_names(files: Mapping[str, bytes]) -> None:
    """Refuse names that could lead out of the folder or that some system can not hold."""
    faults = []
    folders = {str(parent) for name in files for parent in PurePosixPath(name).parents}
    for name in files:
        parts = name.split("/")
        if len(name) > _LONGEST_NAME or not all(_PART.fullmatch(part) and part.split(".")[0] not in _DEVICES for part in parts):
            limit = f"lower-case letters, digits, - _ . and / between, at most {_LONGEST_NAME} characters"
            faults.append(Fault("a file of the packet", "has no safe name", repr(name), limit))
        elif name in folders or name == CONTENTS:
            faults.append(Fault("a file of the packet", "has the name of something else in it", repr(name)))
    if faults:
        raise PacketFault(*faults)


def _fill(folder: Path, files: Mapping[str, bytes]) -> None:
    for name, content in files.items():
        path = folder.joinpath(*name.split("/"))
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as file:
            file.write(content)


def _contents(files: Mapping[str, bytes]) -> bytes:
    return _listed({name: hashlib.sha256(content).hexdigest() for name, content in files.items()}).encode("ascii")


def _listed(digests: Mapping[str, str]) -> str:
    return "".join(f"{digests[name]}  {name}\n" for name in sorted(digests))


def _sync(path: Path) -> None:
    """Have a file's content on the disk, or a folder's own entries where the system can do that."""
    folder = path.is_dir()
    if os.name == "posix" or not folder:
        handle = os.open(path, os.O_RDONLY | os.O_DIRECTORY if folder else os.O_RDWR)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _sync_all(folder: Path) -> None:
    """Have all of a folder on the disk. Many files are waited for at once, since the disk then writes them together."""
    with ThreadPoolExecutor(_AT_ONCE) as pool:
        for place, _, names in os.walk(folder, topdown=False):
            list(pool.map(_sync, [Path(place, name) for name in (*names, "")]))


def _publish(fresh: Path, target: Path, kind: str) -> None:
    """Give the new packet its name. Whatever stood there is kept aside until that is done, and put back if it fails."""
    if not os.path.lexists(target):
        fresh.rename(target)
        return
    aside = target.with_name(f".{target.name}.old-{secrets.token_hex(4)}")
    target.rename(aside)
    try:
        _refuse_stranger(aside, target, kind)  # once more, now that nobody who goes by its name can change it
        fresh.rename(target)
    except BaseException:
        try:
            aside.rename(target)
        except OSError as fault:
            kept = Fault(str(target), f"could not be put back: {fault.strerror}", str(aside), remedy="the older packet is there; rename it")
            raise PacketFault(kept) from fault
        raise
    shutil.rmtree(aside, ignore_errors=True)


def _refuse_stranger(place: Path, known_as: Path, kind: str) -> None:
    """Refuse to replace what is not of this kind, or what someone put work of their own into."""

    def refuse(problem: str, value: str = "", remedy: str = "name another folder, or a new one") -> PacketFault:
        return PacketFault(Fault(str(known_as), problem, value, remedy=remedy))

    if not stat.S_ISDIR(place.lstat().st_mode):
        kind = "a link" if place.is_symlink() else "not a folder"
        raise refuse(f"is {kind}, and is left alone")
    names = list(_names_in(place))
    if not names and not any(place.iterdir()):
        return  # an empty folder holds nothing to lose
    if _kind_of(place) != kind:
        raise refuse(f"is not a {kind} that camtools wrote, and is left alone")
    written = _written_in(place)
    own = sorted(name for name in names if name not in written and name not in _REWRITTEN | {CONTENTS})
    kept = _PROGRAMS if kind == "packet" else ""
    changed = sorted(name for name in names if name.startswith(kept) and name in written and _digest_of(place / name) != written[name])
    worked_on = "programs" if kind == "packet" else "files"
    for problem, found in (("holds files that camtools did not write", own), (f"holds {worked_on} that were changed by hand", changed)):
        if found:
            more = f" and {len(found) - 5} more" if len(found) > 5 else ""
            raise refuse(problem, ", ".join(found[:5]) + more, "move them elsewhere, or name another folder")


def _kind_of(place: Path) -> str:
    """Return what camtools wrote into a folder, or nothing."""
    manifest = _manifest_in(place)
    if manifest is not None:
        return "packet" if manifest.generator.startswith("camtools ") else ""
    told, heading = place / templates.READ_ME, f"{templates.HEADING}\n".encode("ascii")
    if _regular(told) and told.read_bytes().startswith(heading) and templates.READ_ME in _written_in(place):
        return "set of templates"
    return ""


def _names_in(folder: Path) -> Iterator[str]:
    """Return everything in a folder that is not itself a folder, links included."""
    for place, folders, names in os.walk(folder):
        here = Path(place)
        for name in [*names, *(name for name in folders if (here / name).is_symlink())]:
            if name not in _LITTER:
                yield (here / name).relative_to(folder).as_posix()


def _regular(path: Path) -> bool:
    try:
        return stat.S_ISREG(path.lstat().st_mode)
    except OSError:
        return False


def _manifest_in(folder: Path) -> Manifest | None:
    path = folder / _MANIFEST
    if not _regular(path) or path.stat().st_size > _LARGEST_MANIFEST:
        return None
    try:
        return Manifest.model_validate_json(path.read_bytes())
    except (ValidationError, OSError):
        return None


def _written_in(folder: Path) -> dict[str, str]:
    """Return name and digest of the files that were written, as far as the folder's list tells."""
    path = folder / CONTENTS
    if not _regular(path):
        return {}
    lines = path.read_text("utf-8", errors="replace").splitlines()
    return {name: digest for digest, _, name in (line.partition("  ") for line in lines) if not digest.startswith("#")}


def _digest_of(path: Path) -> str:
    """Return a file's digest, or nothing where it is no plain file."""
    if not _regular(path):
        return ""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
