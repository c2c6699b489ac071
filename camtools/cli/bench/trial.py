"""``camtools trial``: a packet of trial joints in offcuts, to be cut before the boards."""

from __future__ import annotations

from pathlib import Path

import click

from camtools.cli import show
from camtools.cli.packet import told, written
from camtools.cli.reading_dialect import dialect_asked_for, post_option
from camtools.cli.reading_job import read_job_file, told_how_to_mend
from camtools.output.sections import trial_work_of
from camtools.wording import counted

__all__ = ["command"]


@click.command()
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option(
    "-o", "--output", "folder", type=click.Path(path_type=Path), required=True, help="Folder to write; an older packet gives way."
)
@post_option
@click.option("--no-pictures", is_flag=True, help="Leave out pictures.")
@show.json_option
def command(job_file: Path, folder: Path, post: str | None, no_pictures: bool, as_json: bool) -> None:
    """Write trial joints of JOB into a folder: programs, pictures, cut list, cautions.

    Three short boards from offcuts for each kind of joint, in the holds and with the cutters of the job: one tail is pushed into sockets
    with more and more clearance, counted by nicks that can be felt, and a piece of the bottom into grooves of several widths. Slots in
    one board tell the cutters' true sizes. The steps stand in the table [trial] of the job. What is written was carved and measured first.
    """
    with told_how_to_mend(job_file, joints=True):
        job, _ = read_job_file(job_file)
        work = trial_work_of(job, dialect_asked_for(post, job, job_file))
    target, files, report = written(work, folder, ("pictures",) if no_pictures else ())
    if as_json:
        show.data(told(target, sorted(files), job.title, report))
        return
    steps = sum(len(trial.steps) for trial in report.trials)
    show.line(
        f"{target}: {counted(len(work.programs), 'program')} for {counted(len(report.boards), 'trial board')}, with their dry runs.", "bold"
    )
    show.line(f"Checked: {counted(steps, 'joint')} tried, every clearance as its nicks tell.")
    show.line("Open index.html in it: it leads through the work, and tells how to answer with what fitted.")
