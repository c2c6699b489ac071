"""``python -m tests.resumed PACKET ...``: takes every program of packets up again from every line.

From its entry on it must go the very way of the program that was stopped, and the way in must cut nothing.

A line leads back to the last entry from the air before it, so each entry is tried once. It takes minutes and runs by hand;
`tests/cli/test_resume.py` tries a few.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from camtools.cli.taking_up import NotTakenUp, TakenUp, take_up
from camtools.verify.carving.carve import BoardWork, Carving, carve, solid_of
from camtools.verify.packet_files import read_packet
from camtools.verify.reader.interpreter import run

__all__ = ["differs_mm3", "taken_from_every_line"]


def taken_from_every_line(packet: Path, file: str) -> Iterator[TakenUp]:
    """Yield what is made of a program that stopped at its last line, and before each entry that it then leads back to.

    Raises
    ------
    NotTakenUp
        Where one can not be made: every rule of motion is judged in it.
    """
    line = len((packet / file).read_text().splitlines())
    while line > 0:
        taken = take_up(packet, file, line)
        yield taken
        line = taken.line - 1 if taken.line <= line else 0


def differs_mm3(packet: Path, taken: TakenUp) -> float:
    """Return how much of a board is cut on the way to the entry: from there on it must go the very way of the program that was stopped."""
    manifest = read_packet(packet).manifest
    assert manifest is not None
    entry = next(one for one in manifest.programs if one.file == taken.file)
    board = next(one for one in manifest.boards if one.id == entry.board)
    whole, again = (run(text, taken.file, fitted=entry.tools[0]).motions for text in ((packet / taken.file).read_text(), taken.text))
    left = [replace(motion, line=0) for motion in whole if motion.line >= taken.line]
    way_in, rest = again[: -len(left)], [replace(motion, line=0) for motion in again[-len(left) :]]
    assert rest == left, f"it goes another way from line {taken.line} on"
    tools = {tool.number: tool for tool in manifest.tools}
    carved, uncut = (
        solid_of(carve(Carving(board.size, (BoardWork(taken.file, entry.to_machine, motions),), tools, ()))) for motions in (way_in, ())
    )
    return (uncut - carved).volume()


def main(packets: list[Path]) -> int:
    """Print each program, how often it was taken up and how much wood its way in cuts; return how many failed."""
    failed = 0
    for packet in packets:
        manifest = read_packet(packet).manifest
        assert manifest is not None
        for file in dict.fromkeys(program.file for program in manifest.programs if program.kind == "cut"):
            count, most_mm3, begun, wrong = 0, 0.0, time.perf_counter(), ""
            try:
                for taken in taken_from_every_line(packet, file):
                    count, most_mm3 = count + 1, max(most_mm3, differs_mm3(packet, taken))
            except NotTakenUp as error:
                wrong = str(error)
            wrong = wrong or ("its way in cuts" if most_mm3 > 0.01 else "")
            seconds = time.perf_counter() - begun
            print(f"{packet.name:14} {file:70} {count:3} times  {most_mm3:.4f} mm3  {seconds:4.0f} s  {wrong or 'good'}", flush=True)
            failed += bool(wrong)
    return failed


if __name__ == "__main__":
    sys.exit(main([Path(name) for name in sys.argv[1:]]) > 0)
