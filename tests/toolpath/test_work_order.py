"""The order of work has the fewest changes of hold and cutter, and no end is finished before it is roughed."""

from __future__ import annotations

import itertools
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest

from camtools.drawer.drawers import drawers_of
from camtools.job import read_job
from camtools.toolpath.moves import Program
from camtools.toolpath.programs import programs_of
from camtools.toolpath.work_order import _FEW_GROUPS, _changes, _fewest_changes, changes_of, group_of
from tests.specimens import JOBS, drawer, job_of

JOB = JOBS["one drawer"]


@pytest.fixture(scope="module")
def roughed(samples: Path) -> tuple[Program, ...]:
    job, _ = read_job(samples / "inch-cabinet.toml")
    assert all(wish.joint.rough for wish in job.drawers)
    return programs_of(job, drawers_of(job))


def test_programs_stand_in_the_order_of_fewest_changes() -> None:
    """Two holds and two cutters, each with each, ask for three changes; of the orders that do with three, one of cutter is the least."""
    groups = [group_of(program) for program in programs_of(JOB, drawers_of(JOB))]
    assert list(dict.fromkeys(groups)) == [("flat", 1), ("upright", 1), ("upright", 2), ("flat", 2)]
    assert changes_of(groups) == (2, 1)


def test_every_end_is_roughed_before_it_is_finished_in_the_same_hold_and_at_the_same_stop(roughed: tuple[Program, ...]) -> None:
    ends = Counter[object]()
    for program in roughed:
        setup = program.setup
        if setup.end == "groove" or setup.piece.role == "back":
            continue
        ends[setup.piece, setup.end, setup.hold, setup.stop, setup.work_offset, setup.to_machine] += 1
        waste = ends[setup.piece, setup.end, setup.hold, setup.stop, setup.work_offset, setup.to_machine] == 1
        assert program.cutter.kind == ("straight" if waste else "dovetail")
        assert program.stem.endswith("-waste") == ("clear waste of" in program.title) == waste
    assert set(ends.values()) == {2}


def test_roughing_asks_for_a_change_of_cutter_a_round_and_none_an_end(roughed: tuple[Program, ...]) -> None:
    """Three cutters, of which one cuts a groove alone and one comes back for grooves, are changed three times."""
    assert len({program.cutter for program in roughed}) == 3
    assert changes_of([group_of(program) for program in roughed]) == (2, 3)


@pytest.mark.parametrize("holds", ["", 'holds = ["flat"]'])
def test_no_groove_is_cut_before_every_joint_is(holds: str, tmp_path: Path, samples: Path) -> None:
    """Drawers are put together between: with all boards flat, tails and grooves have one hold and one cutter, and are kept apart."""
    path = tmp_path / "job.toml"
    path.write_text(f"{(samples / 'first-drawer.toml').read_text()}[machine]\n{holds}\n")
    job, _ = read_job(path)
    ends = [program.setup.end for program in programs_of(job, drawers_of(job))]
    assert ends[-4:] == ["groove"] * 4
    assert "groove" not in ends[:-4]


@pytest.mark.parametrize("few", [_FEW_GROUPS, 0])
def test_of_all_orders_that_may_be_the_best_is_found_and_a_good_one_where_there_are_many(few: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("camtools.toolpath.work_order._FEW_GROUPS", few)
    groups = [("upright", 1, 1), ("upright", 2, 0), ("flat", 1, 1), ("flat", 2, 0), ("flat", 3, 0), ("upright", 3, 0)]
    before = {(groups[1], groups[0]), (groups[3], groups[2])}
    found = _fewest_changes(frozenset(groups), before, (1.0, 1.0))
    assert sorted(found) == sorted(groups)
    assert all(found.index(first) < found.index(last) for first, last in before)

    def cost(order: tuple[tuple[str, int, int], ...]) -> int:
        return sum(sum(_changes(a, b)) for a, b in pairwise(order))

    allowed = [order for order in itertools.permutations(groups) if all(order.index(a) < order.index(b) for a, b in before)]
    least = min(map(cost, allowed))
    assert least <= cost(found) <= (least if few else least + 2)


def test_minutes_decide_between_a_change_of_hold_and_one_of_cutter() -> None:
    """Two holds and two cutters: one change of hold and two of cutter, or two of hold and one of cutter."""
    groups = frozenset({("upright", 1, 0), ("upright", 2, 0), ("flat", 1, 0), ("flat", 2, 0)})

    def changes(hold_min: float, cutter_min: float) -> tuple[int, int]:
        return changes_of([group[:2] for group in _fewest_changes(groups, (), (hold_min, cutter_min))])

    assert changes(2.0, 3.5) == (2, 1)
    assert changes(10.0, 3.5) == (1, 2)


def test_the_tenth_board_comes_after_the_second() -> None:
    job = job_of(*(drawer(depth=300.0 + 10 * i, name=f"ferns {i}") for i in range(10)))
    stems = [program.stem.partition("-")[2] for program in programs_of(job, drawers_of(job))]
    assert [stem for stem in stems if stem.startswith("left-side") and stem.endswith("groove")] == [
        f"left-side-{i}-groove" for i in range(1, 11)
    ]
