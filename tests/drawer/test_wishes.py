"""Wishes for the joints of the specimen chest, as a maker writes them: what is given is kept, and the rest makes the best of it."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from camtools.drawer import drawers_of
from camtools.drawer.boards import Drawer, Tail
from camtools.faults import CannotCut
from camtools.job import read_job

CHEST = (Path(__file__).parent.parent.parent / "samples" / "specimen-chest.toml").read_text()


def chest(tmp_path: Path, joints: str = "", *, own: str = "", of: str = "Pressed sheets") -> tuple[Drawer, ...]:
    """Return the drawers of the sample with these keys in its joints, and others with one drawer."""
    text = CHEST.replace("[joints]", f"[joints]\n{joints}", 1).replace(f'name = "{of}"', f'name = "{of}"\n{own}', 1)
    path = tmp_path / "job.toml"
    path.write_text(text)
    job, _ = read_job(path)
    return drawers_of(job)


def tails_of(drawer: Drawer) -> tuple[Tail, ...]:
    assert drawer.left.piece.half_blind
    return drawer.left.piece.half_blind.tails


def numbers(drawers: tuple[Drawer, ...]) -> list[int]:
    return [len(tails_of(drawer)) for drawer in drawers]


@pytest.mark.parametrize("style", ["standard", "spaced", "swelling", "even"])
@pytest.mark.parametrize("pin", [12.0, 15.0])
def test_wide_pins_leave_no_drawer_with_a_single_tail(tmp_path: Path, pin: float, style: str) -> None:
    text = CHEST.replace('style = "standard"', f'style = "{style}"')
    assert text != CHEST or style == "standard"
    path = tmp_path / "job.toml"
    path.write_text(text.replace("[joints]", f"[joints]\npin = {pin}", 1))
    drawers = drawers_of(read_job(path)[0])
    assert min(numbers(drawers)) >= 2
    for drawer in drawers:
        assert min(b.low_mm - a.high_mm for a, b in pairwise(tails_of(drawer))) == pytest.approx(pin)


@pytest.mark.parametrize(
    ("joints", "count"),
    [("pin = 12\ntails = 2", [2] * 7), ("pin = 12\ntail = 19.5", None), ("half_pin = 9", None), ("tails = 2", [2] * 7)],
)
def test_what_is_asked_for_together_is_kept_together(tmp_path: Path, joints: str, count: list[int] | None) -> None:
    drawers = chest(tmp_path, joints)
    assert count in (None, numbers(drawers))
    for drawer in drawers:
        tails = tails_of(drawer)
        if "pin = 12" in joints.splitlines():
            assert min(b.low_mm - a.high_mm for a, b in pairwise(tails)) == pytest.approx(12.0)
        if "tail = 19.5" in joints:
            assert tails[0].width_mm == pytest.approx(19.5)
        if "half_pin = 9" in joints:
            assert tails[0].low_mm == pytest.approx(9.0)


@pytest.mark.parametrize("tail", ["", "tail = 17.5"])
def test_five_tails_are_had_where_there_is_room_for_them_with_and_without_a_width(tmp_path: Path, tail: str) -> None:
    drawers = chest(tmp_path, own=f"joints = {{ tails = 5{', ' + tail if tail else ''} }}")
    assert numbers(drawers)[5] == 5
    assert numbers(drawers)[:5] == numbers(chest(tmp_path))[:5]
    with pytest.raises(CannotCut):
        chest(tmp_path, f"tails = 5\n{tail}")  # the low drawers can not take them


def test_a_drawer_out_of_the_common_look_leaves_that_of_the_others_alone(tmp_path: Path) -> None:
    forced = chest(tmp_path, own="joints = { tail = 30 }\nfamily = false")
    assert tails_of(forced[5])[0].width_mm == pytest.approx(30.0)
    assert [tails_of(drawer) for drawer in forced[:5]] == [tails_of(drawer) for drawer in chest(tmp_path)[:5]]


def test_every_number_of_tails_is_told_with_its_widths_or_with_what_stands_in_the_way(tmp_path: Path) -> None:
    for drawer in chest(tmp_path):
        layouts = drawer.layouts
        assert [one.count for one in layouts] == list(range(1, len(layouts) + 1))
        (chosen,) = [one for one in layouts if one.chosen]
        assert chosen.tails_mm == pytest.approx([tail.width_mm for tail in tails_of(drawer)])
        assert all(one.why for one in layouts)
        for one in layouts:
            if one.half_pin_mm is not None:
                assert len(one.tails_mm) == one.count == len(one.pins_mm) + 1
                assert 2 * one.half_pin_mm + sum(one.tails_mm) + sum(one.pins_mm) == pytest.approx(drawer.outside_mm[2])
        assert layouts[-1].half_pin_mm is None
        assert "can not be cut" in layouts[-1].why
        # A tail is 12.48 mm or more with this cutter and front, a pin 6.77 mm: docs/joinery.md section 7.
        least = layouts[-1].count * 12.48 + (layouts[-1].count - 1) * 6.77 + 2 * 3.0
        assert least > drawer.outside_mm[2]
