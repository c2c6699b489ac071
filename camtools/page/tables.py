"""The page's tables: drawers, pieces, stock, cutters, joints and times, as text ready to be shown."""

from __future__ import annotations

from typing import Any

from camtools.output.manifest import BoardEntry, DrawerEntry
from camtools.page.chips import chip_mm, chip_range_mm
from camtools.page.facts import PacketFacts, ProgramFacts

__all__ = ["JOINT_COLUMNS", "board_seconds", "clock", "cutters", "joints", "marks", "names", "pieces", "stock", "total_seconds"]

GRAIN = {"front": "left to right", "back": "left to right", "bottom": "left to right"}
PARTS = ("front", "back", "left", "right", "bottom")


def clock(seconds: float) -> str:
    """Return a time as hours, minutes and seconds."""
    whole = round(seconds)
    hours, minutes = divmod(whole // 60, 60)
    return f"{hours} h {minutes:02} min" if hours else f"{minutes} min {whole % 60:02} s"


def names(facts: PacketFacts) -> dict[str, str]:
    """Return each drawer's name by its id; the id where the packet tells no name."""
    told = {str(drawer.get("id")): str(drawer.get("name")) for drawer in facts.plan.get("drawers", [])}
    return {drawer.id: told.get(drawer.id, drawer.id) for drawer in facts.manifest.drawers}


def marks(facts: PacketFacts) -> dict[str, str]:
    """Return each board's mark by its id; equal boards share one."""
    told = {
        str(board.get("id")): str(board.get("mark"))
        for drawer in facts.plan.get("drawers", [])
        for board in drawer.get("boards", [])
    }
    return {board.id: told.get(board.id, board.id) for board in facts.manifest.boards}


def board_seconds(facts: PacketFacts) -> dict[str, float]:
    """Return the machine time of one piece of each board, by the manifest."""
    seconds = {board.id: 0.0 for board in facts.manifest.boards}
    for entry in facts.manifest.programs:
        if entry.kind == "cut":
            seconds[entry.board] += entry.seconds
    return seconds


def drawer_seconds(facts: PacketFacts, drawer: DrawerEntry) -> float:
    """Return the machine time of one drawer."""
    seconds = board_seconds(facts)
    return sum(seconds[getattr(drawer.parts, part)] for part in PARTS)


def total_seconds(facts: PacketFacts) -> float:
    """Return the machine time of the whole piece."""
    return sum(drawer_seconds(facts, drawer) * drawer.count for drawer in facts.manifest.drawers)


def users(facts: PacketFacts) -> dict[str, list[str]]:
    """Return the names of the drawers that each board stands in."""
    called = names(facts)
    found: dict[str, list[str]] = {board.id: [] for board in facts.manifest.boards}
    for drawer in facts.manifest.drawers:
        for part in PARTS:
            found[getattr(drawer.parts, part)].append(called[drawer.id])
    return found


def pieces(facts: PacketFacts) -> list[dict[str, Any]]:
    """Return the cut list: equal pieces in one row."""
    called, stand_in = marks(facts), users(facts)
    rows: dict[str, dict[str, Any]] = {}
    for board in facts.manifest.boards:
        row = rows.setdefault(called[board.id], _piece(called[board.id], board))
        row["count"] += board.count
        row["users"] += [name for name in stand_in[board.id] if name not in row["users"]]
    for row in rows.values():
        row["drawers"] = ", ".join(row["users"])
    return list(rows.values())


def _piece(mark: str, board: BoardEntry) -> dict[str, Any]:
    length, width, thickness = (f"{value:.1f}" for value in board.size)
    grain = GRAIN.get(board.role, "front to rear")
    return {
        "mark": mark, "role": board.role, "count": 0, "length": length, "width": width, "thickness": thickness,
        "grain": grain, "users": [],
    }  # fmt: skip


def stock(facts: PacketFacts) -> list[dict[str, Any]]:
    """Return what wood to prepare, by thickness and use."""
    groups: dict[tuple[float, str], list[BoardEntry]] = {}
    for board in facts.manifest.boards:
        groups.setdefault((board.size[2], board.role.removeprefix("left ").removeprefix("right ")), []).append(board)
    rows = []
    for (thickness, role), boards in groups.items():
        metres = sum(board.size[0] * board.count for board in boards) / 1000
        area = sum(board.size[0] * board.size[1] * board.count for board in boards) / 1e6
        rows.append({
            "thickness": f"{thickness:.2f} mm", "roles": role, "count": sum(board.count for board in boards),
            "metres": f"{metres:.2f}", "area": f"{area:.3f}",
        })  # fmt: skip
    return rows


def cutters(facts: PacketFacts) -> list[dict[str, Any]]:
    """Return each cutter with its settings, as its programs state them, and its chip load."""
    told = {cutter.get("number"): cutter for cutter in facts.plan.get("cutters", [])}
    bounds = {tool.number: tool for tool in facts.limits.tools}
    rows = []
    for tool in facts.manifest.tools:
        speeds, feeds = _settings(facts.programs, tool.number)
        flutes = told.get(tool.number, {}).get("flutes")
        low, high = chip_range_mm(tool)
        bound = bounds.get(tool.number)
        angle = f", {tool.half_angle:g}°" if tool.kind == "dovetail" else ""
        rows.append({
            "number": tool.number,
            "shape": f"{tool.kind}, {tool.diameter:g} mm{angle}, cutting length {tool.cutting_length:g} mm",
            "speed": " and ".join(f"{speed:.0f}" for speed in speeds),
            "marked": f"{bound.max_speed:.0f}" if bound else "–",
            "feed": f"{max(feeds):.0f}" if feeds else "–",
            "per_pass": "full depth" if bound is None or bound.depth_per_pass is None else f"{bound.depth_per_pass:g} mm",
            "chip": f"{chip_mm(max(feeds), max(speeds), flutes):.2f}" if flutes and feeds and speeds else "–",
            "range": f"{low:.2f} to {high:.2f} (rough)",
        })  # fmt: skip
    return rows


def _settings(programs: tuple[ProgramFacts, ...], number: int) -> tuple[list[float], list[float]]:
    motions = [m for program in programs for m in program.run.motions if m.tool == number and m.kind != "rapid"]
    return sorted({abs(m.spindle_rpm) for m in motions}), sorted({m.feed_mm_min for m in motions})


def sizes(values: tuple[float, float, float]) -> str:
    """Return three lengths as text."""
    return " × ".join(f"{value:.1f}" for value in values)


JOINT_COLUMNS = ("overlap", "flank, least", "flank, mean", "flank, most", "shoulder, most", "widest gap that shows", "allowed")


def joints(facts: PacketFacts) -> list[dict[str, Any]]:
    """Return the check's figures of every joint, in mm and in the order of `JOINT_COLUMNS`."""
    called = names(facts)
    rows = []
    for drawer in facts.check.get("drawers", []):
        for joint in drawer["joints"]:
            measured = joint["measured"]
            worst = max(joint["gaps"], key=lambda gap: gap["widest_mm"] - gap["limit_mm"])
            flank, shoulder = measured["flank"] or {}, measured["shoulder"] or {}
            figures = [
                measured["overlap"]["depth_mm"], flank.get("smallest_mm"), flank.get("mean_mm"), flank.get("largest_mm"),
                shoulder.get("largest_mm"), worst["widest_mm"], worst["limit_mm"],
            ]  # fmt: skip
            shown = ["–" if figure is None else f"{figure:.3f}" for figure in figures]
            rows.append({"drawer": called[drawer["id"]], "joint": joint["corner"], "figures": shown})
    return rows
