"""Runs every program of a packet and judges its motions, once for each different way it is used."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from camtools.output.manifest import Limits, Manifest, ProgramEntry
from camtools.verify.findings import Finding
from camtools.verify.lookups import shared_offsets
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import Motion, ProgramRun
from camtools.verify.rules.load_rules import stated_of
from camtools.verify.rules.motion_rules import compare_paths, judge, original_of
from camtools.verify.rules.workplace import Stated
from camtools.verify.written import Written
from camtools.wording import fine

__all__ = ["Reading", "compared_dry_runs", "readings_of", "run_and_judge"]


_BLEND_SHARE = 0.25  # of a flank's clearance that rounded corners may use up; common practice, no source


class Earlier(NamedTuple):
    """A program that comes earlier in the order of work."""

    file: str
    text: str
    fitted: int  # cutter that stands in the spindle from the start, 0 for none


@dataclass(frozen=True, slots=True)
class Reading:
    """A program to be run, and judged once for each different way it is used. It travels between processes."""

    file: str
    text: str
    uses: tuple[ProgramEntry, ...]
    before: tuple[tuple[Earlier, ...], ...]  # for each use, what cut its board before in the same hold and at the same end
    fitted: int  # cutter that stands in the spindle from the start, 0 for none
    loosest_mm: float  # by how much a controller may round corners, as far as the joints bear it
    zero_shared: bool  # its work offset serves setups of other kinds too
    manifest: Manifest  # cut down to what these uses name
    limits: Limits | None
    stated: Stated | None


def readings_of(manifest: Manifest, limits: Limits | None, texts: dict[str, str], written: Written | None = None) -> list[Reading]:
    """Return every program with what it is to be judged by."""
    sizes = {board.id: board.size for board in manifest.boards}
    only: dict[str, set[int]] = {}  # a cutter that alone is used: the maker fits it before the start
    for entry in manifest.programs:
        only.setdefault(entry.file, set()).update(entry.tools if len(entry.tools) == 1 else ())
    programs = {file: Earlier(file, text, only[file].pop() if len(only[file]) == 1 else 0) for file, text in texts.items()}
    uses: dict[str, dict[object, tuple[ProgramEntry, tuple[Earlier, ...]]]] = {}
    ends: dict[object, list[ProgramEntry]] = {}
    for entry in sorted(manifest.programs, key=lambda entry: entry.order):
        cut = ends.setdefault((entry.board, entry.hold, entry.to_machine), [])
        before = tuple(programs[other.file] for other in cut if other.order < entry.order and other.file in programs)
        setup = (entry.to_machine, entry.hold, entry.stop, entry.work_offset, entry.kind, tuple(entry.tools))
        use = (sizes.get(entry.board), setup, before)
        uses.setdefault(entry.file, {}).setdefault(use, (entry, before))
        if entry.kind == "cut":
            cut.append(entry)
    around = {entry.file: entry for entry in limits.programs} if limits else {}
    flanks = [flank for joint in limits.joints for flank in joint.flanks] if limits else []
    flanks += [step.clearance for trial in limits.trials for step in trial.steps] if limits else []
    loosest = min(flanks, default=0.0) * _BLEND_SHARE if limits else math.inf
    readings, shared = [], shared_offsets(manifest.programs)
    for file, program in programs.items():
        own, befores = zip(*uses[file].values(), strict=True)
        named = {program.board for program in own}
        boards = [board for board in manifest.boards if board.id in named]
        small = manifest.model_copy(update={"boards": boards, "drawers": [], "programs": list(own)})
        limited = None
        if limits is not None:
            limited = limits.model_copy(update={"programs": [around[file]] if file in around else [], "joints": [], "trials": []})
        zero_shared = any(program.work_offset in shared for program in own)
        stated = stated_of(written, manifest, named) if written else None
        readings.append(Reading(file, program.text, own, befores, program.fitted, loosest, zero_shared, small, limited, stated))
    return readings


def run_and_judge(reading: Reading, done: Sequence[Motion] = ()) -> tuple[ProgramRun, tuple[Finding, ...]]:
    """Run a program and judge its motions.

    Parameters
    ----------
    reading
        The program.
    done
        Motions made before on the same board in the same hold, where it goes on after a stop: what was cut is there no more.
    """
    own = _run(reading, Earlier(reading.file, reading.text, reading.fitted))
    findings = [*own.findings]
    if own.blend_mm is not None and own.blend_mm > reading.loosest_mm + 1e-6:
        asked = "without limit" if math.isinf(own.blend_mm) else f"by {fine(own.blend_mm)}"
        text = f"G64 lets corners be rounded {asked}, the joints bear {fine(reading.loosest_mm)}: write G61, or a smaller P"
        findings.append(Finding.of("path-too-loose", reading.file, 0, text))
    if reading.zero_shared and not own.zero_asked:
        text = f"{reading.uses[0].work_offset} serves setups of several kinds: stop by M0 with a comment that asks for X, Y and Z zero"
        findings.append(Finding.of("zero-shared", reading.file, 0, text))
    if reading.limits is not None:
        whole = replace(own, motions=(*done, *own.motions))
        for use, programs in zip(reading.uses, reading.before, strict=True):
            before = [motion for program in programs for motion in _run(reading, program).motions]
            findings += judge(whole, use, reading.limits, reading.manifest, reading.stated, before)
    return own, tuple(findings)


def _run(reading: Reading, program: Earlier) -> ProgramRun:
    tools = {tool.number for tool in reading.manifest.tools}
    return run(program.text, program.file, tools=tools, fitted=program.fitted, top_mm=_top_mm(reading.limits))


def _top_mm(limits: Limits | None) -> float:
    """Return the height over the work that stands for the machine's top of travel: clear of all that is known to stand there."""
    if limits is None:
        return 100.0
    zones = [zone.high[2] + limits.machine.clearance for program in limits.programs for zone in program.zones]
    return max(limits.machine.retract, *zones, 0.0)


def compared_dry_runs(manifest: Manifest, runs: dict[str, ProgramRun], edited: frozenset[str]) -> Iterator[Finding]:
    """Yield where a dry run goes another way than its program, unless the program alone was edited since: that is told elsewhere."""
    for file in dict.fromkeys(program.file for program in manifest.programs if program.kind == "dry run"):
        own, original = runs.get(file), runs.get(original_of(file))
        if own is not None and original is not None and (original.file not in edited or file in edited):
            yield from compare_paths(own, original)
