"""Machine times: of boards, drawers and the piece, all sums of what the manifest says of each program."""

from __future__ import annotations

from camtools.output.manifest import DrawerEntry
from camtools.page.facts import PacketFacts
from camtools.page.solids import PARTS

__all__ = ["counted_words", "drawer_seconds", "dry_seconds", "total_seconds"]


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


def counted_words(facts: PacketFacts) -> str:
    """Say what is in the times and what is not."""
    up, change = facts.names.spin_up_s, facts.names.tool_change_s
    known = (
        f", {up:g} s of run-up whenever the spindle starts, and {change:g} s for each change of cutter inside a program"
        if up or change
        else ""
    )
    return (
        f"Machine times are the manifest's: motion with this machine's acceleration{known}. Boards to be placed, changes between "
        "programs and dry runs come on top. Take them as ± 15 %."
    )
