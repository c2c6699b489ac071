"""Stock to prepare, against sums by hand."""

from __future__ import annotations

from typing import Any

import pytest

from camtools.drawer import drawers_of
from camtools.job import read_job
from camtools.output.stock_list import RoughStock, front_rows_of, rough_mm, rough_stock_of
from camtools.resources import samples
from camtools.wording import told_in
from tests.job.jobs import read
from tests.specimens import STOCK

SPARE = {"stock.spare_length": 30, "stock.spare_width": 8, "stock.spare_thickness": 4, "stock.kerf": 2}


def worked_out(values: dict[str, Any]):
    job, _ = read({"drawers.0.opening": None, "drawers.0.outside": [300, 100, 320], "joints.lap": 5, "joints.proud": 0.5} | values)
    return job, drawers_of(job)


def test_a_board_is_sawn_longer_wider_and_thicker_and_a_sheet_to_size() -> None:
    assert rough_mm(STOCK, "Oak, European", (300.0, 100.0, 20.0)) == (325.0, 106.0, 25.0)
    assert rough_mm(STOCK, "plywood", (300.0, 100.0, 6.4)) == (303.0, 103.0, 6.4)


def test_wood_is_summed_by_kind_and_thickness_with_all_drawers_of_a_kind() -> None:
    job, drawers = worked_out(SPARE | {"stock.wood": "oak", "stock.side_wood": "pine", "drawers.0.count": 3})
    front, side, sheet = (next(one for one in rough_stock_of(job, drawers) if one.wood.startswith(name)) for name in ("Oak", "Pine", "ply"))
    back = rough_stock_of(job, drawers)[1]
    assert (front.wood, front.sawn, front.rough_mm, front.thickness_mm, front.pieces) == ("Oak, European", "flat", 24, 20, 3)
    assert front.length_mm == pytest.approx(3 * 330)
    assert front.area_m2 == pytest.approx(3 * 0.330 * 0.108)
    assert front.volume_m3 == pytest.approx(3 * 0.330 * 0.108 * 0.024)
    assert (back.wood, back.rough_mm, back.pieces) == ("Oak, European", 16, 3)
    assert back.length_mm == pytest.approx(3 * (301 + 30))
    assert (side.wood, side.pieces) == ("Pine, Scots", 6)
    assert side.length_mm == pytest.approx(6 * (320 - 5 + 0.5 + 30))
    assert (sheet.sawn, sheet.rough_mm, sheet.pieces) == ("", 6.4, 3)


def test_a_front_laid_over_counts_as_wood_too() -> None:
    plain, overlaid = (rough_stock_of(*worked_out({"fit.front": front}))[0] for front in ("inset", "overlay"))
    assert (plain.pieces, overlaid.pieces) == (1, 2)


def test_the_board_of_a_row_is_as_long_as_its_fronts_the_cuts_between_them_and_the_spare() -> None:
    more = {"name": "Mosses", "outside": [200, 80, 320], "count": 2, "row": "upper"}
    alone = {"name": "Ferns", "outside": [200, 80, 320]}
    job, drawers = worked_out(SPARE | {"drawers.0.row": "upper", "drawers.1": more, "drawers.2": alone})
    (row,) = front_rows_of(job, drawers)
    assert row.size_mm == pytest.approx((300 + 200 + 200 + 2 * 2 + 30, 100 + 8, 20 + 4))
    assert row.drawers == ("Seeds", "Mosses", "Mosses")
    assert row.fronts == ("front-1", "front-2", "front-2")


def test_rows_of_the_specimen_chest_are_those_of_its_case() -> None:
    job, _ = read_job(samples() / "specimen-chest.toml")
    rows = front_rows_of(job, drawers_of(job))
    assert [(row.name, len(row.fronts)) for row in rows] == [("upper", 3), ("middle", 2), ("lower", 2)]
    for row in rows:  # the case is 858 mm wide inside; partitions and clearances give way to the saw and the spare
        assert row.size_mm[0] == pytest.approx(858, abs=25)


def test_in_inches_wood_is_told_in_feet_and_board_feet() -> None:
    """A board foot is 144 cubic inches; an inch is 25.4 mm: NIST SP 811, appendix B.6. 4 pieces of 5/4 by 6 in, 3 ft long, are 7.5."""
    boards = RoughStock("Oak, European", "flat", 31.75, 25.4, 4, 4 * 914.4, 4 * 0.9144 * 0.1524, 4 * 0.9144 * 0.1524 * 0.03175)
    with told_in("in"):
        assert boards.cells == (
            "Oak, European, flat-sawn",
            '1\N{NO-BREAK SPACE}1/4"',
            '1"',
            "4",
            "12.0 ft",
            "6.00 sq ft",
            "7.50 board feet",
        )
    assert boards.cells[1:] == ("31.75 mm", "25.4 mm", "4", "3.66 m", "0.557 m²", "0.0177 m³")
