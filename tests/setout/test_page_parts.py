"""What the page shows of a job: every key once, camtools' choices in grey, and each fault at its field."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from camtools.faults import Change
from camtools.job import form
from camtools.setout.form_lines import _DRAWN
from camtools.setout.page_parts import Picked
from camtools.setout.session import Session
from camtools.setout.setout_page import parts_of, whole_page
from tests.page.markup import Element, parsed
from tests.setout.conftest import edited, opened, write

FORMS = {
    "": form.JobForm,
    "stock": form.StockForm,
    "stock.climate": form.ClimateForm,
    "machine": form.MachineForm,
    "machine.handling": form.HandlingForm,
    "joints": form.JointForm,
    "groove": form.GrooveForm,
    "fit": form.FitForm,
    "trial": form.TrialForm,
    "templates": form.TemplatesForm,
    "boards": form.BoardsForm,
    "cutters[1]": form.CutterForm,
    "cutters[2]": form.CutterForm,
    "drawers[6]": form.DrawerForm,
    "drawers[6].stock": form.OwnStockForm,
    "drawers[6].joints": form.JointForm,
    "drawers[6].groove": form.GrooveForm,
    "drawers[6].fit": form.FitForm,
}
_TABLES = {*FORMS, "cutters", "drawers"}
_IDLE = {"cutters[1].depth_per_pass", "cutters[1].plunges", "cutters[2].angle"}  # say nothing of a cutter of its kind
_OF_JOINT = {"tails", "tail", "pin", "half_pin", "lap", "edge"}  # those of the drawer at work, or of all: one of both is shown


def page_of(session: Session, picked: Picked | None = None) -> Element:
    return parsed(whole_page(session.now, session.news, picked).encode())


def fields_of(page: Element) -> dict[str, Element]:
    """Return each field by the key it writes."""
    found = [one for one in page.all("input", "select") if "data-key" in one.attributes]
    keys = [one.attributes["data-key"] for one in found]
    assert len(keys) == len(set(keys)), "two fields write one key"
    return dict(zip(keys, found, strict=True))


def with_class(page: Element, name: str) -> list[Element]:
    return [one for one in page.all() if name in one.attributes.get("class", "").split()]


DRAWN = {  # what is written, and the part of the page in which that is said to be drawn
    "joints.style": ("even", "corners"),
    "joints.clearance": ("0.3", "corners"),
    "joints.proud": ("1", "corners"),
    "joints.rough": ("yes", ""),
    "groove.play": ("1", "corners"),
    "groove.ends": ("hidden", "corners"),
    "groove.bottom_corners": ("machine", ""),
    "fit.front": ("overlay", "elevation"),
    "fit.above": ("9", "seasons"),
    "fit.back": ("raised", "corners"),
    "family": ("no", "corners"),
}


@pytest.mark.parametrize("key", sorted(_DRAWN))
def test_what_a_field_is_said_to_do_to_the_drawings_it_does(session: Session, key: str) -> None:
    typed, part = DRAWN[key]
    before = parts_of(session.now)
    set_out = edited(session, write("drawers[1].family" if key == "family" else key, typed))
    assert set_out.faults == ()
    after = parts_of(set_out)
    changed = {name for name in ("elevation", "corner", "corners", "seasons") if before[name] != after[name]}
    assert part in changed if part else changed == set()


def test_every_key_of_a_job_file_can_be_written_on_the_page_and_has_a_label(session: Session) -> None:
    page = page_of(session, Picked(6))
    fields = fields_of(page)
    for table, model in FORMS.items():
        for name in model.model_fields:
            path = f"{table}.{name}".lstrip(".")
            if (
                path in _TABLES
                or path in ("drawers[6].opening", "drawers[6].outside")
                or (table.startswith("drawers") and name in _OF_JOINT)
            ):
                continue
            assert path in fields
    assert {f"drawers[6].opening[{axis}]" for axis in (1, 2, 3)} <= set(fields)
    labels = {one.attributes.get("for") for one in page.all("label")}
    within = {id(own) for label in page.all("label") for own in label.all("input", "select")}
    assert [key for key, one in fields.items() if one.attributes["id"] not in labels and id(one) not in within] == []


def test_no_two_things_on_the_page_have_one_id(session: Session) -> None:
    for picked in (Picked(6), Picked(1, alone=True)):
        ids = [one.attributes["id"] for one in page_of(session, picked).all() if "id" in one.attributes]
        assert sorted({one for one in ids if ids.count(one) > 1}) == []


def test_what_camtools_takes_is_grey_with_its_reason_and_becomes_the_makers_when_typed_over(session: Session) -> None:
    def clearance() -> tuple[str, str, str]:
        page = page_of(session)
        line = next(one for one in page.all("div") if one.attributes.get("id") == "line-joints-clearance")
        field = next(line.all("input"))
        return field.attributes["value"], field.attributes["placeholder"], " ".join(one.text for one in with_class(line, "why"))

    value, grey, why = clearance()
    assert (value, grey) == ("", "0.07 mm")
    assert "wood glue" in why
    edited(session, write("joints.clearance", "0,09"))
    assert clearance()[::2] == ("0.09", "")


def test_the_joint_at_work_is_told_with_what_was_chosen_for_it(session: Session) -> None:
    fields = fields_of(page_of(session, Picked(6)))
    chosen = {key: fields[key].attributes["placeholder"] for key in ("joints.tails", "joints.tail", "joints.pin", "joints.half_pin")}
    assert chosen == {"joints.tails": "4", "joints.tail": "20", "joints.pin": "7", "joints.half_pin": "6.2"}
    alone = fields_of(page_of(session, Picked(6, alone=True)))
    assert {f"drawers[6].joints.{name}" for name in ("tails", "tail", "pin", "half_pin", "lap")} <= set(alone)
    assert alone["drawers[6].joints.lap"].attributes["placeholder"] == "5"
    edited(session, write("drawers[6].joints.tails", "3"))
    assert fields_of(page_of(session, Picked(6)))["drawers[6].joints.tails"].attributes["value"] == "3"
    assert "joints.tails" in fields_of(page_of(session, Picked(5)))


SLIPS = [  # of the pen, of the unit, of the field, and what no drawer can be
    ("cutters[1].diameter", "127"),
    ("cutters[1].diameter", "0.5"),
    ("cutters[1].angle", "140"),
    ("cutters[1].angle", "-14"),
    ("cutters[1].cutting_length", "8"),
    ("cutters[1].kind", "straight"),
    ("cutters[2].diameter", "18"),
    ("cutters[2].diameter", ""),
    ("stock.front", "2"),
    ("stock.front", "6"),
    ("stock.side", "1/2"),
    ("stock.bottom", "64"),
    ("drawers[1].opening[1]", "30"),
    ("drawers[1].opening[2]", ""),
    ("drawers[1].opening[2]", "1,0"),
    ("drawers[1].opening[3]", "26"),
    ("drawers[1].name", ""),
    ("joints.tails", "40"),
    ("joints.tail", "200"),
    ("joints.pin", "200"),
    ("joints.half_pin", "200"),
    ("groove.depth", "10"),
    ("fit.side", "40"),
    ("machine.travel", "60 x 40 x 8"),
]


@pytest.fixture
def drawer(samples: Path, tmp_path: Path) -> Iterator[Session]:
    """Open the first drawer of the manual."""
    path = tmp_path / "drawer.toml"
    path.write_bytes((samples / "first-drawer.toml").read_bytes())
    session = opened(path)
    yield session
    session.close()


def told_at(session: Session, key: str) -> list[Element]:
    """Return what is told to be amiss at the field of a key."""
    lines = with_class(page_of(session), "line")
    own = [line for line in lines if any(one.attributes.get("data-key") == key for one in line.all("input", "select"))]
    return [amiss for line in own for amiss in with_class(line, "amiss")]


def first_button(amiss: Element) -> Element:
    return next(iter(amiss.all("button")))


@pytest.mark.parametrize(("key", "typed"), SLIPS)
def test_slip_is_told_at_the_field_that_was_changed_with_buttons_that_work(drawer: Session, key: str, typed: str) -> None:
    edited(drawer, write(key, typed))
    assert told_at(drawer, key)
    drawer.reckon(drawer.revision)
    for button in map(first_button, told_at(drawer, key)):
        does = button.attributes
        edited(drawer, json.loads(does["data-edit"]) if "data-edit" in does else write(does["data-key"], does["data-typed"]))
        drawer.reckon(drawer.revision)
        assert drawer.now.faults == ()
        drawer.undo(drawer.revision)
        drawer.reckon(drawer.revision)


def test_drawer_too_high_for_the_machine_is_made_lower_and_the_travel_is_left_as_it_is(drawer: Session) -> None:
    edited(drawer, write("drawers[1].opening[2]", "1300"))
    reckoned = drawer.reckon(drawer.revision).reckoned
    assert reckoned is not None
    assert [one.key for one in reckoned.faults] == ["drawers[1].opening[2]"]
    assert {change.key for change in (*reckoned.together, *reckoned.faults[0].changes)} == {"drawers[1].opening[2]"}
    assert reckoned.faults[0].back == Change("drawers[1].opening[2]", 100, as_written=True)


def test_machine_too_small_for_any_drawer_has_no_button_that_writes_its_travel(drawer: Session) -> None:
    edited(drawer, write("machine.travel", "60 x 40 x 8"))
    reckoned = drawer.reckon(drawer.revision).reckoned
    assert reckoned is not None
    changes = (*reckoned.together, *(change for one in reckoned.faults for change in one.changes))
    assert not [change for change in changes if change.key.startswith("machine.travel")]


def test_of_two_slips_each_is_taken_back_at_its_own_field(drawer: Session) -> None:
    edited(drawer, write("drawers[1].opening[3]", "26"))
    edited(drawer, write("joints.lap", "25"))
    drawer.reckon(drawer.revision)
    told = [*told_at(drawer, "drawers[1].opening[3]"), *told_at(drawer, "joints.lap")]
    assert [first_button(one).text for one in told] == ["Back to 260", "Leave it out again"]


def test_fault_of_another_field_says_of_what_it_is(drawer: Session) -> None:
    edited(drawer, write("cutters[1].kind", "straight"))
    assert told_at(drawer, "cutters[1].kind")[0].text.startswith("cutters, 1, angle: has no meaning for a straight cutter")


def test_job_that_never_could_be_cut_has_nothing_to_go_back_to(samples: Path, tmp_path: Path) -> None:
    path = tmp_path / "drawer.toml"
    path.write_bytes((samples / "first-drawer.toml").read_bytes().replace(b"260]", b"26]"))
    session = opened(path)
    edited(session, write("title", "Seeds"))
    session.reckon(session.revision)
    assert [one.back for one in session.now.faults] == [None]
    assert told_at(session, "title") == []
    session.close()


def test_size_that_is_emptied_leaves_the_others_in_their_places(session: Session) -> None:
    before = session.now.content["drawers"][0]["opening"]
    edited(session, write("drawers[1].opening[2]", ""))
    fields = fields_of(page_of(session))
    shown = [fields[f"drawers[1].opening[{axis}]"].attributes["value"] for axis in (1, 2, 3)]
    assert shown == [str(before[0]), "", str(before[2])]


def test_fault_stands_at_its_field_with_a_button_that_mends_it(session: Session) -> None:
    edited(session, write("joints.lap", "25"))
    session.reckon(session.revision)
    page = page_of(session, Picked(2))
    line = next(one for one in page.all("div") if one.attributes.get("id") == "line-joints-lap")
    (fault,) = with_class(line, "amiss")
    assert "found 25 mm" in fault.text
    (button,) = fault.all("button")
    assert button.text.startswith("Mend it: joints, lap: ")
    assert button.text.endswith("; then the job can be cut")
    edited(session, json.loads(button.attributes["data-edit"]))
    assert session.now.faults == ()
    assert [one for one in with_class(page_of(session), "amiss") if one.name == "div"] == []


def test_fault_of_a_drawer_that_is_not_at_work_leads_to_it(session: Session) -> None:
    edited(session, write("drawers[3].opening[2]", "12"))
    page = page_of(session, Picked(1))
    links = [one for one in page.all("a") if "data-find" in one.attributes]
    assert {one.attributes.get("data-drawer") for one in links} == {"3"}
    there = {one.attributes["id"] for one in page_of(session, Picked(3)).all() if "id" in one.attributes}
    assert all(any(own.startswith(one.attributes["data-find"]) for own in there) for one in links)


def test_drawing_of_a_drawer_that_can_not_be_is_as_it_last_was(session: Session) -> None:
    before = parts_of(session.now, Picked(6))["corner"]
    edited(session, write("joints.lap", "25"))
    now = parts_of(session.now, Picked(6))["corner"]
    assert "As it last was" in now
    assert before.split("</svg>")[0].strip() == now.split("</svg>")[0].strip()


def test_small_change_leaves_the_parts_that_it_does_not_touch(session: Session) -> None:
    before = parts_of(session.now)
    edited(session, write("machine.clearance", "7"))
    now = parts_of(session.now)
    assert {name for name in now if now[name] != before[name]} <= {"machine", "keeping", "lists", "choices", "work"}


def test_styles_and_counts_are_pictures_whose_buttons_write_them(session: Session) -> None:
    assert "In which style" not in parts_of(session.now)["choices"]
    session.reckon(session.revision)
    choices = parsed(parts_of(session.now, Picked(6))["choices"].encode())
    buttons = [one for one in choices.all("button") if list(one.all("svg"))]
    pressed = [(one.attributes["data-key"], one.attributes["data-typed"]) for one in buttons if one.attributes["aria-pressed"] == "true"]
    assert pressed == [("joints.tails", "4"), ("joints.style", "standard")]
    assert {one.attributes["data-typed"] for one in buttons} == {"1", "2", "3", "4", "even", "swelling", "standard", "spaced"}
    pictures = {str(list(one.all("path"))[-1].attributes["d"]) for one in buttons if one.attributes["data-key"] == "joints.style"}
    assert len(pictures) == 4


def test_lists_are_those_of_the_plan(session: Session) -> None:
    session.reckon(session.revision)
    lists = parts_of(session.now)["lists"]
    plan = session.now.reckoned and session.now.reckoned.plan
    assert plan is not None
    rows = [[cell.text for cell in row.all("td", "th")] for row in parsed(lists.encode()).all("tr")]
    off = [int(row[1]) for row in rows if len(row) == 7 and row[1].isdigit()]
    assert sum(off[: len({board.mark for drawer in plan.drawers for board in drawer.boards})]) == 7 * 5
    assert f"{len(plan.programs)} programs" in lists


def test_job_in_inches_is_shown_in_inches(samples: Path, tmp_path: Path) -> None:
    path = tmp_path / "cabinet.toml"
    path.write_bytes((samples / "inch-cabinet.toml").read_bytes())
    session = opened(path)
    try:
        page = whole_page(session.now, session.news)
        assert 'data-unit="in"' in page
        assert "The gap above each drawer in inches" in page
    finally:
        session.close()


def test_shop_is_taken_from_its_file_once_it_is_there(session: Session) -> None:
    assert "take shop" not in parts_of(session.now)["machine"]
    session.keep_shop()
    assert "take shop" in parts_of(session.now)["machine"]


@pytest.mark.parametrize("text", ['"><script>alert(1)</script>', "' onclick='x", "{{ 7 * 7 }}", "</svg><img src=x>"])
def test_names_with_markup_are_only_ever_text(session: Session, text: str) -> None:
    edited(session, write("drawers[1].name", text), write("title", text), write("drawers[2].row", text), write("stock.wood", text))
    session.reckon(session.revision)
    page = page_of(session)
    assert [one.attributes["src"] for one in page.all("script")] == ["own/script.js"]
    assert list(page.all("img")) == []
    assert not any(name.startswith("on") for one in page.all() for name in one.attributes)
    assert "49" not in fields_of(page)["title"].attributes["value"]


def test_chest_is_drawn_again_in_less_than_a_third_of_a_second(session: Session) -> None:
    times = []
    for lap in ("4.6", "4.7", "4.8"):
        began = time.process_time()
        parts_of(edited(session, write("joints.lap", lap)))
        times.append(time.process_time() - began)
    assert min(times) < 0.3
