"""The gap above each drawer through the year, as many times larger as shows it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from camtools.drawer.boards import Drawer, Role
from camtools.drawer.seasons import above_mm
from camtools.job.job import DrawerWish, Job
from camtools.pictures.paper import Scale, rectangle
from camtools.setout.drawings.leaf import Leaf
from camtools.wording import aligned, unit_word

__all__ = ["GapAbove", "gaps_of"]

STEPS = 12  # of the slider, from the driest season to the dampest
_WIDE_PX, _RAIL_PX, _DEEP_PX, _DRAWER_PX = 104.0, 16.0, 78.0, 24.0  # of a picture, its rail, the widest gap and the drawer under it
_MOST_PX = 24.0  # a mm


@dataclass(frozen=True, slots=True)
class GapAbove:
    """The gap above one drawer: ``steps`` are moisture of the wood in %, the gap in words and where the drawer's top stands in px."""

    drawer: str
    picture: str  # SVG; what bears the class ``top`` is moved down by px
    steps: tuple[tuple[float, str, float], ...]
    now: int  # the step that is nearest to the day the wood is worked
    binds: bool  # in one of them


def gaps_of(job: Job, drawers: Sequence[Drawer]) -> tuple[GapAbove, ...]:
    """Return the gap above every drawer whose opening is given, all at one scale.

    Drawers stand in the order of the job's wishes.
    """
    told = [
        (drawer, wish, _steps(drawer, wish)) for wish, drawer in zip(job.drawers, drawers, strict=True) if drawer.opening_mm is not None
    ]
    widest = max((gap for _, _, steps in told for _, gap in steps), default=0.0)
    scale = min(_MOST_PX, _DEEP_PX / max(widest, 1e-6))
    found = []
    for drawer, wish, steps in told:
        now = min(range(STEPS + 1), key=lambda step: abs(steps[step][0] - wish.stock.now_percent))
        placed = tuple((round(percent, 1), aligned(gap, 2), round(gap * scale, 1)) for percent, gap in steps)
        found.append(GapAbove(drawer.name, _picture(drawer.name, placed, now), placed, now, any(gap < 0 for _, gap in steps)))
    return tuple(found)


def _steps(drawer: Drawer, wish: DrawerWish) -> list[tuple[float, float]]:
    """Return moisture in % and the gap in mm, from dry to damp."""
    assert drawer.opening_mm is not None
    heights: dict[Role, float] = {
        "front": drawer.front.piece.size_mm[1],
        "left side": max(drawer.left.piece.size_mm[1], drawer.right.piece.size_mm[1]),
        "back": drawer.back.piece.size_mm[1],
    }
    dry, damp = wish.stock.driest_percent, wish.stock.dampest_percent
    percents = [dry + (damp - dry) * step / STEPS for step in range(STEPS + 1)]
    return [(percent, above_mm(wish.stock, heights, drawer.opening_mm[1], percent)) for percent in percents]


def _picture(name: str, steps: Sequence[tuple[float, str, float]], now: int) -> str:
    high = _RAIL_PX + _DEEP_PX + _DRAWER_PX
    leaf = Leaf(round(_WIDE_PX), round(high))
    scale = Scale(1.0, (0.0, 0.0), (0.0, 0.0))
    leaf.box(scale, (10.0, 0.0), (_WIDE_PX - 20.0, high - _RAIL_PX), "paper", None)
    _, told, down = steps[now]
    with leaf.group({"class": "top", "transform": f"translate(0 {down:g})"}):  # its top stands at the rail
        leaf.fill([rectangle(10.0, -_DEEP_PX, _WIDE_PX - 10.0, high - _RAIL_PX)], "wood", "outline")
    leaf.fill([rectangle(0.5, high - _RAIL_PX, _WIDE_PX - 0.5, high - 0.5)], "wood side", "outline")
    for x in (0.5, _WIDE_PX - 9.5):
        leaf.fill([rectangle(x, 0.5, x + 9.0, high - _RAIL_PX)], "wood side", None)
    leaf.draw([[(10.0, 0.5), (10.0, high - _RAIL_PX)], [(_WIDE_PX - 10.0, 0.5), (_WIDE_PX - 10.0, high - _RAIL_PX)]], "thin")
    return leaf.markup(f"{name}: gap above it {told} {unit_word()}")
