"""A dialect of the maker's own is refused where a program that is written in it would not be read back as it is meant."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from camtools.cli import group
from camtools.cli.reading_dialect import read_dialect, sample_programs
from camtools.faults import JobFault
from camtools.output.dialects import Dialect, shipped_dialects
from camtools.output.rs274 import program_file
from camtools.verify.reader.interpreter import run

SAMPLES = Path(__file__).parent.parent.parent / "samples"


def refused(folder: Path, text: str) -> str:
    path = folder / "mine.toml"
    path.write_text(f'units = "mm"\n{text}')
    with pytest.raises(JobFault) as caught:
        read_dialect("mine.toml", folder)
    return "\n".join(map(str, caught.value.faults))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('header = ["G0 Z-20"]', "header[1]: would move, stop or switch the machine"),
        ('header = ["M8", "M3 S9000"]', "header[2]: would move, stop or switch the machine"),
        ('footer = ["M0 (set Z zero)"]', "footer[1]: would move, stop or switch the machine"),
        ('footer = ["T2 M6"]', "footer[1]: would move"),
        ('footer = ["G4 P9"]', "footer[1]: would move"),
        ('footer = ["G43 H1"]', "footer[1]: would move"),
        ('header = ["F9000"]', "header[1]: would move"),
        ('header = ["/M8"]', "header[1]: would move"),
        ('header = ["M49"]', "header[1]: would move"),
        ('header = ["G28 Z0"]', "header[1]: would move"),
        ('header = ["%"]', "header[1]: can not be read back: '%' begins no word"),
        ('header = ["O100"]', "header[1]: can not be read back"),
        ('header = ["G101"]', "header[1]: can not be read back: G101 is not known"),
        ('header = ["#1=5"]', "header[1]: can not be read back"),
        ('header = ["; so"]', 'header[1]: has a comment of another kind; found \'; so\'; limit as comments = "parentheses" says'),
        ('comments = "semicolon"\nheader = ["(so)"]', "header[1]: has a comment of another kind"),
        ('comments = "none"\nlengths = "table"\nheader = ["M8 (so)"]', "header[1]: has a comment of another kind"),
        ('header = ["(G0 Z-5)"]', 'header: programs in this dialect are not read back as they are meant: (G0 Z-5) would move'),
        ('header = ["G20"]', "header: programs in this dialect are not read back as they are meant"),
    ],
)  # fmt: skip
def test_what_can_not_be_read_back_is_refused_by_its_key(tmp_path: Path, text: str, told: str) -> None:
    faults = refused(tmp_path, text)
    assert told in faults
    assert "mine.toml" in faults


def test_it_is_refused_before_a_packet_or_a_plan_of_it_is_made(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text('units = "inch"\nheader = ["G0 Z-20"]\n')
    job = tmp_path / "job.toml"
    job.write_text((SAMPLES / "first-drawer.toml").read_text() + '\n[machine]\npostprocessor = "mine.toml"\n')
    for command in (["plan", job], ["packet", job, "-o", tmp_path / "packet"], ["dialects", tmp_path / "mine.toml"]):
        done = CliRunner().invoke(group, list(map(str, command)), catch_exceptions=False)
        assert done.exit_code == 2
        assert "header[1]" in "".join(done.stderr.split())
        assert "would move, stop or switch" in done.stderr
    assert not (tmp_path / "packet").exists()


def test_lines_of_the_makers_own_stand_first_and_last(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text('units = "mm"\nline_numbers = true\nheader = ["(extractor on)", "M8"]\nfooter = ["M9 (and off)"]\n')
    job, programs = sample_programs()
    for program in (programs[0], programs[-1]):
        lines = program_file(program, read_dialect(str(path)), job).text.splitlines()
        assert [lines[0], lines[1], lines[-2], lines[-1]] == [
            "N1 (extractor on)", "N2 M8", f"N{len(lines) - 1} M9 (and off)", f"N{len(lines)} M30 (end)",
        ]  # fmt: skip


@pytest.mark.parametrize(
    "keys", [{"comments": "semicolon"}, {"comments": "none", "lengths": "table"}, {"line_length": 60}, {"dwell": False}]
)
def test_what_a_controller_does_not_know_is_in_none_of_its_programs(keys: dict[str, object]) -> None:
    dialect = Dialect(**{"spindle_wait": "none", **keys})
    job, programs = sample_programs()
    for program in programs:
        text = program_file(program, dialect, job).text
        assert max(map(len, text.splitlines())) <= dialect.line_length
        assert "\n\n" not in text
        assert "(" not in text or dialect.comments == "parentheses"
        assert ";" not in text or dialect.comments == "semicolon"
        assert "G4 P" not in text or dialect.dwell
        assert run(text, "p", fitted=program.cutter.number).findings == ()


def test_a_spindle_that_is_switched_by_hand_turns_between_its_two_stops() -> None:
    job, programs = sample_programs()
    for program in programs:
        text = program_file(program, Dialect(spindle="hand", lengths="one-cutter"), job).text
        done = run(text, "p", fitted=program.cutter.number)
        assert done.findings == ()
        assert not [word for word in ("M3 ", "M5 ", "S18") if word in text]
        fed = {motion.spindle_rpm for motion in done.motions if motion.kind != "rapid"}
        assert fed == ({18000.0} if program.kind == "cut" else {0.0})


@pytest.mark.parametrize("name", shipped_dialects())
def test_every_shipped_dialect_is_read_back(name: str, house: Path) -> None:
    read_dialect(str(house / "postprocessors" / f"{name}.toml"))
