"""Marking-out sheets of every board, exploded views, the story stick: as DXF and SVG, all in one PDF, as PNG if asked for; and labels."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from camtools.drawer.boards import Board, Drawer, Piece
from camtools.drawings.board_views import bottom_views, face_view, section_view
from camtools.drawings.exploded import exploded_view
from camtools.drawings.labels import label_sheets
from camtools.drawings.sheet import Drawing, Sheet
from camtools.drawings.sheet_dxf import sheet_dxf_bytes
from camtools.drawings.sheet_layout import Title, laid_out
from camtools.drawings.sheet_pdf import pdf_bytes
from camtools.drawings.sheet_svg import svg_bytes
from camtools.drawings.story_stick import stick_views
from camtools.job.job import Job
from camtools.toolpath.handling.board_names import marks_of
from camtools.wording import figure, units_told

__all__ = ["drawing_files", "sheets_of"]


_ORDER = "numbers: the order of assembly; dashed: the way that a board moves"
_BOTTOM_SCALE = 5  # 1:5 shows the whole of a bottom, whose corners are enlarged


def drawing_files(job: Job, drawers: Sequence[Drawer], *, png: bool = False) -> Iterable[tuple[str, bytes]]:
    """Yield every drawing's name and file as it is made: DXF, SVG and, where asked for, PNG of each sheet, and all sheets in one PDF."""
    sheets = sheets_of(job, drawers)
    for sheet in sheets:
        if not sheet.picture:  # hidden lines of a picture would show without its areas
            yield f"{sheet.stem}-{units_told()[0].value}.dxf", sheet_dxf_bytes(sheet)
        yield f"{sheet.stem}.svg", svg_bytes(sheet)
        if png:
            from camtools.drawings.sheet_png import png_bytes  # matplotlib is slow to import

            yield f"{sheet.stem}.png", png_bytes(sheet)
    yield "marking-out.pdf", pdf_bytes(sheets)
    yield "labels.pdf", pdf_bytes(label_sheets(drawers), "Labels")


def sheets_of(job: Job, drawers: Sequence[Drawer]) -> list[Sheet]:
    """Return every sheet: boards drawer by drawer, equal ones once, then exploded views and the story stick."""
    used: dict[Piece, list[tuple[Drawer, Board]]] = {}
    for drawer in drawers:
        for board in drawer.boards:
            used.setdefault(board.piece, []).append((drawer, board))
    marks = marks_of(drawers)
    sheets: list[Sheet] = []
    for piece, uses in used.items():
        sheets += _board_sheets(job, piece, marks[piece], uses)
    for drawer in drawers:
        width, depth, height = (figure(size) for size in drawer.outside_mm)
        told = (job.title, f"{drawer.count} off, outside {width} wide, {depth} deep, {height} high", _ORDER)
        title = Title(f"exploded-{_stem(drawer.id)}", drawer.name, told, picture=True)
        sheets += _pictured(title, [exploded_view(drawer)])
    lines = (
        job.title,
        "grey or hatched: waste; long lines: tips of tails",
        "short lines: baseline; dashed: groove",
        "lay a batten on a strip, carry the marks over",
    )
    sheets += _pictured(Title("story-stick", "Story stick", lines), stick_views(drawers))
    return sheets


def _pictured(title: Title, views: Sequence[Drawing]) -> tuple[Sheet, ...]:
    """Return sheets for views that are drawn at one scale only."""
    return laid_out(title, lambda _: views, full_size=True)


def _board_sheets(job: Job, piece: Piece, mark: str, uses: Sequence[tuple[Drawer, Board]]) -> tuple[Sheet, ...]:
    board = uses[0][1]
    size = " x ".join(figure(side) for side in piece.size_mm)
    off = sum(board.count for _, board in uses)
    names = ", ".join(drawer.name for drawer, _ in uses)
    lines = (job.title, f"{size}, {off} off{_slope(piece)}", *_notes(piece))
    title = Title(f"board-{mark}", f"{mark}: {names}", lines)
    return laid_out(title, lambda scale: _views(board, scale), largest=_BOTTOM_SCALE if piece.role == "bottom" else 1)


def _views(board: Board, scale: float) -> list[Drawing]:
    match board.piece.role:
        case "bottom":
            return bottom_views(board, scale)
        case "front":
            return [section_view(board, scale, "first"), face_view(board, "inside", scale), section_view(board, scale, "last")]
        case "back":
            return [face_view(board, "outside", scale), face_view(board, "inside", scale), section_view(board, scale, "last")]
        case _:
            return [face_view(board, "outside", scale), face_view(board, "inside", scale), section_view(board, scale)]


def _slope(piece: Piece) -> str:
    joint = piece.half_blind or piece.through
    return f", slope 1:{1 / joint.dovetail.slope:.1f}" if joint else ""


def _notes(piece: Piece) -> tuple[str, str]:
    if piece.role == "bottom":
        return ("grey or hatched: waste; triangles: front edge", "measured from the left and from the front edge")
    return ("grey or hatched: waste; triangles: bottom edge", "heights from there, lengths from the end named")


def _stem(identity: str) -> str:
    kept = "".join(char if char.isascii() and char.isalnum() else "-" for char in identity.lower())
    return "-".join(part for part in kept.split("-") if part)[:60]
