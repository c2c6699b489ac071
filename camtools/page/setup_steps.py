"""The steps at the machine: a board in its hold, what runs on it, and how it lies there."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Literal

from camtools.output.cautions import CAUTIONS
from camtools.page.blocks import Beside, Block, Facts, Picture, Span, Step, TextBlock, View
from camtools.page.board_placing import placing_of
from camtools.page.facts import PacketFacts, SetupFacts
from camtools.page.images import Images
from camtools.page.rounds import board_count
from camtools.wording import mm

__all__ = ["SetupSteps"]


@dataclass(slots=True)
class SetupSteps:
    """Makes the steps one after the other, and minds what was already said."""

    facts: PacketFacts
    images: Images
    _told: set[str] = field(default_factory=set)  # holds and kinds of cutter that were cautioned about
    _strips: dict[str, int] = field(default_factory=dict)  # of backing, last used at each stop
    _cutter: int = 0  # in the spindle after the step before; 0: not known

    def step(self, setup: SetupFacts) -> Step:
        """Return the next step."""
        facts, entry = self.facts, setup.entry
        mark = facts.names.mark(entry.board)
        _, words = placing_of(setup.program.text)
        title = facts.names.titles.get(setup.stem, setup.stem.replace("-", " "))
        told: tuple[Block, ...] = (Facts(self._rows(setup, mark)), *([TextBlock(" ".join(words))] if words else []))
        held, motion = self._pictures(setup, mark)
        blocks = [*self._cautions(setup), *([Beside(told, (held,))] if held else told), *([motion] if motion else [])]
        blocks.append(View("motion", setup.stem, "Watch the cutter move", f"Motion of {setup.stem}", motion.key if motion else ""))
        role = facts.boards[entry.board].role
        side: Literal["", "left", "right"] = "left" if role == "left side" else "right" if role == "right side" else ""
        self._cutter = setup.tools[-1]
        return Step(setup.stem, title, tuple(blocks), side, self._boxes(setup))

    def _cautions(self, setup: SetupFacts) -> list[Block]:
        """Return what must be minded where a hold or a kind of cutter comes for the first time."""
        now = {setup.entry.hold, *(self.facts.tool(number).kind for number in setup.tools)} - self._told
        self._told |= now
        return [TextBlock(caution.full, caution.topic, "warning") for caution in CAUTIONS if caution.applies in now]

    def _rows(self, setup: SetupFacts, mark: str) -> tuple[tuple[str, str | Span], ...]:
        facts, entry = self.facts, setup.entry
        count = board_count(facts, setup)
        hold, _ = placing_of(setup.program.text)
        dry = _files([program.file for program in facts.dry.get(setup.stem, ())])
        slid_mm = setup.program.limits.slid if setup.program.limits else 0.0
        beyond = f", {mm(slid_mm)} beyond X zero" if slid_mm else ""
        rows: list[tuple[str, str | Span]] = [
            ("Boards", f"{count} × {mark}"),
            ("Hold", hold or entry.hold),
            ("Stop", f"{entry.stop}{beyond}, zero {entry.work_offset}"),
            *self._backing(setup),
            ("Cutters" if len(setup.tools) > 1 else "Cutter", self._cutters(setup)),
            ("Dry run", dry),
            ("Program", _files([setup.entry.file])),
            ("Time, each", Span(setup.seconds)),
        ]
        return (*rows, ("Time, all", Span(setup.seconds * count))) if count > 1 else tuple(rows)

    def _backing(self, setup: SetupFacts) -> list[tuple[str, str]]:
        """Return what the backing must be: whole where it backs an edge."""
        entry = setup.entry
        if entry.hold != "upright":
            return []
        fresh, self._strips[entry.stop] = entry.backing != self._strips.get(entry.stop), entry.backing
        return [("Backing", "renew or shift the strip: whole wood behind the end" if fresh else "as before at this stop")]

    def _cutters(self, setup: SetupFacts) -> str:
        facts = self.facts
        named = []
        for number in setup.tools:
            tool = facts.tool(number)
            angle = f", {tool.half_angle:g}°" if tool.kind == "dovetail" else ""
            named.append(f"{number} ({tool.kind}, {mm(tool.diameter)}{angle})")
        table = re.search(r"^(N\d+ )?G43 ", setup.program.text, re.MULTILINE)
        put_in = "measured into the machine's table of lengths" if table else "to be put in, Z zero set with it"
        first = "as before" if setup.tools[0] == self._cutter else put_in
        again = "; Z zero set anew after each change" if len(named) > 1 and not table else ""
        return f"{named[0]}, {first}" + "".join(f", then {name}" for name in named[1:]) + again

    def _pictures(self, setup: SetupFacts, mark: str) -> tuple[Picture | None, Picture | None]:
        """Return how the board is held, and how the cutter moves."""
        hold, _ = placing_of(setup.program.text)
        words = f"{mark} in the machine, seen from where you stand: {hold or setup.entry.hold}, {setup.entry.stop} stop"
        held = self.images.find(f"drawings/{setup.stem}-setup.svg", words)
        return held, self.images.find(f"drawings/{setup.stem}.svg", f"{mark}: plan and section of the cutter's motion in {setup.stem}")

    def _boxes(self, setup: SetupFacts) -> tuple[str, ...]:
        """Return a name for each board that the setup is done to, where there are several."""
        if board_count(self.facts, setup) == 1:
            return ()
        boards = self.facts.boards
        found = []
        for name in setup.boards:
            count = boards[name].count
            owner = next((d for d in self.facts.manifest.drawers if name in d.parts.model_dump().values()), None)
            called = self.facts.names.drawer(owner.id) if owner else name
            found += [called] if count == 1 else [f"{called} {i}" for i in range(1, count + 1)]
        return tuple(found)


def _files(names: list[str]) -> str:
    """Return the names of files to run one after the other, and their folder."""
    if not names:
        return "none"
    paths = [PurePosixPath(name) for name in names]
    return f"{', then '.join(path.name for path in paths)}, in {paths[0].parent}"
