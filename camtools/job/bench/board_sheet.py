"""Reads ``boards.csv``, the sheet of boards as they were measured, and makes drawers one by one of kinds of drawers.

Format: RFC 4180, or with semicolons or tabs in place of commas, as spreadsheets write it where the comma is the decimal mark.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from camtools.faults import Fault, SheetFault
from camtools.job.job import PARTS, Cells, DrawerWish, MeasuredDrawer, Part
from camtools.job.lengths import parse_length
from camtools.job.slips import nearest

__all__ = ["LARGEST_SHEET", "MARK", "MEASURES", "one_by_one", "with_boards"]

LARGEST_SHEET = 4_000_000  # bytes; tens of thousands of boards
MARK = "board"  # heading of the column of marks
MEASURES = ("length", "width", "thickness")  # of the columns to fill in; the unit follows
_HEADING = re.compile(r"(length|width|thickness) (mm|in)", re.IGNORECASE)
_DECIMAL_COMMA = re.compile(r" *\d*,\d+ *")
_TOLD = 40  # faults of a sheet that are told
_PLANNED: Cells = (None, None, None)

_Row = tuple[int, dict[str, str]]  # line, and its cells by heading


def one_by_one(drawers: Sequence[DrawerWish]) -> tuple[DrawerWish, ...]:
    """Return a drawer for each that is made of a kind, its boards as planned; those that are single drawers already stay so."""
    if all(wish.measured for wish in drawers):
        return tuple(drawers)
    return tuple(
        replace(
            wish,
            name=wish.name if wish.count == 1 else f"{wish.name}, {copy} of {wish.count}",
            count=1,
            measured=MeasuredDrawer(entry, copy, wish.count, dict.fromkeys(PARTS, _PLANNED)),
        )
        for entry, wish in enumerate(drawers, 1)
        for copy in range(1, wish.count + 1)
    )


def with_boards(drawers: Sequence[DrawerWish], content: bytes, where: str) -> tuple[DrawerWish, ...]:
    """Return the drawers one by one with their boards as they were measured.

    Parameters
    ----------
    drawers
        Kinds of drawers, as the job file has them.
    content, where
        Of the sheet: its bytes, and what faults are to call it.

    Raises
    ------
    SheetFault
        With everything that is wrong with the sheet.
    """
    single = one_by_one(drawers)
    places = {own.measured.mark(part): (place, part) for place, own in enumerate(single) if own.measured for part in PARTS}
    faults: list[Fault] = []
    found: dict[tuple[int, Part], Cells] = {}
    lines: dict[str, int] = {}
    for line, cells in _rows(content, where):
        mark = cells[MARK].strip()
        if mark not in places:
            like = nearest(mark, places)
            problem = "is of a board that the job does not have"
            faults.append(Fault(f"{where}, line {line}", problem, f'"{mark}"', remedy=f'is "{like}" meant?' if like else _ANEW))
            continue
        if mark in lines:
            remedy = "leave one line for each board"
            faults.append(Fault(f"{where}, line {line}", f"is of a board that line {lines[mark]} is of", f'"{mark}"', remedy=remedy))
            continue
        lines[mark] = line
        sizes, wrong = _sizes(cells, places[mark][1], f"{where}, line {line}, board {mark}")
        faults += wrong
        found[places[mark]] = sizes
    missing = [mark for mark in places if mark not in lines]
    if missing:
        told = ", ".join(missing[:6]) + (f" and {len(missing) - 6} more" if len(missing) > 6 else "")
        faults.append(
            Fault(where, "has no line for a board of the job", told, "a line for each board; what is left blank is as planned", _ANEW)
        )
    if faults:
        raise SheetFault(*faults[:_TOLD])
    return tuple(
        replace(own, measured=replace(own.measured, boards={part: found[place, part] for part in PARTS}))
        for place, own in enumerate(single)
        if own.measured
    )


_ANEW = "write a sheet anew with `camtools measure`, under another name, and carry over what was measured"


def _rows(content: bytes, where: str) -> Iterator[_Row]:
    """Yield the lines of a sheet below its heading. Raises SheetFault where it is none."""
    if len(content) > LARGEST_SHEET:
        raise SheetFault(Fault(where, "is too long for a sheet of boards", f"{len(content)} bytes", f"at most {LARGEST_SHEET} bytes"))
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise SheetFault(Fault(where, "is written in UTF-16", limit="UTF-8", remedy="save it as CSV, in UTF-8"))
    if content.startswith(b"PK") or b"\0" in content:
        raise SheetFault(Fault(where, "is not a text", limit="CSV", remedy="save the spreadsheet as CSV"))
    text = content.decode("utf-8-sig", "replace")  # marks and numbers are ASCII
    heading = next(iter(text.splitlines()), "")
    separator = max(";\t,", key=heading.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        names = [name.strip().lower() for name in next(reader, [])]
        wanted = [MARK, *MEASURES]
        known = [MARK if name == MARK else found[1] if (found := _HEADING.fullmatch(name)) else "" for name in names]
        lacking = [name for name in wanted if known.count(name) != 1]
        units = {found[2] for name in names if (found := _HEADING.fullmatch(name))}
        if lacking or len(units) != 1:
            limit = f'columns "{MARK}" and, with one unit, ' + ", ".join(f'"{name} mm"' for name in MEASURES)
            raise SheetFault(Fault(f"{where}, line 1", "has not the headings of a sheet of boards", ", ".join(names)[:80], limit, _ANEW))
        (unit,) = units
        for row in reader:
            if not any(cell.strip() for cell in row):
                continue
            if len(row) != len(names):
                remedy = "a decimal comma asks for semicolons between the cells, or for a point" if separator == "," else ""
                raise SheetFault(Fault(f"{where}, line {reader.line_num}", "has another number of cells than the heading", str(len(row)),
                                     str(len(names)), remedy))  # fmt: skip
            yield reader.line_num, {name: cell for name, cell in zip(known, row, strict=True) if name} | {"unit": unit}
    except csv.Error as error:
        raise SheetFault(Fault(f"{where}, line {reader.line_num}", f"is no line of a CSV file: {error}", remedy=_ANEW)) from None


def _sizes(cells: Mapping[str, str], part: Part, where: str) -> tuple[Cells, list[Fault]]:
    """Return length, width and thickness in mm, and what is wrong with them."""
    faults: list[Fault] = []
    found: list[float | None] = []
    for name in MEASURES:
        text = cells[name].strip()
        size = None
        if text and part == "bottom" and name != "thickness":
            limit = "left blank: a bottom is sawn to the size that follows from the other boards"
            faults.append(Fault(where, f"{name} of a bottom is not asked for", f'"{text}"', limit))
        elif text:
            try:
                size = parse_length(text.replace(",", ".") if _DECIMAL_COMMA.fullmatch(text) else text, cells["unit"])
            except ValueError as error:
                faults.append(Fault(where, f"its {name} is no length", f'"{text[:40]}"', remedy=str(error)))
            else:
                if not 0 < size < 5000:
                    faults.append(Fault(where, f"its {name} is no size of a board", f'"{text[:40]}"'))
        found.append(size)
    return (found[0], found[1], found[2]), faults
