"""The sheet on which boards are measured: a line for the mark of every board, with what was planned for it."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

from camtools.drawer.drawers import drawers_of
from camtools.job.bench.board_sheet import MARK, MEASURES, one_by_one
from camtools.job.job import Job
from camtools.output.cutlist import text_of
from camtools.wording import bare

__all__ = ["SheetLine", "lines_of_sheet", "sheet_bytes"]

SheetLine = tuple[str, str, str, str, tuple[str, str, str]]
"""A board: its mark, drawer, part and wood, and its length, width and thickness as planned.

Those of a bottom follow from the other boards, all but its thickness, so they are not asked for.
"""


def lines_of_sheet(job: Job) -> list[SheetLine]:
    """Return a line for every board of a job, each copy of a drawer by itself, in the order of the job file.

    Raises
    ------
    CannotCut
        Where the drawers can not be made as planned.
    """
    single = replace(job, drawers=one_by_one(job.drawers))
    found: list[SheetLine] = []
    for drawer in drawers_of(single):
        for board in drawer.boards:
            length, width, thick = (bare(size).replace("\N{NO-BREAK SPACE}", " ") for size in board.piece.size_mm)
            asked = ("", "", thick) if board.piece.role == "bottom" else (length, width, thick)
            found.append((board.id, text_of(drawer.name), board.piece.role, board.wood, asked))
    return found


def sheet_bytes(job: Job) -> bytes:
    """Return the sheet as CSV (RFC 4180), in the units of the job; the columns to fill in are blank. Raises CannotCut."""
    unit = "mm" if job.units == "mm" else "in"
    table = io.StringIO()
    writer = csv.writer(table, lineterminator="\r\n")
    writer.writerow([MARK, "drawer", "part", "wood", *(name for size in MEASURES for name in (f"{size} {unit}", f"planned {size}"))])
    for mark, drawer, part, wood, planned in lines_of_sheet(job):
        writer.writerow([mark, drawer, part, wood, *(cell for size in planned for cell in ("", size))])
    return table.getvalue().encode("utf-8-sig")
