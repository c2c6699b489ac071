"""The steps at the machine: a board in its hold, what runs on it, and how it lies there."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Literal

from camtools.output.cautions import CAUTIONS
from camtools.page.blocks import Beside, Block, Facts, Picture, Span, Step, TextBlock, View
from camtools.page.facts import LoadingFacts, PacketFacts, SetupFacts
from camtools.page.images import Images
from camtools.page.rounds import dry_runs_of
from camtools.wording import mm

__all__ = ["SetupSteps"]


@dataclass(slots=True)
class SetupSteps:
    """Makes the steps one after the other, and minds what was already said."""

    facts: PacketFacts
    images: Images
    _told: set[str] = field(default_factory=set)  # holds and kinds of cutter that were cautioned about
    _strips: dict[str, int] = field(default_factory=dict)  # of backing, last used at each stop
    _queues: dict[str, list[str]] = field(default_factory=dict)  # drawers whose boards a program has still to cut
    _tried: dict[str, str] = field(init=False)  # by whose dry run each program is tried
    _dried: set[str] = field(default_factory=set)  # programs of which it was told
    _cutter: int = 0  # in the spindle after the step before; 0: not known

    def __post_init__(self) -> None:
        self._tried = dry_runs_of(self.facts)

    def step(self, loading: LoadingFacts) -> Step:
        """Return the next step."""
        facts, setups = self.facts, loading.setups
        key = PurePosixPath(loading.file).stem
        boxes, pictures = self._boxes(loading), list[Picture]()
        motions: list[Block] = []
        told: list[Block] = [Facts(self._rows(loading))]
        for setup in setups:
            words = facts.names.place.get(setup.stem, ())
            if words:
                told.append(TextBlock(" ".join(words), f"{setup.entry.stop.capitalize()} stop" if len(setups) > 1 else ""))
            held, motion = self._pictures(setup, facts.names.mark(setup.entry.board))
            pictures += [held] if held else []
            motions += [motion] if motion else []
            label = f"Watch the cutter move{f' at the {setup.entry.stop} stop' if len(setups) > 1 else ''}"
            motions.append(View("motion", setup.stem, label, f"Motion of {setup.stem}", motion.key if motion else ""))
        blocks = [*self._cautions(setups), *([Beside(tuple(told), tuple(pictures))] if pictures else told), *motions]
        self._cutter = setups[-1].tools[-1]
        return Step(key, self._title(setups), tuple(blocks), self._side(setups), boxes)

    def _title(self, setups: Sequence[SetupFacts]) -> str:
        titles = [self.facts.names.titles.get(setup.stem, setup.stem.replace("-", " ")) for setup in setups]
        at = [f", at the {setup.entry.stop} stop" if len(setups) > 1 else "" for setup in setups]
        return "; ".join(map("".join, zip(titles, at, strict=True)))

    def _side(self, setups: Sequence[SetupFacts]) -> Literal["", "left", "right"]:
        """Return which of a pair of boards it is about, where it is about one."""
        role = self.facts.boards[setups[0].entry.board].role if len(setups) == 1 else ""
        return "left" if role == "left side" else "right" if role == "right side" else ""

    def _cautions(self, setups: Sequence[SetupFacts]) -> list[Block]:
        """Return what must be minded where a hold or a kind of cutter comes for the first time."""
        now = {setups[0].entry.hold, *(self.facts.tool(number).kind for number in setups[0].tools)} - self._told
        self._told |= now
        return [TextBlock(caution.full, caution.topic, "warning") for caution in CAUTIONS if caution.applies in now]

    def _rows(self, loading: LoadingFacts) -> tuple[tuple[str, str | Span], ...]:
        facts, setups, times = self.facts, loading.setups, loading.times
        rows: list[tuple[str, str | Span]] = []
        for setup in setups:
            entry = setup.entry
            at = f"{entry.stop.capitalize()} stop" if len(setups) > 1 else ""
            slid_mm = setup.program.limits.slid if setup.program.limits else 0.0
            beyond = f", {mm(slid_mm)} beyond X zero" if slid_mm else ""
            rows += [
                (at or "Boards", f"{times} × {facts.names.mark(entry.board)}{self._pencilled(setup)}"),
                ("Hold", facts.names.held.get(setup.stem, entry.hold)),
                *([("Zero", entry.work_offset)] if at else [("Stop", f"{entry.stop}{beyond}, zero {entry.work_offset}")]),
                *self._backing(setup),
            ]
        if len(setups) > 1 and setups[0].entry.hold == "upright":
            barred = facts.names.machine is not None and facts.names.machine.height_stop
            height = "one height, by the bar" if barred else "about one height, Z zero set on each all the same"
            rows.append(("Height", f"both ends at {height}: the cutter goes from one to the other"))
        rows += [
            ("Cutters" if len(setups[0].tools) > 1 else "Cutter", self._cutters(setups)),
            ("Dry run", self._dry_run(setups)),
            ("Program", _files([loading.file])),
        ]
        if len(setups) > 1:
            rows.append(("One board alone", _files([setup.entry.file for setup in setups]).replace(", then ", " or ")))
        rows.append(("Time, each", Span(loading.seconds)))
        return (*rows, ("Time, all", Span(loading.seconds * times))) if times > 1 else tuple(rows)

    def _dry_run(self, setups: Sequence[SetupFacts]) -> str:
        """Return the dry runs of what was not yet tried, outlines first, and for what was the program that it was tried by."""
        new = [setup.stem for setup in setups if self._tried[setup.stem] == setup.stem and setup.stem not in self._dried]
        files = [own.file for place in (0, 1) for stem in new for own in self.facts.dry.get(stem, ())[place : place + 1]]
        before = dict.fromkeys(self._tried[setup.stem] for setup in setups if setup.stem not in new)
        self._dried |= set(new)
        by = f"by that of {' and '.join(before)}, whose motion covers this one; see the clamps against the picture" if before else ""
        return "; the other ".join(part for part in (_files(files) if files else "", by and f"tried {by}") if part) or "none"

    def _pencilled(self, setup: SetupFacts) -> str:
        """Return the marks of the sheet that stand on the boards, where they were measured."""
        return f": {', '.join(setup.boards)}" if any(joint.planned for joint in self.facts.limits.joints) else ""

    def _backing(self, setup: SetupFacts) -> list[tuple[str, str]]:
        """Return what the backing must be: whole where it backs an edge."""
        entry = setup.entry
        if entry.hold != "upright":
            return []
        fresh, self._strips[entry.stop] = entry.backing != self._strips.get(entry.stop), entry.backing
        return [("Backing", "renew or shift the strip: whole wood behind the end" if fresh else "as before at this stop")]

    def _cutters(self, setups: Sequence[SetupFacts]) -> str:
        facts, setup = self.facts, setups[0]
        named = []
        for number in setup.tools:
            tool = facts.tool(number)
            diameter_mm, angle_deg = facts.names.mark_of(tool)
            angle = f", {angle_deg:g}°" if tool.kind == "dovetail" else ""
            named.append(f"{number} ({tool.kind}, {mm(diameter_mm)}{angle})")
        table = re.search(r"^(N\d+ )?G43 ", setup.program.text, re.MULTILINE)
        put_in = "measured into the machine's table of lengths" if table else "to be put in, Z zero set with it"
        first = "as before" if setup.tools[0] == self._cutter else put_in
        again = "; Z zero set anew after each change" if len(named) > 1 and not table else ""
        return f"{named[0]}, {first}" + "".join(f", then {name}" for name in named[1:]) + again

    def _pictures(self, setup: SetupFacts, mark: str) -> tuple[Picture | None, Picture | None]:
        """Return how the board is held, and how the cutter moves."""
        hold = self.facts.names.held.get(setup.stem, setup.entry.hold)
        words = f"{mark} in the machine, seen from where you stand: {hold}, {setup.entry.stop} stop"
        held = self.images.find(f"drawings/{setup.stem}-setup.svg", words)
        return held, self.images.find(f"drawings/{setup.stem}.svg", f"{mark}: plan and section of the cutter's motion in {setup.stem}")

    def _boxes(self, loading: LoadingFacts) -> tuple[str, ...]:
        """Return a name for each of several set-ups: the drawers whose boards stand there, of two the one at the left stop first."""
        marks = [self.facts.names.mark(setup.entry.board) for setup in loading.setups]
        turned = [mark == marks[0] and place > 0 for place, mark in enumerate(marks)]
        rows = [[self._next_board(*own) for _ in range(loading.times)] for own in zip(loading.setups, turned, strict=True)]
        return tuple(" + ".join(names) for names in zip(*rows, strict=True)) if loading.times > 1 or len(rows) > 1 else ()

    def _next_board(self, setup: SetupFacts, turned: bool) -> str:
        """Return the drawer of the next board that a program cuts.

        Parameters
        ----------
        turned
            The first board comes last: the other end of a board that stands at the left stop is not cut at once.
        """
        if setup.stem not in self._queues:
            names = self._owners(setup)
            self._queues[setup.stem] = names[1:] + names[:1] if turned else names
        return self._queues[setup.stem].pop(0)

    def _owners(self, setup: SetupFacts) -> list[str]:
        """Return the drawer of every board that a program cuts."""
        found: list[str] = []
        for name in setup.boards:
            count = self.facts.boards[name].count
            owner = next((d for d in self.facts.manifest.drawers if name in d.parts.model_dump().values()), None)
            called = self.facts.names.drawer(owner.id) if owner else name
            found += [called] if count == 1 else [f"{called} {i}" for i in range(1, count + 1)]
        return found


def _files(names: list[str]) -> str:
    """Return the names of files to run one after the other, and their folder."""
    if not names:
        return "none"
    paths = [PurePosixPath(name) for name in names]
    return f"{', then '.join(path.name for path in paths)}, in {paths[0].parent}"
