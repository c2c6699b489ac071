"""Rounds of work: setups in a row with the same hold and cutters; what handling they ask for, and how long the machine takes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from camtools.output.manifest import DrawerEntry
from camtools.page.facts import LoadingFacts, PacketFacts, SetupFacts
from camtools.page.solids import PARTS
from camtools.toolpath.handling.loadings import in_rounds
from camtools.toolpath.handling.minutes import Handled, Seat, handled

__all__ = [
    "Round",
    "drawer_seconds",
    "dry_runs_of",
    "dry_seconds",
    "handled_in",
    "handling_seconds",
    "rounds_of",
    "time_words",
    "total_seconds",
]

_NEAR_MM = 1.0  # by which a motion may go beyond what was run dry
_Reach = tuple[tuple[float, float], ...]  # least and greatest X, and Y


@dataclass(frozen=True, slots=True)
class Round:
    """Setups in a row with one hold and the same cutters."""

    hold: str
    tools: tuple[int, ...]
    loadings: tuple[LoadingFacts, ...]

    def heading(self, facts: PacketFacts) -> str:
        """Return what the round is called."""
        cutters = ", then ".join(f"cutter {number} ({facts.tool(number).kind})" for number in self.tools)
        return f"{self.hold.capitalize()} hold, {cutters}"

    @property
    def seconds(self) -> float:
        """Machine time of all its setups."""
        return sum(loading.seconds * loading.times for loading in self.loadings)


def rounds_of(facts: PacketFacts) -> tuple[Round, ...]:
    """Return the rounds in order of work."""
    return tuple(Round(*loadings[0].group, loadings) for loadings in in_rounds(facts.loadings))


def handled_in(facts: PacketFacts, loadings: Iterable[LoadingFacts]) -> Handled:
    """Count what hands do for setups, done one after the other."""
    boards, machine = facts.boards, facts.names.machine
    level = 0.0 if machine and machine.height_stop else None

    def seats(loading: LoadingFacts) -> Iterator[Seat]:
        for setup, stacked in zip(loading.setups, loading.stacked, strict=True):
            for number in setup.tools:
                height = boards[setup.entry.board].size[2] if setup.entry.hold == "flat" else level
                yield Seat(setup.entry.hold, setup.entry.work_offset, height, number, stacked)

    return handled(([*seats(loading)], loading.times) for loading in loadings)


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


def dry_runs_of(facts: PacketFacts) -> dict[str, str]:
    """Return by whose dry run each setup is tried, by the files that are run for them.

    It is its own, or that of one before it in the same hold, at the same stops, with the same cutter and on boards of the same size,
    that goes wherever it goes.
    """
    found: dict[str, str] = {}
    tried: list[tuple[dict[tuple[object, int], _Reach], str]] = []
    for loading in facts.loadings:
        stands = zip(loading.setups, loading.stacked, strict=True)
        own = {(_seat_of(facts, setup), stacked): _reach_of(setup) for setup, stacked in stands}
        by = next((file for run, file in tried if all(seat in run and _goes_there(run[seat], own[seat]) for seat in own)), loading.file)
        if found.setdefault(loading.file, by) == loading.file:
            tried.append((own, loading.file))
    return found


def _seat_of(facts: PacketFacts, setup: SetupFacts) -> object:
    """Return what boards have in common that one dry run may try."""
    entry, size = setup.entry, facts.boards[setup.entry.board].size
    along = size[0] if setup.is_groove else size[1]
    slid = setup.program.limits.slid if setup.program.limits else 0.0
    return entry.hold, entry.stop, slid, entry.work_offset, setup.tools, setup.is_groove, round(along, 2), round(size[2], 2)


def _goes_there(run: _Reach, own: _Reach) -> bool:
    """Tell whether what was run dry goes wherever another motion goes."""
    return all(low - _NEAR_MM <= first and last <= high + _NEAR_MM for (low, high), (first, last) in zip(run, own, strict=True))


def _reach_of(setup: SetupFacts) -> _Reach:
    """Return the least and the greatest X and Y of a program's motions."""
    ends = [motion.end for motion in setup.program.run.motions if not motion.blind]
    axes = list(zip(*ends, strict=True))[:2] or [(0.0,), (0.0,)]
    return tuple((min(axis), max(axis)) for axis in axes)


def dry_seconds(facts: PacketFacts) -> float:
    """Return what the outlines and dry runs take that have to be run, each once."""
    seconds = {loading.file: loading.dry_seconds for loading in facts.loadings}
    return sum(seconds[file] for file, by in dry_runs_of(facts).items() if file == by)


def time_words(facts: PacketFacts) -> str:
    """Say what is in the times, which are what the packet says of each program, and what is not."""
    known, machine = "", facts.names.machine
    if machine:
        known = f" and {machine.spin_up_s:g} s of run-up whenever the spindle starts"
    return (
        f"Machine times are the packet's: motion with this machine's acceleration{known}. Handling and dry runs come on top. "
        "Take them as ± 15 %."
    )
