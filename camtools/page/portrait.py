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
_TURN_DEG, _TILT_DEG = 32.0, 30.0  # how far the eye stands to the left of the front, and above it
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


def _axes() -> NDArray[np.float64]:
    """Rows: to the right, up, towards the eye. The eye stands before the front, to its left, and looks down on it."""
    turn, tilt = np.radians((_TURN_DEG, _TILT_DEG))
    right = np.array([np.cos(turn), -np.sin(turn), 0.0])
    eye = np.array([-np.sin(turn) * np.cos(tilt), -np.cos(turn) * np.cos(tilt), np.sin(tilt)])
    return np.vstack([right, np.cross(eye, right), eye])


def portrait(bodies: Sequence[Body], width_px: int = 640) -> bytes:
    """Return a PNG of bodies in one frame, Z up, as large as the width allows."""
    axes = _axes()
    seen = [body.solid.corners @ axes.T for body in bodies]
    low = np.min([s.min(axis=0) for s in seen], axis=0)
    high = np.max([s.max(axis=0) for s in seen], axis=0)
    margin = 0.02 * (high[0] - low[0])
    scale = _FINE * width_px / (high[0] - low[0] + 2 * margin)
    columns, rows = _FINE * width_px, int(scale * (high[1] - low[1] + 2 * margin)) // _FINE * _FINE
    depth = np.full((rows, columns), -np.inf)
    image = np.full((rows, columns, 3), _PAPER, dtype=np.float32)
    origin = np.array([low[0] - margin, high[1] + margin])
    flat = [np.column_stack([(s[:, 0] - origin[0]) * scale, (origin[1] - s[:, 1]) * scale, s[:, 2]]) for s in seen]
    for body, points in zip(bodies, flat, strict=True):
        _fill(body, points, depth, image)
    for body, points in zip(bodies, flat, strict=True):
        _creases(body.solid, points, depth, image, 0.35)
    small = np.sum([image[i::_FINE, j::_FINE] for i in range(_FINE) for j in range(_FINE)], axis=0) / _FINE**2
    out = io.BytesIO()
    Image.fromarray(small.round().astype(np.uint8)).quantize(96, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    return out.getvalue()


def _fill(body: Body, points: NDArray[np.float64], depth: NDArray[np.float64], image: NDArray[np.float32]) -> None:
    """Show a body's triangles where they face the eye and are nearest in the middle of a pixel."""
    a, b, c = (body.solid.corners[body.solid.triangles[:, i]] for i in range(3))
    normals = np.cross(b - a, c - a)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    corners = points[body.solid.triangles]
    upright = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    facing = upright[:, 2] < -1e-9  # since rows of pixels run downwards
    corners, upright = corners[facing], upright[facing]
    tones = np.array(body.tone) * (0.62 + 0.38 * np.clip(normals[facing] @ _LIGHT, 0.0, 1.0))[:, None]
    low, high = (np.clip(end(corners[:, :, 1], axis=1), 0, depth.shape[0]) for end in (np.min, np.max))
    row, owner = _stretches(low, high)
    start, end = corners[owner], np.roll(corners, -1, axis=1)[owner]
    share = (row[:, None] + 0.5 - start[:, :, 1]) / np.where(start[:, :, 1] == end[:, :, 1], np.nan, end[:, :, 1] - start[:, :, 1])
    crossed = np.where((share >= 0) & (share <= 1), start[:, :, 0] + share * (end[:, :, 0] - start[:, :, 0]), np.nan)
    column, span = _stretches(*(np.clip(end(crossed, axis=1), 0, depth.shape[1]) for end in (np.fmin.reduce, np.fmax.reduce)))
    row, owner = row[span], owner[span]
    along, across, towards = upright[owner].T
    first = corners[owner, 0]
    height = first[:, 2] - ((column + 0.5 - first[:, 0]) * along + (row + 0.5 - first[:, 1]) * across) / towards
    np.maximum.at(depth, (row, column), height)
    nearest = height >= depth[row, column]
    image[row[nearest], column[nearest]] = tones[owner[nearest]]


def _stretches(low: NDArray[np.float64], high: NDArray[np.float64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return every pixel whose middle lies between two bounds, and of which bounds; those that are not numbers bound nothing."""
    first = np.ceil(np.nan_to_num(low) - 0.5).astype(np.int64)
    counts = np.maximum(0, np.ceil(np.nan_to_num(high) - 0.5).astype(np.int64) - first)
    owner = np.repeat(np.arange(len(first)), counts)
    return np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts) + first[owner], owner


def _creases(solid: Solid, points: NDArray[np.float64], depth: NDArray[np.float64], image: NDArray[np.float32], slack_mm: float) -> None:
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
