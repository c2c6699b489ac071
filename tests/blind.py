"""A blind trial of the pictures of setups: ``python -m tests.blind FOLDER [SEED [COUNT]]``, by default seed 0 and 12 pictures.

It draws random setups of random jobs as numbered PNG files, without their names, and writes what is true of each apart, in
``answers.json``, worked out from manifest, limits and programs alone. Look at every picture, write down what you read off
it, and only then compare. `drawn` and `answers_of` serve the tests too.
"""

from __future__ import annotations

import json
import math
import random
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import resvg_py

from camtools.drawer.styles import STYLES
from camtools.faults import CamtoolsError
from camtools.job import parse_job
from camtools.output.dialects import dialect_of, shipped_dialects
from camtools.output.manifest import Limits, Manifest, ProgramEntry, ProgramLimits
from camtools.output.sections import WorkedJob, files_of, trial_work_of, work_of
from camtools.pictures.paper import Paper
from camtools.pictures.setups.progress import Progress
from camtools.pictures.setups.setup_view import setup_on
from camtools.resources import letters
from camtools.verify.reader.interpreter import run
from camtools.wording import told_in

_ASKED = ("end", "face", "edge", "stop", "entry", "zero", "clamp")


def random_job(chance: random.Random) -> str:
    """Return the text of a job file of one to three drawers, on machines of several kinds."""
    pick = chance.choice
    drawers = []
    for number in range(chance.randint(1, 3)):
        opening = (chance.randrange(140, 420, 7), chance.randrange(60, 190, 5), chance.randrange(200, 420, 10))
        count = chance.randint(1, 3)
        drawers.append(f'[[drawers]]\nname = "Tray {number + 1}"\ncount = {count}\nopening = {list(opening)}\n')
    machine = [f"travel = [{pick((300, 600, 750))}, {pick((450, 600))}, 110]", f"upright_stop_below = {pick((30, 34, 40))}"]
    if pick((True, True, False)):
        machine.append("upright_stops = [150, 570]\nflat_stops = [40, 720]\nupright_plate = 90\nflat_fence = 110")
        machine[0] = "travel = [800, 600, 110]"
    if pick((False, False, False, True)):
        machine.append('holds = ["flat"]')
    if pick((False, True)):
        machine.append(f"clamp_from_end = {chance.randint(38, 60)}")
    corners = pick(("hand", "machine"))
    front, side = chance.randint(18, 22), chance.randint(11, 14)
    return f"""title = "Trays"
stock = {{ front = {front}, side = {side}, bottom = 6.4 }}
cutters = [
  {{ kind = "dovetail", diameter = 12.7, angle = 14, cutting_length = 18 }},
  {{ kind = "straight", diameter = 6, cutting_length = 25 }},
]
[machine]
{chr(10).join(machine)}
[groove]
bottom_corners = "{corners}"
{chr(10).join(drawers)}"""


def worked(chance: random.Random) -> WorkedJob:
    """Return a random job that can be made, or its trial joints."""
    while True:
        try:
            job, _ = parse_job(random_job(chance), "job.toml", styles=STYLES, postprocessors=shipped_dialects())
            make = trial_work_of if chance.random() < 0.15 else work_of
            return make(job, dialect_of(job.machine.postprocessor))
        except CamtoolsError:
            continue


def drawn(work: WorkedJob) -> Iterator[tuple[tuple[str, ...], Paper]]:
    """Yield the picture of every setup, with the files of the programs whose boards it shows."""
    progress = Progress((own.loading.programs, own.loading.times) for own in work.loaded)
    with told_in("in" if work.inches else "mm", work.job.units):
        for own in work.loaded:
            yield own.programs, setup_on(*own.loading.programs, progress=progress)


def answers_of(work: WorkedJob) -> dict[str, dict[str, str]]:
    """Return what is true of each program's setup, by its file: worked out from manifest, limits and the program's text."""
    files = files_of(work, without=("pictures", "drawings", "templates"))
    manifest = Manifest.model_validate_json(files["manifest.json"])
    limits = Limits.model_validate_json(files["limits.json"])
    around = {entry.file: entry for entry in limits.programs}
    boards = {board.id: board for board in manifest.boards}
    found = {}
    for entry in manifest.programs:
        if entry.kind == "cut" and entry.file not in found:
            board = boards[entry.board]
            tool = next(tool for tool in manifest.tools if tool.number == entry.tools[0])
            text = files[entry.file].decode()
            with told_in("mm", "mm"):
                found[entry.file] = _answers(entry, board.role, board.size, around[entry.file])
            found[entry.file]["entry"] = _entry(text, entry, board.size, tool.diameter / 2)
    return found


def _answers(entry: ProgramEntry, role: str, size: tuple[float, ...], limits: ProgramLimits) -> dict[str, str]:
    rows, slid, zones = entry.to_machine, limits.slid, {zone.name: zone for zone in limits.zones}
    low, high = _box(entry, size)
    first, last = ("front end", "rear end") if "side" in role else ("left end", "right end")
    upright = entry.hold == "upright"
    along = next(i for i in range(3) if abs(rows[i][0]) > 0.5)
    groove = along == 0
    end = "groove" if groove else (last if rows[along][0] > 0 else first)
    out = rows[1 if upright else 2][2] * (-1 if upright else 1)
    across = next(i for i in range(3) if abs(rows[i][1]) > 0.5)
    edge = "near" if across == 1 else "left" if rows[0][1] > 0 else "right"
    corner = f"{entry.stop} {'near' if groove else 'back' if upright else 'far'} upper corner"
    at_stop = low[0] if entry.stop == "left" else high[0]
    assert math.isclose(abs(at_stop), slid, abs_tol=1e-6)
    assert abs(low[1] if groove else high[1]) < 1e-6
    assert abs(high[2]) < 1e-6
    if upright:
        clamp = f"{-zones['stop'].high[2]:g}"
    elif "batten" in zones:
        clamp = "batten"
    else:
        zone = zones["clamp"]
        clamp = f"{math.ceil((zone.low[1] if groove else -zone.high[1]) - 1e-6):g}"
    return {
        "end": end,
        "face": "inside" if out > 0 else "outside",
        "edge": edge,
        "stop": entry.stop,
        "zero": corner + (f", {slid:g} along" if slid else ""),
        "clamp": clamp,
    }


def _box(entry: ProgramEntry, size: tuple[float, ...]) -> tuple[np.ndarray, np.ndarray]:
    rows = np.array(entry.to_machine)
    corners = np.array([rows[:, 3], rows[:, :3] @ np.array(size) + rows[:, 3]])
    return corners.min(axis=0), corners.max(axis=0)


def _entry(text: str, entry: ProgramEntry, size: tuple[float, ...], radius: float) -> str:
    """Say at which side of the board the cutter stands when it first comes within its radius of it, below its top; steps of 0.02 mm."""
    low, high = _box(entry, size)
    for motion in run(text, entry.file).motions:
        if motion.kind == "rapid":
            continue
        start, end = np.array(motion.start), np.array(motion.end)
        shares = np.linspace(0.0, 1.0, max(2, int((math.dist(motion.start, motion.end) + abs(motion.sweep_deg)) / 0.02)))[:, None]
        places = start + (end - start) * shares
        if motion.centre is not None:
            centre = np.array(motion.centre)
            turn = math.atan2(*(start[:2] - centre)[::-1]) + math.radians(motion.sweep_deg) * shares[:, 0]
            reach = math.dist(start[:2], centre)
            places[:, :2] = centre + reach * np.column_stack([np.cos(turn), np.sin(turn)])
        away = np.maximum(np.maximum(low[:2] - places[:, :2], places[:, :2] - high[:2]), 0.0)
        met = (np.hypot(away[:, 0], away[:, 1]) < radius - 1e-3) & (places[:, 2] < high[2] - 1e-3)
        if met.any():
            x, y = places[int(np.argmax(met)), :2]
            sides = {"your side": low[1] - y, "beyond the end": y - high[1], "the left": low[0] - x, "the right": x - high[0]}
            side = max(sides, key=sides.__getitem__)
            return side if sides[side] > 1e-6 else "above"
    raise AssertionError(f"{entry.file} never meets its board")


def main() -> None:
    """Write the pictures and, apart, the answers."""
    folder = Path(sys.argv[1])
    seed, count = (int(sys.argv[i]) if len(sys.argv) > i else default for i, default in ((2, 0), (3, 12)))
    chance = random.Random(seed)
    folder.mkdir(parents=True, exist_ok=True)
    answers = {}
    fonts = [str(letters(bold=bold)) for bold in (False, True)]
    for number in range(1, count + 1):
        work = worked(chance)
        programs, picture = chance.choice(list(drawn(work)))
        # What names the setup is covered, so that only the drawing is read.
        svg = re.sub(r"<desc>.*?</desc>", "", picture.svg().decode())
        png = resvg_py.svg_to_bytes(svg_string=svg, skip_system_fonts=True, font_files=fonts, sans_serif_family="DejaVu Sans")
        (folder / f"{number:02}.png").write_bytes(bytes(png))
        true = answers_of(work)
        answers[f"{number:02}"] = [true[program] for program in programs]
    (folder / "answers.json").write_text(json.dumps(answers, indent=1))
    print(f"{count} pictures in {folder}; of each: {', '.join(_ASKED)}. Then read answers.json.")


if __name__ == "__main__":
    main()
