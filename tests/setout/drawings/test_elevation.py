from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest

from camtools.drawer.drawers import drawers_of
from camtools.job.jobfile import read_job
from camtools.setout.drawings.elevation import Front, elevation_of
from tests.output.test_comments import HOSTILE
from tests.setout.drawings.svg_parts import Box, box_of, tree_of

SAMPLES = Path(__file__).parents[3] / "samples"
CHEST, _ = read_job(SAMPLES / "specimen-chest.toml")
DRAWERS = drawers_of(CHEST)
FRONTS = [
    Front(number, wish.name, wish.row or "", wish.count, drawer, amiss=False)
    for number, (wish, drawer) in enumerate(zip(CHEST.drawers, DRAWERS, strict=True), 1)
]


def boxes(picture: str) -> dict[str, list[Box]]:
    """Return the box of each opening, by its drawer's number: the last thing in it is what is touched."""
    found: dict[str, list[Box]] = {}
    for link in tree_of(picture).iter("a"):
        found.setdefault(link.attrib["data-drawer"], []).append(box_of([link.findall("path")[-1]]))
    return found


def test_every_drawer_stands_in_its_opening_at_one_scale() -> None:
    """The case as ``samples/specimen-chest.toml`` tells it: 858 mm wide inside, openings of 280 x 60, 420 x 90 and so on."""
    found = {int(number): box for number, (box,) in boxes(elevation_of("Chest", FRONTS)).items()}
    assert list(found) == [1, 2, 3, 4, 5, 6, 7]
    px = (found[7][2] - found[6][0]) / 858
    for front in FRONTS:
        left, top, right, bottom = found[front.number]
        wide, high, _ = CHEST.drawers[front.number - 1].opening_mm or pytest.fail("the chest tells its openings")
        assert ((right - left) / px, (bottom - top) / px) == pytest.approx((wide, high), abs=0.4)
    assert found[1][1] == found[3][1] < found[4][1] == found[5][1] < found[6][1]
    assert all(a[2] <= b[0] + 0.2 or b[2] <= a[0] + 0.2 or a[3] <= b[1] or b[3] <= a[1] for a, b in combinations(found.values(), 2))


def test_copies_have_openings_of_their_own_and_lead_to_the_same_drawer() -> None:
    found = boxes(elevation_of("Chest", [replace(FRONTS[0], count=3), *FRONTS[3:]]))
    assert {number: len(own) for number, own in found.items()} == {"1": 3, "4": 1, "5": 1, "6": 1, "7": 1}


def test_the_drawer_at_work_is_framed_and_one_that_can_not_be_is_told_apart() -> None:
    picture = tree_of(elevation_of("Chest", [FRONTS[0], replace(FRONTS[1], amiss=True), *FRONTS[2:]], picked=3))
    kinds = {link.attrib["data-drawer"]: link.attrib["class"].split() for link in picture.iter("a")}
    assert [number for number, kind in kinds.items() if "picked" in kind] == ["3"]
    assert [number for number, kind in kinds.items() if "amiss" in kind] == ["2"]


def test_a_drawer_that_never_could_be_worked_out_is_there_all_the_same() -> None:
    picture = elevation_of("Chest", [*FRONTS, Front(8, "Roots", "lower", 1, None, amiss=True)])
    assert ">Roots</text>" in picture
    assert ">not known yet</text>" in picture
    assert len(boxes(picture)["8"]) == 1
    assert "not known yet" in elevation_of("New", [Front(1, "Roots", "", 1, None, amiss=True)])


def test_fifty_drawers_and_wide_pieces_stay_within_the_paper() -> None:
    fronts = [replace(FRONTS[place % 7], number=place + 1, row="") for place in range(50)]
    picture = tree_of(elevation_of("Chest", fronts))
    wide, high = float(picture.attrib["width"]), float(picture.attrib["height"])
    assert wide <= 748
    for own in boxes(elevation_of("Chest", fronts)).values():
        for left, top, right, bottom in own:
            assert 0 <= left < right <= wide
            assert 0 <= top < bottom <= high


@pytest.mark.parametrize("text", HOSTILE)
def test_text_of_the_job_is_only_ever_text(text: str) -> None:
    picture = tree_of(elevation_of(text, [replace(FRONTS[0], name=text, row=text), *FRONTS[1:]], picked=1))
    assert {element.tag for element in picture.iter()} == {"svg", "a", "g", "path", "text"}


def test_no_letter_is_smaller_than_eleven_px() -> None:
    sizes = re.findall(r'font-size="([0-9.]+)"', elevation_of("Chest", FRONTS))
    assert min(map(float, sizes)) >= 11
