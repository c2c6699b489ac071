"""The picture that ``camtools plan`` draws where it is asked to: of a kind that its name tells."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from camtools.drawer.boards import Drawer
from camtools.job.job import Job
from camtools.output.folder import refuse_other_file, replace_file
from camtools.wording import counted, listed

__all__ = ["draw_picture", "refuse_picture"]

_STARTS = {".svg": b"<svg ", ".png": b"\x89PNG\r\n\x1a\n", ".pdf": b"%PDF-"}  # PNG 1.2 section 3.1, ISO 32000-1 section 7.5.2


def refuse_picture(path: Path) -> None:
    """Refuse a name that tells no kind of picture, or that something else bears.

    Raises
    ------
    UsageError
        For the name.
    PacketFault
        For what stands there.
    """
    ending = path.suffix.lower()
    if ending not in _STARTS:
        raise click.UsageError(
            f"--picture draws {listed(list(_STARTS))}, by the name's ending: write {path.stem}.svg, say, not {path.name}"
        )
    refuse_other_file(path, _STARTS[ending], ending.removeprefix(".").upper())


def draw_picture(path: Path, job: Job, drawers: Sequence[Drawer]) -> str:
    """Draw the drawers of a job into a file, and return what to tell of it.

    Raises
    ------
    UsageError
        Where they take several sheets and the kind of picture has one.
    PacketFault
        Where it can not be written.
    """
    from camtools.drawings.case_view import picture_of  # what draws is imported where it draws

    sheets = picture_of(job, drawers)
    ending = path.suffix.lower()
    if ending == ".pdf":
        from camtools.drawings.sheet_pdf import pdf_bytes

        content = pdf_bytes(sheets, job.title)
    elif len(sheets) > 1:
        raise click.UsageError(f"the picture takes {len(sheets)} sheets, and {path.name} has room for one: write {path.stem}.pdf")
    elif ending == ".svg":
        from camtools.drawings.sheet_svg import svg_bytes

        content = svg_bytes(sheets[0])
    else:
        from camtools.drawings.sheet_png import png_bytes

        content = png_bytes(sheets[0])
    replace_file(path, content)
    papers = f"{counted(len(sheets), 'sheet')} of {sheets[0].paper}"
    return f"{path}: every front and side, drawn 1:{sheets[0].scale[1]} on {papers}."
