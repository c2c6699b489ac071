from __future__ import annotations

import json
import tomllib
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from camtools.job.lines import lines_of

TEXT = '''\
# a comment with [brackets] and = signs
title = "a # b ] } \\" = c"   # not a comment until here

[stock]
front.deep = 1
"odd key" = 'c:\\path'
"\\u0061" = 2

[[cutters]]
kind = """
several
lines = "quoted" \\""" of it"""
[[cutters]]
sizes = [
  1, # one
  [2, 3],
  { a = 1, b = { c = 2 } },
]
[[drawers]]
[drawers.fit]
side = 1
[[drawers]]
fit = { side = 2 }
'''


def test_every_key_and_item_is_found_on_its_line() -> None:
    lines = lines_of(TEXT)
    assert tomllib.loads(TEXT)
    for place, line in {
        ("title",): 2,
        ("stock",): 4,
        ("stock", "front"): 5,
        ("stock", "front", "deep"): 5,
        ("stock", "odd key"): 6,
        ("stock", "a"): 7,
        ("cutters",): 9,
        ("cutters", 0): 9,
        ("cutters", 0, "kind"): 10,
        ("cutters", 1): 13,
        ("cutters", 1, "sizes"): 14,
        ("cutters", 1, "sizes", 0): 15,
        ("cutters", 1, "sizes", 1, 1): 16,
        ("cutters", 1, "sizes", 2, "b", "c"): 17,
        ("drawers", 0): 19,
        ("drawers", 0, "fit"): 20,
        ("drawers", 0, "fit", "side"): 21,
        ("drawers", 1): 22,
        ("drawers", 1, "fit", "side"): 23,
    }.items():
        assert lines[place] == line, place


KEYS = st.text(alphabet="abz_-09", min_size=1, max_size=4) | st.text(alphabet="a.#[]{}='\" \\é\t\n", max_size=4)
LEAVES = st.booleans() | st.integers(-9, 9) | st.floats(0, 1) | st.text(alphabet="ab#[]{}=,'\"\\\né", max_size=6)
VALUES = st.recursive(LEAVES, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3), max_leaves=8)


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(key)} = {_toml(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list):
        return "[ # items\n" + "".join(f"  {_toml(item)},\n" for item in value) + "]"
    return json.dumps(value)


def _places(value: Any, place: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [found for key, item in pairs for found in ((*place, key), *_places(item, (*place, key)))]


@settings(deadline=None)
@given(
    st.dictionaries(KEYS, VALUES, max_size=4),
    st.dictionaries(KEYS, st.lists(st.dictionaries(KEYS, VALUES, max_size=3), min_size=1, max_size=2), max_size=2),
)
def test_no_place_that_toml_knows_is_missing_or_out_of_order(top: dict[str, Any], tables: dict[str, Any]) -> None:
    text = "".join(f"{json.dumps(key)} = {_toml(value)}\n" for key, value in top.items())
    for name, entries in tables.items():
        if name not in top:
            for entry in entries:
                text += f"\n[[{json.dumps(name)}]]\n" + "".join(f"{json.dumps(key)} = {_toml(value)}\n" for key, value in entry.items())
    content = tomllib.loads(text)
    lines = lines_of(text)
    places = _places(content)
    assert set(lines) == set(places)
    assert [lines[place] for place in places] == sorted(lines[place] for place in places)
