"""``camtools begin``: a job file to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from camtools.cli import show
from camtools.faults import Fault, PacketFault

__all__ = ["command"]


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--inch", is_flag=True, help="Write it in inches.")
@show.json_option
def command(file: Path, inch: bool, as_json: bool) -> None:
    """Write a job file to fill in as FILE.

    It asks nothing, and can be planned and cut as it is. Every key stands in it, with its meaning and what camtools takes for it.
    A file that is there is left alone.
    """
    from camtools.output.fresh_job import fresh_job  # what makes it is imported where it is made

    content = fresh_job("in" if inch else "mm")
    try:
        with file.open("xb") as fresh:
            fresh.write(content)
    except FileExistsError:
        raise PacketFault(Fault(str(file), "is there, so it is left alone", remedy="name another file")) from None
    except OSError as fault:
        told = f"could not be written: {fault.strerror or fault}"
        raise PacketFault(Fault(str(file), told, remedy="name a place that is there, and that you may write in")) from None
    if as_json:
        show.data({"job": str(file)})
    else:
        show.line(f"{file}: written. Fill it in; `camtools plan` shows what comes of it.", "bold")
