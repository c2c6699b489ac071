"""Runs every program of a packet and judges its motions, once for each different way it is used."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from camtools.output.manifest import Limits, Manifest, ProgramEntry
from camtools.verify.findings import Finding
from camtools.verify.lookups import shared_offsets
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import Motion, ProgramRun
from camtools.verify.rules.load_rules import Resistance, resistance_of
from camtools.verify.rules.motion_rules import compare_paths, judge, original_of
from camtools.verify.written import Written

__all__ = ["Reading", "compared_dry_runs", "readings_of", "run_and_judge"]


_BLEND_SHARE = 0.25  # of a flank's clearance that rounded corners may use up; common practice, no source


@dataclass(frozen=True, slots=True)
class Reading:
    """A program to be run, and judged once for each different way it is used. It travels between processes."""

    file: str
    text: str
    uses: tuple[ProgramEntry, ...]
    loosest_mm: float  # by how much a controller may round corners, as far as the joints bear it
    zero_shared: bool  # its work offset serves setups of other kinds too
    manifest: Manifest  # cut down to what these uses name
    limits: Limits | None
    resistance: Resistance | None


def readings_of(manifest: Manifest, limits: Limits | None, texts: dict[str, str], written: Written | None = None) -> list[Reading]:
    """Return every program with what it is to be judged by."""
    sizes = {board.id: board.size for board in manifest.boards}
    uses: dict[str, dict[object, ProgramEntry]] = {}
    for program in manifest.programs:
        setup = (program.to_machine, program.hold, program.stop, program.work_offset, program.kind, tuple(program.tools))
        use = (sizes.get(program.board), setup)
        uses.setdefault(program.file, {}).setdefault(use, program)
    around = {entry.file: entry for entry in limits.programs} if limits else {}
    loosest = min((joint.flank for joint in limits.joints), default=0.0) * _BLEND_SHARE if limits else math.inf
    readings, shared = [], shared_offsets(manifest.programs)
    for file, text in texts.items():
        own = tuple(uses[file].values())
        named = {program.board for program in own}
        boards = [board for board in manifest.boards if board.id in named]
        small = manifest.model_copy(update={"boards": boards, "drawers": [], "programs": list(own)})
        limited = None
        if limits is not None:
            limited = limits.model_copy(update={"programs": [around[file]] if file in around else [], "joints": []})
        zero_shared = any(program.work_offset in shared for program in own)
        resistance = resistance_of(written, manifest, named) if written else None
        readings.append(Reading(file, text, own, loosest, zero_shared, small, limited, resistance))
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
    only = {use.tools[0] for use in reading.uses if len(use.tools) == 1}  # the maker fits it before the start
    tools, fitted = {tool.number for tool in reading.manifest.tools}, only.pop() if len(only) == 1 else 0
    own = run(reading.text, reading.file, tools=tools, fitted=fitted, top_mm=_top_mm(reading.limits))
    findings = [*own.findings]
    if own.blend_mm is not None and own.blend_mm > reading.loosest_mm + 1e-6:
        asked = "without limit" if math.isinf(own.blend_mm) else f"by {own.blend_mm:.4g} mm"
        text = f"G64 lets corners be rounded {asked}, the joints bear {reading.loosest_mm:.4g} mm: write G61, or a smaller P"
        findings.append(Finding("path-too-loose", "error", reading.file, 0, text))
    if reading.zero_shared and not own.zero_asked:
        text = f"{reading.uses[0].work_offset} serves setups of several kinds: stop by M0 with a comment that asks for X, Y and Z zero"
        findings.append(Finding("zero-shared", "error", reading.file, 0, text))
    if reading.limits is not None:
        for program in reading.uses:
            findings += judge(replace(own, motions=(*done, *own.motions)), program, reading.limits, reading.manifest, reading.resistance)
    return own, tuple(findings)


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
