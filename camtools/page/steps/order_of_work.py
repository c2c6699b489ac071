"""Every step of the work in its order, in parts: before the machine, its rounds, at the bench.

Joints come first. When all are cut, every drawer is put together dry and its grooves are marked; only then grooves are cut.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath

from camtools.page.blocks import Block, Step, TextBlock
from camtools.page.facts import PacketFacts
from camtools.page.images import Images
from camtools.page.rounds import Round, rounds_of
from camtools.page.steps.bench_steps import after_the_machine, before_the_grooves, before_the_machine
from camtools.page.steps.setup_steps import SetupSteps

__all__ = ["WorkPart", "order_of_work"]


@dataclass(frozen=True, slots=True)
class WorkPart:
    """Steps that belong together, and what is to be said before them."""

    heading: str
    words: tuple[Block, ...]
    steps: tuple[Step, ...]


def order_of_work(facts: PacketFacts) -> tuple[WorkPart, ...]:
    """Return the parts in order; the key of each step stands in one of them alone."""
    return tuple(part for part in _parts(facts) if part.steps)


def _parts(facts: PacketFacts) -> Iterator[WorkPart]:
    yield WorkPart("Before the machine", (), before_the_machine(facts))
    making, marked = SetupSteps(facts, Images(facts.folder)), bool(facts.limits.trials)
    for number, round_ in enumerate(rounds_of(facts), 1):
        heading, words = f"Round {number}: {round_.heading(facts)}", tuple(_round_words(facts, round_))
        steps: list[Step] = []
        for loading in round_.loadings:
            if loading.setups[0].is_groove and not marked:
                marked = True
                yield WorkPart(heading, words, tuple(steps))
                yield WorkPart("At the bench, before the grooves", (), before_the_grooves(facts))
                if steps:
                    heading, words, steps = f"{heading}, the grooves", (), []
            steps.append(making.step(loading))
        yield WorkPart(heading, words, tuple(steps))
    yield WorkPart("At the bench", (), after_the_machine(facts))


def _round_words(facts: PacketFacts, round_: Round) -> Iterator[Block]:
    """Tell which text runs several setups of a round."""
    first = facts.loadings.index(round_.loadings[0])
    own = [one for one in facts.limits.rounds if first <= one.first < first + len(round_.loadings)]
    if own:
        names = " and ".join(PurePosixPath(one.file).name for one in own)
        many = " Run them in this order." if len(own) > 1 else ""
        yield TextBlock(
            f"{names} in rounds {'run' if many else 'runs'} these setups one after the other, each as often as it comes, with a stop for "
            f"every change of boards, the spindle still, that tells which come next.{many} If one is stopped elsewhere, go on with the "
            "programs of the steps."
        )
