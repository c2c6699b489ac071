"""Stacks: equal sides whose through tails are cut together. Boards, sizes and reach are counted by hand."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from camtools.drawer.drawers import drawers_of
from camtools.job import read_job
from camtools.job.job import Job
from camtools.toolpath.handling.loadings import Loading, board_counts, loadings_of
from camtools.toolpath.handling.stacks import stacks_of
from camtools.toolpath.moves import Program
from camtools.toolpath.programs import programs_of

Chest = tuple[Job, tuple[Program, ...], dict[str, int]]


@pytest.fixture(scope="module")
def chest(samples: Path) -> Chest:
    job, _ = read_job(samples / "specimen-chest.toml")
    drawers = drawers_of(job)
    return job, programs_of(job, drawers), board_counts(drawers)


def loaded(chest: Chest, **changes: object) -> tuple[Loading, ...]:
    job, programs, counts = chest
    return loadings_of(programs, counts, replace(job.machine, **changes))  # type: ignore[arg-type]


def rear_ends(chest: Chest) -> Program:
    """Return the program for the rear ends of three left sides 12 mm thick."""
    return next(program for program in chest[1] if program.stem.endswith("left-side-1-rear-end"))


def sizes(chest: Chest, number: int, **changes: object) -> list[tuple[int, int]]:
    machine = replace(chest[0].machine, **({"upright_plate_mm": None} | changes))  # type: ignore[arg-type]
    return [(program.stacked, times) for program, times in stacks_of(rear_ends(chest), number, machine)]


def test_only_rear_ends_of_sides_are_stacked_and_every_board_is_cut_once(chest: Chest) -> None:
    """Three, two and two left sides, and as many right ones, 12 mm thick: 40 mm hold three, where the plate stands the travel takes two."""
    done, asked = Counter[str](), Counter[str]()
    for loading in loaded(chest, stack_mm=40.0):
        for program in loading.programs:
            done[program.stem] += program.stacked * loading.times
            if program.stacked > 1:
                assert program.setup.end == "rear end"
                assert "side" in program.setup.piece.role
    for program in chest[1]:
        asked[program.stem] = sum(chest[2][board] for board in program.boards)
    assert done == asked
    assert sum(loading.times for loading in loaded(chest)) == 43
    assert sum(loading.times for loading in loaded(chest, stack_mm=40.0)) == 43 - 7 + 4
    assert sum(loading.times for loading in loaded(chest, stack_mm=40.0, upright_plate_mm=None)) == 43 - 7 + 3


def test_stacks_are_as_equal_as_can_be_and_no_thicker_than_is_said(chest: Chest) -> None:
    assert sizes(chest, 7) == [(1, 7)]
    assert sizes(chest, 7, stack_mm=36.0) == [(3, 1), (2, 2)]
    assert sizes(chest, 7, stack_mm=35.9) == [(2, 3), (1, 1)]
    assert sizes(chest, 7, stack_mm=100.0) == [(4, 1), (3, 1)]  # four at the most
    assert sizes(chest, 1, stack_mm=100.0) == [(1, 1)]


def test_a_stack_stays_within_the_travel(chest: Chest) -> None:
    """From the plate towards the operator: backing 18, three boards of 12, and where the cutter comes in, 8.35 mm before the face."""
    machine = chest[0].machine
    (three, _), *_ = stacks_of(rear_ends(chest), 3, replace(machine, stack_mm=36.0, upright_plate_mm=None))
    near = -min(move.end[1] for cut in three.cuts for move in cut.moves)
    assert near == pytest.approx(36 + 12.7 / 2 + 2, abs=0.01)
    assert sizes(chest, 3, stack_mm=36.0, upright_plate_mm=18 + near + 0.01) == [(3, 1)]
    assert sizes(chest, 3, stack_mm=36.0, upright_plate_mm=18 + near - 0.01) == [(2, 1), (1, 1)]


def test_a_stack_is_cut_as_deep_and_at_the_same_places_along_the_joint(chest: Chest) -> None:
    alone = rear_ends(chest)
    (stacked, _), *_ = stacks_of(alone, 3, replace(chest[0].machine, stack_mm=36.0, upright_plate_mm=None))
    across, deep = ([{round(move.end[axis], 6) for cut in own.cuts for move in cut.moves} for own in (alone, stacked)] for axis in (0, 2))
    assert across[0] == across[1]
    assert deep[0] == deep[1]
    (clamp,) = (zone for zone in stacked.setup.zones if zone.name == "clamp")
    assert clamp.high[1] == -36.0
    assert "36 mm thick" in " ".join(map(str, stacked.setup.words))


def test_an_end_that_is_roughed_first_is_not_stacked(samples: Path) -> None:
    job, _ = read_job(samples / "inch-cabinet.toml")
    machine = replace(job.machine, stack_mm=100.0)
    programs = [p for p in programs_of(job, drawers_of(job)) if p.setup.end == "rear end"]
    assert programs
    assert all([program.stacked for program, _ in stacks_of(program, 4, machine)] == [1] for program in programs)
