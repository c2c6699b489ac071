"""Every program of a job: which cuts are made in which setup, and in which order."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cache, partial
from itertools import groupby
from typing import NamedTuple

from camtools.drawer.boards import Board, Drawer, Piece
from camtools.drawer.cutting_loads import load_faults
from camtools.drawer.feeds import safe_feeds_of
from camtools.drawer.trial.trial_boards import TrialSet
from camtools.faults import CannotCut, Change, Fault, Way, puts
from camtools.job.job import Job, Machine
from camtools.toolpath.backing import on_strips
from camtools.toolpath.clamps import held_down
from camtools.toolpath.drawn_cut import AIR_MM
from camtools.toolpath.handling.board_names import marks_of, owners_of
from camtools.toolpath.handling.loadings import apart, board_counts
from camtools.toolpath.joint_work import works_of
from camtools.toolpath.moves import Air, Cut, Program, Setup, Work, reach_of, stem_of
from camtools.toolpath.reach.parting import parts_of
from camtools.toolpath.reach.settings import Extent, Slide, in_setting, moved_by, settings_of, slides_of, stop_moved
from camtools.toolpath.timing import program_seconds
from camtools.toolpath.work_order import in_order
from camtools.toolpath.workholding import END_GROOVE, known_zeros, setup_of, with_zeros, work_of
from camtools.wording import Told, Words, down, mm, up

__all__ = ["programs_of", "with_offsets"]

_Run = tuple[tuple[Work, Cut], ...]  # what one cutter does at an end before another takes its place
_LITTLE_MORE = (1.1, 1.25, 1.5)  # travel, with which settings may do
_LESS = (0.1, 0.25, 0.5, 1.0)  # of what a board is too long for the travel, by which it is shortened: settings may do for the rest
_OVER_STOP_MM = 1.0  # between a cutter and the stop below it


class _Worked(NamedTuple):
    """An end of a board, or its groove: what is done there, and which drawers have it."""

    extent: Extent
    works: Sequence[Work]
    boards: tuple[str, ...]
    drawers: tuple[str, ...]


def programs_of(job: Job, drawers: Sequence[Drawer], trials: Sequence[TrialSet] = ()) -> tuple[Program, ...]:
    """Return every program that cuts these boards, each with one cutter, in the order with the fewest changes of hold and cutter.

    Raises
    ------
    CannotCut
        Every reason at once why the cutters or the machine can not do it.
    """
    machine = job.machine
    air = Air(machine.clearance_mm, machine.max_feed_mm_min)
    owners: tuple[Drawer | TrialSet, ...] = (*drawers, *trials)
    marks = marks_of(owners)
    holders: dict[Piece, dict[str, Board]] = {}
    for owner in owners:
        for board in owner.boards:
            holders.setdefault(board.piece, {})[board.id] = board
    faults = load_faults(job, drawers)
    names = {board.id: owner.name for owner in owners for board in owner.boards}
    found: list[_Worked] = []
    for piece, boards in holders.items():
        for end, works in works_of(piece).items():
            whose = tuple(dict.fromkeys(names[board] for board in boards))
            try:
                setup = setup_of(next(iter(boards.values())), end, machine, _free_mm(piece))
                cuts = _cuts(_runs(works, setup.stop, air))
            except CannotCut as error:
                faults.extend(_own(error.faults, piece, whose, first=False))
            else:
                extent = Extent(setup, reach_of(cuts)[0], cache(partial(parts_of, works, setup.stop, air)))
                found.append(_Worked(extent, works, tuple(boards), whose))
    slides = slides_of((end.extent for end in found), job)
    ends: list[list[Program]] = []
    for own in found:
        piece = own.extent.setup.piece
        try:
            settings = list(_settings(own, slides.get(own.extent.setup.kind), air, job))
        except CannotCut as error:
            faults.extend(_own(error.faults, piece, own.drawers, first=False))
            continue
        for setup, runs in settings:
            faults.extend(_own(_beyond_reach(setup, _cuts(runs), job, own.drawers), piece, own.drawers, first=True))
            ends.append([_program(run, marks[piece], setup, words, own.boards, machine) for run, words in _with_words(runs, setup)])
    if faults:
        raise CannotCut(*faults)
    programs = on_strips(apart(in_order(ends, machine), board_counts(owners)))
    digits = max(2, len(str(len(programs))))  # by their names files stand in the order of work
    feeds = safe_feeds_of(job, drawers)
    whose_each = owners_of(owners)
    return tuple(
        replace(
            program,
            order=i,
            stem=stem_of(f"{i:0{digits}}", program.stem),
            safe=feeds.get(program.cutter.number),
            owners=tuple(dict.fromkeys(whose_each[board] for board in program.boards)),
        )
        for i, program in enumerate(programs, 1)
    )


def _own(faults: Iterable[Fault], piece: Piece, drawers: tuple[str, ...], *, first: bool) -> Iterator[Fault]:
    """Yield faults with the drawers concerned; a bottom's corners may be left to the hand, first of all or when nothing else does."""
    spared = puts("groove.bottom_corners", "hand") if piece.corners else ()
    for fault in faults:
        yield replace(fault, drawers=drawers, ways=(*spared, *fault.ways) if first else (*fault.ways, *spared))


def _settings(end: _Worked, slide: Slide | None, air: Air, job: Job) -> Iterator[tuple[Setup, list[_Run]]]:
    """Yield the settings that an end is worked in, with what is done in each."""
    for setting, reach_mm in settings_of(end.extent, slide, job):
        placed = in_setting(end.extent.setup, setting, job.machine)
        runs = _runs(end.works, placed.stop, air._replace(reach_mm=reach_mm))
        runs = [tuple((work, moved_by(cut, placed)) for work, cut in run) for run in runs]
        yield held_down(placed, _cuts(runs), job.machine), runs


def _cuts(runs: Iterable[_Run]) -> list[Cut]:
    return [cut for run in runs for _, cut in run]


def with_offsets(programs: Sequence[Program], offsets: int) -> tuple[Program, ...]:
    """Return programs with the work offsets of a controller that has so many."""
    setups = with_zeros([program.setup for program in programs], offsets)
    return tuple(replace(program, setup=setup) for program, setup in zip(programs, setups, strict=True))


def _runs(works: Sequence[Work], stop: str, air: Air) -> list[_Run]:
    """Return the runs of an end, in order."""
    done = [(work, cut) for work in works if (cut := work.cut(stop, air)) is not None and cut.moves]
    return [tuple(run) for _, run in groupby(done, key=lambda own: own[1].cutter)]


def _with_words(runs: Sequence[_Run], setup: Setup) -> Iterator[tuple[_Run, tuple[Words, ...]]]:
    """Yield each run with what must be known of those before and after it at the same end."""
    left_mm = 0.0
    for run in runs:
        words: list[Words] = []
        if left_mm:
            was = "It was roughed at this stop, {:mm} left on every face:"
            words.append(Told(f"{was} if board, stop and zero are off by less than that since then, no face shows it.", (left_mm,)))
        left_mm = max(work.leaves_mm for work, _ in run)
        if left_mm:
            again = "It comes back to this stop for another cutter"
            again += ": leave stop and zero as they are." if setup.setting.total == 1 else ", in the same settings."
            words.append(Told(f"{again} What is left on every face, {{:mm}}, forgives less than that.", (left_mm,)))
        yield run, tuple(words)


def _program(run: _Run, mark: str, setup: Setup, words: tuple[Words, ...], boards: tuple[str, ...], machine: Machine) -> Program:
    cuts = tuple(cut for _, cut in run)
    what = " and ".join(work.what for work, _ in run)
    waste = "-waste" if all(work.leaves_mm for work, _ in run) else ""
    number, total = setup.setting.number, setup.setting.total
    again, setting = ("", "") if total == 1 else (f"-{number}", f", setting {number} of {total}")
    return Program(
        stem=f"{mark}-{setup.end.replace(' ', '-')}{waste}{again}",
        title=f"{mark}, {what}{'' if setup.end == END_GROOVE else f' at the {setup.end}'}{setting}",
        setup=replace(setup, words=(*setup.words, *words)),
        cuts=cuts,
        boards=boards,
        seconds=program_seconds(cuts, machine),
        order=1,
    )


def _free_mm(piece: Piece) -> float:
    """Room the cutter needs beside the wood where it comes in."""
    joint = piece.half_blind or piece.through
    cutter = joint.dovetail if joint else piece.corners.cutter if piece.corners else None
    widest = max(cutter.diameter_mm, cutter.holder_mm) if cutter else 0.0
    return widest + AIR_MM


def _smaller(setup: Setup, over_mm: float, job: Job, drawers: Sequence[str]) -> Iterator[Way]:
    """Yield ways to make drawers smaller, the largest first, whose boards are too long along the travel in X."""
    across = setup.end != END_GROOVE
    axis = 1 if across else 2 if setup.piece.role.endswith("side") else 0
    sizes = []
    for place, wish in enumerate(job.drawers, 1):
        size, key = (wish.outside_mm, "outside") if wish.outside_mm else (wish.opening_mm, "opening")
        if wish.name in drawers and size:
            sizes.append((f"drawers[{wish.measured.entry if wish.measured else place}].{key}[{axis + 1}]", size[axis]))
    for part in _LESS:
        if sizes and all(size > part * over_mm + 1.0 for _, size in sizes):
            yield tuple(Change(key, down(size - part * over_mm, 1)) for key, size in sizes)


def _beyond_reach(setup: Setup, cuts: Sequence[Cut], job: Job, drawers: Sequence[str]) -> Iterator[Fault]:
    """Compare a program with what the machine and the cutters can reach."""
    machine, where = job.machine, work_of(setup.piece, setup.end)
    for axis, name in enumerate("XYZ"):
        places = [move.end[axis] for cut in cuts for move in cut.moves]
        span, travel = max(places) - min(places), machine.travel_mm[axis]
        if span > travel:
            enough = [*(up(travel * more, 10) for more in (_LITTLE_MORE if axis == 0 else ()) if travel * more < span), up(span, 1)]
            ways = puts(f"machine.travel[{axis + 1}]", *enough) if axis < 2 else ()
            whole = puts("machine.travel", (*machine.travel_mm[:axis], up(span, 1), *machine.travel_mm[axis + 1 :]))
            problem = f"the program is longer in {name} than the machine's travel"
            own = (*stop_moved(setup, cuts, machine), *_smaller(setup, span - travel, job, drawers)) if axis == 0 else ()
            yield Fault(where, problem, mm(span), f"{mm(travel)}, machine.travel", ways=(*own, *ways, *whole))
    reach_mm = reach_of(cuts)
    for axis, zero, what, key in known_zeros(setup, machine):
        low, high, travel = zero + reach_mm[axis][0], zero + reach_mm[axis][1], machine.travel_mm[axis]
        over = max(-low, high - travel)
        if over > 1e-9 and high - low <= travel:  # a longer one was told of already
            way = (("to the right", "to the left"), ("away from you", "towards you"))[axis][0 if -low > high - travel else 1]
            least = math.ceil(over)
            at = key if axis else f"{key}[{1 if setup.stop == 'left' else 2}]"
            standing = zero + (setup.backing_mm if axis and setup.hold == "upright" else 0.0)
            moved = [standing + (more if -low > high - travel else -more) for more in (least, least + 20, least + 60)]
            problem = f"the program reaches beyond the machine's travel in {'XY'[axis]}"
            limit = f"0 to {mm(travel)}, machine.travel: {what} must stand at least {mm(least)} further {way}"
            found = f"{mm(low)} to {mm(high)}"
            yield Fault(where, problem, found, limit, ways=puts(at, *(place for place in moved if place >= 0)))
    for cut in cuts:
        cutter, deepest = cut.cutter, -min(move.end[2] for move in cut.moves)
        if deepest > cutter.cutting_length_mm + 1e-9:
            at = f"cutters[{job.cutters.index(cutter) + 1}]" if cutter in job.cutters else "cutters[1]"
            problem, found = f"cutter {cutter.number} is too short for this depth", f"cutting length {mm(cutter.cutting_length_mm)}"
            yield Fault(where, problem, found, f"at least {mm(deepest)}", ways=puts(f"{at}.cutting_length", up(deepest, 0.5)))
        if setup.hold == "upright":
            reach = max(move.end[1] for move in cut.moves) + cutter.diameter_mm / 2
            if reach > setup.backing_mm:
                problem = f"cutter {cutter.number} would run through the backing piece into the upright plate"
                limit = f"the backing piece, {mm(setup.backing_mm)}"
                yield Fault(where, problem, f"{mm(reach)} behind the board", limit, ways=puts("machine.backing", up(reach + 1, 1)))
            if deepest > machine.upright_stop_below_mm - _OVER_STOP_MM:
                limit = f"{mm(_OVER_STOP_MM)} above the stop, which is {mm(machine.upright_stop_below_mm)} below the end"
                ways = puts("machine.upright_stop_below", up(deepest + _OVER_STOP_MM, 1))
                problem = "the cutter would meet the stop and clamps of the upright hold"
                yield Fault(where, problem, f"{mm(deepest)} deep", limit, ways=ways)
