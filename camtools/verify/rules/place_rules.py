"""Rules of place: the spoilboard below a flat board, the plate behind an upright one, stops, fences and clamps."""

from __future__ import annotations

import numpy as np

from camtools.output.manifest import ZoneEntry
from camtools.verify.rules.scene import SLACK_MM, Scene
from camtools.verify.rules.segments import plan_distance
from camtools.verify.rules.workplace import PLATE_Y_MM

__all__ = ["judge_bed", "judge_zones"]


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
        for name, low, high, radius, taper in scene.cutter.bodies():
            for motion in scene.rows(_entering(scene, zone, low, high, radius, taper)):
                if motion.line not in told:
                    told.add(motion.line)
                    scene.log.add("zone-entered", motion.line, f"the {name} enters the {zone.name}")


def _entering(scene: Scene, zone: ZoneEntry, low: float, high: float, radius: float, taper: float) -> np.ndarray:
    """Return the places of motions during which a body of the cutter meets a zone.

    The body reaches from ``low`` to ``high`` over the tip; it is widest at the bottom, so what counts is its radius where the
    zone begins, or at its own foot where it stands inside the zone.
    """
    inside = scene.pieces.between(zone.low[2] - high + SLACK_MM, zone.high[2] - low - SLACK_MM)
    tip = np.maximum(inside.start[:, 2], inside.end[:, 2])
    rise = np.clip(zone.low[2] - (tip + low), 0.0, high - low if np.isfinite(high) else 0.0)
    reach = np.maximum(radius - taper * rise, 0.0)
    return inside.where(plan_distance(inside, zone.low, zone.high) < reach - SLACK_MM).motion
