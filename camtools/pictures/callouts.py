"""Words on a picture: what it is, along its top; names with leaders, the arrow to the stop, and who stands where."""

from __future__ import annotations

from camtools.pictures.paper import XY, Align, Paper
from camtools.pictures.signs import arrow, badge, key_plan, operator
from camtools.toolpath.moves import Program

__all__ = [
    "BOTTOM_PX",
    "SIDE_PX",
    "STOP_PX",
    "TOP_PX",
    "draw_heading",
    "face_words",
    "leader",
    "push_arrow",
    "stop_words",
    "you_stand_here",
]

TOP_PX, BOTTOM_PX = 528.0, 52.0  # the picture lies between
SIDE_PX = 198.0  # kept free beside the board for words
STOP_PX = 70.0  # width of the stop
_ARROW_PX = 130.0


def draw_heading(paper: Paper, program: Program) -> None:
    """Write what the program is along the top of a sheet, with key plan and badge."""
    top, right = paper.size[1], paper.size[0]
    setup = program.setup
    key_plan(paper, (20, top - 76, 96, top - 10), setup.piece.role, setup.end)
    paper.write((58, top - 88), "front", size="small", align="center")
    badge(paper, (right - 188, top - 70, right - 16, top - 20), setup.piece.role)
    room = right - 188 - 130
    paper.write((116, top - 28), program.title, size="title", bold=True, room_px=room)
    boards = ("board " if len(program.boards) == 1 else "boards ") + ", ".join(program.boards)
    paper.write((116, top - 56), f"{program.stem} \N{MIDDLE DOT} {boards}", room_px=room)
    faces = f"{setup.facing} face " + ("towards you" if setup.hold == "upright" else "up")
    minutes, seconds = divmod(round(program.seconds), 60)
    time = f"{minutes} min {seconds:02d} s" if minutes else f"{seconds} s"
    held = f"held {setup.hold}, {faces}, {setup.stop} stop ({setup.work_offset}), about {time}"
    paper.write((116, top - 81), held)


def leader(paper: Paper, at: XY, target: XY, words: str, align: Align) -> None:
    """Write words and draw a line from them to what they name; near the sheet's edge the words move in."""
    wide = paper.width_of(words, bold=True) + 8
    x = {"left": min(at[0], paper.size[0] - wide), "center": at[0], "right": max(at[0], wide)}[align]
    start = {"left": (x - 4, at[1]), "right": (x + 4, at[1]), "center": (x, at[1] - 9 if target[1] < at[1] else at[1] + 9)}[align]
    paper.draw([[start, target]], "outline")
    paper.write((x, at[1]), words, bold=True, align=align, ground="paper")


def push_arrow(paper: Paper, tip: XY, stop: str) -> None:
    """Draw the big arrow to the stop, its tip at the board's free end or edge, with words over it."""
    way = -1.0 if stop == "left" else 1.0
    arrow(paper, (tip[0] - way * _ARROW_PX, tip[1]), (tip[0] - way * 8, tip[1]), "push", 40.0)
    align: Align = "left" if stop == "left" else "right"
    paper.write((tip[0] - way * 12, tip[1] + 34), f"to the {stop} stop", size="mark", bold=True, align=align, ground="paper")


def face_words(paper: Paper, at: XY, words: str, room_px: float) -> None:
    """Name a face on the face itself, as large as it goes."""
    size = "mark" if paper.width_of(words, "mark", bold=True) < room_px - 16 else "small"
    paper.write(at, words, size=size, bold=True, align="center", ground="wood")


def stop_words(paper: Paper, at: XY) -> None:
    """Name the stop on the stop itself."""
    paper.write(at, "STOP", size="mark", bold=True, tone="paper", align="center")


def you_stand_here(paper: Paper) -> None:
    """Draw the operator at the sheet's lower edge."""
    operator(paper, (paper.size[0] / 2 - 70, 22), "You stand here")
