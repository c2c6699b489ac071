"""``camtools plate``: the drawing of a simple upright plate to build, for machines without an upright hold."""

from __future__ import annotations

from pathlib import Path

import click

from camtools.cli import show
from camtools.cli.reading_job import read_job_file, told_how_to_mend
from camtools.drawings.plate_files import plate_files
from camtools.drawings.upright_plate import upright_plate_of
from camtools.output.folder import write_packet

__all__ = ["command"]


@click.command()
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("-o", "--output", "folder", type=click.Path(path_type=Path), required=True, help="Folder to write; an older set gives way.")
@show.json_option
def command(job_file: Path, folder: Path, as_json: bool) -> None:
    """Write the drawing and the cut list of an upright plate for JOB into a folder.

    For a machine that holds no board upright: a plate at the front of its bed, with a backing piece, two stops and a bar, as large as
    the boards of this job ask for and the travel allows. What then has to stand in the job file is printed.
    """
    with told_how_to_mend(job_file):
        job, _ = read_job_file(job_file)
        plate = upright_plate_of(job)
        files = plate_files(job, plate)
    target = write_packet(folder, files)
    if as_json:
        show.data({"plate": str(target), "job": job.title, "files": sorted(files), "machine": list(plate.keys)})
        return
    show.line(f"{target}: a plate to build, with its parts and how it is put up.", "bold")
    show.line("Planned places: write what you measure once it stands into [machine], in place of what is there now:")
    for line in plate.keys:
        show.line(f"  {line}")
    show.line("Read read-me.txt before you build it.")
