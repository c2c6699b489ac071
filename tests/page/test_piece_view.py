"""The piece as the first screen shows it: drawers where the job file has them, none over another."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

from camtools.page.facts import PacketFacts
from camtools.page.names import Names
from camtools.page.piece_view import Box, PieceView, piece_view


def apart(one: Box, other: Box) -> bool:
    (x, y, wide, high), (u, v, broad, tall) = one, other
    return x + wide <= u or u + broad <= x or y + high <= v or v + tall <= y


def within(inner: Box, outer: Box) -> bool:
    (x, y, wide, high), (u, v, broad, tall) = inner, outer
    return u <= x and v <= y and x + wide <= u + broad and y + high <= v + tall


def seen(facts: PacketFacts) -> PieceView:
    view = piece_view(facts)
    assert view is not None
    whole = (0.0, 0.0, *view.size_mm)
    assert len(view.places) == sum(drawer.count for drawer in facts.manifest.drawers)
    assert all(within(place.opening, whole) for place in view.places)
    assert all(apart(one.opening, other.opening) for one, other in combinations(view.places, 2))
    return view


def test_every_drawer_has_a_place_of_its_own_with_or_without_a_plan(sample: PacketFacts) -> None:
    seen(sample)
    seen(replace(sample, names=Names()))


def test_drawers_stand_in_rows_as_the_job_file_names_them(sample: PacketFacts) -> None:
    """Of a row the upper edges lie on one line, and rows follow each other from the top; each front stands in its opening."""
    view = seen(sample)
    if not sample.names.rows:
        return
    names = {name: [place.opening for place in view.places if place.drawer == own] for name, own in view.drawers}
    rows = [[box for name in dict.fromkeys(row.drawers) for box in names[name]] for row in sample.names.rows]
    assert all(len({top for _, top, _, _ in row}) == 1 for row in rows)
    assert [row[0][1] for row in rows] == sorted(row[0][1] for row in rows)
    for row in rows:
        assert [x for x, *_ in row] == sorted(x for x, *_ in row)
    planned = sample.names.drawers
    assert all(within(place.front, place.opening) or planned[place.drawer].show_front_mm for place in view.places)


def test_a_packet_of_no_drawers_shows_no_piece(sample: PacketFacts) -> None:
    assert piece_view(replace(sample, manifest=sample.manifest.model_copy(update={"drawers": []}))) is None


def test_openings_are_as_wide_and_high_as_the_job_has_them(sample: PacketFacts) -> None:
    for place in seen(sample).places:
        planned = sample.names.drawers[place.drawer]
        asked = planned.opening_mm or {"width": planned.outside_mm["width"], "height": planned.outside_mm["height"]}
        assert place.opening[2:] == pytest.approx((asked["width"], asked["height"]))
