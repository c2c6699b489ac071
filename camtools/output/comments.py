"""Comments of a program: text a person reads at the machine, and no controller acts on.

Whatever comes from a job file passes through `plain` first. Its alphabet leaves out every character that ends or nests a
comment (``( )``), starts another kind of one (``; %``), opens an expression or a parameter (``[ ] # =``) or is taken out of
the stream by controllers that listen while they read (``! ? ~ $ ^``). Every comment opens with a label of our own and a colon,
and a wrapped one goes on with dots, so none can begin with ``MSG,`` or look like code that was commented out.
"""

from __future__ import annotations

import re
import textwrap
import unicodedata
from functools import lru_cache

__all__ = ["COMMENT_LENGTH", "comment", "plain"]

COMMENT_LENGTH = 90  # brackets included; a small panel shows about this much, and RS-274/NGC allows 256 (N 3.3)
_LABEL = re.compile(r"[a-z][a-z0-9 ]{1,30}")
_UNSAFE = re.compile(r"[^A-Za-z0-9 .,:'+/_-]+")
# Letters that Unicode does not take apart, and signs that have a plain spelling.
_SPELLINGS = str.maketrans(
    {
        "ß": "ss", "ẞ": "SS", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L",
        "đ": "d", "Đ": "D", "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "\N{LATIN SMALL LETTER DOTLESS I}": "i",
        "°": " deg ", "×": " x ", "÷": "/", "±": "+/-", "–": "-", "—": "-", "−": "-", "\N{HYPHEN}": "-",
        "\N{NON-BREAKING HYPHEN}": "-", "’": "'", "\N{LEFT SINGLE QUOTATION MARK}": "'", "“": "'", "”": "'", '"': "'",
        "\N{FRACTION SLASH}": "/", "…": "...", "&": "+", ";": ",",
    }
)  # fmt: skip


def plain(text: str, longest: int = 400) -> str:
    """Return text that can stand in a comment: safe printable ASCII, accents dropped, at most ``longest`` characters.

    A run of characters that have no plain spelling becomes ``_``, unless it was only brackets, space or control characters.
    """
    letters = text.translate(_SPELLINGS) if text.isascii() else _ascii_letters(text)

    def replaced(run: re.Match[str]) -> str:
        return "_" if any(letter.isalnum() for letter in run.group()) else " "

    words = " ".join(_UNSAFE.sub(replaced, letters).split())
    if len(words) > longest:
        words = words[: longest - 3].rstrip() + "..."
    return words


def _ascii_letters(text: str) -> str:
    """Take accents and other Unicode dress off, as far as that goes."""
    apart = "".join(f" {sign}" if "<fraction>" in unicodedata.decomposition(sign) else sign for sign in text)  # 2½ is not 21/2
    spelled = unicodedata.normalize("NFKD", apart.translate(_SPELLINGS)).translate(_SPELLINGS)
    return "".join(letter for letter in spelled if not unicodedata.combining(letter))


def comment(label: str, text: str, longest: int = COMMENT_LENGTH) -> list[str]:
    """Return ``(label: text)``, wrapped to as many comments as it takes, each at most ``longest`` characters long.

    Raises
    ------
    ValueError
        Where the label, which is always our own, is not plain lower-case words.
    """
    return list(_wrapped(label, text, longest))


@lru_cache(maxsize=4096)
def _wrapped(label: str, text: str, longest: int) -> tuple[str, ...]:
    """Wrap a comment; programs of a job have most of theirs in common."""
    if not _LABEL.fullmatch(label):
        raise ValueError(f"not a label for a comment: {label!r}")
    lines = textwrap.wrap(f"{label}: {plain(text) or '_'}", longest - 2, subsequent_indent="... ", break_on_hyphens=False)
    return tuple(f"({line})" for line in lines)
