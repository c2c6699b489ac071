"""A preview picture of each program: the board on the machine from above, the motion, and a section with the cutter."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from camtools.drawer.boards import Groove, Piece
from camtools.job.job import Cutter
from camtools.pictures.board_sides import end_names
from camtools.pictures.paper import Paper, rectangle
from camtools.pictures.plan_view import draw_plan
from camtools.pictures.section_view import draw_section
from camtools.pictures.setups.progress import Progress
from camtools.pictures.setups.setup_view import setup_on
from camtools.pictures.signs import arrowheads, draw_heading, edge_marks, face_dots, zero_mark
from camtools.toolpath.moves import Cut, Program
from camtools.wording import mm, quantity, span

__all__ = ["draw_all", "preview_of"]

_WIDE, _HIGH = 1280, 900


def draw_all(programs: Iterable[Program], setups: Mapping[str, tuple[Sequence[Program], int]] = {}) -> dict[str, bytes]:
    """Return pictures as SVG: of every program its preview by its stem and its setup by ``stem-setup``, of several boards by theirs.

    Parameters
    ----------
    setups
        Every setup in the order of work by its stem: its programs and how often it comes.
    """
    progress = Progress(setups.values())
    pictures: dict[str, bytes] = {}
    for program in programs:
        pictures[program.stem] = preview_of(program).svg()
        pictures[f"{program.stem}-setup"] = setup_on(program, progress=progress).svg()
    for stem, (together, _) in setups.items():
        stacks = [program for program in together if program.stacked > 1]
        pictures |= {program.called: preview_of(program).svg() for program in stacks if program.called not in pictures}
        if len(together) > 1 or stacks:
            pictures[f"{stem}-setup"] = setup_on(*together, progress=progress, run=stem).svg()
    return pictures


def preview_of(program: Program) -> Paper:
    """Draw the preview of one program."""
    paper = Paper(_WIDE, _HIGH)
    draw_heading(paper, program)
    paper.draw([[(12, 800), (_WIDE - 12, 800)], [(12, 318), (_WIDE - 12, 318)]], "thin")
    draw_plan(paper, program, (12, 330, _WIDE - 12, 796))
    draw_section(paper, program, (16, 12, 620, 312))
    _facts(paper, program)
    _legend(paper, program.cutter)
    return paper


def _facts(paper: Paper, program: Program) -> None:
    x, y, room = 640.0, 300.0, 330.0
    for cut in program.cuts:
        cutter = cut.cutter
        diameter_mm, angle_deg = cutter.mark
        angle = f", {angle_deg:g}°" if angle_deg else ""
        head = f"Cutter {cutter.number}: {cutter.kind}, {mm(diameter_mm)}{angle}"
        y = paper.write_lines((x, y), head, room, bold=True, size="small")
        y = paper.write_lines((x, y), f"{cutter.speed_rpm:g} rpm, {quantity(cutter.feed_mm_min, 'mm/min')}", room, size="small")
        y = paper.write_lines((x, y), str(cut.purpose), room, size="small") - 6
    groove = program.setup.piece.groove
    if program.setup.end == "groove" and groove is not None:
        y = paper.write_lines((x, y), _groove_words(program.setup.piece, groove), room, size="small", most=4) - 6
    for axis, (low, high) in zip("XYZ", _reach(program.cuts), strict=True):
        y = paper.write_lines((x, y), f"{axis} from {span(low, high)}", room, size="small")


def _groove_words(piece: Piece, groove: Groove) -> str:
    length, _, thick = piece.size_mm
    first, last = end_names(piece.role)
    start = f"starts {mm(groove.start_mm)} from the {first}" if groove.start_mm >= 0 else f"runs out at the {first}"
    stop = f"stops {mm(length - groove.stop_mm)} from the {last}" if groove.stop_mm <= length else f"runs out at the {last}"
    wall = f"near wall {mm(groove.edge_mm)} from the reference edge"
    return f"{start}, {stop}; {wall}; {mm(thick - groove.depth_mm)} of wood left under it"


def _reach(cuts: Iterable[Cut]) -> list[tuple[float, float]]:
    places = np.array([move.end for cut in cuts for move in cut.moves])
    return [(float(low) + 0.0, float(high) + 0.0) for low, high in zip(places.min(axis=0), places.max(axis=0), strict=True)]


def _legend(paper: Paper, cutter: Cutter) -> None:
    """Show what every line, dot and sign means."""
    x, y = 990.0, 302.0

    def tell(words: str) -> None:
        nonlocal y
        paper.write((x + 62, y), words, size="small")
        y -= 23.0

    for pen, words in (("rapid", "rapid traverse"), ("air", "feed in air"), ("wood", "feed in wood, with direction")):
        paper.draw([[(x, y), (x + 52, y)]], pen)
        if pen == "wood":
            arrowheads(paper, np.array([[(x, y), (x + 52, y)]]), "ink")
        tell(words)
    widths = [("tip", "width of cut")]
    if cutter.angle_deg:
        widths = [("tip", "width cut at the tip"), ("top", "width cut at the upper surface")]
    for tone, words in widths:
        paper.fill([rectangle(x, y - 8, x + 52, y + 8)], tone, "band")
        tell(words)
    paper.dots([(x + 14, y)], 4.0, "ink")
    paper.dots([(x + 38, y)], 4.0, "paper", "thin")
    tell("enters wood, leaves it")
    paper.fill([[(x + 6, y + 7), (x + 22, y + 7), (x + 14, y - 8)]], "push", "thin")
    paper.fill([rectangle(x + 32, y - 6, x + 44, y + 6)], "paper", "outline")
    tell("comes down first, rises last")
    zero_mark(paper, (x + 26, y))
    tell("program zero, X0 Y0")
    paper.fill([rectangle(x, y - 10, x + 34, y + 10)], "wood")
    paper.draw([[(x + 34, y - 10), (x + 34, y + 10)]], "outline")
    edge_marks(paper, (x + 34, y), (1.0, 0.0), 9.0)
    tell("on the wood: reference edge")
    face_dots(paper, (x, y), (52, 0), (0, 0), 9.0)
    tell("dots: inside face")
    paper.dots([(x + 26, y)], 5.0, "paper", "outline")
    tell("ring, top left: end worked here")
