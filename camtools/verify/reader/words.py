"""Reads one line: block delete, line number, words and comments.

NISTIR 6556 sections 3.3 to 3.3.6, p. 14-19, Table 3 p. 16 and appendix E.2. Parameters, functions and expressions in brackets
(3.3.2.2 to 3.3.2.4) are legal, and refused as not judged: a program for a joint is written in numbers.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from camtools.verify.reader.codes import G_GROUP, M_GROUP

__all__ = ["LONGEST_LINE", "SAFE_LINE", "Block", "LineFault", "looks_like_code", "read_block", "reads_as_code", "whole"]

LONGEST_LINE = 256  # characters, section 3.3 p. 14
SAFE_LINE = 250  # interpreters refuse lines from 253 on
_LARGEST = 1e7  # no coordinate, feed or speed of a machine comes near

_LETTERS = frozenset("ABCDFGHIJKLMNPQRSTXYZ")
_NUMBER = r"[+-]?(?:[0-9]++(?:\.[0-9]*+)?+|\.[0-9]++)"
_WORD = re.compile(rf"([A-DF-MP-TX-Z])({_NUMBER})(?!E[+-]?[0-9])")
_EXPONENT = re.compile(rf"{_NUMBER}E[+-]?[0-9]")
_MADE = re.compile(r"[+-]?(?:[#\[]|(?:ABS|ACOS|ASIN|ATAN|COS|EXP|FIX|FUP|LN|ROUND|SIN|SQRT|TAN)\[)")
_LINE_NUMBER = re.compile(r"N([0-9]{1,5})(?![0-9.])")
_OPENS = re.compile("[(;]")  # a comment
_DROP = str.maketrans("", "", " \t")
_MOVE = re.compile(r"\bG0?[0-3](?![0-9.]).*?[XYZ]\s*[+-]?\.?[0-9]", re.IGNORECASE)


class LineFault(Exception):
    """A line that can not be carried out; stays within the reader."""

    def __init__(self, code: str, text: str) -> None:
        super().__init__(text)
        self.code = code
        self.text = text


def whole(value: float, code: str, what: str) -> int:
    """Return an integer where a value is within 0.0001 of one (section 3.3.2.1, p. 17)."""
    nearest = round(value)
    if abs(value - nearest) > 1e-4:
        raise LineFault(code, f"{what} must be a whole number, not {value:g}")
    return nearest


@dataclass(slots=True)
class Block:
    """What a line says, before anything is carried out.

    ``g`` and ``m`` map a modal group to its code, G codes in tenths; ``values`` holds every other word.
    """

    values: dict[str, float] = field(default_factory=dict)
    g: dict[int, int] = field(default_factory=dict)
    m: dict[int, int] = field(default_factory=dict)
    comments: list[str] = field(default_factory=list)
    deleted: bool = False  # starts with /

    @property
    def has_words(self) -> bool:
        """Whether there is anything to carry out."""
        return bool(self.values or self.g or self.m)


def read_block(text: str) -> Block:
    """Read one line, without its end.

    Raises
    ------
    LineFault
        At the first thing that the language does not allow.
    """
    block = Block()
    if "(" in text or ")" in text or ";" in text:
        text = _without_comments(text, block.comments)
    if not text.isascii():
        raise LineFault("bad-character", f"{next(c for c in text if not c.isascii())!a} outside a comment")
    code = text.translate(_DROP).upper()
    if code.startswith("/"):
        block.deleted = True
        code = code[1:]
    if code.startswith("N"):
        number = _LINE_NUMBER.match(code)
        if not number:
            raise LineFault("bad-line-number", "N takes a whole number of one to five digits")
        code = code[number.end() :]
    at = 0
    while word := _WORD.match(code, at):
        _add_word(block, word[1], float(word[2]))
        at = word.end()
    if at < len(code):
        raise _no_word(code[at:])
    return block


def _no_word(rest: str) -> LineFault:
    """Return why the rest of a line does not begin with a word."""
    letter, value = rest[0], rest[1:]
    if letter == "#" or (letter in _LETTERS and _MADE.match(value)):
        return LineFault("not-judged", f"'{rest[:8]}', a parameter or an expression: write the number")
    if letter == "N":
        return LineFault("bad-line-number", "a line number must stand first on its line, once")
    if letter not in _LETTERS:
        return LineFault("bad-character", f"{letter!a} begins no word")
    if _EXPONENT.match(value):
        return LineFault("number-with-exponent", f"{value[:12]}: write the number out")
    return LineFault("number-missing", f"no number at '{rest[:8]}'")


def _without_comments(text: str, comments: list[str]) -> str:
    """Take comments off: in parentheses, section 3.3.4 p. 18, or from a semicolon to the end of the line (common practice, no source)."""
    kept = []
    rest = text
    while rest:
        opens = _OPENS.search(rest)
        before = rest[: opens.start()] if opens else rest
        if ")" in before:
            raise LineFault("comment-not-closed", "a ) without a ( before it")
        kept.append(before)
        if not opens:
            break
        after = rest[opens.end() :]
        comment, closed, rest = (after, ";", "") if opens[0] == ";" else after.partition(")")
        if "(" in comment or ")" in comment:
            raise LineFault("comment-nested", "a bracket within a comment")
        if not closed:
            raise LineFault("comment-not-closed", "the comment does not end on its line")
        if not comment.replace("\t", " ").isprintable():
            raise LineFault("comment-not-printable", "a comment holds a control character")
        comments.append(comment)
    return "".join(kept)


def _add_word(block: Block, letter: str, value: float) -> None:
    if not -_LARGEST <= value <= _LARGEST:
        raise LineFault("number-out-of-range", f"{letter}{value:g} is beyond any machine")
    if letter == "G":
        _add_code(block.g, "G", whole(value * 10.0, "unknown-code", "ten times a G code"), G_GROUP)
    elif letter == "M":
        _add_code(block.m, "M", whole(value, "unknown-code", "an M code"), M_GROUP)
        if len(block.m) > 4:
            raise LineFault("too-many-m-words", "at most four M words may share a line")
    elif letter in block.values:
        raise LineFault("word-twice", f"{letter} stands twice")
    else:
        block.values[letter] = value


def _add_code(codes: dict[int, int], letter: str, code: int, groups: Mapping[int, int]) -> None:
    group = groups.get(code)
    if group is None:
        raise LineFault("unknown-code", f"{letter}{code / 10 if letter == 'G' else code:g} is not known")
    if group in codes:
        raise LineFault("two-of-a-group", f"two {letter} codes of one modal group")
    codes[group] = code


def reads_as_code(comment: str) -> bool:
    """Whether a comment's whole content is words, at least one of which would move or switch the machine."""
    try:
        block = read_block(comment)
    except LineFault:
        return False
    return bool(block.g or block.m or not block.values.keys().isdisjoint("XYZ"))


def looks_like_code(comment: str) -> bool:
    """Whether a move seems to stand somewhere in a comment."""
    return bool(_MOVE.search(comment))
