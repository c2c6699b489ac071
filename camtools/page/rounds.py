"""Rounds of work: set-ups in a row with the same hold and cutters; what handling they ask for, and how long the machine takes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby

from camtools.output.manifest import DrawerEntry
from camtools.page.facts import LoadingFacts, PacketFacts, SetupFacts
from camtools.page.solids import PARTS
from camtools.toolpath.handling.minutes import Handled, Seat, handled

__all__ = ["Round", "drawer_seconds", "dry_seconds", "handled_in", "handling_seconds", "rounds_of", "time_words", "total_seconds"]


@dataclass(frozen=True, slots=True)
class Round:
    """Set-ups in a row with one hold and the same cutters."""

    hold: str
    tools: tuple[int, ...]
    loadings: tuple[LoadingFacts, ...]

    def heading(self, facts: PacketFacts) -> str:
        """Return what the round is called."""
        cutters = ", then ".join(f"cutter {number} ({facts.tool(number).kind})" for number in self.tools)
        return f"{self.hold.capitalize()} hold, {cutters}"

    @property
    def seconds(self) -> float:
        """Machine time of all its set-ups."""
        return sum(loading.seconds * loading.times for loading in self.loadings)


def rounds_of(facts: PacketFacts) -> tuple[Round, ...]:
    """Return the rounds in order of work."""
    grouped = groupby(facts.loadings, key=lambda loading: (loading.setups[0].entry.hold, loading.setups[0].tools))
    return tuple(Round(hold, tools, tuple(loadings)) for (hold, tools), loadings in grouped)


def handled_in(facts: PacketFacts, loadings: Iterable[LoadingFacts]) -> Handled:
    """Count what hands do for set-ups, done one after the other."""
    boards = facts.boards

    def seats(setup: SetupFacts) -> Iterator[Seat]:
        for number in setup.tools:
            yield Seat(setup.entry.hold, setup.entry.work_offset, boards[setup.entry.board].size[2], number)

    return handled(([seat for own in loading.setups for seat in seats(own)], loading.times) for loading in loadings)


def handling_seconds(facts: PacketFacts, done: Handled) -> float | None:
    """Return what handling takes by the plan's minutes, or None where there is no plan."""
    machine = facts.names.machine
    return None if machine is None else 60 * done.minutes(machine.handling, machine.tool_change_s)


def drawer_seconds(facts: PacketFacts, drawer: DrawerEntry) -> float:
    """Return the machine time of one drawer."""
    boards = [getattr(drawer.parts, part) for part in PARTS]
    return sum(entry.seconds for entry in facts.manifest.programs if entry.kind == "cut" for board in boards if board == entry.board)


def total_seconds(facts: PacketFacts) -> float:
    """Return the machine time of the whole piece."""
    return sum(loading.seconds * loading.times for loading in facts.loadings)


def dry_seconds(facts: PacketFacts) -> float:
    """Return what it takes to run every outline and dry run once."""
    return sum(entry.seconds for entries in facts.dry.values() for entry in entries)


def time_words(facts: PacketFacts) -> str:
    """Say what is in the times, which are what the packet says of each program, and what is not."""
    known, machine = "", facts.names.machine
    if machine:
        known = f" and {machine.spin_up_s:g} s of run-up whenever the spindle starts"
    return (
        f"Machine times are the packet's: motion with this machine's acceleration{known}. Handling and dry runs come on top. "
        "Take them as ± 15 %."
    )
