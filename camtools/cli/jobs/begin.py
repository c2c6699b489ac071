"""``camtools begin``: a job file to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from camtools.cli import show

__all__ = ["command"]


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--inch", is_flag=True, help="Write it in inches.")
@show.json_option
def command(file: Path, inch: bool, as_json: bool) -> None:
    """Write a job file to fill in as FILE.

    It asks nothing, and can be planned and cut as it is. Every key stands in it, with its meaning and what camtools takes for it.
    Where a shop file, shop.toml, is in its folder, it starts with those cutters, that machine and those clearances, and in its
    units. A file that is there is left alone.
    """
    from camtools.output.folder import write_fresh  # what makes it is imported where it is made
    from camtools.setout.shop import fresh_text

    content = fresh_text(file.absolute().parent, "in" if inch else None)
    write_fresh(file, content.encode())
    if as_json:
        show.data({"job": str(file)})
    else:
        show.line(f"{file}: written. Fill it in; `camtools plan` shows what comes of it.", "bold")
