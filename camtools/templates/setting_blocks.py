"""Setting blocks: gauges that stand on the router's base or table and touch the cutter's tip when it is set right."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from camtools.templates.outlines import Outline, rectangle
from camtools.templates.plates import Engraving, Plate

__all__ = ["Depth", "blocks_of", "edge_strip", "merged"]

_FOOT_MM = 14.0
_BAR_MM = 16.0
_SAME_MM = 0.005  # nearer depths are one depth


@dataclass(frozen=True, slots=True)
class Depth:
    """How far a cutter's tip stands out below the router's base, for what."""

    height_mm: float
    opening_mm: float  # what the block must span: the bush or the cutter
    use: str


def merged(depths: Iterable[Depth]) -> list[tuple[Depth, tuple[str, ...]]]:
    """Return each height once, with the widest opening and every use: one setting serves them all."""
    groups: list[list[Depth]] = []
    for depth in sorted(depths, key=lambda depth: depth.height_mm):
        if groups and depth.height_mm - groups[-1][0].height_mm <= _SAME_MM:
            groups[-1].append(depth)
        else:
            groups.append([depth])
    return [
        (
            Depth(group[0].height_mm, max(depth.opening_mm for depth in group), group[0].use),
            tuple(dict.fromkeys(depth.use for depth in group)),
        )
        for group in groups
    ]


def blocks_of(depths: Sequence[Depth]) -> list[Plate]:
    """Return a block for each height: two feet and a bar between them that the tip touches.

    The step is measured along one direction of the same outline, so that the kerf moves both its faces alike and the depth
    comes out right whatever the kerf.
    """
    plates = []
    for i, (depth, _) in enumerate(merged(depths), 1):
        span = depth.opening_mm + 8.0
        whole, height = span + 2 * _FOOT_MM, depth.height_mm
        outline = Outline(
            (
                (0.0, 0.0, 0.0),
                (_FOOT_MM, 0.0, 0.0),
                (_FOOT_MM, height, 0.0),
                (_FOOT_MM + span, height, 0.0),
                (_FOOT_MM + span, 0.0, 0.0),
                (whole, 0.0, 0.0),
                (whole, height + _BAR_MM, 0.0),
                (0.0, height + _BAR_MM, 0.0),
            )
        )
        labels = (Engraving(f"B{i}  {height:.2f}", whole / 2, height + _BAR_MM / 2, 4.0),)
        plates.append(Plate(f"B{i}", outline, labels=labels))
    return plates


def edge_strip(width_mm: float) -> Plate:
    """Return a strip that lies between fence and cutter: as wide as a groove's near wall is from the reference edge."""
    return Plate(
        f"E {width_mm:.2f}",
        rectangle(0.0, 0.0, 90.0, width_mm),
        labels=(Engraving(f"EDGE {width_mm:.2f}", 45.0, width_mm / 2, round(min(4.0, width_mm / 2), 2)),),
    )
