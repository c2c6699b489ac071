"""The share of an entry line that a light pass scores, against chords of the cutter's circle worked by hand.

The board is 80 mm wide and 12 mm thick, the cutter 12 mm: 0.5 mm deep in a face it cuts a chord of 2 sqrt(6^2 - 5.5^2) = 4.796 mm.
"""

from __future__ import annotations

import math

import pytest

from camtools.verify.carving.carve import BoardWork
from camtools.verify.reader.interpreter import run
from camtools.verify.rules.entry_line import ScoredLine, edge_lines, entry_line
from tests.verify.bench import DOVETAIL, FLAT, MANIFEST, READY_DOVETAIL, UPRIGHT

CHORD_MM = 2 * math.sqrt(6.0**2 - 5.5**2)
WIDE_MM = math.sqrt(6.0**2 - 4.5**2)  # half a chord 1.5 mm deep
ENDS = 3 * (WIDE_MM - CHORD_MM / 2) / (8 + 2 * WIDE_MM)  # both sides of the way in, and one of the way out
BEND = "\n".join(f"X{40 + 6 * math.sin(turn * math.pi / 24):.4f} Y{-12 - 6 * math.cos(turn * math.pi / 24):.4f}" for turn in range(1, 13))
DEEP = "G1 X40 Y-20\nY1\nY-20"
TOUCH = "G1 X40 Y-20\nY-17.5\nY-20"  # 0.5 mm into the face at Y-12
TOOLS = {DOVETAIL.number: DOVETAIL}


def work(moves: str, depth: str = "-9") -> BoardWork:
    made = run(f"{READY_DOVETAIL}G0 X20 Y-20\nG1 Z{depth} F2000\n{moves}\nG0 Z10\nM30", "programs/side.ngc", tools=[1])
    assert made.complete
    return BoardWork(made.file, UPRIGHT.to_machine, made.motions)


def line(moves: str, light_mm: float = 1.0) -> ScoredLine:
    found = entry_line([work(moves)], MANIFEST.boards[0].size, upright=True, tools=TOOLS, light_mm=light_mm)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("what", "moves", "length", "scored"),
    [
        ("a deep pass alone", DEEP, 12.0, 0.0),
        ("a light touch before it", f"{TOUCH}\n{DEEP}", 12.0, CHORD_MM / 12.0),
        ("a light touch after it", f"{DEEP}\n{TOUCH}", 12.0, 0.0),
        ("a light pass over the whole chord", f"G1 X36.398 Y-20\nY-17.5\nX43.602\nY-20\n{DEEP}", 12.0, 1.0),
        ("the same, and straight on into the wood", "G1 X36.398 Y-20\nY-17.5\nX43.602\nX40\nY1\nY-20", 12.0, 1.0),
        ("a pass of 1.5 mm, which is light only where its circle is", f"G1 X36 Y-20\nY-16.5\nX44\nY-20\n{DEEP}", 8 + 2 * WIDE_MM, ENDS),
        ("an arc that bends in from the face", "G1 X40 Y-18\nG3 X46 Y-12 J6\nG1 Y-20", 12.0, 0.0),
        ("the same as short lines", f"G1 X40 Y-18\n{BEND}\nY-20", 12.0, 0.0),
    ],
)
def test_the_scored_share_is_that_of_the_chords(what: str, moves: str, length: float, scored: float) -> None:
    found = line(moves)
    assert found.length_mm == pytest.approx(length, abs=0.11), what
    assert found.scored == pytest.approx(scored, abs=0.025), what


def test_a_deeper_light_pass_is_light_where_the_job_asks_for_it() -> None:
    assert line(f"G1 X36 Y-20\nY-16.5\nX44\nY-20\n{DEEP}", light_mm=1.6).scored == 1.0


def test_passes_above_the_deepest_level_score_nothing_there() -> None:
    works = [work(f"{TOUCH}\n{DEEP}", depth="-8"), work(DEEP)]
    found = entry_line(works, MANIFEST.boards[0].size, upright=True, tools=TOOLS)
    assert found is not None
    assert found.scored == 0.0


def test_the_line_that_bares_most_is_named() -> None:
    found = line(f"{TOUCH}\n{DEEP}")
    assert found.line == 11  # Y1


def test_the_end_of_a_flat_board_is_its_entry_face() -> None:
    made = run(f"{READY_DOVETAIL}G0 X40 Y20\nG1 Z-9 F2000\nY5.5\nY20\nY-30\nY20\nG0 Z10\nM30", FLAT.file, tools=[1])
    works = [BoardWork(made.file, FLAT.to_machine, made.motions)]
    found = entry_line(works, MANIFEST.boards[1].size, upright=False, tools=TOOLS)
    assert found is not None
    assert (found.length_mm, found.scored) == (pytest.approx(12.0, abs=0.1), pytest.approx(CHORD_MM / 12.0, abs=0.02))


def test_a_board_that_is_not_cut_has_no_line() -> None:
    assert entry_line([work("G1 X-20", "2")], MANIFEST.boards[0].size, upright=True, tools=TOOLS) is None


@pytest.mark.parametrize(
    ("what", "moves", "scored"),
    [
        # The cutter turns clockwise seen from above, so in front of its axis teeth go to the right.
        ("into the wood along the low edge: teeth come in", "G1 X2 Y-20\nY1\nX-10\nY-20", (1.0,)),
        ("the other way: teeth go out", "G1 X-10 Y-20\nY8\nX2\nY-20", (0.0,)),
        ("into the wood along the high edge: teeth go out", "G1 X78 Y-20\nY8\nX90\nY-20", (0.0,)),
        ("the same after a light pass along the edge", "G1 X85.5 Y-20\nY8\nY-20\nX78\nY8\nX90\nY-20", (1.0,)),
    ],
)
def test_an_edge_breaks_out_where_teeth_leave_it_unscored(what: str, moves: str, scored: tuple[float, ...]) -> None:
    found = edge_lines([work(moves)], MANIFEST.boards[0].size, tools=TOOLS)
    assert tuple(own.scored for own in found) == pytest.approx(scored, abs=0.05), what
    assert all(own.length_mm == pytest.approx(12.0, abs=0.01) for own in found), what
