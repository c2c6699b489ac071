from __future__ import annotations

import re
from pathlib import Path

import pytest

from camtools.drawer.drawers import drawers_of
from camtools.job.jobfile import read_job
from camtools.setout.drawings.gaps import gaps_of

SAMPLES = Path(__file__).parents[3] / "samples"
CHEST, _ = read_job(SAMPLES / "specimen-chest.toml")
DRAWERS = drawers_of(CHEST)


def test_the_gap_goes_from_that_of_the_driest_season_to_that_of_the_dampest() -> None:
    for gap, drawer in zip(gaps_of(CHEST, DRAWERS), DRAWERS, strict=True):
        dry, now, damp = drawer.seasons
        told = [float(words) for _, words, _ in gap.steps]
        assert told == sorted(told, reverse=True)
        assert (told[0], told[-1]) == pytest.approx((dry.above_mm, damp.above_mm), abs=0.006)
        assert gap.steps[gap.now][0] == pytest.approx(now.moisture_percent, abs=0.25)
        assert not gap.binds


def test_the_gap_moves_as_a_handbook_reckons() -> None:
    """Wood Handbook (2010), Eq. (13-2): 0.00190 for beech, radial, by percent of moisture; the boards of the chest are quarter-sawn.

    The coefficient is that of American beech; European beech is known by its shrinkage, so that the figures agree in size alone.
    """
    gap = gaps_of(CHEST, DRAWERS)[-1]
    moved = float(gap.steps[0][1]) - float(gap.steps[-1][1])
    assert moved == pytest.approx(128.2 * 0.00190 * (12 - 7), rel=0.15)


def test_drawers_without_an_opening_have_no_gap_and_one_that_binds_says_so(tmp_path: Path) -> None:
    text = (SAMPLES / "first-drawer.toml").read_text(encoding="utf-8")
    (tmp_path / "outside.toml").write_text(text.replace("opening =", "outside ="), encoding="utf-8")
    (tmp_path / "tight.toml").write_text(text + 'fit = { above = 0.1 }\nstock = { sawn = "flat" }\n', encoding="utf-8")
    job, _ = read_job(tmp_path / "outside.toml")
    assert gaps_of(job, drawers_of(job)) == ()
    tight, _ = read_job(tmp_path / "tight.toml")
    (gap,) = gaps_of(tight, drawers_of(tight))
    assert gap.binds


def test_the_picture_stands_at_today_and_moves_by_the_steps() -> None:
    for gap in gaps_of(CHEST, DRAWERS):
        moved = re.search(r'class="top" transform="translate\(0 ([0-9.]+)\)"', gap.picture)
        assert moved
        assert float(moved[1]) == gap.steps[gap.now][2]
    tops = [(float(words), down) for gap in gaps_of(CHEST, DRAWERS) for _, words, down in gap.steps]
    assert len({round(down / words, 0) for words, down in tops}) == 1  # one scale for all
