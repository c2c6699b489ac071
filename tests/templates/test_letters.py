"""Letters for engraving: no stroke is burned twice, and every text can be written."""

from __future__ import annotations

import string

import pytest
from shapely import LineString
from shapely.ops import unary_union

from camtools.templates.letters import line_of_text, outline_paths, stroke_paths, stroke_width_mm

OURS = string.ascii_letters + string.digits + ".,:;-_+/()=<>'?!%&#*\"[] \N{MULTIPLICATION SIGN}\N{DEGREE SIGN}\N{PLUS-MINUS SIGN}"


def doubled(paths: list[tuple[tuple[float, float], ...]], closed: bool) -> float:
    lines = [LineString([*path, path[0]] if closed else path) for path in paths]
    return sum(line.length for line in lines) - unary_union(lines).length


@pytest.mark.parametrize("char", OURS)
def test_no_stroke_of_a_letter_lies_on_another(char: str) -> None:
    paths = stroke_paths(char, 6.0)
    assert all(len(path) > 1 for path in paths)
    assert doubled(paths, closed=False) == pytest.approx(0.0, abs=1e-9)


def test_every_letter_looks_like_no_other() -> None:
    drawn = {char: tuple(stroke_paths(char, 6.0)) for char in OURS}
    alike = {(a, b) for a in drawn for b in drawn if a < b and drawn[a] == drawn[b]}
    assert alike == {("0", "O")}


def test_a_text_is_centred_and_as_wide_as_told() -> None:
    paths = stroke_paths("Grasses 12.70", 4.0)
    xs, ys = [x for path in paths for x, _ in path], [y for path in paths for _, y in path]
    width = stroke_width_mm("Grasses 12.70", 4.0)
    assert (min(xs), max(xs)) == pytest.approx((-width / 2, width / 2))
    assert (min(ys), max(ys)) == pytest.approx((-2.0, 2.0))


def test_accents_fall_away_rather_than_the_letter() -> None:
    assert stroke_paths("Gräser", 4.0) == stroke_paths("Graser", 4.0)
    assert stroke_paths("Straße", 4.0) == stroke_paths("Strasse", 4.0)


@pytest.mark.parametrize("text", ["THIS FACE UP: LEFT", "FT LT AV", "Грибы", "$x$ {y} \\pi", "%"])
def test_outlined_letters_touch_nowhere(text: str) -> None:
    assert doubled(outline_paths(text, 4.0), closed=True) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "closed"), [("Mosses", False), ("Грибы", True), ("\N{CJK UNIFIED IDEOGRAPH-8349}\x07", True), ("", False)]
)
def test_any_text_can_be_written(text: str, closed: bool) -> None:
    """In our strokes where we have every letter, else in a typeface, with a box for what that lacks."""
    paths, outlined, width = line_of_text(text, 3.0)
    assert outlined == closed
    assert bool(paths) == bool(text)
    assert width >= 0.0
