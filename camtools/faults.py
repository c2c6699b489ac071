"""What can go wrong, split by who can mend it. Everything raised on purpose has one root."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import KW_ONLY, dataclass, field, replace
from itertools import zip_longest
from typing import Any

__all__ = [
    "CamtoolsError",
    "CannotCut",
    "Change",
    "Fault",
    "JobFault",
    "PacketFault",
    "SheetFault",
    "Way",
    "merged",
    "named_drawers",
    "puts",
    "refusal",
]

_OF_ONE_DRAWER = re.compile(r'(drawers\[\d+\])(?: ".*")?(?:\.|, |$)')
_NAMED = 3  # drawers of a fault that are named; the rest are counted


@dataclass(frozen=True, slots=True)
class Change:
    """One value of the job file written anew, or taken out."""

    # ``drawers[2].groove.edge`` as a maker reads it; ``groove.edge`` is that of the fault's drawers, ``opening[1]`` that of the
    # one drawer that it is raised for; ``cutters[]`` is one more.
    key: str
    value: Any = field(default=None, hash=False)  # mm, degrees, rpm, mm/min; a tuple for a list, a dict for a table; None: taken out
    example: bool = False  # stands for a value that only the maker knows
    as_written: bool = False  # in the units of the file already


Way = tuple[Change, ...]
"""Changes that mend a fault together."""


def puts(key: str, *values: Any, example: bool = False, as_written: bool = False) -> tuple[Way, ...]:
    """Return a way for each value that may be written at a key; None takes it out. What is no number stands for what is not known."""
    known = (value for value in values if value == value and value not in (math.inf, -math.inf))
    return tuple((Change(key, value, example, as_written),) for value in known)


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong: what, where, the limit, the value found and what would work.

    A problem is the same words for every drawer that has it, so that it is told once for them: figures stand beside it. ``ways``
    may mend it, the likeliest first. None of them is told before `camtools.mending` has tried it: then ``changes`` holds it, and
    ``remedy`` says it.
    """

    where: str
    problem: str
    value: str = ""
    limit: str = ""
    remedy: str = ""
    _: KW_ONLY
    drawers: tuple[str, ...] = ()  # names of those it is a fault of; none: it is one of the whole job
    cannot: bool = False  # wood, cutter or machine can not do it; otherwise what is written is wrong
    ways: tuple[Way, ...] = field(default=(), compare=False)
    changes: Way = ()

    @property
    def place(self) -> str:
        """Where it is, with the drawers that it is told of, unless that is the one it stands at."""
        if len(self.drawers) < (2 if _OF_ONE_DRAWER.match(self.where) else 1):
            return self.where
        return f"{self.where}, {named_drawers(self.drawers)}"

    @property
    def kind(self) -> tuple[str, str]:
        """What it is, whichever drawer has it."""
        return (_OF_ONE_DRAWER.sub("", self.where, count=1) if self.drawers else self.where), self.problem

    def __str__(self) -> str:
        parts = [f"{self.place}: {self.problem}"]
        if self.value:
            parts.append(f"found {self.value}")
        if self.limit:
            parts.append(f"limit {self.limit}")
        if self.remedy:
            parts.append(self.remedy)
        return "; ".join(parts)


class CamtoolsError(Exception):
    """Root of every error raised on purpose; carries faults and an exit code."""

    exit_code = 1
    heading = "camtools stopped"

    def __init__(self, *faults: Fault) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults
        self.together: Way = ()  # changes that mend all of them at once, where that was tried


class JobFault(CamtoolsError):
    """The job file is wrong; its author can mend it."""

    exit_code = 2
    heading = "The job file needs mending"


class SheetFault(JobFault):
    """The sheet of boards that a job file names is wrong: no key of the job file mends that."""


class CannotCut(CamtoolsError):
    """The wood, the cutter or the machine can not do what the job asks."""

    exit_code = 3
    heading = "This can not be cut as asked"

    def __init__(self, *faults: Fault) -> None:
        super().__init__(*(replace(fault, cannot=True) for fault in faults))


class PacketFault(CamtoolsError):
    """The packet could not be written, or failed its own check."""

    exit_code = 4
    heading = "Nothing was written"


def refusal(*faults: Fault) -> JobFault | CannotCut:
    """Return the error for faults of a job: a file that is wrong goes before what can not be cut."""
    return CannotCut(*faults) if all(fault.cannot for fault in faults) else JobFault(*faults)


def named_drawers(drawers: Sequence[str]) -> str:
    """Return names of drawers as words, those beyond the first few counted."""
    words = [f'"{name}"' for name in drawers[:_NAMED]]
    if more := len(drawers) - _NAMED:
        words += [f"{more} more drawer{'' if more == 1 else 's'}"] if more > 0 else []
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def merged(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Tell each fault once, with the names of all drawers that have it, and every figure found."""
    kinds: dict[tuple[str, str], list[Fault]] = {}
    for fault in dict.fromkeys(map(_at_home, faults)):
        kinds.setdefault(fault.kind, []).append(fault)
    return tuple(_as_one(alike) if len(alike) > 1 else alike[0] for alike in kinds.values())


def _at_home(fault: Fault) -> Fault:
    """Say of which drawer a change of its size is."""
    own = _OF_ONE_DRAWER.match(fault.where)
    if own is None or not fault.drawers:
        return fault

    def placed(change: Change) -> Change:
        return replace(change, key=f"{own[1]}.{change.key}") if change.key.startswith(("opening", "outside")) else change

    return replace(fault, ways=tuple(tuple(map(placed, way)) for way in fault.ways))


def _as_one(alike: Sequence[Fault]) -> Fault:
    names = tuple(dict.fromkeys(name for fault in alike for name in fault.drawers))
    key, own = alike[0].kind[0], _OF_ONE_DRAWER.match(alike[0].where)
    where = f"{own[1]}.{key}" if own and key else own[1] if own else key

    def figures(told: Sequence[str]) -> str:
        owners: dict[str, list[str]] = {}
        for text, fault in zip(told, alike, strict=True):
            owners.setdefault(text, []).extend(fault.drawers)
        return told[0] if len(owners) == 1 else "; ".join(f"{text} ({named_drawers(drawers)})" for text, drawers in owners.items() if text)

    together = [tuple(dict.fromkeys(change for way in ways if way for change in way)) for ways in zip_longest(*(one.ways for one in alike))]
    return replace(
        alike[0],
        where=where,
        value=figures([fault.value for fault in alike]),
        limit=figures([fault.limit for fault in alike]),
        drawers=names,
        ways=tuple(dict.fromkeys([*together, *(way for fault in alike for way in fault.ways)])),
    )
