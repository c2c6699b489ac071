"""The check's own reading of a job file: units, what a drawer has of its own, and text that is no job file."""

from __future__ import annotations

import math

import pytest

from camtools.verify.written import LARGEST_JOB_BYTES, written_in

JOB = """
title = " Specimen chest "
stock = {{ front = {value}, side = "1/2 in" }}
cutters = [{{ kind = "dovetail" }}, {{ number = 2, angle = "1:8" }}, {{ kind = "straight" }}]
[joints]
lap = 5
proud = 0.3
[[drawers]]
name = "Mosses"
opening = ["10 in", 60, 360]
joints = {{ lap = 4 }}
[[drawers]]
name = "Ferns"
"""


def read(value="20"):
    return written_in(JOB.format(value=value).encode())


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("19", 19.0),
        ('"19 mm"', 19.0),
        ('"1.9 cm"', 19.0),
        ('"3/4 in"', 19.05),
        ('"1 1/2 in"', 38.1),
        ('"1-1/2 inches"', 38.1),
        ("'23/32\"'", 18.25625),
        ('".5 in"', 12.7),
        ('"60 in/min"', 1524.0),
        ('"20 mm/s"', 1200.0),
        ('"1:8"', math.degrees(math.atan(1 / 8))),
        ('"14 deg"', 14.0),
        ('"even"', "even"),
        ('"1/0 in"', "1/0 in"),
        ('"5 feet"', "5 feet"),
        ("true", True),
    ],
)
def test_measure_is_read_with_its_unit(text, mm):
    """An inch is 25.4 mm: international yard and pound agreement of 1959."""
    found = read(text).drawers[0].stock["front"]
    assert found == (pytest.approx(mm, abs=1e-12) if isinstance(mm, float) else mm)
    assert type(found) is type(mm)


def test_drawer_has_its_own_values_and_the_rest_of_the_piece():
    mosses, ferns = read().drawers
    assert (mosses.joints, ferns.joints) == ({"lap": 4.0, "proud": 0.3}, {"lap": 5.0, "proud": 0.3})
    assert mosses.own == {"opening": (254.0, 60.0, 360.0)}
    assert read().title == "Specimen chest"
    assert mosses.words == 'drawer "Mosses"'


def test_cutters_without_a_number_get_the_free_ones_in_order():
    assert [(number, cutter.get("kind")) for number, cutter in read().cutters.items()] == [(1, "dovetail"), (2, None), (3, "straight")]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"title = ",
        b"\xff\xfe",
        b'title = "no drawers"\ncutters = []',
        b'title = 1\ncutters = []\ndrawers = "none"',
        b"title = 1\ncutters = 5\ndrawers = []",
        b"title = 1\ncutters = [{number = []}]\ndrawers = []",
        b"title = 1\nstock = { front = 1" + b"0" * 400 + b" }\ncutters = []\ndrawers = []",
        b"title = 1\nx = 1" + b"0" * 5000,
        b"title = 1\nx = " + b"[" * 50_000,
        b"a." * 100_000 + b"a = 1",
        b" " * (LARGEST_JOB_BYTES + 1),
    ],
)
def test_what_is_no_job_file_raises_value_error(content):
    with pytest.raises(ValueError, match=r"."):
        written_in(content)
