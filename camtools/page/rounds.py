"""Rounds of work: setups in a row with the same hold and cutters; how often these change, and how long the machine takes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise

from camtools.output.manifest import DrawerEntry
from camtools.page.facts import PacketFacts, SetupFacts
from camtools.page.solids import PARTS

__all__ = ["Changes", "Round", "board_count", "changes_of", "drawer_seconds", "dry_seconds", "rounds_of", "time_words", "total_seconds"]


@dataclass(frozen=True, slots=True)
class Round:
    """Setups in a row with one hold and the same cutters."""

    hold: str
    tools: tuple[int, ...]
    setups: tuple[SetupFacts, ...]

    def heading(self, facts: PacketFacts) -> str:
        """Return what the round is called."""
        cutters = ", then ".join(f"cutter {number} ({facts.tool(number).kind})" for number in self.tools)
        return f"{self.hold.capitalize()} hold, {cutters}"


@dataclass(frozen=True, slots=True)
class Changes:
    """How often a board is placed, and how often hold and cutter change on the way."""

    placings: int
    holds: int
    cutters: int


def board_count(facts: PacketFacts, setup: SetupFacts) -> int:
    """Return how many boards a setup is made for."""
    boards = facts.boards
    return sum(boards[name].count for name in setup.boards)


def rounds_of(facts: PacketFacts) -> tuple[Round, ...]:
    """Return the rounds in order of work."""
    grouped = groupby(facts.setups, key=lambda setup: (setup.entry.hold, setup.tools))
    return tuple(Round(hold, tools, tuple(setups)) for (hold, tools), setups in grouped)


def changes_of(facts: PacketFacts, setups: Iterable[SetupFacts]) -> Changes:
    """Count over all boards, each setup done to one board after the other."""
    runs = [setup for setup in setups for _ in range(board_count(facts, setup))]
    holds = sum(a.entry.hold != b.entry.hold for a, b in pairwise(runs))
    return Changes(len(runs), holds, sum(a != b for a, b in pairwise(_cutters(runs))))


def _cutters(runs: Iterable[SetupFacts]) -> Iterator[int]:
    for setup in runs:
        yield from setup.tools


def drawer_seconds(facts: PacketFacts, drawer: DrawerEntry) -> float:
    """Return the machine time of one drawer."""
    boards = [getattr(drawer.parts, part) for part in PARTS]
    return sum(entry.seconds for entry in facts.manifest.programs if entry.kind == "cut" for board in boards if board == entry.board)


def total_seconds(facts: PacketFacts) -> float:
    """Return the machine time of the whole piece."""
    return sum(drawer_seconds(facts, drawer) * drawer.count for drawer in facts.manifest.drawers)


def dry_seconds(facts: PacketFacts) -> float:
    """Return what it takes to run every outline and dry run once."""
    return sum(entry.seconds for entries in facts.dry.values() for entry in entries)


def time_words(facts: PacketFacts) -> str:
    """Say what is in the times, which are what the manifest says of each program, and what is not."""
    known, change, machine = "", "", facts.names.machine
    if machine:
        known = f" and {machine.spin_up_s:g} s of run-up whenever the spindle starts"
        change = f", of {machine.tool_change_s:g} s each,"
    return (
        f"Machine times are the manifest's: motion with this machine's acceleration{known}. Boards to be placed, changes of cutter{change} "
        "and dry runs come on top. Take them as ± 15 %."
    )
