"""Lines of the language. Sections are those of NISTIR 6556 (Kramer, Proctor, Messina, 2000)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camtools.verify.catalogue import READER_FINDINGS
from camtools.verify.reader.codes import G_GROUP, M_GROUP
from camtools.verify.reader.words import Block, LineFault, looks_like_code, read_block, reads_as_code

NUMBERS = [("5.", 5.0), (".5", 0.5), ("-.5", -0.5), ("+5", 5.0), ("00012.50", 12.5), ("-0", 0.0), ("1 2 . 3\t4", 12.34)]
FAULTS = [
    ("X.", "number-missing", "3.3.2.1 p17"),
    ("X-", "number-missing", "3.3.2.1 p17"),
    ("X--1", "number-missing", "3.3.2.1 p17"),
    ("X1,5", "bad-character", "3.3.2.1 p17"),
    ("X1.2.3", "bad-character", "3.3.2.1 p17"),
    ("X", "number-missing", "3.3.2 p15"),
    ("G1 X Y2", "number-missing", "3.3.2 p15"),
    ("5", "bad-character", "3.3 p15"),
    ("X1e3", "number-with-exponent", "E.2"),
    ("X1.5E-3 Y2", "number-with-exponent", "E.2"),
    ("X#1E3", "not-judged", "3.3.2.2 p17"),
    ("X1e+300", "number-with-exponent", "E.2"),
    ("X99999999", "number-out-of-range", "a machine's size"),
    ("E1", "bad-character", "E.3 p107"),
    ("O100", "bad-character", "E.3 p107"),
    ("U1", "bad-character", "E.3 p107"),
    ("V1", "bad-character", "E.3 p107"),
    ("W1", "bad-character", "E.3 p107"),
    ("G1 X1 ; quick (so)", "comment-nested", "common practice, no source"),
    ("%", "bad-character", "3.1 p12"),
    ("X1 /", "bad-character", "2.2.2 p9"),
    ("X\N{FULLWIDTH DIGIT ONE}", "bad-character", "E.3 p107"),
    ("X1\N{NO-BREAK SPACE}", "bad-character", "3.3 p15"),
    ("X1\x0b", "bad-character", "3.3 p15"),
    ("\N{LATIN SMALL LETTER SHARP S}1", "bad-character", "E.3 p107"),
    ("N", "bad-line-number", "3.3.1 p15"),
    ("N-1", "bad-line-number", "3.3.1 p15"),
    ("N1.5 X1", "bad-line-number", "3.3.1 p15"),
    ("N000009", "bad-line-number", "3.3.1 p15"),
    ("N100000", "bad-line-number", "3.3.1 p15"),
    ("X1 N10", "bad-line-number", "3.3.1 p15"),
    ("N1 N2", "bad-line-number", "3.3.1 p15"),
    ("(open", "comment-not-closed", "3.3.4 p18"),
    ("X1 (open", "comment-not-closed", "3.3.4 p18"),
    ("closed)", "comment-not-closed", "3.3.4 p18"),
    ("(a) b)", "comment-not-closed", "3.3.4 p18"),
    ("(a (b))", "comment-nested", "3.3.4 p18"),
    ("(bell \a)", "comment-not-printable", "3.3.4 p18"),
    ("X1 X1", "word-twice", "3.3.5 p19"),
    ("X1 Y2 F3 F3", "word-twice", "3.3.5 p19"),
    ("M0 M6 M3 M7 M48", "too-many-m-words", "3.3.5 p19"),
    ("M7 M8", "two-of-a-group", "3.3.5 p19"),
    ("G0 G1 X1", "two-of-a-group", "3.4 p20"),
    ("G1 G01 X1", "two-of-a-group", "3.4 p20"),
    ("G54 G55", "two-of-a-group", "3.4 p20"),
    ("G4 G53 P1", "two-of-a-group", "3.4 p20"),
    ("G5", "unknown-code", "Table 4 p20"),
    ("G0.5", "unknown-code", "Table 4 p20"),
    ("G1.234", "unknown-code", "Table 4 p20"),
    ("G-1", "unknown-code", "Table 4 p20"),
    ("M10", "unknown-code", "Table 4 p20"),
    ("M3.5", "unknown-code", "Table 4 p20"),
    ("#1", "not-judged", "3.3.2.2 p17"),
    ("#5400=1", "not-judged", "3.3.2.2 p17"),
]


@pytest.mark.parametrize(("text", "value"), NUMBERS)
def test_a_number_reads_as_it_is_written(text: str, value: float) -> None:
    """3.3.2.1 p17; spaces within numbers: 3.3 p15."""
    assert read_block(f"X{text}Y1").values == {"X": value, "Y": 1.0}


@pytest.mark.parametrize(("text", "code", "section"), FAULTS)
def test_a_faulty_line_is_refused_by_name(text: str, code: str, section: str) -> None:
    with pytest.raises(LineFault) as caught:
        read_block(text)
    assert caught.value.code == code, section


@pytest.mark.parametrize("text", ["", " \t ", "/", "N10", "/ N 1 0", "N99999", "n0", "( a )", "(a)(b) (c)", "N7 (a)", "()"])
def test_a_line_may_say_nothing(text: str) -> None:
    """3.3 p14-15; several comments: 3.3.5 p19; N or / alone: as interpreters behave."""
    assert not read_block(text).has_words


def test_a_line_holds_words_and_comments() -> None:
    block = read_block("/n0010 g01 x2(cut) y7 m03 (then on) s1.5")
    assert block == Block({"X": 2.0, "Y": 7.0, "S": 1.5}, {1: 10}, {7: 3}, ["cut", "then on"], True)


def test_a_code_passes_within_a_ten_thousandth_of_a_whole_number() -> None:
    """3.3.2.1 p17."""
    assert read_block("G 1.000005 M3.00009") == read_block("G1 M3")
    assert read_block("G59.10000").g == {12: 591}


@pytest.mark.parametrize(("code", "group"), sorted(G_GROUP.items()))
def test_every_g_code_of_table_4_is_known(code: int, group: int) -> None:
    assert read_block(f"G{code / 10:g}").g == {group: code}


@pytest.mark.parametrize(("code", "group"), sorted(M_GROUP.items()))
def test_every_m_code_of_table_4_is_known(code: int, group: int) -> None:
    assert read_block(f"M{code:03d}").m == {group: code}


@pytest.mark.parametrize("comment", ["G1 X10", "g1x10y-3.5f100", " X 10 ", "M5", "N10 G0 Z5"])
def test_a_comment_of_nothing_but_code_is_recognised(comment: str) -> None:
    assert reads_as_code(comment)


@pytest.mark.parametrize(
    "comment", ["", "left side, front end up", "drawer 3", "T1", "S18000", "MSG, M5 now", "Z0 is the top of the work", "1:8"]
)
def test_a_comment_in_plain_words_is_no_code(comment: str) -> None:
    assert not reads_as_code(comment)
    assert not looks_like_code(comment)


@pytest.mark.parametrize("comment", ["was G1 X10", "removed: g01 x-5.5 y2", "G0Z5 before"])
def test_a_move_within_a_comment_is_noticed(comment: str) -> None:
    assert not reads_as_code(comment)
    assert looks_like_code(comment)


@given(st.text(alphabet="GMXYZIJKFSTNP0123456789.+-[]()#=/* \tEOinsqrt", max_size=80))
def test_any_line_reads_or_is_refused(text: str) -> None:
    """Nothing but a LineFault with a known code ever leaves the reader of lines."""
    refused = None
    try:
        read_block(text)
    except LineFault as fault:
        refused = fault.code
    assert refused is None or refused in READER_FINDINGS


@given(
    st.dictionaries(st.sampled_from("XYZIJKFSPT"), st.decimals(-999, 999, places=4), min_size=1),
    st.randoms(use_true_random=False),
)
def test_harmless_edits_of_a_line_change_nothing(words: dict[str, object], dice: object) -> None:
    """Case, spaces, order, leading zeros, line numbers and comments: 3.3 p15, 3.3.6 p19."""
    plain = "".join(f"{letter}{value:f}" for letter, value in words.items())
    parts = []
    order = list(words.items())
    dice.shuffle(order)  # type: ignore[attr-defined]
    for letter, value in order:
        sign, digits = ("-", f"{value:f}"[1:]) if f"{value:f}".startswith("-") else ("", f"{value:f}")
        parts.append(f" {letter.lower()} {sign}00{digits[:1]}\t{digits[1:]}0 (note)")
    edited = read_block("n00123" + "".join(parts))
    assert edited.values == read_block(plain).values
    assert len(edited.comments) == len(words)
