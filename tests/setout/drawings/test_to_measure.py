from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from camtools.job.form import CutterForm, FitForm, GrooveForm, MachineForm, StockForm
from camtools.job.jobfile import read_job
from camtools.setout.drawings.to_measure import cutter_measures, measures_of
from tests.setout.drawings.svg_parts import box_of, places_of, tree_of

SAMPLES = Path(__file__).parents[3] / "samples"
CHEST, _ = read_job(SAMPLES / "specimen-chest.toml")


def letters_in(picture: str) -> set[str]:
    return {text for element in tree_of(picture).iter("text") if (text := element.text or "") and len(text) == 1}


@pytest.mark.parametrize(
    ("table", "form"), [("stock", StockForm), ("groove", GrooveForm), ("fit", FitForm), ("machine", MachineForm)], ids=lambda one: str(one)
)
def test_every_letter_belongs_to_a_key_of_the_table_and_stands_in_the_picture(table: str, form: type) -> None:
    found = measures_of(table)
    assert found is not None
    assert set(found.letters) <= set(form.model_fields)  # type: ignore[attr-defined]
    assert letters_in(found.picture) == set(found.letters.values())


def test_a_cutter_is_true_to_its_values_and_tells_the_angle_of_one_flank() -> None:
    cutter = CHEST.cutters[0]
    found = cutter_measures(cutter)
    assert set(found.letters) <= set(CutterForm.model_fields)
    assert letters_in(found.picture) == set("abcdef")
    flanks = next(path for path in tree_of(found.picture).iter("path") if path.attrib["fill"] == "#a3c8e8")
    (left, low), (right, _), (neck_right, high), (neck_left, _) = places_of(flanks)
    assert math.degrees(math.atan2(right - neck_right, low - high)) == pytest.approx(14, abs=0.3)
    assert (right - left) / (low - high) == pytest.approx(12.7 / 16, rel=0.01)
    assert (neck_right - neck_left) / (right - left) == pytest.approx((12.7 - 2 * 16 * math.tan(math.radians(14))) / 12.7, rel=0.02)
    assert "14° of one flank, so the neck is 4.72 mm" in found.picture


def test_a_straight_cutter_has_no_angle_to_measure() -> None:
    found = cutter_measures(CHEST.cutters[1])
    assert letters_in(found.picture) == set(found.letters.values()) == set("acdef")


def test_a_long_cutter_and_a_thick_one_stay_on_their_paper() -> None:
    slim, thick = CHEST.cutters[1], CHEST.cutters[0]
    for cutter in (replace(thick, stick_out_mm=200), replace(thick, diameter_mm=50), replace(slim, holder_mm=120)):
        picture = tree_of(cutter_measures(cutter).picture)
        straight = [path for path in picture.iter("path") if "a10" not in path.attrib["d"]]  # no ring round a letter
        left, top, right, bottom = box_of(straight)
        assert min(left, top) >= -1
        assert right <= float(picture.attrib["width"]) + 1
        assert bottom <= float(picture.attrib["height"]) + 1
