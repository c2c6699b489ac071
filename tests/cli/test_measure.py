"""The sheet on which boards are measured: a line for each, left alone where it is, read where the job file names it."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from camtools.cli import group

JOB = """title = "Seeds"
{head}
stock = {{ front = {front}, side = {side}, bottom = {bottom} }}
cutters = [
  {{ kind = "dovetail", diameter = "12.7 mm", angle = 14, cutting_length = "16 mm" }},
  {{ kind = "straight", diameter = "6 mm", cutting_length = "22 mm" }},
]
[boards]
file = "sheets/boards.csv"
[[drawers]]
name = "=Mosses"
outside = {outside}
count = 2
"""
MM = JOB.format(head='units = "mm"', front=20, side=12, bottom=6.4, outside=[300, 100, 250])
INCH = JOB.format(head='units = "in"', front=0.75, side=0.5, bottom=0.25, outside=[12, 4, 10])


def _run(*words: str) -> Result:
    return CliRunner(env={"COLUMNS": "160"}).invoke(group, list(words), input="")


@pytest.fixture(params=[MM, INCH], ids=["mm", "in"])
def job(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    (tmp_path / "sheets").mkdir()
    path = tmp_path / "seeds.toml"
    path.write_text(request.param)
    return path


def test_the_sheet_has_a_line_for_every_board_and_is_read_as_it_is(job: Path) -> None:
    sheet, pdf = job.parent / "sheets" / "boards.csv", job.parent / "boards.pdf"
    missing = _run("plan", str(job))
    assert missing.exit_code == 2
    assert "camtools measure seeds.toml -o sheets/boards.csv" in " ".join(missing.stderr.split())
    result = _run("measure", str(job), "-o", str(sheet), "--pdf", str(pdf))
    assert result.exit_code == 0, result.stderr
    rows = list(csv.DictReader(sheet.read_text("utf-8-sig").splitlines()))
    unit = "in" if 'units = "in"' in job.read_text() else "mm"
    assert [row["board"] for row in rows] == [f"d1-{k}-{part}" for k in (1, 2) for part in ("front", "back", "left", "right", "bottom")]
    assert {row[f"{name} {unit}"] for row in rows for name in ("length", "width", "thickness")} == {""}
    assert rows[0]["drawer"] == "'=Mosses, 1 of 2"
    assert "\N{NO-BREAK SPACE}" not in sheet.read_text("utf-8-sig")
    text = "".join("".join(page.extract_text() for page in PdfReader(pdf).pages).split())
    assert all(row["board"] in text for row in rows)
    assert _run("plan", str(job)).exit_code == 0


def test_a_sheet_that_is_there_is_left_alone(job: Path) -> None:
    sheet = job.parent / "sheets" / "boards.csv"
    sheet.write_text("mine")
    result = _run("measure", str(job), "-o", str(sheet))
    assert (result.exit_code, sheet.read_text()) == (4, "mine")
    assert "is there, so it is left alone" in " ".join(result.stderr.split())


def test_a_wrong_sheet_is_told_of_by_its_own_name_and_line(job: Path) -> None:
    (job.parent / "sheets" / "boards.csv").write_text("board,length mm,width mm,thickness mm\nd9-left,,,\n")
    result = _run("plan", str(job))
    assert result.exit_code == 2
    assert "boards.csv, line 2" in " ".join(result.stderr.split())


def test_a_board_that_is_no_board_for_its_place_is_refused_with_what_to_do_to_it(job: Path) -> None:
    sheet = job.parent / "sheets" / "boards.csv"
    assert _run("measure", str(job), "-o", str(sheet)).exit_code == 0
    unit = "in" if 'units = "in"' in job.read_text() else "mm"
    lines = sheet.read_text("utf-8-sig").splitlines()
    column = lines[0].split(",").index(f"thickness {unit}")
    rows = list(csv.reader(lines))
    rows[1][column] = "24 mm"
    with sheet.open("w", newline="") as file:
        csv.writer(file).writerows(rows)
    result = _run("plan", str(job))
    assert result.exit_code == 3
    told = " ".join(result.stderr.split())
    assert "board d1-1-front" in told
    assert "mend plane its inside face" in told
    assert f"{job.name}, line" in told
