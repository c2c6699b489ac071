"""What is not TOML is told of with its line and with what may be meant."""

from __future__ import annotations

import tomllib

import pytest

from camtools.faults import JobFault
from camtools.job.tables import content_of


@pytest.mark.parametrize(
    ("line", "remedy"),
    [
        ("diameter = 12,7", "use a point, not a comma: 12.7"),
        ("stock = { front = 19,5, side = 12 }", "use a point, not a comma: 19.5"),
        ("opening = [300 100 260]", "write commas between the values: [300, 100, 260]"),
        ("opening = [300; 100; 260]", "write commas between the values: [300, 100, 260]"),
        ("name = Seeds", 'a text stands in quotes: "Seeds"'),
        ("wood = oak  # from the yard", 'a text stands in quotes: "oak"'),
        ("name = \u201cSeeds\u201d", 'use plain quotes: "..."'),
        ('name = "Seeds', "close the quotes on the line where they begin"),
        ("front = 19mm", 'a length with a unit stands in quotes: "19 mm"'),
        ("front = 3/4 in", 'a length with a unit stands in quotes: "3/4 in"'),
        ("front = 3/4", 'a length with a unit stands in quotes: "3/4 in"'),
        ('front = 1 1/2"', 'a length with a unit stands in quotes: "1 1/2 in"'),
        ("stock = { front = 19mm, side = 12 }", 'a length with a unit stands in quotes: "19 mm"'),
        ("front: 19", "write = between a key and its value"),
        ("[[drawers]", "write commas between the values, and close every bracket and brace"),
        ("stock = { front = 20 side = 12 }", "write commas between the values, and close every bracket and brace"),
        ("stock = { front = 20,", "a table in braces stands on one line"),
        ("stock = { front: 20 }", "write = between a key and its value"),
        ('name "Seeds"', "write = between a key and its value"),
        ("opening = 300, 100, 260", "a list stands in square brackets: [300, 100, 260]"),
        ('front = "3/4""', 'write the unit in letters, within the quotes: "3/4 in"'),
        ('stock = { front = "1 1/2"", side = 1 }', 'write the unit in letters, within the quotes: "1 1/2 in"'),
        ('name = "Seeds";', "nothing but a comment, which begins with #, stands behind a value"),
        (r'file = "C:\drawers\boards.csv"', r"write / in place of \, or put the text in single quotes"),
        ("cutters = [\n[machine]", "close the list that was begun above with ]"),
        ("cutters = [\n[[drawers]]", "close the list that was begun above with ]"),
        ("stock = { front = 20, front = 21 }", "keep one of the two; begin each cutter with [[cutters]] and each drawer with [[drawers]]"),
        ("front = 20\nfront = 21", "keep one of the two; begin each cutter with [[cutters]] and each drawer with [[drawers]]"),
    ],
)
def test_line_that_is_not_toml_is_shown_with_what_may_be_meant(line: str, remedy: str) -> None:
    with pytest.raises(JobFault) as raised:
        content_of(f'title = "Chest"\n{line}\n', "job.toml")
    (fault,) = raised.value.faults
    assert fault.where.startswith(f"job.toml, line {2 + line.count(chr(10))}, column ")
    assert fault.value == line.split("\n")[-1]
    assert fault.remedy == remedy


def test_list_that_is_open_at_the_end_of_the_file_is_to_be_closed() -> None:
    with pytest.raises(JobFault, match="at its end") as raised:
        content_of("cutters = [\n  { kind = 1 },\n", "job.toml")
    assert raised.value.faults[0].remedy == "close the list that was begun above with ]"


@pytest.mark.parametrize("line", ["opening = [300, 100, 260]", "a = 12.7", 'a = "3/4 in"', "a = { b = 1, c = [1, 2] }", "a = [1_000, 2]"])
def test_hint_is_given_only_where_there_is_a_fault(line: str) -> None:
    assert content_of(line, "job.toml") == tomllib.loads(line)


def test_long_line_is_answered_at_once() -> None:
    with pytest.raises(JobFault):
        content_of("a = [1" + " 1" * 200_000 + " x!\n", "job.toml")
