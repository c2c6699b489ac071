"""The stock to prepare: what each board is sawn out as, the wood that takes in all, and the boards that rows of fronts are sawn from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from camtools.drawer.boards import Drawer
from camtools.job.job import Job, Stock
from camtools.toolpath.handling.board_names import marks_of
from camtools.wording import MM_PER_INCH, Units, mm, units_told

__all__ = ["STOCK_COLUMNS", "FrontRow", "RoughStock", "front_rows_of", "rough_mm", "rough_stock_of"]

STOCK_COLUMNS = ("Wood", "Rough", "Planed to", "Pieces", "Length in all", "Area", "Volume")

_FOOT_MM = 12 * MM_PER_INCH
_BOARD_FOOT_MM3 = 144 * MM_PER_INCH**3  # a foot by a foot by an inch

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class RoughStock:
    """Boards of one wood that are sawn from one thickness, with what sawing and planing take."""

    wood: str  # or "plywood"
    sawn: str  # empty for plywood
    rough_mm: float  # thickness it is bought in, at least
    thickness_mm: float  # to which it is planed
    pieces: int
    length_mm: float  # in all
    area_m2: float
    volume_m3: float

    @property
    def cells(self) -> tuple[str, ...]:
        """What a table with STOCK_COLUMNS says of it; a sheet is not planed."""
        solid, inches = self.sawn != "", units_told()[0] is Units.INCH
        length, area = self.length_mm / _FOOT_MM, self.area_m2 * 1e6 / _FOOT_MM**2
        return (
            f"{self.wood}, {self.sawn}-sawn" if solid else self.wood,
            mm(self.rough_mm) if solid else "–",
            mm(self.thickness_mm),
            str(self.pieces),
            f"{length:.1f} ft" if inches else f"{self.length_mm / 1000:.2f} m",
            f"{area:.2f} sq ft" if inches else f"{self.area_m2:.3f} m²",
            "–" if not solid else f"{self.volume_m3 * 1e9 / _BOARD_FOOT_MM3:.2f} board feet" if inches else f"{self.volume_m3:.4f} m³",
        )


@dataclass(frozen=True, slots=True)
class FrontRow:
    """One board that the fronts of a row are sawn from, one after the other, so that its grain runs on across them."""

    name: str
    wood: str
    size_mm: Triple  # rough
    fronts: tuple[str, ...]  # mark of each, from the left
    drawers: tuple[str, ...]  # name of each front's drawer


def rough_mm(stock: Stock, wood: str, size_mm: Triple) -> Triple:
    """Return length, width and thickness that a board is sawn out as; a sheet is sawn to size and loses the saw's width."""
    length, width, thick = size_mm
    if wood == "plywood":
        return length + stock.kerf_mm, width + stock.kerf_mm, thick
    return length + stock.spare_length_mm, width + stock.spare_width_mm, thick + stock.spare_thickness_mm


def rough_stock_of(job: Job, drawers: Sequence[Drawer]) -> tuple[RoughStock, ...]:
    """Return the wood that all boards take, by kind of wood and by thickness, the thickest first.

    Drawers stand in the order of the job's wishes.
    """
    groups: dict[tuple[str, str, float, float], list[tuple[Triple, int]]] = {}
    for wish, drawer in zip(job.drawers, drawers, strict=True):
        for wood, size, count in _boards(drawer):
            rough = rough_mm(wish.stock, wood, size)
            key = (wood, "" if wood == "plywood" else wish.stock.sawn, rough[2], size[2])
            groups.setdefault(key, []).append((rough, count))
    return tuple(
        RoughStock(
            *key,
            pieces=sum(count for _, count in boards),
            length_mm=sum(size[0] * count for size, count in boards),
            area_m2=sum(size[0] * size[1] * count for size, count in boards) / 1e6,
            volume_m3=sum(size[0] * size[1] * size[2] * count for size, count in boards) / 1e9,
        )
        for key, boards in sorted(groups.items(), key=lambda item: (-item[0][3], item[0][:2]))
    )


def _boards(drawer: Drawer) -> Iterator[tuple[str, Triple, int]]:
    for board in drawer.boards:
        yield board.wood, board.planned_mm or board.piece.size_mm, board.count
    if drawer.show_front_mm is not None:
        yield drawer.front.wood, drawer.show_front_mm, drawer.count


def front_rows_of(job: Job, drawers: Sequence[Drawer]) -> tuple[FrontRow, ...]:
    """Return the board for each row of fronts that the job names: as long as all of them, the saw's cuts and the spare together.

    Of a drawer with a front laid over its own, that one shows.
    """
    marks = marks_of(drawers)
    rows: dict[str, list[tuple[Triple, str, Drawer, Stock]]] = {}
    for wish, drawer in zip(job.drawers, drawers, strict=True):
        if wish.row is not None:
            laid_over, own = drawer.show_front_mm, drawer.front
            shown = (laid_over, "show front") if laid_over else (own.planned_mm or own.piece.size_mm, marks[own.piece])
            rows.setdefault(wish.row, []).extend([(*shown, drawer, wish.stock)] * drawer.count)
    found = []
    for name, fronts in rows.items():
        sizes = [size for size, *_ in fronts]
        stock = fronts[0][3]
        whole = (sum(size[0] for size in sizes) + stock.kerf_mm * (len(sizes) - 1), max(size[1] for size in sizes), sizes[0][2])
        found.append(
            FrontRow(
                name=name,
                wood=stock.front_wood,
                size_mm=rough_mm(stock, stock.front_wood, whole),
                fronts=tuple(mark for _, mark, *_ in fronts),
                drawers=tuple(drawer.name for _, _, drawer, _ in fronts),
            )
        )
    return tuple(found)
