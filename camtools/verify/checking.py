"""Checks a packet from its files alone: read, run, carve, put together, judge."""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from camtools.crew import Crew, Watch
from camtools.output.manifest import BoardEntry
from camtools.verify.breakout import breakout_findings, ends_of
from camtools.verify.carving.carve import BoardWork, Carved, Carving, CarvingFault, carve
from camtools.verify.contents import compared_contents
from camtools.verify.findings import GRAVE, Finding, Subject
from camtools.verify.fit.assemble import Assembly, assemble
from camtools.verify.fit.blame import Source, nearest_line, wrong_depths
from camtools.verify.fit.corner import CORNERS, Corner
from camtools.verify.fit.judge import Misfit
from camtools.verify.fit.outline_fit import outline_faults
from camtools.verify.fit.reliefs import FlatCutters
from camtools.verify.loading.loading_rules import judge_loadings, round_readings, run_round
from camtools.verify.loading.setting_rules import setting_findings
from camtools.verify.lookups import Packet, end_worked, looked_up
from camtools.verify.measured_rules import judge_measured
from camtools.verify.naming import Naming
from camtools.verify.packet_files import PacketFiles, read_packet
from camtools.verify.reader.motion import ProgramRun
from camtools.verify.report import BoardReport, Report
from camtools.verify.roughing import roughing_findings
from camtools.verify.rules.job_rules import judge_against_job
from camtools.verify.rules.keep_out import judge_keep_out
from camtools.verify.runs import compared_dry_runs, readings_of, run_and_judge
from camtools.verify.trial.trial_fit import TRIED, Trial, tried
from camtools.verify.trial.trial_rules import judge_trials
from camtools.verify.written import WrittenDrawer, known
from camtools.wording import sizes, told_in

__all__ = ["Checked", "carvings_of", "check", "check_fully"]


@dataclass(frozen=True, slots=True)
class Checked:
    """A report with what it was made from, for pictures."""

    report: Report
    assemblies: tuple[Assembly, ...]
    runs: Mapping[str, ProgramRun] = field(default_factory=dict)  # by file
    units: str = "mm"  # of the job: what its words tell lengths in


def check(packet: Path, *, jobs: int | None = None, watch: Watch | None = None) -> Report:
    """Check a packet.

    Parameters
    ----------
    packet
        Its folder. Only files in it are read.
    jobs
        Processes to share the work; None: as many as there are processors.
    watch
        Told, as work goes on: what is done, how many of it, of how many.

    Whatever the folder holds, a report comes back: what could not be judged is said in its findings. A script that calls this
    needs no guard, though it is shared among processes.
    """
    return check_fully(packet, jobs=jobs, watch=watch).report


def check_fully(packet: Path, *, jobs: int | None = None, watch: Watch | None = None) -> Checked:
    """Check a packet and keep the carved boards; see `check`."""
    files = read_packet(packet)
    units = files.written.units if files.written else "mm"
    with told_in(units):
        return replace(_checked(packet, files, jobs, watch), units=units)


def _checked(packet: Path, files: PacketFiles, jobs: int | None, watch: Watch | None) -> Checked:
    if files.manifest is None:
        return Checked(Report("", tuple(map(Naming(None, {}).named, files.findings)), (), (), judged=False, bound_mm=0.0), ())
    manifest, limits = files.manifest, files.limits
    index = looked_up(manifest, limits)
    notes, edited = compared_contents(packet)
    findings = [*files.findings, *index.findings, *notes]
    if files.written is not None and limits is not None:
        findings += judge_against_job(files.written, manifest, limits)
        findings += judge_trials(files.written, manifest, limits)
        findings += judge_keep_out(files.written, manifest, limits)
        findings += judge_measured(files.written, manifest, limits)
    written = files.written.drawers if files.written else ()
    wishes = {drawer.id: wish for drawer, wish in zip(manifest.drawers, written, strict=False)}
    for trial in index.trials:
        if min(trial.drawers, default=0) in range(1, len(written) + 1):
            wishes[trial.front] = written[min(trial.drawers) - 1]
    workers = jobs or os.cpu_count() or 1
    with Crew(workers if len(files.programs) > 1 else 1, watch) as crew:
        runs = {}
        for own, faults in crew.map("running programs", run_and_judge, readings_of(manifest, limits, files.programs, files.written)):
            runs[own.file] = own
            findings += faults
        findings += compared_dry_runs(manifest, runs, edited)
        if limits is not None:
            ran = crew.map("running setups", run_round, round_readings(manifest, limits, files.rounds))
            rounds = {own.file: own for own in ran}
            findings += [finding for own in ran for finding in own.findings]
            findings += judge_loadings(manifest, limits, runs, rounds, files.rounds, edited, files.written)
        ends = ends_of(index, runs, wishes, crew)
        findings += [*breakout_findings(ends), *roughing_findings(ends, index, runs, wishes, crew)]
        findings += setting_findings(index, limits, runs) if limits is not None else ()
        unread = {program.file for program in manifest.programs} - set(runs)
        keys = {board: _key(board, index) for board in index.boards}
        carvings = carvings_of(index, runs)
        carved: dict[object, Carved] = {}
        for key, result in zip(carvings, crew.map("carving boards", _carve, list(carvings.values())), strict=True):
            if isinstance(result, Carved):
                carved[key] = result
            else:
                board = next(board for board, own in keys.items() if own == key)
                for name in sorted({program.file for program in index.cuts[board]}) or ["manifest.json"]:
                    findings.append(Finding.of("program-not-carved", name, 0, result, Subject("board", board)))
        findings += _outlines(index, keys, carved, runs)
        assemblies = _assemblies(index, keys, carved, wishes)
        verdicts = crew.map("joining drawers", assemble, assemblies)
        trials = _trials(index, keys, carved, wishes)
        tries = crew.map("trying joints", tried, trials)
    for assembly, verdict in zip(assemblies, verdicts, strict=True):
        findings += [_finding(fault, assembly, index, runs) for fault in verdict.faults]
        findings += wrong_depths(assembly, {fault.joint for fault in verdict.faults}, index.cuts, runs, index.tools)
    for own_trial, (_, wrong) in zip(trials, tries, strict=True):
        findings += [_of_trial(board, misfit, own_trial, index, runs) for board, misfit in wrong]
    left_out = {trial.front for trial in index.trials} - {trial.entry.front for trial in trials}
    for board in sorted(left_out):
        text = "the trial could not be measured"
        findings.append(Finding.of("trial-incomplete", "limits.json", 0, text, Subject("board", board)))
    left_out |= {drawer.id for drawer in manifest.drawers} - {assembly.drawer.id for assembly in assemblies}
    for drawer in sorted(left_out & {drawer.id for drawer in manifest.drawers}):
        text = "it could not be put together"
        findings.append(Finding.of("drawer-not-judged", "manifest.json", 0, text, Subject("drawer", drawer)))
    naming = Naming(manifest, wishes)
    report = Report(
        job=manifest.job,
        findings=tuple(_in_order(map(naming.named, findings))),
        boards=tuple(_board_report(board, index, carved[keys[board]]) for board in index.boards if keys[board] in carved),
        drawers=tuple(verdict.report for verdict in verdicts),
        judged=index.judged
        and limits is not None
        and files.written is not None
        and not unread
        and not left_out
        and len(carved) == len(carvings),
        bound_mm=max((board.bound_mm for board in carved.values()), default=0.0),
        ends=ends,
        trials=tuple(report for report, _ in tries),
    )
    return Checked(report, tuple(assemblies), runs)


def _key(board: str, index: Packet) -> tuple[object, ...]:
    """What two boards must have in common to be carved as one."""
    entry = index.boards[board]
    work = sorted((program.file, program.to_machine) for program in index.cuts[board])
    return (entry.size, tuple(entry.outline or ()), tuple(work))


def carvings_of(index: Packet, runs: dict[str, ProgramRun]) -> dict[object, Carving]:
    """Return every different carving of a packet: boards that share one are carved once."""
    found: dict[object, Carving] = {}
    for board, entry in index.boards.items():
        key = _key(board, index)
        if key not in found:
            works = _works(board, index, runs)
            sawn = () if works else tuple(entry.outline or ())  # a bottom that no program cuts comes with its outline sawn
            found[key] = Carving(entry.size, works, index.tools, sawn)
    return found


def _works(board: str, index: Packet, runs: dict[str, ProgramRun]) -> tuple[BoardWork, ...]:
    ran = (program for program in index.cuts[board] if program.file in runs)
    return tuple(BoardWork(program.file, program.to_machine, runs[program.file].motions) for program in ran)


def _carve(carving: Carving) -> Carved | str:
    try:
        return carve(carving)
    except CarvingFault as fault:
        return str(fault)


def _assemblies(
    index: Packet, keys: dict[str, tuple[object, ...]], carved: dict[object, Carved], wishes: dict[str, WrittenDrawer]
) -> list[Assembly]:
    found = []
    for drawer in index.drawers:
        names = dict(drawer.parts)
        if all(keys[name] in carved for name in names.values()):
            entries = {part: index.boards[name] for part, name in names.items()}
            boards = {part: carved[keys[name]] for part, name in names.items()}
            flat = {corner.name: one for corner in CORNERS if (one := _flat_cutters(corner, names, index))}
            found.append(Assembly(drawer, index.joints[drawer.id], entries, boards, wishes.get(drawer.id), flat))
    return found


def _flat_cutters(corner: Corner, names: Mapping[str, str], index: Packet) -> FlatCutters | None:
    """Return what cut a joint whose tails were cut with the side flat; None where they were not."""
    end = "u=0" if corner.half_blind else "u=L"
    tails, pins = (index.cuts[names[part]] for part in (corner.tail_part, corner.pin_part))
    flat = [program for program in tails if program.hold == "flat" and end_worked(program) == end]
    straight, dovetail = (
        [tool for program in programs for number in program.tools if (tool := index.tools.get(number)) and tool.kind == kind]
        for kind, programs in (("straight", flat), ("dovetail", pins))
    )
    below = max((index.below.get(program.file, 0.0) for program in pins), default=0.0)
    return FlatCutters(straight[0], dovetail[0], below) if straight and dovetail else None


def _trials(
    index: Packet, keys: dict[str, tuple[object, ...]], carved: dict[object, Carved], wishes: dict[str, WrittenDrawer]
) -> list[Trial]:
    found = []
    for trial in index.trials:
        if all(keys[name] in carved for name in trial.boards) and {groove.board for groove in trial.grooves} <= {*trial.boards}:
            entries = {name: index.boards[name] for name in trial.boards}
            boards = {name: carved[keys[name]] for name in trial.boards}
            panel = known(wishes[trial.front].stock.get("bottom")) if trial.front in wishes else math.nan
            parts = index.sets[trial.front]
            flat = {corner.name: one for corner in TRIED if (one := _flat_cutters(corner, parts, index))}
            found.append(Trial(trial, entries, boards, index.tools, panel, flat))
    return found


def _of_trial(board: str, fault: Misfit, trial: Trial, index: Packet, runs: dict[str, ProgramRun]) -> Finding:
    """Make a finding of a fault of trial boards."""
    files = [program.file for program in index.cuts[board] if fault.joint in ("", end_worked(program))]
    return _of_board(trial.entries[board], fault, files[0] if files else "limits.json", index, runs)


def _outlines(
    index: Packet, keys: dict[str, tuple[object, ...]], carved: dict[object, Carved], runs: dict[str, ProgramRun]
) -> Iterator[Finding]:
    """Yield where a bottom was not carved to its outline."""
    for board, entry in index.boards.items():
        if entry.outline and index.cuts[board] and keys[board] in carved:
            used = {number for program in index.cuts[board] for number in program.tools} & index.tools.keys()
            widest = max((index.tools[number].diameter for number in used), default=0.0)
            for fault in outline_faults(carved[keys[board]], entry, widest):
                yield _of_board(entry, fault, index.cuts[board][0].file, index, runs)


def _of_board(entry: BoardEntry, fault: Misfit, file: str, index: Packet, runs: dict[str, ProgramRun]) -> Finding:
    """Make a finding of a fault of one board: at the line that came nearest to its place, or of a file where there is none."""
    source = _nearest(entry, fault, index, runs) or Source(file, 0)
    return Finding.of(fault.code, source.file, source.line, fault.text, Subject("board", entry.id), **dict(fault.figures))


def _finding(fault: Misfit, assembly: Assembly, index: Packet, runs: dict[str, ProgramRun]) -> Finding:
    """Make a finding of a fault: at the line that came nearest to its place, in the likeliest board's programs."""
    sources = []
    for entry in (assembly.entries[part] for part in fault.suspects):
        files = [program.file for program in index.cuts[entry.id] if program.file in runs]
        sources += [near] if (near := _nearest(entry, fault, index, runs)) else [Source(file, 0) for file in files[:1]]
    first = sources[0] if sources else Source("manifest.json", 0)
    also = "".join(f"; see also {source.file}{f':{source.line}' if source.line else ''}" for source in sources[1:])
    where, figures = "", dict(fault.figures)
    if fault.place is not None:
        x, y, z = fault.place
        where = f" (X {sizes(x)}, Y {sizes(y)}, Z {sizes(z)} in the drawer)"
        figures |= {"x_mm": x, "y_mm": y, "z_mm": z}
    subject = Subject("drawer", assembly.drawer.id, fault.joint)
    return Finding.of(fault.code, first.file, first.line, f"{fault.text}{where}{also}", subject, **figures)


def _nearest(entry: BoardEntry, fault: Misfit, index: Packet, runs: dict[str, ProgramRun]) -> Source | None:
    """Return the line of a board's programs that came nearest to the place of a fault; None where it has no place."""
    if fault.place is None:
        return None
    return nearest_line(_works(entry.id, index, runs), index.tools, entry.to_drawer, fault.place)


def _board_report(board: str, index: Packet, carved: Carved) -> BoardReport:
    entry = index.boards[board]
    programs = tuple(dict.fromkeys(program.file for program in index.cuts[board]))
    return BoardReport(board, entry.role, programs, carved.sweeps, carved.bound_mm, carved.removed_mm3)


def _in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Sort errors first, then by file and line, each told once."""

    def rank(finding: Finding) -> tuple[int, str, int, str, str]:
        return (GRAVE[finding.severity], finding.file, finding.line, finding.code, finding.text)

    return sorted(dict.fromkeys(findings), key=rank)
