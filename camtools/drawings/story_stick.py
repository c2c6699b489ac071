"""The story stick: every joint division of the family, full size, one lane a joint, all from one reference end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from camtools.drawer.boards import Drawer, Groove, HalfBlind, Through
from camtools.drawings.board_views import FIGURE_MM
from camtools.drawings.icons import edge_sign
from camtools.drawings.sheet import WASTE, Drawing, spread
from camtools.templates.letters import line_of_text
from camtools.wording import figure

__all__ = ["stick_views"]

_LANE_MM = 8.0
_APART_MM = 3.2
_LANES = 16  # of one drawing, at most, so that a sheet takes it
_SAME_MM = 0.005


@dataclass(frozen=True, slots=True)
class _Lane:
    """One division: tails at the tip plane and at the baseline, and where the bottom's groove lies."""

    width_mm: float
    tips: tuple[tuple[float, float], ...]
    bases: tuple[tuple[float, float], ...]
    groove: tuple[float, float] | None


def _lane(joint: HalfBlind | Through, groove: Groove | None) -> _Lane:
    """Return a joint's division, to a thousandth; tails that reach an edge end there."""
    depth = joint.length_mm if isinstance(joint, HalfBlind) else joint.back_mm
    shrink = depth * joint.dovetail.slope

    def spans(less: float) -> tuple[tuple[float, float], ...]:
        return tuple(
            (
                0.0 if tail.low_mm <= 0 else round(tail.low_mm + less, 3),
                joint.width_mm if tail.high_mm >= joint.width_mm else round(tail.high_mm - less, 3),
            )
            for tail in joint.tails
        )

    band = None if groove is None else (round(groove.edge_mm, 3), round(groove.edge_mm + groove.width_mm, 3))
    return _Lane(joint.width_mm, spans(0.0), spans(shrink), band)


def stick_views(drawers: Sequence[Drawer]) -> list[Drawing]:
    """Return the lanes, one below another, of many in several drawings; joints divided alike share a lane."""
    lanes: dict[_Lane, list[str]] = {}
    for drawer in drawers:
        piece = drawer.left.piece
        for joint, end in ((piece.half_blind, "front"), (piece.through, "back")):
            if joint is not None:
                lanes.setdefault(_lane(joint, piece.groove), []).append(f"{drawer.name} {end}")
    named = list(lanes.items())
    return [_view(named[first : first + _LANES]) for first in range(0, len(named), _LANES)]


def _view(lanes: Sequence[tuple[_Lane, list[str]]]) -> Drawing:
    drawing = Drawing([])
    y = 0.0
    longest = max(lane.width_mm for lane, _ in lanes)
    for lane, names in lanes:
        y -= _drawn(drawing, lane, names, y, longest)
    drawing.line([(0.0, 8.5), (0.0, y + 2.0)], "reference")
    edge_sign(drawing, (0.0, 5.0), (-1.0, 0.0))
    drawing.words("reference edge", 6.0, 5.0, 2.4, "start")
    drawing.words("top edges", longest, 5.0, 2.4, "end")
    return drawing


def _drawn(drawing: Drawing, lane: _Lane, names: Sequence[str], top: float, room: float) -> float:
    """Draw a lane downwards from ``top``; returns the height it takes."""
    drawing.words_within(max(room, 60.0), ", ".join(names), 1.5, top - 3.2, 2.2)
    high, low = top - 6.4, top - 6.4 - _LANE_MM
    half = (high + low) / 2
    edge = 0.0
    for first, last in (*lane.tips, (lane.width_mm, lane.width_mm)):
        if first > edge:
            drawing.box((edge, low), (first, high), None, WASTE)
        edge = last
    drawing.line([(0.6, high), (lane.width_mm, high), (lane.width_mm, low), (0.6, low)], "outline")
    tips, bases = ([x for span in ends for x in span if _SAME_MM < x < lane.width_mm - _SAME_MM] for ends in (lane.tips, lane.bases))
    for x in tips:
        drawing.line([(x, high), (x, low)], "outline")
    for x in bases:
        drawing.line([(x, half), (x, low)], "thin")
    if lane.groove:
        near, far = lane.groove
        drawing.line([(near, half + 0.6), (near, high - 0.6), (far, high - 0.6), (far, half + 0.6)], "hidden")
    values = [*tips, lane.width_mm]
    for x, place in zip(values, spread(values, _APART_MM), strict=True):
        drawing.line([(x, low - 0.8), (x, low - 1.8), (place, low - 4.0)], "thin")
        drawing.words(figure(x), place, low - 4.8, FIGURE_MM, "end", upright=True)
    return 6.4 + _LANE_MM + 4.8 + max(13.0, 1.0 + max(line_of_text(figure(x), FIGURE_MM)[2] for x in values))
