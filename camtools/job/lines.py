"""On which line of a TOML text each key and each item of a list stands. The text has been read already, so it is valid."""

from __future__ import annotations

import re
from collections.abc import Iterator

__all__ = ["lines_of"]

Place = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_GAP = re.compile(r"[ \t]*")
_WORD = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(r'"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'', re.DOTALL)
_ESCAPE = re.compile(r"\\(?:u([0-9a-fA-F]{4})|U([0-9a-fA-F]{8})|(.))")
_DEEPEST = 8  # words of a key that are followed; a job file has two
_ESCAPES = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r"}
_SCALAR = re.compile(r"[^,\]}#\n]+")


def lines_of(text: str) -> dict[Place, int]:
    """Return the line of every place, counted from 1. Items of a list are counted from 0, as Python does."""
    lines: dict[Place, int] = {}
    for place, line in _Walk(text).places():
        for depth in range(1, len(place) + 1):
            lines.setdefault(place[:depth], line)
    return lines


class _Walk:
    """Goes through a text once, from key to key."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._at = 0
        self._counted, self._line = 0, 1
        self._tables: dict[Place, int] = {}  # how often each list of tables was begun

    def places(self) -> Iterator[tuple[Place, int]]:
        table: Place = ()
        self._skip()
        while self._at < len(self._text):
            line = self._here()
            if self._text[self._at] == "[":
                many = self._text.startswith("[[", self._at)
                self._at += 2 if many else 1
                table = self._resolved(self._key(), many)
                self._skip_to("]")
                self._at += 2 if many else 1
                yield table, line
            else:
                yield from self._pair(table)
            self._skip()

    def _here(self) -> int:
        self._line += self._text.count("\n", self._counted, self._at)
        self._counted = self._at
        return self._line

    def _skip(self, pattern: re.Pattern[str] = _BLANK) -> None:
        found = pattern.match(self._text, self._at)
        self._at = found.end() if found else self._at

    def _skip_to(self, sign: str) -> None:
        self._at = self._text.index(sign, self._at)

    def _resolved(self, key: list[str], many: bool) -> Place:
        """Return the place that a header means: the last table of every list of tables on the way."""
        place: Place = ()
        for index, word in enumerate(key[:_DEEPEST]):
            place = (*place, word)
            if many and index == len(key) - 1:
                self._tables[place] = self._tables.get(place, 0) + 1
            if place in self._tables:
                place = (*place, self._tables[place] - 1)
        return place

    def _key(self) -> list[str]:
        """Read a key with its dots."""
        words = []
        while True:
            self._skip(_GAP)
            if found := _STRING.match(self._text, self._at):
                words.append(_plain(found[0]))
            else:
                found = _WORD.match(self._text, self._at)
                words.append(found[0] if found else "")
            self._at = found.end() if found else self._at
            self._skip(_GAP)
            if not self._text.startswith(".", self._at):
                return words
            self._at += 1

    def _pair(self, table: Place) -> Iterator[tuple[Place, int]]:
        line = self._here()
        place = table
        for word in self._key()[:_DEEPEST]:
            place = (*place, word)
        yield place, line
        self._skip_to("=")
        self._at += 1
        yield from self._value(place)

    def _value(self, place: Place) -> Iterator[tuple[Place, int]]:
        self._skip()
        if self._text.startswith("[", self._at):
            yield from self._items(place)
        elif self._text.startswith("{", self._at):
            yield from self._inline(place)
        else:
            self._skip(_STRING if self._text[self._at] in "\"'" else _SCALAR)

    def _items(self, place: Place) -> Iterator[tuple[Place, int]]:
        self._at += 1
        count = 0
        self._skip()
        while not self._text.startswith("]", self._at):
            yield (*place, count), self._here()
            yield from self._value((*place, count))
            count += 1
            self._skip()
            if self._text.startswith(",", self._at):
                self._at += 1
                self._skip()
        self._at += 1

    def _inline(self, place: Place) -> Iterator[tuple[Place, int]]:
        self._at += 1
        self._skip()
        while not self._text.startswith("}", self._at):
            yield from self._pair(place)
            self._skip()
            if self._text.startswith(",", self._at):
                self._at += 1
                self._skip()
        self._at += 1


def _plain(quoted: str) -> str:
    """Return what a quoted key means."""
    if quoted.startswith("'"):
        return quoted[1:-1]

    def meant(found: re.Match[str]) -> str:
        code = found[1] or found[2]
        return chr(int(code, 16)) if code else _ESCAPES.get(found[3], found[3])

    return _ESCAPE.sub(meant, quoted[1:-1])
