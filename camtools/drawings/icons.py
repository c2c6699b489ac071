"""Small pictures that tell without words which board is seen, and from where: the drawer's plan with its knob at the front."""

from __future__ import annotations

import math
from typing import Literal

from camtools.drawer.boards import Role
from camtools.drawings.sheet import PENS, Drawing
from camtools.pictures.signs import edge_triangles
from camtools.templates.outlines import circle

__all__ = ["ICON_MM", "edge_sign", "plan_icon"]

_SIGN_MM = 3.2  # height of its triangles
ICON_MM = (17.0, 15.0)  # width and height, arrow and knob included
_BOARDS = {  # low x, low y, high x, high y in the icon
    "front": (3.0, 3.0, 14.0, 4.6),
    "back": (4.9, 10.4, 12.1, 12.0),
    "left side": (3.0, 4.9, 4.6, 12.0),
    "right side": (12.4, 4.9, 14.0, 12.0),
    "bottom": (4.9, 4.9, 12.1, 10.1),
}
_OUTWARDS = {
    "front": (0.0, -1.0),
    "back": (0.0, 1.0),
    "left side": (-1.0, 0.0),
    "right side": (1.0, 0.0),
    "left": (-1.0, 0.0),
    "right": (1.0, 0.0),
}
Seen = Literal["outside", "inside", "left", "right", "front", "above"]


def edge_sign(drawing: Drawing, edge: tuple[float, float], outwards: tuple[float, float]) -> None:
    """Draw the sign of the reference edge, as it is pencilled on the wood, at a place of the edge in mm of the wood."""
    s = drawing.scale
    for triangle in edge_triangles((edge[0] * s, edge[1] * s), outwards, _SIGN_MM, PENS["reference"].width_mm / 2 + 0.3):
        drawing.area([(x / s, y / s) for x, y in triangle], 0.0)


def plan_icon(role: Role, seen: Seen) -> Drawing:
    """Return the drawer from above, front down: the board black, an arrow from the eye to what is seen of it."""
    drawing = Drawing([])
    for name, (x0, y0, x1, y1) in _BOARDS.items():
        if name == role or name != "bottom":
            fill = None if name != role else 0.0 if role != "bottom" else 0.7
            drawing.box((x0, y0), (x1, y1), "thin", fill)
    drawing.curve(circle(8.5, 2.2, 1.4).vertices, "thin", closed=True)
    if role != "bottom":
        _arrow(drawing, *_sight(role, seen))
    return drawing


def _sight(role: Role, seen: Seen) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where the eye stands and the point it looks at."""
    x0, y0, x1, y1 = _BOARDS[role]
    dx, dy = _OUTWARDS[role if seen in ("outside", "inside") else seen]
    if seen == "inside":
        dx, dy = -dx, -dy
    aside = 3.0 if role == "front" and seen == "outside" else 0.0  # past the knob
    x, y = (x0 + x1) / 2 + aside + dx * ((x1 - x0) / 2 + 0.3), (y0 + y1) / 2 + dy * ((y1 - y0) / 2 + 0.3)
    return (x + dx * 2.6, y + dy * 2.6), (x, y)


def _arrow(drawing: Drawing, eye: tuple[float, float], point: tuple[float, float]) -> None:
    drawing.line([eye, point], "outline")
    angle = math.atan2(eye[1] - point[1], eye[0] - point[0])
    head = [(point[0] + 1.5 * math.cos(angle + turn), point[1] + 1.5 * math.sin(angle + turn)) for turn in (-0.5, 0.5)]
    drawing.area([point, *head], 0.0)
