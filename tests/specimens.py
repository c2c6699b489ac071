"""Named jobs to try things on: ordinary, tiny, tall, in thick and thin wood. All sizes are invented for a botanist's specimen chest."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from camtools.job.cutter_defaults import template_wish_of
from camtools.job.form import TemplatesForm
from camtools.job.job import Cutter, DrawerWish, Fit, GrooveWish, Job, JointWish, Machine, Stock, TemplateWish, TrialWish

__all__ = ["FIT", "GROOVE", "JOBS", "JOINT", "MACHINE", "STOCK", "cutters", "drawer", "job_of", "specimen_chest", "template_wish"]

STOCK = Stock(
    front_mm=20.0,
    side_mm=12.0,
    back_mm=12.0,
    bottom_mm=6.2,
    front_wood="Cherry, black",
    side_wood="Cherry, black",
    back_wood="Cherry, black",
    sawn="flat",
    bottom_kind="plywood",
    bottom_wood="Cherry, black",
    driest_percent=6.0,
    dampest_percent=11.0,
    now_percent=8.0,
)
JOINT = JointWish(
    lap_mm=5.0,
    style="even",
    tails=None,
    tail_mm=None,
    pin_mm=None,
    half_pin_mm=None,
    clearance_mm=0.08,
    through_clearance_mm=0.08,
    free_depth_mm=0.3,
    proud_mm=0.3,
    rough=False,
    rough_stock_mm=0.5,
    light_pass_mm=0.5,
    dovetail=1,
    straight=2,
)
GROOVE = GrooveWish(edge_mm=11.0, depth_mm=6.0, play_mm=0.15, ends="stopped", stop_mm=3.0, cutter=2, bottom_corners="hand")
FIT = Fit(
    front="inset",
    side_mm=0.6,
    above_mm=None,
    behind_mm=8.0,
    reveal_mm=1.0,
    overlay_side_mm=8.0,
    overlay_above_mm=8.0,
    overlay_below_mm=8.0,
    back="full",
    finish_mm=0.2,
)
TRIAL = TrialWish((0.0, 0.1), (0.1,))
MACHINE = Machine(
    travel_mm=(1200.0, 900.0, 120.0),
    min_speed_rpm=8000.0,
    max_speed_rpm=24000.0,
    max_feed_mm_min=4000.0,
    rapid_mm_min=4000.0,
    acceleration_mm_s2=250.0,
    clearance_mm=12.0,
    retract_mm=60.0,
    spin_up_s=4.0,
    tool_change_s=60.0,
    holds=("upright", "flat"),
    backing_mm=18.0,
    upright_stop_below_mm=40.0,
    upright_stops_mm=None,
    upright_plate_mm=None,
    flat_stops_mm=None,
    flat_fence_mm=None,
    flat_stop_mm=4.0,
    clamp_height_mm=30.0,
    clamp_from_end_mm=45.0,
    clamp_from_groove_mm=25.0,
    waste_depth_mm=0.4,
    postprocessor="mm",
)


def cutters(diameter: float = 12.7, angle: float = 14.0, straight: float = 6.0, cutting_length: float = 30.0) -> tuple[Cutter, Cutter]:
    """Return a dovetail cutter, number 1, and a straight one, number 2.

    The edge of the dovetail cutter ends where its neck is three tenths of its diameter, if it is not shorter.
    """
    edge = min(cutting_length, math.floor(3.5 * diameter / math.tan(math.radians(angle))) / 10)
    return (
        Cutter(1, "dovetail", diameter, angle, edge, 6.35, 2, 16000, 20000, 1200, 300, edge, False, 45.0, 25.0),
        Cutter(2, "straight", straight, 0.0, cutting_length, straight, 2, 16000, 24000, 1500, 400, 3.0, True, 45.0, 25.0),
    )


def drawer(
    width: float = 300.0, height: float = 100.0, depth: float = 320.0, *, name: str = "mosses", count: int = 1, outside: bool = True,
    stock: Stock = STOCK, joint: JointWish = JOINT, groove: GrooveWish = GROOVE, fit: Fit = FIT,
) -> DrawerWish:  # fmt: skip
    """Return a drawer of this outside size, or for an opening of it."""
    size = (width, height, depth)
    return DrawerWish(name, count, None if outside else size, size if outside else None, stock, joint, groove, fit)


def job_of(*drawers: DrawerWish, tools: tuple[Cutter, ...] = (), title: str = "specimens") -> Job:
    """Return a job of these drawers."""
    return Job(title, MACHINE, tools or cutters(), drawers, TRIAL)


def specimen_chest(style: str = "standard", **changes: object) -> Job:
    """Return seven drawers in three widths and three heights."""
    joint = replace(JOINT, style=style, **changes)  # type: ignore[arg-type]
    rows = [
        ("mosses", 220.0, 62.0),
        ("lichens", 220.0, 62.0),
        ("ferns", 320.0, 92.0),
        ("grasses", 320.0, 92.0),
        ("sedges", 320.0, 92.0),
        ("seeds", 480.0, 134.0),
        ("pressed sheets", 480.0, 134.0),
    ]
    wishes = [drawer(width, height, 340.0, name=name, outside=False, joint=joint) for name, width, height in rows]
    return Job("botanist's specimen chest", MACHINE, cutters(), tuple(wishes), TRIAL)


JOBS = {
    "one drawer": job_of(drawer()),
    "one tail": job_of(drawer(height=45.0)),
    "tall": job_of(drawer(height=300.0)),
    "thin wood": job_of(
        drawer(
            stock=replace(STOCK, front_mm=14.0, side_mm=8.0, back_mm=8.0, bottom_mm=4.0),
            joint=replace(JOINT, lap_mm=4.0),
            groove=replace(GROOVE, edge_mm=9.0, depth_mm=4.0),
        ),
        tools=cutters(9.5, 9.0, 4.0, 16.0),
    ),
    "raised back": job_of(drawer(fit=replace(FIT, back="raised"))),
    "raised back, solid bottom": job_of(drawer(stock=replace(STOCK, bottom_kind="solid"), fit=replace(FIT, back="raised"))),
    "hidden groove": job_of(drawer(groove=replace(GROOVE, ends="hidden"))),
    "chest": specimen_chest(),
    "chest, even": specimen_chest("even"),
    "chest, swelling": specimen_chest("swelling"),
    "chest, spaced": specimen_chest("spaced"),
}


def template_wish(**written: Any) -> TemplateWish:
    """Return what a table of templates comes to in which these keys stand."""
    return template_wish_of(TemplatesForm(**written))[0]
