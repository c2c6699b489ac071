"""What the page tells, read back from the packet's files and from nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path, PurePosixPath

from camtools.faults import Fault, PacketFault
from camtools.output.manifest import (
    BoardEntry,
    DrawerEntry,
    JointLimits,
    Limits,
    LoadingEntry,
    Manifest,
    ProgramEntry,
    ProgramLimits,
    ToolEntry,
)
from camtools.page.names import Names, read_names
from camtools.page.portrait import portraits_of
from camtools.page.solids import Solid, solids_of
from camtools.verify.checking import Checked
from camtools.verify.lookups import end_worked, run_again
from camtools.verify.packet_files import read_packet
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import ProgramRun
from camtools.verify.report import Report

__all__ = ["LoadingFacts", "PacketFacts", "ProgramFacts", "SetupFacts", "read_facts"]


@dataclass(frozen=True, slots=True)
class ProgramFacts:
    """A program file, run."""

    entry: ProgramEntry  # of its first board
    limits: ProgramLimits | None
    text: str
    run: ProgramRun

    @property
    def stem(self) -> str:
        """The file's name without folder and ending; with it where two programs would share one."""
        return PurePosixPath(self.entry.file).stem


@dataclass(frozen=True, slots=True)
class SetupFacts:
    """A board in its hold, and the program that is run on it there."""

    program: ProgramFacts
    boards: tuple[str, ...]  # ids of the boards that it is done to

    @property
    def stem(self) -> str:
        return self.program.stem

    @property
    def entry(self) -> ProgramEntry:
        return self.program.entry

    @property
    def is_groove(self) -> bool:
        """Whether it is for a groove, not for an end."""
        return end_worked(self.entry) == "groove"

    @property
    def tools(self) -> tuple[int, ...]:
        """Numbers of the cutters, in the order in which they are used."""
        return tuple(self.entry.tools)

    @property
    def seconds(self) -> float:
        """Machine time of one board, by the manifest."""
        return self.entry.seconds


@dataclass(frozen=True, slots=True)
class LoadingFacts:
    """What stands on the machine at once: one board, or one at each stop, and how often such boards come."""

    file: str  # that is run for it
    setups: tuple[SetupFacts, ...]
    times: int
    seconds: float  # machine time, each
    dry: tuple[str, ...]  # files of its outline and its dry run
    dry_seconds: float  # of both
    stacked: tuple[int, ...]  # boards one behind the other at each of its setups

    @property
    def group(self) -> tuple[str, tuple[int, ...]]:
        """Its hold and its cutters."""
        return self.setups[0].entry.hold, self.setups[0].tools


@dataclass(frozen=True, slots=True)
class PacketFacts:
    """A packet, read and judged."""

    folder: Path
    manifest: Manifest
    limits: Limits
    setups: tuple[SetupFacts, ...]  # in order of work
    loadings: tuple[LoadingFacts, ...]  # the setups that these make, in order of work
    names: Names
    report: Report
    solids: Mapping[str, Solid]  # board -> as carved; only boards of drawers that could be put together
    portraits: Mapping[str, bytes]  # drawer -> a picture of it
    drawer_names: tuple[str, ...] = ()  # in the job file, in its order
    units: str = "mm"  # of its job: what the page tells lengths in
    job_print: str = ""  # the first characters of SHA-256 of its job file

    @property
    def cut_again(self) -> frozenset[str]:
        """Ids of the boards that are cut: all, or where the packet is for one thing only those of it."""
        only = self.limits.only
        return frozenset(board for board, _ in only.pieces) if only else frozenset(self.boards)

    @property
    def programs(self) -> tuple[ProgramFacts, ...]:
        """Those that cut, in order."""
        return tuple(setup.program for setup in self.setups)

    @property
    def boards(self) -> dict[str, BoardEntry]:
        return {board.id: board for board in self.manifest.boards}

    def tool(self, number: int) -> ToolEntry:
        """Return the cutter of this number."""
        return next(tool for tool in self.manifest.tools if tool.number == number)

    def fit(self, drawer: DrawerEntry) -> JointLimits | None:
        """Return how a drawer is to fit."""
        return next((joint for joint in self.limits.joints if joint.drawer == drawer.id), None)


def read_facts(folder: Path, checked: Checked) -> PacketFacts:
    """Read a packet that was checked.

    Raises
    ------
    PacketFault
        Where its manifest, its limits, its plan or a program can not be read.
    """
    files = read_packet(folder)
    if files.manifest is None or files.limits is None or files.findings:
        faults = [Fault(finding.file or folder.name, finding.text) for finding in files.findings]
        raise PacketFault(*faults or [Fault(folder.name, "this is no packet")])
    manifest, names = _of_only(files.manifest, read_names(folder), files.limits)
    solids = solids_of(checked)
    setups = _setups(manifest, files.limits, files.programs, checked.runs)
    return PacketFacts(
        folder=folder,
        manifest=manifest,
        limits=files.limits,
        setups=setups,
        loadings=_loadings(manifest, files.limits, setups),
        names=names,
        report=checked.report,
        solids=solids,
        portraits=portraits_of(manifest, solids),
        drawer_names=tuple(drawer.name for drawer in files.written.drawers) if files.written else (),
        units=files.written.units if files.written else "mm",
        job_print=sha256((folder / "job.toml").read_bytes()).hexdigest()[:12] if files.written else "",
    )


def _of_only(manifest: Manifest, names: Names, limits: Limits) -> tuple[Manifest, Names]:
    """Return what the page tells of: of one thing only, the drawers that it belongs to, and the programs that are run."""
    if limits.only is None:
        return manifest, names
    again = {board for board, _ in limits.only.pieces}
    drawers = [drawer for drawer in manifest.drawers if not again.isdisjoint(drawer.parts.model_dump().values())]
    standing = {board for drawer in drawers for board in drawer.parts.model_dump().values()}
    files = {program.file for program in manifest.programs if program.board in again and run_again(program, limits)}
    programs = [p for p in manifest.programs if p.board in standing & again and (p.kind != "cut" or p.file in files)]
    boards = [board for board in manifest.boards if board.id in standing]
    tools = {number for program in programs for number in program.tools}
    used = [tool for tool in manifest.tools if tool.number in tools]
    own = {drawer.id: names.drawers[drawer.id] for drawer in drawers if drawer.id in names.drawers}
    update = {"drawers": drawers, "boards": boards, "programs": programs, "tools": used}
    return manifest.model_copy(update=update), replace(names, drawers=own, stock=(), rows=())


def _setups(manifest: Manifest, limits: Limits, texts: Mapping[str, str], runs: Mapping[str, ProgramRun]) -> tuple[SetupFacts, ...]:
    around = {entry.file: entry for entry in limits.programs}
    known = {tool.number for tool in manifest.tools}
    boards: dict[str, dict[str, None]] = {}
    programs: dict[str, ProgramFacts] = {}
    for entry in sorted(manifest.programs, key=lambda entry: entry.order):
        if entry.kind != "cut" or not known.issuperset(entry.tools):
            continue
        boards.setdefault(entry.file, {})[entry.board] = None
        if entry.file not in programs:
            fitted = entry.only_tool
            own = runs.get(entry.file) or run(texts[entry.file], entry.file, fitted=fitted, top_mm=limits.machine.retract)
            programs[entry.file] = ProgramFacts(entry, around.get(entry.file), texts[entry.file], own)
    return tuple(SetupFacts(program, tuple(boards[file])) for file, program in programs.items())


def _loadings(manifest: Manifest, limits: Limits, setups: Iterable[SetupFacts]) -> tuple[LoadingFacts, ...]:
    """Return what stands on the machine at once; where the limits do not tell, one board after the other."""
    counts = {board.id: board.count for board in manifest.boards}
    own = {setup.entry.file: setup for setup in setups}
    dry = _dry(manifest)

    def loaded(setups: tuple[SetupFacts, ...], times: int, told: LoadingEntry | None) -> LoadingFacts:
        if told is not None and (len(setups) > 1 or told.stacked):
            files = tuple(file for file in (told.outline, told.dry) if file)
            stacked = tuple(told.boards_of(place) for place in range(len(setups)))
            return LoadingFacts(told.file, setups, times, told.seconds, files, told.dry_seconds, stacked)
        (setup,) = setups
        entries = dry.get(setup.stem, {})
        seconds = sum(entry.seconds for entry in entries.values())
        return LoadingFacts(setup.entry.file, setups, times, setup.seconds, tuple(entries), seconds, (1,))

    if told := [loading for loading in limits.loadings if own.keys() >= set(loading.programs)]:
        return tuple(loaded(tuple(own[file] for file in one.programs), one.times, one) for one in told)
    return tuple(loaded((setup,), sum(counts[name] for name in setup.boards), None) for setup in own.values())


def _dry(manifest: Manifest) -> dict[str, dict[str, ProgramEntry]]:
    """Return of each program, by its stem, the outline and then the dry run, by file."""
    found: dict[str, dict[str, ProgramEntry]] = {}
    for entry in sorted(manifest.programs, key=lambda entry: (entry.kind != "outline", entry.order)):
        if entry.kind != "cut":
            name = PurePosixPath(entry.file).stem.replace("-outline", "", 1).replace("-dry", "", 1)
            found.setdefault(name, {}).setdefault(entry.file, entry)
    return found
