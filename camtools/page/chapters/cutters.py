"""The cutters with their settings, and what each edge takes against a published range."""

from __future__ import annotations

import math

from camtools.drawer.feeds import LIMITS
from camtools.output.manifest import ToolEntry
from camtools.page.blocks import Block, Table, TextBlock
from camtools.page.facts import PacketFacts
from camtools.wording import bare_fine, counted, listed, mm, quantity, sizes, unit_word

__all__ = ["HEADING", "blocks"]

HEADING = "Cutters"


def blocks(facts: PacketFacts) -> list[Block]:
    """Return the table of cutters."""
    columns = ("No.", "Cutter", "Runs at", "At most", "Feed, to", "Safe to", "Depth a pass", "Chip an edge", "By charts")
    numbers: dict[tuple[str, ...], list[str]] = {}
    for tool in facts.manifest.tools:
        if (cutter := facts.names.cutters.get(tool.number)) is not None and cutter.assumed:
            numbers.setdefault(cutter.assumed, []).append(str(tool.number))
    assumed = [f"{listed(keys, 'and')} of cutter{'s' if own[1:] else ''} {listed(own, 'and')}" for keys, own in numbers.items()]
    ask = TextBlock(
        f"The job file does not tell {'; '.join(assumed)}. Read the marks on the shanks, measure and count, write it into [[cutters]] and "
        "make the packet anew: until then camtools assumes it.",
        lead="Assumed",
        tone="warning",
    )
    return [
        *([ask] if assumed else []),
        Table("Cutters", columns, tuple(_row(facts, tool) for tool in facts.manifest.tools), frozenset({2, 3, 4, 5, 6, 7, 8})),
        TextBlock(
            f"Chip loads in {unit_word()} are rough: charts for small routers differ by a factor of two, and none was found for dovetail "
            "cutters, for which 50 to 70 % of a straight cutter's at the neck is taken. Listen and look at the chips. Where a cutter "
            "burns, chatters or tears the wood, camtools fit JOB with --burnt, --chattered or --torn and its number changes its settings "
            "by a step. Never above the speed marked on the cutter.",
            lead="Rough",
        ),
    ]


def _row(facts: PacketFacts, tool: ToolEntry) -> tuple[str, ...]:
    motions = [m for program in facts.programs for m in program.run.motions if m.tool == tool.number and m.kind != "rapid"]
    speeds = sorted({abs(motion.spindle_rpm) for motion in motions})
    planned = facts.names.cutters.get(tool.number)
    bound = next((bound for bound in facts.limits.tools if bound.number == tool.number), None)
    # In air it goes faster; that it does not in wood is proved by the check.
    feed = min(max((motion.feed_mm_min for motion in motions), default=0.0), bound.max_feed if bound else math.inf)

    def told(diameter_mm: float, angle_deg: float) -> str:
        return mm(diameter_mm) + (f", {angle_deg:.4g}° a flank" if tool.kind == "dovetail" else "")

    as_is = (tool.diameter, tool.half_angle)
    mark = facts.names.mark_of(tool)
    shape = told(*as_is) if mark == as_is else f"{told(*mark)}, measured as {told(*as_is)}"
    edges, limit, safe, chips, charted = "", "", "–", "–", "–"
    if planned is not None:
        edges = f", {counted(planned.flutes, 'edge')}{' assumed' if 'flutes' in planned.assumed else ''}"
        limit = " assumed" if "max_speed" in planned.assumed else " marked"
        if speeds and speeds[0] > 0:
            chips = bare_fine(feed / (speeds[0] * planned.flutes))
        if planned.safe is not None:
            safe = f"{quantity(planned.safe.feed_mm_min, 'mm/min')}, by {LIMITS[planned.safe.limit]}"
            charted = " to ".join(map(bare_fine, planned.safe.chart_mm))
            chips += planned.safe.chips_told and f", {planned.safe.chips_told}"
    return (
        str(tool.number),
        f"{tool.kind}, {shape}, {mm(tool.cutting_length)} long{edges}",
        " and ".join(f"{speed:.0f}" for speed in speeds) + " rpm" if speeds else "–",
        f"{bound.max_speed:.0f} rpm{limit}" if bound else "–",
        quantity(round(feed), "mm/min") if feed else "–",
        safe,
        "whole" if bound is None or bound.depth_per_pass is None else sizes(bound.depth_per_pass),
        chips,
        charted,
    )
