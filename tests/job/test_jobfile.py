from __future__ import annotations

import random
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camtools.faults import CannotCut, Fault, JobFault
from camtools.job import parse_job, read_job
from camtools.job.jobfile import placed
from camtools.job.tables import LARGEST_FILE
from tests.job.jobs import changed, read, toml

HOUSE = Path(__file__).parent.parent.parent


def fault_of(path: Path) -> str:
    with pytest.raises(JobFault) as raised:
        read_job(path)
    (fault,) = raised.value.faults
    return str(fault)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    assert fault_of(tmp_path / "chest.toml").startswith(f"{tmp_path / 'chest.toml'}: there is no such file")


def test_a_file_with_nearly_that_name_is_pointed_at(tmp_path: Path) -> None:
    (tmp_path / "specimen-chest.toml").touch()
    assert "did you mean specimen-chest.toml?" in fault_of(tmp_path / "specimen-chst.toml")
    assert "did you mean specimen-chest.toml?" in fault_of(tmp_path / "specimen-chest.tml")
    assert "did you mean" not in fault_of(tmp_path / "wardrobe.toml")


def test_a_folder_is_no_job_file(tmp_path: Path) -> None:
    assert "is a folder" in fault_of(tmp_path)


def test_a_file_that_may_not_be_read_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    assert "can not be read: Permission denied" in fault_of(tmp_path / "chest.toml")


def test_a_name_that_no_file_can_have_says_so() -> None:
    assert "can not be read" in fault_of(Path("chest\0.toml"))
    assert "can not be read" in fault_of(Path("x" * 5000))


def test_a_file_beyond_the_limit_is_refused_and_one_at_the_limit_is_read(tmp_path: Path) -> None:
    path = tmp_path / "chest.toml"
    text = "".join(f"{key} = {toml(value)}\n" for key, value in changed({}).items())
    path.write_text(text + "#" * (LARGEST_FILE - len(text)))
    read_job(path)
    path.write_text(text + "#" * (LARGEST_FILE - len(text) + 1))
    assert "too long" in fault_of(path)


def test_a_byte_order_mark_and_the_line_ends_of_other_systems_do_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "chest.toml"
    text = "".join(f"{key} = {toml(value)}\r\n" for key, value in changed({}).items())
    path.write_bytes(b"\xef\xbb\xbf" + text.encode())
    job, _ = read_job(str(path))
    assert job.title == "Specimen chest"


@pytest.mark.parametrize(
    "text",
    [
        ".".join(["a"] * 300_000) + " = 1",
        f"[{'.'.join(['a'] * 300_000)}]",
        "x = " + "[" * 900_000,
        "x = " + "{a=" * 50_000,
        "title = " + "9" * 900_000,
        "title = 0x" + "f" * 900_000,
        '"' * 900_000,
        "\n".join(f"key{number} = 1" for number in range(20_000)),
        "drawers = [" + "{}," * 40_000 + "]",
    ],
    ids=[
        "dotted key",
        "dotted table",
        "lists in lists",
        "tables in tables",
        "digits",
        "hexadecimal digits",
        "quotes",
        "unknown keys",
        "empty drawers",
    ],
)
def test_a_file_made_to_choke_on_is_refused_in_good_time(text: str) -> None:
    with pytest.raises(JobFault) as raised:
        parse_job(text, "job.toml")
    assert len(raised.value.faults) <= 101


def test_very_many_faults_are_told_in_part_and_counted() -> None:
    text = "".join(f"key{number} = 1\n" for number in range(250))
    with pytest.raises(JobFault) as raised:
        parse_job(text, "job.toml")
    faults = raised.value.faults
    assert len(faults) == 101
    assert "154 more faults" in str(faults[-1])  # and the four keys that are missing


def test_faults_come_in_the_order_of_the_file() -> None:
    with pytest.raises(JobFault) as raised:
        read({"drawers.0.opening": [1, 2, 3], "cutters.0.angle": 40, "stock.front": -1, "title": ""})
    lines = [int(found[1]) if (found := re.search(r"line (\d+)", fault.where)) else 0 for fault in raised.value.faults]
    assert lines == sorted(lines)
    assert len(lines) == 6
    assert lines[0] > 0


def test_a_cutter_that_is_too_short_is_pointed_to_by_its_length() -> None:
    with pytest.raises(CannotCut) as raised:
        read({"cutters.0.cutting_length": 10})
    assert {fault.where for fault in raised.value.faults} == {"job.toml, line 3: cutters[1].cutting_length"}


@pytest.mark.parametrize(
    ("drawers", "where"),
    [
        (("Seeds",), 'job.toml, line 2: joints.tails, "Seeds"'),
        (("Seeds", "Ferns"), "job.toml, line 2: joints.tails"),
        (("Mosses",), "job.toml, line 7: drawers[3].joints.tails"),
    ],
)
def test_a_fault_of_a_drawer_points_to_the_line_that_has_its_key(drawers: tuple[str, ...], where: str) -> None:
    text = "[joints]\ntails = 7\n[[drawers]]\n[[drawers]]\n[[drawers]]\n[drawers.joints]\ntails = 5\n"
    at = 3 if drawers == ("Mosses",) else 1
    (told,) = placed([Fault(f'drawers[{at}] "{drawers[0]}", joints.tails', "too many", drawers=drawers)], "job.toml", text)
    assert told.where == where


def test_the_same_text_gives_the_same_job() -> None:
    text = (HOUSE / "samples" / "inch-cabinet.toml").read_text(encoding="utf-8")
    assert parse_job(text, "a") == parse_job(text, "b")


KEYS = sorted(set(re.findall(r"^\s*([a-z_]+) = ", (HOUSE / "samples" / "specimen-chest.toml").read_text(encoding="utf-8"), re.MULTILINE)))
PIECES = [
    "[stock]",
    "[[cutters]]",
    "[[drawers]]",
    "[drawers.fit]",
    "[machine]",
    "{ }",
    "[1, 2, 3]",
    '"3/4 in"',
    "nan",
    "-1",
    "true",
    "12.7",
    '"dovetail"',
    '"x"',
    "1979-05-27",
]


@settings(deadline=None)
@given(st.sampled_from(["specimen-chest", "first-drawer", "inch-cabinet"]), st.integers(0, 2**32), st.integers(1, 6))
def test_a_file_spoilt_at_random_is_read_or_refused_and_nothing_else(sample: str, seed: int, blows: int) -> None:
    dice = random.Random(seed)
    lines = (HOUSE / "samples" / f"{sample}.toml").read_text(encoding="utf-8").splitlines()
    for _ in range(blows):
        at = dice.randrange(len(lines))
        match dice.randrange(5):
            case 0:
                del lines[at : at + dice.randint(1, 3)]
                lines = lines or [""]
            case 1:
                lines.insert(at, dice.choice(lines))
            case 2:
                lines[at] = f"{lines[at].split('=')[0]}= {dice.choice(PIECES)}"
            case 3:
                lines.insert(at, f"{dice.choice(KEYS)} = {dice.choice(PIECES)}")
            case _:
                place = dice.randrange(len(lines[at]) + 1)
                lines[at] = lines[at][:place] + dice.choice("[]{}=\"'.,#a1 ") + lines[at][place + 1 :]
    try:
        job, _ = parse_job("\n".join(lines), "job.toml")
        faults: tuple[Fault, ...] = ()
    except (JobFault, CannotCut) as refused:
        job, faults = None, refused.faults
    if job is None:
        assert faults
        assert all(fault.where.startswith("job.toml") and fault.problem for fault in faults)
    else:
        assert job.drawers
        assert all(job.cutter(drawer.joint.dovetail).kind == "dovetail" for drawer in job.drawers)
