from __future__ import annotations

import pytest

from camtools.pictures.drawing_style import LETTERS, PENS, TONES


def lightness(colour: str) -> float:
    """Lightness L* of ``#rrggbb``, 0 (black) to 100 (white): what is left of a colour in a grey print.

    From the luminance by the CIE 1976 formula (ISO/CIE 11664-4); the luminance by WCAG 2.1, "relative luminance".
    """
    channels = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    luminance = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    return 116 * luminance ** (1 / 3) - 16 if luminance > (6 / 29) ** 3 else luminance * (29 / 3) ** 3


@pytest.mark.parametrize(
    ("colour", "expected"),
    [
        # CIE 1976 L* (ISO/CIE 11664-4): of black and white by definition;
        # of the sRGB primaries (IEC 61966-2-1, D65) values from memory.
        ("#000000", 0.0),
        ("#ffffff", 100.0),
        ("#ff0000", 53.24),
        ("#00ff00", 87.74),
        ("#0000ff", 32.30),
    ],
)
def test_lightness_is_that_of_the_standard(colour: str, expected: float) -> None:
    assert lightness(colour) == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("wood", "tip"), ("wood end", "tip"), ("tip", "top"), ("wood", "top"), ("backing", "tip"), ("wood end", "backing"),
        ("wood", "backing"), ("backing", "plate"), ("bed", "stop"), ("wood", "stop"), ("wood", "cutter"), ("wood", "clamp"),
        ("push", "backing"), ("push", "bed"),
    ],
)  # fmt: skip
def test_fills_that_tell_something_apart_stay_apart_in_a_grey_print(one: str, other: str) -> None:
    assert abs(lightness(TONES[one]) - lightness(TONES[other])) >= (6 if one == "push" else 9)


@pytest.mark.parametrize(
    ("letters", "ground"), [("ink", "wood"), ("ink", "plate"), ("ink", "clamp"), ("ink", "bed"), ("paper", "stop"), ("paper", "ink")]
)
def test_words_can_be_read_on_their_ground(letters: str, ground: str) -> None:
    assert abs(lightness(TONES[letters]) - lightness(TONES[ground])) > 55


def test_kinds_of_motion_differ_without_their_colours() -> None:
    assert len({(PENS[kind].width_px, PENS[kind].dash_px) for kind in ("rapid", "air", "wood")}) == 3


def test_smallest_letters_are_readable_on_a_page() -> None:
    # Smallest nominal height of capitals in ISO 3098: 1.8 mm (from memory). A preview is 1280 px wide; A4 sideways leaves 277 mm.
    capital = 0.729  # of the size, DejaVu Sans
    assert capital * min(LETTERS.values()) * 277 / 1280 > 1.8
