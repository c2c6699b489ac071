"""Rounds of work, and changes counted: against the plan of the very job, and by hand. Machine times are sums of the manifest's."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

from camtools.drawer import drawers_of
from camtools.job import read_job
from camtools.output.plan_data import plan_of
from camtools.page.blocks import Span, Table
from camtools.page.chapters import CHAPTERS
from camtools.page.facts import PacketFacts
from camtools.page.rounds import (
    drawer_seconds,
    dry_runs_of,
    dry_seconds,
    handled_in,
    handling_seconds,
    rounds_of,
    time_words,
    total_seconds,
)
from camtools.toolpath.programs import programs_of, with_offsets
from camtools.toolpath.work_order import changes_of, group_of


def test_changes_are_those_that_the_order_was_chosen_by(sample: PacketFacts, samples: Path) -> None:
    path = next(path for path in samples.glob("*.toml") if read_job(path)[0].title == sample.manifest.job)
    job, _ = read_job(path)
    drawers = drawers_of(job)
    counts = {board.id: board.count for drawer in drawers for board in drawer.boards}
    programs = programs_of(job, drawers)
    done = handled_in(sample, sample.loadings)
    assert (done.holds, done.cutters) == changes_of([group_of(program) for program in programs])
    assert done.boards == sum(counts[board] for program in programs for board in program.boards)
    seconds = handling_seconds(sample, done)
    assert seconds is not None
    assert seconds / 60 == pytest.approx(plan_of(job, drawers, with_offsets(programs, 6)).handling.minutes, abs=0.1)


def test_rounds_hold_every_set_up_once_in_order(sample: PacketFacts) -> None:
    rounds = rounds_of(sample)
    assert tuple(loading for own in rounds for loading in own.loadings) == sample.loadings
    for before, after in pairwise(rounds):
        assert (before.hold, before.tools) != (after.hold, after.tools)
    for own in rounds:
        assert {(setup.entry.hold, setup.tools) for loading in own.loadings for setup in loading.setups} == {(own.hold, own.tools)}


def test_a_text_for_a_round_bears_the_number_of_that_round_on_the_page(sample: PacketFacts) -> None:
    numbers = {id(loading): number for number, own in enumerate(rounds_of(sample), 1) for loading in own.loadings}
    assert sample.limits.rounds
    for text in sample.limits.rounds:
        number = re.match(r"rounds/round-(\d+)", text.file)
        assert number
        run = sample.loadings[text.first : text.first + text.count]
        assert {numbers[id(loading)] for loading in run} == {int(number[1])}


def test_every_board_with_work_is_placed_at_each_of_its_ends(sample: PacketFacts) -> None:
    """Sides, fronts and backs are placed twice for joints and once for the groove; a raised back has none. Roughing: six ends more."""
    made = {drawer.id: drawer.count for drawer in sample.manifest.drawers}
    raised = {joint.drawer for joint in sample.limits.joints if joint.back == "raised"}
    roughed = 6 if "Herbarium" in sample.manifest.job else 0
    expected = sum(count * (4 * 3 - (identity in raised) + roughed) for identity, count in made.items())
    assert handled_in(sample, sample.loadings).boards == expected


def manifest_seconds(facts: PacketFacts) -> float:
    counts = {board.id: board.count for board in facts.manifest.boards}
    return sum(program.seconds * counts[program.board] for program in facts.manifest.programs if program.kind == "cut")


def test_the_piece_takes_what_its_boards_take_and_the_ways_between_two_less_a_start_of_the_spindle(sample: PacketFacts) -> None:
    machine = sample.limits.machine
    assert sample.names.machine
    more = 0.0
    for loading in sample.loadings:
        if len(loading.setups) == 2:
            stops = machine.upright_stops if loading.setups[0].entry.hold == "upright" else machine.flat_stops
            assert stops
            more += loading.times * ((stops[1] - stops[0]) / machine.rapid * 60 - sample.names.machine.spin_up_s)
    assert total_seconds(sample) == pytest.approx(manifest_seconds(sample) + more, abs=0.1 * len(sample.loadings))


def test_every_table_of_times_sums_up_to_the_manifest(sample: PacketFacts) -> None:
    tables = [
        block
        for chapter in CHAPTERS
        for block in chapter.blocks(sample)
        if isinstance(block, Table) and any(isinstance(value, Span) for value in block.foot)
    ]
    whole = {"Rounds": total_seconds(sample), "Machine time": manifest_seconds(sample)}
    assert {table.caption for table in tables} == whole.keys()
    for table in tables:
        for column in range(1, len(table.columns)):
            spans = [row[column] for row in (*table.rows, table.foot)]
            rows = [span.seconds for span in spans[:-1] if isinstance(span, Span)]
            foot = spans[-1]
            assert not isinstance(foot, Span) or sum(rows) == pytest.approx(foot.seconds)
        assert isinstance(foot, Span)
        assert foot.seconds == pytest.approx(whole[table.caption])


def test_a_drawer_takes_what_its_five_boards_take(sample: PacketFacts) -> None:
    for drawer in sample.manifest.drawers:
        parts = set(drawer.parts.model_dump().values())
        by_hand = sum(program.seconds for program in sample.manifest.programs if program.kind == "cut" and program.board in parts)
        assert drawer_seconds(sample, drawer) == pytest.approx(by_hand)


def test_every_set_up_is_tried_by_a_dry_run_that_goes_wherever_it_goes(sample: PacketFacts) -> None:
    """Its own, or that of a setup before it: hold, stops, cutter and the boards' sizes across the motion are the same."""
    tried = dry_runs_of(sample)
    loadings = {loading.file: loading for loading in sample.loadings}
    assert [*tried] == [*loadings]
    for file, by in tried.items():
        assert tried[by] == by
        assert [*loadings].index(by) <= [*loadings].index(file)
        at = {setup.entry.stop: setup for setup in loadings[by].setups}
        for setup in loadings[file].setups:
            other = at[setup.entry.stop]
            one, two = setup.entry, other.entry
            assert (one.hold, one.work_offset, one.tools) == (two.hold, two.work_offset, two.tools)
            sizes = [sample.boards[entry.board].size for entry in (one, two)]
            across = 0 if "groove" in setup.stem else 1
            assert (sizes[0][across], sizes[0][2]) == pytest.approx((sizes[1][across], sizes[1][2]), abs=0.01)
            moves = [[motion.end for motion in own.program.run.motions if not motion.blind] for own in (setup, other)]
            for axis in (0, 1):
                (low, high), (least, most) = ((min(ends), max(ends)) for ends in ([end[axis] for end in own] for own in moves))
                assert least - 1.001 <= low <= high <= most + 1.001
    own = [loadings[file] for file, by in tried.items() if file == by]
    assert dry_seconds(sample) == pytest.approx(sum(loading.dry_seconds for loading in own))
    assert all(len(loading.dry) == 2 and loading.dry_seconds > 0 for loading in own)


def test_the_specimen_chest_asks_for_16_dry_runs(sample: PacketFacts) -> None:
    """Tails, sockets and pins: three widths. Grooves: boards of 560 mm alone at each stop, and five pairs of lengths."""
    if sample.manifest.job == "Specimen chest":
        tried = dry_runs_of(sample)
        assert len(tried) == 25
        assert sum(file == by for file, by in tried.items()) == 3 * 3 + 2 + 5


def test_the_page_says_what_is_in_its_times(sample: PacketFacts) -> None:
    words = time_words(sample)
    assert re.search(rf"\b{sample.names.machine.spin_up_s:g} s of run-up", words)
