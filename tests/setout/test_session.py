"""A job while it is set out: edits, undo, faults at their keys, and its file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from camtools.faults import Fault, JobFault, PacketFault
from camtools.setout.form_lines import lines_of, value_of
from camtools.setout.keeping import JobKeeper, file_name, keeper_of_new
from camtools.setout.session import Session, StaleRevision
from tests.setout.conftest import edited, opened, write


@pytest.mark.parametrize(
    ("key", "typed", "value"),
    [
        ("stock.front", "12,5", 12.5),
        ("stock.front", " 20 ", 20),
        ("stock.front", "3/4", "3/4"),
        ("stock.front", "1 1/2″", '1 1/2"'),
        ("stock.front", "1½ in", "1 1/2 in"),
        ("stock.front", "30 cm", "30 cm"),
        ("stock.front", "", None),
        ("drawers[1].opening", "300 x 100 × 260", [300, 100, 260]),
        ("drawers[1].opening", "300,5 x 100 x 26 cm", [300.5, 100, "26 cm"]),
        ("drawers[1].opening", "300, 100, 260", [300, 100, 260]),
        ("drawers[1].opening[2]", "61,5", 61.5),
        ("drawers[1].name", "12,5", "12,5"),
        ("cutters[1].angle", "1:6", "1:6"),
        ("machine.height_stop", "yes", True),
        ("machine.holds", "upright, flat", ["upright", "flat"]),
        ("stock.climate.now", "20 x 50", [20, 50]),
        ("joints.tails", "3", 3),
    ],
)
def test_what_people_type_is_written_as_the_schema_has_it(key: str, typed: str, value: Any) -> None:
    assert value_of(key, typed) == value


def test_fault_stands_at_its_key_and_its_remedy_mends_it(session: Session) -> None:
    seen = edited(session, write("stock.front", "3/4"))
    assert [one.key for one in seen.faults] == ["stock.front"]
    assert [one.key for line in lines_of(seen, "stock") if line.key == "stock.front" for one in line.amiss] == ["stock.front"]
    reckoned = session.reckon(session.revision)
    assert [change.value for change in reckoned.faults[0].changes] == ["3/4 in"]
    mended = edited(session, {"do": "mend", "fault": 1})
    assert mended.content["stock"]["front"] == "3/4 in"
    assert mended.faults == ()
    assert session.undo(session.revision).content["stock"]["front"] == "3/4"


def test_fault_of_one_drawer_leaves_the_others_drawn(session: Session) -> None:
    seen = edited(session, write("drawers[3].opening[2]", "6"))
    assert [one.key for one in seen.faults] == ["drawers[3].opening[2]"]
    assert sorted(seen.drawers) == [1, 2, 4, 5, 6, 7]
    assert [seen.earlier[3].name, seen.earlier[3].opening_mm] == ["Seeds", (280, 60, 360)]


def test_fault_of_the_machine_is_found_with_the_programs_and_stands_at_its_key(session: Session) -> None:
    assert edited(session, write("machine.flat_stops", "0 x 30")).faults == ()
    assert {one.key for one in session.reckon(session.revision).faults} == {"machine.flat_stops[2]"}


def test_what_is_left_out_is_told_with_its_reason(session: Session) -> None:
    lines = {line.key: line for line in lines_of(session.now, "joints")}
    assert lines["joints.lap"].written == "5"
    assert (lines["joints.free_depth"].written, lines["joints.free_depth"].taken) == ("", "0.2 mm")
    assert lines["joints.free_depth"].reason


def test_edits_are_undone_and_done_again_with_their_words(session: Session) -> None:
    before = session.now.text
    after = edited(session, write("joints.lap", "4"), write("joints.pin", "8"))
    assert after.keeping.undo == "joints.lap and more"
    undone = session.undo(session.revision)
    assert (undone.text, undone.keeping.redo) == (before, "joints.lap and more")
    assert session.redo(session.revision).text == after.text


def test_edits_of_which_one_can_not_be_done_change_nothing(session: Session) -> None:
    before = session.now
    for wrong in (write("joints.colour", "red"), write("machine.__class__", "1"), {"do": "remove", "list": "drawers", "at": 99}):
        with pytest.raises(JobFault):
            edited(session, write("joints.lap", "4"), wrong)
    assert (session.now.text, session.revision) == (before.text, before.revision)


def test_page_names_no_file_that_lies_elsewhere(session: Session) -> None:
    for key in ("boards.file", "machine.postprocessor"):
        for path in ("../mine.toml", "/etc/passwd", "sub/mine.toml", "..", "C:mine.toml", "sub\\mine.toml"):
            with pytest.raises(JobFault, match="beside the job file"):
                edited(session, write(key, path))
    assert edited(session, write("machine.postprocessor", "mine.toml")).content["machine"]["postprocessor"] == "mine.toml"


def test_edit_of_a_window_that_has_not_seen_the_last_one_is_not_done(session: Session) -> None:
    seen = session.revision
    edited(session, write("joints.lap", "4"), revision=seen)
    with pytest.raises(StaleRevision):
        edited(session, write("joints.lap", "6"), revision=seen)
    assert session.now.content["joints"]["lap"] == 4


def test_case_is_divided_into_rows_and_openings_follow(session: Session) -> None:
    rows = [["60", 3], ["9 cm", 2], ["130", 4]]
    seen = edited(session, {"do": "divide", "width": "858", "depth": "360", "partition": "9", "rows": rows})
    openings = [drawer["opening"] for drawer in seen.content["drawers"]]
    assert openings == [[280, 60, 360]] * 3 + [[424.5, 90, 360]] * 2 + [[207.75, 130, 360]] * 4
    assert [drawer["name"] for drawer in seen.content["drawers"][:3]] == ["Mosses", "Lichens", "Seeds"]
    assert seen.faults == ()


def test_case_whose_partitions_leave_no_room_is_not_divided(session: Session) -> None:
    with pytest.raises(JobFault, match="no room"):
        edited(session, {"do": "divide", "width": "100", "depth": "360", "partition": "60", "rows": [["60", 3]]})


def test_drawers_are_added_and_copied_under_names_that_are_free(session: Session) -> None:
    edited(session, {"do": "copy", "list": "drawers", "at": 1})
    seen = edited(session, {"do": "add", "list": "drawers"})
    names = [drawer["name"] for drawer in seen.content["drawers"]]
    assert names[:3] == ["Mosses", "Mosses 2", "Lichens"]
    assert len(set(names)) == len(names) == 9
    assert seen.faults == ()


def test_job_is_saved_and_the_copy_goes(session: Session, chest: Path) -> None:
    edited(session, write("joints.lap", "4"))
    assert session.copy.exists()
    session.save(session.revision)
    assert chest.read_text(encoding="utf-8") == session.now.text
    assert sorted(chest.parent.iterdir()) == sorted([chest, chest.with_name(".chest.toml.held")])


def test_file_that_was_changed_meanwhile_is_not_written_over(session: Session, chest: Path) -> None:
    edited(session, write("joints.lap", "4"))
    by_hand = chest.read_text(encoding="utf-8").replace("Mosses", "Algae")
    chest.write_text(by_hand, encoding="utf-8")
    session.look()
    assert '+name = "Mosses"' in session.now.keeping.changed_on_disk
    with pytest.raises(PacketFault, match="changed meanwhile"):
        session.save(session.revision)
    assert chest.read_text(encoding="utf-8") == by_hand
    mine = session.now.text
    assert session.settle(session.revision, take=True).text == by_hand
    assert session.undo(session.revision).text == mine
    session.save(session.revision)


def test_file_that_was_changed_can_be_left_for_another_name(session: Session, chest: Path) -> None:
    edited(session, write("joints.lap", "4"))
    chest.write_text("# another hand\n" + chest.read_text(encoding="utf-8"), encoding="utf-8")
    session.save(session.revision, "mine")
    assert chest.read_text(encoding="utf-8").startswith("# another hand\n")
    assert chest.with_name("mine.toml").read_text(encoding="utf-8") == session.now.text
    with pytest.raises(PacketFault, match="left alone"):
        session.save(session.revision, "chest.toml")


def test_what_was_not_saved_is_offered_at_the_next_start(chest: Path) -> None:
    first = opened(chest)
    text = edited(first, write("joints.lap", "4")).text
    first.close()
    second = opened(chest)
    assert "+lap = 4  # a quarter of the front" in second.now.keeping.left_over
    assert second.settle(second.revision, take=True).text == text
    second.save(second.revision)
    second.close()
    assert chest.read_text(encoding="utf-8") == text


def test_what_was_not_saved_is_not_laid_over_a_file_that_was_changed_since(chest: Path) -> None:
    first = opened(chest)
    edited(first, write("joints.lap", "4"))
    first.close()
    chest.write_text("# another hand\n" + chest.read_text(encoding="utf-8"), encoding="utf-8")
    second = opened(chest)
    second.settle(second.revision, take=True)
    with pytest.raises(PacketFault, match="changed meanwhile"):
        second.save(second.revision)
    second.close()


def test_change_that_can_not_be_kept_in_the_copy_is_not_done(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    edited(session, write("joints.lap", "4"))
    before = session.now

    def full(*_: object) -> None:
        raise PacketFault(Fault("the copy", "could not be written: no space is left"))

    with monkeypatch.context() as patched:
        patched.setattr(JobKeeper, "keep_copy", full)
        with pytest.raises(PacketFault):
            edited(session, write("joints.lap", "3"))
        assert session.now == before
    session.undo(session.revision)
    assert "lap" not in session.now.keeping.undo
    session.redo(session.revision)
    assert session.now.text == before.text


def test_job_is_set_out_once_at_a_time(session: Session, chest: Path) -> None:
    with pytest.raises(PacketFault, match="set out already"):
        opened(chest)


@pytest.mark.parametrize("name", ["../x", "a/b", "a\\b", "", ".toml", ".hidden", "con", "x.fit.toml", "<b>", "a\nb", "a" * 300])
def test_name_that_leads_elsewhere_is_refused(name: str) -> None:
    with pytest.raises(PacketFault):
        file_name(name)


def test_job_that_is_begun_bears_a_name_that_no_file_has(tmp_path: Path) -> None:
    assert keeper_of_new(tmp_path).path.name == "drawers.toml"
    (tmp_path / "drawers.toml").touch()
    keeper = keeper_of_new(tmp_path)
    assert keeper == JobKeeper(tmp_path / "drawers-2.toml")
