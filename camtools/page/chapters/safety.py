"""The cautions in full, before anything else."""

from __future__ import annotations

from camtools.output.cautions import CAUTIONS
from camtools.page.blocks import Block, Cautions, TextBlock
from camtools.page.facts import PacketFacts

__all__ = ["HEADING", "blocks"]

HEADING = "Safety first"


def blocks(_: PacketFacts) -> list[Block]:
    """Return every caution."""
    return [
        TextBlock("A router can maim. These are the usual cautions, not all there is to know.", tone="strong"),
        Cautions(tuple((caution.topic, caution.full) for caution in CAUTIONS)),
    ]
