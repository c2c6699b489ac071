"""What a packet of trial joints is for: what to push into what, how to read the nicks, what to measure, and how to answer."""

from __future__ import annotations

import shlex
from collections.abc import Iterator

from camtools.drawer.trial.trial_boards import SLOT_LETTERS
from camtools.output.manifest import TrialEntry
from camtools.page.blocks import Block, Heading, Table, TextBlock
from camtools.page.facts import PacketFacts
from camtools.page.images import Images
from camtools.wording import bare, bare_fine, counted, fine, listed, unit_word

__all__ = ["HEADING", "blocks"]

HEADING = "What is tried, and how to answer"


def blocks(facts: PacketFacts) -> list[Block]:
    """Return it for each set of trial boards; nothing for a packet of drawers."""
    trials = facts.limits.trials
    if not trials:
        return []
    found: list[Block] = [
        TextBlock(
            "These short boards are cut from offcuts of the stock before the boards of the drawers. One tail is pushed into every socket "
            "in turn: the sockets differ by their clearance at the flanks, the tail is the same. A finger reads which is which: nicks "
            "beside each socket count its step, one for the tightest."
        )
    ]
    for trial in trials:
        if len(trials) > 1:
            names = [facts.drawer_names[number - 1] for number in trial.drawers if number <= len(facts.drawer_names)]
            found.append(Heading(f"{trial.front}, {trial.back}, {trial.side}: for {listed(names, 'and')}"))
        found += _of_set(facts, trial)
    return found


def _of_set(facts: PacketFacts, trial: TrialEntry) -> Iterator[Block]:
    if picture := Images(facts.folder).find(f"drawings/{trial.front}-steps.svg", "Steps, nicks and slots of the trial boards"):
        yield picture
    yield Table(
        "Steps",
        ("Nicks", f"Clearance at each flank, {unit_word()}"),
        tuple((str(step.number), bare_fine(step.clearance)) for step in trial.steps),
        frozenset({1}),
    )
    yield TextBlock(
        f"Push the tail at the front end of {trial.side} into each socket of {trial.front} from the inside face, and that at its rear "
        f"end into each socket of {trial.back}, reference edges on one side. The joint is right that light persuasion by hand closes, and "
        "that leaves room for glue: it neither needs a mallet nor rattles. Count the nicks of the tightest one that does. Behind the "
        "tail a socket has the room of the loosest step, so that the flanks alone decide.",
        lead="Joints",
    )
    if trial.grooves:
        grooves = "; ".join(f"{groove.number} in {groove.board}, {fine(groove.play)} wider than the bottom" for groove in trial.grooves)
        yield TextBlock(f"Slide an offcut of the bottom along each groove: {grooves}. It must slide, and not rattle.", lead="Grooves")
    slots = next((report.slots for report in facts.report.trials if report.slots and report.slots[0].board == trial.front), ())
    if slots:
        yield Table(
            f"Slots in the right end of {trial.front}",
            ("Slot", "Cutter", *(f"{what}, {unit_word()}" for what in ("From the reference edge", "Depth", "Mouth, by the job file"))),
            tuple(
                (letter, str(slot.tool), bare(slot.middle_mm), bare(slot.depth_mm), bare_fine(slot.asked_mm))
                for letter, slot in zip(SLOT_LETTERS, slots, strict=False)
            ),
            frozenset({1, 2, 3, 4}),
        )
        yield TextBlock(
            "Each slot was cut in one line, so its mouth at the inside face tells its cutter: a straight cutter's diameter, and from the "
            "two depths of a dovetail cutter its diameter and its angle. Measure each mouth with the inside jaws of calipers, three times, "
            "and the depth of the slots too: where a depth is not as here, answer with --slot-depths as well.",
            lead="Cutters",
        )
    grooved = " --groove N" if trial.grooves else ""
    letters: dict[int, list[str]] = {}
    for letter, slot in zip(SLOT_LETTERS, slots, strict=False):
        letters.setdefault(slot.tool, []).append(letter)
    measured = "".join(f" --slots {tool} {','.join(own)}" for tool, own in letters.items())
    if len(facts.limits.trials) > 1 and (names := [facts.drawer_names[one - 1] for one in trial.drawers if one <= len(facts.drawer_names)]):
        measured += f" --drawer {shlex.quote(names[0])}"
    widths = ", and each letter the width of that slot" if letters else ""
    yield TextBlock(
        f"camtools fit JOB --half-blind N --through N{grooved}{measured}, each N the number of nicks, or of the groove{widths}. If none of "
        f"the {counted(len(trial.steps), 'step')} fits, write others into the table [trial] of the job file, and cut them.",
        lead="Answer",
    )
