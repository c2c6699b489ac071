"""What camtools chooses never stands in the way: where sizes and cutters alone are refused, no other choice would have done."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from camtools.drawer import drawers_of
from camtools.faults import CamtoolsError
from tests.job.jobs import read

DOVETAILS = ((6.35, 8.0), (8.0, 7.0), (9.5, 9.0), (9.5, 14.0), (12.7, 7.0), (12.7, 14.0), (19.0, 7.0), (19.0, 14.0))


def _can(content: dict[str, object]) -> bool:
    try:
        job, _ = read(content)
        drawers_of(job)
    except CamtoolsError:
        return False
    return True


def _tenths(low: int, high: int) -> st.SearchStrategy[float]:
    return st.integers(low * 10, high * 10).map(lambda tenths: tenths / 10)


@st.composite
def _jobs(draw: st.DrawFn) -> dict[str, object]:
    """Sizes and cutters, and what changes the kind of drawer."""
    diameter, angle = draw(st.sampled_from(DOVETAILS))
    edge = min(draw(st.sampled_from((12.0, 16.0, 20.0, 25.0))), math.floor((diameter - 2) * 5 / math.tan(math.radians(angle))) / 10)
    straights = draw(st.lists(st.sampled_from((3.0, 4.0, 5.0, 6.0, 6.35)), min_size=1, max_size=2, unique=True))
    content: dict[str, object] = {
        "stock.front": draw(_tenths(12, 28)),
        "stock.side": draw(_tenths(6, 20)),
        "stock.bottom": draw(st.sampled_from((3.2, 4.1, 6.2, 6.4, 9.0, 12.0))),
        "stock.bottom_kind": draw(st.sampled_from(("plywood", "plywood", "solid"))),
        "cutters": [{"kind": "dovetail", "diameter": diameter, "angle": angle, "cutting_length": edge}]
        + [{"kind": "straight", "diameter": straight, "cutting_length": draw(_tenths(10, 24))} for straight in straights],
        "fit.back": draw(st.sampled_from(("full", "full", "raised"))),
        "groove.ends": draw(st.sampled_from(("stopped", "stopped", "hidden"))),
        "drawers.0.opening": [draw(st.integers(150, 600)), draw(st.integers(40, 250)), draw(st.integers(150, 500))],
    }
    if draw(st.booleans()):
        content["stock.back"] = draw(_tenths(6, 20))
    return content


@settings(max_examples=100)
@given(content=_jobs(), seed=st.integers(0, 2**32))
def test_where_sizes_and_cutters_are_refused_no_choice_of_what_was_left_out_would_have_worked(content: dict, seed: int) -> None:
    assume(not _can(content))
    dice = random.Random(seed)
    front, tools = content["stock.front"], range(2, len(content["cutters"]) + 1)
    within = {
        "joints.lap": [round(front * share, 2) for share in (0.2, 0.22, 0.25, 0.28, 0.3, 0.333) if front * share >= 3],
        "joints.free_depth": [0.2, 0.3],
        "joints.proud": [0.0, 0.1, 0.3],
        "joints.straight": list(tools),
        "groove.cutter": list(tools),
        "groove.depth": [1.9, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0],
        "groove.edge": [5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0],
        "groove.play": [0.1, 0.15, 0.2, 0.3],
    }
    for _ in range(40):
        others = {key: dice.choice(values) for key, values in within.items() if values}
        assert not _can(content | others), others


@pytest.mark.parametrize(
    ("content", "key", "value"),
    [
        ({"stock.side": 8.7, "stock.bottom_kind": "solid", "drawers.0.opening": [384, 167, 424]}, "groove.depth", "5.7 mm"),
        ({"stock.back": 15.8}, "joints.proud", "0.2 mm"),
        ({"stock.front": 22.0}, "joints.lap", "6.2 mm"),
        ({"cutters.1.diameter": 6.6}, "groove.play", "0.2 mm"),
        ({"cutters.2": {"kind": "straight", "diameter": 5.0, "cutting_length": 3.2}, "groove.cutter": 3}, "groove.depth", "3.2 mm"),
    ],
)
def test_what_is_usual_gives_way_to_what_can_be_cut(content: dict, key: str, value: str) -> None:
    _, defaults = read(content)
    assert defaults[key].value == value


def test_of_several_dovetail_cutters_the_first_that_suits_the_boards_is_taken() -> None:
    blunt = {"kind": "dovetail", "diameter": 19, "angle": 7, "cutting_length": 20}  # whose corners take up sides of 8 mm
    fits = {"kind": "dovetail", "diameter": 12.7, "angle": 8, "cutting_length": 20}
    straight = {"kind": "straight", "diameter": 6, "cutting_length": 22}
    for order in itertools.permutations((blunt, fits)):
        job, _ = read({"stock.side": 8, "cutters": [*order, straight]})
        assert job.cutter(job.drawers[0].joint.dovetail).diameter_mm == 12.7
