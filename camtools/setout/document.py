"""The text of a job file as it is written on: by key, with its comments and its order kept."""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit.container import Container, OutOfOrderTableProxy
from tomlkit.items import AoT, Array, Comment, InlineTable, Item, Key, SingleKey, Table, Trivia, Whitespace

from camtools.job.slips import path_of, steps_of
from camtools.job.tables import content_of, toml_of

__all__ = ["Document"]

Body = list[tuple[Key | None, Item]]


class Document:
    """A job file's text. What is written changes its own line alone.

    ``content`` has the same tables as plain values. The text is read again by the standard library whenever it is asked for, and
    must say what they say.
    """

    def __init__(self, text: str, where: str = "the job file") -> None:
        self._where = where
        self.replace(text)

    def replace(self, text: str) -> None:
        """Write another text in place of all that stands here. Raises JobFault where it is no TOML."""
        self.content = content_of(text, self._where)
        self._toml = tomlkit.parse(text)

    @property
    def text(self) -> str:
        """The whole file as it now reads."""
        text = self._toml.as_string()
        if content_of(text, self._where) != self.content:
            raise RuntimeError("a job file was written that does not say what it should")
        return text

    def put(self, key: str, value: Any) -> None:
        """Write a value: a text, a number, true or false, or a list or table of them.

        Raises
        ------
        KeyError
            Where the file has no place for it.
        """
        steps = steps_of(key)
        plain: Any = self.content
        table: Any = self._toml
        for depth, step in enumerate(steps[:-1], 1):
            if isinstance(plain, dict) and step not in plain:
                if any(isinstance(inner, int) for inner in steps[depth:]):
                    raise KeyError(key)
                self._begin_table(steps[:depth], steps[depth:], value)
                return
            plain, table = plain[step], table[step]
        if isinstance(table, AoT) and isinstance(entry := steps[-1], int):
            if entry < len(plain):
                self.take_out(key)
            self.insert(str(steps[-2]), entry, value)
            return
        last, item = steps[-1], tomlkit.value(toml_of(value))
        fits = isinstance(plain, list) if isinstance(last, int) else isinstance(plain, dict)
        if not fits:
            raise KeyError(key)
        inside = isinstance(table, InlineTable) and last not in plain
        if isinstance(last, int) and last == len(plain):
            plain.append(None)
            table.append(item)
        plain[last] = item.unwrap()
        if inside:  # a table in braces is one value
            self.put(path_of(steps[:-1]), plain)
        elif isinstance(last, int):
            table[last] = item
        else:
            _write(table, last, item)
        self._read_again()

    def _begin_table(self, steps: Sequence[int | str], inner: Sequence[int | str], value: Any) -> None:
        """Write the first key of a table that is not there: of the whole file under its name, of another in braces."""
        if len(steps) == 1:
            self.content[str(steps[0])] = {}
            _write(self._toml, str(steps[0]), tomlkit.table())
            self._read_again()
            self.put(path_of([*steps, *inner]), value)
            return
        for step in reversed(inner):
            value = {step: value}
        self.put(path_of(steps), value)

    def take_out(self, key: str) -> None:
        """Take a key out, and a table in braces that is left empty. A comment on its line stays, with what stood there. Raises KeyError."""
        *steps, last = steps_of(key)
        plain: Any = self.content
        table: Any = self._toml
        for step in steps:
            plain, table = plain[step], table[step]
        if isinstance(last, int):
            self._lift()
        elif last not in plain:
            raise KeyError(key)
        del plain[last]
        _strike(table, last)
        if isinstance(table, AoT) and not plain:  # without an entry there is no list
            del self.content[str(steps[0])], self._toml[str(steps[0])]
        self._read_again()
        if isinstance(table, InlineTable) and not plain and isinstance(steps[-1], str):
            self.take_out(path_of(steps))

    def insert(self, name: str, at: int, entry: Mapping[str, Any]) -> None:
        """Put an entry into the list of drawers or of cutters, before the one that stands there. Raises KeyError where it is no list."""
        plain = self.content.setdefault(name, [])
        if not isinstance(plain, list):
            raise KeyError(name)
        self._lift()
        if name in self._toml:
            entries = self._toml[name]
        else:
            _write(self._toml, name, entries := tomlkit.aot())
        if isinstance(entries, AoT):
            table = tomlkit.table()
            for key, value in entry.items():
                table.append(key, tomlkit.value(toml_of(value)))
            entries.insert(at, table)
            _part(entries)
        elif isinstance(entries, Array):
            entries.insert(at, tomlkit.value(toml_of(entry)))
        plain.insert(at, copy.deepcopy(dict(entry)))
        self._read_again()

    def repeat(self, name: str, at: int) -> None:
        """Write an entry a second time, after itself, with all that is said in it."""
        plain = self.content[name]
        self._lift()
        entries: Any = self._toml[name]
        again = copy.deepcopy(entries[at])
        if isinstance(again, Table):
            again.trivia.indent = ""  # comments over the first are of the first
        entries.insert(at + 1, again)
        if isinstance(entries, AoT):
            _part(entries)
        plain.insert(at + 1, copy.deepcopy(plain[at]))
        self._read_again()

    def move(self, name: str, at: int, to: int) -> None:
        """Give an entry another place in its list; comments over it go with it."""
        plain = self.content[name]
        if not (0 <= at < len(plain) and 0 <= to < len(plain)):
            raise KeyError(f"{name}[{to + 1}]")
        self._lift()
        entries: Any = self._toml[name]
        entries.insert(to, entries.pop(at))
        if isinstance(entries, AoT):
            _part(entries)
        plain.insert(to, plain.pop(at))
        self._read_again()

    def _read_again(self) -> None:
        """Read what was written: lines that were put in by hand are known to tomlkit from then on."""
        self._toml = tomlkit.parse(self._toml.as_string())

    def _lift(self) -> None:
        """Have comments that stand right over an entry belong to it: to tomlkit they are the end of what stands before."""
        root: Body = self._toml.body
        for at, (_, item) in enumerate(root):
            if not isinstance(item, AoT):
                continue
            over = root[at - 1][1] if at else item
            body, end = (_last_body(over), None) if isinstance(over, Table) else (root, at)
            for entry in item.body:
                entry.trivia.indent = _taken_off(body, end) + entry.trivia.indent
                body, end = _last_body(entry), None


def _taken_off(body: Body, end: int | None) -> str:
    """Take the comments off the end of lines; blanks stand in their places, which tomlkit counts."""
    taken = ""
    for at in reversed(range(len(body) if end is None else end)):
        comment = body[at][1]
        if not isinstance(comment, Comment):
            break
        taken = comment.as_string() + taken
        body[at] = None, Whitespace("")
    return taken


def _body(table: Any) -> Body:
    """Return the lines of a table, or of the whole file."""
    if isinstance(table, Container):
        return table.body
    if isinstance(table, Table):
        return table.value.body
    raise KeyError("a table in several places")


def _last_body(table: Table) -> Body:
    """Return the lines that a table ends with: its own, or those of the last table in it."""
    body = table.value.body
    inner = next((item for key, item in reversed(body) if key is not None), None)
    if isinstance(inner, Table):
        return _last_body(inner)
    if isinstance(inner, AoT) and inner.body:
        return _last_body(inner.body[-1])
    return body


def _write(table: Any, key: str, item: Item) -> None:
    """Write a key's value over the one it has, in place of a comment that names the key, or after the keys that stand there."""
    if key in table or isinstance(table, InlineTable | OutOfOrderTableProxy):
        old = table.get(key)
        table[key] = item
        if isinstance(old, Item) and len(old.trivia.comment_ws) > 2:
            table[key].trivia.comment_ws = _blanks(len(old.as_string()) + len(old.trivia.comment_ws), item)
        return
    body = _body(table)
    if isinstance(item, Table | AoT):
        drawers = next(
            (at for at, (own, there) in enumerate(body) if own is not None and own.key == "drawers" and isinstance(there, AoT)), len(body)
        )
        if isinstance(item, Table) and drawers < len(body):
            item.append(None, Whitespace("\n"))
        body.insert(drawers, (SingleKey(key), item))
        if drawers and not _ends_blank(body[drawers - 1][1]):
            body.insert(drawers, (None, Whitespace("\n")))
        return
    named = re.compile(rf"#\s*{re.escape(key)} =[^#]*?(?:(\s*)(#.*))?")
    for at, (_, line) in enumerate(body):
        if isinstance(line, Comment) and (found := named.fullmatch(line.trivia.comment)):
            column = found.start(2) - len(f"{key} = ")
            item.trivia.comment_ws, item.trivia.comment = _blanks(column, item) if found[2] else "", found[2] or ""
            item.trivia.indent, item.trivia.trail = line.trivia.indent, line.trivia.trail
            body[at] = SingleKey(key), item
            return
    last = max((at for at, (own, value) in enumerate(body) if own is not None and not isinstance(value, Table | AoT)), default=-1)
    if last >= 0:
        item.trivia.indent = body[last][1].trivia.indent
        body[last][1].trivia.trail = "\n"
    body.insert(last + 1, (SingleKey(key), item))


def _blanks(column: int, item: Item) -> str:
    """Return the blanks between a value and a comment that stays in its column, counted from where the value begins."""
    return " " * max(2, column - len(item.as_string()))


def _strike(table: Any, key: str | int) -> None:
    """Take out a key or an entry; of a key with a comment on its line a comment is left."""
    item = table[key]
    comment = item.trivia.comment if isinstance(item, Item) and not isinstance(item, Table | AoT) else ""
    if isinstance(key, int) or not comment or isinstance(table, InlineTable | OutOfOrderTableProxy):
        del table[key]
        return
    body = _body(table)
    at = next(at for at, (own, _) in enumerate(body) if own is not None and own.key == key)
    value = "".join(item.as_string().splitlines())
    blanks = item.trivia.comment_ws
    kept = f"# {key} = {value}{blanks[2:] if len(blanks) > 3 else blanks}{comment}"
    body[at] = None, Comment(Trivia(item.trivia.indent, "", kept, item.trivia.trail))


def _ends_blank(item: Item) -> bool:
    """Tell whether a blank line stands after an item."""
    return item.as_string().endswith("\n\n") if isinstance(item, Table | AoT) else isinstance(item, Whitespace)


def _part(entries: AoT) -> None:
    """Leave a blank line before each entry of a list but the first."""
    for entry in entries.body[:-1]:
        body = _last_body(entry)
        text = entry.as_string()
        if not text.endswith("\n"):
            body.append((None, Whitespace("\n")))
        if not text.endswith("\n\n"):
            body.append((None, Whitespace("\n")))
