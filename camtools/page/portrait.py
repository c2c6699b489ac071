"""A still picture of solids: parallel projection, depth buffer, creases drawn where they can be seen."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from camtools.output.manifest import Manifest
from camtools.page.solids import PARTS, Solid, edges_of, placed

__all__ = ["Body", "portrait", "portraits_of"]

_FINE = 2  # pixels are drawn this many times smaller, then averaged
_PAPER = 255.0
_INK = np.array([38.0, 30.0, 22.0])
_TONES = {
    "front": (214, 178, 128), "back": (200, 164, 114), "left": (240, 219, 182), "right": (240, 219, 182), "bottom": (222, 226, 214),
}  # fmt: skip
_LIGHT = np.array([-0.45, -0.75, 0.95]) / np.linalg.norm([-0.45, -0.75, 0.95])


@dataclass(frozen=True, slots=True)
class Body:
    """A solid and its tone, red green blue from 0 to 255."""

    solid: Solid
    tone: tuple[int, int, int]


def portraits_of(manifest: Manifest, solids: Mapping[str, Solid]) -> dict[str, bytes]:
    """Return a picture of every drawer whose boards were carved, by its id; equal drawers share one."""
    boards = {board.id: board for board in manifest.boards}
    drawn: dict[object, bytes] = {}
    found: dict[str, bytes] = {}
    for drawer in manifest.drawers:
        parts = {part: boards.get(getattr(drawer.parts, part)) for part in PARTS}
        standing = {part: board for part, board in parts.items() if board is not None and board.id in solids}
        if len(standing) < len(PARTS):
            continue
        key = tuple((id(solids[board.id]), board.to_drawer) for board in standing.values())
        if key not in drawn:
            drawn[key] = portrait([Body(placed(solids[board.id], board), _TONES[part]) for part, board in standing.items()])
        found[drawer.id] = drawn[key]
    return found


def _axes(turn_deg: float, tilt_deg: float) -> NDArray[np.float64]:
    """Rows: to the right, up, towards the eye. The eye stands before the front, to its left, and looks down on it."""
    turn, tilt = np.radians(turn_deg), np.radians(tilt_deg)
    right = np.array([np.cos(turn), -np.sin(turn), 0.0])
    eye = np.array([-np.sin(turn) * np.cos(tilt), -np.cos(turn) * np.cos(tilt), np.sin(tilt)])
    return np.vstack([right, np.cross(eye, right), eye])


def portrait(bodies: Sequence[Body], width_px: int = 640, turn_deg: float = 32.0, tilt_deg: float = 30.0) -> bytes:
    """Return a PNG of the bodies, as large as the width allows."""
    axes = _axes(turn_deg, tilt_deg)
    seen = [body.solid.corners @ axes.T for body in bodies]
    low = np.min([s.min(axis=0) for s in seen], axis=0)
    high = np.max([s.max(axis=0) for s in seen], axis=0)
    margin = 0.02 * (high[0] - low[0])
    scale = _FINE * width_px / (high[0] - low[0] + 2 * margin)
    columns, rows = _FINE * width_px, int(scale * (high[1] - low[1] + 2 * margin)) // _FINE * _FINE
    depth = np.full((rows, columns), -np.inf)
    image = np.full((rows, columns, 3), _PAPER)
    origin = np.array([low[0] - margin, high[1] + margin])
    flat = [np.column_stack([(s[:, 0] - origin[0]) * scale, (origin[1] - s[:, 1]) * scale, s[:, 2]]) for s in seen]
    for body, points in zip(bodies, flat, strict=True):
        _fill(body, points, depth, image)
    for body, points in zip(bodies, flat, strict=True):
        _creases(body.solid, points, depth, image, 0.35)
    small = image.reshape(rows // _FINE, _FINE, width_px, _FINE, 3).mean(axis=(1, 3))
    out = io.BytesIO()
    Image.fromarray(small.round().astype(np.uint8)).quantize(96, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    return out.getvalue()


def _fill(body: Body, points: NDArray[np.float64], depth: NDArray[np.float64], image: NDArray[np.float64]) -> None:
    solid = body.solid
    a, b, c = (solid.corners[solid.triangles[:, i]] for i in range(3))
    normals = np.cross(b - a, c - a)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    shade = 0.62 + 0.38 * np.clip(normals @ _LIGHT, 0.0, 1.0)
    corners = points[solid.triangles]
    p, q, r = corners[:, 0], corners[:, 1], corners[:, 2]
    area = (q[:, 0] - p[:, 0]) * (r[:, 1] - p[:, 1]) - (q[:, 1] - p[:, 1]) * (r[:, 0] - p[:, 0])
    rows, columns = depth.shape
    for i in np.flatnonzero(area < -1e-9):  # those that face the eye, since rows of pixels run downwards
        x0, x1 = int(max(0, corners[i, :, 0].min())), int(min(columns - 1, corners[i, :, 0].max() + 1))
        y0, y1 = int(max(0, corners[i, :, 1].min())), int(min(rows - 1, corners[i, :, 1].max() + 1))
        if x1 < x0 or y1 < y0:
            continue
        x, y = np.arange(x0, x1 + 1) + 0.5, (np.arange(y0, y1 + 1) + 0.5)[:, None]
        u = ((q[i, 0] - x) * (r[i, 1] - y) - (q[i, 1] - y) * (r[i, 0] - x)) / area[i]
        v = ((r[i, 0] - x) * (p[i, 1] - y) - (r[i, 1] - y) * (p[i, 0] - x)) / area[i]
        height = u * p[i, 2] + v * q[i, 2] + (1 - u - v) * r[i, 2]
        window = depth[y0 : y1 + 1, x0 : x1 + 1]
        nearer = (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9) & (height > window)
        window[nearer] = height[nearer]
        image[y0 : y1 + 1, x0 : x1 + 1][nearer] = np.array(body.tone) * shade[i]


def _creases(solid: Solid, points: NDArray[np.float64], depth: NDArray[np.float64], image: NDArray[np.float64], slack_mm: float) -> None:
    edges = edges_of(solid)
    if not len(edges):
        return
    start, end = points[edges[:, 0]], points[edges[:, 1]]
    counts = np.maximum(2, np.ceil(2 * np.abs(end - start)[:, :2].max(axis=1)).astype(int))
    owner = np.repeat(np.arange(len(edges)), counts)
    place = np.concatenate([np.linspace(0.0, 1.0, count) for count in counts])[:, None]
    samples = start[owner] + (end[owner] - start[owner]) * place
    rows, columns = depth.shape
    x, y = samples[:, 0].astype(int), samples[:, 1].astype(int)
    for dx, dy in ((0, 0), (1, 0), (0, 1), (1, 1)):
        xs, ys = np.clip(x + dx, 0, columns - 1), np.clip(y + dy, 0, rows - 1)
        # Seen where the surface drawn nearby is not clearly in front of the crease.
        visible = samples[:, 2] > depth[np.clip(y, 0, rows - 1), np.clip(x, 0, columns - 1)] - slack_mm
        image[ys[visible], xs[visible]] = _INK
