"""The sheet of boards as measured: what a spreadsheet makes of it is read, and what is wrong with it is told by line and board."""

from __future__ import annotations

import pytest

from camtools.faults import SheetFault
from camtools.job import read_job
from camtools.job.bench.board_sheet import one_by_one
from camtools.verify.written import COMPANIONS, written_in

JOB = """title = "Seeds"
stock = { front = 20, side = 12, bottom = 6.4 }
cutters = [
  { kind = "dovetail", diameter = 12.7, angle = 14, cutting_length = 16 },
  { kind = "straight", diameter = 6, cutting_length = 22 },
]
[boards]
file = "measured.csv"
[[drawers]]
name = "Mosses"
opening = [300, 100, 260]
[[drawers]]
name = "Lichens"
opening = [300, 100, 260]
count = 2
"""
MARKS = [f"{drawer}-{part}" for drawer in ("d1", "d2-1", "d2-2") for part in ("front", "back", "left", "right", "bottom")]
HEAD = "board,length mm,width mm,thickness mm"


@pytest.fixture
def read(tmp_path):
    path = tmp_path / "drawers.toml"
    path.write_text(JOB)

    def read(lines: dict[str, str], head: str = HEAD, blank: str = ",,", more: str = "", encoding: str = "utf-8"):
        rows = [f"{mark}{head[5]}{lines.get(mark, blank)}" for mark in MARKS]
        (tmp_path / "measured.csv").write_bytes(("\r\n".join([head, *rows]) + more).encode(encoding))
        job, _ = read_job(path)
        written = COMPANIONS["boards.csv"](written_in(JOB.encode()), (tmp_path / "measured.csv").read_bytes())
        assert [dict(wish.measured.boards) for wish in job.drawers] == [dict(own.measured) for own in written.drawers]
        assert [wish.name for wish in job.drawers] == [own.name for own in written.drawers]
        return job

    return read


def test_every_copy_of_a_drawer_is_one_by_itself_with_its_own_boards(read):
    job = read({"d1-left": "250.4,98,12.1", "d2-2-left": ",,11.8"})
    assert [(wish.name, wish.count, wish.measured.id) for wish in job.drawers] == [
        ("Mosses", 1, "d1"), ("Lichens, 1 of 2", 1, "d2-1"), ("Lichens, 2 of 2", 1, "d2-2"),
    ]  # fmt: skip
    assert [wish.measured.boards["left"] for wish in job.drawers] == [(250.4, 98, 12.1), (None, None, None), (None, None, 11.8)]
    assert one_by_one(job.drawers) == job.drawers
    assert job.companions[0][0] == "boards.csv"


@pytest.mark.parametrize(
    ("head", "line", "blank"),
    [
        (HEAD, '"250,4","98,0",12.1', ",,"),
        (HEAD.replace(",", ";"), "250,4;98;12,1", ";;"),
        (HEAD.replace(",", "\t"), "250,4\t98\t12.1", "\t\t"),
        (HEAD.replace("mm", "in").upper(), "9.858267717 ,98 mm,12.1 mm", ",,"),
        ("board,planned,length mm,width mm,thickness mm", "1/2,250.4,98,12.1", ",,,"),
    ],
)
def test_what_spreadsheets_write_is_read(read, head, line, blank):
    found = read({"d1-left": line}, head, blank).drawers[0].measured.boards["left"]
    assert found == pytest.approx((250.4, 98, 12.1))


@pytest.mark.parametrize(
    ("lines", "given", "words"),
    [
        ({"d1-left": "250.4,98,12.l"}, {}, "line 4, board d1-left: its thickness is no length"),
        ({"d1-left": "250.4,98,-12"}, {}, "its thickness is no size of a board"),
        ({"d1-left": "250,4,98,12"}, {}, "line 4: has another number of cells than the heading"),
        ({"d1-bottom": "250,,6"}, {}, "length of a bottom is not asked for"),
        ({}, {"more": "\r\nd1-left,,,"}, "line 17: is of a board that line 4 is of"),
        ({}, {"more": "\r\nd1-lefd,,,"}, 'is "d1-left" meant?'),
        ({}, {"head": "board,length mm,width mm"}, "has not the headings"),
        ({}, {"head": "board,length mm,width in,thickness mm"}, "has not the headings"),
        ({}, {"encoding": "utf-16"}, "is written in UTF-16"),
        ({"d1-left": '"250.4,98,12'}, {}, "is no line of a CSV file"),
    ],
)
def test_what_is_wrong_with_a_sheet_is_told_by_line_and_board(read, lines, given, words):
    with pytest.raises(SheetFault) as error:
        read(lines, **given)
    assert words in str(error.value)
    assert str(error.value.faults[0].where).count("measured.csv") == 1
    assert "drawers.toml" not in str(error.value)


def test_boards_without_a_line_are_named(read, tmp_path):
    read({})
    sheet = tmp_path / "measured.csv"
    sheet.write_text("\n".join(sheet.read_text().splitlines()[:-6]))
    with pytest.raises(SheetFault, match=r"d2-1-bottom, d2-2-front, d2-2-back, d2-2-left, d2-2-right, d2-2-bottom"):
        read_job(tmp_path / "drawers.toml")


@pytest.mark.parametrize("spoil", [lambda text: text.replace("d1-left", "d1-lef"), lambda text: text + "\nd1-left,,,", lambda _: "what"])
def test_check_refuses_a_sheet_of_other_boards(read, tmp_path, spoil):
    read({})
    content = spoil((tmp_path / "measured.csv").read_text()).encode()
    with pytest.raises(ValueError, match=r"sheet|twice"):
        COMPANIONS["boards.csv"](written_in(JOB.encode()), content)
