"""Comments: whatever a job file says, a controller sees a comment and a person can read it."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camtools.output.comments import COMMENT_LENGTH, comment, plain
from tests.output.reading import split

HOSTILE = [
    "x) M3 S24000 (",
    "(MSG, hello)",
    "MSG,stop",
    "m s g , x",
    "DEBUG, #5220",
    "G1 Z-50 F9999",
    "M3 S24000",
    "%",
    "; M3",
    "a\nM3 S24000\n",
    "a\rG0 Z-9",
    "\uff01\uff1f\uff08M3\uff09",
    "\x18\x85!~?$X",
    "[1+2] #1=3 {x}",
    "\u202e(M3)\u2066",
    "/ M30",
    "N10 G1",
    "",
    "   ",
    "=cmd|' /C calc'!A0",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_stays_inside_its_comment(text: str) -> None:
    for line in comment("drawer", text):
        comments: list[str] = []
        assert split(line, 1, comments) == {}, "no word is left outside the comment"
        assert len(comments) == 1
        assert re.match(r"drawer: |\.\.\. ", comments[0])


@given(st.text(max_size=600))
def test_any_text_becomes_short_printable_comments(text: str) -> None:
    for line in comment("piece", text):
        assert re.fullmatch(r"\((?:piece: |\.\.\. )[A-Za-z0-9 .,:'+/_-]+\)", line)
        assert len(line) <= COMMENT_LENGTH


@given(st.text(max_size=300), st.integers(5, 80))
def test_plain_text_is_never_longer_than_asked(text: str, longest: int) -> None:
    assert len(plain(text, longest)) <= longest


@given(st.text(alphabet="abcXYZ019 .,:'+/_-", max_size=200))
def test_text_that_is_plain_already_keeps_every_word(text: str) -> None:
    assert plain(text) == " ".join(text.split())


@pytest.mark.parametrize(
    ("text", "spelled"),
    [
        ("Fächer für Gräser", "Facher fur Graser"),
        ("Straße, Åse, Ørsted, Łódź", "Strasse, Ase, Orsted, Lodz"),
        ("14° × 2½", "14 deg x 2 1/2"),
        ("6–8 “small”", "6-8 'small'"),
        ("植物標本", "_"),
        ("Mosses (wet)", "Mosses wet"),
    ],
)
def test_accents_and_signs_are_spelled_plainly(text: str, spelled: str) -> None:
    assert plain(text) == spelled


def test_a_long_comment_goes_on_with_dots_and_loses_no_word() -> None:
    words = [f"word{i}" for i in range(50)]
    lines = comment("place", " ".join(words))
    assert len(lines) > 1
    assert all(line.startswith("(... ") for line in lines[1:])
    assert re.findall(r"word\d+", " ".join(lines)) == words


@pytest.mark.parametrize("label", ["MSG", "", "a", "x) M3", "Label", "1st"])
def test_a_label_that_is_not_plain_is_a_mistake_of_ours(label: str) -> None:
    with pytest.raises(ValueError, match="not a label"):
        comment(label, "text")
