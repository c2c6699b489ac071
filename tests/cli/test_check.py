"""``camtools check``: tables for people, JSON for programs, exit codes for scripts."""

from __future__ import annotations

import io
import json
import re

import pytest
from click.testing import CliRunner
from rich.console import Console

from camtools.cli import group, show
from tests.verify.small_packet import Small


@pytest.fixture
def run():
    def invoke(*arguments):
        return CliRunner().invoke(group, ["check", "--jobs", "1", *map(str, arguments)])

    return invoke


def test_good_packet_exits_with_0_and_shows_every_joint(run, tmp_path):
    result = run(Small().write(tmp_path / "packet"))
    assert result.exit_code == 0
    assert result.stdout == ""
    for words in ("front left", "back right", "Seeds", "0.080", "It fits: 5 boards carved"):
        assert words in result.stderr


def test_numbers_in_a_table_stay_whole_where_names_give_way(monkeypatch, capsys):
    monkeypatch.setenv("COLUMNS", "80")
    numbers = ['13 31/32"', '17 1/2"', '11.685"', '0.0079"', '6.406"']
    show.table("Drawers", ("drawer", *["tip or proud"] * 5), [("a plant press for the largest of all sheets", *numbers)], right=range(1, 6))
    told = capsys.readouterr().err
    assert any(all(number in line for number in numbers) for line in told.splitlines()), told
    assert max(map(len, told.splitlines())) <= 80


def test_spoiled_packet_exits_with_1_and_names_file_and_line(run, tmp_path):
    result = run(Small(deeper={"left-front": 0.3}).write(tmp_path / "packet"))
    assert result.exit_code == 1
    assert "programs/left-front.ngc:8" in result.stderr
    told = " ".join(result.stderr.split())
    assert 'front left joint of drawer "Seeds": 0.3 mm too deep, 12.3 mm for 12 mm; raise Z there by' in told
    assert "[cut-depth]" in told
    assert "shoulder-gap 1" in told.partition("more of the same cause: ")[2]
    assert "1 error, 0 warnings" in told
    assert "Do not cut this" in result.stderr


def test_what_can_not_be_judged_exits_with_2(run, tmp_path):
    result = run(tmp_path)
    assert result.exit_code == 2
    assert "manifest.json" in result.stderr
    assert "Not everything could be judged" in result.stderr


def test_json_is_the_report_and_nothing_else(run, tmp_path):
    result = run("--json", Small().write(tmp_path / "packet"))
    content = json.loads(result.stdout)
    assert content["ok"] is True
    assert content["findings"] == []
    assert len(content["drawers"][0]["joints"]) == 4


def test_pictures_are_written_where_asked(run, tmp_path):
    result = run("--pictures", tmp_path / "pictures", Small().write(tmp_path / "packet"))
    assert result.exit_code == 0
    assert len(list((tmp_path / "pictures").glob("*.png"))) == 4


def test_hostile_names_do_not_steer_the_terminal(run, tmp_path):
    packet = Small(deeper={"left-front": 0.3}).write(tmp_path / "packet")
    for name, own in (("manifest.json", "seeds"), ("limits.json", "seeds"), ("job.toml", "Seeds")):
        place = packet / name
        place.write_text(place.read_text(encoding="ascii").replace(f'"{own}"', '"\\u001b[31m[bold]x"'), encoding="ascii")
    result = run(packet)
    assert result.exit_code == 1
    assert "\x1b" not in result.stderr
    assert "[bold]x" in result.stderr


def test_without_a_terminal_each_stage_is_told_in_a_line_when_it_is_done(run, tmp_path):
    told = run(Small().write(tmp_path / "packet")).stderr.splitlines()
    stages = [line for line in told if line.startswith(("running programs", "carving boards", "joining drawers"))]
    assert stages == ["running programs: 12", "carving boards: 5", "joining drawers: 1"]


def test_on_a_terminal_a_bar_counts(monkeypatch):
    screen = Console(file=io.StringIO(), force_terminal=True, width=80)
    monkeypatch.setattr(show, "console", lambda: screen)
    with show.progress() as watch:
        watch("drawing", 3, 0)
        watch("carving boards", 2, 5)
    shown = screen.file.getvalue()
    assert re.search(r"carving boards.*2/5", shown)
    assert re.search(r"drawing.*3/\?", shown)
