"""Remedies that are told were tried, and they work when they are applied by other hands: `tests.mending.remedied`."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from camtools.cli import group
from camtools.faults import Change, Fault, JobFault, merged
from camtools.job.form import CutterForm, DrawerForm, FitForm, GrooveForm, JointForm, MachineForm, StockForm, TemplatesForm
from camtools.mending import Trials, mended
from tests.job.jobs import changed, toml
from tests.mending.refused_jobs import GOOD, refused_job
from tests.mending.remedied import after, faults_of_file, judged, mended_of

IN_A_TEST, AT_A_TIME = 60, 20  # of the 2000 that `python -m tests.mending` tries


@pytest.mark.parametrize("first", range(0, IN_A_TEST, AT_A_TIME))
def test_every_fault_of_random_refused_jobs_goes_by_its_remedy(first: int) -> None:
    for seed in range(first, first + AT_A_TIME):
        wrong, count = judged(refused_job(seed, faults_of_file))
        assert count
        assert wrong == [], f"seed {seed}"


def test_the_jobs_that_are_spoiled_are_good() -> None:
    assert [faults_of_file(content) for content in GOOD] == [[]] * len(GOOD)


def test_a_thin_front_and_its_lap_do_not_send_each_other_round() -> None:
    """The lap may not be less than 2.4 mm nor the tails shorter than 5 mm, so a front of 5 mm takes neither."""
    content = changed({"stock.front": 5, "joints": {"lap": 3}})
    (fault,) = mended_of(content).faults
    assert fault.remedy.endswith("then the job can be cut")
    assert after(content, fault.changes) == []
    assert "stock.front" in {change.key for change in fault.changes}


@pytest.mark.parametrize(("written", "meant"), [(15, "20"), (4, '"4 in"')])
def test_a_size_near_its_limit_is_of_another_size_and_one_far_off_of_another_unit(written: int, meant: str) -> None:
    (fault,) = mended_of(changed({"drawers.0.opening": [300, written, 260]})).faults
    assert fault.remedy.startswith(f"write drawers[1].opening[2] = {meant} (was {written});")


@pytest.mark.parametrize(("height", "front"), [(45, 20), (38, 20), (33, 20), (45, 32)])
def test_clamps_that_a_remedy_asks_for_are_named_and_stand_no_lower_than_a_batten(height: float, front: float) -> None:
    """A batten 8 mm thick, screwed down, is about the lowest that holds a board: common practice, no source."""
    content = changed({"machine": {"travel": [600, 400, height]}, "stock.front": front})
    error = mended_of(content)
    for fault in error.faults:
        assert after(content, error.together or fault.changes) == []
        for change in fault.changes:
            if change.key == "machine.clamp_height":
                assert change.value >= 8
                assert "(battens screwed down, or clamps that press from the side)" in fault.remedy


def test_low_travel_is_mended_by_low_clamps_in_inches_too() -> None:
    (fault,) = mended_of(changed({"machine": {"travel": ["600 mm", "400 mm", "1.8 in"]}})).faults
    assert "machine.clamp_height" in [change.key for change in fault.changes]
    assert "(battens screwed down" in fault.remedy


def test_boards_as_thick_as_they_are_get_a_longer_cutter_where_that_does() -> None:
    content = changed({"stock.side": 32, "stock.back": 12})
    (fault,) = mended_of(content).faults
    assert fault.remedy.startswith("with another cutter: cutters[2].cutting_length = 32")
    assert after(content, fault.changes) == []


def test_sizes_in_centimetres_are_written_in_mm() -> None:
    content = changed({"drawers.0.opening": [55, 24, 21]})
    (fault,) = mended_of(content).faults
    assert "are these centimetres?" in fault.limit
    assert fault.remedy == "write drawers[1].opening = [550, 240, 210] (was [55, 24, 21]); then the job can be cut"


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("130 x 65 x 210", [130, 65, 210]),
        ("300 × 90 × 210.5 mm", ["300 mm", "90 mm", "210.5 mm"]),
        ("12 by 4 by 10 in", ["12 in", "4 in", "10 in"]),
    ],
)
def test_sizes_in_one_text_are_shown_as_a_list(written: str, meant: list[Any]) -> None:
    content = changed({"drawers.0.opening": written})
    (fault,) = mended_of(content).faults
    assert [(change.key, change.value) for change in fault.changes] == [("drawers[1].opening", meant)]
    assert after(content, fault.changes) == []


@pytest.mark.parametrize(
    ("values", "start"),
    [
        ({"units": "in", "stock.front": 0.75, "groove": {"edge": 0.12}}, "write groove.edge = 0."),
        ({"stock.front": "3/4 in", "groove": {"edge": "0.12 in"}}, 'write groove.edge = "0.'),
    ],
)
def test_a_length_is_written_in_the_unit_that_stands_around_it(values: dict[str, Any], start: str) -> None:
    inches: dict[str, Any] = {
        "stock.side": 0.5,
        "stock.bottom": 0.25,
        "cutters.0.diameter": 0.5,
        "cutters.0.cutting_length": 0.625,
        "cutters.1.diameter": 0.25,
        "cutters.1.cutting_length": 0.875,
        "drawers.0.opening": [11, 3.5, 12],
    }
    content = changed((inches if "units" in values else {}) | values)
    (fault,) = mended_of(content).faults
    assert fault.remedy.startswith(start)
    assert after(content, fault.changes) == []


def test_an_example_is_told_in_round_inches_where_those_are_written() -> None:
    content = changed({"units": "in", "stock.front": 0.75, "stock.side": 0.5, "stock.bottom": 0.25, "drawers.0.opening": [9, 3]})
    cutters = {"cutters.0.diameter": 0.5, "cutters.0.cutting_length": 0.625, "cutters.1.diameter": 0.25, "cutters.1.cutting_length": 0.875}
    content["cutters"] = changed(cutters)["cutters"]
    (fault,) = mended_of(content).faults
    assert [change.value for change in fault.changes] == [[11.75, 4, 10.25]]
    assert after(content, fault.changes) == []


def test_several_wishes_that_stand_in_the_way_are_taken_out_together() -> None:
    """Neither 60 mm tails with half pins of 30 mm nor five tails of 60 mm find room on a drawer about 88 mm high."""
    content = changed({"joints": {"tails": 5, "tail": 60, "half_pin": 30}})
    (fault,) = mended_of(content).faults
    assert fault.remedy.startswith("take out ")
    assert len(fault.changes) > 1
    assert after(content, fault.changes) == []


def test_a_job_in_the_other_unit_throughout_is_mended_by_one_word() -> None:
    content: dict[str, Any] = changed({}) | {"units": "in"}
    error = mended_of(content)
    assert error.together == (Change("units", "mm", as_written=True),)


def test_the_same_fault_of_several_drawers_is_told_once_with_their_names(tmp_path: Path) -> None:
    more = [{"name": name, "opening": [280, height, 300], "groove": {"depth": 10}} for name, height in (("Ferns", 90), ("Mosses", 110))]
    content = changed({"drawers.0.groove": {"depth": 11}}) | {}
    content["drawers"] += more
    path = tmp_path / "deep.toml"
    path.write_text("".join(f"{key} = {toml(value)}\n" for key, value in content.items()), encoding="utf-8")
    result = CliRunner().invoke(group, ["plan", str(path), "--json"])
    (fault,) = json.loads(result.stdout)["faults"]
    assert result.exit_code == 3
    assert fault["drawers"] == ["Seeds", "Ferns", "Mosses"]
    assert fault["value"] == '11 mm of 12 mm ("Seeds"); 10 mm of 12 mm ("Ferns" and "Mosses")'
    assert [change["key"] for change in fault["changes"]] == [f"drawers[{place}].groove.depth" for place in (1, 2, 3)]
    assert '"Seeds", "Ferns" and "Mosses"' in " ".join(result.stderr.split())


def test_faults_at_other_keys_or_of_other_kinds_are_told_apart() -> None:
    one = Fault("drawers[1].groove.depth", "is too deep", drawers=("a",))
    others = (
        Fault('drawers[2] "b", groove.depth', "is too deep", drawers=("b",)),
        Fault("groove.edge", "is too deep"),
        Fault("groove.depth", "is odd"),
    )
    assert [fault.kind for fault in merged((one, *others))] == [
        ("groove.depth", "is too deep"),
        ("groove.edge", "is too deep"),
        ("groove.depth", "is odd"),
    ]


def test_a_fault_of_each_of_many_drawers_is_mended_in_all_of_them() -> None:
    content = changed({})
    content["drawers"] = [
        {"name": f"Ferns {place}", "opening": [280, 90, 300 + 10 * (place % 3)], "groove": {"depth": 4 if place % 2 else 10}}
        for place in range(60)
    ]
    trials = Trials(Path())
    (fault,) = mended(JobFault(), content, trials).faults
    assert len(fault.drawers) == len(fault.changes) == 30
    assert fault.remedy.endswith("; then the job can be cut")
    assert len(fault.remedy) < 400
    assert after(content, fault.changes) == []
    assert len([made for made in trials.worked if made.count("'name'") > 8]) <= 3, "the whole job is worked for what is told alone"


TABLES = {"stock": StockForm, "machine": MachineForm, "joints": JointForm, "groove": GrooveForm, "fit": FitForm, "templates": TemplatesForm}
KEYS = [f"{table}.{key}" for table, form in TABLES.items() for key in form.model_fields]
KEYS += [f"cutters.0.{key}" for key in CutterForm.model_fields] + [f"drawers.0.{key}" for key in DrawerForm.model_fields]


@pytest.mark.parametrize("value", ["?", False, [[]]])
def test_what_can_not_be_read_at_any_key_is_left_out_or_shown_by_an_example_that_is_valid(value: Any) -> None:
    for key in KEYS:
        content = changed({key: value})
        wrong, _ = judged(content) if faults_of_file(content) else ([], 0)
        assert wrong == [], key


def test_no_remedy_is_told_that_was_not_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Trials, "over", property(lambda _: True))
    (fault,) = mended_of(changed({"joints": {"lap": 16}})).faults
    assert fault.ways
    assert not fault.changes
    assert fault.remedy.startswith("nothing that was tried works")


def test_a_search_for_a_hopeless_job_ends_soon() -> None:
    content = changed({"machine": {"travel": [20, 20, 20]}, "stock.front": 59, "stock.side": 58, "joints": {"pin": 250, "tail": 280}})
    start = time.process_time()
    mended_of(content)
    assert time.process_time() - start < 6.0  # 2 s on a machine that has nothing else to do
