"""Rules of spindle and feed. Speed marked on a cutter: EN 847-2, from memory; all cutters here are right-handed."""

from __future__ import annotations

import numpy as np
from shapely import LineString, box
from shapely.ops import unary_union

from camtools.verify.carving.cutter import radius_at
from camtools.verify.carving.strokes import points_along
from camtools.verify.rules.workplace import SLACK_MM, Scene

__all__ = ["judge_feed", "judge_spindle"]

_NEAR_MM = 1.0  # this close to the wood a cutting move must be ready to cut
_ROUNDING = 1.001  # of feeds
_PLAY_MM = 0.05  # by which a cutter that goes again where it was may stand nearer to the wood


def judge_spindle(scene: Scene) -> None:
    """The spindle turns clockwise, at a speed that machine and cutter bear, whenever the cutter meets wood."""
    top, machine, cutter, log = scene.place.high[2], scene.place.machine, scene.cutter, scene.log
    near = scene.near(top + _NEAR_MM, cutter.radius_mm + _NEAR_MM).motion
    cutting = np.array([at for at in near if scene.motions[at].kind != "rapid"], dtype=np.intp)
    for motion in scene.onsets(lambda motion: motion.spindle_rpm == 0.0, cutting):
        log.add("spindle-stopped", motion.line, "start the spindle, after any tool change, before cutting")
    for motion in scene.onsets(lambda motion: motion.spindle_rpm < 0.0):
        log.add("spindle-reversed", motion.line, "a right-handed cutter asks for M3", speed_rpm=-motion.spindle_rpm)
    for motion in scene.onsets(lambda motion: not _within(abs(motion.spindle_rpm), machine.min_speed, machine.max_speed)):
        text = f"the machine turns {machine.min_speed:g} to {machine.max_speed:g} rpm"
        log.add("spindle-out-of-range", motion.line, text, speed_rpm=abs(motion.spindle_rpm))
    marked = cutter.limits.max_speed
    for motion in scene.onsets(lambda motion: abs(motion.spindle_rpm) > marked):
        text = f"cutter {cutter.shape.number} is marked {marked:g} rpm at most"
        log.add("cutter-too-fast", motion.line, text, speed_rpm=abs(motion.spindle_rpm), limit_rpm=marked)


def _within(speed: float, low: float, high: float) -> bool:
    return speed == 0.0 or low <= speed <= high


def judge_feed(scene: Scene) -> None:
    """No feed is above the machine's, nor in wood above the cutter's."""
    cutter, log = scene.cutter, scene.log
    machine_most, cutter_most = scene.place.machine.max_feed, cutter.limits.max_feed
    for motion in scene.onsets(lambda motion: motion.feed_mm_min > machine_most * _ROUNDING):
        text = f"the machine feeds at {machine_most:g} mm/min at most"
        log.add("feed-over-limit", motion.line, text, feed_mm_min=motion.feed_mm_min, limit_mm_min=machine_most)
    near = np.unique(scene.near(scene.place.high[2] - SLACK_MM, cutter.radius_mm - SLACK_MM).motion)
    fast = [at for at in near.tolist() if cutter_most * _ROUNDING < scene.motions[at].feed_mm_min <= machine_most * _ROUNDING]
    for motion in scene.rows(np.array([at for at in fast if _meets_wood(scene, at)], dtype=np.intp)):
        text = f"cutter {cutter.shape.number} is fed at {cutter_most:g} mm/min at most in wood"
        log.add("feed-over-limit", motion.line, text, feed_mm_min=motion.feed_mm_min, limit_mm_min=cutter_most)


def _meets_wood(scene: Scene, at: int) -> bool:
    """Whether a motion goes where this cutter has not been before, at any height: there it must be taken to meet wood.

    A dovetail cutter has been where it was at the same height, a straight one also where it was deeper.
    """
    motion, tool = scene.motions[at], scene.cutter.shape
    low, high = min(motion.start[2], motion.end[2]), max(motion.start[2], motion.end[2])
    if tool.half_angle and high > low:
        return True

    def there(z: float) -> bool:
        return abs(z - low) < SLACK_MM if tool.half_angle else z <= low + SLACK_MM

    ways = [LineString(points_along(other, SLACK_MM)) for other in scene.motions[:at]
            if other.tool == motion.tool and other.kind != "rapid" and there(other.start[2]) and there(other.end[2])]  # fmt: skip
    own = LineString(points_along(motion, SLACK_MM))
    (left, near, _), (right, far, top) = scene.place.wood
    reach = top - low
    for height in {0.0, reach / 2, min(reach, tool.cutting_length), reach}:
        radius = radius_at(tool, height)
        cleared = unary_union([way.buffer(radius, quad_segs=32) for way in ways])
        met = own.buffer(radius - _PLAY_MM, quad_segs=32).intersection(box(left, near, right, far)).difference(cleared)
        if met.area > _PLAY_MM**2:
            return True
    return False
