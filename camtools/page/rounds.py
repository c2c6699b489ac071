"""Rounds of work: setups that follow each other with the same hold and cutters, and how often hold and cutter change."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise

from camtools.page.facts import PacketFacts, SetupFacts

__all__ = ["Changes", "Round", "changes_of", "pieces_of", "rounds_of"]


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


def pieces_of(facts: PacketFacts, setup: SetupFacts) -> int:
    """Return how many boards a setup is made for."""
    boards = facts.boards
    return sum(boards[name].count for name in setup.boards)


def rounds_of(facts: PacketFacts) -> tuple[Round, ...]:
    """Return the rounds in order of work."""
    grouped = groupby(facts.setups, key=lambda setup: (setup.entry.hold, setup.tools))
    return tuple(Round(hold, tools, tuple(setups)) for (hold, tools), setups in grouped)


def changes_of(facts: PacketFacts, setups: Iterable[SetupFacts]) -> Changes:
    """Count over all boards, each setup done to one board after the other."""
    runs = [setup for setup in setups for _ in range(pieces_of(facts, setup))]
    holds = sum(a.entry.hold != b.entry.hold for a, b in pairwise(runs))
    return Changes(len(runs), holds, sum(a != b for a, b in pairwise(_cutters(runs))))


def _cutters(runs: Iterable[SetupFacts]) -> Iterator[int]:
    for setup in runs:
        yield from setup.tools
