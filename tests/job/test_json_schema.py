from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from camtools.faults import CannotCut, JobFault
from camtools.job import parse_job
from camtools.job.job import Job
from camtools.job.json_schema import schema_of_jobs
from tests.job.jobs import changed, read, toml

HOUSE = Path(__file__).parent.parent.parent
SCHEMA = schema_of_jobs(styles=["standard", "spaced", "even", "swelling"], postprocessors=["mm", "inch"])
JUDGE = Draft202012Validator(SCHEMA)

# Bad jobs whose every value may stand where it is; what is wrong lies between values, or in the tables of woods.
BETWEEN_VALUES = {
    "above-the-tables", "cutter-not-there", "cutter-number-twice", "faults-of-one-drawer", "held-wrong",
    "lap-as-thick-as-the-front", "machine-upside-down", "mm-in-an-inch-job", "name-twice", "no-dovetail-cutter", "no-neck",
    "no-straight-cutter", "rows-of-two-woods", "seasons-out-of-order", "short-cutters", "short-tails", "sizes-in-the-wrong-order",
    "thin-lap", "too-fast", "too-little-travel", "unknown-woods", "weak-groove",
}  # fmt: skip


def content_of(path: Path) -> dict[str, Any]:
    """Return what JSON can hold of a TOML file."""
    return json.loads(json.dumps(tomllib.loads(path.read_text(encoding="utf-8")), default=str))


def test_the_schema_is_one_of_its_own_dialect() -> None:
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize(
    "path", [*sorted((HOUSE / "samples").glob("*.toml")), HOUSE / "tests/cases/hostile-names/job.toml"], ids=lambda path: path.stem
)
def test_every_good_job_passes(path: Path) -> None:
    assert [error.message for error in JUDGE.iter_errors(content_of(path))] == []


def _toml_cases() -> list[Path]:
    cases = []
    for path in sorted((HOUSE / "tests" / "cases").glob("*/expected.txt")):
        try:
            content_of(path.with_name("job.toml"))
        except ValueError:
            continue
        cases.append(path.parent)
    return cases


@pytest.mark.parametrize("case", _toml_cases(), ids=lambda case: case.name)
def test_a_bad_job_fails_where_what_is_wrong_is_a_value_by_itself(case: Path) -> None:
    faults = list(JUDGE.iter_errors(content_of(case / "job.toml")))
    assert bool(faults) == (case.name not in BETWEEN_VALUES), [fault.message for fault in faults]


def test_every_key_has_a_title_and_says_what_it_is() -> None:
    for name, table in SCHEMA["$defs"].items():
        assert table["additionalProperties"] is False, name
        for key, what in table["properties"].items():
            assert what["title"], (name, key)
            assert len(what["description"]) > 10, (name, key)
    assert set(SCHEMA["required"]) == {"title", "stock", "cutters", "drawers"}
    assert all("description" in what or "$ref" in what for what in SCHEMA["properties"].values())


LEFT_OUT: dict[tuple[str, str], tuple[str, Callable[[Job], object], Callable[[Job], object]]] = {
    ("CutterForm", "number"): ("the first number that is free", lambda job: [cutter.number for cutter in job.cutters], lambda _: [1, 3, 2]),
    ("StockForm", "back"): ("as the sides", lambda job: job.drawers[0].stock.back_mm, lambda job: job.drawers[0].stock.side_mm),
    ("StockForm", "front_wood"): ("as wood", lambda job: job.drawers[0].stock.front_wood, lambda _: "Oak, European"),
    ("StockForm", "side_wood"): ("as wood", lambda job: job.drawers[0].stock.side_wood, lambda _: "Oak, European"),
    ("StockForm", "back_wood"): ("as wood", lambda job: job.drawers[0].stock.back_wood, lambda _: "Oak, European"),
    ("StockForm", "bottom_wood"): ("as wood", lambda job: job.drawers[0].stock.bottom_wood, lambda _: "Oak, European"),
    ("JointForm", "tails"): ("chosen", lambda job: job.drawers[0].joint.tails, lambda _: None),
    ("JointForm", "tail"): ("chosen", lambda job: job.drawers[0].joint.tail_mm, lambda _: None),
    ("JointForm", "pin"): ("chosen", lambda job: job.drawers[0].joint.pin_mm, lambda _: None),
    ("JointForm", "half_pin"): ("chosen", lambda job: job.drawers[0].joint.half_pin_mm, lambda _: None),
    ("TemplatesForm", "bushes"): ("the common sizes", lambda job: job.templates.bushes_mm, lambda _: None),
    ("TemplatesForm", "guide"): ("what the commonest tail needs", lambda job: job.templates.guide_mm, lambda _: None),
    ("TemplatesForm", "guide_radius"): ("what the rounded tails need", lambda job: job.templates.guide_radius_mm, lambda _: None),
    ("TemplatesForm", "guide_inset"): ("over the tails", lambda job: job.templates.guide_inset_mm, lambda _: None),
    ("DrawerForm", "family"): ("it does", lambda job: job.drawers[0].family, lambda _: True),
    ("MachineForm", "stack"): ("board by board", lambda job: job.machine.stack_mm, lambda _: None),
    ("FitForm", "above"): ("from the movement of the wood", lambda job: job.drawers[0].fit.above_mm, lambda _: None),
}


def test_every_default_that_the_schema_names_is_the_one_that_is_taken() -> None:
    """What is chosen later, or follows from how the wood moves, is None till then."""
    told = {
        (name.removeprefix("Own"), key): what["description"].partition(" Left out: ")[2].removesuffix(".")
        for name, table in SCHEMA["$defs"].items()
        for key, what in table["properties"].items()
        if "left out" in what["description"].lower()
    }
    assert told == {place: words for place, (words, *_) in LEFT_OUT.items()}
    extra = {"kind": "straight", "diameter": 5, "cutting_length": 10}
    job, _ = read({"cutters.1.number": 3, "cutters.2": extra, "stock.wood": "oak", "stock.bottom_kind": "solid", "templates": {}})
    for place, (_, taken, expected) in LEFT_OUT.items():
        assert taken(job) == expected(job), place


def test_what_toml_does_not_know_is_not_in_it() -> None:
    assert '"null"' not in json.dumps(SCHEMA)
    assert "default" not in json.dumps(SCHEMA)


def test_styles_are_those_there_are() -> None:
    job = changed({"joints.style": "spaced"})
    assert JUDGE.is_valid(job)
    assert not JUDGE.is_valid(changed({"joints.style": "wavy"}))
    assert Draft202012Validator(schema_of_jobs()).is_valid(changed({"joints.style": "wavy"}))


VALUES: st.SearchStrategy[Any] = (
    st.sampled_from(
        [
            "20 mm",
            "3/4 in",
            "1 1/2 in",
            "1:6",
            "14 deg",
            "60 in/min",
            "2,5 mm",
            "flat",
            "solid",
            "raised",
            "oak",
            "upright",
            "",
            " ",
            "x" * 81,
        ]
    )
    | st.booleans()
    | st.integers(-2, 30)
    | st.floats(-1, 400)
    | st.lists(st.integers(1, 400) | st.sampled_from(["flat", "10 in"]), max_size=4)
    | st.just({})
)
KEYS = [
    f"{path}.{key}"
    for path, table in {"stock": "StockForm", "cutters.0": "CutterForm", "cutters.1": "CutterForm", "machine": "MachineForm",
                        "joints": "JointForm", "groove": "GrooveForm", "fit": "FitForm", "templates": "TemplatesForm", "trial": "TrialForm",
                        "drawers.0": "DrawerForm", "drawers.0.joints": "JointForm"}.items()
    for key in SCHEMA["$defs"][table]["properties"]
]  # fmt: skip


@settings(deadline=None)
@given(st.dictionaries(st.sampled_from(KEYS), VALUES, min_size=1, max_size=2))
def test_an_editor_finds_no_fault_with_what_the_reader_takes(values: dict[str, Any]) -> None:
    try:
        content = changed(values)
    except (TypeError, AttributeError):
        return  # a value took the place of a table that another was to stand in
    text = "".join(f"{key} = {toml(value)}\n" for key, value in content.items())
    try:
        parse_job(text, "job.toml")
    except (JobFault, CannotCut):
        return
    assert [error.message for error in Draft202012Validator(schema_of_jobs()).iter_errors(content)] == []
