"""The case that drawers stand in, from the rows that they name."""

from __future__ import annotations

from camtools.drawer.case import case_of
from camtools.drawer.drawers import drawers_of
from tests.job.jobs import read


def rows_of(*openings: tuple[str, float]):
    job, _ = read({"drawers": [{"name": f"D{i}", "row": row, "opening": [wide, 90, 300]} for i, (row, wide) in enumerate(openings)]})
    return job, drawers_of(job)


def warnings(drawers) -> list[tuple[str, str]]:
    return [(drawer.name, note.text) for drawer in drawers for note in drawer.notes if note.where == "row"]


def test_a_row_of_one_drawer_tells_the_width_of_the_case() -> None:
    job, drawers = rows_of(("a", 400), ("b", 190), ("b", 190))
    case = case_of(job, drawers)
    assert case is not None
    assert case.width_mm == 400
    assert [row.partition_mm(400) for row in case.rows] == [0, 20]
    assert warnings(drawers) == []
    thin = case_of(*rows_of(("a", 400), ("b", 130), ("b", 130), ("b", 130)))
    assert thin is not None
    assert thin.width_mm == 400


def test_partitions_that_are_all_alike_tell_the_width_of_the_case() -> None:
    """A case 600 mm wide with partitions of 12 mm: three openings of 192 mm, or two of 294 mm, in a row."""
    case = case_of(*rows_of(*[("a", 192)] * 3, *[("b", 294)] * 2))
    assert case is not None
    assert case.width_mm == 600
    assert [row.partition_mm(600) for row in case.rows] == [12, 12]
    unlike = case_of(*rows_of(*[("a", 192)] * 3, *[("b", 294)] * 2, *[("c", 300)] * 2))
    assert unlike is not None
    assert unlike.width_mm == 609


def test_rows_that_no_partitions_bring_to_one_width_are_warned_of() -> None:
    _, drawers = rows_of(("wide", 400), ("narrow", 170), ("narrow", 170))
    ((name, text),) = warnings(drawers)
    assert name == "D1"
    assert all(told in text for told in ('row "narrow"', "340 mm wide in all", "380 mm with the thickest", "400 mm"))
    _, drawers = rows_of(("wide", 400), ("wider", 199), ("wider", 199))  # 2 mm are no partition
    ((name, _),) = warnings(drawers)
    assert name == "D0"
    _, drawers = rows_of(("wide", 400), ("narrow", 180), ("narrow", 180))
    assert warnings(drawers) == []


def test_drawers_of_one_entry_stand_side_by_side_and_rows_in_the_order_they_are_named() -> None:
    job, _ = read({"drawers": [
        {"name": "A", "row": "top", "opening": [200, 90, 300], "count": 2},
        {"name": "B", "row": "low", "opening": [409, 90, 300]},
        {"name": "C", "opening": [999, 90, 300]},
    ]})  # fmt: skip
    case = case_of(job, drawers_of(job))
    assert case is not None
    assert [(row.name, [drawer.name for drawer in row.drawers]) for row in case.rows] == [("top", ["A", "A"]), ("low", ["B"])]
    assert case.width_mm == 409


def test_without_rows_there_is_no_case() -> None:
    job, _ = read({})
    assert case_of(job, drawers_of(job)) is None
