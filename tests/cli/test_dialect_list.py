"""`camtools dialects`: every dialect is listed, and an example is what a packet would hold."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from camtools.cli import group
from camtools.job import read_job
from camtools.output.dialects import Dialect, dialect_of, left_to_operator, shipped_dialects
from camtools.output.sections import work_of

SAMPLES = Path(__file__).parent.parent.parent / "samples"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(group, ["dialects", *map(str, arguments)], catch_exceptions=False)


def test_all_that_ship_are_listed_with_what_they_are_like() -> None:
    told = json.loads(run("--json").stdout)
    assert told == {name: dialect_of(name).about for name in shipped_dialects()}
    assert all(told.values())


@pytest.mark.parametrize("name", shipped_dialects())
def test_an_example_holds_the_lines_of_a_program_that_is_written(name: str) -> None:
    example = json.loads(run(name, "--json").stdout)["example"]
    job, _ = read_job(SAMPLES / "first-drawer.toml")
    lines = work_of(job, dialect_of(name)).program_files[0].text.splitlines()
    cut = example.index("...")
    begin = lines.index(example[0])
    assert example[:cut] == lines[begin : begin + cut]
    assert example[cut + 1 :] == lines[-len(example[cut + 1 :]) :]
    assert any(re.search("G2[01]( .*units: (inches|millimetres).?)?$", line) for line in example)
    assert any(" X" in line for line in example)


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({}, "before that cutter moves"),
        ({"lengths": "table"}, "table of lengths"),
        ({"lengths": "one-cutter"}, "no program changes one"),
        ({"m6": False}, "by hand"),
        ({"work_offsets": 2}, "six kinds of setup share 2 work offsets"),
        ({"safe_height": "machine"}, "Home the machine"),
        ({"spindle_wait": "stop"}, "stops after it starts"),
        ({"spindle_wait": "none"}, "the program does not"),
        ({"path": "unsaid"}, "keep to corners"),
        ({"spindle": "hand"}, "Switch the spindle on and off"),
        ({"dwell": False}, "does not pause at its corners"),
        ({"comments": "none"}, "no word stands in it"),
        ({"most_lines": 300}, "Run the parts of a program one after the other"),
        ({"probe": "G10 L20", "probe_plate_mm": 15.0, "probe_reach_mm": 25.0, "probe_feed_mm_min": 90.0}, "Lay the touch plate"),
        ({"header": ("M8",)}, "your own first and last lines"),
    ],
)
def test_what_a_dialect_leaves_to_the_operator_is_said(keys: dict[str, object], words: str) -> None:
    own, plain = left_to_operator(Dialect(**keys)), left_to_operator(Dialect())
    assert any(words in sentence for sentence in own)
    assert keys == {} or not any(words in sentence for sentence in plain)


def test_all_are_shown_in_full_at_once() -> None:
    told = json.loads(run("--all", "--json").stdout)
    assert list(told) == list(shipped_dialects())
    assert told["bare"] == json.loads(run("bare", "--json").stdout)
    assert run("--all", "bare").exit_code == 2


def test_a_dialect_that_is_not_there_is_refused() -> None:
    refused = run("mn")
    assert refused.exit_code == 2
    assert "there is no such dialect" in refused.stderr
