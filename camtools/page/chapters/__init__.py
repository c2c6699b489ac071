"""Chapters of the page. A chapter is one file beside this one, with a ``HEADING`` and a function ``blocks``, and one line in ``_NAMES``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module

from camtools.page.blocks import Block
from camtools.page.facts import PacketFacts

__all__ = ["CHAPTERS", "Chapter"]

_NAMES = (
    "safety",
    "whole_piece",
    "trial_joints",
    "board_by_board",
    "cutters",
    "work",
    "when_wrong",
    "proof",
)


@dataclass(frozen=True, slots=True)
class Chapter:
    """A chapter: its name in addresses, its heading, and what makes its blocks."""

    name: str
    heading: str
    blocks: Callable[[PacketFacts], list[Block]]


CHAPTERS: tuple[Chapter, ...] = tuple(
    Chapter(name, module.HEADING, module.blocks) for name in _NAMES for module in (import_module(f"{__name__}.{name}"),)
)
