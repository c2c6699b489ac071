"""What a chapter is made of. The page and its PDF each lay out every kind of block; a chapter knows neither.

All text is plain text: whoever lays it out sees to it that it stays so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

__all__ = [
    "Beside",
    "Block",
    "Card",
    "Cards",
    "Cautions",
    "Facts",
    "Folded",
    "Heading",
    "Picture",
    "Span",
    "Steps",
    "Table",
    "TextBlock",
    "View",
]


@dataclass(frozen=True, slots=True)
class Span:
    """A length of time, shown in whole seconds, and from an hour on in whole minutes."""

    seconds: float

    @property
    def iso(self) -> str:
        """The exact time, as ISO 8601 writes a duration."""
        return f"PT{round(self.seconds, 1) + 0.0:.1f}S"

    def __str__(self) -> str:
        whole = round(self.seconds)
        if whole < 60:
            return f"{whole} s"
        if whole < 3600:
            return f"{whole // 60} min {whole % 60:02} s"
        minutes = round(self.seconds / 60)
        return f"{minutes // 60} h {minutes % 60:02} min"


@dataclass(frozen=True, slots=True)
class TextBlock:
    """A paragraph, perhaps with words before it that stand out."""

    kind: ClassVar[str] = "words"
    text: str
    lead: str = ""
    tone: Literal["plain", "strong", "warning"] = "plain"


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading within a chapter."""

    kind: ClassVar[str] = "heading"
    text: str


@dataclass(frozen=True, slots=True)
class Table:
    """A table. The first cell of a row names it; columns in ``right`` hold numbers; ``foot`` sums up."""

    kind: ClassVar[str] = "table"
    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str | Span, ...], ...]
    right: frozenset[int] = frozenset()
    foot: tuple[str | Span, ...] = ()


@dataclass(frozen=True, slots=True)
class Facts:
    """Terms, each with what is to be said of it."""

    kind: ClassVar[str] = "facts"
    rows: tuple[tuple[str, str | Span], ...]


@dataclass(frozen=True, slots=True)
class Cautions:
    """Cautions in full, each with its topic, set apart from the rest."""

    kind: ClassVar[str] = "cautions"
    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture: a file of the packet by its name, or one that the page itself holds. ``key`` is its own on the page."""

    kind: ClassVar[str] = "picture"
    key: str
    alt: str
    width_px: int
    height_px: int
    name: str = ""
    content: bytes = b""


@dataclass(frozen=True, slots=True)
class Beside:
    """Two runs of blocks, side by side where there is room."""

    kind: ClassVar[str] = "beside"
    first: tuple[Block, ...]
    second: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Folded:
    """Blocks that a reader may leave shut; print shows them."""

    kind: ClassVar[str] = "folded"
    summary: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class View:
    """A view in three dimensions, made when it is opened; paper leaves it out."""

    kind: ClassVar[str] = "view"
    of: Literal["motion", "drawer"]
    key: str  # of its data
    summary: str
    label: str
    stand_in: str = ""  # key of the picture that is shown where it can not be drawn


@dataclass(frozen=True, slots=True)
class Card:
    """What belongs together under a small heading of its own."""

    kind: ClassVar[str] = "card"
    heading: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Cards:
    """Cards side by side."""

    kind: ClassVar[str] = "cards"
    cards: tuple[Card, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the work with a box to tick, and further boxes where it is done to several boards."""

    kind: ClassVar[str] = "step"
    key: str
    heading: str
    blocks: tuple[Block, ...] = ()
    side: Literal["", "left", "right"] = ""  # which of a pair it is, so that it can be told at a glance
    boxes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Steps:
    """Steps in their order."""

    kind: ClassVar[str] = "steps"
    steps: tuple[Step, ...]


Block = TextBlock | Heading | Table | Facts | Cautions | Picture | Beside | Folded | View | Card | Cards | Step | Steps
