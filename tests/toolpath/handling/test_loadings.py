"""Setups: as many boards as can stand on the machine two at a time, each once for each of its programs. Counted by hand."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from camtools.drawer.drawers import drawers_of
from camtools.geometry.frames import box_of
from camtools.job import read_job
from camtools.job.job import Job, Machine
from camtools.toolpath.handling import loadings
from camtools.toolpath.handling.loadings import Loading, board_counts, loadings_of
from camtools.toolpath.moves import Program
from camtools.toolpath.programs import programs_of, with_offsets


@pytest.fixture(scope="module")
def chest(samples: Path) -> tuple[Job, tuple[Program, ...], dict[str, int]]:
    job, _ = read_job(samples / "specimen-chest.toml")
    drawers = drawers_of(job)
    return job, programs_of(job, drawers), board_counts(drawers)


def loaded(chest: tuple[Job, tuple[Program, ...], dict[str, int]], offsets: int = 6, **changes: object) -> tuple[Loading, ...]:
    """Return the setups of the specimen chest on another machine."""
    job, programs, counts = chest
    machine: Machine = replace(job.machine, **changes)  # type: ignore[arg-type]
    found = loadings_of(with_offsets(programs, offsets), counts, machine)
    done, asked = Counter[str](), Counter[str]()
    for loading in found:
        done.update({program.stem: loading.times for program in loading.programs})
    asked.update({program.stem: sum(counts[board] for board in program.boards) for program in programs})
    assert done == asked
    return found


def setups(loadings: tuple[Loading, ...]) -> int:
    return sum(loading.times for loading in loadings)


def test_the_specimen_chest_takes_44_set_ups_at_the_most(chest: tuple[Job, tuple[Program, ...], dict[str, int]]) -> None:
    """Of 84, 41 pairs: all tails, sockets and pins, 42 setups less 14; of 28 grooves two, 560 mm long, find no other board."""
    assert setups(loaded(chest)) == 14 + 7 + 7 + 15


def test_stops_decide_on_what_fits(chest: tuple[Job, tuple[Program, ...], dict[str, int]]) -> None:
    """630 mm take two boards of 280 mm, and no 280 with 345 mm and 10 mm between; 640 mm do, 700 mm no two of 345.3, 701 mm do."""
    assert setups(loaded(chest, flat_stops_mm=(60.0, 690.0))) == 28 + 28 - 4
    assert setups(loaded(chest, flat_stops_mm=(60.0, 700.0))) == 28 + 28 - 8
    assert setups(loaded(chest, flat_stops_mm=(25.0, 725.0))) == 28 + 28 - 8
    assert setups(loaded(chest, flat_stops_mm=(25.0, 726.0))) == 28 + 28 - 11
    assert setups(loaded(chest, flat_stops_mm=(60.0, 300.0))) == 14 + 7 + 7 + 28  # a front of 128 mm stands opposite one of 59
    assert setups(loaded(chest, flat_stops_mm=(60.0, 260.0))) == 14 + 7 + 9 + 28  # it finds no other


@pytest.mark.parametrize("crossed", [False, True], ids=["as cut", "the narrowest cut as the widest"])
def test_those_that_reach_furthest_tell_whether_all_find_room(
    chest: tuple[Job, tuple[Program, ...], dict[str, int]], monkeypatch: pytest.MonkeyPatch, crossed: bool
) -> None:
    """Where every board is tried with every other the setups are the same, whatever stands between: boards, cutters or the spindle."""
    job, programs, counts = chest
    if crossed:
        alike: dict[object, list[Program]] = {}
        for program in programs:
            alike.setdefault((program.setup.hold, program.setup.end, program.setup.stop, program.cutter), []).append(program)
        cuts = {own.stem: other.cuts for row in alike.values() for own, other in zip(row, reversed(row), strict=True)}
        programs = tuple(replace(program, cuts=cuts[program.stem]) for program in programs)
    flat, upright, spindle, nut = range(240, 720, 80), range(60, 300, 40), (0.0, 65.0, 140.0), (0.0, 60.0)
    machines = [
        {"flat_stops_mm": (25.0, 25.0 + far), "upright_stops_mm": (100.0, 100.0 + near), "spindle_diameter_mm": wide, "nut_height_mm": high}
        for (far, near), wide, high in itertools.product(zip(flat, upright, strict=True), spindle, nut)
    ]
    short = [loaded((job, programs, counts), **machine) for machine in machines]
    monkeypatch.setattr(loadings, "_furthest", lambda side: [program for program, _ in side])
    assert [loaded((job, programs, counts), **machine) for machine in machines] == short
    assert len(set(map(setups, short))) > 5


def test_two_boards_need_as_much_travel_in_z_as_from_the_groove_of_the_thin_to_the_safe_height_over_the_thick(
    chest: tuple[Job, tuple[Program, ...], dict[str, int]],
) -> None:
    """Boards of 12 and 20 mm, grooves 4 mm deep, the safe height 40 mm over the face: 4 + 8 + 40. Boards of one thickness need 44."""

    def mixed(travel_mm: float) -> int:
        pairs = [own.programs for own in loaded(chest, travel_mm=(900.0, 900.0, travel_mm)) if own.programs[0].setup.end == "groove"]
        return sum(len({program.setup.piece.size_mm[2] for program in pair}) > 1 for pair in pairs)

    assert mixed(52.0) > 0
    assert mixed(51.9) == 0


def test_boards_come_one_by_one_where_the_job_says_so_or_nothing_is_known_of_stops_or_offsets(
    chest: tuple[Job, tuple[Program, ...], dict[str, int]],
) -> None:
    assert setups(loaded(chest, two_at_once=False)) == 84
    assert setups(loaded(chest, upright_stops_mm=None, flat_stops_mm=None)) == 84
    assert setups(loaded(chest, offsets=1)) == 84
    assert setups(loaded(chest, offsets=2)) == setups(loaded(chest))


def test_one_board_never_stands_at_both_stops(samples: Path) -> None:
    """A single drawer: its front and its back, made once, are placed twice."""
    job, _ = read_job(samples / "first-drawer.toml")
    drawers = drawers_of(job)
    machine = replace(job.machine, upright_stops_mm=(100.0, 500.0), flat_stops_mm=(0.0, 600.0))
    found = loadings_of(programs_of(job, drawers), board_counts(drawers), machine)
    pairs = {tuple(program.setup.piece.role for program in loading.programs) for loading in found}
    upright, grooves = {("right side", "left side"), ("left side", "right side")}, {("left side", "front"), ("back", "right side")}
    assert pairs == upright | grooves | {("front",), ("back",)}


def test_what_turns_over_one_board_stays_clear_of_the_other(chest: tuple[Job, tuple[Program, ...], dict[str, int]]) -> None:
    """Seen from the travel's left end: the widest part of cutter and nut over one board, and the other board."""
    job, *_ = chest
    pairs = [loading for loading in loaded(chest) if len(loading.programs) == 2]
    assert len(pairs) > 20
    for loading in pairs:
        stops = job.machine.upright_stops_mm if loading.programs[0].setup.hold == "upright" else job.machine.flat_stops_mm
        assert stops
        left, right = (sorted(_places(program, zero)) for program, zero in zip(loading.programs, stops, strict=True))
        assert left[-1] < right[0]


def _places(program: Program, zero_mm: float) -> Iterator[float]:
    """Yield how far board and nut reach in X."""
    half = program.cutter.holder_mm / 2
    for corner in box_of(program.setup.to_machine, program.setup.piece.size_mm):
        yield zero_mm + corner[0]
    for cut in program.cuts:
        for move in cut.moves:
            if move.end[2] < 0:
                yield zero_mm + move.end[0] - half
                yield zero_mm + move.end[0] + half


def test_flat_boards_come_in_the_order_that_needs_fewest_zeros(chest: tuple[Job, tuple[Program, ...], dict[str, int]]) -> None:
    """Sockets: fronts 20 mm thick at both stops. Grooves: 12 mm at the left, 20 mm and 12 mm at the right, each once."""
    heights: dict[str, list[float]] = {}
    for program in (program for loading in loaded(chest) for program in loading.programs):
        if program.setup.hold == "flat":
            own = heights.setdefault(program.setup.work_offset, [])
            own += [program.setup.piece.size_mm[2]][: own[-1:] != [program.setup.piece.size_mm[2]]]
    assert sorted(map(sorted, heights.values())) == [[12.0], [12.0, 20.0], [20.0], [20.0]]


def test_boards_of_one_strip_of_backing_come_together(chest: tuple[Job, tuple[Program, ...], dict[str, int]]) -> None:
    strips: dict[str, list[int]] = {"left": [], "right": []}
    for loading in loaded(chest):
        for program in loading.programs:
            if program.setup.hold == "upright" and program.backing not in strips[program.setup.stop][-1:]:
                strips[program.setup.stop].append(program.backing)
    assert strips["left"] == strips["right"] == [1, 2, 3, 4, 5, 6]
