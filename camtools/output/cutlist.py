"""The cut list: parts with sizes, numbers off and marks, as a table that any spreadsheet opens.

Format: RFC 4180, in UTF-8 with a byte order mark, without which spreadsheets guess at accents.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence

from camtools.drawer.boards import Board, Drawer, Notch, Role, corners_told
from camtools.job.job import Job, Stock
from camtools.output.stock_list import rough_mm
from camtools.toolpath.programs import marks_of
from camtools.wording import MM_PER_INCH

__all__ = ["COLUMNS", "FACES", "INCHES", "cutlist_bytes", "cutlist_rows", "runs_of"]

COLUMNS = (
    "drawer", "part", "board", "mark", "wood", "number off", "length mm", "width mm", "thickness mm",
    "rough length mm", "rough width mm", "rough thickness mm", "outside face", "reference edge", "length runs", "shape",
)  # fmt: skip
INCHES = ("length in", "width in", "thickness in")  # columns that are added where a shop works in inches
_FORMULA = ("=", "+", "-", "@")  # what makes a spreadsheet compute a cell (common practice)
FACES: dict[Role, str] = {
    "front": "to the front", "back": "to the rear", "left side": "to the left", "right side": "to the right", "bottom": "down",
}  # fmt: skip
"""Where each board's outside face looks."""


def cutlist_rows(job: Job, drawers: Sequence[Drawer]) -> list[tuple[str, ...]]:
    """Return a row for each board, in the order of `COLUMNS`. Equal boards share a mark, which their programs' names bear.

    A front laid over the drawer's own has a row too, and no mark, for no program cuts it. Drawers stand in the order of the job's wishes.
    """
    marks = marks_of(drawers)
    rows: list[tuple[str, ...]] = []
    for wish, drawer in zip(job.drawers, drawers, strict=True):
        for board in drawer.boards:
            notches = drawer.notches if board is drawer.bottom else ()
            rows.append((_text(drawer.name), *_board(board, marks[board.piece], wish.stock, notches)))
        if drawer.show_front_mm is not None:
            rows.append((_text(drawer.name), *_show_front(drawer, drawer.show_front_mm, wish.stock)))
    return rows


def cutlist_bytes(job: Job, drawers: Sequence[Drawer], *, inches: bool = False) -> bytes:
    """Return ``cutlist.csv``, with the columns of `INCHES` at its end where they are wanted."""
    table = io.StringIO()
    writer = csv.writer(table, lineterminator="\r\n")
    writer.writerow((*COLUMNS, *INCHES) if inches else COLUMNS)
    for row in cutlist_rows(job, drawers):
        writer.writerow((*row, *_inches(row)) if inches else row)
    return table.getvalue().encode("utf-8-sig", "replace")


def _inches(row: tuple[str, ...]) -> Iterator[str]:
    return (f"{float(row[COLUMNS.index(name.replace(' in', ' mm'))]) / MM_PER_INCH:.3f}" for name in INCHES)


def runs_of(role: Role) -> str:
    """Return how a board's length runs, and its grain with it."""
    return "front to rear" if "side" in role else "left to right"


def _board(board: Board, mark: str, stock: Stock, notches: Sequence[Notch]) -> tuple[str, ...]:
    piece = board.piece
    sizes = (f"{size:.2f}" for size in (*piece.size_mm, *rough_mm(stock, board.wood, piece.size_mm)))
    outline = "; ".join(f"{u:.2f} {v:.2f}" for u, v in piece.outline)
    edge = "to the front" if piece.role == "bottom" else "bottom edge"
    shape = "; ".join(filter(None, [corners_told(notches), f"corners at {outline}"])) if outline else "rectangle"
    return piece.role, _text(board.id), mark, board.wood, str(board.count), *sizes, FACES[piece.role], edge, runs_of(piece.role), shape


def _show_front(drawer: Drawer, size_mm: tuple[float, float, float], stock: Stock) -> tuple[str, ...]:
    sizes = (f"{size:.2f}" for size in (*size_mm, *rough_mm(stock, drawer.front.wood, size_mm)))
    return (
        "show front", _text(f"{drawer.id}-show-front"), "", drawer.front.wood, str(drawer.count), *sizes,
        FACES["front"], "bottom edge", "left to right", "rectangle, screwed to the front",
    )  # fmt: skip


def _text(words: str) -> str:
    """Return text from the job file on one line, with an apostrophe before what a spreadsheet would compute."""
    line = " ".join("".join(letter if letter.isprintable() else " " for letter in words).split())
    return f"'{line}" if line.startswith(_FORMULA) else line
