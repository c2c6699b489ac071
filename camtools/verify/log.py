"""Collects the findings of one file, grave as the catalogue says, and keeps a flood of one kind short."""

from __future__ import annotations

from collections.abc import Mapping

from camtools.verify.catalogue import Kind
from camtools.verify.findings import Finding

__all__ = ["LIMIT_OF_A_KIND", "Log"]

LIMIT_OF_A_KIND = 20


class Log:
    """Findings about one file.

    Parameters
    ----------
    file
        As findings are to name it: relative to the packet.
    catalogue
        What may be reported.
    """

    def __init__(self, file: str, catalogue: Mapping[str, Kind]) -> None:
        self._file = file
        self._catalogue = catalogue
        self._findings: list[Finding] = []
        self._counts: dict[str, int] = {}
        self._unsaid: dict[str, int] = {}  # code -> line of the first finding that was left out

    def add(self, code: str, line: int, text: str, **figures: float) -> None:
        """Note a finding; of one code only the first ones are kept, and the rest counted."""
        count = self._counts[code] = self._counts.get(code, 0) + 1
        if count <= LIMIT_OF_A_KIND:
            self._findings.append(Finding(code, self._catalogue[code].severity, self._file, line, text, tuple(figures.items())))
        elif count == LIMIT_OF_A_KIND + 1:
            self._unsaid[code] = line

    def findings(self) -> tuple[Finding, ...]:
        """All findings by line, with one for the rest of each kind that was too many."""
        rest = [
            Finding(code, self._catalogue[code].severity, self._file, line, f"{more} more like this", (("more", float(more)),))
            for code, line in self._unsaid.items()
            for more in (self._counts[code] - LIMIT_OF_A_KIND,)
        ]
        return tuple(sorted(self._findings + rest, key=lambda finding: finding.line))
