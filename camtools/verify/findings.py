"""What a check found: coded, with its place and figures; and the log that collects the findings of one file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from camtools.verify.catalogue import KINDS, Severity

__all__ = ["GRAVE", "LIMIT_OF_A_KIND", "Finding", "Log", "Subject"]

LIMIT_OF_A_KIND = 20  # findings of one code that are told of one file, and files that are told of one code
GRAVE: dict[Severity, int] = {"error": 0, "warning": 1, "note": 2}


@dataclass(frozen=True, slots=True)
class Subject:
    """What a finding concerns, by its name in the manifest."""

    kind: Literal["program", "board", "drawer", "cutter"]
    name: str
    joint: str = ""  # or groove, of a drawer; empty for the drawer as a whole


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found. An error fails the packet; ``line`` is 1-based, 0 where no line is meant."""

    code: str  # lower case words with hyphens, e.g. "rapid-in-wood"
    severity: Severity
    file: str  # relative to the packet
    line: int
    text: str
    figures: tuple[tuple[str, float], ...] = ()  # name with unit -> value, e.g. ("overlap_mm", 0.31)
    subject: Subject | None = None  # None: the file, if it is a program
    about: tuple[tuple[str, str], ...] = ()  # every drawer that it touches, by id, and which joint or groove, as in its subject
    where: str = ""  # its subject, as a maker calls it

    @classmethod
    def of(cls, code: str, file: str, line: int, text: str, subject: Subject | None = None, **figures: float) -> Finding:
        """Return a finding as grave as the catalogue has its code."""
        return cls(code, KINDS[code].severity, file, line, text, tuple(figures.items()), subject)


class Log:
    """Findings about one file.

    Parameters
    ----------
    file
        As findings are to name it: relative to the packet.
    """

    def __init__(self, file: str) -> None:
        self._file = file
        self._findings: list[Finding] = []
        self._counts: dict[str, int] = {}
        self._unsaid: dict[str, int] = {}  # code -> line of the first finding that was left out

    def add(self, code: str, line: int, text: str, **figures: float) -> None:
        """Note a finding; of one code only the first ones are kept, and the rest counted."""
        count = self._counts[code] = self._counts.get(code, 0) + 1
        if count <= LIMIT_OF_A_KIND:
            self._findings.append(Finding.of(code, self._file, line, text, None, **figures))
        elif count == LIMIT_OF_A_KIND + 1:
            self._unsaid[code] = line

    def findings(self) -> tuple[Finding, ...]:
        """All findings by line, with one for the rest of each kind that was too many."""
        rest = [
            Finding.of(code, self._file, line, f"{more} more like this", more=float(more))
            for code, line in self._unsaid.items()
            for more in (self._counts[code] - LIMIT_OF_A_KIND,)
        ]
        return tuple(sorted(self._findings + rest, key=lambda finding: finding.line))
