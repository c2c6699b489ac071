"""Rules of motion that need no carving: what would break a cutter, a board, the machine or its operator.

Each rule is a function of a ``Scene``; a new one is registered in ``_RULES``. Lengths are in mm in the program's machine frame.
A dry run goes the same way over the board as its program, only higher and with the spindle still.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from camtools.output.manifest import Limits, Manifest, ProgramEntry
from camtools.verify.findings import Finding, Log
from camtools.verify.reader.motion import Motion, ProgramRun
from camtools.verify.rules.depth_rules import judge_depth
from camtools.verify.rules.frame_rules import Travel, judge_heights, motions_in_frame
from camtools.verify.rules.place_rules import judge_bed, judge_dovetail_height, judge_rapids, judge_shank_and_holder, judge_zones
from camtools.verify.rules.segments import board_count
from camtools.verify.rules.spindle_rules import judge_feed, judge_spindle
from camtools.verify.rules.workplace import SLACK_MM, Scene, Stated, workplace_of

__all__ = ["compare_paths", "judge", "original_of"]

_RULES = (judge_spindle, judge_feed, judge_dovetail_height, judge_rapids, judge_shank_and_holder, judge_bed, judge_zones)
_BATCH = 5_000  # motions judged at once, so that memory stays bounded
_SAME_MM = 0.001  # of places that a dry run and its program go to
_MOST_PIECES = 5_000_000  # straight pieces that the arcs of one program may be cut into


def judge(
    run: ProgramRun,
    program: ProgramEntry,
    limits: Limits,
    manifest: Manifest,
    stated: Stated | None = None,
    before: Sequence[Motion] = (),
) -> tuple[Finding, ...]:
    """Judge the motions of one program; those of a dry run or an outline stay far above everything, with a spindle that never turns.

    Parameters
    ----------
    run
        The program, run.
    program, limits, manifest
        Its entry, and what the packet says of the machine, the cutters and the boards.
    stated
        What the job file says; None: loads are not judged.
    before
        What was done in this hold, at this end of the board, by programs that come earlier in the order of work.
    """
    if program.kind != "cut":
        return _judge_dry(run, program, limits, manifest)
    log = Log(run.file)
    place = workplace_of(program, limits, manifest, log)
    if place is None:
        return log.findings()
    judge_heights(run, place, log)
    ours = motions_in_frame(run.motions, place, log)
    travel = Travel(place, log)
    count = 0
    for begin in range(0, len(ours), _BATCH):
        motions = ours[begin : begin + _BATCH]
        if count > _MOST_PIECES:
            log.add("motions-not-judged", motions[0].line, "cut the program into several")
            return log.findings()
        pieces = board_count(motions, SLACK_MM / 2.0)
        count += len(pieces.motion)
        travel.take(pieces, motions)
        tools = np.array([motion.tool for motion in motions])[pieces.motion]
        for number in np.unique(tools).tolist():
            scene = Scene(place, log, motions, pieces.where(tools == number), place.tools[number], stated)
            for rule in _RULES:
                rule(scene)
    judge_depth(ours, place, log, stated, before)
    return log.findings()


def _judge_dry(run: ProgramRun, program: ProgramEntry, limits: Limits, manifest: Manifest) -> tuple[Finding, ...]:
    log = Log(run.file)
    place = workplace_of(program, limits, manifest, log)
    if place is None:
        return log.findings()
    floor = place.top_mm + place.machine.clearance
    low = turning = False
    judge_heights(run, place, log)
    ours = motions_in_frame(run.motions, place, log)
    travel = Travel(place, log)
    travel.take(board_count(ours, SLACK_MM / 2.0), ours)
    for motion in ours:
        height = min(motion.start[2], motion.end[2])
        if height < floor - SLACK_MM and not low:
            log.add("dry-below-clearance", motion.line, "a dry run stays above everything", height_mm=height, limit_mm=floor)
        if motion.spindle_rpm != 0.0 and not turning:
            log.add("dry-spindle-on", motion.line, "a dry run keeps the spindle still", speed_rpm=abs(motion.spindle_rpm))
        low, turning = height < floor - SLACK_MM, motion.spindle_rpm != 0.0
    return log.findings()


def original_of(dry: str) -> str:
    """Return the name of the program that a dry run is of: programs/dry/1-dry-x.ngc is of programs/1-x.ngc, which is its own."""
    folder, _, name = dry.rpartition("/")
    return f"{folder.removesuffix('/dry')}/{name.replace('-dry', '', 1)}"


def compare_paths(dry: ProgramRun, original: ProgramRun) -> tuple[Finding, ...]:
    """Return a finding at the first move of a dry run whose way in XY is not its program's; heights and feeds are not compared."""
    log = Log(dry.file)
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
    """Return the moves that lead on in XY; after a change of cutter from where the cutter stood before it."""
    befores = [run.motions[0].end, *(motion.end for motion in run.motions[:-1])] if run.motions else []
    way = zip(befores, run.motions, strict=True)
    return [motion for before, motion in way if motion.kind == "arc" or math.dist(before[:2], motion.end[:2]) > _SAME_MM]


def _same(motion: Motion, other: Motion) -> bool:
    if math.dist(motion.end[:2], other.end[:2]) > _SAME_MM or motion.work_offset != other.work_offset:
        return False
    if (motion.centre is None) != (other.centre is None):
        return False
    if motion.centre is None or other.centre is None:
        return True
    return math.dist(motion.centre, other.centre) <= _SAME_MM and abs(motion.sweep_deg - other.sweep_deg) < 0.01
