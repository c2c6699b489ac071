"""Dialects: small files that a user copies, changes and names by path; every mistake in one is told at once."""

import tomllib
from pathlib import Path

import pytest

from camtools.faults import JobFault
from camtools.output.dialects import Dialect, dialect_of, shipped_dialects

PROBE = 'units = "mm"\nprobe = "G10 L20"\nprobe_plate_mm = 15.0\nprobe_reach_mm = 25.0'


def written(folder: Path, text: str) -> Path:
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return path


def faults_of(folder: Path, text: str) -> list[str]:
    with pytest.raises(JobFault) as caught:
        dialect_of(str(written(folder, text)))
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize("name", shipped_dialects())
def test_every_shipped_dialect_reads_and_says_what_it_is(name: str) -> None:
    assert len(dialect_of(name).about) > 10


def test_shipped_dialects_show_every_capability() -> None:
    dialects = [dialect_of(name) for name in shipped_dialects()]
    for name, field in Dialect.model_fields.items():
        if isinstance(field.default, bool):
            assert {getattr(dialect, name) for dialect in dialects} == {True, False}, name
    assert {dialect.units for dialect in dialects} == {"mm", "inch"}


def test_the_first_dialect_names_every_key_with_its_default(house: Path) -> None:
    """It is the one a user copies, and what the others leave out."""
    table = tomllib.loads((house / "postprocessors" / "mm.toml").read_text(encoding="utf-8"))
    none = {"park_mm", "most_lines", "most_characters", "probe_plate_mm", "probe_reach_mm", "probe_feed_mm_min"}
    assert table.keys() == Dialect.model_fields.keys() - none, "which have no default"
    assert Dialect(**table | {"about": ""}) == Dialect()


def test_a_copied_and_changed_file_is_read_from_its_path(house: Path, tmp_path: Path) -> None:
    text = (house / "postprocessors" / "mm.toml").read_text(encoding="utf-8").replace("line_numbers = false", "line_numbers = true")
    written(tmp_path, text)
    assert dialect_of("mine.toml", beside=tmp_path).line_numbers
    assert dialect_of(str(tmp_path / "mine.toml")).line_numbers


def test_inches_have_five_decimals_unless_told_otherwise(tmp_path: Path) -> None:
    assert dialect_of(str(written(tmp_path, 'units = "inch"'))).decimals == 5
    assert dialect_of(str(written(tmp_path, 'units = "mm"'))).decimals == 4


def test_every_fault_is_told_at_once_with_what_to_do(tmp_path: Path) -> None:
    faults = faults_of(
        tmp_path,
        'units = "inches"\ndecimals = 9\narcs = "yes"\nline_number = true\narc_tolerance_mm = 5\nending = 3\nabout = 1\nextra = 1\n',
    )
    told = "\n".join(faults)
    assert len(faults) == 8
    assert 'units: not one of the choices; found \'inches\'; limit "mm" or "inch"; did you mean inch?' in told
    assert "decimals: out of range; found 9; limit 3 to 6 for mm; use 4" in told
    assert "arcs: must be true or false; found 'yes'" in told
    assert "line_number: unknown key" in told
    assert "did you mean line_numbers?" in told
    assert "arc_tolerance_mm: out of range; found 5 mm; limit 0.001 to 0.05 mm" in told
    assert all("mine.toml" in fault for fault in faults)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "units: missing"),
        ("units = [", "not a TOML file"),
        ('units = "mm"\ndecimals = 4.0', "must be a whole number"),
        ('units = "mm"\ndecimals = true', "must be a whole number"),
        ('units = "mm"\narc_tolerance_mm = nan', "must be a number"),
        ('units = "mm"\narc_tolerance_mm = true', "must be a number"),
        ('units = "mm"\none_file_per_cutter = true', 'it is lengths now: "one-cutter" for true'),
        ('units = "mm"\nm6 = false\nlengths = "table"', "m6: a table of lengths serves cutters that M6 changes"),
        ('units = "mm"\nwork_offsets = 0', "work_offsets: out of range"),
        ('units = "mm"\nwork_offsets = 7', "work_offsets: out of range"),
        ('units = "mm"\nexact_path = false', 'it is path now: "exact" for true'),
        ('units = "mm"\nspindle_dwell = false', 'it is spindle_wait now: "dwell" for true'),
        ('units = "mm"\npark_mm = [0.0, 0.0]', "park_mm: needs machine coordinates"),
        ('units = "mm"\nsafe_height = "machine"\npark_mm = [0.0]', "park_mm: must be two lengths"),
        ('units = "mm"\nsafe_height = "machine"\npark_mm = 3', "park_mm: must be two lengths"),
        ('units = "mm"\nsafe_height = "top"', "safe_height: not one of the choices"),
        ('units = "mm"\ndecimals = 3\narc_tolerance_mm = 0.001', "arc_tolerance_mm: out of range"),
        ('units = "inch"\ndecimals = 4\narcs = false\narc_tolerance_mm = 0.004', "arc_tolerance_mm: out of range"),
        ('units = "mm"\ndwell = false', "spindle_wait: needs G4, which dwell = false rules out"),
        ('units = "mm"\ncomments = "none"', 'no comment would say what for: lengths = "touch-off"'),
        ('units = "mm"\nlengths = "table"\ncomments = "none"\nspindle = "hand"', 'no comment would say what for: spindle = "hand"'),
        ('units = "mm"\nlengths = "table"\ncomments = "none"\nwork_offsets = 1', "what for: work_offsets below 6"),
        ('units = "mm"\nline_length = 59', "line_length: out of range; found 59 characters; limit 60 to 250"),
        ('units = "mm"\nmost_lines = 20', "most_lines: out of range; found 20; limit at least 30"),
        ('units = "mm"\nmost_characters = 999', "most_characters: out of range; found 999; limit at least 1000"),
        ('units = "mm"\nprobe = "G10 L20"', "probe_plate_mm: missing: nothing of a touch plate is taken for granted"),
        ('units = "mm"\nprobe_plate_mm = 15.0', "probe_plate_mm: is said, and no probe"),
        (f"{PROBE}\nprobe_feed_mm_min = 400.0", "probe_feed_mm_min: out of range; found 400 mm/min; limit 10 to 300 mm/min"),
        (f'{PROBE}\nprobe_feed_mm_min = 90.0\nlengths = "table"', "probe: sets Z zero where programs stop for it"),
        ('units = "mm"\nheader = "M8"', "header: must be a list of lines"),
        ('units = "mm"\nheader = [8]', "header: must be text"),
        ('units = "mm"\nheader = ["M8", " "]', "header[2]: is blank, and no line of a program is"),
        ('units = "mm"\nfooter = ["M9\\nG0 Z-20"]', "footer[1]: must be one line of plain ASCII"),
        ('units = "mm"\nfooter = ["(é)"]', "footer[1]: must be one line of plain ASCII"),
        (f'units = "mm"\nline_length = 60\nheader = ["({"x" * 60})"]', "header[1]: is too long; found 62 characters"),
        ("#" * 70_000, "longer than 65536 bytes"),
    ],
)
def test_a_faulty_file_is_refused_with_its_reason(tmp_path: Path, text: str, told: str) -> None:
    assert any(told in fault for fault in faults_of(tmp_path, text))


def test_a_file_that_is_not_text_is_refused(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_bytes(b'units = "mm"\n\xff\xfe')
    with pytest.raises(JobFault, match="not a TOML file"):
        dialect_of(str(tmp_path / "mine.toml"))


@pytest.mark.parametrize("name", ["milimetre.toml", "../x.toml", "", ".", "no\0thing.toml"])
def test_a_path_that_leads_nowhere_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(JobFault, match="can not be read"):
        dialect_of(name, beside=tmp_path)


def test_a_dialect_with_nearly_that_name_is_pointed_at(tmp_path: Path) -> None:
    (tmp_path / "my-router.toml").touch()
    with pytest.raises(JobFault, match=r"did you mean my-router\.toml\?"):
        dialect_of("my-ruter.toml", beside=tmp_path)


def test_a_name_that_is_not_shipped_gets_the_nearest_one() -> None:
    with pytest.raises(JobFault, match="did you mean inch"):
        dialect_of("inches")
