"""Rules of setups: two boards stand on the machine at once, and one text runs the programs of both.

What a program does to its board is judged by its own file. So a text that runs several must do, motion for motion, what their files
do, in the told order, each in its own work offset. Its ways between the boards are judged here, and so is the other board as an
obstacle: nothing that turns may come over its strip of the bed below the safe height. A text for two boards has dry runs, which go its
way above both. docs/joinery.md section 3.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from camtools.output.manifest import Limits, LoadingEntry, Manifest, ProgramEntry, RoundEntry
from camtools.verify.findings import Finding, Log, Subject
from camtools.verify.loading.stack_rules import Stack, judge_stack, stack_of
from camtools.verify.lookups import end_worked, run_again
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import Motion, Point, ProgramRun
from camtools.verify.rules.motion_rules import compare_paths
from camtools.verify.rules.segments import board_count
from camtools.verify.rules.workplace import SLACK_MM, Workplace, workplace_of
from camtools.verify.written import Written
from camtools.wording import fine, mm

__all__ = ["RoundReading", "Stopped", "judge_loadings", "round_readings", "run_round", "stopped_in"]

_SAME = 1e-3  # mm, degrees, rpm, mm/min
_SAME_PLATE_MM = 5e-3


@dataclass(frozen=True, slots=True)
class RoundReading:
    """A text that runs several programs, to be run. It travels between processes."""

    file: str
    text: str
    tools: frozenset[int]
    fitted: int  # cutter that stands in the spindle from the start, 0 for none
    top_mm: float  # height that stands for the machine's top of travel


def round_readings(manifest: Manifest, limits: Limits | None, texts: Mapping[str, str]) -> list[RoundReading]:
    """Return every text that runs several programs."""
    if limits is None:
        return []
    tools = {program.file: program.tools for program in manifest.programs}
    zones = [zone.high[2] for program in limits.programs for zone in program.zones]
    thick = max((board.size[2] for board in manifest.boards), default=0.0)
    top_mm = max(limits.machine.retract, max(zones, default=0.0) + limits.machine.clearance) + thick
    found = []
    rows = [(file, [loading]) for loading in limits.loadings for file in (loading.file, loading.outline, loading.dry)]
    rows += [(own.file, _setups_in(own, limits)) for own in limits.rounds]
    for name, loadings in rows:
        used = {number for loading in loadings for file in loading.programs for number in tools.get(file, ())}
        if name in texts:
            fitted = used.pop() if len(used) == 1 else 0
            found.append(RoundReading(name, texts[name], frozenset(tool.number for tool in manifest.tools), fitted, top_mm))
    return found


def _setups_in(round_: RoundEntry, limits: Limits) -> list[LoadingEntry]:
    return limits.loadings[round_.first : round_.first + round_.count]


def run_round(reading: RoundReading) -> ProgramRun:
    """Run a text that runs several programs."""
    return run(reading.text, reading.file, tools=reading.tools, fitted=reading.fitted, top_mm=reading.top_mm)


class Stopped(NamedTuple):
    """Where a text that runs several programs was stopped."""

    program: ProgramEntry  # of the board at which it was
    line: int  # in that program; 0 where nothing is to be gone on with: that board is not begun, is done, or is a stack
    finished: bool  # nothing is left to be cut on that board
    stacked: int  # how many boards were cut at once
    afresh: str  # the file to be run from its start, where the board is not begun or is a stack
    raised: bool  # a program alone would not rise clear of the other board
    beside: tuple[Workplace, ...]  # that board and what surrounds it, then the other one
    done: tuple[str, ...]  # files of the programs that were run before, one a board or stack
    left: tuple[str, ...]  # files to be run after that: of a board beside it its program, of later setups what is run for them

    def near_other(self, run: ProgramRun) -> tuple[Finding, ...]:
        """Return where a program that goes on would come over the other board."""
        log = Log(run.file)
        _judge_beside(run.motions, self.beside[0], self.beside[1:], log)
        return log.findings()


def stopped_in(
    reading: RoundReading, line: int, manifest: Manifest, limits: Limits, run_of: Callable[[str], ProgramRun]
) -> Stopped | tuple[Finding, ...]:
    """Tell where a text that runs several programs was stopped, or why that can not be told: it must do what its programs do.

    Parameters
    ----------
    reading, line
        The text, and the last line of it that may have been begun.
    run_of
        Gives a program, run, by its file.
    """
    rows = {own.file: [own] for own in limits.loadings}
    rows |= {own.file: [loading for loading in _setups_in(own, limits) for _ in range(loading.times)] for own in limits.rounds}
    setups, programs = rows[reading.file], {program.file: program for program in manifest.programs}
    parts, log = _parts(run_round(reading).motions), Log(reading.file)
    boards = [(at, place) for at, setup in enumerate(setups) for place in range(len(setup.programs))]
    if len(parts) != len(boards):
        log.add("round-differs", 0, f"it cuts {len(parts)} times where {len(boards)} boards stand")
        return log.findings()
    part = max((at for at, part in enumerate(parts) if part[0].line <= line), default=0)
    at, number = boards[part]
    setup = setups[at]
    seats = _seats(setup, programs, limits, manifest, log)
    if len(seats) < len(setup.programs):
        return log.findings()
    seat, places, own = seats[number], [seat.place for seat in seats], setup.programs[number]
    alone = run_of(own)
    if seat.stack is None:
        _judge_part(parts[part], alone, seat.place, places, log)
    (lines, _), (own_lines, _) = (_cutting(motions, seat.place) for motions in (parts[part], alone.motions))
    begun, finished = sum(own <= line for own in lines), line > lines[-1]
    whole = seat.boards > 1 or (number == 0 and not begun)  # the setup is run as a whole
    beside = setup.programs[number + 1 :] if all(seat.boards == 1 for seat in seats) else (setup.file,)[: len(seats) - 1 - number]
    return log.findings() or Stopped(
        seat.place.program,
        own_lines[begun - 1] if begun and not finished and seat.boards == 1 else 0,
        finished,
        seat.boards,
        setup.file if whole else own,
        any(_clear_mm(place, places) > place.safe_z_mm + SLACK_MM for place in places[number:]) and not whole,
        (seat.place, *(place for place in places if place is not seat.place)),
        tuple(setups[before].programs[place] for before, place in boards[:part]),
        (*(() if whole else beside), *(own.file for own in setups[at + 1 :])),
    )


def judge_loadings(
    manifest: Manifest,
    limits: Limits,
    runs: Mapping[str, ProgramRun],
    rounds: Mapping[str, ProgramRun],
    texts: Mapping[str, str],
    edited: Collection[str] = (),
    written: Written | None = None,
) -> Iterator[Finding]:
    """Yield what is wrong with setups and with the texts that are run for them.

    Parameters
    ----------
    runs, rounds
        Programs, and texts that run several, each run, by file.
    texts
        What stands in the latter.
    edited
        Files that are not the ones that were written.
    written
        What the job file says.
    """
    ran = _Ran(manifest, runs, rounds, texts, edited, written)
    programs = {program.file: program for program in manifest.programs if program.kind == "cut"}
    yield from _plates((*runs.values(), *rounds.values()))
    if limits.loadings:
        yield from _counted(manifest, limits)
        yield from _ordered(programs, manifest, limits.loadings)
    for loading in limits.loadings:
        own = [programs[file] for file in loading.programs if file in programs]
        log = Log(loading.file)
        seats = _seats(loading, programs, limits, manifest, log)
        places = [seat.place for seat in seats]
        if len(seats) < len(loading.programs):
            log.add("loading-unsound", 0, "it names a program that cuts nothing")
        elif len(own) == 1 and seats[0].stack is None:
            if loading.file != own[0].file:
                log.add("loading-unsound", 0, "one board is cut by its own program")
        else:
            if len(own) == 2:
                for text in _unsound(seats, manifest):
                    log.add("loading-unsound", 0, text)
            if any(entry.slid for entry in limits.programs if entry.file in loading.programs):
                log.add("loading-unsound", 0, "a board that is slid beyond its stop stands alone")
            yield from _judge_text(_Text(loading.file, [seats]), ran, log)
            yield from _judge_dry(loading, places, rounds, edited)
        yield from log.findings()
    for round_ in limits.rounds:
        log = Log(round_.file)
        row = [loading for loading in _setups_in(round_, limits) if programs.keys() >= set(loading.programs)]
        held = {(programs[file].hold, tuple(programs[file].tools)) for loading in row for file in loading.programs}
        if len(row) != round_.count or len(held) != 1:
            log.add("loading-unsound", 0, "a round is of setups with one hold and cutter")
        else:
            setups = [own_seats for loading in row for own_seats in [_seats(loading, programs, limits, manifest, log)] * loading.times]
            yield from _judge_text(_Text(round_.file, setups), ran, log)
        yield from log.findings()


def _plates(ran: Iterable[ProgramRun]) -> Iterator[Finding]:
    """Yield where Z zero is set by a plate of another thickness than elsewhere."""
    touches = [(run.file, probed) for run in ran for probed in run.probed]
    usual = Counter(round(probed.plate_mm, 3) for _, probed in touches).most_common(1)
    for file, probed in touches:
        if abs(probed.plate_mm - usual[0][0]) > _SAME_PLATE_MM:
            log = Log(file)
            log.add("probe-plate", probed.line, f"a plate {fine(probed.plate_mm)} thick, elsewhere {fine(usual[0][0])}")
            yield from log.findings()


class _Seat(NamedTuple):
    """Where a program cuts: what surrounds its board, or the stack that stands for one."""

    place: Workplace
    stack: Stack | None

    @property
    def boards(self) -> int:
        return 1 if self.stack is None else self.stack.boards


def _seats(loading: LoadingEntry, programs: Mapping[str, ProgramEntry], limits: Limits, manifest: Manifest, log: Log) -> list[_Seat]:
    """Return where the programs of a setup cut, as far as they can be looked up."""
    found = []
    for number, file in enumerate(loading.programs):
        if file in programs:
            boards = loading.boards_of(number)
            stack = stack_of(programs[file], boards, limits, manifest) if boards > 1 else None
            place = stack.place(log) if stack else workplace_of(programs[file], limits, manifest, log)
            found += [_Seat(place, stack)] if place else []
    return found


@dataclass(frozen=True, slots=True)
class _Text:
    """A text that runs setups in a row: its file, and where it cuts in each."""

    file: str
    setups: Sequence[Sequence[_Seat]]


@dataclass(frozen=True, slots=True)
class _Ran:
    """What texts are judged by: programs, and texts that run several, each run."""

    manifest: Manifest
    runs: Mapping[str, ProgramRun]
    rounds: Mapping[str, ProgramRun]
    texts: Mapping[str, str]
    edited: Collection[str]
    written: Written | None
    stacks: dict[tuple[str, int], ProgramRun] = field(default_factory=dict)  # what is done to stacks, by program and number of boards

    @property
    def levelled(self) -> bool:
        """Whether a height stop brings the ends of upright boards to one height."""
        return self.written is not None and self.written.machine.get("height_stop") is True


def _judge_text(own: _Text, judged: _Ran, log: Log) -> Iterator[Finding]:
    runs, rounds, edited = judged.runs, judged.rounds, judged.edited
    setups = [[seat.place for seat in seats] for seats in own.setups]
    files = dict.fromkeys(place.program.file for places in setups for place in places)
    at = {(place.program.work_offset, place.program.stop) for places in setups for place in places}
    if len(at) > len({offset for offset, _ in at}):
        log.add("zero-shared", 0, "boards stand at both stops under one work offset, of which one text can have but one zero")
    stale = [file for file in files if file in edited and own.file not in edited]
    if stale:
        log.add("round-stale", 0, f"it runs {stale[0]} as that was before it was edited: run its programs one by one")
        return
    if own.file not in rounds or not runs.keys() >= files.keys():
        return
    ran = rounds[own.file]
    asked = [(seat, places) for seats, places in zip(own.setups, setups, strict=True) for seat in seats]
    parts = _parts(ran.motions)
    if len(parts) != len(asked):
        log.add("round-differs", 0, f"it cuts {len(parts)} times where {len(asked)} boards stand")
        return
    for part, (seat, places) in zip(parts, asked, strict=True):
        alone = runs[seat.place.program.file]
        if seat.stack is None:
            _judge_part(part, alone, seat.place, places, log)
        else:
            key = seat.place.program.file, seat.boards
            if key not in judged.stacks:
                judged.stacks[key] = replace(ran, motions=tuple(part), findings=())
                yield from judge_stack(judged.stacks[key], alone, seat.stack, judged.written, judged.manifest)
            _judge_part(part, judged.stacks[key], seat.place, places, log)
    _judge_stops(setups, parts, ran, judged.texts[own.file].splitlines(), log, levelled=judged.levelled)
    rest = iter(parts)
    for places in setups:
        _judge_travel([(next(rest), place) for place in places], log)


def _judge_part(part: Sequence[Motion], program: ProgramRun, place: Workplace, places: Sequence[Workplace], log: Log) -> None:
    """Compare what is done to one board with its program, and judge the way to it and from it."""
    if wrong := next((motion for motion in part if motion.work_offset not in ("G53", place.program.work_offset)), None):
        log.add("round-differs", wrong.line, f"{wrong.work_offset} is in force, {place.program.work_offset} is the board's")
    (lines, found), (from_lines, asked) = (_cutting(motions, place) for motions in (part, program.motions))
    at = next((i for i, (own, other) in enumerate(zip(found, asked, strict=False)) if not _alike(own, other)), None)
    if at is not None:
        log.add("round-differs", lines[at], f"it goes another way than {program.file} does in line {from_lines[at]}")
    elif len(found) != len(asked):
        log.add("round-differs", part[-1].line, f"it makes {len(found)} moves where {program.file} makes {len(asked)}")
    _judge_way(part, place, places, log)
    _judge_beside(part, place, [other for other in places if other is not place], log)


def _judge_way(part: Sequence[Motion], place: Workplace, places: Sequence[Workplace], log: Log) -> None:
    """Judge how high it goes to a board and from it."""
    low = _clear_mm(place, places)
    for motion in (*(motion for motion in part if motion.blind), part[-1]):
        if motion.end[2] < low - SLACK_MM:
            limit = f"{mm(low)} is clear of all that stands there"
            log.add("round-way-low", motion.line, f"between the boards it goes at {mm(motion.end[2])}; {limit}")
            break


def _clear_mm(place: Workplace, places: Sequence[Workplace]) -> float:
    """Return the height over a board that is clear of all that stands on the machine."""
    return max(place.safe_z_mm, _highest(place, places) + place.machine.clearance)


def _judge_travel(parts: Sequence[tuple[Sequence[Motion], Workplace]], log: Log) -> None:
    """See that the machine can go from the lowest place at one board to the highest at another: flat ones lie on one bed.

    How high the top of travel lies over the work is not known. It must be clear of all that stands there, and need be no higher.
    """
    heights: list[float] = []
    tops = {motion.end[2] for part, _ in parts for motion in part if motion.work_offset == "G53"}
    places = [place for _, place in parts]
    for part, place in parts:
        bed, clear = 0.0 if place.upright else place.low[2], _clear_mm(place, places)
        for motion in (own for own in part if own.work_offset != "G53"):
            at_top = motion.start[2] == motion.end[2] and motion.end[2] in tops
            height = (min(motion.end[2], clear) if at_top else motion.end[2]) - bed
            heights = [min((*heights, height)), max((*heights, height))]
            need, limit = heights[1] - heights[0], place.machine.travel[2]
            if need > limit + SLACK_MM:
                text = f"Z would travel {mm(need)} with both boards, the machine has {mm(limit)}"
                log.add("outside-travel", motion.line, text, travel_mm=need, limit_mm=limit)
                return


def _judge_dry(
    loading: LoadingEntry, places: Sequence[Workplace], rounds: Mapping[str, ProgramRun], edited: Collection[str]
) -> Iterator[Finding]:
    """Yield what is wrong with the dry runs of two boards: they keep above both, the spindle still, and one goes the way of the cut."""
    for file in (loading.outline, loading.dry):
        log = Log(file or loading.file)
        parts = _parts(rounds[file].motions) if file in rounds else []
        if not file:
            log.add("pair-not-dry", 0, "it has no dry run of its own")
        elif file in rounds and len(parts) != len(places):
            log.add("dry-path-differs", 0, f"it goes to {len(parts)} boards where {len(places)} stand")
        else:
            for part, place in zip(parts, places, strict=False):
                _judge_above(part, place, places, log)
            _judge_travel(list(zip(parts, places, strict=False)), log)
        yield from log.findings()
    if {loading.file, loading.dry} <= rounds.keys() and (loading.file not in edited or loading.dry in edited):
        yield from compare_paths(rounds[loading.dry], rounds[loading.file])


def _judge_above(part: Sequence[Motion], place: Workplace, places: Sequence[Workplace], log: Log) -> None:
    """Judge a dry run over one of its boards."""
    _judge_way(part, place, places, log)
    floor = _highest(place, places) + place.machine.clearance
    faults = {
        "wrong-work-offset": (
            f"{place.program.work_offset} is the board's",
            lambda own: own.work_offset not in ("G53", place.program.work_offset),
        ),
        "dry-below-clearance": (f"a dry run stays above both boards, at {mm(floor)} or more", lambda own: own.end[2] < floor - SLACK_MM),
        "dry-spindle-on": ("a dry run keeps the spindle still", lambda own: own.spindle_rpm != 0.0),
    }
    for code, (text, holds) in faults.items():
        if motion := next(filter(holds, part), None):
            log.add(code, motion.line, text)


def _judge_stops(
    setups: Sequence[Sequence[Workplace]],
    parts: Sequence[Sequence[Motion]],
    ran: ProgramRun,
    lines: Sequence[str],
    log: Log,
    *,
    levelled: bool,
) -> None:
    """See that it stops with a still spindle where boards are changed, and asks for every zero that is another then."""
    last = 0  # line of the last move before
    heights: dict[str, float] = {}
    rest = list(parts)
    for number, places in enumerate(setups):
        first = rest[0][0].line
        stops = [(line, speed) for line, speed in ran.stops if last < line < first]
        if number and not any(speed == 0.0 for _, speed in stops):
            log.add("round-no-stop", first, "it goes on to other boards and does not stop before that, the spindle still")
        asking = {line: set(re.findall(r"G5\d", lines[line - 1])) for line, _ in stops if "zero" in lines[line - 1]}
        asking |= {own.line: {own.work_offset} for own in ran.probed if last < own.line < first}
        offsets: dict[str, float] = {
            place.program.work_offset: place.high[2] - place.low[2] if not place.upright else 0.0 for place in places
        }
        needed = {
            offset
            for place, (offset, height) in zip(places, offsets.items(), strict=False)
            if number and (heights.get(offset) != height or (place.upright and not levelled))
        }
        if number == 0 and asking:
            needed = set(offsets)
        if not needed <= {offset for named in asking.values() for offset in named}:
            log.add("round-zero", max(asking, default=first), f"it does not stop for Z zero of {' and '.join(sorted(needed))}")
        heights |= offsets
        done, rest = rest[: len(places)], rest[len(places) :]
        last = max(
            (motion.line for motion in done[-1] if motion.work_offset != "G53"), default=first
        )  # a rise in machine coordinates is of what follows


def _parts(motions: Sequence[Motion]) -> list[list[Motion]]:
    """Split motions where the machine's place is lost: at the start, and where another work offset comes into force."""
    parts: list[list[Motion]] = []
    known = True
    for motion in motions:
        if motion.blind and known:
            parts.append([])
        known = not motion.blind
        if parts:
            parts[-1].append(motion)
    return parts


def _cutting(motions: Sequence[Motion], place: Workplace) -> tuple[list[int], list[Motion]]:
    """Return motions, and before them their lines, without those that rise above the safe height: how high is judged by itself."""

    def low(point: Point) -> Point:
        return point[0], point[1], min(point[2], place.safe_z_mm)

    lowered = (
        replace(own, start=low(own.start), end=low(own.end), tool=own.tool or place.program.only_tool) for own in motions if not own.blind
    )
    found = [motion for motion in lowered if motion.start != motion.end or motion.centre]
    return [motion.line for motion in found], found


def _alike(one: Motion, other: Motion) -> bool:
    """Tell whether two motions are the same, but for what rounding takes."""
    lengths = [(*own.start, *own.end, *(own.centre or ()), own.sweep_deg, own.feed_mm_min, own.spindle_rpm) for own in (one, other)]
    same = len(lengths[0]) == len(lengths[1]) and all(abs(a - b) < _SAME for a, b in zip(*lengths, strict=True))
    return same and (one.kind, one.tool) == (other.kind, other.tool)


def _highest(place: Workplace, places: Sequence[Workplace]) -> float:
    """Return how high over a board's zero the highest thing at any board of its setup stands."""
    return max(_top_over(place, other) for other in places)


def _judge_beside(part: Sequence[Motion], place: Workplace, others: Sequence[Workplace], log: Log) -> None:
    """See that nothing that turns comes over the strip in X of another board and its stop, below the safe height."""
    down = [motion for motion in part if not motion.blind and min(motion.start[2], motion.end[2]) < place.safe_z_mm - SLACK_MM]
    pieces = board_count(down, SLACK_MM)
    tools = [tool for number, tool in place.tools.items() if number in place.program.tools]
    wide = max((max(tool.radius_mm, tool.shape.shank / 2, tool.limits.holder / 2) for tool in tools), default=0.0)
    foot = min((tool.limits.stick_out for tool in tools), default=0.0) + place.machine.nut_height
    for other in others:
        shift = other.zero_mm[0] - place.zero_mm[0]
        stops = [zone for zone in other.zones if zone.name == "stop"]
        low = min(other.low[0], *(zone.low[0] for zone in stops), 0.0) + shift
        high = max(other.high[0], *(zone.high[0] for zone in stops), 0.0) + shift
        body = place.machine.spindle_diameter / 2, pieces.between(-np.inf, _top_over(place, other) - foot)
        for radius, own in ((wide, pieces), body):
            first, last = own.start[:, 0], own.end[:, 0]
            over = np.maximum(first, last) > low - radius + SLACK_MM
            over &= np.minimum(first, last) < high + radius - SLACK_MM
            if over.any():
                motion = down[own.motion[over.argmax()]]
                log.add("round-near-board", motion.line, f"it comes over the board at the {other.program.stop} stop")
                break


def _top_over(place: Workplace, other: Workplace) -> float:
    """Return how high over a board's zero the highest thing at another board stands: flat ones lie on one bed, upright ones are level."""
    return other.top_mm + (0.0 if place.upright else place.low[2] - other.low[2])


def _unsound(seats: Sequence[_Seat], manifest: Manifest) -> Iterator[str]:
    """Yield why two boards can not stand on the machine at once."""
    places = [seat.place for seat in seats]
    first, second = (place.program for place in places)
    if (first.stop, second.stop) != ("left", "right"):
        yield "of two boards the first stands at the left stop, the second at the right one"
    if first.hold != second.hold or (end_worked(first) == "groove") != (end_worked(second) == "groove"):
        yield "both boards are held in one way"
    if first.work_offset == second.work_offset:
        yield f"both boards have their zero in {first.work_offset}"
    if first.tools != second.tools:
        yield "both boards are cut with one cutter"
    if len({place.spoilboard_mm > 0.0 for place in places}) > 1:
        yield "both boards lie on a waste sheet, or none does"
    counts = {board.id: board.count for board in manifest.boards}
    named = {program.board for program in manifest.programs if program.file in (first.file, second.file)}
    if sum(counts.get(board, 0) for board in named) < sum(seat.boards for seat in seats):
        yield "one board can not stand at both stops"
    left, right = places
    apart = right.zero_mm[0] - left.zero_mm[0]
    if not left.high[0] - right.low[0] < apart + SLACK_MM:  # not a number where it is not known
        yield "the boards do not find room between the stops, as far as limits.json tells where these are"


def _counted(manifest: Manifest, limits: Limits) -> Iterator[Finding]:
    """Yield which programs are not run once for each of their boards; where a packet is for one thing only, once for one board."""
    counts = {board.id: board.count for board in manifest.boards}
    asked: dict[str, int] = {}
    for program in manifest.programs:
        if program.kind == "cut":
            number = counts.get(program.board, 0) if limits.only is None else int(run_again(program, limits))
            asked[program.file] = asked.get(program.file, 0) + number if limits.only is None else max(asked.get(program.file, 0), number)
    for file, number in asked.items():
        done = sum(
            loading.times * loading.boards_of(place)
            for loading in limits.loadings
            for place, own in enumerate(loading.programs)
            if own == file
        )
        if done != number:
            yield _of_program("loading-count", file, f"setups run it {done} times, and {number} boards ask for it")


def _ordered(programs: Mapping[str, ProgramEntry], manifest: Manifest, loadings: Sequence[LoadingEntry]) -> Iterator[Finding]:
    """Yield which programs do not come in the order of work: of one end of a board, and of one strip of backing."""
    uses: dict[str, list[int]] = {}
    for place, loading in enumerate(loadings):
        for file in loading.programs:
            uses.setdefault(file, []).append(place)
    ends: dict[object, list[ProgramEntry]] = {}
    for program in manifest.programs:
        if program.kind == "cut" and program.file in uses:
            ends.setdefault((program.board, program.hold, end_worked(program)), []).append(program)
            if program.hold == "upright":
                ends.setdefault((program.stop, program.backing), []).append(program)
    told: set[str] = set()
    for own in ends.values():
        in_order = sorted({program.order: program.file for program in own}.items())
        for (_, before), (_, after) in pairwise(in_order):
            if max(uses[before]) > min(uses[after]) and after not in told:
                told.add(after)
                yield _of_program("round-order", after, f"a setup runs it before the last board of {before}")
    strips: dict[str, list[int]] = {"left": [], "right": []}
    for loading in loadings:
        for file in loading.programs:
            entry = programs.get(file)
            if entry is not None and entry.hold == "upright" and entry.backing not in strips[entry.stop][-1:]:
                if entry.backing in strips[entry.stop]:
                    yield _of_program("round-order", file, "its backing piece was changed before, and comes back")
                strips[entry.stop].append(entry.backing)


def _of_program(code: str, file: str, text: str) -> Finding:
    return Finding.of(code, "limits.json", 0, text, Subject("program", file))
