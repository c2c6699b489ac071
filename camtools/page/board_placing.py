"""How a board is to be placed, from the head of its own program: what the operator reads there is what the page says."""

from __future__ import annotations

import re

__all__ = ["placing_of"]

_LINE_NUMBER = re.compile(r"^N\d+ ")
_COMMENT = re.compile(r"\((?:(?P<label>hold|place): |\.\.\. )(?P<text>.*)\)$")
_HEAD_LINES = 80


def placing_of(text: str) -> tuple[str, tuple[str, ...]]:
    """Return the hold in words and the sentences that tell how to place the board; empty where the program has none."""
    found: list[tuple[str, str]] = []
    open_ = False
    for line in text.splitlines()[:_HEAD_LINES]:
        match = _COMMENT.match(_LINE_NUMBER.sub("", line))
        if match and match["label"]:
            found.append((match["label"], match["text"]))
        elif match and open_:  # goes on from the line before
            label, start = found[-1]
            found[-1] = (label, f"{start} {match['text']}")
        open_ = match is not None and (open_ or match["label"] is not None)
    holds = [words for label, words in found if label == "hold"]
    return holds[0] if holds else "", tuple(words for label, words in found if label == "place")
