"""The stages of a program's carving: together they are the wood that was there, and what stays is what the check carved."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from manifold3d import Manifold, Mesh64

from camtools.output.manifest import BoardEntry
from camtools.page.facts import PacketFacts, ProgramFacts
from camtools.page.solids import PARTS, Solid
from camtools.page.staged_carvings import CIRCLE_MM, StagedCarving, staged_carvings
from camtools.page.views import motion_view, views_of
from camtools.pictures.drawing_style import TONES
from camtools.verify.carving.carve import board_box, solid_of
from camtools.verify.checking import Checked

Staged = Mapping[str, StagedCarving]


def whole(solid: Solid) -> Manifold:
    return Manifold(Mesh64(solid.corners, solid.triangles.astype(np.uint64)))


def chips_of(carving: StagedCarving) -> list[Manifold]:
    return [whole(chip).translate((carving.shift_mm, 0.0, 0.0)) for _, chip in carving.stages.chips]


def shown(carving: StagedCarving, program: ProgramFacts, board: BoardEntry) -> Manifold:
    """Return the wood of the blank within the room that is shown."""
    low, high = np.array(whole(carving.stays).bounding_box()).reshape(2, 3)
    box = board_box(board.size, program.entry.to_machine)
    reach = np.array([motion.end for motion in program.run.motions if motion.kind != "rapid"])
    low, high = np.maximum(box.low, reach.min(axis=0) - 40.0), np.minimum(box.high, reach.max(axis=0) + 40.0)
    return Manifold.cube((high - low).tolist()).translate(low.tolist())


@pytest.fixture(scope="module")
def carvings(drawer: PacketFacts) -> Staged:
    return {program.stem: carving for program, carving in staged_carvings(drawer)}


def test_wood_that_stays_and_chips_are_the_blank_before_the_first_program_of_a_board(drawer: PacketFacts, carvings: Staged) -> None:
    begun: set[str] = set()
    for program in drawer.programs:
        board = drawer.boards[program.entry.board]
        if board.id in begun:
            continue
        begun.add(board.id)
        carving = carvings[program.stem]
        parts = sum(chip.volume() for chip in chips_of(carving)) + whole(carving.stays).volume()
        blank = shown(carving, program, board)
        assert parts == pytest.approx(blank.volume(), abs=0.05 * blank.surface_area() + 10.0)
    assert len(begun) == 4


def test_what_stays_after_the_last_program_of_a_board_is_what_the_check_carved(
    drawer: PacketFacts, drawer_checked: Checked, carvings: Staged
) -> None:
    (assembly,) = drawer_checked.assemblies
    carved = {assembly.entries[part].id: solid_of(assembly.carved[part]) for part in PARTS}
    last = {program.entry.board: program for program in drawer.programs}
    assert len(last) == 4
    for board, program in last.items():
        stays = whole(carvings[program.stem].stays)
        true = carved[board].transform(np.asarray(program.entry.to_machine)) ^ shown(carvings[program.stem], program, drawer.boards[board])
        apart = (stays - true).volume() + (true - stays).volume()
        assert apart < 0.5 * CIRCLE_MM * true.surface_area()
        assert apart < 0.03 * true.volume()


def test_chips_come_off_in_order_where_the_cutter_is(drawer: PacketFacts, carvings: Staged) -> None:
    for program in drawer.programs:
        carving = carvings[program.stem]
        lasts = [last for last, _ in carving.stages.chips]
        assert lasts == sorted(set(lasts))
        assert len(lasts) > 3
        radius = max(max(drawer.tool(n).diameter, drawer.tool(n).shank) / 2 for n in program.entry.tools) + 0.1
        for before, last, chip in zip([-1, *lasts], lasts, chips_of(carving), strict=False):
            moved = program.run.motions[before + 1 : last + 1]
            places = np.array([place for motion in moved for place in (motion.start, motion.end)])
            sagging = 8.0 if any(motion.centre for motion in moved) else 0.0  # of an arc from its chord
            box = np.array(chip.bounding_box()).reshape(2, 3)
            assert (box[0, :2] > places.min(axis=0)[:2] - radius - sagging).all()
            assert (box[1, :2] < places.max(axis=0)[:2] + radius + sagging).all()
            assert box[0, 2] > places[:, 2].min() - 0.1


def test_equal_boards_at_the_other_stop_share_what_was_carved_once(carvings: Staged) -> None:
    shared = {carving.stages.stem for carving in carvings.values()}
    assert len(shared) < len(carvings)
    sides = [(stem, carving.stages.stem) for stem, carving in carvings.items() if "side" in stem and "groove" not in stem]
    assert len({own for _, own in sides}) == len(sides) / 2


def test_a_program_that_goes_another_way_shares_nothing(drawer: PacketFacts, carvings: Staged) -> None:
    stem = next(stem for stem, carving in carvings.items() if carving.stages.stem != stem)
    program = next(program for program in drawer.programs if program.stem == stem)
    motions = list(program.run.motions)
    n = next(n for n in range(len(motions) // 2, len(motions)) if motions[n].centre is None and motions[n].end[2] < 0.0)
    x, y, z = motions[n].end
    motions[n] = replace(motions[n], end=(x, y - 0.2, z))
    other = replace(program, run=replace(program.run, motions=tuple(motions)))
    setups = tuple(replace(setup, program=other) if setup.program is program else setup for setup in drawer.setups)
    found = {program.stem: carving for program, carving in staged_carvings(replace(drawer, setups=setups))}
    assert found[stem].stages.stem == stem


def test_a_chip_is_gone_when_its_last_motion_is_over(drawer: PacketFacts, carvings: Staged) -> None:
    program = drawer.programs[0]
    view = motion_view(drawer, program, drawer.boards[program.entry.board], carvings[program.stem])
    gone = view["carved"]["gone"]
    assert gone == sorted(gone)
    for when, (last, _) in zip(gone, carvings[program.stem].stages.chips, strict=True):
        place = next(n for n in range(len(view["time"]) - 1, -1, -1) if view["time"][n] <= when + 0.005)
        assert math.dist([view[axis][place] for axis in "xyz"], program.run.motions[last].end) < 0.002


def test_stop_and_clamp_have_the_colours_of_the_setup_pictures(drawer: PacketFacts) -> None:
    style = views_of(drawer)["style"]
    assert style["things"]["stop"] == TONES["stop"]
    assert style["things"]["clamp"] == TONES["clamp"]
