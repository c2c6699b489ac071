"""What a check must tell of boards as measured, worked out from sheet and job alone."""

from __future__ import annotations

import csv
from pathlib import Path

from camtools.verify.checking import check
from camtools.verify.report import Report

__all__ = ["judged"]

_ALLOWED = {"edge-to-be-planed", "edges-apart", "ends-to-be-planed"}


def judged(packet: Path) -> tuple[Report, list[str]]:
    """Check a packet of measured boards; return the report and all that is wrong with the packet or with what was told of it."""
    report = check(packet, jobs=1)
    wrong = [f"{finding.code} {finding.where}: {finding.text}" for finding in report.findings if finding.code not in _ALLOWED]
    widths = {
        row["board"]: float(row["width mm"]) for row in csv.DictReader((packet / "boards.csv").read_text().splitlines()) if row["width mm"]
    }
    told = {finding.subject.name for finding in report.findings if finding.code in _ALLOWED and finding.subject}
    for drawer in report.drawers:
        sides = [widths.get(f"{drawer.id}-{part}") for part in ("left", "right")]
        apart = abs(sides[0] - sides[1]) > 0.0501 if None not in sides else False
        if apart and drawer.id not in told:
            wrong.append(f"nothing is told of the edges of {drawer.id}: {sides}")
        wrong += [f"{joint.name} of {drawer.id} overlaps" for joint in drawer.joints if joint.measured.overlap.depth_mm > 0.01]
    return report, wrong
