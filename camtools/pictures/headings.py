"""What stands along the top of every picture of a program."""

from __future__ import annotations

from camtools.pictures.paper import Paper
from camtools.pictures.signs import badge, key_plan
from camtools.toolpath.moves import Program

__all__ = ["draw_heading"]


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
