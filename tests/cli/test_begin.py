"""A job file to fill in: it is cut as it is, says every key, and shows what camtools takes for those that are left out."""

from __future__ import annotations

import re
import tomllib
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

from camtools.cli import group
from camtools.job import parse_job, read_job
from camtools.job.json_schema import schema_of_jobs

UNITS = {"mm": [], "in": ["--inch"]}


def _run(*words: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(group, list(words), input="")


@pytest.fixture(params=UNITS)
def begun(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    path = tmp_path / f"{request.param}.toml"
    result = _run("begin", str(path), *UNITS[request.param])
    assert result.exit_code == 0, result.stderr
    return path


def _all_said(text: str) -> str:
    """Take the # from every key that has a value."""
    return re.sub(r"^# (?=\w+ = (?!\s*#))", "", text, flags=re.MULTILINE)


def test_it_is_planned_and_cut_as_it_is(begun: Path) -> None:
    assert _run("plan", str(begun), "--picture", str(begun.with_suffix(".svg"))).exit_code == 0
    result = _run("packet", str(begun), "-o", str(begun.with_suffix("")), "--no-pictures")
    assert result.exit_code == 0, result.stderr
    assert "Warnings" not in result.stderr


def test_it_is_in_the_units_that_are_asked_for(begun: Path) -> None:
    job, _ = read_job(begun)
    assert job.units == begun.stem
    assert job.cutters[0].diameter_mm == 12.7  # half an inch
    numbers = re.findall(r"^(?:# )?(?:diameter|holder|lap) = ([\d.]+)", begun.read_text(), re.MULTILINE)
    assert max(map(float, numbers)) < (2 if job.units == "in" else 100)


def test_every_key_of_the_form_stands_in_it_with_its_meaning(begun: Path) -> None:
    schema = schema_of_jobs()
    tables = re.split(r"^\[+(\w+)\]+$", begun.read_text(), flags=re.MULTILINE)
    said = dict[str, str]()
    for name, text in zip(tables[1::2], tables[2::2], strict=True):
        said[name] = said.get(name, "") + text
    forms = {"stock": "StockForm", "cutters": "CutterForm", "machine": "MachineForm", "joints": "JointForm", "groove": "GrooveForm"}
    for name, form in {**forms, "fit": "FitForm", "drawers": "DrawerForm"}.items():
        for key, what in schema["$defs"][form]["properties"].items():
            (line, *_) = re.findall(rf"^(?:# )?{key} = ?.*  # (.*)$", said[name], re.MULTILINE) or [""]
            assert line, (name, key)
            assert what["description"].startswith(line), (name, key)
    assert max(map(len, begun.read_text().splitlines())) <= 140
    assert len(begun.read_text().splitlines()) <= 170


def test_what_it_shows_of_keys_that_are_left_out_is_what_is_taken_for_them(begun: Path) -> None:
    text = begun.read_text()
    said = _all_said(text)
    assert len(tomllib.loads(said)["machine"]) > 15
    plain, left_out = parse_job(text, "begun")
    spoken, still_left_out = parse_job(said, "said")
    assert len(left_out) > 40
    assert {default.value for default in still_left_out if default.key.split(".")[1] != "max_speed"} == {"not known"}
    assert "max_speed" not in tomllib.loads(said)["cutters"][0], "what is marked on a cutter nobody has read"
    for one, other in zip(_values(plain), _values(spoken), strict=True):
        assert one == (pytest.approx(other, rel=2e-3, abs=2e-3) if isinstance(other, float) else other)


def _values(value: Any) -> list[Any]:
    if is_dataclass(value):
        return [one for field in fields(value) if field.name not in ("source", "assumed") for one in _values(getattr(value, field.name))]
    return [one for item in value for one in _values(item)] if isinstance(value, tuple) else [value]


def test_an_editor_finds_nothing_wrong_with_it(begun: Path) -> None:
    judge = Draft202012Validator(schema_of_jobs())
    for text in (begun.read_text(), _all_said(begun.read_text())):
        assert [error.message for error in judge.iter_errors(tomllib.loads(text))] == []


def test_what_is_there_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "chest.toml"
    path.write_text("mine")
    result = _run("begin", str(path))
    assert result.exit_code == 4
    assert "is there" in result.stderr
    assert path.read_text() == "mine"
    path.unlink()
    path.symlink_to(tmp_path / "elsewhere.toml")
    assert _run("begin", str(path)).exit_code == 4
    assert not (tmp_path / "elsewhere.toml").exists()
    assert _run("begin", str(tmp_path / "none" / "chest.toml")).exit_code == 4
