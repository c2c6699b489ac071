"""What handling comes to: setups, boards placed, zeros set and changes, counted and in minutes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from camtools.toolpath.handling.loadings import Loading

__all__ = ["Handled", "MinutesEach", "Seat", "handled", "seats_of"]


class MinutesEach(Protocol):
    """Minutes that each part of handling takes, such as `camtools.job.job.Handling`."""

    @property
    def setup_min(self) -> float: ...
    @property
    def board_min(self) -> float: ...
    @property
    def zero_min(self) -> float: ...
    @property
    def hold_min(self) -> float: ...


class Seat(NamedTuple):
    """A board at its stop, as far as handling depends on it."""

    hold: str
    work_offset: str
    height_mm: float | None  # of its upper face or end over what it stands on; None: it stands as high as it is clamped
    cutter: int
    boards: int = 1  # that stand there, one behind the other


@dataclass(frozen=True, slots=True)
class Handled:
    """How often hands do what."""

    setups: int = 0
    boards: int = 0  # placed
    zeros: int = 0  # Z zeros set
    holds: int = 0  # changes of hold
    cutters: int = 0  # changes of cutter

    def minutes(self, each: MinutesEach, tool_change_s: float) -> float:
        """Return the minutes of it all."""
        own = self.setups * each.setup_min + self.boards * each.board_min + self.zeros * each.zero_min + self.holds * each.hold_min
        return own + self.cutters * tool_change_s / 60


def handled(setups: Iterable[tuple[Sequence[Seat], int]]) -> Handled:
    """Count over setups in the order of work, each with its boards and how often it comes.

    Z zero is set on every board that stands as high as it is clamped, on others where another height comes to a stop, and anew with
    every cutter.
    """
    number = boards = zeros = holds = cutters = 0
    hold, cutter = "", 0
    zero_of: dict[str, tuple[str, float]] = {}
    for seats, times in setups:
        number, boards = number + times, boards + times * sum(seat.boards for seat in seats)
        if hold and seats[0].hold != hold:
            holds += 1
        if cutter and seats[0].cutter != cutter:
            cutters += 1
            zero_of.clear()
        hold, cutter = seats[0].hold, seats[0].cutter
        for seat in seats:
            if seat.height_mm is None:
                zeros += times
                zero_of.pop(seat.work_offset, None)
            elif zero_of.get(seat.work_offset) != (seat.hold, seat.height_mm):
                zeros += 1
                zero_of[seat.work_offset] = seat.hold, seat.height_mm
    return Handled(number, boards, zeros, holds, cutters)


def seats_of(loading: Loading) -> tuple[tuple[Seat, ...], int]:
    """Return the boards of a setup, and how often it comes."""
    seats = []
    for program in loading.programs:
        setup = program.setup
        height = setup.piece.size_mm[2] if setup.hold == "flat" else 0.0 if setup.levelled else None
        seats.append(Seat(setup.hold, setup.work_offset, height, program.cutter.number, program.stacked))
    return tuple(seats), loading.times
