"""Reads a packet's folder: the job file with its companions, its two descriptions and its programs, and nothing outside it.

Everything that is wrong with a file becomes a finding; nothing here raises for what a file holds.
"""

from __future__ import annotations

import stat
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from camtools.output.manifest import Limits, Manifest
from camtools.verify.findings import Finding, Log, Subject
from camtools.verify.reader.program_file import read_program
from camtools.verify.written import COMPANIONS, LARGEST_JOB_BYTES, Written, written_in

__all__ = ["LARGEST_PROGRAM_BYTES", "PacketFiles", "read_packet"]

LARGEST_PROGRAM_BYTES = 4_000_000  # some 100,000 moves: days of routing
ROUNDS = "rounds"  # folder of texts that run several programs
_LARGEST_DESCRIPTION_BYTES = 64_000_000
_LONGEST_NAME = 200
Model = TypeVar("Model", bound=BaseModel)


@dataclass(frozen=True, slots=True)
class PacketFiles:
    """What was read. ``manifest``, ``limits`` or ``written`` is None where it could not be."""

    manifest: Manifest | None
    limits: Limits | None
    written: Written | None  # what the maker wrote: the job file
    programs: dict[str, str]  # file -> text, only those that could be read
    findings: tuple[Finding, ...]
    rounds: Mapping[str, str] = field(default_factory=dict)  # the same of texts that run several programs


def read_packet(folder: Path) -> PacketFiles:
    """Read ``job.toml`` and its companions, both descriptions, every program that the manifest names, and texts that run several."""
    if not folder.is_dir():
        return PacketFiles(None, None, None, {}, (Finding.of("packet-missing", "", 0, f"there is no folder {folder.name!r}"),))
    findings: list[Finding] = []
    manifest = _description(folder, "manifest.json", Manifest, findings)
    limits = _description(folder, "limits.json", Limits, findings)
    written = _job(folder, findings)
    names = dict.fromkeys(program.file for program in manifest.programs) if manifest else {}
    named = [file for own in limits.loadings for file in (own.file, own.outline, own.dry)] if limits else []
    named += [own.file for own in limits.rounds] if limits else []
    rounds = dict.fromkeys(file for file in named if file and file not in names)
    texts, round_texts = (_programs(folder, own, findings) for own in (names, rounds))
    for path in sorted((folder / ROUNDS).rglob("*")):
        name = path.relative_to(folder).as_posix()
        if not path.is_dir() and name not in rounds:
            findings.append(Finding.of("round-unjudged", name, 0, "no setup in limits.json names it"))
    return PacketFiles(manifest, limits, written, texts, tuple(findings), round_texts)


def _place_of(folder: Path, name: str) -> Path | Finding:
    """Return where a file of the packet lies, or what is wrong with its name."""
    path = PurePosixPath(name)
    foul = not name.isprintable() or len(name) > _LONGEST_NAME or "\\" in name or ":" in name
    if foul or not path.parts or path.is_absolute() or ".." in path.parts:
        shown = name if len(name) <= _LONGEST_NAME else name[:_LONGEST_NAME] + "..."
        return Finding.of("path-outside", "manifest.json", 0, "this is no name of a file in this packet", Subject("program", shown))
    place = folder
    for part in path.parts:
        place = place / part
        if place.is_symlink():
            text = "this is a link or lies behind one; a packet holds its own files"
            return Finding.of("path-outside", "manifest.json", 0, text, Subject("program", name))
    return place


def _content(folder: Path, name: str, largest: int, findings: list[Finding]) -> bytes | None:
    place = _place_of(folder, name)
    if isinstance(place, Finding):
        findings.append(place)
        return None
    try:
        status = place.stat()
        if stat.S_ISREG(status.st_mode) and status.st_size <= largest:
            return place.read_bytes()
        problem = f"it is no plain file of at most {largest} bytes"
    except OSError as error:
        problem = f"it can not be read: {(error.strerror or 'unknown').lower()}"
    findings.append(Finding.of("job-invalid" if name in COMPANIONS else f"{PurePosixPath(name).stem}-invalid", name, 0, problem))
    return None


def _job(folder: Path, findings: list[Finding]) -> Written | None:
    """Read what the maker wrote. Where a part of it can not be read, nothing is known."""
    names = ["job.toml", *(name for name in COMPANIONS if (folder / name).exists())]
    contents = {name: _content(folder, name, LARGEST_JOB_BYTES, findings) for name in names}
    written = None
    for name, content in contents.items():
        try:
            if content is None or (written is None and name != "job.toml"):
                return None
            written = written_in(content) if written is None else COMPANIONS[name](written, content)
        except ValueError as error:
            what = "job file" if name == "job.toml" else "file of that kind"
            findings.append(Finding.of("job-invalid", name, 0, f"this is no {what}: {error}"))
            return None
    if written and written.sheet and "boards.csv" not in contents:
        findings.append(Finding.of("job-invalid", "boards.csv", 0, "it is missing, and the job file has its boards measured"))
        return None
    return written


def _description(folder: Path, name: str, model: type[Model], findings: list[Finding]) -> Model | None:
    code = f"{name.removesuffix('.json')}-invalid"
    content = _content(folder, name, _LARGEST_DESCRIPTION_BYTES, findings)
    try:
        return None if content is None else model.model_validate_json(content)
    except ValidationError as error:
        log = Log(name)
        for fault in error.errors(include_url=False, include_context=False, include_input=False):
            where = ".".join(str(part) for part in fault["loc"]) or "the whole file"
            log.add(code, 0, f"{where}: {fault['msg']}")
        findings += log.findings()
    return None


def _programs(folder: Path, names: Iterable[str], findings: list[Finding]) -> dict[str, str]:
    texts: dict[str, str] = {}
    for name in names:
        place = _place_of(folder, name)
        if isinstance(place, Finding):
            findings.append(place)
            continue
        text, faults = read_program(place, name, LARGEST_PROGRAM_BYTES)
        findings.extend(faults)
        if text is not None:
            texts[name] = text
    return texts
