"""Reads the text of a file and its tables, tells of one that is not TOML what to write instead, and writes tables as TOML."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from camtools.faults import Fault, JobFault
from camtools.job.slips import nearest_file

__all__ = ["LARGEST_FILE", "WRONG_FILE", "bytes_of", "content_of", "text_in", "toml_of"]

LARGEST_FILE = 1_000_000  # bytes; thousands of drawers fit
WRONG_FILE = "is it the right file?"
_DEEP = re.compile(r"(?<![\w-])(?:[\w-]++[ \t]*+\.[ \t]*+){40}")
_TWICE = re.compile(r"^(?:Cannot (?:overwrite|declare|mutate)|Duplicate)")
_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_LONGEST = 200  # characters of a line that are shown, and looked at for a hint

_DECIMAL_COMMA = re.compile(r"=\s*([0-9]+),([0-9]+)(?![0-9]*\s*[,\]]\s*[0-9])")
_CURLY_QUOTES = re.compile("[\u2018-\u201f\u00ab\u00bb]")
_COLON = re.compile(r"(?:^|[{,])\s*[\w-]+\s*:")
_BARE_LIST = re.compile(r"=\s*([0-9.]+(?:\s*[,;]\s*[0-9.]+)+)\s*$")
_INCH_MARK = re.compile(r"\"([0-9][0-9 ./-]*)\"\"")
_HEADER = re.compile(r"\[[^\W\d][^\[\]=,]*\]")
_NO_COMMAS = re.compile(r"\[\s*([\w.\"]+(?:[;\s]+[\w.\"]+)+)\s*\]")
_BETWEEN = r"[;\s]+"
_QUANTITY = re.compile(
    r"=\s*(?:(?=[0-9 -]*/|\.|[0-9.]+ *[a-z\"]))"  # a plain number is TOML
    r"((?:[0-9]+[ -]+)?[0-9]+ */ *[0-9]+|[0-9]+\.?[0-9]*|\.[0-9]+) *(mm|cm|m|inches|inch|in|feet|foot|ft|\"|)\s*(?=$|[,}#])"
)
_WORD = re.compile(r"=\s*([^\W\d][^\"',#\]}\[{]*)")


def bytes_of(path: Path | str) -> bytes:
    """Return what a file holds, cut off where it is far too long. Raises JobFault where it can not be read."""
    where = str(path)
    try:
        with Path(path).open("rb") as file:
            return file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        remedy = nearest_file(Path(path)) or "check its name, and the folder you are in"
        raise JobFault(Fault(where, "there is no such file", remedy=remedy)) from None
    except IsADirectoryError:
        raise JobFault(Fault(where, "is a folder", remedy="name the job file in it")) from None
    except (OSError, ValueError) as fault:
        reason = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
        raise JobFault(Fault(where, f"can not be read: {reason}", remedy="check its name, and who may read it")) from None


def text_in(content: bytes, where: str) -> str:
    """Return the text of a file's content.

    Parameters
    ----------
    content, where
        What it holds, and what faults are to call it.

    Raises
    ------
    JobFault
        Where it is no text in UTF-8, or too long.
    """
    if len(content) > LARGEST_FILE:
        found, limit = f"more than {LARGEST_FILE} bytes", f"at most {LARGEST_FILE} bytes"
        raise JobFault(Fault(where, "is too long for a job file", found, limit, WRONG_FILE))
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise JobFault(Fault(where, "is written in UTF-16", limit="UTF-8", remedy="save it as UTF-8 text"))
    if b"\0" in content:
        raise JobFault(Fault(where, "is not a text", limit="TOML, in UTF-8", remedy=WRONG_FILE))
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = content.count(b"\n", 0, fault.start) + 1
        found = f"byte 0x{content[fault.start]:02X}"
        raise JobFault(Fault(f"{where}, line {line}", "is not written in UTF-8", found, "UTF-8", "save it as UTF-8 text")) from None


def content_of(text: str, where: str) -> dict[str, Any]:
    """Return what a text says; ``where`` names it in faults.

    Raises
    ------
    JobFault
        Where it is not TOML: the place, and what may be meant.
    """
    if _DEEP.search(text):  # time to read such a key grows with the square of its length
        raise JobFault(Fault(where, "is nested too deep", remedy=WRONG_FILE))
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise JobFault(Fault(where, "is nested too deep", remedy=WRONG_FILE)) from None
    except tomllib.TOMLDecodeError as fault:
        message, place, line = str(fault), "", ""
        if found := _PLACE.search(message):
            message = message[: found.start()]
            place = f", line {found[1]}, column {found[2]}" if found[1] else ", at its end"
            line = text.split("\n")[int(found[1]) - 1].strip()[:_LONGEST] if found[1] else ""
        if _TWICE.search(message):
            message = "a key or a table stands here for the second time"
        problem = f"is not TOML: {message[:1].lower()}{message[1:]}"
        raise JobFault(Fault(f"{where}{place}", problem, line, remedy=_hint(message, line))) from None
    except ValueError:
        raise JobFault(Fault(where, "holds a number of too many digits", remedy=WRONG_FILE)) from None


def _hint(message: str, line: str) -> str:
    """Say what may be meant by a line that is not TOML."""
    if message.endswith("for the second time"):
        return "keep one of the two; begin each cutter with [[cutters]] and each drawer with [[drawers]]"
    if _CURLY_QUOTES.search(line):
        return 'use plain quotes: "..."'
    if found := _DECIMAL_COMMA.search(line):
        return f"use a point, not a comma: {found[1]}.{found[2]}"
    if _COLON.search(line):
        return "write = between a key and its value"
    if found := _BARE_LIST.search(line):
        return f"a list stands in square brackets: [{', '.join(re.split(r'[,; ]+', found[1]))}]"
    if found := _INCH_MARK.search(line):
        return f'write the unit in letters, within the quotes: "{found[1].strip()} in"'
    if found := _NO_COMMAS.search(line):
        return f"write commas between the values: [{', '.join(re.split(_BETWEEN, found[1]))}]"
    if found := _QUANTITY.search(line):
        unit = found[2].replace('"', "in") or ("in" if "/" in found[1] else "mm")
        return f'a length with a unit stands in quotes: "{found[1]} {unit}"'
    if found := _WORD.search(line):
        return f'a text stands in quotes: "{found[1].strip()}"'
    if "key part" in message and "{" in line:
        return "a table in braces stands on one line"
    if "'\\n'" in message:
        return "close the quotes on the line where they begin"
    if "\\" in line and message.startswith(("Unescaped", "Invalid hex")):
        return "write / in place of \\, or put the text in single quotes"
    if "'='" in message:
        return "write = between a key and its value"
    if message.startswith("Expected newline"):
        return "nothing but a comment, which begins with #, stands behind a value"
    if message.startswith("Invalid value") and (not line or _HEADER.search(line)):
        return "close the list that was begun above with ]"
    if message.startswith(("Unclosed", "Expected ']")):
        return "write commas between the values, and close every bracket and brace"
    return 'look at this place and just before it; a text, and a length with a unit, stand in quotes: "3/4 in"'


def toml_of(value: Any) -> str:
    """Return a value on one line of TOML. Keys are those of a form, which stand without quotes."""
    if isinstance(value, Mapping):
        inner = ", ".join(f"{key} = {toml_of(item)}" for key, item in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, tuple | list):
        return f"[{', '.join(map(toml_of, value))}]"
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")  # the one control that JSON lets stand, and TOML does not
