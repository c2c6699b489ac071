"""How a board is to be placed, as a program's head says it."""

from __future__ import annotations

from pathlib import Path

import pytest

from camtools.page.board_placing import placing_of
from camtools.page.facts import PacketFacts

HEAD = """(program: left-side-1, tails)
(hold: upright, front end up, inside face towards)
(... the operator)
(stop: left stop)
(place: Stand it up.)
(place: Push its reference edge against)
(... the left stop.)
(cutter 1: dovetail)
(... place: no sentence of ours)
G21 (units)
"""


def test_wrapped_comments_are_put_together_again() -> None:
    hold, sentences = placing_of(HEAD)
    assert hold == "upright, front end up, inside face towards the operator"
    assert sentences == ("Stand it up.", "Push its reference edge against the left stop.")


def test_line_numbers_do_not_matter() -> None:
    numbered = "".join(f"N{i} {line}\n" for i, line in enumerate(HEAD.splitlines(), 1))
    assert placing_of(numbered) == placing_of(HEAD)


@pytest.mark.parametrize("text", ["", "G21\nM30\n", "(hold: )\n(place: )\n", "(... alone)\n"])
def test_a_program_without_words_says_nothing(text: str) -> None:
    hold, sentences = placing_of(text)
    assert not hold
    assert not any(sentences)


def test_every_setup_of_the_samples_tells_how_to_place_its_board(sample: PacketFacts, house: Path) -> None:
    for setup in sample.setups:
        hold, sentences = placing_of(setup.program.text)
        assert hold.startswith(setup.entry.hold)
        assert f"{setup.entry.stop} stop" in " ".join(sentences)
