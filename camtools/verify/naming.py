"""What a maker calls what findings are about: drawers by the job file's names, boards by their drawer, programs by their boards."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from camtools.output.manifest import Manifest
from camtools.verify.findings import Finding
from camtools.verify.fit.corner import joint_worked
from camtools.verify.lookups import Packet
from camtools.verify.rules.placings import end_worked
from camtools.verify.written import WrittenDrawer

__all__ = ["Naming"]


class Naming:
    """Knows the names of one packet."""

    def __init__(self, manifest: Manifest, index: Packet, wishes: Mapping[str, WrittenDrawer]) -> None:
        self._words: dict[str, str] = {}
        self._about: dict[str, dict[tuple[str, str], None]] = {}
        parts: dict[str, list[tuple[str, str]]] = {}  # board -> drawer and part
        for drawer in manifest.drawers:
            wish = wishes.get(drawer.id)
            self._words[drawer.id] = wish.words if wish else f"drawer {drawer.id!a}"
            self._about[drawer.id] = {(drawer.id, ""): None}
            for part, board in drawer.parts:
                parts.setdefault(board, []).append((drawer.id, part))
        for board, places in parts.items():
            role = index.boards[board].role if board in index.boards else places[0][1]
            self._words[board] = f"{role} of {self._words[places[0][0]]}"
        files: dict[str, list[str]] = {}
        for program in manifest.programs:
            if program.board in parts:
                files.setdefault(program.file, []).append(program.board)
                pairs = {(drawer, joint_worked(part, end_worked(program))): None for drawer, part in parts[program.board]}
                for name in (program.file, program.board):
                    self._about.setdefault(name, {}).update(pairs)
        for file, boards in files.items():
            more = len(set(boards)) - 1
            self._words[file] = self._words[boards[0]] + (f" and {more} more" if more else "")

    def named(self, finding: Finding) -> Finding:
        """Say what a finding is about, where that is not said yet."""
        if finding.where:
            return finding
        if finding.about:
            drawer, joint = finding.about[0]
            return replace(finding, where=f"{joint} of {self._words[drawer]}" if joint else self._words[drawer])
        names = [finding.file, *re.findall(r"'([^']*)'", finding.text)]
        name = next((name for name in names if name in self._words), "")
        return replace(finding, where=self._words.get(name, ""), about=tuple(self._about.get(name, ())))
