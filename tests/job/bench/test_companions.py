"""Files beside a job file: read with it, kept in its packet, told of by name and line where they are broken."""

from __future__ import annotations

import pytest

from camtools.faults import JobFault
from camtools.job import read_job
from camtools.job.bench import companions
from camtools.verify import written

JOB = """title = "Seeds"
stock = { front = 20, side = 12, bottom = 6.4 }
cutters = [
  { kind = "dovetail", diameter = 12.7, angle = 14, cutting_length = 16 },
  { kind = "straight", diameter = 6, cutting_length = 22 },
]
[[drawers]]
name = "Mosses"
opening = [300, 100, 260]
"""
ANSWERS = """# mine
[[groove]]
play = 0.22
bottom = { thickness = 6.4, wood = "plywood" }
straight = { number = 2, diameter = 6 }
"""


@pytest.fixture
def job_file(tmp_path):
    path = tmp_path / "drawers.toml"
    path.write_text(JOB)
    return path


def answered(job_file, text=ANSWERS):
    companions.answers_file(job_file).write_text(text)
    return read_job(job_file)


def test_answers_are_read_beside_the_job_file_and_kept_byte_for_byte(job_file):
    plain, _ = read_job(job_file)
    job, defaults = answered(job_file)
    assert (plain.companions, plain.drawers[0].groove.play_mm) == ((), 0.15)
    assert job.companions == (("job.fit.toml", ANSWERS.encode()),)
    assert job.drawers[0].groove.play_mm == 0.22
    (told,) = [default for default in defaults if default.key == "groove.play"]
    assert (told.value, "your answer in drawers.fit.toml" in told.reason) == ("0.220 mm", True)


def test_key_of_the_job_file_goes_before_an_answer(job_file):
    job_file.write_text(JOB + "groove = { play = 0.1 }\n")
    assert answered(job_file)[0].drawers[0].groove.play_mm == 0.1


@pytest.mark.parametrize(
    ("old", "new"),
    [("thickness = 6.4", "thickness = 6.95"), ('"plywood"', '"oak"'), ("diameter = 6 ", "diameter = 6.35 "), ("number = 2", "number = 3")],
)
def test_answer_of_another_board_or_cutter_is_not_used(job_file, old, new):
    assert answered(job_file, ANSWERS.replace(old, new))[0].drawers[0].groove.play_mm == 0.15


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("[[groove]]\nplay = 0.2\nbottom = 6\n", "line 3: groove[1].bottom", "is not a table"),
        (ANSWERS.replace("0.22", "9"), "line 3: groove[1].play", "is too large; found 9 mm; limit 0 to 2 mm"),
        (ANSWERS.replace("straight", "strait"), "line 5: groove[1].strait", "did you mean straight?"),
        (ANSWERS.replace("diameter", "width"), "line 5: groove[1].straight.width", "known here: number, diameter, angle"),
        (ANSWERS.replace("play = 0.22\n", ""), "line 2: groove[1].play", "is missing"),
        (
            ANSWERS + "[[cutters]]\nnumber = 1\nkind = 'dovetail'\nmarked_diameter = 12.7\ndiameter = 9.5\nwithin = 0.03\n",
            "line 6: cutters[1]",
            "is another cutter than the marked one",
        ),
        ("[[grove]]\n", "line 1: grove", "did you mean groove?"),
        ("[groove]\n", "line 1: groove", "begin each of its answers with [[groove]]"),
        ("[groove\n", "line 1", "is not TOML"),
        ("[groove]\nplay = 0,2\n", "line 2", "use a point"),
        ("\0", "drawers.fit.toml", "is not a text"),
    ],
)
def test_broken_answers_are_refused_with_file_and_line(job_file, text, place, words):
    with pytest.raises(JobFault) as error:
        answered(job_file, text)
    told = [str(fault) for fault in error.value.faults]
    assert any(all(part in fault for part in ("drawers.fit.toml", place, words)) for fault in told), told


def test_check_knows_the_same_companions():
    assert list(written.COMPANIONS) == list(companions.COMPANIONS)
