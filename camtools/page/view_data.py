"""The data of the page's views in three dimensions: a piece for each, read only when its view is opened."""

from __future__ import annotations

from typing import Any

from camtools.page.facts import PacketFacts
from camtools.page.motion_view import motion_view
from camtools.page.solids import PARTS, Solid, edges_of

__all__ = ["views_of"]


def views_of(facts: PacketFacts) -> dict[str, dict[str, Any]]:
    """Return every view's data by the id of its element: motions, boards and the drawers that are put together from them."""
    boards = facts.boards
    found: dict[str, dict[str, Any]] = {
        f"motion-{program.stem}": motion_view(facts, program, boards[program.entry.board]) for program in facts.programs
    }
    kept: dict[int, str] = {}  # equal boards share one mesh
    for name, solid in facts.solids.items():
        if kept.setdefault(id(solid), name) == name:
            found[f"board-{name}"] = _mesh(solid)
    for drawer in facts.manifest.drawers:
        if drawer.id in facts.portraits:
            names = {part: getattr(drawer.parts, part) for part in PARTS}
            found[f"drawer-{drawer.id}"] = {
                "boards": {part: f"board-{kept[id(facts.solids[name])]}" for part, name in names.items()},
                "frames": {part: boards[name].to_drawer for part, name in names.items()},
                "apart": 3 * boards[names["left"]].size[2],
            }
    return found


def _mesh(solid: Solid) -> dict[str, Any]:
    """Return corners to 0.01 mm, triangles, and creases as pairs of corners."""
    return {
        "v": [round(value, 2) + 0.0 for value in solid.corners.ravel().tolist()],
        "t": solid.triangles.ravel().tolist(),
        "e": edges_of(solid).ravel().tolist(),
    }
