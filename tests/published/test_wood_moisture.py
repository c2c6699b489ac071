"""Equilibrium moisture content against the table that the Wood Handbook made from its own equation."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from camtools.job.woods import emc_percent


def table_4_2() -> list[tuple[float, float, float]]:
    """Return relative humidity in %, temperature in deg F and moisture content in % of every cell that was confirmed."""
    lines = Path(__file__).with_name("emc.csv").read_text(encoding="utf-8").splitlines()
    rows = list(csv.reader(line for line in lines if not line.startswith("#")))
    degrees = [float(cell) for cell in rows[0][1:]]
    return [(float(row[0]), fahrenheit, float(cell)) for row in rows[1:] for fahrenheit, cell in zip(degrees, row[1:], strict=True) if cell]


def test_every_cell_of_table_4_2_comes_out_of_equation_4_5() -> None:
    # Wood Handbook FPL-GTR-190 (2010), Table 4-2, p. 4-4. It is rounded to 0.1 %; 0.07 leaves 0.02 for its own arithmetic.
    table = table_4_2()
    assert len(table) == 195
    worst = max(abs(emc_percent((fahrenheit - 32) / 1.8, humidity / 100) - percent) for humidity, fahrenheit, percent in table)
    assert worst < 0.07
    assert worst > 0.04, "a rounded table can not agree better than this with all its cells"


@pytest.mark.parametrize(("celsius", "humidity", "percent"), [(20, 0.50, 9.27), (20, 0.75, 14.45), (20, 0.85, 18.00), (5, 0.85, 18.47)])
def test_further_published_values_in_celsius_come_out(celsius: float, humidity: float, percent: float) -> None:
    # Values of Eq. (4-5) as published in deg C, rounded to 0.01 %.
    assert emc_percent(celsius, humidity) == pytest.approx(percent, abs=0.006)


@pytest.mark.parametrize(("humidity", "percent", "misprint"), [(0.65, 12.0, 11.6), (0.30, 6.2, 6.0)])
def test_known_misprints_of_the_table_are_not_followed(humidity: float, percent: float, misprint: float) -> None:
    # Copies of Table 4-2 with 11.6 % at 70 F and 65 %, or 6.0 % at 30 %, differ from the book.
    found = emc_percent((70 - 32) / 1.8, humidity)
    assert abs(found - percent) < 0.07 < abs(found - misprint)


@pytest.mark.parametrize(("celsius", "humidity"), [(-5.0, 0.5), (140.0, 0.5), (20.0, 0.99), (20.0, -0.01), (20.0, 65.0)])
def test_air_outside_the_table_is_refused(celsius: float, humidity: float) -> None:
    with pytest.raises(ValueError, match="outside"):
        emc_percent(celsius, humidity)
