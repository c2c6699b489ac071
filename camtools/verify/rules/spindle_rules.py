"""Rules of spindle and feed. Speed marked on a cutter: EN 847-2, from memory; all cutters here are right-handed."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString, box

from camtools.verify.carving.cutter import radius_at
from camtools.verify.carving.strokes import points_along
from camtools.verify.rules.workplace import SLACK_MM, Scene
from camtools.wording import quantity

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
    most, number = cutter.limits.max_speed, cutter.shape.number
    text = f"cutter {number} is marked {most:g} rpm at most"
    if scene.stated is not None and number not in scene.stated.marked:
        text = f"the job file has no mark of cutter {number}, so {most:g} rpm is assumed: read its shank, and write max_speed"
    for motion in scene.onsets(lambda motion: abs(motion.spindle_rpm) > most):
        log.add("cutter-too-fast", motion.line, text, speed_rpm=abs(motion.spindle_rpm), limit_rpm=most)


def _within(speed: float, low: float, high: float) -> bool:
    return speed == 0.0 or low <= speed <= high


def judge_feed(scene: Scene) -> None:
    """No feed is above the machine's, nor in wood above the cutter's."""
    cutter, log = scene.cutter, scene.log
    machine_most, cutter_most = scene.place.machine.max_feed, cutter.limits.max_feed
    for motion in scene.onsets(lambda motion: motion.feed_mm_min > machine_most * _ROUNDING):
        text = f"the machine feeds at {quantity(machine_most, 'mm/min')} at most"
        log.add("feed-over-limit", motion.line, text, feed_mm_min=motion.feed_mm_min, limit_mm_min=machine_most)
    near = np.unique(scene.near(scene.place.high[2] - SLACK_MM, cutter.radius_mm - SLACK_MM).motion)
    fast = [at for at in near.tolist() if cutter_most * _ROUNDING < scene.motions[at].feed_mm_min <= machine_most * _ROUNDING]
    ways = _Ways(scene) if fast else None
    for motion in scene.rows(np.array([at for at in fast if ways and ways.meet_wood(at)], dtype=np.intp)):
        text = f"cutter {cutter.shape.number} is fed at {quantity(cutter_most, 'mm/min')} at most in wood"
        log.add("feed-over-limit", motion.line, text, feed_mm_min=motion.feed_mm_min, limit_mm_min=cutter_most)


class _Ways:
    """Where a cutter goes at a feed, in plan. A dovetail cutter clears only its own height, a straight one all above its tip."""

    def __init__(self, scene: Scene) -> None:
        self._scene = scene
        number = scene.cutter.shape.number
        self._motion = np.array([at for at, own in enumerate(scene.motions) if own.tool == number and own.kind != "rapid"], dtype=np.intp)
        self._lines = np.array([LineString(points_along(scene.motions[at], SLACK_MM)) for at in self._motion], dtype=object)
        self._bounds = shapely.bounds(self._lines)
        ends = np.array([(scene.motions[at].start[2], scene.motions[at].end[2]) for at in self._motion])
        self._low, self._high = ends.min(axis=1), ends.max(axis=1)

    def meet_wood(self, at: int) -> bool:
        """Whether a motion goes where this cutter has not been before, at any height: there it must be taken to meet wood."""
        place, tool = int(np.searchsorted(self._motion, at)), self._scene.cutter.shape
        low = self._low[place]
        if tool.half_angle and self._high[place] > low:
            return True
        reach = self._scene.place.wood[1][2] - low
        radii = {radius_at(tool, height) for height in (0.0, reach / 2, min(reach, tool.cutting_length), reach)}
        before = self._high[:place] < low + SLACK_MM
        if tool.half_angle:
            before &= self._low[:place] > low - SLACK_MM
        off = 2 * max(radii)  # further off it clears nothing here
        before &= (self._bounds[:place, :2] < self._bounds[place, 2:] + off).all(axis=1)
        before &= (self._bounds[:place, 2:] > self._bounds[place, :2] - off).all(axis=1)
        ways = self._lines[:place][before]
        (left, near, _), (right, far, _) = self._scene.place.wood
        for radius in radii:
            asked = self._lines[place].buffer(radius - _PLAY_MM, quad_segs=32).intersection(box(left, near, right, far))
            left_over = asked.difference(shapely.union_all(shapely.buffer(ways, radius, quad_segs=32)))
            if left_over.area > _PLAY_MM**2:
                return True
        return False
