"""Rules of place: the wood, which counts as still there whatever was cut before, the spoilboard below a flat board, the plate behind
an upright one, stops, fences and clamps. docs/joinery.md section 4.
"""

from __future__ import annotations

import numpy as np

from camtools.output.manifest import ZoneEntry
from camtools.verify.carving.cutter import Part
from camtools.verify.rules.segments import plan_distance
from camtools.verify.rules.workplace import PLATE_Y_MM, SLACK_MM, Scene

__all__ = ["judge_bed", "judge_dovetail_height", "judge_rapids", "judge_shank_and_holder", "judge_zones"]


def judge_dovetail_height(scene: Scene) -> None:
    """A dovetail cutter enters and leaves sideways: it keeps its height wherever it is not clear of the wood."""
    if scene.cutter.shape.kind != "dovetail":
        return
    radius = scene.cutter.radius_mm
    near = scene.near(scene.place.clear_z_mm - SLACK_MM, radius - SLACK_MM)
    for motion in (scene.motions[at] for at in np.unique(near.motion)):
        if motion.start[2] != motion.end[2]:
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
    """Nothing but the cutting part goes into the wood, and the spindle's body not onto it."""
    top, cutter = scene.place.high[2], scene.cutter
    shape, limits = cutter.shape, cutter.limits
    shank = max(cutter.radius_mm, shape.shank / 2.0)
    holder = limits.holder / 2.0
    for code, reach, radius in (
        ("shank-in-wood", shape.cutting_length, shank),
        ("holder-in-wood", limits.stick_out, holder),
        ("spindle-in-wood", limits.stick_out + cutter.machine.nut_height, cutter.machine.spindle_diameter / 2.0),
    ):
        near = scene.near(top - reach - SLACK_MM, radius - SLACK_MM)
        for motion in scene.rows(near.motion):
            depth = top - min(motion.start[2], motion.end[2])
            scene.log.add(code, motion.line, "too deep for this cutter", depth_mm=depth, limit_mm=reach)


def judge_bed(scene: Scene) -> None:
    """The cutter stays out of what lies below or behind the board, but for what may be renewed."""
    place, pieces = scene.place, scene.pieces
    if place.upright:
        deep = pieces.between(-np.inf, place.high[2] - SLACK_MM)
        reach = np.maximum(deep.start[:, 1], deep.end[:, 1]) + scene.cutter.radius_mm - PLATE_Y_MM
        over = deep.where(reach > place.backing_mm + SLACK_MM)
        code, text, limit = "plate-cut", "the backing is too thin, or the cutter goes too far", place.backing_mm
    else:
        over = pieces.between(-np.inf, place.low[2] - place.spoilboard_mm - SLACK_MM)
        code, text, limit = "spoilboard-too-deep", "the cutter goes too far below the board", place.spoilboard_mm
    for motion in scene.rows(over.motion):
        scene.log.add(code, motion.line, text, limit_mm=limit, lowest_mm=min(motion.start[2], motion.end[2]))


def judge_zones(scene: Scene) -> None:
    """Cutter, shank and holder keep out of every zone."""
    for zone in scene.place.zones:
        told: set[int] = set()
        for name, part in scene.cutter.bodies().items():
            for motion in scene.rows(_entering(scene, zone, part)):
                if motion.line not in told:
                    told.add(motion.line)
                    scene.log.add("zone-entered", motion.line, f"the {name} enters the {zone.name}")


def _entering(scene: Scene, zone: ZoneEntry, part: Part) -> np.ndarray:
    """Return the places of motions during which a part of the cutter meets a zone.

    It is widest at the bottom, so what counts is its radius where the zone begins, or at its own foot where it stands inside the zone.
    """
    inside = scene.pieces.between(zone.low[2] - part.high_mm + SLACK_MM, zone.high[2] - part.low_mm - SLACK_MM)
    foot = np.maximum(inside.start[:, 2], inside.end[:, 2]) + part.low_mm
    reach = np.interp(zone.low[2] - foot, (0.0, part.high_mm - part.low_mm), (part.low_radius_mm, part.high_radius_mm))
    return inside.where(plan_distance(inside, zone.low, zone.high) < reach - SLACK_MM).motion
