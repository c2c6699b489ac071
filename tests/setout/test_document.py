"""A job file that is written on by key."""

from __future__ import annotations

import difflib
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camtools.output.fresh_job import fresh_job
from camtools.setout.document import Document

CHEST = (Path(__file__).parents[2] / "samples" / "specimen-chest.toml").read_text(encoding="utf-8")
FIRST = (Path(__file__).parents[2] / "samples" / "first-drawer.toml").read_text(encoding="utf-8")


def changes(before: str, after: str) -> list[str]:
    """Return the lines that went, and those that came."""
    lines = difflib.unified_diff(before.splitlines(), after.splitlines(), n=0, lineterm="")
    return [line for line in lines if line[0] in "+-" and line[:3] not in ("+++", "---")]


def test_value_is_written_over_and_its_comment_stays() -> None:
    document = Document(CHEST)
    document.put("groove.edge", 12)
    assert changes(CHEST, document.text) == [
        "-edge = 11.5  # high enough to lie inside the lowest tail",
        "+edge = 12  # high enough to lie inside the lowest tail",
    ]


def test_new_key_stands_after_those_of_its_table_and_not_in_the_next() -> None:
    document = Document(CHEST)
    document.put("stock.spare_width", 5)
    at = document.text.splitlines().index("spare_width = 5")
    assert document.text.splitlines()[at - 1].startswith("dampest = 12")


def test_key_of_a_file_to_fill_in_takes_the_place_of_its_comment_and_gives_it_back() -> None:
    fresh = fresh_job("mm").decode()
    document = Document(fresh)
    document.put("joints.lap", 5)
    assert [line.replace("# lap", "lap")[:8] for line in changes(fresh, document.text)] == ["-lap = 5", "+lap = 5"]
    document.take_out("joints.lap")
    assert document.text == fresh


def test_table_that_is_lacking_is_begun_and_one_of_a_drawer_is_written_in_braces() -> None:
    document = Document(FIRST)
    document.put("joints.lap", 4)
    document.put("drawers[1].fit.side", 0.5)
    document.put("drawers[1].fit.above", 1)
    assert "[joints]\nlap = 4\n" in document.text
    assert document.text.endswith("fit = { side = 0.5, above = 1 }\n")
    document.take_out("drawers[1].fit.side")
    document.take_out("drawers[1].fit.above")
    assert "fit" not in document.content["drawers"][0]


@pytest.mark.parametrize("text", [CHEST, FIRST], ids=["tables", "braces"])
def test_cutters_are_copied_moved_and_taken_out_however_they_are_written(text: str) -> None:
    document = Document(text)
    document.repeat("cutters", 0)
    document.move("cutters", 0, 2)
    document.take_out("cutters[2]")
    document.insert("cutters", 2, {"kind": "straight", "diameter": 3, "cutting_length": 9})
    assert [(one["kind"], one["diameter"]) for one in tomllib.loads(document.text)["cutters"]] == [
        ("dovetail", 12.7),
        ("dovetail", 12.7),
        ("straight", 3),
    ]


def test_comment_over_a_drawer_goes_with_it() -> None:
    text = (
        FIRST.replace("[[drawers]]", "# the upper one\n[[drawers]]") + '\n# the lower one\n[[drawers]]\nname = "Low"\noutside = [1, 2, 3]\n'
    )
    document = Document(text)
    document.move("drawers", 1, 0)
    lines = [line for line in document.text.splitlines() if line.startswith(("# the", "name"))]
    assert [line.split('"')[1] if '"' in line else line for line in lines] == ["# the lower one", "Low", "# the upper one", "Seed drawer"]


def test_place_that_a_file_can_not_have_is_refused() -> None:
    document = Document(FIRST)
    with pytest.raises(KeyError):
        document.put("machine.travel[2]", 400)
    with pytest.raises(KeyError):
        document.take_out("joints.lap")
    with pytest.raises(KeyError):
        document.move("drawers", 0, 1)
    assert document.text == FIRST


KEYS = ("stock.front", "joints.lap", "joints.tails", "fit.above", "drawers[1].count", "drawers[1].joints.lap", "cutters[1].flutes", "title")
WORK = st.one_of(
    st.tuples(st.just("put"), st.sampled_from(KEYS), st.integers(1, 60)),
    st.tuples(st.just("take_out"), st.sampled_from(KEYS)),
    st.tuples(st.just("repeat"), st.sampled_from(["drawers", "cutters"]), st.just(0)),
    st.tuples(st.just("move"), st.sampled_from(["drawers", "cutters"]), st.integers(0, 3), st.integers(0, 3)),
)


@settings(max_examples=40)
@given(st.sampled_from([CHEST, FIRST, fresh_job("in").decode()]), st.lists(WORK, max_size=8))
def test_text_says_what_was_written_and_loses_no_comment_of_the_file(text: str, work: list[tuple[str, object]]) -> None:
    document = Document(text)
    for what, *told in work:
        try:
            getattr(document, what)(*told)
        except (KeyError, IndexError):
            continue
    after = document.text  # raises where it does not say what it should
    for line in (line for line in text.splitlines() if line.startswith("# ") and " = " not in line):
        assert line in after
