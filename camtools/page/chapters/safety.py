"""The cautions in full, before anything else."""

from __future__ import annotations

from camtools.output.cautions import CAUTIONS
from camtools.page.blocks import Block, Cautions, TextBlock
from camtools.page.facts import PacketFacts
from camtools.page.steps.setup_steps import plate_caution

__all__ = ["HEADING", "blocks"]

HEADING = "Safety first"


def blocks(facts: PacketFacts) -> list[Block]:
    """Return every caution, that of the touch plate where programs use one."""
    plates = [plate for program in facts.programs for plate in program.run.probed][:1]
    return [
        TextBlock("A router can maim. These are the usual cautions, not all there is to know.", tone="strong"),
        Cautions(tuple((caution.topic, caution.full) for caution in (*CAUTIONS, *map(plate_caution, plates)))),
    ]
