"""Machine times on the page are sums of the manifest's."""

from __future__ import annotations

import re

import pytest

from camtools.page.blocks import Span, Table
from camtools.page.chapters import CHAPTERS
from camtools.page.facts import PacketFacts
from camtools.page.times import counted_words, drawer_seconds, dry_seconds, total_seconds


def manifest_seconds(facts: PacketFacts) -> float:
    counts = {board.id: board.count for board in facts.manifest.boards}
    return sum(program.seconds * counts[program.board] for program in facts.manifest.programs if program.kind == "cut")


def test_the_piece_takes_what_its_boards_take(sample: PacketFacts) -> None:
    assert total_seconds(sample) == pytest.approx(manifest_seconds(sample))


def test_every_table_of_times_sums_up_to_the_manifest(sample: PacketFacts) -> None:
    tables = [
        block
        for chapter in CHAPTERS
        for block in chapter.blocks(sample)
        if isinstance(block, Table) and any(isinstance(value, Span) for value in block.foot)
    ]
    assert {table.caption for table in tables} == {"Rounds", "Machine time"}
    for table in tables:
        rows = [row[-1] for row in table.rows]
        assert sum(span.seconds for span in rows if isinstance(span, Span)) == pytest.approx(manifest_seconds(sample))
        assert isinstance(table.foot[-1], Span)
        assert table.foot[-1].seconds == pytest.approx(manifest_seconds(sample))


def test_a_drawer_takes_what_its_five_boards_take(sample: PacketFacts) -> None:
    for drawer in sample.manifest.drawers:
        parts = set(drawer.parts.model_dump().values())
        by_hand = sum(program.seconds for program in sample.manifest.programs if program.kind == "cut" and program.board in parts)
        assert drawer_seconds(sample, drawer) == pytest.approx(by_hand)


def test_dry_runs_are_counted_once_for_each_file(sample: PacketFacts) -> None:
    files = {program.file: program.seconds for program in sample.manifest.programs if program.kind != "cut"}
    assert dry_seconds(sample) == pytest.approx(sum(files.values()))


def test_the_page_says_what_is_in_its_times(sample: PacketFacts) -> None:
    words = counted_words(sample)
    assert re.search(rf"\b{sample.names.spin_up_s:g} s of run-up", words)
    assert re.search(rf"\b{sample.names.tool_change_s:g} s for each change of cutter", words)
