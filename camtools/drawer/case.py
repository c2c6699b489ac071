"""The case that drawers stand in: its rows from the top, and how wide it is inside, as far as their openings tell."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from camtools.drawer.boards import Drawer, Note
from camtools.job.job import Job
from camtools.wording import mm

__all__ = ["SHELF_MM", "Case", "Row", "case_of", "case_with", "with_case_notes"]

SHELF_MM = 12.0  # of wood between rows: a drawing has to have some; common practice, no source
PARTITION_MM = 9.0  # between two openings, where the rows do not tell otherwise; common practice, no source
_PARTITIONS_MM = (3.0, 40.0)  # the thinnest and the thickest that are taken for one; common practice, no source
_SAME_MM = 0.5  # by which openings that were measured may miss one another


@dataclass(frozen=True, slots=True)
class Row:
    """Drawers side by side, from left to right: one entry for each that stands there."""

    name: str
    drawers: tuple[Drawer, ...]

    @property
    def height_mm(self) -> float:
        return max(room_mm(drawer)[1] for drawer in self.drawers)

    @property
    def openings_mm(self) -> float:
        """Width of all openings together."""
        return sum(room_mm(drawer)[0] for drawer in self.drawers)

    def with_partitions_mm(self, partition_mm: float) -> float:
        """Width of the row with partitions of this thickness."""
        return self.openings_mm + partition_mm * (len(self.drawers) - 1)

    def partition_mm(self, width_mm: float) -> float:
        """Thickness of the partitions that bring the row to a width, as far as a partition goes."""
        between = len(self.drawers) - 1
        return min(_PARTITIONS_MM[1], max(0.0, width_mm - self.openings_mm) / between) if between else 0.0

    def lefts_mm(self, width_mm: float) -> Iterator[float]:
        """Yield the left edge of each opening in a case of a width."""
        x = 0.0
        for drawer in self.drawers:
            yield x
            x += room_mm(drawer)[0] + self.partition_mm(width_mm)


@dataclass(frozen=True, slots=True)
class Case:
    """Rows from the top, and the width inside that suits them best."""

    rows: tuple[Row, ...]
    width_mm: float

    def levels_mm(self) -> Iterator[tuple[Row, float]]:
        """Yield each row with its upper edge, from that of the case inside."""
        top = 0.0
        for row in self.rows:
            yield row, top
            top += row.height_mm + SHELF_MM


def room_mm(drawer: Drawer) -> tuple[float, float]:
    """Width and height of a drawer's opening; of the drawer where none is given."""
    wide, _, high = drawer.outside_mm
    return drawer.opening_mm[:2] if drawer.opening_mm else (wide, high)


def case_of(job: Job, drawers: Sequence[Drawer]) -> Case | None:
    """Return the case of the drawers that name a row, in the order in which rows are named first; None where none does.

    Drawers stand in the order of the job's wishes.
    """
    return case_with(_rows(job, drawers))


def case_with(rows: tuple[Row, ...]) -> Case | None:
    """Return the case of these rows, from the top; None where there are none."""
    if not rows:
        return None
    low, high = _bounds(rows)
    alike = _alike_mm(rows)
    wished = max(row.with_partitions_mm(PARTITION_MM if alike is None else alike) for row in rows)
    return Case(rows, max(low.with_partitions_mm(_PARTITIONS_MM[0]), min(wished, high.with_partitions_mm(_PARTITIONS_MM[1]))))


def with_case_notes(job: Job, drawers: Sequence[Drawer]) -> tuple[Drawer, ...]:
    """Return the drawers; one of a row that no partitions bring to the width of the others is warned of."""
    if not (rows := _rows(job, drawers)):
        return tuple(drawers)
    wide, narrow = _bounds(rows)
    thin, thick = _PARTITIONS_MM
    least, most = wide.with_partitions_mm(thin), narrow.with_partitions_mm(thick)
    if least <= most + _SAME_MM:
        return tuple(drawers)
    text = (
        f'row "{narrow.name}" does not go with row "{wide.name}" into one case: its openings are {mm(narrow.openings_mm)} wide in all, '
        f"{mm(most)} with the thickest partitions, and those {mm(wide.openings_mm)}, {mm(least)} with the thinnest; "
        f"partitions are taken to be {mm(thin)} to {mm(thick)} thick"
    )
    owner = narrow.drawers[0]
    noted = replace(owner, notes=(Note("warning", "row", text), *owner.notes))
    return tuple(noted if drawer is owner else drawer for drawer in drawers)


def _rows(job: Job, drawers: Sequence[Drawer]) -> tuple[Row, ...]:
    rows: dict[str, list[Drawer]] = {}
    for wish, drawer in zip(job.drawers, drawers, strict=True):
        if wish.row is not None:
            rows.setdefault(wish.row, []).extend([drawer] * drawer.count)
    return tuple(Row(name, tuple(members)) for name, members in rows.items())


def _alike_mm(rows: Sequence[Row]) -> float | None:
    """Return the thickness with which partitions that are all alike bring every row to one width; None where none does."""
    few, many = min(rows, key=lambda row: len(row.drawers)), max(rows, key=lambda row: len(row.drawers))
    more = len(many.drawers) - len(few.drawers)
    thick = (few.openings_mm - many.openings_mm) / more if more else 0.0
    widths = [row.with_partitions_mm(thick) for row in rows]
    fits = _PARTITIONS_MM[0] <= thick <= _PARTITIONS_MM[1] and max(widths) - min(widths) <= _SAME_MM
    return thick if fits else None


def _bounds(rows: Sequence[Row]) -> tuple[Row, Row]:
    """Return the row that is widest with the thinnest partitions, and the one that is narrowest with the thickest."""
    thin, thick = _PARTITIONS_MM
    return max(rows, key=lambda row: row.with_partitions_mm(thin)), min(rows, key=lambda row: row.with_partitions_mm(thick))
