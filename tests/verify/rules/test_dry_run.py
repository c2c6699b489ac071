"""A dry run follows its program's way, higher and without a spindle."""

from __future__ import annotations

import pytest

from camtools.verify.findings import Finding
from camtools.verify.reader.interpreter import run
from camtools.verify.rules.motion_rules import compare_paths

PROGRAM = "G21 G17 G90 G94 G40 G54\nT1 M6 G43 H1\nM3 S9000 F900\nG0 Z10\nX0 Y-20\nZ-9\nG1 Y5\nG2 X20 I10\nG1 Y-20\nG0 Z10\nM5\nM30"
DRY = "G21 G17 G90 G94 G40 G54\nF500\nG0 Z40\nX0 Y-20\nZ21\nG1 Y5\nG2 X20 I10\nG1 Y-20\nG0 Z40\nM30"


def differences(dry: str) -> tuple[Finding, ...]:
    return compare_paths(run(dry, "programs/dry/p-dry.ngc"), run(PROGRAM, "programs/p.ngc"))


def compared(dry: str) -> list[tuple[str, str, int]]:
    return [(finding.code, finding.file, finding.line) for finding in differences(dry)]


def test_the_same_way_passes_at_any_height_and_feed() -> None:
    assert compared(DRY) == []
    assert compared(DRY.replace("Z21\n", "")) == []


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("G1 Y5", "G1 Y5.01", 6),
        ("G2 X20 I10", "G1 X20", 7),
        ("G2 X20 I10", "G3 X20 I10", 7),
        ("G2 X20 I10", "G2 X20 I10 J0.5", 7),
        ("G1 Y-20\n", "", 7),
        ("G1 Y-20\n", "G1 Y-20\nX30\n", 9),
    ],
)
def test_another_way_is_told_where_it_parts(old: str, new: str, line: int) -> None:
    changed = DRY.replace(old, new)
    assert changed != DRY
    found = compared(changed)
    assert found == [("dry-path-differs", "programs/dry/p-dry.ngc", line)]


def test_a_dry_run_without_moves_is_told() -> None:
    assert compared("G21\nM30") == [("dry-path-differs", "programs/dry/p-dry.ngc", 0)]
