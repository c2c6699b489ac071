"""Rules of spindle and feed. Speed marked on a cutter: EN 847-2, from memory; all cutters here are right-handed."""

from __future__ import annotations

import numpy as np

from camtools.verify.rules.workplace import SLACK_MM, Scene

__all__ = ["judge_feed", "judge_spindle"]

_NEAR_MM = 1.0  # this close to the wood a cutting move must be ready to cut
_ROUNDING = 1.001  # of feeds


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
    near = scene.near(scene.place.high[2] - SLACK_MM, cutter.radius_mm - SLACK_MM)
    over = scene.onsets(lambda motion: cutter_most * _ROUNDING < motion.feed_mm_min <= machine_most * _ROUNDING, near.motion)
    for motion in over:
        text = f"cutter {cutter.shape.number} is fed at {cutter_most:g} mm/min at most in wood"
        log.add("feed-over-limit", motion.line, text, feed_mm_min=motion.feed_mm_min, limit_mm_min=cutter_most)
