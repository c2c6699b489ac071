"""Lengths as words, in the units of whoever reads them."""

from __future__ import annotations

import os
import re
from concurrent.futures import ThreadPoolExecutor
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camtools.crew import Crew, aside
from camtools.job.lengths import parse_length
from camtools.wording import Units, area, bare, fine, mm, quantity, sizes, span, told_in

NO_BREAK = "\N{NO-BREAK SPACE}"
INCH_MM = 25.4  # exactly, by the international yard and pound agreement of 1959 (NIST SP 811, appendix B.6)


@pytest.mark.parametrize(
    ("inches", "sentence", "short"),
    [
        (0.75, '3/4"', '3/4"'),
        (0.5, '1/2"', '1/2"'),
        (14.0, '14"', '14"'),
        (9.5, '9 1/2"', '9 1/2"'),
        (23 / 32, '23/32"', '23/32"'),
        (1 / 64, '1/64"', '1/64"'),
        (0.0, '0"', '0"'),
        (16.2 / 25.4, '41/64" less 0.003"', '0.638"'),  # 41/64 is 0.640625
        (0.22, '7/32" plus 0.001"', '0.220"'),  # 7/32 is 0.21875
        (0.003, '0.003"', '0.003"'),  # of no use to count 64ths there
        (-1.5, '-1 1/2"', '-1 1/2"'),
    ],
)
def test_a_length_in_inches_is_told_by_64ths_and_thousandths(inches: float, sentence: str, short: str) -> None:
    with told_in("in"):
        assert mm(inches * INCH_MM).replace(NO_BREAK, " ") == sentence
        assert bare(inches * INCH_MM).replace(NO_BREAK, " ") == short


def _said_in(text: str) -> float:
    """Return how many inches a sentence says, read as a maker does."""
    text = text.replace(NO_BREAK, " ")
    parts = re.fullmatch(r'(?:(\d+(?:\.\d+)?)(?:(?=")| (?=\d+/)))?(?:(\d+)/(\d+))?"(?: (plus|less) (0\.\d{3})")?', text)
    assert parts is not None, text
    whole, above, below, sign, over = parts.groups()
    inches = float(whole or 0) + (float(Fraction(int(above), int(below))) if above else 0.0)
    return inches + (float(over) if sign == "plus" else -float(over) if sign else 0.0)


@given(st.integers(0, 200_000))
def test_what_a_length_is_told_as_is_what_it_is_to_half_a_thousandth(tenths_of_a_thousandth: int) -> None:
    inches = tenths_of_a_thousandth / 10_000
    with told_in("in"):
        for text in (mm(inches * INCH_MM), bare(inches * INCH_MM)):
            assert abs(_said_in(text) - inches) <= 0.0005 + 1e-9, text


@given(st.integers(0, 40), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_a_fraction_comes_back_as_it_was_typed(whole: int, above: int, below: int) -> None:
    length = parse_length(f"{whole} {above % below}/{below} in")
    part = Fraction(above % below, below)
    typed = NO_BREAK.join([*([str(whole)] if whole or not part else []), *([str(part)] if part else [])])
    with told_in("in"):
        assert mm(length) == bare(length) == f'{typed}"'


@given(st.decimals(min_value=1, max_value=60, places=2))
def test_no_measured_hundredth_of_a_millimetre_is_lost(thickness: float) -> None:
    assert float(mm(float(thickness)).removesuffix(" mm")) == float(thickness)
    assert float(bare(float(thickness))) == float(thickness)


def test_every_kind_of_quantity_is_told_in_the_units_that_are_asked_for() -> None:
    def told() -> list[str]:
        return [
            sizes(355.6, 101.6),
            span(6.35, 12.7),
            fine(0.07),
            area(645.16),
            quantity(1270, "mm/min"),
            quantity(254, "mm/s2"),
            quantity(8, "%"),
        ]

    assert told() == ["355.6 x 101.6 mm", "6.35 to 12.7 mm", "0.070 mm", "645 mm²", "1270 mm/min", "254 mm/s2", "8 %"]
    with told_in(Units.INCH):
        assert told() == ['14" x 4"', '1/4" to 1/2"', '0.0028"', "1.000 sq in", "50 in/min", "10 in/s2", "8 %"]
    with told_in(Units.MM, Units.PROGRAM_INCH):
        assert told()[0] == "355.6 x 101.6 mm / 14.000 x 4.000 in"
        assert told()[4] == "1270 mm/min / 50.00 in/min"
        assert bare(12.7) == "12.7"
    assert told()[0] == "355.6 x 101.6 mm"


def _half_inch(_: int) -> str:
    return mm(12.7)


def test_whoever_works_for_another_tells_lengths_as_that_one_does(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    with Crew(2) as crew, told_in("in"):
        assert crew.map("telling", _half_inch, [1, 2, 3]) == ['1/2"'] * 3
        assert aside(_half_inch, 1)() == '1/2"'
    with ThreadPoolExecutor(1) as other:
        assert other.submit(_half_inch, 1).result() == "12.7 mm"
