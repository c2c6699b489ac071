"""What a chapter is made of. The page and its PDF each lay out every kind of block; a chapter knows neither.

All text is plain text: whoever lays it out sees to it that it stays so. The order of work is made of `Step`, each of which tells what a
screen of its own needs; `camtools.page.steps.order_of_work` has them all, in order.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

from camtools.output.cautions import Caution
from camtools.wording import whole_minutes

__all__ = [
    "Beside",
    "Block",
    "BoardState",
    "Card",
    "Cards",
    "Cautions",
    "Facts",
    "Folded",
    "Heading",
    "Link",
    "OffPaper",
    "Picture",
    "Span",
    "Step",
    "Steps",
    "Table",
    "TextBlock",
    "Tick",
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
        return whole_minutes(self.seconds)


@dataclass(frozen=True, slots=True)
class TextBlock:
    """A paragraph, perhaps with words before it that stand out."""

    kind: ClassVar[str] = "words"
    text: str
    lead: str = ""
    tone: Literal["plain", "strong", "warning", "small"] = "plain"


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
    """A picture: a file of the packet by its name, or one that the page itself holds. ``key`` is its own on the page.

    ``letters_px`` is the size of its smallest letters, where it is known: how large it must be shown to be read. ``views`` are parts of it
    that a narrow screen shows one by one: the name of each, its place ("left top width height") and the size of its smallest letters, in
    the file's own units; of a file that is one view beside its title, ``part`` is the place of that alone. ``label`` tells it from others
    of its step.
    """

    kind: ClassVar[str] = "picture"
    key: str
    alt: str
    width_px: int
    height_px: int
    name: str = ""
    content: bytes = b""
    letters_px: float = 0.0
    views: tuple[tuple[str, ...], ...] = ()
    part: str = ""
    label: str = ""


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
class OffPaper:
    """Blocks that a screen shows and paper leaves out."""

    kind: ClassVar[str] = "off-paper"
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
class BoardState:
    """A board by its id, and what it is: the words of `camtools.page.steps.board_states`."""

    board: str
    state: str


@dataclass(frozen=True, slots=True)
class Tick:
    """Something within a step that is ticked by itself.

    ``of`` tells what: a change of hold or cutter, a zero to set, backing to renew, a dry run, a board to cut, or a check by eye or hand.
    """

    of: Literal["hold", "cutter", "zero", "backing", "dry run", "board", "check"]
    text: str


@dataclass(frozen=True, slots=True)
class Link:
    """A file of the packet that a step needs, or a chapter of the page."""

    text: str
    name: str  # relative to the packet; "#" and its name for a chapter


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the work. One fills a screen: heading, the first of its pictures, what to do, ticks, "done"; the rest is a tap away.

    Attributes
    ----------
    key
        Its own on the page; the stem of the file that is run, where it is a step at the machine.
    where
        Where it is done: at the bench before anything is cut ("ready"), at the machine, or at the bench later on.
    do
        What to do, in at most three short lines.
    pictures
        First the one that shows it; at the machine a picture of each board in its hold, that at the left stop first.
    cautions
        Those that matter here for the first time: ``short`` is one line, ``full`` its whole text.
    ticks
        What is ticked by itself, in order; boards stand last.
    links
        Files that it needs: drawings, labels, templates, programs.
    minutes
        What it takes in all, hands and machine; None where nobody can tell.
    needs, leaves
        Which boards must be in which state before it, and what they are after it besides.
    more
        All that the long form tells besides.
    side
        Which of a pair of boards it is about, so that it can be told at a glance.
    """

    kind: ClassVar[str] = "step"
    key: str
    heading: str
    where: Literal["ready", "machine", "bench"]
    do: tuple[str, ...]
    pictures: tuple[Picture, ...] = ()
    cautions: tuple[Caution, ...] = ()
    ticks: tuple[Tick, ...] = ()
    links: tuple[Link, ...] = ()
    minutes: float | None = None
    needs: tuple[BoardState, ...] = ()
    leaves: tuple[BoardState, ...] = ()
    more: tuple[Block, ...] = ()
    side: Literal["", "left", "right"] = ""


@dataclass(frozen=True, slots=True)
class Steps:
    """Steps in their order."""

    kind: ClassVar[str] = "steps"
    steps: tuple[Step, ...]


Block = TextBlock | Heading | Table | Facts | Cautions | Picture | Beside | Folded | OffPaper | View | Card | Cards | Step | Steps
