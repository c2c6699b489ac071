from __future__ import annotations

import ast
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import camtools.drawer.styles
from camtools.drawer.division import Measures
from camtools.drawer.styles import STYLES

MEASURES = Measures(tail_mm=24.0, pin_mm=7.0, half_pin_mm=6.0)


@given(
    name=st.sampled_from(sorted(STYLES)),
    width=st.floats(40, 400),
    count=st.integers(1, 12),
    tail=st.floats(10, 40),
    pin=st.floats(3, 20),
    half_pin=st.floats(3, 12),
)
def test_every_style_fills_the_width_symmetrically(name: str, width: float, count: int, tail: float, pin: float, half_pin: float) -> None:
    measures = Measures(tail, pin, half_pin)
    division = STYLES[name].divide(width, count, measures)
    if division is None:
        assert 2 * half_pin + (count - 1) * pin + (count * tail if STYLES[name].wider else 0) > width - 1e-6
        return
    assert division.count == count
    assert division.width_mm == pytest.approx(width)
    assert division.tails_mm == pytest.approx(division.tails_mm[::-1])
    assert division.pins_mm == pytest.approx(division.pins_mm[::-1])
    if STYLES[name].wider:
        assert min(division.tails_mm) >= tail - 1e-6
        assert min(division.pins_mm, default=pin) >= pin - 1e-6


def test_sixteen_mm_left_over_by_six_standard_tails_opens_two_mirrored_gaps_by_eight_each() -> None:
    # Common practice, no source.
    width = 6 * 24 + 5 * 7 + 2 * 6 + 16
    division = STYLES["spaced"].divide(width, 6, MEASURES)
    assert division is not None
    assert division.tails_mm == (24.0,) * 6
    assert division.pins_mm == pytest.approx((7.0, 15.0, 7.0, 15.0, 7.0))


def test_the_same_sixteen_mm_make_two_mirrored_tails_eight_wider_each() -> None:
    # Common practice, no source.
    width = 6 * 24 + 5 * 7 + 2 * 6 + 16
    division = STYLES["standard"].divide(width, 6, MEASURES)
    assert division is not None
    assert division.pins_mm == (7.0,) * 5
    assert division.tails_mm == pytest.approx((24.0, 32.0, 24.0, 24.0, 32.0, 24.0))


@pytest.mark.parametrize(("count", "wide"), [(1, (0,)), (2, (0, 1)), (3, (1,)), (4, (1, 2)), (5, (1, 3)), (6, (1, 4))])
def test_standard_tails_stay_outermost_where_there_are_others(count: int, wide: tuple[int, ...]) -> None:
    division = STYLES["standard"].divide(2 * 6 + count * 24 + (count - 1) * 7 + 10, count, MEASURES)
    assert division is not None
    assert tuple(i for i, tail in enumerate(division.tails_mm) if tail > 24) == wide


@pytest.mark.parametrize(("count", "wide"), [(2, (0,)), (3, (0, 1)), (4, (0, 2)), (5, (1, 2)), (6, (1, 3)), (7, (1, 4))])
def test_what_is_left_over_opens_two_gaps_where_there_are_two(count: int, wide: tuple[int, ...]) -> None:
    division = STYLES["spaced"].divide(2 * 6 + count * 24 + (count - 1) * 7 + 10, count, MEASURES)
    assert division is not None
    assert tuple(i for i, pin in enumerate(division.pins_mm) if pin > 7) == wide


def test_swelling_tails_grow_to_the_middle_in_equal_steps() -> None:
    division = STYLES["swelling"].divide(220, 7, MEASURES)
    assert division is not None
    steps = [after - before for before, after in zip(division.tails_mm[:3], division.tails_mm[1:4], strict=True)]
    assert min(steps) > 0
    assert steps == pytest.approx([steps[0]] * 3)
    assert division.tails_mm[3] == pytest.approx(1.6 * division.tails_mm[0])


def test_the_standard_tail_is_the_outermost_where_nothing_is_left_over() -> None:
    for style in STYLES.values():
        for count in range(1, 14):
            width = 2 * 6 + 24 * sum(style.tails(count)) + (count - 1) * 7
            division = style.divide(width, count, MEASURES)
            assert division is not None
            assert (division.tails_mm[0], division.tails_mm[-1]) == pytest.approx((24, 24))
            assert division.pins_mm == pytest.approx((7,) * (count - 1))


def test_a_style_is_one_file_and_one_line() -> None:
    folder = Path(camtools.drawer.styles.__file__).parent
    assert sorted(path.stem for path in folder.glob("*.py") if path.stem != "__init__") == sorted(STYLES)
    for path in folder.glob("*.py"):
        if path.stem != "__init__":
            imported = [node.module for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.ImportFrom)]
            assert set(imported) <= {"__future__", "collections.abc", "camtools.drawer.division"}, (
                "a style knows widths and no cutter, wood or file"
            )
