"""The head of the page: what the piece is, and whether it was proved to fit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from camtools.page.blocks import Span
from camtools.page.facts import PacketFacts
from camtools.page.rounds import total_seconds
from camtools.wording import counted

__all__ = ["Summary", "summary_of"]


@dataclass(frozen=True, slots=True)
class Summary:
    """Title, a line of figures, and the verdict."""

    title: str
    figures: str
    verdict: Literal["good", "bad"]
    words: str


def summary_of(facts: PacketFacts) -> Summary:
    """Return the head of a packet's page."""
    drawers = facts.manifest.drawers
    number, kinds = sum(drawer.count for drawer in drawers), len(drawers)
    only = facts.limits.only
    trials = facts.limits.trials
    made = f"{counted(number, 'drawer')}{'' if number == kinds else f' of {kinds} kinds'}"
    if trials:
        made = counted(sum(len(trial.boards) for trial in trials), "trial board")
    elif only:
        made = f"{only.name} alone, cut again: {made}"
    figures = f"{made}, {counted(len(facts.programs), 'program')}, {Span(total_seconds(facts))} of machine time."
    report = facts.report
    if report.ok:
        return Summary(
            f"Trial joints: {facts.manifest.job}" if trials else facts.manifest.job,
            figures,
            "good",
            "Checked: from these programs every step of every trial joint has the clearance that its nicks tell."
            if trials
            else "Checked: from these programs every joint closes, every groove meets, every bottom goes in.",
        )
    if report.errors:
        words = f"Do not cut: the check found {counted(report.causes('error'), 'error')}, told at the end of this page."
    else:
        words = "Do not cut: not everything in this packet could be judged."
    return Summary(facts.manifest.job, figures, "bad", words)
