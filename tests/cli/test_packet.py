"""`camtools packet`: the whole way from a job file to a folder, and every way it may end."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from camtools.cli import group
from camtools.cli import packet as module
from camtools.faults import CannotCut, Fault
from camtools.output.dialects import shipped_dialects
from camtools.output.manifest import Manifest
from camtools.verify.checking import Checked
from camtools.verify.findings import Finding
from camtools.verify.report import Report
from tests.output.reading import read

GOOD = Report("", (), (), (), judged=True, bound_mm=0.0)
BAD = Report(
    "", (Finding("rapid-in-wood", "error", "programs/x.ngc", 12, "a rapid runs through wood", (("z_mm", -3.0),)),), (), (), True, 0.0
)
MANY = Report("", tuple(replace(BAD.findings[0], file=f"programs/{i}.ngc") for i in range(30)), (), (), judged=True, bound_mm=0.0)
UNJUDGED = Report("", (), (), (), judged=False, bound_mm=0.0)


def run(*arguments: object) -> Result:
    return CliRunner().invoke(group, ["packet", *map(str, arguments)], catch_exceptions=False)


@pytest.fixture
def passing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every packet pass its check, where the check is not what is tried."""
    monkeypatch.setattr(module, "check_fully", lambda *_, **__: Checked(GOOD, ()))


def test_a_sample_becomes_a_packet_that_was_proved(samples: Path, tmp_path: Path) -> None:
    done = run(samples / "first-drawer.toml", "-o", tmp_path / "out", "--no-pictures", "--json")
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    assert told["boards_carved"] == 5
    assert told["drawers_joined"] == 1
    for name in told["files"]:
        assert (tmp_path / "out" / name).is_file()
    report = json.loads((tmp_path / "out" / "check.json").read_text())
    assert report["ok"] is True
    manifest = Manifest.model_validate_json((tmp_path / "out" / "manifest.json").read_bytes())
    for program in manifest.programs:
        read((tmp_path / "out" / program.file).read_text())


def test_templates_are_in_a_packet_and_pass_its_check_only_where_the_job_has_a_table_of_them(samples: Path, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text((samples / "first-drawer.toml").read_text() + '\n[templates]\nkerf = "0.01 in"\nsheet = [400, "12 in"]\n')
    for path in (samples / "first-drawer.toml", job):
        assert run(path, "-o", tmp_path / "out", "--no-pictures").exit_code == 0
        assert CliRunner().invoke(group, ["check", str(tmp_path / "out")]).exit_code == 0
        asked = path == job
        assert (tmp_path / "out" / "templates" / "read-me.txt").is_file() == asked
        assert ("templates/read-me.txt" in (tmp_path / "out" / "contents.sha256").read_text()) == asked
        assert ("templates/\n" in (tmp_path / "out" / "read-me.txt").read_text()) == asked
        assert ('href="templates/read-me.txt"' in (tmp_path / "out" / "index.html").read_text()) == asked
    for name in ("manifest.json", "check.json", "limits.json"):
        assert "templates/" not in (tmp_path / "out" / name).read_text()


@pytest.mark.usefixtures("passing")
def test_sheets_are_drawn_as_png_where_that_is_asked_for(samples: Path, tmp_path: Path) -> None:
    assert run(samples / "first-drawer.toml", "-o", tmp_path / "out", "--png").exit_code == 0
    drawings = tmp_path / "out" / "drawings"
    sheets = {path.stem for path in drawings.glob("*.svg") if path.stem.startswith(("board-", "exploded-", "story-"))}
    assert {path.stem for path in drawings.glob("*.png")} == sheets
    assert len(sheets) > 5


def test_a_packet_without_png_is_written_without_the_library_that_draws_them(samples: Path, tmp_path: Path) -> None:
    """The library is slow to import. Names in letters beyond our own strokes need a typeface, which comes with it."""
    job = (samples / "first-drawer.toml").read_text(encoding="utf-8").replace("First drawer", "\u0413\u0440\u0438\u0431\u044b")
    (tmp_path / "job.toml").write_text(job, encoding="utf-8")
    told = (
        "import sys; from click.testing import CliRunner; from camtools.cli import group\n"
        "print(CliRunner().invoke(group, ['packet', sys.argv[1], '-o', sys.argv[2]]).exit_code, 'matplotlib' in sys.modules)"
    )
    command = [sys.executable, "-c", told, tmp_path / "job.toml", tmp_path / "out"]
    assert subprocess.run(command, capture_output=True, text=True, check=True).stdout.split() == ["0", "False"]
    assert (tmp_path / "out" / "drawings" / "marking-out.pdf").is_file()
    assert list(tmp_path.rglob("*.png")) == []


@pytest.mark.usefixtures("passing")
def test_each_program_that_cuts_has_its_picture(samples: Path, tmp_path: Path) -> None:
    assert run(samples / "first-drawer.toml", "-o", tmp_path / "out").exit_code == 0
    for path in (tmp_path / "out" / "programs").glob("*.ngc"):
        assert (tmp_path / "out" / "drawings" / f"{path.stem}.svg").read_bytes().startswith(b"<svg ")


@pytest.mark.usefixtures("passing")
@pytest.mark.parametrize("name", shipped_dialects())
def test_any_shipped_dialect_may_be_asked_for(samples: Path, tmp_path: Path, name: str) -> None:
    assert run(samples / "first-drawer.toml", "-o", tmp_path / "out", "--no-pictures", "--post", name).exit_code == 0
    assert ("G20" in next((tmp_path / "out" / "programs").glob("*.ngc")).read_text()) == (name in ("inch", "changer"))


@pytest.mark.usefixtures("passing")
def test_a_dialect_of_ones_own_is_named_by_its_path(samples: Path, tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text('units = "mm"\nending = "tap"\n')
    assert run(samples / "first-drawer.toml", "-o", tmp_path / "out", "--no-pictures", "--post", tmp_path / "mine.toml").exit_code == 0
    assert list((tmp_path / "out" / "programs").glob("*.tap"))


@pytest.mark.usefixtures("passing")
def test_the_job_may_name_a_dialect_beside_itself(samples: Path, tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text('units = "inch"\n')
    text = (samples / "first-drawer.toml").read_text() + '\n[machine]\npostprocessor = "mine.toml"\n'
    (tmp_path / "job.toml").write_text(text)
    done = run(tmp_path / "job.toml", "-o", tmp_path / "out", "--no-pictures")
    assert done.exit_code == 0, done.output
    assert "G20" in next((tmp_path / "out" / "programs").glob("*.ngc")).read_text()


@pytest.mark.usefixtures("passing")
def test_the_same_job_twice_is_the_same_packet(samples: Path, tmp_path: Path) -> None:
    for name in ("one", "two"):
        assert run(samples / "first-drawer.toml", "-o", tmp_path / name, "--no-pictures").exit_code == 0
    one, two = ({p.relative_to(tmp_path / n): p.read_bytes() for p in (tmp_path / n).rglob("*") if p.is_file()} for n in ("one", "two"))
    assert one == two


@pytest.mark.parametrize(
    ("report", "told"),
    [
        (BAD, ["programs/x.ngc:12", "a rapid runs through wood (rapid-in-wood)", "z_mm -3"]),
        (MANY, ["10 findings more"]),
        (UNJUDGED, ["could not be judged as a whole"]),
    ],
)
@pytest.mark.parametrize("older", [True, False])
def test_a_packet_that_fails_its_check_is_not_written(
    samples: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, report: Report, told: list[str], older: bool
) -> None:
    target = tmp_path / "out"
    if older:
        monkeypatch.setattr(module, "check_fully", lambda *_, **__: Checked(GOOD, ()))
        run(samples / "first-drawer.toml", "-o", target, "--no-pictures")
        (target / "check.json").write_text("the older one")
    monkeypatch.setattr(module, "check_fully", lambda *_, **__: Checked(report, ()))
    done = run(samples / "first-drawer.toml", "-o", target, "--no-pictures", "--json")
    assert done.exit_code == 4
    faults = json.dumps(json.loads(done.stdout)["faults"])
    assert all(words in faults for words in told)
    assert target.exists() == older
    assert not older or (target / "check.json").read_text() == "the older one"
    assert [path.name for path in tmp_path.iterdir()] == (["out"] if older else [])


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        (["none.toml", "-o", "{out}"], 2, "no such file"),
        (["{sample}", "-o", "{out}", "--post", "fanciful"], 2, "no such dialect"),
        (["{sample}", "-o", "{out}/deeper/still"], 4, "make that folder first"),
        (["{sample}", "-o", "{here}"], 4, "is not a packet that camtools wrote"),
        (["{sample}"], 2, "--output"),
        (["{sample}", "-o", "{out}", "--png"], 2, "which --no-pictures leaves out"),
    ],
)
@pytest.mark.usefixtures("passing")
def test_what_can_not_be_done_is_told_with_its_code(samples: Path, tmp_path: Path, arguments: list[str], code: int, told: str) -> None:
    (tmp_path / "photo.jpg").write_text("mine")
    places = {"sample": samples / "first-drawer.toml", "out": tmp_path / "out", "here": tmp_path}
    done = run("--no-pictures", *(argument.format(**places) for argument in arguments))
    assert done.exit_code == code
    assert told in " ".join(done.output.split())
    assert [path.name for path in tmp_path.iterdir()] == ["photo.jpg"]


@pytest.mark.usefixtures("passing")
def test_every_hostile_drawer_becomes_programs_and_stays_in_its_folder(house: Path, tmp_path: Path) -> None:
    done = run(house / "tests" / "cases" / "hostile-names" / "job.toml", "-o", tmp_path / "out", "--no-pictures")
    assert done.exit_code == 0, done.output
    for path in (tmp_path / "out" / "programs").rglob("*.ngc"):
        read(path.read_text("ascii"))
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


@pytest.mark.usefixtures("passing")
def test_names_meant_to_do_harm_do_none(samples: Path, tmp_path: Path) -> None:
    """As title and as name of the drawer: every program is read without a word more than in the plain job."""
    text = (samples / "first-drawer.toml").read_text()
    plain, foul = tmp_path / "plain.toml", tmp_path / "foul.toml"
    plain.write_text(text)
    title, name = "x) M3 S24000 (", "=cmd|' /C calc'!A0 <script>alert(1)</script> ../../x"
    lines = [
        f"title = {json.dumps(title)}" if line.startswith("title") else f"name = {json.dumps(name)}" if line.startswith("name") else line
        for line in text.splitlines()
    ]
    foul.write_text("\n".join(lines) + "\n")
    assert foul.read_text() != text
    for job, out in ((plain, "plain"), (foul, "foul")):
        done = run(job, "-o", tmp_path / out, "--no-pictures")
        assert done.exit_code == 0, done.output
    names = {path.relative_to(tmp_path / "plain") for path in (tmp_path / "plain").rglob("*")}
    assert {path.relative_to(tmp_path / "foul") for path in (tmp_path / "foul").rglob("*")} == names
    for path in names:
        if path.suffix == ".ngc":
            foul_lines, plain_lines = (read((tmp_path / one / path).read_text()).lines for one in ("foul", "plain"))
            assert [line for line in foul_lines if line] == [line for line in plain_lines if line]  # comments have none
    assert "=cmd" not in (tmp_path / "foul" / "cutlist.csv").read_text("utf-8-sig").replace("'=cmd", "")
    assert {path.name for path in tmp_path.iterdir()} == {"plain", "foul", "plain.toml", "foul.toml"}


@pytest.mark.usefixtures("passing")
def test_what_can_not_be_drawn_is_told_and_leaves_nothing(samples: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is drawn while the check goes on."""

    def labels(_: object) -> object:
        raise CannotCut(Fault("label", "is too small"))

    monkeypatch.setitem(module.SECTIONS, "labels", labels)
    done = run(samples / "first-drawer.toml", "-o", tmp_path / "out", "--no-pictures")
    assert done.exit_code == 3
    assert "is too small" in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.usefixtures("passing")
def test_packet_has_a_read_me_that_its_list_of_contents_knows(samples: Path, tmp_path: Path) -> None:
    assert run(samples / "first-drawer.toml", "-o", tmp_path / "out", "--no-pictures").exit_code == 0
    told = (tmp_path / "out" / "read-me.txt").read_text(encoding="ascii")
    assert "programs/dry/\n" in told
    assert "drawings/" not in told
    assert "read-me.txt" in (tmp_path / "out" / "contents.sha256").read_text(encoding="ascii")
