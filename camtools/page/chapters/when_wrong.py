"""What to do when a joint does not close as it should, and how one spoiled board is cut again. Common practice, no source."""

from __future__ import annotations

from camtools.page.blocks import Block, Heading, Table, TextBlock
from camtools.page.facts import PacketFacts

__all__ = ["HEADING", "blocks"]

HEADING = "If something goes wrong"
_JOINTS = (
    (
        "A joint is tight",
        "Do not drive it: a front splits along its sockets. Look for a chip in a corner first. Rub a soft pencil on the tail's flanks, "
        "push it in, and pare where the socket is black. Where all of them bind alike, stop: answer camtools fit with the next looser step "
        "of the trial, or set joints.clearance, and write the packet anew before more is cut.",
    ),
    (
        "A joint is loose",
        "One that rattles by a little is glued with a shaving of the same wood laid on the flank, its grain along. Where all are loose, "
        "measure the cutter and the thickness of the board again; then camtools fit, and the packet anew for the boards not yet cut.",
    ),
    (
        "A joint gapes on one side",
        "Look along the edges: reference edges flush, and both boards the right way round. A gap that grows across the board: the board "
        "stood askew, a chip lay at the stop or on the backing piece, or the plate is not square to X. A gap of one width at the shoulder: "
        "Z zero was off, or the end was not at the height of the stop. Set that right, and cut the board again; plane no shoulders.",
    ),
    (
        "The grooves do not meet",
        "Compare the lines across the corners: the groove in the wrong face or along the wrong edge is cut again with its board. Off by a "
        "few tenths: Y zero at the fence, or a chip under the reference edge; pare the lower wall of the groove that stands high.",
    ),
)


def blocks(facts: PacketFacts) -> list[Block]:
    """Return it for a packet of drawers."""
    if facts.limits.trials:
        return []
    found: list[Block] = [TextBlock(text, lead) for lead, text in _JOINTS]
    return found if facts.limits.only else [*found, *_cut_again(facts)]


def _cut_again(facts: PacketFacts) -> list[Block]:
    """Return how a spoiled board is made again, and which programs cut it."""
    names = facts.names
    programs: dict[str, dict[str, None]] = {}
    for setup in facts.setups:
        programs.setdefault(names.mark(setup.entry.board), {})[setup.stem] = None
    mark = next(iter(programs), "front-1")
    drawer = next((names.drawer(drawer.id) for drawer in facts.manifest.drawers), "")
    rows = tuple((name, ", ".join(own)) for name, own in sorted(programs.items()))
    return [
        Heading("One spoiled board, cut again"),
        TextBlock(
            "camtools packet JOB -o FOLDER --only NAME writes what cuts it alone, with a page of its own. NAME is a board, as "
            f"{mark}; one end of it, {mark} {_an_end(mark)}; a joint, {drawer} front left joint; a drawer, {drawer}. Or run the programs "
            "of the table again, each with its dry run, in this order. Plane the new board to the thickness of the old one.",
        ),
        TextBlock(
            "All other boards stay good, cut or not, as long as the job file and the files beside it are those this packet was written "
            f"from: the print of the job file is {facts.job_print}. Strike the spoiled board's name out, so that it does not come back."
        ),
        Table("Programs of each board", ("Board", "Its programs, in order"), rows),
    ]


def _an_end(mark: str) -> str:
    return "front end" if "side" in mark else "left end"
