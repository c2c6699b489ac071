"""The order of work: rounds with as few changes as can be, and within them a step at a time."""

from __future__ import annotations

from camtools.page.bench_steps import after_the_machine, before_the_machine, marking_the_grooves
from camtools.page.blocks import Block, Heading, Span, Step, Steps, Table, TextBlock
from camtools.page.facts import PacketFacts, SetupFacts
from camtools.page.images import Images
from camtools.page.rounds import board_count, changes_of, rounds_of, time_words, total_seconds
from camtools.page.setup_steps import SetupSteps

__all__ = ["HEADING", "blocks"]

HEADING = "Order of work"


def blocks(facts: PacketFacts) -> list[Block]:
    """Return the overview and every step."""
    found: list[Block] = [*_overview(facts), Heading("Before the machine"), Steps(before_the_machine(facts))]
    making = SetupSteps(facts, Images(facts.folder))
    marked = False
    for i, round_ in enumerate(rounds_of(facts)):
        steps: list[Step] = []
        for setup in round_.setups:
            if _is_groove(setup) and not marked:
                marked = True
                steps.append(marking_the_grooves(after_joints=_joints_done_before(facts, setup)))
            steps.append(making.step(setup))
        found += [Heading(f"Round {i + 1}: {round_.heading(facts)}"), Steps(tuple(steps))]
    return [*found, Heading("At the bench"), Steps(after_the_machine(facts))]


def _overview(facts: PacketFacts) -> list[Block]:
    changes = changes_of(facts, facts.setups)
    rows: list[tuple[str | Span, ...]] = []
    done: tuple[SetupFacts, ...] = ()
    for i, round_ in enumerate(rounds_of(facts), 1):
        before, done = changes_of(facts, done), (*done, *round_.setups)
        after = changes_of(facts, done)
        seconds = sum(setup.seconds * board_count(facts, setup) for setup in round_.setups)
        counts = (len(round_.setups), after.placings - before.placings, after.cutters - before.cutters)
        rows.append((f"Round {i}: {round_.heading(facts)}", *(str(count) for count in counts), Span(seconds)))
    return [
        TextBlock(
            f"The order that changes cutter and hold least. A board is placed {_times(changes.placings)}; the hold changes "
            f"{_times(changes.holds)}, the cutter {_times(changes.cutters)}."
        ),
        Table(
            "Rounds",
            ("Round", "Setups", "Boards placed", "Changes of cutter", "Time"),
            tuple(rows),
            frozenset({1, 2, 3, 4}),
            ("In all", str(len(facts.setups)), str(changes.placings), str(changes.cutters), Span(total_seconds(facts))),
        ),
        TextBlock(time_words(facts)),
        TextBlock("Left sides bear a bar at the left and the word LEFT, right sides a bar at the right and RIGHT in black."),
    ]


def _times(count: int) -> str:
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count} times")


def _is_groove(setup: SetupFacts) -> bool:
    return "groove" in setup.stem


def _joints_done_before(facts: PacketFacts, setup: SetupFacts) -> bool:
    """Tell whether every joint is cut when this setup comes."""
    return not any(not _is_groove(later) for later in facts.setups[facts.setups.index(setup) :])
