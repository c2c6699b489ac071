"""How much wood swells and shrinks with its moisture content.

Source: USDA Forest Products Laboratory, *Wood Handbook*, FPL-GTR-190 (2010) and FPL-GTR-282 (2021), chapters 4 and 13.
"""

from __future__ import annotations

from typing import Literal

from camtools.job.woods import Wood

__all__ = ["across_mm", "change_from_shrinkage_mm", "change_mm", "plywood_mm"]

LINEAR_PERCENT = (6.0, 14.0)  # Wood Handbook p. 13-17: where Eq. (13-2) holds
SATURATION_PERCENT = 30.0  # fibre saturation as Eq. (4-9) takes it; wetter wood does not swell further
PLYWOOD_PER_PERCENT = 0.0002  # at most, along or across the face grain, as quoted from the Wood Handbook


def change_mm(width_mm: float, coefficient: float, before_percent: float, after_percent: float) -> float:
    """Change of a width by the coefficient of Table 13-5. Wood Handbook Eq. (13-2), p. 13-17.

    Parameters
    ----------
    width_mm
        Before the change.
    coefficient
        Change of size for each 1 % of moisture content.
    before_percent, after_percent
        Moisture content, % of the dry mass.

    Raises
    ------
    ValueError
        Where a moisture content is outside 6 to 14 %.
    """
    _within("moisture content in %", before_percent, LINEAR_PERCENT)
    _within("moisture content in %", after_percent, LINEAR_PERCENT)
    return width_mm * coefficient * (after_percent - before_percent)


def change_from_shrinkage_mm(width_mm: float, shrinkage_percent: float, before_percent: float, after_percent: float) -> float:
    """Change of a width by the shrinkage of Table 4-3, green to ovendry. Wood Handbook Eq. (4-9), p. 13-17.

    Parameters
    ----------
    width_mm
        Before the change.
    shrinkage_percent
        From green to ovendry, % of the green size.
    before_percent, after_percent
        Moisture content, % of the dry mass.

    Raises
    ------
    ValueError
        Where a moisture content is outside 0 % to fibre saturation.
    """
    _within("moisture content in %", before_percent, (0.0, SATURATION_PERCENT))
    _within("moisture content in %", after_percent, (0.0, SATURATION_PERCENT))
    if shrinkage_percent == 0:
        return 0.0
    green = 100 * SATURATION_PERCENT / shrinkage_percent
    return width_mm * (after_percent - before_percent) / (green - SATURATION_PERCENT + before_percent)


def across_mm(width_mm: float, wood: Wood, sawn: Literal["flat", "quarter"], before_percent: float, after_percent: float) -> float:
    """Change of the width of a board of solid wood, across its grain.

    A flat-sawn board moves tangentially, a quarter-sawn one radially. Eq. (13-2) from 6 to 14 %, Eq. (4-9) beyond.

    Parameters
    ----------
    width_mm
        Before the change.
    before_percent, after_percent
        Moisture content, % of the dry mass.

    Raises
    ------
    ValueError
        Where a moisture content is outside 0 % to fibre saturation.
    """
    flat = sawn == "flat"
    if all(LINEAR_PERCENT[0] <= percent <= LINEAR_PERCENT[1] for percent in (before_percent, after_percent)):
        return change_mm(width_mm, wood.tangential_coefficient if flat else wood.radial_coefficient, before_percent, after_percent)
    shrinkage = wood.tangential_shrinkage if flat else wood.radial_shrinkage
    return change_from_shrinkage_mm(width_mm, shrinkage, before_percent, after_percent)


def plywood_mm(length_mm: float, before_percent: float, after_percent: float) -> float:
    """Change of a panel of plywood in either direction, at most."""
    return length_mm * PLYWOOD_PER_PERCENT * (after_percent - before_percent)


def _within(what: str, value: float, limits: tuple[float, float]) -> None:
    if not limits[0] <= value <= limits[1]:
        raise ValueError(f"{what} is {value:g}, outside {limits[0]:g} to {limits[1]:g}")
