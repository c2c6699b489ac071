"""The cut list and the stock to prepare."""

from __future__ import annotations

from collections.abc import Iterator

from camtools.drawer.boards import ROLES
from camtools.output.cutlist import FACES, runs_of
from camtools.output.manifest import BoardEntry
from camtools.output.stock_list import STOCK_COLUMNS
from camtools.page.blocks import Block, Heading, Table, TextBlock
from camtools.page.facts import PacketFacts
from camtools.page.solids import PARTS
from camtools.wording import bare, unit_word

__all__ = ["HEADING", "blocks"]

HEADING = "Cut list"


def blocks(facts: PacketFacts) -> list[Block]:
    """Return what to saw, and from how much wood."""
    return [
        TextBlock(
            f"Sizes in {unit_word()}, as the boards come to the machine. Mark on each board its mark, its outside face and its reference "
            "edge: the bottom edge of fronts, backs and sides, the front edge of a bottom. Equal boards share a mark; left and right sides "
            "are mirror images and never do."
        ),
        Table(
            "Boards",
            ("Mark", "Part", "Wood", "Off", "Length", "Width", "Thick", "Grain runs", "Outside face", "For"),
            (*_rows(facts), *_show_fronts(facts)),
            frozenset({3, 4, 5, 6}),
        ),
        *_stock(facts),
    ]


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
        if board.id in facts.cut_again:
            groups.setdefault((facts.names.mark(board.id), board.wood or "–"), []).append(board)
    users = _users(facts)
    every = len(facts.manifest.drawers)
    rows = []
    for (mark, wood), boards in groups.items():
        board, names = boards[0], users.get(mark, [])
        off = str(1 if facts.limits.only else sum(board.count for board in boards))
        users_named = ("all" if 1 < every == len(names) else ", ".join(names)) if every else "trial joints"
        rows.append((mark, board.role, wood, off, *map(bare, board.size), runs_of(board.role), FACES[board.role], users_named))
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
            *map(bare, drawer.show_front_mm.values()),
            runs_of("front"),
            FACES["front"],
            drawer.name,
        )
        for drawer in facts.names.drawers.values()
        if drawer.show_front_mm and drawer.id in counts
    ]


def _stock(facts: PacketFacts) -> Iterator[Block]:
    """Yield how much rough wood to prepare, and the boards for rows of fronts."""
    if not facts.names.stock:
        return
    yield Heading("Stock to prepare")
    yield Table(
        "Stock",
        STOCK_COLUMNS,
        tuple(stock.cells for stock in facts.names.stock),
        frozenset(range(1, len(STOCK_COLUMNS))),
    )
    yield TextBlock(
        "Rough sizes, with what sawing and planing take; cutlist.csv has them for every board. Knots, splits and the trial joints come on "
        "top: a quarter more is usual. What is wider than your boards is glued up first."
    )
    if facts.names.rows:
        yield Heading("Fronts that follow each other")
        yield TextBlock(
            "Saw the fronts of a row from one board, in this order from the left, so that its grain runs on across them. Before you saw, "
            "draw one long arrow to the right over the whole face, and write each mark beside it."
        )
        yield Table(
            "Rows of fronts",
            ("Row", "Wood", "Length", "Width", "Thick", "From the left"),
            tuple(
                (
                    row.name,
                    row.wood,
                    *map(bare, row.size_mm),
                    ", ".join(f"{mark} ({name})" for mark, name in zip(row.fronts, row.drawers, strict=True)),
                )
                for row in facts.names.rows
            ),
            frozenset({2, 3, 4}),
        )
