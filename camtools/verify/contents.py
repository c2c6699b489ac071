"""Compares a packet's folder with its list of contents: what was edited since, what is gone or new, and what is older than its program.

A line that begins with ``#`` tells of what ``index.html`` and ``check.json`` were last made from, where that is not what was written first.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

from camtools.verify.findings import LIMIT_OF_A_KIND, Finding
from camtools.verify.written import COMPANIONS

__all__ = ["compared_contents"]

_LIST = "contents.sha256"
_LINE = re.compile(r"(# )?([0-9a-f]{64})  (.+)")
_LARGEST_LIST = 16_000_000
_PAGE = "index.html"
_PAGE_OF = re.compile(rf"({'|'.join(map(re.escape, ('job.toml', *COMPANIONS)))}|(manifest|limits|plan)\.json)$|programs/")
_LITTER = {".DS_Store", "Thumbs.db", "desktop.ini", "index.pdf"}  # left behind by file managers, or made at the maker's wish


def compared_contents(folder: Path) -> tuple[list[Finding], frozenset[str]]:
    """Return a note on everything in a packet that is not as it was written, and every file that was edited.

    Only plain files in the folder are read.
    """
    listed, page_of = _listed(folder / _LIST)
    if not listed:
        text = "there is no list of what was written, so what was edited since can not be told"
        return [Finding.of("contents-missing", _LIST, 0, text)], frozenset()
    present = {name: path for name, path in _files_in(folder) if name != _LIST}
    digests = {name: _digest(path) for name, path in present.items() if name in listed}
    edited = sorted(name for name, digest in digests.items() if digest != listed[name])
    changed = [name for name in sorted(digests) if _PAGE_OF.match(name) and digests[name] != page_of.get(name, listed[name])]
    more = f" and {len(changed) - 5} more" if len(changed) > 5 else ""
    page = f"the page was made before {', '.join(changed[:5])}{more} was edited: `camtools page` makes it anew"
    older = {name: ", ".join(_drawn_from(name, digests.keys() - edited)) for name in edited}
    told = {
        "file-edited": dict.fromkeys(edited, "it was edited since the packet was written"),
        "file-missing": dict.fromkeys(sorted(listed.keys() - present.keys()), "it was written into the packet and is gone"),
        "file-unlisted": dict.fromkeys(sorted(present.keys() - listed.keys()), "it was not written with the packet"),
        "drawing-stale": {
            name: f"{drawn} still show it as it was before: watch the cut itself, or write the packet anew"
            for name, drawn in older.items()
            if drawn
        },
        "page-stale": {_PAGE: page} if changed and _PAGE in present else {},
    }
    findings = []
    for code, texts in told.items():
        findings += [Finding.of(code, name, 0, text) for name, text in list(texts.items())[:LIMIT_OF_A_KIND]]
        if len(texts) > LIMIT_OF_A_KIND:
            findings.append(Finding.of(code, _LIST, 0, f"and {len(texts) - LIMIT_OF_A_KIND} files more like this"))
    return findings, frozenset(edited)


def _listed(place: Path) -> tuple[dict[str, str], dict[str, str]]:
    """Return the digests of what was written, and of what the page was made from where that was edited by then."""
    written: dict[str, str] = {}
    page_of: dict[str, str] = {}
    if place.is_file() and not place.is_symlink() and place.stat().st_size <= _LARGEST_LIST:
        for line in place.read_text("utf-8", errors="replace").splitlines():
            if found := _LINE.fullmatch(line):
                (page_of if found[1] else written)[found[3]] = found[2]
    return written, page_of


def _files_in(folder: Path) -> Iterator[tuple[str, Path]]:
    for place, _, names in os.walk(folder):
        for name in names:
            path = Path(place) / name
            if name not in _LITTER and path.is_file() and not path.is_symlink():
                yield path.relative_to(folder).as_posix(), path


def _digest(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def _drawn_from(program: str, names: set[str]) -> list[str]:
    """Return the pictures and dry runs of a program."""
    if PurePosixPath(program).parent.name not in ("programs", "rounds"):
        return []
    stem = PurePosixPath(program).stem
    number, _, words = stem.partition("-")
    drawn = {("drawings", stem), ("dry", f"{number}-dry-{words}"), ("dry", f"{number}-outline-{words}")}
    return [name for name in sorted(names) for path in (PurePosixPath(name),) if (path.parent.name, path.stem) in drawn]
