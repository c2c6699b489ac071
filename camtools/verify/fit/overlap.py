"""How deeply two solids stand in each other.

The depth of an overlap is the diameter of the largest ball that fits into the wood both claim: what would have to be pared
away. A slab left along a flank has its thickness, however long it is. A ball of diameter ``d`` has the volume
``pi d^3 / 6``, so what is smaller than that can be left aside safely, and slivers of rounding with it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import product

import numpy as np
from manifold3d import Manifold
from numpy.typing import NDArray

__all__ = ["NONE", "Overlap", "overlap_of", "thickness"]

Points = NDArray[np.float64]
_IGNORED_MM = 0.004  # pieces that hold no ball of this diameter are rounding
_NEEDLE_MM = 1e-5  # a triangle lower than this is a needle
_SHEET_MM = 2e-6  # thinner wood is a sheet without thickness
_ASKEW = np.array([1.3e-4, -0.7e-4, 1.9e-4])
_ROUNDS = 25
_MOST_FACES = 80
# Along the axes and to the corners of a cube, to both sides: every direction lies within 36 degrees of one.
_WAYS = np.array([way for way in product((-1.0, 0.0, 1.0), repeat=3) if sum(map(abs, way)) in (1.0, 3.0)])
_WAYS /= np.linalg.norm(_WAYS, axis=1)[:, None]
# Places on a face: near its corners, in its middle, near its sides.
_WEIGHTS = np.array([[10, 1, 1], [1, 10, 1], [1, 1, 10], [4, 4, 4], [2, 5, 5], [5, 2, 5], [5, 5, 2]]) / 12
_TRIED = 16  # balls at a time that are measured against the triangles
_BLOCK = 400_000  # pairs of point and triangle at a time


@dataclass(frozen=True, slots=True)
class Overlap:
    """Wood that two boards both claim: depth, volume, and the middle of the deepest place."""

    depth_mm: float
    volume_mm3: float
    place: tuple[float, float, float]


NONE = Overlap(0.0, 0.0, (0.0, 0.0, 0.0))


def overlap_of(first: Manifold, second: Manifold) -> Overlap:
    """Measure the wood that both solids claim."""
    common = first ^ second
    least = math.pi * _IGNORED_MM**3 / 6
    if common.is_empty() or common.volume() < least:
        return NONE
    depth, place, volume = 0.0, (0.0, 0.0, 0.0), 0.0
    for piece in common.decompose():
        if piece.volume() < least:
            continue
        volume += piece.volume()
        # No ball is larger than the piece's smallest extent or its whole volume.
        low, high = np.array(piece.bounding_box()).reshape(2, 3)
        largest = min(float((high - low).min()), (6 * piece.volume() / math.pi) ** (1 / 3))
        if largest <= max(depth, _IGNORED_MM):
            continue
        found, where = thickness(piece)
        if found > depth:
            depth, place = found, where
    if depth < _IGNORED_MM:
        return NONE
    return Overlap(depth, volume, place)


def thickness(solid: Manifold) -> tuple[float, tuple[float, float, float]]:
    """Return the diameter of the largest ball in a solid that touches one of many places of its surface, and its middle.

    From every sample a ball that touches the surface there is shrunk until nothing of the surface lies in it: the radius
    that lets it touch both ``p`` (with inward normal ``n``) and ``q`` is ``|q - p|^2 / (2 n (q - p))``.
    """
    mesh = solid.to_mesh64()
    corners = np.array(mesh.vert_properties[:, :3])[np.array(mesh.tri_verts)]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    areas = np.linalg.norm(normals, axis=1)
    edges = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
    sound = areas > _NEEDLE_MM * edges  # the way that a needle faces is noise
    if not sound.any():
        return 0.0, (0.0, 0.0, 0.0)
    inward = -normals[sound] / areas[sound, None]
    faces, areas = corners[sound], areas[sound]
    if len(faces) > _MOST_FACES:  # only faces near the thickest place are sampled
        heart = _heart(solid)
        if heart is None:
            return 0.0, (0.0, 0.0, 0.0)
        apart = ((_on_triangles(heart[None, None, :], faces[None])[0] - heart) ** 2).sum(axis=1)
        nearest = np.argsort(apart, kind="stable")[:_MOST_FACES]
        faces, inward = faces[nearest], inward[nearest]
    points = np.einsum("sk,tkc->tsc", _WEIGHTS, faces).reshape(-1, 3)
    inward = np.repeat(inward, len(_WEIGHTS), axis=0)
    radii = _straight_through(solid, points, inward) / 2
    if 2 * radii.max() < _IGNORED_MM:
        return 0.0, (0.0, 0.0, 0.0)
    _shrink(points, inward, radii, lambda centres: _nearest_point(centres, points))
    best, best_radius = 0, 0.0
    order = np.argsort(-np.round(radii, 6), kind="stable")
    for begin in range(0, len(order), _TRIED):
        chosen = order[begin : begin + _TRIED]
        if radii[chosen[0]] <= best_radius:
            break  # balls only shrink
        tried = radii[chosen]
        _shrink(points[chosen], inward[chosen], tried, lambda centres: _nearest(centres, corners))
        if tried.max() > best_radius:
            best, best_radius = int(chosen[tried.argmax()]), float(tried.max())
    x, y, z = (points[best] + inward[best] * best_radius).tolist()
    return 2 * best_radius, (x, y, z)


def _straight_through(solid: Manifold, points: Points, inward: Points) -> Points:
    """Return how much wood lies straight behind each place of the surface: no ball that touches it there is thicker.

    0 where no wood lies behind it at all: where two boards only touch, sheets without thickness are left between them.
    """
    size = float(np.linalg.norm(np.subtract(*np.array(solid.bounding_box()).reshape(2, 3)))) + 1.0
    found = np.zeros(len(points))
    # A little askew, so as not to run along other faces.
    starts, ends = points + _SHEET_MM * inward, points + size * (inward + _ASKEW)
    for index, (start, end) in enumerate(zip(starts.tolist(), ends.tolist(), strict=True)):
        hits = [(round(hit.distance, 12), float(np.dot(hit.normal, inward[index])) > 0) for hit in solid.ray_cast(start, end)]
        outwards = [leaves for _, leaves in hits]
        if 2 * sum(outwards) - len(outwards) != 1:
            continue  # it started outside, or grazes
        inside = 1
        for distance, leaves in sorted(hits):
            inside += -1 if leaves else 1
            if inside == 0:
                found[index] = _SHEET_MM + distance * (size - _SHEET_MM)
                break
    return found


def _heart(solid: Manifold) -> Points | None:
    """Return a place where the solid is about thickest, or None where it holds no ball that counts.

    What is left of a solid when copies shifted by a radius in many directions are all intersected holds the middle of every
    ball of that radius: nothing is sampled, so nothing is missed. The largest radius is sought that leaves anything.
    """

    def core_of(radius: float, core: Manifold) -> Manifold:
        for way in _WAYS * radius:
            core = core ^ solid.translate(tuple(way))
            if core.is_empty():
                break
        return core

    extents = np.ptp(np.array(solid.bounding_box()).reshape(2, 3), axis=0)
    low, high, core = _IGNORED_MM / 2, float(extents.min()) / 2, solid
    while high > 1.1 * low:
        middle = math.sqrt(low * high)
        trial = core_of(middle, core)  # the core so far holds the middle of every larger ball
        if trial.is_empty():
            high = middle
        else:
            low, core = middle, trial
    core = core_of(low, core) if core is solid else core
    return None if core.is_empty() else np.array(core.to_mesh64().vert_properties[0, :3])


def _shrink(points: Points, inward: Points, radii: Points, nearest_to: Callable[[Points], Points]) -> None:
    """Shrink every ball, in place, until the nearest place of the surface does not lie in it."""
    active = np.arange(len(points))
    for _ in range(_ROUNDS):
        if not len(active):
            return
        centres = points[active] + inward[active] * radii[active, None]
        nearest = nearest_to(centres)
        away = nearest - points[active]
        towards = (away * inward[active]).sum(axis=1)
        inside = np.linalg.norm(nearest - centres, axis=1) < radii[active] - 1e-6
        shrink = inside & (towards > 1e-12)
        active, towards = active[shrink], towards[shrink]
        radii[active] = (away[shrink] ** 2).sum(axis=1) / (2 * towards)


def _nearest_point(places: Points, points: Points) -> Points:
    """Return for each place the nearest of some points."""
    squared = (points**2).sum(axis=1) - 2 * places @ points.T  # and the place's own square, the same for all
    return np.asarray(points[squared.argmin(axis=1)], dtype=np.float64)


def _nearest(points: Points, corners: Points) -> Points:
    """Return for each point the nearest one on any triangle. (n, 3), (m, 3, 3) -> (n, 3)."""
    found = np.empty_like(points)
    block = max(1, _BLOCK // len(corners))
    for begin in range(0, len(points), block):
        chunk = points[begin : begin + block]
        places = _on_triangles(chunk[:, None, :], corners[None])
        distances = ((places - chunk[:, None, :]) ** 2).sum(axis=2)
        found[begin : begin + block] = places[np.arange(len(chunk)), distances.argmin(axis=1)]
    return found


def _on_triangles(p: Points, corners: Points) -> Points:
    """Nearest place on each triangle: on its plane where that is inside, else on the nearest of its three edges."""
    a, b, c = corners[..., 0, :], corners[..., 1, :], corners[..., 2, :]
    normal = np.cross(b - a, c - a)
    squared = (normal**2).sum(axis=-1)
    longest = np.maximum(((b - a) ** 2).sum(axis=-1), np.maximum(((c - b) ** 2).sum(axis=-1), ((a - c) ** 2).sum(axis=-1)))
    off = ((p - a) * normal).sum(axis=-1) / np.maximum(squared, 1e-300)
    best = p - off[..., None] * normal
    # A needle is all edge.
    inside = np.broadcast_to(squared > _NEEDLE_MM**2 * longest, best.shape[:-1]).copy()
    edge_best, edge_distance = np.zeros_like(best), np.full(best.shape[:-1], np.inf)
    for start, end in ((a, b), (b, c), (c, a)):
        side = end - start
        inside &= (np.cross(side, best - start) * normal).sum(axis=-1) >= 0
        share = np.clip(((p - start) * side).sum(axis=-1) / np.maximum((side**2).sum(axis=-1), 1e-300), 0.0, 1.0)
        place = start + share[..., None] * side
        distance = ((place - p) ** 2).sum(axis=-1)
        nearer = distance < edge_distance
        edge_distance = np.where(nearer, distance, edge_distance)
        edge_best = np.where(nearer[..., None], place, edge_best)
    return np.asarray(np.where(inside[..., None], best, edge_best), dtype=np.float64)
