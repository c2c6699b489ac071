"""``camtools packet``: everything that a job is cut from, in one folder that was proved first."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from pathlib import Path
from typing import Any

import click

from camtools.cli import show
from camtools.cli.reading_dialect import dialect_asked_for, post_option
from camtools.cli.reading_job import read_job_file, told_how_to_mend
from camtools.crew import aside
from camtools.faults import Fault, PacketFault
from camtools.output.folder import write_packet
from camtools.output.sections import JUDGED, PROOF, SECTIONS, WorkedJob, files_of, read_me, work_of
from camtools.verify.checking import check_fully
from camtools.verify.report import Report, json_of
from camtools.wording import counted

__all__ = ["command", "refused", "told", "written"]

_MOST_TOLD = 20  # findings that are named where a packet is refused


@click.command()
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option(
    "-o", "--output", "folder", type=click.Path(path_type=Path), required=True, help="Folder to write; an older packet gives way."
)
@post_option
@click.option("--no-pictures", is_flag=True, help="Leave out pictures and drawings.")
@click.option("--only", metavar="NAME", help="Write what cuts one drawer, board, joint or end again, or equal boards by their mark.")
@click.option("--png", is_flag=True, help="Write marking-out sheets as PNG too.")
@show.json_option
def command(job_file: Path, folder: Path, post: str | None, only: str | None, no_pictures: bool, png: bool, as_json: bool) -> None:
    """Write everything for JOB into a folder: programs, pictures, cut list, cautions.

    The programs are read back, carved and put together before the folder appears; one that fails is not written.
    """
    if png and no_pictures:
        raise click.UsageError("--png asks for drawings, which --no-pictures leaves out")
    with told_how_to_mend(job_file):
        job, _ = read_job_file(job_file)
        work = work_of(job, dialect_asked_for(post, job, job_file), png=png, only=only)
    left_out = {*(("pictures", "drawings") if no_pictures else ()), *(("drawings", "templates") if only else ())}
    target, files, report = written(work, folder, left_out)
    if as_json:
        show.data(told(target, sorted(files), job.title, report))
        return
    drawers = counted(len(report.drawers), "drawer")
    programs = counted(len(work.programs), "program")
    dry = f"with {'its' if len(work.programs) == 1 else 'their'} dry run{'s'[: len(work.programs) > 1]}"
    show.line(f"{target}: {programs} for {f'{work.only.name} alone' if work.only else drawers}, {dry}.", "bold")
    whole = f"with the job's other programs, which stand in {PROOF}/ for this alone: " if work.only else ""
    show.line(f"Checked {whole}{counted(len(report.boards), 'board')} carved, {drawers} put together; all fits.")
    warnings = {finding.text for finding in report.findings if finding.severity == "warning"}
    warnings |= {note.text for drawer in work.drawers for note in drawer.notes if note.kind == "warning"}
    if warnings:
        show.line(f"{counted(len(warnings), 'warning')}: see `camtools plan` and check.json.", "yellow")
    show.line("Open index.html in it: it leads through the work, safety first and the dry runs before the cuts.")


def written(work: WorkedJob, folder: Path, left_out: Collection[str]) -> tuple[Path, dict[str, bytes], Report]:
    """Write a packet, checked before it appears; return where it is, its files but for the check's and the page, and the report.

    Parameters
    ----------
    left_out
        Names of `SECTIONS` that are not written.

    Raises
    ------
    PacketFault
        Where it fails its check or can not be written.
    """
    files = files_of(work, without=SECTIONS.keys() - JUDGED)
    reports: list[Report] = []
    with show.progress() as watch:

        def judged(place: Path) -> Iterator[dict[str, bytes]]:
            """Draw while the programs are checked and the page's views are made; then write the page, from all that is there."""
            drawing = aside(_drawn, (work, frozenset(left_out)))
            checked = check_fully(place, watch=watch)
            reports.append(checked.report)
            if not checked.report.ok:
                raise refused(checked.report)
            from camtools.page.index_page import page_begun  # slow to import

            page = page_begun(place, checked)
            drawn = drawing()
            watch("drawing", len(drawn), len(drawn))
            files.update(drawn, **{"read-me.txt": read_me([*files, *drawn])})
            yield {name: files[name] for name in (*drawn, "read-me.txt")}
            yield {"check.json": json_of(checked.report).encode("ascii"), "index.html": page()}

        target = write_packet(folder, files, judged)
    return target, files, reports[0]


def _drawn(asked: tuple[WorkedJob, frozenset[str]]) -> dict[str, bytes]:
    """Make what the check does not read."""
    work, left_out = asked
    return files_of(work, without=JUDGED | left_out)


def refused(report: Report) -> PacketFault:
    """Return why a packet is kept back: every error found, or what could not be judged."""
    groups = [group for group in report.groups if group.root.severity == "error" or not report.errors]
    faults = [
        Fault(
            group.place or "the packet",
            f"{'; '.join(group.words())} ({group.root.code})",
            ", ".join(f"{name} {figure:g}" for name, figure in group.root.figures),
        )
        for group in groups[:_MOST_TOLD]
    ]
    if len(groups) > _MOST_TOLD:
        faults.append(Fault("the packet", f"{counted(len(groups) - _MOST_TOLD, 'finding')} more"))
    if not report.judged:
        faults.append(Fault("the packet", "could not be judged as a whole, so it is not written"))
    return PacketFault(*faults)


def told(target: Path, files: list[str], title: str, report: Report) -> dict[str, Any]:
    """Return what there is to say of a packet that was written, as data."""
    return {
        "packet": str(target),
        "job": title,
        "files": [*files, "check.json", "index.html"],
        "boards_carved": len(report.boards),
        "drawers_joined": len(report.drawers),
        "warnings": [f"{finding.file}:{finding.line} {finding.text}" for finding in report.findings if finding.severity == "warning"],
    }
