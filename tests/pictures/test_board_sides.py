from __future__ import annotations

import pytest

from camtools.pictures.board_sides import placing_of
from tests.output.specimens import PROGRAMS

# docs/joinery.md section 3: what lies at the stop, towards the operator, and up (upright) or away from the operator (flat).
EXPECTED = {
    ("left side", "front end"): ("left", {"-x": "reference edge", "-y": "inside", "+z": "front end"}),
    ("left side", "rear end"): ("right", {"+x": "reference edge", "-y": "inside", "+z": "rear end"}),
    ("right side", "front end"): ("right", {"+x": "reference edge", "-y": "inside", "+z": "front end"}),
    ("right side", "rear end"): ("left", {"-x": "reference edge", "-y": "inside", "+z": "rear end"}),
    ("front", "left end"): ("right", {"+x": "reference edge", "+y": "left end", "+z": "inside"}),
    ("front", "right end"): ("left", {"-x": "reference edge", "+y": "right end", "+z": "inside"}),
    ("back", "left end"): ("right", {"+x": "reference edge", "-y": "outside", "+z": "left end"}),
    ("back", "right end"): ("left", {"-x": "reference edge", "-y": "outside", "+z": "right end"}),
    ("left side", "groove"): ("left", {"-x": "front end", "-y": "reference edge", "+z": "inside"}),
    ("back", "groove"): ("left", {"-x": "left end", "-y": "reference edge", "+z": "inside"}),
    ("right side", "groove"): ("right", {"+x": "front end", "-y": "reference edge", "+z": "inside"}),
    ("front", "groove"): ("right", {"+x": "left end", "-y": "reference edge", "+z": "inside"}),
}


@pytest.mark.parametrize("program", PROGRAMS, ids=lambda program: program.stem)
def test_sides_look_where_the_table_of_holds_puts_them(program) -> None:
    stop, sides = EXPECTED[(program.setup.piece.role, program.setup.end)]
    placing = placing_of(program.setup)
    assert program.setup.stop == stop
    assert {direction: placing.sides[direction] for direction in sides} == sides
    assert len(placing.sides) == 6
    assert placing.towards("reference edge") in placing.sides


def test_every_row_of_the_table_of_holds_was_tried() -> None:
    assert {(program.setup.piece.role, program.setup.end) for program in PROGRAMS} == set(EXPECTED)


def test_faces_are_named_as_faces_and_edges_as_they_are() -> None:
    placing = placing_of(next(program.setup for program in PROGRAMS if program.setup.end == "left end"))
    assert sorted(placing.named(direction) for direction in placing.sides) == [
        "INSIDE FACE", "LEFT END", "OUTSIDE FACE", "REFERENCE EDGE", "RIGHT END", "TOP EDGE",
    ]  # fmt: skip
