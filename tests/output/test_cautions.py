"""Cautions: in full in the packet, in short at the head of the programs that they concern."""

from dataclasses import replace

import pytest

from camtools.output.cautions import CAUTIONS, safety_text, short_cautions
from camtools.output.comments import comment, plain
from camtools.toolpath.moves import Program, Setting
from tests.output.specimens import PROGRAMS

# What a safety text of this work has to speak of: the list of the project's task.
SUBJECTS = [
    "dry run", "upright board", "flat board", "dovetail cutter", "highest speed marked", "dust", "eye", "ear", "stay with it", "manual",
    "rules where you work",
]  # fmt: skip


@pytest.mark.parametrize("subject", SUBJECTS)
def test_the_full_text_speaks_of_every_usual_danger(subject: str) -> None:
    assert subject in " ".join(safety_text().lower().split())


def test_the_full_text_is_plain_narrow_and_numbered() -> None:
    text = safety_text()
    assert text.isascii()
    assert max(map(len, text.splitlines())) <= 88
    for i, caution in enumerate(CAUTIONS, 1):
        assert f"\n{i}. {caution.topic}\n" in text


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda caution: caution.topic)
def test_a_short_caution_fits_one_comment_and_loses_nothing_in_it(caution: object) -> None:
    short = getattr(caution, "short")  # noqa: B009
    assert comment("caution", short) == [f"(caution: {short})"]
    assert plain(short) == short


@pytest.mark.parametrize("program", PROGRAMS, ids=lambda program: program.stem)
def test_a_program_warns_of_what_it_does(program: Program) -> None:
    told = " / ".join(short_cautions(program))
    assert ("upright board" in told) == (program.setup.hold == "upright")
    assert ("flat board" in told) == (program.setup.hold == "flat")
    assert ("dovetail cutter" in told) == any(cut.cutter.kind == "dovetail" for cut in program.cuts)
    for words in ("manual", "dry run", "highest speed", "dust", "eye and ear", "never leave"):
        assert words in told


def test_a_program_for_a_board_that_was_slid_warns_of_what_reaches_out() -> None:
    slid = replace(PROGRAMS[0], setup=replace(PROGRAMS[0].setup, setting=Setting(2, 2, 60.0)))
    assert ["stand" in " ".join(short_cautions(program)) for program in (PROGRAMS[0], slid)] == [False, True]
