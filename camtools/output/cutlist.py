"""The cut list: parts with sizes, numbers off and marks, as a table that any spreadsheet opens.

Format: RFC 4180, in UTF-8 with a byte order mark, without which spreadsheets guess at accents.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Collection, Sequence

from camtools.drawer.boards import Board, Drawer, Notch, Role, corners_told
from camtools.drawer.trial.trial_boards import TrialSet
from camtools.job.job import Job, Stock
from camtools.output.stock_list import rough_mm
from camtools.toolpath.handling.board_names import marks_of
from camtools.wording import Units, mm, printable, units_told

__all__ = ["COLUMNS", "FACES", "cutlist_bytes", "cutlist_rows", "runs_of", "text_of"]

_SIZES = ("length", "width", "thickness", "rough length", "rough width", "rough thickness")
COLUMNS = (
    "drawer", "part", "board", "mark", "wood", "number off", *_SIZES, "outside face", "reference edge", "length runs", "shape",
)  # fmt: skip
_FORMULA = ("=", "+", "-", "@")  # what makes a spreadsheet compute a cell (common practice)
FACES: dict[Role, str] = {
    "front": "to the front", "back": "to the rear", "left side": "to the left", "right side": "to the right", "bottom": "down",
}  # fmt: skip
"""Where each board's outside face looks."""


def cutlist_rows(job: Job, drawers: Sequence[Drawer], trials: Sequence[TrialSet] = ()) -> list[tuple[str, ...]]:
    """Return a row for each board, in the order of `COLUMNS`. Equal boards share a mark, which their programs' names bear.

    A front laid over the drawer's own has a row too, and no mark, for no program cuts it. Drawers stand in the order of the job's wishes.
    """
    marks = marks_of(drawers)
    rows: list[tuple[str, ...]] = []
    for wish, drawer in zip(job.drawers, drawers, strict=not trials):
        for board in drawer.boards:
            notches = drawer.notches if board is drawer.bottom else ()
            rows.append((text_of(drawer.name), *_board(board, marks[board.piece], wish.stock, notches)))
        if drawer.show_front_mm is not None:
            rows.append((text_of(drawer.name), *_show_front(drawer, drawer.show_front_mm, wish.stock)))
    return [*rows, *((trial.name, *_board(board, board.id, None, ())) for trial in trials for board in trial.boards)]


def cutlist_bytes(job: Job, drawers: Sequence[Drawer], only: Collection[str] | None = None, trials: Sequence[TrialSet] = ()) -> bytes:
    """Return ``cutlist.csv``; its sizes bear their unit, or their heading does where that is mm.

    Parameters
    ----------
    only
        Ids of the boards that are cut again; None: all.
    """
    table = io.StringIO()
    writer = csv.writer(table, lineterminator="\r\n")
    writer.writerow([f"{name} {units_told()[0].value}" if name in _SIZES else name for name in COLUMNS])
    writer.writerows(row for row in cutlist_rows(job, drawers, trials) if only is None or row[COLUMNS.index("board")] in only)
    return table.getvalue().encode("utf-8-sig", "replace")


def runs_of(role: Role) -> str:
    """Return how a board's length runs, and its grain with it."""
    return "front to rear" if "side" in role else "left to right"


def _board(board: Board, mark: str, stock: Stock | None, notches: Sequence[Notch]) -> tuple[str, ...]:
    """Return a row but for its drawer; an offcut, without ``stock``, is sawn to its size and of the thickness that it has."""
    piece = board.piece
    rough = piece.size_mm if stock is None else rough_mm(stock, board.wood, board.planned_mm or piece.size_mm)
    sizes = map(_size, (*piece.size_mm, *rough))
    outline = "; ".join(f"{_size(u)} {_size(v)}" for u, v in piece.outline)
    edge = "to the front" if piece.role == "bottom" else "bottom edge"
    shape = "; ".join(filter(None, [corners_told(notches), f"corners at {outline}"])) if outline else "rectangle"
    if board.planned_mm:
        shape += f"; as measured, planned was {' x '.join(map(_size, board.planned_mm))}"
    return piece.role, text_of(board.id), mark, board.wood, str(board.count), *sizes, FACES[piece.role], edge, runs_of(piece.role), shape


def _show_front(drawer: Drawer, size_mm: tuple[float, float, float], stock: Stock) -> tuple[str, ...]:
    sizes = map(_size, (*size_mm, *rough_mm(stock, drawer.front.wood, size_mm)))
    return (
        "show front", text_of(f"{drawer.id}-show-front"), "", drawer.front.wood, str(drawer.count), *sizes,
        FACES["front"], "bottom edge", "left to right", "rectangle, screwed to the front",
    )  # fmt: skip


def _size(length_mm: float) -> str:
    return f"{length_mm:.2f}" if units_told() == (Units.MM,) else mm(length_mm).replace("\N{NO-BREAK SPACE}", " ")


def text_of(words: str) -> str:
    """Return text from the job file on one line, with an apostrophe before what a spreadsheet would compute."""
    line = " ".join(printable(words).split())
    return f"'{line}" if line.startswith(_FORMULA) else line
