"""The cut list: what a maker saws, in a table that a spreadsheet opens without computing anything."""

import csv
import io
import re
from dataclasses import replace

import pytest

from camtools.drawer.boards import Notch
from camtools.output.cutlist import COLUMNS, cutlist_bytes, cutlist_rows
from camtools.toolpath.programs import programs_of
from camtools.wording import told_in
from tests.output.specimens import DRAWER, JOB, job_of


def opened(content: bytes) -> list[dict[str, str]]:
    """Read the table as a spreadsheet does."""
    return list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"), newline="")))


def test_every_board_has_a_row_with_size_number_off_and_marks() -> None:
    rows = opened(cutlist_bytes(JOB, [replace(DRAWER, left=replace(DRAWER.left, count=3))]))
    assert [row["part"] for row in rows] == ["front", "back", "left side", "right side", "bottom"]
    left = rows[2]
    assert left["number off"] == "3"
    assert (left["length mm"], left["width mm"], left["thickness mm"]) == ("245.30", "100.00", "12.00")
    assert (left["rough length mm"], left["rough width mm"], left["rough thickness mm"]) == ("270.30", "106.00", "17.00")
    assert left["wood"] == "oak"
    assert left["outside face"] == "to the left"
    assert left["reference edge"] == "bottom edge"
    assert all(row[column] for row in rows for column in row)
    assert len(left) == len(COLUMNS)


def test_a_front_laid_over_the_drawers_own_has_a_row_and_no_mark_for_no_program_cuts_it() -> None:
    overlaid = replace(DRAWER, count=2, show_front_mm=(316.0, 118.0, 20.0))
    *boards, show = opened(cutlist_bytes(JOB, [overlaid]))
    assert len(boards) == 5
    assert (show["part"], show["number off"], show["mark"], show["board"]) == ("show front", "2", "", f"{DRAWER.id}-show-front")
    assert (show["length mm"], show["width mm"], show["thickness mm"]) == ("316.00", "118.00", "20.00")


def test_a_bottom_with_trimmed_corners_says_where_they_are() -> None:
    assert opened(cutlist_bytes(JOB, [DRAWER]))[4]["shape"].startswith("corners at 3.00 0.00; ")
    notched = replace(DRAWER, notches=(Notch("front", 9.0, 4.0, 8.0, 3.0),))
    told = "at each front corner a stepped notch, 4 mm deep over 9 mm along the side edge, and 3 mm deep over 8 mm along the front edge"
    assert opened(cutlist_bytes(JOB, [notched]))[4]["shape"].startswith(f"{told}; corners at 3.00 0.00; ")


def test_equal_boards_share_the_mark_that_their_programs_bear() -> None:
    job, drawers = job_of("Mosses", "Ferns", widths=(300.0, 400.0))
    marks = {row["board"]: row["mark"] for row in opened(cutlist_bytes(job, drawers))}
    assert marks["d1-left"] == marks["d2-left"]
    assert marks["d1-front"] != marks["d2-front"], "a wider front is another board"
    work = r"^[0-9]+-|-(groove|(left|right|front|rear)-end(-waste)?)$"
    for program in programs_of(job, drawers):
        assert {marks[board] for board in program.boards} == {re.sub(work, "", program.stem)}


def test_sizes_are_told_in_inches_where_the_job_is_in_inches() -> None:
    with told_in("in"):
        front = opened(cutlist_bytes(JOB, [replace(DRAWER, show_front_mm=(355.6, 101.7, 19.05))]))[-1]
    # 101.7 mm are 4.0039 in, an inch being 25.4 mm exactly (NIST SP 811, appendix B.6)
    assert [front[f"{size} in"] for size in ("length", "width", "thickness")] == ['14"', '4" plus 0.004"', '3/4"']


def test_lines_end_as_the_format_says() -> None:
    """RFC 4180, section 2: CRLF; fields with commas, quotes or breaks stand in double quotes, quotes doubled."""
    content = cutlist_bytes(JOB, [replace(DRAWER, name='Mosses, "wet"')])
    assert content.count(b"\r\n") == content.count(b"\n") == 6
    assert b'"Mosses, ""wet"""' in content


@pytest.mark.parametrize("name", ["=cmd|' /C calc'!A0", "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "  =1", "\u200b=1"])
def test_a_name_that_a_spreadsheet_would_compute_is_text(name: str) -> None:
    """Common practice: cells that begin with = + - @, a tab or a return are computed by spreadsheets."""
    for row in opened(cutlist_bytes(JOB, [replace(DRAWER, name=name)])):
        assert row["drawer"][0] not in "=+-@\t\r\n "
        assert row["drawer"].startswith("'")


def test_a_name_stays_on_one_line() -> None:
    rows = opened(cutlist_bytes(JOB, [replace(DRAWER, name="a\nb\r\nc\x00d")]))
    assert len(rows) == 5
    assert rows[0]["drawer"] == "a b c d"


def test_accents_survive() -> None:
    assert opened(cutlist_bytes(JOB, [replace(DRAWER, name="Gräser, Łąka")]))[0]["drawer"] == "Gräser, Łąka"


def test_a_name_that_can_not_be_written_does_no_harm() -> None:
    assert opened(cutlist_bytes(JOB, [replace(DRAWER, name="a\ud800b")]))[0]["drawer"]


def test_rows_have_a_cell_for_each_column() -> None:
    assert {len(row) for row in cutlist_rows(JOB, [DRAWER])} == {len(COLUMNS)}
