"""Programs in parts, for controllers that hold only so much of one: each part begins and ends as a program of its own.

A program is parted where its cutter stands beside the board and its backing, in air that it came through. There it rises straight
up, and there the next part comes straight down.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from camtools.faults import Fault, PacketFault
from camtools.geometry.frames import box_of
from camtools.job.job import Job
from camtools.output.dialects import Dialect
from camtools.output.rs274 import program_file
from camtools.toolpath.moves import Arc, Cut, Line, Move, Point, Program, Rapid, stem_of
from camtools.toolpath.timing import program_seconds

__all__ = ["in_parts"]

_LIFTED = 3  # moves before a cut is at its depth: up, over, down
_NAMED = 99  # parts that a heading has room for
_CLEAR_MM = 1.0  # of the wood, and so of every pass along its face

_Place = tuple[int, int]  # which cut, and how many of its moves come before


def in_parts(program: Program, dialect: Dialect, job: Job) -> tuple[Program, ...]:
    """Return a program that cuts, or the parts that the dialect's controller holds.

    Raises
    ------
    PacketFault
        Where a part that can not be parted is still too long.
    """
    if not dialect.limited or _fits(program, dialect, job):
        return (program,)
    places = [(0, 0), *_places(program), (len(program.cuts), 0)]
    found: list[Program] = []
    begin = 0
    while begin < len(places) - 1:
        end = _last_that(lambda at: _fits(_part(program, places[begin], places[at]), dialect, job), begin + 1, len(places) - 1)  # noqa: B023
        if end is None:
            raise PacketFault(_too_long(program, places, dialect, job))
        found.append(_part(program, places[begin], places[end]))
        begin = end
    return tuple(_numbered(part, number, len(found), job) for number, part in enumerate(found, 1))


def _last_that(holds: Callable[[int], bool], low: int, high: int) -> int | None:
    """Return the last number of a range for which something holds that holds for all before it; None where it holds for none."""
    if not holds(low):
        return None
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if holds(middle) else (low, middle - 1)
    return low


def _fits(program: Program, dialect: Dialect, job: Job) -> bool:
    return dialect.holds(program_file(_numbered(program, _NAMED, _NAMED, job), dialect, job).text, spare=True)


def _places(program: Program) -> Iterator[_Place]:
    """Yield where a program may be parted: between its cuts, and where the cutter stands beside the wood."""
    setup, radius_mm = program.setup, program.cutter.diameter_mm / 2
    (left, near, _), (right, far, _) = box_of(setup.to_machine, setup.piece.size_mm)
    far = max(far, setup.backing_mm) if setup.hold == "upright" else far
    for i, cut in enumerate(program.cuts):
        if i:
            yield i, 0
        for j in range(_LIFTED, len(cut.moves) if setup.piece.corners is None else 0):  # under a bottom lies a waste sheet
            x, y, z = cut.moves[j - 1].end
            apart = math.hypot(max(left - x, 0.0, x - right), max(near - y, 0.0, y - far))
            if apart >= radius_mm + _CLEAR_MM and z < cut.moves[0].end[2] and isinstance(cut.moves[j], Line | Arc):
                yield i, j


def _part(program: Program, begin: _Place, end: _Place) -> Program:
    cuts = []
    for i, cut in enumerate(program.cuts):
        low = begin[1] if i == begin[0] else 0
        high = end[1] if i == end[0] else len(cut.moves)
        if begin[0] <= i <= end[0] and low < high:
            cuts.append(_between(cut, low, high))
    return replace(program, cuts=tuple(cuts))


def _between(cut: Cut, low: int, high: int) -> Cut:
    """Return some of a cut's moves, with the way down to them and the way up."""

    def over(point: Point) -> Rapid:
        return Rapid((point[0], point[1], cut.moves[0].end[2]))

    moves: tuple[Move, ...] = cut.moves[low:high]
    if low:
        down = next(move.feed_mm_min for move in cut.moves if isinstance(move, Line))
        start = cut.moves[low - 1].end
        moves = (over(start), over(start), Line(start, down), *moves)
    if high < len(cut.moves):
        moves = (*moves, over(moves[-1].end))
    return replace(cut, moves=moves)


def _numbered(part: Program, number: int, total: int, job: Job) -> Program:
    """Give a part its name, and words for the operator."""
    if total == 1:
        return part
    again = f"It goes on where part {number - 1} ended: leave board, stop and zero as they are." if number > 1 else ""
    more = f"Part {number + 1} follows on the same board before the next board: leave it in its hold." if number < total else ""
    told = (*part.setup.words, *filter(None, (again, more)))
    order, _, words = part.stem.partition("-")
    return replace(
        part,
        stem=stem_of(order, f"part-{number}", words),
        title=f"{part.title}, part {number} of {total}",
        setup=replace(part.setup, words=told),
        seconds=program_seconds(part.cuts, job.machine),
    )


def _too_long(program: Program, places: Sequence[_Place], dialect: Dialect, job: Job) -> Fault:
    """Return what is wrong where the shortest part is too long, and which other keys of the dialect would do."""
    texts = [program_file(_numbered(_part(program, *own), _NAMED, _NAMED, job), dialect, job).text for own in pairwise(places)]
    lines, characters = max(text.count("\n") for text in texts), max(map(len, texts))
    limits = [(dialect.most_lines, lines, "lines", "most_lines"), (dialect.most_characters, characters, "characters", "most_characters")]
    over = [(most, found, what, key) for most, found, what, key in limits if most is not None]
    others: dict[str, dict[str, object]] = {'comments = "none"': {"comments": "none"}, "arcs = true": {"arcs": True}}
    do = [words for words, keys in others.items() if not dialect.asking or "arcs" in keys if _goes(program, dialect, job, keys)]
    room = " and ".join(f"{found + dialect.spare(what)} {what}" for _, found, what, _ in over)
    return Fault(
        f"program {program.stem}",
        "is longer than the controller holds, and can be parted only where its cutter stands beside the board",
        f"{room} in its longest part, with what is kept free for its dry run and to take it up again",
        ", ".join(f"{most}, {key} of the dialect" for most, _, _, key in over),
        "; ".join((*(f"write {words}, if the controller takes that" for words in do), f"a controller that holds {room} takes it")),
    )


def _goes(program: Program, dialect: Dialect, job: Job, keys: dict[str, object]) -> bool:
    other = dialect.model_copy(update=keys)
    try:
        return other != dialect and bool(in_parts(program, other, job))
    except PacketFault:
        return False
