"""Compares a dry run with its program: the same way over the board, only higher and with the spindle still."""

from __future__ import annotations

import math

from camtools.verify.catalogue import MOTION_FINDINGS
from camtools.verify.findings import Finding, Log
from camtools.verify.reader.motion import Motion, ProgramRun

__all__ = ["compare_paths", "original_of"]

_SAME_MM = 0.001


def original_of(dry: str) -> str:
    """Return the name of the program that a dry run is of: programs/dry/x-dry.ngc is of programs/x.ngc, which is its own."""
    folder, _, name = dry.rpartition("/")
    return f"{folder.removesuffix('/dry')}/{name.replace('-dry.', '.')}"


def compare_paths(dry: ProgramRun, original: ProgramRun) -> tuple[Finding, ...]:
    """Return a finding at the first move of a dry run whose way in XY is not its program's; heights and feeds are not compared."""
    log = Log(dry.file, MOTION_FINDINGS)
    dry_way, way = _way(dry), _way(original)
    for motion, other in zip(dry_way, way, strict=False):
        if not _same(motion, other):
            text = f"line {other.line} of {original.file} goes another way"
            log.add("dry-path-differs", motion.line, text, apart_mm=math.dist(motion.end[:2], other.end[:2]))
            return log.findings()
    if len(dry_way) != len(way):
        line = dry_way[-1].line if dry_way else 0
        log.add("dry-path-differs", line, f"{len(dry_way)} moves over the board, {original.file} makes {len(way)}")
    return log.findings()


def _way(run: ProgramRun) -> list[Motion]:
    return [motion for motion in run.motions if motion.kind == "arc" or math.dist(motion.start[:2], motion.end[:2]) > _SAME_MM]


def _same(motion: Motion, other: Motion) -> bool:
    if math.dist(motion.end[:2], other.end[:2]) > _SAME_MM or (motion.centre is None) != (other.centre is None):
        return False
    if motion.centre is None or other.centre is None:
        return True
    return math.dist(motion.centre, other.centre) <= _SAME_MM and abs(motion.sweep_deg - other.sweep_deg) < 0.01
