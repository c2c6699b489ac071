"""Sheets of random jobs, each told by its seed, and what is amiss on a sheet: words over words, lines through words, items off paper."""

from __future__ import annotations

import random
from collections.abc import Iterator

import shapely

from camtools.drawer.drawers import drawers_of
from camtools.drawings import sheets_of
from camtools.drawings.sheet import Sheet, SheetLine, SheetText
from camtools.faults import CamtoolsError
from camtools.job.jobfile import parse_job
from camtools.templates.outlines import flattened
from camtools.wording import told_in

__all__ = ["amiss_in_random_job", "amiss_on"]

_EDGE_MM = 7.0
_TOUCH_MM = 0.05


def _random_job(draw: random.Random) -> str:
    units = draw.choice(["mm", "mm", "in"])
    diameter, angle, length = draw.choice(
        [(12.7, 8, 22), (12.7, 14, 19), (15.875, 7, 22), (15.875, 14, 25), (19.05, 7, 22), (19.05, 14, 25)]
    )
    front, side, back = (round(draw.uniform(low, high), 1) for low, high in ((16, 25), (10, 16), (10, 16)))
    drawers = "".join(
        f'[[drawers]]\nname = "{"No. " + str(place) if place else "A drawer of " + "great " * draw.randint(0, 9) + "length"}"\n'
        f'outside = ["{draw.randint(90, 900)} mm", "{draw.randint(45, 320)} mm", "{draw.randint(120, 600)} mm"]\n'
        for place in range(draw.randint(1, 2))
    )
    return f"""title = "Random"
units = "{units}"
[stock]
front = "{front} mm"
side = "{side} mm"
back = "{back} mm"
bottom = "{draw.choice([4, 6.4, 9])} mm"
wood = "oak"
[[cutters]]
kind = "dovetail"
diameter = "{diameter} mm"
angle = {angle}
cutting_length = "{length} mm"
[[cutters]]
kind = "straight"
diameter = "{draw.choice([4, 5, 6])} mm"
cutting_length = "25 mm"
[machine]
{draw.choice(["", "", 'holds = ["flat"]'])}
[groove]
ends = "{draw.choice(["stopped", "hidden"])}"
[fit]
back = "{draw.choice(["full", "raised"])}"
{drawers}"""


def amiss_in_random_job(seed: int) -> list[str] | None:
    """Return what is amiss on the sheets of a random job; None where the job is refused."""
    try:
        job, _ = parse_job(_random_job(random.Random(seed)), "random")
        with told_in(job.units):
            return [f"{seed}: {text}" for sheet in sheets_of(job, drawers_of(job)) for text in amiss_on(sheet)]
    except CamtoolsError:
        return None


def amiss_on(sheet: Sheet) -> Iterator[str]:
    """Yield what is amiss on a sheet."""
    words = [item for item in sheet.items if isinstance(item, SheetText) and item.text]
    boxes = [shapely.box(*item.bounds_mm).buffer(-_TOUCH_MM / 2) for item in words]
    tree = shapely.STRtree(boxes)
    for i, j in tree.query(boxes, predicate="intersects").T.tolist():
        if i < j:
            yield f"{sheet.stem}: {words[i].text!r} lies on {words[j].text!r}"
    room = shapely.box(_EDGE_MM, _EDGE_MM, sheet.width_mm - _EDGE_MM, sheet.height_mm - _EDGE_MM)
    for item in sheet.items:
        if not room.covers(shapely.box(*item.bounds_mm)):
            yield f"{sheet.stem}: {item} is off the paper"
    lines = [item for item in sheet.items if isinstance(item, SheetLine) and item.pen is not None and not item.fill]
    drawn = [shapely.LineString(_ring(line)) for line in lines]
    for i, j in tree.query(drawn, predicate="intersects").T.tolist():
        yield f"{sheet.stem}: {words[j].text!r} is struck through by {lines[i].pen}"


def _ring(line: SheetLine) -> list[tuple[float, float]]:
    points = flattened(line.vertices, closed=line.closed)
    return [*points, *(points[:1] if line.closed else ())]
