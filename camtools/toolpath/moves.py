"""Moves, cuts and programs: what a machine is to do, before it is text.

Coordinates are the machine frame's of the program's setup, in mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, NamedTuple

from camtools.drawer.boards import Affine, Piece
from camtools.drawer.feeds import SafeFeed
from camtools.job.job import Cutter
from camtools.wording import Words

__all__ = [
    "ONE_SETTING",
    "Air",
    "Arc",
    "Cut",
    "Line",
    "Move",
    "Pause",
    "Point",
    "Program",
    "Rapid",
    "Setting",
    "Setup",
    "Work",
    "WorkOffset",
    "Zone",
    "dry_stem",
    "reach_of",
    "stem_of",
]

Point = tuple[float, float, float]
WorkOffset = Literal["G54", "G55", "G56", "G57", "G58", "G59"]


@dataclass(frozen=True, slots=True)
class Rapid:
    """A straight traverse; never in wood."""

    end: Point


@dataclass(frozen=True, slots=True)
class Line:
    """A straight move at a feed."""

    end: Point
    feed_mm_min: float


@dataclass(frozen=True, slots=True)
class Arc:
    """An arc in the XY plane about ``centre``, at a feed; with another end Z it is a helix."""

    end: Point
    centre: tuple[float, float]
    clockwise: bool
    feed_mm_min: float


@dataclass(frozen=True, slots=True)
class Pause:
    """Standing still at ``end`` for a while, so that the operator can look."""

    end: Point
    seconds: float


Move = Rapid | Line | Arc | Pause


class Air(NamedTuple):
    """How a cutter moves where there is no wood."""

    clearance_mm: float  # height of traverses above the work
    feed_mm_min: float  # beside the wood and through room already cut; the cutter's own feed is for wood
    reach_mm: tuple[float, float] = (-math.inf, math.inf)  # X of what is cut, where one setting does not reach all of a groove or an end

    def takes(self, x_mm: float) -> bool:
        """Tell whether a gap or a socket that has this place in it is cut."""
        return self.reach_mm[0] <= x_mm < self.reach_mm[1]


@dataclass(frozen=True, slots=True)
class Cut:
    """What one cutter does without being changed. The first two moves are: up to clearance, then over."""

    cutter: Cutter
    purpose: Words  # for the operator, in plain words
    moves: tuple[Move, ...]


def reach_of(cuts: Sequence[Cut]) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the least and the greatest X and Y of the cutters' axes; of an arc the whole circle, so that no part of it is left out."""
    places: list[tuple[float, float]] = []
    for move in (move for cut in cuts for move in cut.moves):
        (x, y), reach = move.end[:2], 0.0
        if isinstance(move, Arc):
            (x, y), reach = move.centre, math.dist(move.end[:2], move.centre)
        places += [(x - reach, y - reach), (x + reach, y + reach)]
    xs, ys = zip(*places, strict=True)
    return (min(xs), max(xs)), (min(ys), max(ys))


@dataclass(frozen=True, slots=True)
class Zone:
    """A box that nothing may enter, in the setup's machine frame: low and high corner."""

    name: str
    low: Point
    high: Point


@dataclass(frozen=True, slots=True)
class Setting:
    """One of the settings that a groove or a wide end is cut in: between them the board is slid on, beyond its stop."""

    number: int = 1
    total: int = 1
    step_mm: float = 0.0  # from each setting to the next
    before_mm: float = 0.0  # how far the cutter goes beyond X0 at the stop, at most

    @property
    def slid_mm(self) -> float:
        """How far the board stands beyond X0."""
        return (self.number - 1) * self.step_mm

    def stop_words(self, side: str, more: int = 0) -> str:
        """Return what the operator calls the stop of this setting, or of one that comes so many settings later."""
        name = ("", "second", "third", "fourth")[self.number - 1 + more]
        return f"{name} stop at the {side}" if name else f"{side} stop"


ONE_SETTING = Setting()


@dataclass(frozen=True, slots=True)
class Setup:
    """A board held for work. docs/joinery.md section 3."""

    piece: Piece
    hold: Literal["upright", "flat"]
    end: str  # "front end", "rear end", "left end", "right end" or "groove"
    stop: Literal["left", "right"]
    work_offset: WorkOffset
    facing: str  # the face towards the operator (upright) or up (flat): "inside" or "outside"
    to_machine: Affine
    zones: tuple[Zone, ...]
    backing_mm: float  # renewable wood behind the board (upright), beyond Y0; 0 when flat
    words: tuple[Words, ...]  # how to place the board, a sentence each
    setting: Setting = ONE_SETTING
    free_mm: float = 0.0  # to keep free where the cutter comes in: before an upright board, beyond the end of a flat one; 0 at a groove
    sheet_mm: float = 0.0  # how deep cutters go into the waste sheet below (flat); 0 where there is none
    levelled: bool = False  # a height stop brings its end to the height of all others
    zero_shared: bool = False  # its work offset serves other kinds of setup too, so its zero is asked for each time

    @property
    def kind(self) -> tuple[str, bool, str]:
        """Return what setups of one zero have in common: hold, whether it is for a groove, stop."""
        return self.hold, self.end == "groove", self.stop

    @property
    def held(self) -> str:
        """Return the hold in words: which end or edge stands where, and which face."""
        upright = self.hold == "upright"
        work = "groove, reference edge at the fence" if self.end == "groove" else f"{self.end} {'up' if upright else 'worked'}"
        return f"{self.hold}, {work}, {self.faced}"

    @property
    def faced(self) -> str:
        """Return in words where its face looks."""
        return f"{self.facing} face {'towards the operator' if self.hold == 'upright' else 'up'}"

    @property
    def highest_mm(self) -> float:
        """Top of the highest thing around the work; the work's own top is Z0."""
        return max([0.0, *(zone.high[2] for zone in self.zones)])


LONGEST_STEM = 36  # characters; the file's name has at most 40 with its ending, and those of its dry runs at most 48


def stem_of(number: str, *words: str) -> str:
    """Return the name of a program's file, without folder and ending: lower case letters, digits and hyphens.

    Many controllers show some twenty characters of a name. So its number in the order of work goes first, then what tells it from
    others of that number, then board and end; what goes beyond `LONGEST_STEM` is left out, whole words at a time.
    """
    stem = number
    for word in "-".join(words).split("-"):
        if len(stem) + 1 + len(word) > LONGEST_STEM:
            break
        stem += f"-{word}"
    return stem


def dry_stem(stem: str, kind: Literal["dry", "outline"]) -> str:
    """Return the name of a program's dry run: 09-dry-front-1-left-end for 09-front-1-left-end."""
    number, hyphen, words = stem.partition("-")
    return f"{number}-{kind}{hyphen}{words}"


@dataclass(frozen=True)  # without slots, for what is looked up over and over
class Program:
    """One program: a setup and the cuts that one cutter makes in it."""

    stem: str  # file name without folder and ending: `stem_of`
    title: str
    setup: Setup
    cuts: tuple[Cut, ...]
    boards: tuple[str, ...]  # ids of the boards it cuts
    seconds: float
    order: int
    kind: Literal["cut", "dry run", "outline"] = "cut"  # the others run with the spindle off
    backing: int = 1  # upright, the strip of backing at its stop: another number asks for fresh wood
    safe: SafeFeed | None = None  # how fast its cutter may be fed
    owners: tuple[str, ...] = ()  # the drawers whose boards they are, by name
    stacked: int = 1  # boards one behind the other, that it cuts together; its setup's piece is as thick as all of them

    @property
    def cutter(self) -> Cutter:
        """Return the one that makes its cuts."""
        return self.cuts[0].cutter

    @cached_property
    def reach_mm(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Return the least and the greatest X and Y of its cutter's axis."""
        return reach_of(self.cuts)

    @cached_property
    def deepest_mm(self) -> float:
        """Return the least Z of its cutter's tip."""
        return min(move.end[2] for cut in self.cuts for move in cut.moves)

    @property
    def called(self) -> str:
        """Return what it is called among files: that of a stack tells of how many boards."""
        return self.stem if self.stacked == 1 else f"{self.stem}-x{self.stacked}"


@dataclass(frozen=True, slots=True)
class Work:
    """A joint's work with one cutter in one setup.

    ``cut`` is called with the stop, "left" or "right", and how to move in air; it returns None where there is nothing to do.
    """

    end: str
    what: str
    cut: Callable[[str, Air], Cut | None]
    leaves_mm: float = 0.0  # on every face, for the work that follows at this end; 0 where it makes the faces
    partings_mm: tuple[float, ...] = ()  # from the reference edge, in wood that stays: where two settings may part an end
