"""A good packet of one small drawer, and the small edits that spoil it."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, trial_work_of, work_of

__all__ = ["FLAT_JOB", "JOB", "Packet", "good_packet", "good_trial"]

JOB = """
title = "Botanist's specimen chest, one small drawer"
stock = { front = 18, side = 10, back = 10, bottom = 4 }
cutters = [
  { kind = "dovetail", diameter = 9.5, angle = 9, cutting_length = 14 },
  { kind = "straight", diameter = 3, cutting_length = 15, depth_per_pass = 3 },
]
[machine]
upright_stops = [150, 450]
upright_plate = 80
flat_stops = [60, 540]
flat_fence = 120
[groove]
bottom_corners = "machine"
[joints]
rough = true
clearance = 0.07
free_depth = 0.2
proud = 0.3
lap = 4.5
light_pass = 0.5
[[drawers]]
name = "Seed drawer"
outside = [120, 46, 110]
"""


# The same on a machine that can hold no board upright.
FLAT_JOB = JOB.replace("upright_stops = [150, 450]", 'holds = ["flat"]').replace("upright_plate = 80\n", "")
FLAT_JOB = FLAT_JOB.replace('bottom_corners = "machine"\n', "").replace("rough = true", "rough = false")


def good_packet(folder: Path, text: str = JOB) -> Path:
    """Write the packet of a job into a new folder and return it: cutting programs and dry runs, no pictures."""
    job = folder / "job.toml"
    job.write_text(text, encoding="utf-8")
    piece, _ = read_job(job)
    work = work_of(piece, dialect_of(piece.machine.postprocessor))
    return write_packet(folder / "packet", files_of(work, without=("pictures", "templates", "drawings")))


class Packet:
    """A copy of a packet, to be spoiled. Lines are counted from 1."""

    def __init__(self, good: Path, folder: Path) -> None:
        self.folder = folder
        shutil.copytree(good, folder, symlinks=True)

    def lines(self, file: str) -> list[str]:
        return (self.folder / file).read_text(encoding="ascii").split("\n")

    def write(self, file: str, lines: list[str]) -> None:
        (self.folder / file).write_bytes("\n".join(lines).encode("utf-8"))

    def find(self, file: str, pattern: str, nth: int = 1) -> int:
        """Return the number of the nth line in which a pattern is found; counted from the end if nth is below 0."""
        found = [number for number, line in enumerate(self.lines(file), 1) if re.search(pattern, line)]
        assert len(found) >= abs(nth), f"{file} has {len(found)} lines like {pattern!r}"
        return found[nth - 1 if nth > 0 else nth]

    def change(self, file: str, pattern: str, new: str, nth: int = 1) -> int:
        """Replace a pattern in the nth line that has it; return the line."""
        number = self.find(file, pattern, nth)
        lines = self.lines(file)
        lines[number - 1] = re.sub(pattern, new, lines[number - 1], count=1)
        self.write(file, lines)
        return number

    def change_all(self, file: str, pattern: str, new: str) -> tuple[int, ...]:
        """Replace a pattern wherever it is found; return all such lines."""
        numbers = tuple(number for number, line in enumerate(self.lines(file), 1) if re.search(pattern, line))
        assert numbers, f"{file} has no line like {pattern!r}"
        self.write(file, [re.sub(pattern, new, line) for line in self.lines(file)])
        return numbers

    def map_words(self, file: str, letter: str, new: Callable[[float], float], *, lines: Iterable[int] | None = None) -> tuple[int, ...]:
        """Put a new number to every word of a letter in moves, or only in some lines; return the lines that changed."""
        chosen = set(lines) if lines is not None else None
        content = self.lines(file)
        changed = []
        for index, line in enumerate(content):
            if (chosen is not None and index + 1 not in chosen) or not re.match(r"G[0-3] ", line):
                continue
            code, paren, comment = line.partition("(")
            code = re.sub(rf"{letter}(-?[\d.]+)", lambda word: f"{letter}{new(float(word[1])):.4f}", code)
            if code + paren + comment != line and self._number(line, letter) != self._number(code, letter):
                content[index] = code + paren + comment
                changed.append(index + 1)
        assert changed, f"{file} has no word {letter} that changes"
        self.write(file, content)
        return tuple(changed)

    @staticmethod
    def _number(line: str, letter: str) -> float | None:
        found = re.search(rf"{letter}(-?[\d.]+)", line.split("(")[0])
        return float(found[1]) if found else None

    def number(self, file: str, line: int, letter: str) -> float:
        """Return the number of a word in a line."""
        found = self._number(self.lines(file)[line - 1], letter)
        assert found is not None
        return found

    def drop(self, file: str, number: int) -> int:
        """Take a line away; return its number."""
        lines = self.lines(file)
        del lines[number - 1]
        self.write(file, lines)
        return number

    def insert(self, file: str, number: int, *new: str) -> int:
        """Put lines in before a line; return the number of the first."""
        lines = self.lines(file)
        lines[number - 1 : number - 1] = list(new)
        self.write(file, lines)
        return number

    def swap(self, file: str, first: int, second: int) -> int:
        """Swap two lines; return the number of the first."""
        lines = self.lines(file)
        lines[first - 1], lines[second - 1] = lines[second - 1], lines[first - 1]
        self.write(file, lines)
        return first

    def edit_json(self, edit: Callable[[dict[str, Any]], None], file: str = "manifest.json") -> None:
        """Edit a description in place."""
        place = self.folder / file
        content = json.loads(place.read_text(encoding="ascii"))
        edit(content)
        place.write_text(json.dumps(content, indent=1), encoding="ascii")

    def entries(self, content: dict[str, Any], file: str) -> list[dict[str, Any]]:
        """Return a program's entries in the manifest."""
        return [entry for entry in content["programs"] if entry["file"] == file]


def good_trial(folder: Path) -> Path:
    """Write a packet of trial joints, of two steps and one groove, into a new folder and return it, without pictures."""
    folder.mkdir(exist_ok=True)
    job = folder / "job.toml"
    job.write_text(JOB.replace("rough = true\n", "") + "[trial]\nclearances = [0.02, 0.1]\ngroove_plays = [0.1]\n", encoding="utf-8")
    piece, _ = read_job(job)
    work = trial_work_of(piece, dialect_of(piece.machine.postprocessor))
    return write_packet(folder / "packet", files_of(work, without=("pictures", "templates", "drawings")))
