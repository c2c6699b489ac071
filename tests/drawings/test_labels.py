"""A label for every single board, with its ends where who looks at its outside face sees them."""

from __future__ import annotations

from pathlib import Path

import pytest

from camtools.drawer.drawers import drawers_of
from camtools.drawings.labels import label_sheets
from camtools.drawings.sheet import Sheet, SheetText
from camtools.job import read_job
from camtools.wording import told_in

# Left and right end of a board that lies on its inside face, reference edge towards you: by hand, at a drawer on a table.
ENDS = {
    "front": ("left end", "right end"),
    "back": ("right end", "left end"),
    "left side": ("rear end", "front end"),
    "right side": ("front end", "rear end"),
    "bottom": ("right end", "left end"),
}
PAPER_MM = {"specimen-chest": (210.0, 297.0), "inch-cabinet": (215.9, 279.4)}  # A4 of ISO 216; letter of ANSI/ASME Y14.1, from memory


def labels_of(sheets: list[Sheet]) -> list[list[SheetText]]:
    """Return the words of each label: the mark comes third, after both ends."""
    words = [item for sheet in sheets for item in sheet.items if isinstance(item, SheetText)]
    return [words[i : i + 7] for i in range(0, len(words), 7)]


@pytest.mark.parametrize("name", PAPER_MM)
def test_every_single_board_has_a_label_that_tells_which_end_is_which(name: str, samples: Path) -> None:
    job, _ = read_job(samples / f"{name}.toml")
    drawers = drawers_of(job)
    with told_in(job.units):
        sheets = label_sheets(drawers)
    labels = labels_of(sheets)
    assert len(labels) == sum(board.count for drawer in drawers for board in drawer.boards)
    for one, other, mark, owner, told, *_ in labels:
        role = told.text.partition(",")[0]
        assert (one.text, other.text) == ENDS[role]
        assert one.x_mm < mark.x_mm < other.x_mm
        assert mark.text.startswith(role.replace(" ", "-"))
        assert owner.text.partition(",")[0] in {drawer.name for drawer in drawers}
    for sheet in sheets:
        assert (sheet.width_mm, sheet.height_mm) == PAPER_MM[name]
        boxes = [item.bounds_mm for item in sheet.items]
        assert min(min(box[:2]) for box in boxes) > 8
        assert max(box[2] for box in boxes) < sheet.width_mm - 8
