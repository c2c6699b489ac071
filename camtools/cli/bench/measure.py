"""``camtools measure``: a sheet on which the boards of a job are measured."""

from __future__ import annotations

from pathlib import Path

import click

from camtools.cli import show
from camtools.cli.reading_job import read_job_file, told_how_to_mend
from camtools.wording import counted

__all__ = ["command"]


@click.command()
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("-o", "--output", "sheet", type=click.Path(path_type=Path, dir_okay=False), required=True, help="CSV file to write.")
@click.option("--pdf", type=click.Path(path_type=Path, dir_okay=False), help="Write it to be filled in with a pencil on A4, too.")
@show.json_option
def command(job_file: Path, sheet: Path, pdf: Path | None, as_json: bool) -> None:
    """Write a sheet for the boards of JOB to be measured on.

    It has a line for every board of every drawer, by its mark, with length, width and thickness to fill in beside those planned; what
    is left blank is as planned. Name it in the job file under [boards], file: then layout and programs follow each board as it is.
    A sheet that is there is left alone.
    """
    from camtools.output.folder import refuse_other_file, replace_file, write_fresh  # what makes it is imported where it is made
    from camtools.output.measuring import lines_of_sheet, sheet_bytes

    with told_how_to_mend(job_file, programs=False):
        job, _ = read_job_file(job_file, boards=False)
        content, lines = sheet_bytes(job), lines_of_sheet(job)
    if pdf is not None:
        refuse_other_file(pdf, b"%PDF", "PDF")
    write_fresh(sheet, content)
    if pdf is not None:
        from camtools.page.page_pdf import measuring_pdf

        replace_file(pdf, measuring_pdf(job.title, lines))
    if as_json:
        show.data({"sheet": str(sheet), "pdf": None if pdf is None else str(pdf), "boards": [mark for mark, *_ in lines]})
        return
    show.line(f"{sheet}: {counted(len(lines), 'board')} to measure.", "bold")
    show.line("Fill it in, and name it in the job file: [boards] file = ..., its path from there.")
