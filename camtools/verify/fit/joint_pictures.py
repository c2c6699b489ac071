"""A picture of every joint: sections through the carved boards, gaps and overlaps in colour, and the worst place enlarged.

Everything is drawn from the solids that were measured. All panels are to scale; the joint is seen as in `corner`: the side's outside
face at x = 0, the outside face of front or back at y = 0.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from manifold3d import Manifold
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Circle, PathPatch, Rectangle
from matplotlib.path import Path
from numpy.typing import NDArray
from shapely import Geometry

from camtools.verify.checking import Checked
from camtools.verify.fit.assemble import Assembly, ask_of, placed
from camtools.verify.fit.corner import CORNERS, Corner
from camtools.verify.fit.joint_fit import SKIN_MM, Ask, lower_edge_mm
from camtools.verify.fit.plane_sections import section
from camtools.verify.report import DrawerReport, JointReport
from camtools.wording import bare_fine, fine, mm

__all__ = ["joint_picture", "joint_pictures"]

TAIL, PIN, GAP, OVERLAP, MARK = "#e6c79c", "#b98b5e", "#1f77b4", "#d62728", "#000000"
_ZOOM_MM = 1.2  # width of what the enlarged panel shows
_DPI = 110


@dataclass(frozen=True, slots=True)
class _View:
    """A section to be drawn: which coordinates run right and up, the part of the plane, and words for it."""

    axis: str
    at: float
    low: tuple[float, float]
    high: tuple[float, float]
    title: str
    right: str
    up: str
    region: Geometry  # what the two boards should fill


def joint_pictures(checked: Checked) -> Iterator[tuple[str, bytes]]:
    """Yield a PNG for every joint of every drawer, with a file name that holds nothing of the packet's text."""
    for number, (assembly, report) in enumerate(zip(checked.assemblies, checked.report.drawers, strict=True), 1):
        for corner, joint in zip(CORNERS, report.joints, strict=True):
            name = f"drawer-{number}-{corner.name.replace(' ', '-')}.png"
            yield name, joint_picture(assembly, report, corner, joint)


def joint_picture(assembly: Assembly, drawer: DrawerReport, corner: Corner, joint: JointReport) -> bytes:
    """Draw one joint and return it as a PNG.

    Parameters
    ----------
    assembly, drawer
        The drawer that it is of, and what was measured there.
    corner, joint
        Where it is, and what was measured of it.
    """
    ask, outside = ask_of(corner, assembly), assembly.drawer.outside
    tail, pin = (
        corner.near(corner.into(placed(assembly.carved[part], assembly.entries[part]), outside), ask.tail_mm, ask.pin_mm)
        for part in (corner.tail_part, corner.pin_part)
    )
    views = _views(ask, tail, pin, corner)
    tall = min(10.0, max(5.2, 2.6 + ask.height_mm / 22.0))
    figure = Figure(figsize=(11.0, tall), dpi=_DPI, facecolor="white")
    FigureCanvasAgg(figure)
    grid = figure.add_gridspec(1, 3, width_ratios=(0.9, 0.8, 1.5), left=0.06, right=0.98, top=0.84, bottom=0.14, wspace=0.16)
    right = grid[0, 2].subgridspec(2, 2, hspace=0.5, wspace=0.3)
    axes = [figure.add_subplot(place) for place in (grid[0, 0], grid[0, 1], right[0, 0], right[0, 1])]
    worst_axis, worst, words = _worst(joint, corner, outside)
    for view, axes_of in zip(views, axes, strict=True):
        _draw(axes_of, view, tail, pin)
        if view.axis == worst_axis:
            a, b = _in_plane(worst_axis, worst)
            if view.low[0] <= a <= view.high[0] and view.low[1] <= b <= view.high[1] and abs(view.at - worst["xyz".index(view.axis)]) < 1.0:
                axes_of.add_patch(Circle((a, b), 0.02 * (view.high[1] - view.low[1]), fill=False, lw=1.6, color=MARK))
    region = next(view.region for view in views if view.axis == worst_axis)
    _enlarge(figure.add_subplot(right[1, :]), worst_axis, worst, (tail, pin, region), words)
    title = f"Drawer {_plain(drawer.id)}, {corner.name} joint"
    figure.suptitle(title, x=0.06, y=0.97, ha="left", fontsize=13, fontweight="bold")
    figure.text(0.06, 0.9, _verdict(joint, ask), fontsize=9)
    _legend(figure, corner)
    out = io.BytesIO()
    figure.savefig(out, format="png", metadata={"Software": None})
    return out.getvalue()


def _plain(text: str) -> str:
    """Return text that is neither mathematics nor control characters to the picture's writer."""
    return "".join(char if char.isascii() and char.isprintable() else "?" for char in text[:60]).replace("$", r"\$")


def _views(ask: Ask, tail: Manifold, pin: Manifold, corner: Corner) -> tuple[_View, _View, _View, _View]:
    high, beside = ask.height_mm, 4.0
    far_x, far_y = ask.tail_mm + beside, ask.pin_mm + beside
    lower = lower_edge_mm(pin)
    other = corner.pin_part
    deep = ask.end_mm + 0.25 * (ask.pin_mm - ask.end_mm) if ask.half_blind else SKIN_MM
    tall = "up from the lower edge, mm"
    face = _View(
        "x", SKIN_MM, (-1.5, -2.0), (far_y, high + 2.0), "The side's outside face", f"from the {other}'s outside face, mm", tall,
        shapely.box(0.0, 0.0, ask.pin_mm, high),
    )  # fmt: skip
    title = "Section across the tails" if ask.half_blind else "The back's outside face"
    across = _View(
        "y", deep, (-1.5, -2.0), (far_x, high + 2.0), title, "from the side's outside face, mm", tall,
        shapely.box(0.0, lower, ask.tail_mm, high),
    )  # fmt: skip
    cut = section(tail, "x", SKIN_MM)
    tails = [run for run in cut.runs(1, (ask.end_mm + ask.pin_mm) / 2) if run.high > lower] or cut.runs(1, far_y)
    pins = section(pin, "x", SKIN_MM).runs(1, ask.end_mm + SKIN_MM)
    heights = [(runs[len(runs) // 2].low + runs[len(runs) // 2].high) / 2 if runs else high / 2 for runs in (tails, pins)]
    plans = [
        _View(
            "z", at, (-1.5, -1.5), (far_x, far_y), f"Level, through a {name}", "from the side's outside, mm",
            f"from the {other}'s outside, mm", shapely.box(0.0, 0.0, ask.tail_mm, ask.pin_mm),
        )
        for name, at in zip(("tail", "pin"), heights, strict=True)
    ]  # fmt: skip
    return face, across, plans[0], plans[1]


def _draw(axes: Axes, view: _View, tail: Manifold, pin: Manifold) -> None:
    _paint(axes, view.axis, view.at, shapely.box(*view.low, *view.high), (tail, pin, view.region), edged=True)
    axes.set(xlim=(view.low[0], view.high[0]), ylim=(view.low[1], view.high[1]), aspect="equal")
    axes.set_title(view.title, fontsize=9)
    axes.set_xlabel(view.right, fontsize=7.5)
    axes.set_ylabel(view.up, fontsize=7.5)
    axes.tick_params(labelsize=7)


def _paint(axes: Axes, axis: str, at: float, frame: Geometry, joint: tuple[Manifold, Manifold, Geometry], *, edged: bool = False) -> None:
    """Fill what both boards, the gap between them and their overlap cover of a frame; ``edged`` makes what is narrow wide enough to see."""
    tail, pin, region = joint
    of_tail, of_pin = (section(solid, axis, at).area().intersection(frame) for solid in (tail, pin))
    _fill(axes, of_tail, TAIL)
    _fill(axes, of_pin, PIN)
    gap, overlap = region.intersection(frame).difference(shapely.union(of_tail, of_pin)), of_tail.intersection(of_pin)
    for area, colour, width in ((gap, GAP, 0.8), (overlap, OVERLAP, 1.2)):
        if edged:
            _fill(axes, area.buffer(-0.001).buffer(0.001), colour, colour, width)
        else:
            _fill(axes, area, colour)


def _enlarge(axes: Axes, axis: str, place: tuple[float, float, float], joint: tuple[Manifold, Manifold, Geometry], words: str) -> None:
    a, b = _in_plane(axis, place)
    half = _ZOOM_MM / 2
    axes.set_facecolor("white")
    _paint(axes, axis, place["xyz".index(axis)], shapely.box(a - 1.9 * half, b - half, a + 1.9 * half, b + half), joint)
    axes.plot([a - 1.75 * half, a - 1.75 * half + 0.1], [b - 0.85 * half] * 2, color=MARK, lw=2.5, solid_capstyle="butt")
    axes.text(a - 1.75 * half, b - 0.78 * half, mm(0.1), fontsize=7, va="bottom")
    axes.add_patch(Circle((a, b), 0.09, fill=False, lw=1.4, color=MARK))
    axes.set(xlim=(a - 1.9 * half, a + 1.9 * half), ylim=(b - half, b + half), aspect="equal", xticks=[], yticks=[])
    axes.set_title(words, fontsize=9)


def _fill(axes: Axes, area: Geometry, colour: str, edge: str = "none", width: float = 0.0) -> None:
    """Fill an area with its holes left open."""
    vertices: list[NDArray[np.float64]] = []
    codes: list[np.uint8] = []
    for part in shapely.get_parts(area):
        if part.geom_type != "Polygon" or part.is_empty:
            continue
        for ring in (part.exterior, *part.interiors):
            points = shapely.get_coordinates(ring)
            vertices.append(points)
            codes += [Path.MOVETO, *[Path.LINETO] * (len(points) - 2), Path.CLOSEPOLY]
    if vertices:
        axes.add_patch(PathPatch(Path(np.vstack(vertices), codes), facecolor=colour, edgecolor=edge, lw=width))


def _in_plane(axis: str, place: tuple[float, float, float]) -> tuple[float, float]:
    x, y, z = place
    return {"x": (y, z), "y": (x, z), "z": (x, y)}[axis]


def _worst(joint: JointReport, corner: Corner, outside: tuple[float, float, float]) -> tuple[str, tuple[float, float, float], str]:
    """Return the axis that the worst place is best seen along, the place in the corner's frame, and words."""
    overlap = joint.measured.overlap
    if overlap.depth_mm:
        return "x", corner.out(overlap.place, outside), f"Worst: {fine(overlap.depth_mm)} of overlap"
    gap = max(joint.gaps, key=lambda gap: gap.widest_mm / gap.limit_mm)
    axis = {"side face": "x", "upper edge": "z", "lower edge": "z"}.get(gap.face, "y")
    limit = f"{fine(gap.limit_mm)} allowed there"
    return (
        axis,
        corner.out(gap.place, outside),
        f"{'Worst' if gap.excess_mm > 0 else 'Nearest to its limit'}: a gap of {fine(gap.widest_mm)}, {limit}",
    )


def _verdict(joint: JointReport, ask: Ask) -> str:
    measured = joint.measured
    parts = [f"overlap {fine(measured.overlap.depth_mm)}" if measured.overlap.depth_mm else "no overlap"]
    names = ("flank", "shoulder", "free depth" if ask.half_blind else "proud")
    for name, spread in zip(names, (measured.flank, measured.shoulder, measured.tip), strict=True):
        if spread is not None:
            low, high = spread.smallest_mm + 0.0, spread.largest_mm + 0.0
            parts.append(f"{name} {bare_fine(low)} to {fine(high)}")
    parts.append(f"blocked by {mm(joint.blocked.width_mm)} of wood" if joint.blocked.width_mm else "goes home freely")
    return "   ".join(parts)


def _legend(figure: Figure, corner: Corner) -> None:
    items = ((TAIL, f"{corner.tail_part} side, tails"), (PIN, f"{corner.pin_part}, pins"), (GAP, "gap"), (OVERLAP, "overlap"))
    for index, (colour, words) in enumerate(items):
        left = 0.06 + 0.17 * index
        figure.add_artist(Rectangle((left, 0.025), 0.018, 0.022, transform=figure.transFigure, facecolor=colour, edgecolor="black", lw=0.5))
        figure.text(left + 0.024, 0.036, words, fontsize=8.5, va="center")
    figure.text(0.98, 0.036, "All panels to scale; ring: the place enlarged", fontsize=8.5, ha="right", va="center")
