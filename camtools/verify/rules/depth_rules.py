"""Rules of depth, which need to know what is left of the wood: depth per pass, and plunging."""

from __future__ import annotations

import math
from collections.abc import Sequence

from camtools.verify.findings import Log
from camtools.verify.reader.motion import Motion
from camtools.verify.rules.segments import board_count
from camtools.verify.rules.surface import Surface
from camtools.verify.rules.workplace import Workplace

__all__ = ["judge_depth"]

_SAGITTA_MM = 0.05
_ROUNDING_MM = 0.02  # of depths
_BATCH = 2_000
_MOST_CELLS = 500_000_000  # looked at in one program, some ten seconds; a groove 2 m long takes a hundred thousand a pass


def judge_depth(motions: Sequence[Motion], place: Workplace, log: Log) -> None:
    """No cutter takes more depth in one pass than it may, and none plunges that can not.

    Going down steeper than 45 degrees counts as plunging (chosen here; ramps are far flatter).
    """
    limited = {number for number, cutter in place.tools.items() if cutter.shape.kind != "dovetail"}
    last = max((at for at, motion in enumerate(motions, 1) if motion.tool in limited), default=0)
    if last == 0:
        return
    surface = Surface(place.low, place.high)
    if not surface.judged:
        log.add("depth-not-judged", 0, "the board is larger than a raster of 1 mm can hold")
        return
    for begin in range(0, last, _BATCH):
        if surface.asked > _MOST_CELLS:
            log.add("depth-not-judged", motions[begin].line, "too many and too long moves over the board")
            break
        _judge_batch(motions[begin : min(last, begin + _BATCH)], place, surface, log)


def _judge_batch(motions: Sequence[Motion], place: Workplace, surface: Surface, log: Log) -> None:
    pieces = board_count(motions, _SAGITTA_MM)
    told = -1
    for start, end, at in zip(pieces.start.tolist(), pieces.end.tolist(), pieces.motion.tolist(), strict=True):
        motion = motions[at]
        cutter = place.tools[motion.tool]
        depth = surface.cut(start, end, cutter.radius_mm)
        if depth <= _ROUNDING_MM or at == told or motion.kind == "rapid" or cutter.shape.kind == "dovetail":
            continue
        limit = cutter.limits.depth_per_pass
        if not cutter.limits.plunges and start[2] - end[2] > math.dist(start[:2], end[:2]):
            log.add("plunge-not-allowed", motion.line, f"cutter {cutter.shape.number} enters on a ramp or from the side", depth_mm=depth)
            told = at
        elif limit is not None and depth > limit + _ROUNDING_MM:
            text = f"cutter {cutter.shape.number} takes {limit:g} mm at most in one pass"
            log.add("depth-per-pass", motion.line, text, depth_mm=depth, limit_mm=limit)
            told = at
