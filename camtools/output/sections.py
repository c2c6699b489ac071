"""The packet of a job: what goes into it, section by section."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from camtools.drawer.boards import Drawer
from camtools.drawer.cutting_loads import load_faults
from camtools.drawer.drawers import drawers_of
from camtools.drawer.trial.trial_boards import LENGTHS, TrialSet, trials_of
from camtools.faults import CamtoolsError, CannotCut, PacketFault
from camtools.job.bench.companions import COMPANIONS
from camtools.job.job import Job
from camtools.output.cautions import safety_text
from camtools.output.cutlist import cutlist_bytes
from camtools.output.dialects import Dialect
from camtools.output.filing.program_parts import in_parts
from camtools.output.filing.round_files import LoadedFile, RoundFile, loaded_files, round_files
from camtools.output.manifest_of import json_bytes, limits_of, manifest_of
from camtools.output.plan_data import PLAN, plan_bytes
from camtools.output.rs274 import FOLDER, ProgramFile, program_file
from camtools.toolpath.dry import dry_programs_of
from camtools.toolpath.handling.cut_again import Only, only_of
from camtools.toolpath.handling.loadings import board_counts, loadings_of
from camtools.toolpath.moves import Program
from camtools.toolpath.programs import programs_of, with_offsets
from camtools.wording import told_in

if TYPE_CHECKING:
    from camtools.templates.kit import Kit

__all__ = ["CONTENT", "JUDGED", "SECTIONS", "WorkedJob", "files_of", "read_me", "templates_asked_for", "trial_work_of", "work_of"]

PROOF = "proof"
"""The folder of programs that a packet of one thing only holds for the check alone: it puts whole drawers together."""

Files = Iterator[tuple[str, bytes]]


@dataclass(frozen=True, slots=True)
class WorkedJob:
    """A job worked out as far as its program files: what every section of a packet is made from."""

    job: Job
    drawers: tuple[Drawer, ...]
    programs: tuple[Program, ...]  # those that cut
    program_files: tuple[ProgramFile, ...]  # in the order of work, dry runs last
    kit: Kit | None = None  # templates, where the job asks for them
    trials: tuple[TrialSet, ...] = ()  # trial boards, in place of drawers
    inches: bool = False  # programs are in inches, and so are their pictures
    png: bool = False  # marking-out sheets are wanted as PNG too
    loaded: tuple[LoadedFile, ...] = ()  # every setup in the order of work, with its file
    rounds: tuple[RoundFile, ...] = ()
    only: Only | None = None  # what the packet is for, where it is for one thing only: then the other programs stand in `PROOF`


def work_of(job: Job, dialect: Dialect, *, png: bool = False, only: str | None = None) -> WorkedJob:
    """Work a job out.

    Parameters
    ----------
    png
        Marking-out sheets are wanted as PNG too.
    only
        What alone is to be cut, by name; None: all.

    Raises
    ------
    NotInJob
        Where nothing has the name of what alone is to be cut.
    CannotCut
        Where wood, cutters or machine can not do what the job asks, or a template can not be made.
    PacketFault
        Where a program can not be written; every one that can not is told of.
    """
    drawers = drawers_of(job)
    worked = WorkedJob(job, drawers, programs_of(job, drawers), (), templates_asked_for(job, drawers), png=png)
    return _written(worked, dialect, only)


def trial_work_of(job: Job, dialect: Dialect) -> WorkedJob:
    """Work the trial joints of a job out. Raises as ``work_of`` does."""
    trials, programs = trial_programs_of(job)
    return _written(WorkedJob(replace(job, drawers=()), (), programs, (), trials=trials), dialect)


def trial_programs_of(job: Job) -> tuple[tuple[TrialSet, ...], tuple[Program, ...]]:
    """Return the trial boards of a job, as short as can be held, and what cuts them; CannotCut where they can not be cut."""
    planned = replace(job, drawers=tuple(replace(wish, measured=None) for wish in job.drawers))
    drawers, refused = drawers_of(planned), None
    faults = load_faults(planned, drawers)
    if faults:
        raise CannotCut(*faults)
    for length_mm in LENGTHS:
        trials = trials_of(planned, drawers, length_mm)
        try:
            return trials, programs_of(replace(job, drawers=()), (), trials)
        except CannotCut as error:
            refused = refused or error
    assert refused is not None
    raise refused


def _written(work: WorkedJob, dialect: Dialect, only: str | None = None) -> WorkedJob:
    """Return the work with its program files."""
    job, programs = dialect.taken_by(work.job), work.programs
    programs = with_offsets(programs, dialect.work_offsets)
    files: list[ProgramFile] = []
    refused: list[CamtoolsError] = []
    parts: list[Program] = []
    for program in programs:
        try:
            parts += in_parts(program, dialect, job)
        except PacketFault as fault:
            refused.append(fault)
    programs = tuple(replace(part, order=i) for i, part in enumerate(parts, 1))
    one = None if only is None else only_of(only, work.drawers, programs)
    wanted = tuple(program for program in programs if one is None or one.asks_for(program))
    for program in (*programs, *dry_programs_of(wanted, job.machine)):
        try:
            file = program_file(program, dialect, job)
            kept = one is not None and program.kind == "cut" and program not in wanted
            files.append(replace(file, name=file.name.replace(FOLDER, PROOF, 1)) if kept else file)
        except PacketFault as fault:
            refused.append(fault)
    if refused:
        raise PacketFault(*(fault for error in refused for fault in error.faults))
    counts = board_counts((*work.drawers, *work.trials)) if one is None else one.counts(work.drawers, wanted)
    loadings = loadings_of(wanted, counts, job.machine)
    loaded, rounds = loaded_files(loadings, files, dialect, job), round_files(loadings, dialect, job)
    inches = dialect.units == "inch"
    made = replace(work, job=job, programs=wanted, program_files=tuple(files), inches=inches, loaded=loaded, only=one)
    return replace(made, rounds=rounds)


def templates_asked_for(job: Job, drawers: Sequence[Drawer]) -> Kit | None:
    """Return the templates of a job, or None where it has no table of them. Raises CannotCut."""
    if job.templates is None:
        return None
    from camtools.templates.kit import kit_of  # plane geometry is slow to import

    return kit_of(drawers, job.templates)


def _programs(work: WorkedJob) -> Files:
    for file in work.program_files:
        yield file.name, file.text.encode("ascii")
    for loaded in work.loaded:
        for name, text in loaded.texts.items():
            yield name, text.encode("ascii")
    for own in work.rounds:
        yield own.name, own.text.encode("ascii")


def _lists(work: WorkedJob) -> Files:
    if work.job.source:
        yield "job.toml", work.job.source
    yield from work.job.companions
    yield "manifest.json", json_bytes(manifest_of(work.job, work.drawers, work.program_files, work.trials))
    yield "limits.json", json_bytes(limits_of(work.job, work.drawers, work.program_files, work.loaded, work.trials, work.only, work.rounds))
    yield PLAN, plan_bytes(work.job, work.drawers, work.programs, work.trials)
    alone = {board for board, _ in work.only.pieces} if work.only else None
    yield "cutlist.csv", cutlist_bytes(work.job, work.drawers, alone, work.trials)
    yield "safety.txt", safety_text().encode("ascii")


def _pictures(work: WorkedJob) -> Files:
    from camtools.pictures.previews import draw_all

    with told_in("in" if work.inches else "mm", work.job.units):
        pictures = draw_all(work.programs, {PurePosixPath(own.name).stem: (own.loading.programs, own.loading.times) for own in work.loaded})
    for stem, picture in pictures.items():
        yield f"drawings/{stem}.svg", picture
    if work.trials:
        from camtools.pictures.trial_view import trial_picture

        for trial in work.trials:
            yield f"drawings/{trial.front.id}-steps.svg", trial_picture(trial).svg()


def _drawings(work: WorkedJob) -> Files:
    if not work.drawers:
        return
    from camtools.drawings import drawing_files  # ezdxf is slow to import

    for name, content in drawing_files(work.job, work.drawers, png=work.png):
        yield f"drawings/{name}", content


def _templates(work: WorkedJob) -> Files:
    if work.kit is None:
        return
    from camtools.templates.template_files import templates_of  # ezdxf is slow to import

    for name, content in templates_of(work.kit).items():
        yield f"templates/{name}", content


# A section of the packet is a function from the work to its files; registering it here puts it into every packet.
SECTIONS: dict[str, Callable[[WorkedJob], Files]] = {
    "programs": _programs,
    "lists": _lists,
    "pictures": _pictures,
    "drawings": _drawings,
    "templates": _templates,
}


JUDGED = frozenset({"programs", "lists"})
"""Sections that the check reads."""

CONTENT = {
    "index.html": "the page for the bench: it leads through the work in order, offline, one step at a time on a screen, or printed",
    "programs/": "an RS-274 program for each board, end and cutter, in the order of work; equal boards share one",
    "programs/dry/": "for each of them two dry runs, spindle off: its outline, and its whole motion raised clear of the work",
    "rounds/": "programs that run those of programs/ on two boards that stand on the machine at once, and on all boards of a round",
    "rounds/dry/": "two dry runs of every program for two boards, as in programs/dry/",
    "proof/": "the other programs, as the whole packet has them: not to be run, the check puts whole drawers together from them",
    "drawings/": "pictures of every setup and program; of drawers marking-out sheets at full size, labels, exploded views, a story stick",
    "templates/": "combs, spacers, setting blocks and stop settings as DXF, for those who rout by hand, if `[templates]` is in the job",
    "job.toml": "the job file, byte for byte; the check reads it for itself",
    "job.fit.toml": "your answers to the trial joints, byte for byte, if there are any; the check reads them for itself",
    "boards.csv": "the sheet of your boards as measured, byte for byte, if the job file names one; the check reads it for itself",
    "manifest.json": "what every program cuts, on which board, held how; stable, for other programs to read",
    "plan.json": "names, marks, choices, warnings and settings, as `camtools plan --json` prints them",
    "limits.json": "what machine and cutters may do, for the check",
    "cutlist.csv, safety.txt, check.json": "parts to prepare, cautions, what was checked with figures",
    "contents.sha256": "what was written, so that the check can name what was edited since, and what is older than its program",
}
"""What each folder and file of a packet is for."""


def read_me(files: Iterable[str]) -> bytes:
    """Tell what each folder and file of a packet is for; those that the check adds are there too by the time it is read."""
    present = {*files} | {"/".join(name.split("/")[:i]) + "/" for name in files for i in range(1, name.count("/") + 1)}
    there = {name: words for name, words in CONTENT.items() if name in present or not (name.endswith("/") or name in COMPANIONS)}
    lines = ["WHAT THIS PACKET HOLDS", "", "Open index.html in a browser; read safety.txt before you cut.", ""]
    for name, words in there.items():
        lines += [name, *textwrap.wrap(f"{words}.", 96, initial_indent="    ", subsequent_indent="    "), ""]
    return "\n".join(lines[:-1]).encode("ascii") + b"\n"


def files_of(work: WorkedJob, *, without: Collection[str] = ()) -> dict[str, bytes]:
    """Return every file of a packet by its name in it, but for those of some `SECTIONS`."""
    return {name: content for section, make in SECTIONS.items() if section not in without for name, content in make(work)}
