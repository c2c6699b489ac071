"""What `camtools plan` shows, against the job file and the drawers themselves."""

from __future__ import annotations

import json
import re
import tomllib
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from camtools.cli import group
from camtools.cli.show import clean
from camtools.drawer import drawers_of
from camtools.job import read_job
from camtools.toolpath.programs import programs_of
from camtools.wording import told_in

JOBS = sorted((Path(__file__).parent.parent.parent / "samples").glob("*.toml"))
HOSTILE = "x) M3 S24000 ( [red]<script>"


def _plan(job: Path, *options: str, width: int = 80) -> Result:
    return CliRunner(env={"COLUMNS": str(width)}).invoke(group, ["plan", str(job), *options])


def _words(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(params=JOBS, ids=lambda path: path.stem)
def job(request: pytest.FixtureRequest) -> Path:
    return request.param


@pytest.mark.parametrize("options", [(), ("--why",)])
def test_plan_is_read_in_80_columns_and_leaves_standard_output_to_data(options: tuple[str, ...], job: Path) -> None:
    result = _plan(job, *options)
    assert result.exit_code == 0, result.output
    assert result.stdout == ""
    assert max(len(line) for line in result.stderr.splitlines()) <= 80
    assert "…" not in result.stderr


def test_plan_writes_nothing(job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert _plan(job).exit_code == 0
    assert list(tmp_path.iterdir()) == []


def test_plan_tells_what_has_to_be_measured_what_is_to_be_decided_and_counts_the_rest(job: Path) -> None:
    defaults = [replace(one, value=clean(one.value)) for one in read_job(job)[1]]
    assumed, left = _plan(job, width=400).stderr.split("\nAssumed, since")[1].split("\nLeft to camtools")
    shown = {one.key for one in defaults if one.ask}
    for one in defaults:
        assert not one.ask or any(line.startswith(one.ask) and f"{one.key} {one.value}" in line for line in assumed.splitlines()), one.key
    rows = dict(line.split(maxsplit=1) for line in left.split("\n--why")[0].splitlines()[3:])
    for one in defaults:
        table, _, key = one.key.rpartition(".")
        shown |= {one.key} if not one.ask and f", {key} {one.value}," in f", {rows.get(table, '').rstrip()}," else set()
    decided = {"joints.clearance", "joints.proud", "joints.lap", "joints.style", "groove.edge", "groove.depth", "fit.side", "stock.wood"}
    assert {one.key for one in defaults} & decided <= shown
    assert f"--why shows {len(defaults) - len(shown)} values more" in left


def test_plan_of_a_drawer_fits_on_two_screens_and_ends_with_what_to_do_next(samples: Path) -> None:
    lines = _plan(samples / "first-drawer.toml").stderr.splitlines()
    assert len(lines) <= 2 * 50
    steps = [_words(line) for line in lines[lines.index("What to do next") + 3 :]]
    assert all(any(f"camtools {name}" in line for line in steps) for name in ("plan", "trial", "packet"))


def test_why_names_every_value_left_to_camtools(job: Path) -> None:
    _, defaults = read_job(job)
    result = _plan(job, "--why")
    assert len(defaults) > 5
    lines = result.stderr.splitlines()
    for default in defaults:
        row = next((line for line in lines if line.startswith(f"{default.key} ")), "")
        assert default.value.split()[0] in row, default.key
        assert default.reason.split()[0] in (" ".join(lines) if default.ask else row), default.key
    assert result.stderr.count("the mark on the shank") == ("max_speed" not in job.read_text().split("[machine]")[0])


def test_plan_tells_every_note_in_full(job: Path) -> None:
    parsed, _ = read_job(job)
    printed, short = (_words(_plan(job, *options).stderr) for options in (("--why",), ()))
    with told_in(parsed.units):
        drawers = drawers_of(parsed)
    for drawer in drawers:
        for note in drawer.notes:
            assert _words(note.text) in printed
            assert note.kind == "choice" or _words(note.text) in short


def test_cut_list_has_five_boards_for_each_drawer(job: Path) -> None:
    lines = _plan(job).stderr.splitlines()
    start = next(index for index, line in enumerate(lines) if line.startswith("Cut list"))
    stop = next(index for index, line in enumerate(lines) if line.startswith("The reference edge"))
    rows = [line.split() for line in lines[start + 3 : stop] if not line.startswith((" ", "show front "))]
    count = sum(drawer.get("count", 1) for drawer in tomllib.loads(job.read_text(encoding="utf-8"))["drawers"])
    assert sum(int(row[1]) for row in rows) == 5 * count
    assert {row[0].rsplit("-", 1)[0] for row in rows} == {"front", "back", "left-side", "right-side", "bottom"}


def test_cut_list_has_the_fronts_that_are_laid_over_drawers(tmp_path: Path) -> None:
    path = tmp_path / "overlaid.toml"
    sizes = {"Seeds": (280, 90), "Lichens": (280, 90), "Ferns": (420, 90)}
    drawers = "".join(f'[[drawers]]\nname = "{name}"\ncount = 2\nopening = [{w}, {h}, 300]\n' for name, (w, h) in sizes.items())
    head = JOBS[0].read_text(encoding="utf-8").split("[[drawers]]")[0]
    fit = 'fit = { front = "overlay", overlay_side = 8, overlay_above = 7, overlay_below = 6 }\n'
    path.write_text(f"{head}{fit}{drawers}", encoding="utf-8")
    rows = [line for line in _plan(path).stderr.splitlines() if line.startswith("show front ")]
    assert [row.split() for row in rows] == [
        ["show", "front", "4", "296", "103", "20", "unknown", "hardwood", "Seeds,", "Lichens"],
        ["show", "front", "2", "436", "103", "20", "unknown", "hardwood", "Ferns"],
    ]


def test_the_cut_list_of_a_job_in_inches_is_in_inches(samples: Path) -> None:
    path = samples / "inch-cabinet.toml"
    plan = _plan(path).stderr
    assert "Cut list: sizes in inches" in plan
    sizes = list(json.loads(_plan(path, "--json").stdout)["drawers"][0]["boards"][0]["size_mm"].values())
    (row,) = [line for line in plan.splitlines() if line.startswith("front-1 ")]
    told = [sum(map(Fraction, words.split())) for words in re.findall(r'([0-9][0-9 ./]*)"', row.split(maxsplit=2)[2])]
    assert [float(size) * 25.4 for size in told] == pytest.approx(sizes, abs=0.0128)  # an inch is 25.4 mm: NIST SP 811, B.6


def test_unknown_style_and_dialect_are_faults_of_the_job_file_beside_its_others(tmp_path: Path) -> None:
    path = tmp_path / "unknown.toml"
    text = JOBS[0].read_text(encoding="utf-8").replace("side = 12", "side = 120")
    words = 'joints = { style = "standart" }\nmachine = { postprocessor = "inches" }\n[[drawers]]'
    path.write_text(text.replace("[[drawers]]", words, 1), encoding="utf-8")
    result = _plan(path, "--json")
    assert result.exit_code == 2
    faults = {fault["where"].split(": ")[1]: fault for fault in json.loads(result.stdout)["faults"]}
    assert set(faults) == {"stock.side", "joints.style", "machine.postprocessor"}
    assert all("unknown.toml, line " in fault["where"] for fault in faults.values())
    assert faults["joints.style"]["changes"] == [
        {"key": "joints.style", "path": ["joints", "style"], "value": "standard", "example": False}
    ]
    assert faults["machine.postprocessor"]["changes"][0]["value"] == "inch"


def test_json_says_what_the_drawers_are(job: Path) -> None:
    result = _plan(job, "--json")
    plan = json.loads(result.stdout)
    assert result.stderr == ""
    parsed, defaults = read_job(job)
    assert plan["job"] == parsed.title
    assert [entry["key"] for entry in plan["defaults"]] == [default.key for default in defaults]
    for told, drawer in zip(plan["drawers"], drawers_of(parsed), strict=True):
        assert told["name"] == drawer.name
        assert list(told["outside_mm"].values()) == pytest.approx(drawer.outside_mm, abs=1e-3)
        assert [board["id"] for board in told["boards"]] == [board.id for board in drawer.boards]
        assert len(told["choices"]) + len(told["warnings"]) == len(drawer.notes)
        sides = told["tails"]["front"]
        height = told["outside_mm"]["height"]
        assert [tail["middle_mm"] for tail in sides] == pytest.approx([height - tail["middle_mm"] for tail in reversed(sides)], abs=2e-3)


def test_json_has_what_other_stops_and_stacks_would_save(samples: Path, tmp_path: Path) -> None:
    plan = json.loads(_plan(samples / "first-drawer.toml", "--json").stdout)
    better = plan["better_stops"]
    assert better["setups_now"] == sum(one["times"] for one in plan["setups"]) == plan["handling"]["setups"]
    text = (samples / "first-drawer.toml").read_text("utf-8")
    stops = "".join(f"{hold}_stops = {places}\n" for hold, places in better["places_mm"].items())
    moved = tmp_path / "moved.toml"
    moved.write_text(text.replace("[[drawers]]", f"[machine]\n{stops}[[drawers]]"), "utf-8")
    again = json.loads(_plan(moved, "--json").stdout)
    assert (again["handling"]["setups"], again["better_stops"]) == (better["setups"], None)
    moved.write_text(text.replace("[[drawers]]", "[machine]\nstack = 40\n[[drawers]]").replace("opening", "count = 2\nopening"), "utf-8")
    stacked = json.loads(_plan(moved, "--json").stdout)
    moved.write_text(text.replace("opening", "count = 2\nopening"), "utf-8")
    apart = json.loads(_plan(moved, "--json").stdout)
    assert stacked["stacks"]["setups_saved"] == apart["handling"]["setups"] - stacked["handling"]["setups"] > 0
    minutes = [one["handling"]["minutes"] + sum(s["times"] * s["seconds"] for s in one["setups"]) / 60 for one in (stacked, apart)]
    assert stacked["stacks"]["minutes_saved"] == pytest.approx(minutes[1] - minutes[0], abs=0.3)
    assert apart["stacks"] is None


def test_settings_beyond_the_travel_are_told_with_their_distance_piece(samples: Path, tmp_path: Path) -> None:
    short = tmp_path / "short.toml"
    text = (samples / "first-drawer.toml").read_text("utf-8")
    short.write_text(text.replace("[[drawers]]", "[machine]\ntravel = [250, 600, 120]\n[[drawers]]"), "utf-8")
    worked = read_job(short)[0]
    (slid,) = json.loads(_plan(short, "--json").stdout)["settings"]
    setting = next(p.setup.setting for p in programs_of(worked, drawers_of(worked)) if p.setup.setting.total > 1)
    assert (slid["of"], slid["settings"], slid["distance_piece_mm"]) == ("grooves", [setting.total], setting.step_mm)
    told = f"Beyond the travel: grooves are cut in 2 settings, the board slid on by a distance piece of {setting.step_mm:g} mm."
    assert told in " ".join(_plan(short).stderr.split())
    assert json.loads(_plan(samples / "first-drawer.toml", "--json").stdout)["settings"] == []


def test_json_is_the_same_on_every_run(job: Path) -> None:
    assert _plan(job, "--json").stdout == _plan(job, "--json").stdout


@pytest.mark.parametrize(("dialect", "two"), [("mm", "41"), ("few-lines", "none")])
def test_set_ups_are_counted_as_the_controller_can_run_them(dialect: str, two: str, samples: Path, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        (samples / "specimen-chest.toml").read_text("utf-8").replace("[machine]", f'[machine]\npostprocessor = "{dialect}"'), "utf-8"
    )
    assert f"setups of the machine, {two} of them with two boards" in _words(_plan(job).stderr)
    setups = json.loads(_plan(job, "--json").stdout)["setups"]
    assert any(len(setup["programs"]) > 1 for setup in setups) == (two != "none")


def test_what_can_not_be_cut_is_told_after_what_could_be_worked_out(tmp_path: Path) -> None:
    text = JOBS[0].read_text(encoding="utf-8").replace("[[drawers]]", "machine = { travel = [60, 200, 80] }\n[[drawers]]", 1)
    path = tmp_path / "small-machine.toml"
    path.write_text(text, encoding="utf-8")
    result = _plan(path)
    assert result.exit_code == 3
    assert "Cut list" in result.stderr
    assert "travel" in result.stderr.split("This can not be cut as asked")[1]
    assert json.loads(_plan(path, "--json").stdout)["exit_code"] == 3


def test_templates_that_can_not_be_made_are_told_of_by_the_plan(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(JOBS[0].read_text() + '\n[templates]\nbushes = ["30 mm"]\n')
    result = _plan(job, "--why")
    assert result.exit_code == 3
    assert "a bush of 30 mm" in result.stderr
    assert "templates.kerf" in result.stderr  # what was left to camtools is told all the same
    job.write_text(job.read_text() + "leave_out = true\n")
    assert _plan(job).exit_code == 0


def test_a_missing_job_file_is_a_fault_of_the_job(tmp_path: Path) -> None:
    result = _plan(tmp_path / "no-such.toml")
    assert result.exit_code == 2
    assert "no-such.toml" in _words(result.stderr).replace(" ", "")


def test_a_hostile_name_is_shown_as_it_stands(tmp_path: Path) -> None:
    path = tmp_path / "hostile.toml"
    text = JOBS[0].read_text(encoding="utf-8")
    path.write_text(text.replace('"Seed drawer"', json.dumps(HOSTILE)), encoding="utf-8")
    result = _plan(path)
    assert result.exit_code == 0, result.output
    assert HOSTILE.replace(" ", "") in "".join(line.split("  ")[0] for line in result.stderr.splitlines()).replace(" ", "")
    assert json.loads(_plan(path, "--json").stdout)["drawers"][0]["name"] == HOSTILE


@pytest.mark.parametrize(("ending", "start"), [("svg", b"<svg "), ("png", b"\x89PNG"), ("pdf", b"%PDF-"), ("SVG", b"<svg ")])
def test_a_picture_is_of_the_kind_its_name_tells_and_the_same_each_time(ending: str, start: bytes, tmp_path: Path) -> None:
    path = tmp_path / f"piece.{ending}"
    result = _plan(JOBS[0], "--picture", str(path))
    assert result.exit_code == 0
    assert "drawn 1:2 on 1 sheet of A3" in _words(result.stderr)
    first = path.read_bytes()
    assert first.startswith(start)
    path.write_bytes(first[:8] + b"older")
    result = _plan(JOBS[0], "--picture", str(path), "--json")
    assert json.loads(result.stdout)["picture"] == str(path)
    assert path.read_bytes() == first
    assert list(tmp_path.iterdir()) == [path]


def test_a_picture_of_no_known_kind_is_refused_with_what_would_do(tmp_path: Path) -> None:
    result = _plan(JOBS[0], "--picture", str(tmp_path / "piece.gif"))
    assert result.exit_code == 2
    assert ".svg, .png or .pdf" in result.stderr
    assert "piece.svg" in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_picture_replaces_nothing_but_an_older_one(tmp_path: Path) -> None:
    path = tmp_path / "piece.svg"
    path.write_text("my notes")
    result = _plan(JOBS[0], "--picture", str(path))
    assert result.exit_code == 4
    assert "is no SVG" in _words(result.stderr)
    assert path.read_text() == "my notes"
    assert _plan(JOBS[0], "--picture", str(tmp_path / "none" / "piece.svg")).exit_code == 4


def test_a_picture_of_several_sheets_is_a_pdf(tmp_path: Path) -> None:
    path = tmp_path / "many.toml"
    drawers = "".join(f'[[drawers]]\nname = "D{i}"\nopening = [{300 + i}, 100, 260]\n' for i in range(30))
    path.write_text((JOBS[0].parent / "first-drawer.toml").read_text().split("[[drawers]]")[0] + drawers)
    result = _plan(path, "--picture", str(tmp_path / "many.svg"))
    assert result.exit_code == 2
    assert "many.pdf" in _words(result.stderr)
    assert _plan(path, "--picture", str(tmp_path / "many.pdf")).exit_code == 0
    assert {one.name for one in tmp_path.iterdir()} == {"many.toml", "many.pdf"}


def test_the_picture_is_drawn_where_a_machine_is_too_small_for_the_programs(tmp_path: Path) -> None:
    path = tmp_path / "small.toml"
    path.write_text(
        (JOBS[0].parent / "first-drawer.toml").read_text().replace("[[drawers]]", "[machine]\ntravel = [60, 200, 80]\n[[drawers]]")
    )
    result = _plan(path, "--picture", str(tmp_path / "small.svg"))
    assert result.exit_code == 3, result.stderr
    assert (tmp_path / "small.svg").exists()


def test_layouts_are_told_alone_and_are_in_the_data(job: Path) -> None:
    result = _plan(job, "--layouts")
    assert result.exit_code == 0
    assert max(map(len, result.stderr.splitlines())) <= 80
    assert "Cut list" not in result.stderr
    drawers = json.loads(_plan(job, "--json").stdout)["drawers"]
    words = _words(result.stderr)
    for drawer in drawers:
        assert drawer["name"] in words
        assert [one["count"] for one in drawer["layouts"] if one["chosen"]] == [len(drawer["tails"]["front"])]


def test_the_year_has_a_row_for_each_season_of_every_drawer(job: Path) -> None:
    lines = _plan(job, "--why").stderr.split("Through the year")[1].split("What was chosen")[0].splitlines()
    seasons = [line.split() for line in lines if re.search(r"\b(driest|now|dampest) ", line)]
    planned = json.loads(_plan(job, "--json").stdout)["drawers"]
    years = {json.dumps(drawer["seasons"]): drawer["seasons"] for drawer in planned}
    assert len(seasons) == 3 * len(years)
    moistures = [f"{season['moisture_percent']:.1f}" for year in years.values() for season in year]
    assert [moisture in words for moisture, words in zip(moistures, seasons, strict=True)] == [True] * len(seasons)
    solid = any(drawer["stock"]["bottom_kind"] == "solid" for drawer in planned)
    assert ("play of their thickness" in _words("\n".join(lines))) is solid
    for drawer in planned:
        assert drawer["name"].split()[-1] in _words("\n".join(lines))
