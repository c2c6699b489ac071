"""What was checked, with its figures, and the machine times."""

from __future__ import annotations

from camtools.page.blocks import Block, Heading, Span, Table, TextBlock
from camtools.page.facts import PacketFacts
from camtools.page.rounds import drawer_seconds, time_words
from camtools.verify.fit.joint_fit import Spread
from camtools.wording import bare_fine, counted, fine, unit_word

__all__ = ["HEADING", "blocks"]

HEADING = "What was checked"
_MOST_TOLD = 60


def blocks(facts: PacketFacts) -> list[Block]:
    """Return the figures of every joint, every finding and the times of every drawer."""
    report = facts.report
    done = "joints tried with" if report.trials else "drawers put together from"
    found: list[Block] = [
        TextBlock(
            f"The programs of this packet were read back from their files, carved from solid boards, and the {done} what was carved, true "
            f"within {fine(report.bound_mm)}. That proves them against the numbers in the job file, not against "
            "your machine, your zero or your wood."
        )
    ]
    groups = report.groups
    found += [
        TextBlock(f"{'; '.join(group.words())} ({group.place.replace(':', ', line ')}; {group.root.code})", group.root.severity, "warning")
        for group in groups[:_MOST_TOLD]
    ]
    if len(groups) > _MOST_TOLD:
        found.append(TextBlock(f"{counted(len(groups) - _MOST_TOLD, 'finding')} more: see check.json.", tone="warning"))
    columns = ("Drawer", "Joint", "Overlap", "Flank, least", "mean", "most", "Shoulder, most", "Gap, widest", "allowed")
    if report.drawers:
        found.append(Heading(f"Joints, in {unit_word()}"))
        found.append(Table(f"Joints, in {unit_word()}", columns, tuple(_joints(facts)), frozenset(range(2, len(columns)))))
    for trial in report.trials:
        heading = f"Trial joints, in {unit_word()}"
        rows = tuple(
            (step.joint, str(step.number), str(step.nicks), bare_fine(step.clearance_mm), *_spread(step.flank)) for step in trial.steps
        )
        told = ("Joint", "Step", "Nicks found", "Told", "Flank, least", "mean", "most")
        found += [Heading(heading), Table(heading, told, rows, frozenset(range(1, len(told))))]
    if report.trials:
        return [*found, TextBlock(time_words(facts))]
    whole = sum(drawer_seconds(facts, drawer) * drawer.count for drawer in facts.manifest.drawers)
    found += [
        Heading("Machine time, one board at a time"),
        Table(
            "Machine time",
            ("Drawer", "Off", "Each", "All"),
            tuple(_time(facts, i) for i in range(len(facts.manifest.drawers))),
            frozenset({1, 2, 3}),
            ("The piece", str(sum(drawer.count for drawer in facts.manifest.drawers)), "", Span(whole)),
        ),
        TextBlock(time_words(facts)),
    ]
    return found


def _joints(facts: PacketFacts) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for drawer in facts.report.drawers:
        for joint in drawer.joints:
            measured = joint.measured
            flank, shoulder = measured.flank, measured.shoulder
            worst = max((gap for gap in joint.gaps if not gap.stated), key=lambda gap: gap.excess_mm, default=None)
            rows.append((
                facts.names.drawer(drawer.id),
                joint.corner,
                _figure(measured.overlap.depth_mm),
                *_spread(flank),
                _figure(shoulder.largest_mm if shoulder else None),
                _figure(worst.widest_mm if worst else None),
                _figure(worst.limit_mm if worst else None),
            ))  # fmt: skip
    return rows


def _spread(spread: Spread | None) -> tuple[str, str, str]:
    if spread is None:
        return "–", "–", "–"
    return _figure(spread.smallest_mm), _figure(spread.mean_mm), _figure(spread.largest_mm)


def _figure(value: float | None) -> str:
    return "–" if value is None else bare_fine(round(value, 3))


def _time(facts: PacketFacts, place: int) -> tuple[str | Span, ...]:
    drawer = facts.manifest.drawers[place]
    each = drawer_seconds(facts, drawer)
    return facts.names.drawer(drawer.id), str(drawer.count), Span(each), Span(each * drawer.count)
