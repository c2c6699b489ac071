"""Spoilt programs: whatever the text, a run and its judgement end, raise nothing and tell of known codes only."""

from __future__ import annotations

import math
import random
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from camtools.verify.catalogue import READER_FINDINGS
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import ProgramRun

LINES = [
    "%",
    "(left side, front end up)",
    "G21 G17 G90 G94 G40 G49 G80 G54",
    "N10 T1 M6",
    "N20 M3 S18000",
    "G4 P2",
    "G0 Z25.",
    "G0 X-12.5 Y-20.25",
    "Z-9.5",
    "G1 Y6.35 F1200",
    "G2 X-6.15 Y12.7 I6.35 J0",
    "G3 X0.2 Y6.35 R6.35",
    "G3 X12.9 Y6.35 I6.35 Z-8",
    "#100=[2.5*SQRT[16]]",
    "G1 X#100 Y[COS[60]+1]",
    "G91 G1 X1 Y-1",
    "G90",
    "G81 X4 Y5 Z-1.5 R2.8",
    "G83 X5 Z-4 R1 Q1",
    "G80",
    "G53 G0 Z0",
    "G92 X7",
    "G92.1",
    "G28 Z10",
    "G10 L2 P1 X0",
    "G93 G1 X3 F2",
    "G18 G2 X5 I1",
    "M5",
    "M9",
    "/M1",
    "M30",
    "%",
]
ALPHABET = "GMXYZIJKRFSTNPQL0123456789.+-[]()#=/*% \t\0\x1aeEO;\N{LATIN SMALL LETTER SHARP S}\N{SUPERSCRIPT TWO}\N{LINE SEPARATOR}"


def spoilt(dice: random.Random, line: str) -> str:
    """Cut, double, swap, drop or change some of a line's characters."""
    characters = list(line)
    for _ in range(dice.randint(1, 3)):
        at = dice.randrange(len(characters) + 1)
        match dice.randrange(6):
            case 0:
                characters[at:] = []
            case 1:
                characters[at:at] = dice.choice(ALPHABET)
            case 2:
                characters[at : at + 1] = dice.choice(ALPHABET)
            case 3:
                characters[at : at + dice.randint(1, 3)] = []
            case 4:
                other = dice.choice(LINES)
                characters[at:at] = other[dice.randrange(len(other)) :]
            case _:
                characters[at:at] = characters[:at] * dice.randint(1, 3)
    return "".join(characters)


def assert_sound(found: ProgramRun, lines: int) -> None:
    assert {finding.code for finding in found.findings} <= READER_FINDINGS.keys()
    assert all(0 <= finding.line <= lines for finding in found.findings)
    assert not (found.complete and any(finding.code == "no-program-end" for finding in found.findings))
    for motion in found.motions:
        assert all(map(math.isfinite, (*motion.start, *motion.end, motion.sweep_deg, motion.feed_mm_min, motion.spindle_rpm)))


@pytest.mark.parametrize("seed", range(4))
def test_25_000_mutated_lines_do_no_harm(seed: int) -> None:
    """100,000 lines over all seeds: whole programs of 32 lines, one to three of them spoilt, and the spoilt ones alone."""
    dice = random.Random(seed)
    begin = time.process_time()
    told = 0
    for _ in range(25_000 // len(LINES) + 1):
        lines = list(LINES)
        for _ in range(dice.randint(1, 3)):
            at = dice.randrange(len(lines))
            lines[at] = spoilt(dice, lines[at])
        found = run("\n".join(lines), "fuzz.ngc")
        told += len(found.findings)
        assert_sound(found, len(lines) * 10)
    spoilt_ones = [spoilt(dice, dice.choice(LINES)) for _ in range(25_000)]
    for line in spoilt_ones:
        found = run(f"G21 G0 Z1\nX0 Y0\n{line}\n", "fuzz.ngc", start=(0, 0, 0))
        assert_sound(found, 10)
    assert told > 0
    assert time.process_time() - begin < 60.0


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=400))
def test_any_text_runs_to_an_end(text: str) -> None:
    assert_sound(run(text, "any.ngc"), text.count("\n") + text.count("\r") + 1)


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes_run_to_an_end(content: bytes) -> None:
    text = content.decode("latin-1")
    assert_sound(run(text, "any.ngc"), text.count("\n") + text.count("\r") + 1)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.sampled_from(LINES), max_size=40))
def test_any_order_of_good_lines_runs_to_an_end(lines: list[str]) -> None:
    assert_sound(run("\n".join(lines), "any.ngc"), len(lines) + 1)


@settings(max_examples=100, deadline=None)
@given(st.randoms(use_true_random=False))
def test_harmless_edits_of_a_program_change_no_motion(dice: random.Random) -> None:
    """Comments, spaces, case, line numbers, blank lines, order of words and leading zeros: sections 3.3 p14-15, 3.3.6 p19."""
    program = [
        ["G21", "G17", "G90", "G94", "G40", "G54"],
        ["T1", "M6"],
        ["G43", "H1"],
        ["S18000", "M3"],
        ["G0", "Z25"],
        ["X-12.5", "Y-20.25"],
        ["Z-9.5"],
        ["G1", "Y6.35", "F1200"],
        ["G2", "X-6.15", "Y12.7", "I6.35", "J0"],
        ["G3", "X0.2", "Y6.35", "R6.35", "Z-8"],
        ["G0", "Z25"],
        ["M5"],
        ["M30"],
    ]
    plain = run("\n".join(" ".join(line) for line in program), "p.ngc", start=(0, 0, 0))
    edited = []
    for line in program:
        words = [f"{word[0].lower() if dice.random() < 0.5 else word[0]}{' ' * dice.randrange(2)}{_zeros(dice, word[1:])}" for word in line]
        dice.shuffle(words)
        for _ in range(dice.randrange(3)):
            words.insert(dice.randrange(len(words) + 1), dice.choice(["(cut the flank)", "\t", "  ", "()"]))
        number = f"N{dice.randrange(100_000)} " if dice.random() < 0.5 else ""
        edited.append(number + " ".join(words) + dice.choice(["", "\r", " "]))
    changed = run("\n".join(edited), "p.ngc", start=(0, 0, 0))
    assert changed.findings == plain.findings == ()
    assert [motion.end for motion in changed.motions] == [motion.end for motion in plain.motions]
    assert changed.motions == plain.motions


def _zeros(dice: random.Random, number: str) -> str:
    sign, digits = (number[0], number[1:]) if number.startswith("-") else ("", number)
    tail = "0" * dice.randrange(3) if "." in digits else dice.choice(["", ".", ".0"])
    return sign + "0" * dice.randrange(3) + digits + tail
