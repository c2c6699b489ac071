"""Setups: the boards that stand on the machine at once, one at each stop of a hold. docs/joinery.md section 3."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import groupby
from typing import Protocol, TypeVar

from camtools.drawer.boards import Drawer
from camtools.drawer.trial.trial_boards import TrialSet
from camtools.geometry.frames import box_of
from camtools.job.job import Machine
from camtools.toolpath.handling.stacks import stacks_of
from camtools.toolpath.moves import Program, Setting
from camtools.toolpath.work_order import group_of

__all__ = ["Loading", "apart", "board_counts", "in_rounds", "level_mm", "loadings_of", "over_mm", "stops_apart_mm"]

_BOARDS_MM = 10.0  # between two boards, for fingers and chips; common practice, no source
_MOST_TURNS = 4  # of the order at the right stop, that are tried
_BODY_MM = 5.0  # between what turns and the other board; common practice, no source

_ROUNDING_MM = 1e-6

_Lot = Sequence[tuple[Program, int]]  # programs of one stop, and for how many boards each is, or stacks


@dataclass(frozen=True, slots=True)
class Loading:
    """Boards that stand on the machine at once, and how often such boards come."""

    programs: tuple[Program, ...]  # in order: one, or two of which the first is at the left stop
    times: int

    @property
    def group(self) -> tuple[str, int]:
        """Return its hold and cutter."""
        return group_of(self.programs[0])

    def seconds(self, each: Iterable[float], machine: Machine, *, dry: bool = False) -> float:
        """Return its machine time: that of its programs, with the way between the stops and, unless it is dry, one start of the spindle."""
        more = len(self.programs) - 1
        way_mm = stops_apart_mm(self.programs[0], machine) or 0.0
        return sum(each) + more * (way_mm / machine.rapid_mm_min * 60 - (0.0 if dry else machine.spin_up_s))


class _Grouped(Protocol):
    @property
    def group(self) -> object: ...


_Set = TypeVar("_Set", bound=_Grouped)


def in_rounds(loadings: Iterable[_Set]) -> Iterator[tuple[_Set, ...]]:
    """Yield setups in rounds: those in a row with one hold and cutter."""
    for _, own in groupby(loadings, lambda loading: loading.group):
        yield tuple(own)


def board_counts(owners: Iterable[Drawer | TrialSet]) -> dict[str, int]:
    """Return how many boards there are of each id."""
    return {board.id: board.count for owner in owners for board in owner.boards}


def loadings_of(programs: Sequence[Program], counts: Mapping[str, int], machine: Machine) -> tuple[Loading, ...]:
    """Return every setup in the order of work: as many with two boards as can be, each board once for each of its programs.

    Parameters
    ----------
    programs
        In the order of work, their work offsets given.
    counts
        How many boards there are of each id.
    """
    found: list[Loading] = []
    for _, own in groupby(programs, group_of):
        lots: dict[object, list[Program]] = {}
        for program in own:
            lots.setdefault(_lot_of(program), []).append(program)
        stood: dict[str, float] = {}
        for lot in lots.values():
            stacked = [own for program in lot for own in stacks_of(program, _number(program, counts), machine)]
            found += _fewest_zeros(list(_loaded(stacked, counts, machine)), stood)
    return tuple(found)


def _fewest_zeros(loadings: Sequence[Loading], stood: dict[str, float]) -> Sequence[Loading]:
    """Return setups of one lot, those of boards lying flat in an order that needs fewer zeros of Z, if there is one.

    Parameters
    ----------
    stood
        How thick the board is for which each work offset was set; this is brought up to date.
    """
    if loadings[0].programs[0].setup.hold != "flat":
        return loadings
    rest: dict[tuple[tuple[str, float], ...], list[Loading]] = {}
    for loading in loadings:
        rest.setdefault(_thicknesses(loading), []).append(loading)
    found: list[Loading] = []
    standing = dict(stood)
    while rest:  # next come those that need fewest
        key = min(rest, key=lambda own: len({*own} - standing.items()))
        standing.update(key)
        found += rest.pop(key)
    best = min((loadings, found), key=lambda order: _zeros(order, stood))
    for loading in best:
        stood.update(_thicknesses(loading))
    return best


def _thicknesses(loading: Loading) -> tuple[tuple[str, float], ...]:
    """Return the work offset of each board with its thickness."""
    return tuple((program.setup.work_offset, program.setup.piece.size_mm[2]) for program in loading.programs)


def _zeros(loadings: Iterable[Loading], stood: Mapping[str, float]) -> int:
    """Count the zeros of Z that flat boards need, one after the other."""
    standing, zeros = dict(stood), 0
    for own in map(_thicknesses, loadings):
        zeros += len({*own} - standing.items())
        standing.update(own)
    return zeros


def apart(programs: Sequence[Program], counts: Mapping[str, int]) -> list[Program]:
    """Turn the order at the right stop of boards that are made once: both ends of one board can not be cut at once.

    They are turned by as little as brings another board opposite each, as far as may be.
    """
    found: list[Program] = []
    for _, own in groupby(programs, group_of):
        row = list(own)
        for lot in dict.fromkeys(map(_lot_of, row)):
            sides = [[p for p in row if p.setup.stop == stop and _lot_of(p) == lot] for stop in ("left", "right")]
            left, right = ([(program, _number(program, counts)) for program in side] for side in sides)
            once = [place for place, (_, number) in enumerate(right) if number == 1]
            turns = [_turned(right, once, by) for by in range(min(max(len(once), 1), _MOST_TURNS))]
            turned = min(turns, key=lambda side: _clashes(left, side, counts))
            own_ids = {id(program) for program, _ in right}
            places = [place for place, program in enumerate(row) if id(program) in own_ids]
            for place, (program, _) in zip(places, turned, strict=True):
                row[place] = program
        found += row
    return found


def _turned(side: _Lot, places: Sequence[int], by: int) -> _Lot:
    """Return a side with what stands at some places moved on along them."""
    found = list(side)
    for i, place in enumerate(places):
        found[place] = side[places[(i + by) % len(places)]]
    return found


def _clashes(left: _Lot, right: _Lot, counts: Mapping[str, int]) -> int:
    """Count where a board that is made once would stand opposite itself."""
    most = min(sum(number for _, number in side) for side in (left, right))
    return sum(_same_board(a, b, _number(a, counts)) for a, b, _ in _opposite(left, right, most))


def over_mm(program: Program, programs: Sequence[Program]) -> float:
    """Return by how much a board that lies flat is thinner than the thickest of its setup, which lies on the same bed."""
    thick = [own.setup.piece.size_mm[2] for own in programs]
    return max(thick) - program.setup.piece.size_mm[2] if program.setup.hold == "flat" else 0.0


def level_mm(clearance_mm: float, retract_mm: float) -> float:
    """Return within how much the ends of two upright boards must be at one height: the cutter goes from one to the other at retract."""
    return min(clearance_mm, retract_mm / 2)


def stops_apart_mm(program: Program, machine: Machine) -> float | None:
    """Return how far the right stop of a program's hold stands from the left one, or None where that is not known."""
    stops = machine.upright_stops_mm if program.setup.hold == "upright" else machine.flat_stops_mm
    return None if stops is None else stops[1] - stops[0]


def _lot_of(program: Program) -> tuple[bool, bool, Setting]:
    """Return what programs of one hold and cutter must have in common to be run on two boards at once."""
    setup = program.setup
    return setup.end == "groove", setup.sheet_mm > 0, setup.setting  # on a waste sheet a board lies higher


def _same_board(a: Program, b: Program, number: int) -> bool:
    """Tell whether two programs cut one and the same board, of which there are so many."""
    return number == 1 and a.boards == b.boards


def _number(program: Program, counts: Mapping[str, int]) -> int:
    return sum(counts[board] for board in program.boards)


def _loaded(lot: _Lot, counts: Mapping[str, int], machine: Machine) -> Iterator[Loading]:
    """Yield the setups of programs that may stand at both stops, boards in their order at each stop."""
    left, right = ([own for own in lot if own[0].setup.stop == stop] for stop in ("left", "right"))
    apart_mm = stops_apart_mm(lot[0][0], machine)
    pairs = 0
    if machine.two_at_once and apart_mm is not None and lot[0][0].setup.setting.total == 1:  # a board that is slid stands alone
        fit = partial(_fit, apart_mm=apart_mm, machine=machine)
        most = min(sum(number for _, number in side) for side in (left, right))
        if all(fit(a, b) for a in _furthest(left) for b in _furthest(right)):
            pairs = most
        else:  # the widest with the narrowest; those that find no other are the widest
            left, right = sorted(left, key=lambda own: -_inwards(own[0])), sorted(right, key=lambda own: _inwards(own[0]))
            low = 0
            while low < most:
                pairs = (low + most + 1) // 2
                low, most = (pairs, most) if all(fit(a, b) for a, b, _ in _opposite(left, right, pairs, last=True)) else (low, pairs - 1)
            pairs = low
            alone = sum(number for _, number in left) - pairs
            yield from (Loading((program,), number) for program, number in _first(left, alone))
            left = _after(left, alone)
    for a, b, times in _opposite(left, right, pairs):
        if _same_board(a, b, _number(a, counts)):
            yield from (Loading((program,), 1) for program in (a, b))
        else:
            yield Loading((a, b), times)
    for side in (left, right):
        yield from (Loading((program,), number) for program, number in _after(side, pairs))


def _first(side: _Lot, number: int) -> list[tuple[Program, int]]:
    """Return the programs of the first so many boards."""
    found = []
    for program, own in side:
        if number > 0:
            found.append((program, min(own, number)))
        number -= own
    return found


def _after(side: _Lot, number: int) -> list[tuple[Program, int]]:
    """Return the programs of all but the first so many boards."""
    found = []
    for program, own in side:
        if own > number:
            found.append((program, own - max(number, 0)))
        number -= own
    return found


def _opposite(left: _Lot, right: _Lot, number: int, *, last: bool = False) -> Iterator[tuple[Program, Program, int]]:
    """Yield which programs stand opposite each other, and how often, where the first so many boards of both sides do.

    Parameters
    ----------
    last
        The last so many of the left side stand there instead.
    """
    if last:
        left = _after(left, sum(own for _, own in left) - number)
    rest_left, rest_right = (_first(side, number)[::-1] for side in (left, right))
    while rest_left and rest_right:
        (a, most), (b, more) = rest_left.pop(), rest_right.pop()
        times = min(most, more)
        yield a, b, times
        if most > times:
            rest_left.append((a, most - times))
        if more > times:
            rest_right.append((b, more - times))


def _inwards(program: Program) -> float:
    """Return how far a board reaches from its stop towards the other one."""
    low, high = box_of(program.setup.to_machine, program.setup.piece.size_mm)
    return high[0] if program.setup.stop == "left" else -low[0]


def _furthest(side: _Lot) -> list[Program]:
    """Return of all programs that are alike but for how far board and cutter reach those that reach furthest: where these fit, all do."""
    alike: dict[object, list[Program]] = {}
    for program, _ in side:
        setup = program.setup
        kind = setup.work_offset, setup.piece.size_mm[2], setup.highest_mm, program.deepest_mm, program.cutter
        alike.setdefault(kind, []).append(program)
    return [max(own, key=reach) for own in alike.values() for reach in (_inwards, _reach)]


def _reach(program: Program) -> float:
    """Return how far the middle of the cutter goes from its stop towards the other one."""
    xs, _ = program.reach_mm
    return xs[1] if program.setup.stop == "left" else -xs[0]


def _turning(program: Program, other: Program, machine: Machine) -> float:
    """Return how far what turns reaches from the stop towards the other one; the spindle's body counts where it comes down to there."""
    cutter, setup = program.cutter, program.setup
    rise_mm = other.setup.piece.size_mm[2] - setup.piece.size_mm[2] if setup.hold == "flat" else 0.0
    low = program.deepest_mm + cutter.stick_out_mm + machine.nut_height_mm < other.setup.highest_mm + rise_mm + _BODY_MM
    widths = (cutter.diameter_mm, cutter.shank_mm, cutter.holder_mm, machine.spindle_diameter_mm if low else 0.0)
    return _reach(program) + max(widths) / 2


def _needed_z_mm(programs: Sequence[Program], machine: Machine) -> float:
    """Return the travel in Z that boards of a setup need together, their dry run included: flat ones lie on one bed."""
    depths = [-program.deepest_mm for program in programs]
    dry_mm = max(program.setup.highest_mm for program in programs) + machine.clearance_mm + max(depths)
    return max(machine.retract_mm, dry_mm) + max(depth + over_mm(own, programs) for depth, own in zip(depths, programs, strict=True))


def _fit(a: Program, b: Program, apart_mm: float, machine: Machine) -> bool:
    """Tell whether two boards find room between their stops, and what turns over one stays clear of the other."""
    if a.setup.work_offset == b.setup.work_offset or _needed_z_mm((a, b), machine) > machine.travel_mm[2] + _ROUNDING_MM:
        return False
    boards = _inwards(a) + _inwards(b) + _BOARDS_MM
    bodies = max(_turning(a, b, machine) + _inwards(b), _inwards(a) + _turning(b, a, machine)) + _BODY_MM
    return max(boards, bodies) <= apart_mm
