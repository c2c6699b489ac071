"""What the page tells, read back from the packet's files and from nothing else."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from camtools.faults import Fault, PacketFault
from camtools.output.manifest import Limits, Manifest, ProgramEntry, ProgramLimits, ToolEntry
from camtools.verify.interpreter import run
from camtools.verify.motion import Run
from camtools.verify.packet import read_packet

__all__ = ["PacketFacts", "ProgramFacts", "read_facts"]

_LARGEST_BYTES = 64_000_000


@dataclass(frozen=True, slots=True)
class ProgramFacts:
    """A program file, run, with the boards that it cuts."""

    entry: ProgramEntry  # of its first board
    boards: tuple[str, ...]
    limits: ProgramLimits | None
    text: str
    run: Run

    @property
    def stem(self) -> str:
        return Path(self.entry.file).stem


@dataclass(frozen=True, slots=True)
class PacketFacts:
    """A packet, read. ``plan`` and ``check`` are plain data, empty where the packet has no such file."""

    folder: Path
    manifest: Manifest
    limits: Limits
    programs: tuple[ProgramFacts, ...]  # that cut, in order
    dry: tuple[ProgramEntry, ...]
    plan: dict[str, Any]
    check: dict[str, Any]

    def tool(self, number: int) -> ToolEntry:
        """Return the cutter of this number."""
        return next(tool for tool in self.manifest.tools if tool.number == number)


def _plain(folder: Path, name: str) -> dict[str, Any]:
    path = folder / name
    if not path.is_file() or path.is_symlink() or path.stat().st_size > _LARGEST_BYTES:
        return {}
    try:
        content = json.loads(path.read_bytes())
    except ValueError:
        return {}
    return content if isinstance(content, dict) else {}


def read_facts(folder: Path) -> PacketFacts:
    """Read a packet.

    Raises
    ------
    PacketFault
        Where its manifest, its limits or a program can not be read.
    """
    files = read_packet(folder)
    if files.manifest is None or files.limits is None or files.findings:
        faults = [Fault(finding.file or folder.name, finding.text) for finding in files.findings]
        raise PacketFault(*faults or [Fault(folder.name, "this is no packet")])
    around = {entry.file: entry for entry in files.limits.programs}
    entries: dict[str, list[ProgramEntry]] = {}
    for entry in sorted(files.manifest.programs, key=lambda entry: entry.order):
        if entry.kind == "cut":
            entries.setdefault(entry.file, []).append(entry)
    return PacketFacts(
        folder=folder,
        manifest=files.manifest,
        limits=files.limits,
        programs=tuple(
            ProgramFacts(
                entry=same[0],
                boards=tuple(entry.board for entry in same),
                limits=around.get(file),
                text=files.programs[file],
                run=run(files.programs[file], file),
            )
            for file, same in entries.items()
        ),
        dry=tuple(entry for entry in files.manifest.programs if entry.kind != "cut"),
        plan=_plain(folder, "plan.json"),
        check=_plain(folder, "check.json"),
    )
