"""Rounds of work, and changes counted: against the plan of the very job, and by hand."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

from camtools.drawer import drawers_of
from camtools.job import read_job
from camtools.page.facts import PacketFacts, read_facts
from camtools.page.rounds import changes_of, pieces_of, rounds_of
from camtools.toolpath.programs import changes_of as planned_changes
from camtools.toolpath.programs import group_of, programs_of
from tests.page.conftest import NOT_LOOKED_AT, Writer


def test_changes_are_those_that_the_order_was_chosen_by(sample: PacketFacts, samples: Path) -> None:
    path = next(path for path in samples.glob("*.toml") if read_job(path)[0].title == sample.manifest.job)
    job, _ = read_job(path)
    drawers = drawers_of(job)
    counts = {board.id: board.count for drawer in drawers for board in drawer.boards}
    runs = [program for program in programs_of(job, drawers) for board in program.boards for _ in range(counts[board])]
    changes = changes_of(sample, sample.setups)
    assert (changes.holds, changes.cutters) == planned_changes([group_of(program) for program in runs])
    assert changes.placings == len(runs)


def test_rounds_hold_every_setup_once_in_order(sample: PacketFacts) -> None:
    rounds = rounds_of(sample)
    assert tuple(setup for own in rounds for setup in own.setups) == sample.setups
    for before, after in pairwise(rounds):
        assert (before.hold, before.tools) != (after.hold, after.tools)
    for own in rounds:
        assert {(setup.entry.hold, setup.tools) for setup in own.setups} == {(own.hold, own.tools)}


def test_every_board_with_work_is_placed_at_each_of_its_ends(sample: PacketFacts) -> None:
    """Sides, fronts and backs are placed twice for joints and once for the groove; a raised back has none."""
    made = {drawer.id: drawer.count for drawer in sample.manifest.drawers}
    raised = {joint.drawer for joint in sample.limits.joints if joint.back == "raised"}
    expected = sum(count * (4 * 3 - (identity in raised)) for identity, count in made.items())
    assert sum(pieces_of(sample, setup) for setup in sample.setups) == expected


def test_files_for_each_cutter_make_one_setup(written: Writer, samples: Path) -> None:
    facts = read_facts(written(samples / "inch-cabinet.toml", dialect="cutter-files"), NOT_LOOKED_AT)
    assert len(facts.programs) > len(facts.setups)
    for setup in facts.setups:
        assert len(setup.programs) == len(setup.tools)
        assert len({program.entry.to_machine for program in setup.programs}) == 1
        assert sum(entry.kind == "dry run" for entry in facts.dry[setup.stem]) == len(setup.programs)
