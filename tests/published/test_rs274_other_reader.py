"""Every written program, read by a general-purpose interpreter of G-code by another author (pygcode), move by move as our reader has it.

It was written for programs in general, knows modes, units, work offsets, feeds, the spindle and arcs, and divides an arc into chords
by itself. What it does not know is left to NISTIR 6556 itself: `test_rs274_emitted.py`, `test_rs274_vectors.py`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import pytest

from camtools.job import read_job
from camtools.output.dialects import dialect_of, shipped_dialects
from camtools.output.sections import files_of, work_of
from camtools.toolpath.moves import Arc, Pause, Rapid
from camtools.verify.reader.interpreter import run
from tests.published.other_hands import outside

outside("pygcode")

from pygcode import Line, Machine  # noqa: E402
from pygcode.gcodes import (  # noqa: E402
    GCodeArcMove,
    GCodeDwell,
    GCodeLinearMove,
    GCodeRapidMove,
    GCodeStartSpindleCCW,
    GCodeStartSpindleCW,
    GCodeToolChange,
    GCodeUseInches,
)
from pygcode.transform import ArcLinearizeInside, linearize_arc  # noqa: E402

SAMPLES = ("first-drawer", "inch-cabinet", "specimen-chest")
SAME_MM = 1e-9
TOP_MM = 100.0  # stands for the top of travel
Point = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Step:
    """A move as the other reader has it, in mm: an arc's chords follow one another from start to end."""

    kind: str
    places: tuple[Point, ...]
    feed_mm_min: float
    spindle_rpm: float
    tool: int
    offset: int


def steps_of(text: str) -> Iterator[Step]:
    """Run a program with the other reader."""
    machine, tool, by_hand = Machine(), 0, 0.0
    for content in text.splitlines():
        if content.startswith("G53"):  # which that reader does not run: where the top of travel is, ours is told too
            assert [str(code) for code in Line(content).block.gcodes][:1] == ["G53"]
            if " Z" not in content:
                continue
            content = f"G0 Z{TOP_MM / (25.4 if isinstance(machine.mode.units, GCodeUseInches) else 1.0)}"
        if asked := re.match(r"M0 ; switch the spindle (?:off|on at (\d+) rpm)", content):
            by_hand = float(asked[1] or 0)
        block = Line(content).block
        before = machine.pos
        machine.process_block(block)
        mode = machine.mode
        unit = 25.4 if isinstance(mode.units, GCodeUseInches) else 1.0
        if any(isinstance(code, GCodeToolChange) for code in block.gcodes) or content.startswith("M0 (fit"):
            tool = int(mode.tool.word.value)
        for code in block.gcodes:
            if isinstance(code, GCodeDwell) or not isinstance(code, GCodeArcMove | GCodeLinearMove | GCodeRapidMove):
                continue
            ends = [tuple(before.vector.xyz), tuple(machine.pos.vector.xyz)]
            if isinstance(code, GCodeArcMove):
                chords = linearize_arc(
                    code, before, mode.plane_selection, ArcLinearizeInside, mode.distance, mode.arc_ijk_distance, 0.001 / unit
                )
                ends = [ends[0], *((chord.X, chord.Y, chord.Z) for chord in chords)]
            rapid = isinstance(code, GCodeRapidMove)
            turning = mode.spindle.__class__
            yield Step(
                kind="arc" if isinstance(code, GCodeArcMove) else "rapid" if rapid else "feed",
                places=tuple((x * unit, y * unit, z * unit) for x, y, z in ends),
                feed_mm_min=0.0 if rapid else mode.feed_rate.word.value * unit,
                spindle_rpm={GCodeStartSpindleCW: 1, GCodeStartSpindleCCW: -1}.get(turning, 0) * mode.spindle_speed.word.value + by_hand,
                tool=tool,
                offset=machine.state.cur_coord_sys,
            )


def turned_deg(step: Step, centre: tuple[float, float]) -> float:
    """Return by how much an arc turns about its centre, chord by chord, positive counter-clockwise."""
    ways = [math.atan2(y - centre[1], x - centre[0]) for x, y, _ in step.places]
    return math.degrees(sum((second - first + math.pi) % (2 * math.pi) - math.pi for first, second in pairwise(ways)))


# every dialect, and every sample in one that has metric words and in one that has inches and a table of lengths
READ = [("first-drawer", name) for name in shipped_dialects()] + [(sample, name) for sample in SAMPLES[1:] for name in ("mm", "changer")]


@pytest.fixture(scope="module", params=READ, ids="-".join)
def programs(request: pytest.FixtureRequest, samples: Path) -> dict[str, str]:
    """Return every program of a sample in a dialect; in millimetres its dry runs too."""
    sample, name = request.param
    job, _ = read_job(samples / f"{sample}.toml")
    files = files_of(work_of(job, dialect_of(name)), without=("lists", "pictures", "drawings", "templates"))
    shown = [file for file in files if file.startswith("programs/") and (name == "mm" or "/dry/" not in file)]
    texts = {file: files[file].decode() for file in shown}
    assert len(texts) >= 12
    return texts


def test_another_reader_sees_the_same_moves(programs: dict[str, str]) -> None:
    arcs = 0
    for file, text in programs.items():
        mine, others = run(text, file, top_mm=TOP_MM).motions, list(steps_of(text))
        others = [step for step in others if step.kind == "rapid" or math.dist(step.places[0], step.places[-1]) > SAME_MM]
        assert len(mine) > 5
        assert [motion.kind for motion in mine] == [step.kind for step in others], file
        for motion, step in zip(mine, others, strict=True):
            assert math.dist(motion.end, step.places[-1]) < SAME_MM, (file, motion.line)
            assert motion.feed_mm_min == pytest.approx(step.feed_mm_min), (file, motion.line)
            assert motion.spindle_rpm == step.spindle_rpm, (file, motion.line)
            assert motion.tool == step.tool, (file, motion.line)
            assert motion.work_offset in ("G53", f"G{53 + step.offset}"), (file, motion.line)
            if motion.centre is None:
                continue
            arcs += 1
            x, y = motion.centre
            radius = math.dist(motion.start[:2], motion.centre)
            assert all(abs(math.dist((px, py), (x, y)) - radius) < 0.0021 for px, py, _ in step.places), (file, motion.line)
            assert turned_deg(step, motion.centre) == pytest.approx(motion.sweep_deg, abs=1e-6), (file, motion.line)
    assert bool(arcs) == any(re.search(r"\bG[23] ", text) for text in programs.values())


@pytest.mark.parametrize("sample", SAMPLES)
def test_another_reader_sees_the_way_that_was_planned(sample: str, samples: Path) -> None:
    """Every end of a planned move, in its order and within half a step of the last decimal, and the middle of every arc."""
    job, _ = read_job(samples / f"{sample}.toml")
    dialect = dialect_of("mm")
    work = work_of(job, dialect)
    files = files_of(work, without=("lists", "pictures", "drawings", "templates"))
    arcs = 0
    for program in work.programs:
        # A cut's first move says where it begins; what is written of it is the rise alone.
        moves = [move for cut in program.cuts for move in cut.moves[1:] if not isinstance(move, Pause)]
        seen = iter(list(steps_of(files[f"programs/{program.stem}.ngc"].decode())))
        for move in moves:
            step = next((step for step in seen if math.dist(step.places[-1], move.end) < 1e-4), None)
            assert step is not None, (program.stem, move)
            if not isinstance(move, Rapid):
                assert move.feed_mm_min - 0.1 < step.feed_mm_min <= move.feed_mm_min, (program.stem, move)  # rounded down
            if isinstance(move, Arc):
                arcs += 1
                assert step.kind == "arc"
                assert (turned_deg(step, move.centre) < 0) == move.clockwise, (program.stem, move)
                radius = math.dist(move.end[:2], move.centre)
                assert all(abs(math.dist(place[:2], move.centre) - radius) < 3e-4 for place in step.places), (program.stem, move)
    assert arcs > 5
