"""The piece at a glance: every drawer with a picture of it as carved, its sizes, its clearances and what the check found."""

from __future__ import annotations

import io

import PIL.Image

from camtools.output.manifest import DrawerEntry
from camtools.output.plan_data import PlanDrawer
from camtools.page.blocks import Beside, Block, Card, Cards, Facts, Folded, Picture, Span, Table, TextBlock, View
from camtools.page.facts import PacketFacts
from camtools.page.rounds import drawer_seconds
from camtools.verify.report import DrawerReport
from camtools.wording import bare, bare_fine, counted, fine, mm, unit_word

__all__ = ["HEADING", "blocks"]

HEADING = "The piece at a glance"


def blocks(facts: PacketFacts) -> list[Block]:
    """Return a card for every drawer, and why its joints were divided as they are."""
    drawers = facts.manifest.drawers
    if not drawers:
        return []
    found: list[Block] = [
        TextBlock(f"Sizes in {unit_word()}: width × height × depth."),
        Cards(tuple(_card(facts, drawer) for drawer in drawers)),
    ]
    found += [_view(drawer.id, facts.names.drawer(drawer.id)) for drawer in drawers if drawer.id in facts.portraits]
    found += _answers(facts)
    reasons: dict[tuple[str, str], list[str]] = {}
    for planned in facts.names.drawers.values():
        for note in planned.choices:
            reasons.setdefault((note.where.capitalize(), note.text), []).append(planned.name)
    if reasons:
        every = len(drawers)
        told = (
            TextBlock(text, lead=where if len(owners) == every else f"{where} ({', '.join(owners)})")
            for (where, text), owners in reasons.items()
        )
        found.append(Folded("What was chosen for these drawers, and why", tuple(told)))
    return found


def _answers(facts: PacketFacts) -> list[Block]:
    """Return what the maker found at the bench, and what came of it."""
    rows = tuple(
        (
            f"{answer.words}, {answer.date.isoformat()}" if answer.date else answer.words,
            f"{answer.key} {answer.value}" if answer.value else f"nothing: {answer.why}",
            ", ".join(answer.drawers) or "all",
        )
        for answer in facts.names.answers
    )
    return [Table("Your answers", ("Your answers, kept beside the job file", "They set", "In drawers"), rows)] if rows else []


def _view(identity: str, name: str) -> View:
    return View("drawer", identity, f"{name}: turn it about, pull its joints apart", f"Drawer {name}", f"portrait-{identity}")


def _card(facts: PacketFacts, drawer: DrawerEntry) -> Card:
    name = facts.names.drawer(drawer.id)
    wide, deep, high = drawer.outside
    rows: list[tuple[str, str | Span]] = [("Number off", str(drawer.count)), ("Outside", _sizes(wide, high, deep))]
    fit = facts.fit(drawer)
    if fit is not None:
        if fit.opening is not None:
            rows.append(("Opening", _sizes(*fit.opening)))
            rows += _clearances(fit.opening, (wide, high, deep))
        front, rear = fit.flanks
        rows.append(("Clearance at flanks", mm(front) if front == rear else f"{mm(front)} front, {mm(rear)} rear"))
    planned = facts.names.drawers.get(drawer.id)
    if planned:
        rows += _through_the_year(planned)
        front, rear = len(planned.tails.front), len(planned.tails.rear)
        rows.append(("Tails a corner", str(front) if front == rear else f"{front} at the front, {rear} at the rear"))
    report = next((report for report in facts.report.drawers if report.id == drawer.id), None)
    if report is not None:
        rows += _verdict(facts, report)
    rows.append(("Machine time, each", Span(drawer_seconds(facts, drawer))))
    picture = facts.portraits.get(drawer.id)
    seen: Block = Facts(tuple(rows))
    if picture:
        alt = f"Drawer {name} put together, seen from its front left corner, as carved from the programs"
        seen = Beside((Picture(f"portrait-{drawer.id}", alt, *PIL.Image.open(io.BytesIO(picture)).size, content=picture),), (seen,))
    mind = tuple(TextBlock(note.text, lead=f"Mind the {note.where}", tone="warning") for note in (planned.warnings if planned else ()))
    return Card(name, (seen, *mind))


def _sizes(*sizes_mm: float) -> str:
    return " × ".join(map(bare, sizes_mm))


def _clearances(opening: tuple[float, float, float], outside: tuple[float, float, float]) -> list[tuple[str, str | Span]]:
    """Return the room around a drawer, or how much of it is to be planed off."""
    beside, above, behind = (room - size for room, size in zip(opening, outside, strict=True))
    rows: list[tuple[str, str | Span]] = []
    for name, room in (("each side", beside / 2), ("above", above), ("behind", behind)):
        rows.append((f"Room {name}", mm(room)) if room >= 0 else (f"To plane, {name}", mm(-room)))
    return rows


def _through_the_year(planned: PlanDrawer) -> list[tuple[str, str | Span]]:
    """Return what moves with the seasons, from the driest to the dampest."""
    rows: list[tuple[str, str | Span]] = []
    told = [("Height in a year", "side_mm", 1), ("Gap above in a year", "above_mm", 2)]
    if planned.stock.bottom_kind == "solid":
        told += [
            ("Bottom in a year", "bottom_mm", 1),
            ("Its room to grow", "bottom_room_mm", 1),
            ("Its play in grooves", "bottom_play_mm", 2),
        ]
    for name, of, digits in told:
        dry, damp = (getattr(planned.seasons[place], of) for place in (0, -1))
        if dry is not None:
            rows.append((name, f"{bare(dry, digits)} to {bare(damp, digits)}"))
    return rows


def _verdict(facts: PacketFacts, report: DrawerReport) -> list[tuple[str, str | Span]]:
    overlap = max((joint.measured.overlap.depth_mm for joint in report.joints), default=0.0)
    gaps = [gap for joint in report.joints for gap in joint.gaps if not gap.stated]
    flanks = [joint.measured.flank for joint in report.joints if joint.measured.flank]
    rows: list[tuple[str, str | Span]] = [("Deepest overlap", fine(overlap) if overlap else "none")]
    if flanks:
        low, high = min(flank.smallest_mm for flank in flanks), max(flank.largest_mm for flank in flanks)
        rows.append(("Flanks, carved", f"{bare_fine(low)} to {fine(high)}" if high - low >= 0.0005 else fine(high)))
    if gaps:
        worst = max(gaps, key=lambda gap: gap.excess_mm)
        rows.append(("Widest gap", f"{bare_fine(worst.widest_mm)} of {fine(worst.limit_mm)}"))
    errors = sum(finding.severity == "error" and report.id in dict(finding.about) for finding in facts.report.findings)
    fits = "it fits" if facts.report.judged else "not judged as a whole"
    rows.append(("Check", f"{counted(errors, 'error')}: do not cut" if errors else fits))
    return rows
