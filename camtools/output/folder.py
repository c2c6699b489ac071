"""Puts a packet into its folder: whole or not at all, and never over anything but an older packet."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import re
import secrets
import shutil
import stat
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path, PurePosixPath

from pydantic import ValidationError

from camtools import templates
from camtools.faults import Fault, PacketFault
from camtools.output.manifest import Manifest

__all__ = ["CONTENTS", "Check", "digest_of", "write_packet", "written_in"]

CONTENTS = "contents.sha256"  # what was written, in the form that `sha256sum --check` reads
Check = Callable[[Path], Mapping[str, bytes]]

_PART = re.compile(r"[a-z0-9][a-z0-9_-]*(?:\.[a-z0-9_-]+)*")
# Names that some systems keep for devices.
_DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{i}" for port in ("com", "lpt") for i in range(10))}
_LONGEST_NAME = 120
_LARGEST_MANIFEST = 256 * 1024 * 1024
_LITTER = {".DS_Store", "Thumbs.db", "desktop.ini"}  # left behind by file managers
_REWRITTEN = {"check.json", "index.html", "index.pdf"}  # made anew from a packet at any time, so no loss
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
        Called with the folder before it gets its name; returns files to add, or raises `PacketFault` to keep it back.

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
        _clear_left(target)
        fresh = target.with_name(f".{target.name}.new-{os.getpid()}-{secrets.token_hex(4)}")
        fresh.mkdir()
        try:
            _fill(fresh, {**files, CONTENTS: _contents(files)})
            added = dict(check(fresh)) if check else {}
            _refuse_names({**files, **added})
            if doubled := sorted(files.keys() & added.keys()):
                raise PacketFault(Fault(", ".join(doubled), "a check adds files to a packet, and may not change one"))
            (fresh / CONTENTS).unlink()
            _fill(fresh, {**added, CONTENTS: _contents({**files, **added})})
            _sync_folders(fresh)
            _publish(fresh, target, kind)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)
        with contextlib.suppress(OSError):  # the packet is in its place by now; this only hastens the disk
            _sync(target.parent)
    except OSError as fault:
        remedy = _REMEDIES.get(errno.errorcode.get(fault.errno or 0, ""), "nothing was changed")
        raise PacketFault(Fault(str(folder), f"could not be written: {fault.strerror or fault}", remedy=remedy)) from fault
    return target


def _clear_left(target: Path) -> None:
    """Take away what killed runs left beside a packet: folders named as above, whose process is gone."""
    named = re.compile(rf"\.{re.escape(target.name)}\.new-([1-9][0-9]*)-[0-9a-f]{{8}}")
    for place in target.parent.iterdir() if os.name == "posix" else ():  # elsewhere asking for a process may end it
        found = named.fullmatch(place.name)
        if found and stat.S_ISDIR(place.lstat().st_mode) and not _runs(int(found[1])):
            shutil.rmtree(place, ignore_errors=True)


def _runs(process: int) -> bool:
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        pass  # it is somebody else's
    return True


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
            file.flush()
            os.fsync(file.fileno())


def _contents(files: Mapping[str, bytes]) -> bytes:
    return "".join(f"{hashlib.sha256(files[name]).hexdigest()}  {name}\n" for name in sorted(files)).encode("ascii")


def _sync(folder: Path) -> None:
    """Have a folder's own entries on the disk, where the system can do that."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _sync_folders(folder: Path) -> None:
    for place, _, _ in os.walk(folder, topdown=False):
        _sync(Path(place))


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
    written = written_in(place)
    own = sorted(name for name in names if name not in written and name not in _REWRITTEN | {CONTENTS})
    kept = _PROGRAMS if kind == "packet" else ""
    changed = sorted(name for name in names if name.startswith(kept) and name in written and digest_of(place / name) != written[name])
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
    told = place / templates.READ_ME
    if _regular(told) and told.read_bytes().startswith(f"{templates.HEADING}\n".encode("ascii")) and templates.READ_ME in written_in(place):
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


def written_in(folder: Path) -> dict[str, str]:
    """Return name and digest of the files that were written, as far as the folder's list tells."""
    path = folder / CONTENTS
    if not _regular(path):
        return {}
    lines = path.read_text("utf-8", errors="replace").splitlines()
    return {name: digest for digest, _, name in (line.partition("  ") for line in lines) if not digest.startswith("#")}


def digest_of(path: Path) -> str:
    """Return a file's digest, or nothing where it is no plain file."""
    if not _regular(path):
        return ""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
