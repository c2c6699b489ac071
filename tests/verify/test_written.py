"""The check's own reading of a job file: units, what a drawer has of its own, and text that is no job file."""

from __future__ import annotations

import math
from typing import Any, get_args

import pytest

from camtools.job.form import CutterForm, DrawerForm, FitForm, GrooveForm, JointForm, MachineForm, OwnStockForm
from camtools.job.quantities import Quantity
from camtools.verify.written import LARGEST_JOB_BYTES, Values, written_in

JOB = """
title = " Specimen chest "
stock = {{ front = {value}, side = "1/2 in" }}
cutters = [{{ kind = "dovetail" }}, {{ number = 2, angle = "1:8" }}, {{ kind = "straight" }}]
[joints]
lap = 5
proud = 0.3
[[drawers]]
name = "Mosses"
opening = ["10 in", 60, 360]
joints = {{ lap = 4 }}
[[drawers]]
name = "Ferns"
"""


def read(value="20"):
    return written_in(JOB.format(value=value).encode())


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("19", 19.0),
        ('"19 mm"', 19.0),
        ('"1.9 cm"', 19.0),
        ('"3/4 in"', 19.05),
        ('"1 1/2 in"', 38.1),
        ('"1-1/2 inches"', 38.1),
        ("'23/32\"'", 18.25625),
        ('".5 in"', 12.7),
        ('"60 in/min"', 1524.0),
        ('"20 mm/s"', 1200.0),
        ('"1:8"', math.degrees(math.atan(1 / 8))),
        ('"14 deg"', 14.0),
        ('"even"', "even"),
        ('"1/0 in"', "1/0 in"),
        ('"5 feet"', "5 feet"),
        ("true", True),
    ],
)
def test_measure_is_read_with_its_unit(text, mm):
    """An inch is 25.4 mm: international yard and pound agreement of 1959."""
    found = read(text).drawers[0].stock["front"]
    assert found == (pytest.approx(mm, abs=1e-12) if isinstance(mm, float) else mm)
    assert type(found) is type(mm)


INCHES = """
title = "Cabinet"
units = "in"
stock = {{ {stock} }}
cutters = [{{ {cutters} }}]
machine = {{ {machine} }}
joints = {{ {joints} }}
groove = {{ {groove} }}
fit = {{ {fit} }}
[[drawers]]
name = "Folders"
opening = [14, "4", "18 in"]
count = 3
"""
FORMS = {"stock": OwnStockForm, "cutters": CutterForm, "machine": MachineForm, "joints": JointForm, "groove": GrooveForm, "fit": FitForm}


def quantities_of(form: Any) -> dict[str, str]:
    """Return the unit of each key that a bare number may stand for, nothing for a plain number."""
    units: dict[str, str] = {}
    for key, field in form.model_fields.items():
        found = [one for part in (field.annotation, *get_args(field.annotation)) for one in (*get_args(part), *field.metadata)]
        if int in found or float in found:
            units[key] = next((one.unit for one in found if isinstance(one, Quantity)), "")
    return units


def test_every_bare_number_of_a_job_in_inches_is_read_as_its_key_means_it() -> None:
    """A length, a feed or an acceleration is in inches; a number of anything else is what it is. The form has each key's unit."""
    tables = {name: ", ".join(f"{key} = 3" for key in quantities_of(form)) for name, form in FORMS.items()}
    written = written_in(INCHES.format(**tables).encode())
    drawer = written.drawers[0]
    found: dict[str, Values] = {
        "cutters": written.cutters[3], "machine": written.machine,
        **{name: getattr(drawer, name) for name in ("stock", "joints", "groove", "fit")},
    }  # fmt: skip
    for name, form in FORMS.items():
        units = quantities_of(form)
        assert len(units) > 3, name
        for key, unit in units.items():
            assert found[name][key] == pytest.approx(3 * 25.4 if unit.startswith("mm") else 3.0), (name, key)
    assert drawer.own["opening"] == pytest.approx((355.6, 101.6, 457.2))
    assert drawer.own["count"] == 3.0
    assert set(quantities_of(DrawerForm)) == {"count"}


def test_units_that_are_not_known_are_no_job() -> None:
    with pytest.raises(ValueError, match="units"):
        written_in(JOB.format(value="20").replace("stock =", 'units = "furlongs"\nstock =').encode())


def test_drawer_has_its_own_values_and_the_rest_of_the_piece():
    mosses, ferns = read().drawers
    assert (mosses.joints, ferns.joints) == ({"lap": 4.0, "proud": 0.3}, {"lap": 5.0, "proud": 0.3})
    assert mosses.own == {"opening": (254.0, 60.0, 360.0)}
    assert read().title == "Specimen chest"
    assert mosses.words == 'drawer "Mosses"'


def test_cutters_without_a_number_get_the_free_ones_in_order():
    assert [(number, cutter.get("kind")) for number, cutter in read().cutters.items()] == [(1, "dovetail"), (2, None), (3, "straight")]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"title = ",
        b"\xff\xfe",
        b'title = "no drawers"\ncutters = []',
        b'title = 1\ncutters = []\ndrawers = "none"',
        b"title = 1\ncutters = 5\ndrawers = []",
        b"title = 1\ncutters = [{number = []}]\ndrawers = []",
        b"title = 1\nstock = { front = 1" + b"0" * 400 + b" }\ncutters = []\ndrawers = []",
        b"title = 1\nx = 1" + b"0" * 5000,
        b"title = 1\nx = " + b"[" * 50_000,
        b"a." * 100_000 + b"a = 1",
        b" " * (LARGEST_JOB_BYTES + 1),
    ],
)
def test_what_is_no_job_file_raises_value_error(content):
    with pytest.raises(ValueError, match=r"."):
        written_in(content)
