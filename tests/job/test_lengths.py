from __future__ import annotations

import math
import re
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camtools.job.lengths import ANGLE_PATTERN, FEED_PATTERN, LENGTH_PATTERN, parse_angle, parse_feed, parse_length
from camtools.wording import mm

INCH_MM = Fraction(254, 10)  # exactly, by the international yard and pound agreement of 1959 (NIST SP 811, appendix B.6)


@pytest.mark.parametrize(
    ("written", "length_mm"),
    [
        (19, 19.0),
        (6.4, 6.4),
        ("19", 19.0),
        ("19 mm", 19.0),
        ("19mm", 19.0),
        (" 19.5  mm ", 19.5),
        (".5 mm", 0.5),
        ("1.9 cm", 19.0),
        ("0.6 m", 600.0),
        ("3/4 in", 19.05),
        ("3/4in", 19.05),
        ("1 1/2 in", 38.1),
        ("1-1/2 in", 38.1),
        ('23/32"', 18.25625),
        ('1-1/2"', 38.1),
        ("1/2\u2033", 12.7),
        ("2 inches", 50.8),
        ("0.22 inch", 5.588),
        ("1 ft", 304.8),
        ("1 1/2 feet", 457.2),
        ("2 foot", 609.6),
        ("1/2 mm", 0.5),
        ("-3 mm", -3.0),
    ],
)
def test_a_length_is_read_as_a_maker_means_it(written: object, length_mm: float) -> None:
    assert parse_length(written) == pytest.approx(length_mm, abs=1e-12)


@pytest.mark.parametrize(
    ("written", "length_mm"), [(0.75, 19.05), (14, 355.6), ("3/4", 19.05), ("1 1/2", 38.1), ("0.5", 12.7), ("19 mm", 19.0), ('1/2"', 12.7)]
)
def test_in_a_job_in_inches_what_bears_no_unit_is_inches(written: object, length_mm: float) -> None:
    assert parse_length(written, "in") == pytest.approx(length_mm, abs=1e-12)
    assert parse_feed(60, "in") == parse_feed("60", "in") == pytest.approx(1524.0)
    assert parse_feed("1500 mm/min", "in") == 1500.0


@settings(deadline=None)
@given(
    st.integers(0, 99),
    st.integers(1, 63),
    st.sampled_from([2, 4, 8, 16, 32, 64]),
    st.sampled_from([" ", "-"]),
    st.sampled_from([" in", '"']),
)
def test_mixed_inches_are_exact(whole: int, above: int, below: int, joint: str, unit: str) -> None:
    assert parse_length(f"{whole}{joint}{above}/{below}{unit}") == float((whole + Fraction(above, below)) * INCH_MM)


@pytest.mark.parametrize(
    ("written", "hint"),
    [
        ("2,5 mm", 'use a point, not a comma: "2.5 mm"'),
        ("1,000 mm", "use a point"),
        ("3/4", 'write "3/4 in"'),
        ("1 1/2", 'write "1 1/2 in"'),
        ("3/0 in", "divided by nought"),
        ("", "such as"),
        ("mm", "such as"),
        ("19 mn", "such as"),
        ("19 yd", "such as"),
        ("1e3 mm", "such as"),
        ("19 mm; M3", "such as"),
        ("\u00bd in", "such as"),
        ("\u0661\u0669 mm", "such as"),  # digits of another script
        ("9" * 41, "at most 40 characters"),
        (True, "a number of mm"),
        (None, "a number of mm"),
        ([19], "a number of mm"),
        (math.nan, "finite"),
        (math.inf, "finite"),
        (10**400, "finite"),
    ],
)
def test_what_is_no_length_is_refused_with_what_to_write(written: object, hint: str) -> None:
    with pytest.raises(ValueError, match=re.escape(hint)):
        parse_length(written)


@settings(deadline=None)
@given(st.text(alphabet="0123456789 ./-+,:'\"mcinhesfto\u2033\u00bdx\n", max_size=14))
def test_the_pattern_for_editors_takes_what_the_reader_takes(text: str) -> None:
    try:
        length = parse_length(text, "in")  # which takes all that "mm" takes, and bare fractions
    except ValueError:
        length = None
    # A search, as JSON Schema has it; "$" alone would let a line break pass.
    taken = re.search(LENGTH_PATTERN.replace("$", r"\Z"), text) is not None
    if re.search(r"/ ?0+(?!\d)", text):
        return  # a division by nought is arithmetic
    assert taken == (length is not None and not text.strip().startswith("-"))


@pytest.mark.parametrize(
    ("written", "feed_mm_min"),
    [
        (1500, 1500.0),
        ("1500", 1500.0),
        ("1500 mm/min", 1500.0),
        ("60 in/min", 1524.0),
        ("1.5 m/min", 1500.0),
        ("25 mm/s", 1500.0),
        ("150 cm/min", 1500.0),
    ],
)
def test_a_feed_is_read_with_its_unit(written: object, feed_mm_min: float) -> None:
    assert parse_feed(written) == pytest.approx(feed_mm_min, abs=1e-9)
    assert not isinstance(written, str) or re.search(FEED_PATTERN, written)


@pytest.mark.parametrize("written", ["fast", "60 in", "1,5 m/min", "1500 mm / min", True, [1]])
def test_what_is_no_feed_is_refused(written: object) -> None:
    with pytest.raises(ValueError, match=r"write|use"):
        parse_feed(written)


@pytest.mark.parametrize(
    ("written", "angle_deg"),
    [
        (14, 14.0),
        ("14 deg", 14.0),
        ("14\u00b0", 14.0),
        # docs/sources.md section 3, slopes of the trade in degrees
        ("1:4", 14.04),
        ("1:5", 11.31),
        ("1:6", 9.46),
        ("1:7", 8.13),
        ("1:8", 7.13),
    ],
)
def test_an_angle_is_read_in_degrees_or_as_a_slope(written: object, angle_deg: float) -> None:
    assert parse_angle(written) == pytest.approx(angle_deg, abs=0.005)
    assert not isinstance(written, str) or re.search(ANGLE_PATTERN, written)


@pytest.mark.parametrize("written", ["1:0", "1/8", "8:1", "steep", "14,5 deg", False])
def test_what_is_no_angle_is_refused(written: object) -> None:
    with pytest.raises(ValueError, match=r"write|use"):
        parse_angle(written)


@pytest.mark.parametrize(
    ("length_mm", "text"), [(19.0, "19 mm"), (18.25625, "18.26 mm"), (0.004, "0 mm"), (-0.001, "0 mm"), (1500.0, "1500 mm")]
)
def test_a_length_is_told_to_a_hundredth(length_mm: float, text: str) -> None:
    assert mm(length_mm) == text
