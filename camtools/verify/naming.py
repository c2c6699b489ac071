"""What a maker calls what findings concern: drawers by the job file's names, boards by their drawer, programs by their boards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from camtools.output.manifest import Manifest
from camtools.verify.findings import Finding, Subject
from camtools.verify.fit.corner import joint_worked
from camtools.verify.lookups import end_worked
from camtools.verify.written import WrittenDrawer

__all__ = ["Naming"]


class Naming:
    """Knows the names of one packet; of one without a manifest, none."""

    def __init__(self, manifest: Manifest | None, wishes: Mapping[str, WrittenDrawer]) -> None:
        self._words: dict[Subject, str] = {}
        self._about: dict[Subject, dict[tuple[str, str], None]] = {}
        parts: dict[str, list[tuple[str, str]]] = {}  # board -> drawer and part
        roles = {board.id: board.role for board in manifest.boards} if manifest else {}
        for drawer in manifest.drawers if manifest else ():
            wish = wishes.get(drawer.id)
            self._words[Subject("drawer", drawer.id)] = words = wish.words if wish else f"drawer {drawer.id!a}"
            for part, board in drawer.parts:
                parts.setdefault(board, []).append((drawer.id, part))
                self._words.setdefault(Subject("board", board), f"{roles.get(board, part)} of {words}")
        for program in manifest.programs if manifest else ():
            if program.board in parts:
                pairs = {(drawer, joint_worked(part, end_worked(program))): None for drawer, part in parts[program.board]}
                board, own = Subject("board", program.board), Subject("program", program.file)
                self._words.setdefault(own, self._words[board])
                for subject in (board, own):
                    self._about.setdefault(subject, {}).update(pairs)

    def named(self, finding: Finding) -> Finding:
        """Say what a finding concerns, and which drawers it touches. Another program than its own file is called by its file."""
        own = finding.subject or Subject("program", finding.file)
        if own.kind == "drawer":
            words = self._words[Subject("drawer", own.name)]
            return replace(finding, where=f"{own.joint} of {words}" if own.joint else words, about=((own.name, own.joint),))
        if own.kind == "cutter":
            words = f"cutter {own.name}"
        elif own.kind == "program" and own.name != finding.file:
            words = own.name if own.name.isprintable() else ascii(own.name)
        else:
            words = self._words.get(own, f"board {own.name!a}" if own.kind == "board" else "")
        return replace(finding, where=words, about=tuple(self._about.get(own, ())))
