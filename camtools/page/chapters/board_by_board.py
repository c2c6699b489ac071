"""The cut list and the stock to prepare."""

from __future__ import annotations

from camtools.drawer.boards import ROLES
from camtools.output.cutlist import FACES, runs_of
from camtools.output.manifest import BoardEntry
from camtools.page.blocks import Block, Heading, Table, TextBlock
from camtools.page.facts import PacketFacts
from camtools.page.solids import PARTS

__all__ = ["HEADING", "blocks"]

HEADING = "Cut list"


def blocks(facts: PacketFacts) -> list[Block]:
    """Return what to saw, and from how much wood."""
    return [
        TextBlock(
            "Sizes in mm, as the boards come to the machine. Mark on each board its mark, its outside face and its reference edge: "
            "the bottom edge of fronts, backs and sides, the front edge of a bottom. Equal boards share a mark; left and right sides are "
            "mirror images and never do."
        ),
        Table(
            "Boards",
            ("Mark", "Part", "Wood", "Off", "Length", "Width", "Thick", "Grain runs", "Outside face", "For"),
            (*_rows(facts), *_show_fronts(facts)),
            frozenset({3, 4, 5, 6}),
        ),
        Heading("Stock to prepare"),
        Table(
            "Stock", ("Thickness", "For", "Wood", "Pieces", "Length in all", "Area"), tuple(_stock(facts)), frozenset({3, 4, 5}),
        ),
        TextBlock("Net sizes: add what sawing, planing and defects cost, and a spare board of each thickness for the trial joints."),
    ]  # fmt: skip


def _users(facts: PacketFacts) -> dict[str, list[str]]:
    """Return the drawers that each mark stands in."""
    found: dict[str, list[str]] = {}
    for drawer in facts.manifest.drawers:
        for part in PARTS:
            names = found.setdefault(facts.names.mark(getattr(drawer.parts, part)), [])
            name = facts.names.drawer(drawer.id)
            if name not in names:
                names.append(name)
    return found


def _rows(facts: PacketFacts) -> list[tuple[str, ...]]:
    groups: dict[tuple[str, str], list[BoardEntry]] = {}
    for board in sorted(facts.manifest.boards, key=lambda board: ROLES.index(board.role)):
        groups.setdefault((facts.names.mark(board.id), board.wood or "–"), []).append(board)
    users = _users(facts)
    every = len(facts.manifest.drawers)
    rows = []
    for (mark, wood), boards in groups.items():
        board, names = boards[0], users.get(mark, [])
        off = str(sum(board.count for board in boards))
        sizes = (f"{size:.1f}" for size in board.size)
        users_named = "all" if 1 < every == len(names) else ", ".join(names)
        rows.append((mark, board.role, wood, off, *sizes, runs_of(board.role), FACES[board.role], users_named))
    return rows


def _show_fronts(facts: PacketFacts) -> list[tuple[str, ...]]:
    """Return a row for each front that is laid over a drawer's own."""
    counts = {drawer.id: drawer.count for drawer in facts.manifest.drawers}
    return [
        (
            "–",
            "show front",
            drawer.boards[0].wood,
            str(counts[drawer.id]),
            *(f"{size:.1f}" for size in drawer.show_front_mm.values()),
            runs_of("front"),
            FACES["front"],
            drawer.name,
        )
        for drawer in facts.names.drawers.values()
        if drawer.show_front_mm and drawer.id in counts
    ]


def _stock(facts: PacketFacts) -> list[tuple[str, ...]]:
    groups: dict[tuple[float, str, str], list[tuple[BoardEntry, int]]] = {}
    boards = facts.boards
    for drawer in facts.manifest.drawers:
        for part in PARTS:
            board = boards[getattr(drawer.parts, part)]
            role = "sides" if "side" in board.role else f"{board.role}s"
            groups.setdefault((board.size[2], role, _wood(facts, drawer.id, part)), []).append((board, drawer.count))
    return [
        (
            f"{thickness:.2f} mm",
            role,
            wood,
            str(sum(count for _, count in pieces)),
            f"{sum(board.size[0] * count for board, count in pieces) / 1000:.2f} m",
            f"{sum(board.size[0] * board.size[1] * count for board, count in pieces) / 1e6:.3f} m²",
        )
        for (thickness, role, wood), pieces in sorted(groups.items(), key=lambda item: (-item[0][0], item[0][1:]))
    ]


def _wood(facts: PacketFacts, drawer: str, part: str) -> str:
    if drawer not in facts.names.drawers:
        return "–"
    planned = facts.names.drawers[drawer]
    wood = next(board.wood for board in planned.boards if part in board.role)
    return wood if wood == "plywood" else f"{wood}, {planned.stock.sawn}-sawn"
