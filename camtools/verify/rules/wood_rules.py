"""Rules of motion in and over the wood, which count it as still there whatever was cut before. docs/joinery.md section 4."""

from __future__ import annotations

import numpy as np

from camtools.verify.rules.scene import SLACK_MM, Scene

__all__ = ["judge_dovetail_height", "judge_rapids", "judge_shank_and_holder"]


def judge_dovetail_height(scene: Scene) -> None:
    """A dovetail cutter enters and leaves sideways: it keeps its height wherever it is not clear of the wood."""
    if scene.cutter.shape.kind != "dovetail":
        return
    radius = scene.cutter.radius_mm
    near = scene.near(scene.place.clear_z_mm - SLACK_MM, radius - SLACK_MM)
    for motion in scene.every(lambda motion: motion.start[2] != motion.end[2], near.motion):
        text = "lift and lower a dovetail cutter only where it stands clear of board and backing"
        scene.log.add("dovetail-height-over-board", motion.line, text, from_mm=motion.start[2], to_mm=motion.end[2])


def judge_rapids(scene: Scene) -> None:
    """A rapid keeps away from the wood, or above clearance."""
    top, radius = scene.place.high[2], scene.cutter.radius_mm - SLACK_MM
    in_wood = set(scene.near(top - SLACK_MM, radius).motion.tolist())
    over = scene.near(scene.place.clear_z_mm - SLACK_MM, radius)
    for place in np.unique(over.motion).tolist():
        motion = scene.motions[place]
        if motion.kind != "rapid":
            continue
        lowest = min(motion.start[2], motion.end[2])
        if place in in_wood:
            scene.log.add("rapid-in-wood", motion.line, "a feed belongs here, or a traverse above clearance", lowest_mm=lowest)
        else:
            clear = scene.place.clear_z_mm
            scene.log.add("rapid-below-clearance", motion.line, "rise to clearance first", lowest_mm=lowest, clearance_mm=clear)


def judge_shank_and_holder(scene: Scene) -> None:
    """Nothing but the cutting part goes into the wood."""
    top, cutter = scene.place.high[2], scene.cutter
    shape, limits = cutter.shape, cutter.limits
    shank = max(cutter.radius_mm, shape.shank / 2.0)
    holder = limits.holder / 2.0
    for code, reach, radius in (
        ("shank-in-wood", shape.cutting_length, shank),
        ("holder-in-wood", limits.stick_out, holder),
    ):
        near = scene.near(top - reach - SLACK_MM, radius - SLACK_MM)
        for motion in scene.rows(near.motion):
            depth = top - min(motion.start[2], motion.end[2])
            scene.log.add(code, motion.line, "too deep for this cutter", depth_mm=depth, limit_mm=reach)
