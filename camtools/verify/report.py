"""What a check found, as values and as ``check.json``."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

from camtools.output.manifest import Triple
from camtools.verify.breakout import EndReport
from camtools.verify.catalogue import Severity
from camtools.verify.findings import Finding
from camtools.verify.fit.bottom_fit import BottomFit
from camtools.verify.fit.joint_fit import FaceGap, Joint
from camtools.verify.fit.plane_sections import Blocked
from camtools.verify.grouping import Group, groups_of
from camtools.verify.rules.entry_line import ScoredLine
from camtools.verify.rules.exit_edge import ExitEdge
from camtools.verify.trial.trial_fit import TrialReport

__all__ = ["BoardReport", "DrawerReport", "JointReport", "Report", "json_of"]

_DECIMALS = 4  # of mm: below what any of it means, above the noise of arithmetic


@dataclass(frozen=True, slots=True)
class BoardReport:
    """A carved board."""

    id: str
    role: str
    programs: tuple[str, ...]
    sweeps: int
    bound_mm: float  # its surface lies at most this far from the true one
    removed_mm3: float


@dataclass(frozen=True, slots=True)
class JointReport:
    """A joint at home and on its way there. Places are in the drawer's frame."""

    corner: str
    measured: Joint
    gaps: tuple[FaceGap, ...]
    blocked: Blocked


@dataclass(frozen=True, slots=True)
class DrawerReport:
    """A drawer put together."""

    id: str
    name: str  # as in the job file
    count: int
    outside: Triple  # width, depth and height as measured, proud ends left aside
    diagonals_mm: float  # difference of the two diagonals inside
    joints: tuple[JointReport, ...]
    bottom: BottomFit | None


@dataclass(frozen=True, slots=True)
class Report:
    """The whole verdict."""

    job: str
    findings: tuple[Finding, ...]
    boards: tuple[BoardReport, ...]
    drawers: tuple[DrawerReport, ...]
    judged: bool  # everything that the packet holds could be judged
    bound_mm: float  # the largest of all boards
    ends: tuple[EndReport, ...] = ()
    trials: tuple[TrialReport, ...] = ()

    @property
    def errors(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.severity == "error")

    @property
    def entries(self) -> tuple[ScoredLine, ...]:
        return tuple(end.entry for end in self.ends if end.entry is not None)

    @property
    def edges(self) -> tuple[ScoredLine, ...]:
        return tuple(edge for end in self.ends for edge in end.edges)

    @property
    def exits(self) -> tuple[ExitEdge, ...]:
        return tuple(end.exit for end in self.ends if end.exit is not None)

    @property
    def groups(self) -> tuple[Group, ...]:
        """All findings, those of one cause together."""
        return groups_of(self.findings)

    def causes(self, severity: Severity) -> int:
        """Count what was found so grave, once for each cause."""
        return sum(group.root.severity == severity for group in self.groups)

    @property
    def ok(self) -> bool:
        """Whether everything was judged and nothing is wrong."""
        return self.judged and not self.errors

    @property
    def exit_code(self) -> int:
        """0: it fits; 1: errors were found; 2: something could not be judged."""
        if not self.judged:
            return 2
        return 1 if self.errors else 0


def json_of(report: Report) -> str:
    """Return the report as JSON text: the same report, the same bytes.

    ``causes`` holds the places of findings that have one cause, the one to mend first.
    """
    places = {id(finding): place for place, finding in enumerate(report.findings)}
    causes = [[places[id(finding)] for finding in (group.root, *group.others)] for group in report.groups]
    content = {"check": 1, "units": "mm", "ok": report.ok, "exit_code": report.exit_code, **asdict(report), "causes": causes}
    return json.dumps(_rounded(content), indent=1, ensure_ascii=True, allow_nan=False) + "\n"


def _rounded(value: object) -> object:
    """Return plain values with their numbers rounded, and the figures of a finding by name."""
    if isinstance(value, dict):
        return {key: _rounded(dict(own) if key == "figures" else own) for key, own in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(own) for own in value]
    return round(value, _DECIMALS) + 0.0 if isinstance(value, float) else value
