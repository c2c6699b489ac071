"""Programs taken up again after a stop: the old one's head, an entry from the air, and what was not yet cut, judged as any program is.

A program is taken up where its cutter last stood in the air, clear of the wood in plan, before the line at which it stopped. It
comes straight down as far from the wood as at the program's own first entry, and goes on from there, so nothing hangs on where it
stood when it stopped, nor on a tenth by which a zero was set anew.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path, PurePosixPath

from camtools.faults import CamtoolsError, Fault
from camtools.verify.findings import Finding, Log
from camtools.verify.loading.loading_rules import Stopped, round_readings, stopped_in
from camtools.verify.packet_files import PacketFiles, read_packet
from camtools.verify.reader.motion import Motion, Point, ProgramRun
from camtools.verify.reader.words import read_block
from camtools.verify.rules.motion_rules import original_of
from camtools.verify.rules.workplace import SLACK_MM, Workplace, workplace_of
from camtools.verify.runs import Reading, readings_of, run_and_judge
from camtools.wording import MM_PER_INCH

__all__ = ["NotTakenUp", "TakenUp", "take_up", "told_times"]

_MODES = {0, 1}  # modal groups that may stand among the moves of a program taken up within them: dwell and machine coordinates, motion
_PATH = 13  # the group of G61 and G64, which is said again
_NUMBER = re.compile(r"\s*N[0-9]+\s*", re.IGNORECASE)


class NotTakenUp(CamtoolsError):
    """What is asked for can not be taken up, or not safely."""

    exit_code = 2
    heading = "The program was not taken up again"


@dataclass(frozen=True, slots=True)
class TakenUp:
    """A program that goes on after a stop, and its dry run."""

    file: str  # of the program it goes on with, relative to the packet
    text: str
    dry_text: str
    line: int  # of the old program, from which on it is cut again
    inches: bool  # what the program is written in
    entry_mm: Point  # where the cutter comes down to
    done: tuple[str, ...] = ()  # where a text of several programs was stopped: those it had run, one a board,
    left: tuple[str, ...] = ()  # and the files to be run after this one


@dataclass(frozen=True, slots=True)
class _Old:
    """The program that was stopped, read and run."""

    reading: Reading
    run: ProgramRun

    @property
    def lines(self) -> list[str]:
        return self.reading.text.splitlines()


def take_up(packet: Path, program: str, line: int) -> TakenUp:
    """Return a program that goes on where one stopped.

    Parameters
    ----------
    packet
        Folder that holds it.
    program
        Its name, with or without folder and ending, or its number. Of a text that runs several: its name with its folder.
    line
        The last line of it that may have been begun, counted from 1.

    Raises
    ------
    NotTakenUp
        Where there is no such program or line, the program does not pass the check itself, or no place to take it up at passes.
    """
    files = read_packet(packet)
    if files.manifest is None or files.limits is None or files.written is None:
        raise NotTakenUp(
            *(Fault(finding.file or str(packet), finding.text, remedy="`camtools check` tells all") for finding in files.findings)
        )
    manifest = files.manifest
    readings = {reading.file: reading for reading in readings_of(manifest, files.limits, files.programs, files.written)}
    texts = [entry.file for entry in files.limits.loadings or () if len(entry.programs) > 1]
    if program in files.rounds:
        stopped = _stopped(program, line, files, lambda file: run_and_judge(readings[file])[0])
        taken = take_up(packet, stopped.program.file, stopped.line)
        near = stopped.near_other(run_and_judge(replace(readings[taken.file], text=taken.text))[0])
        if near:
            remedy = f"take the other board off the machine, and take up {taken.file} at line {stopped.line}"
            raise NotTakenUp(*(Fault(f"{program}, line {line}", one.text, one.code, remedy=remedy) for one in near))
        return replace(taken, done=stopped.done, left=stopped.left)
    file = _named(program, [entry.file for entry in manifest.programs if entry.kind == "cut" and entry.file in readings], texts)
    dry = next((entry.file for entry in manifest.programs if entry.kind == "dry run" and original_of(entry.file) == file), "")
    old, old_dry = _sound(readings[file]), _sound(readings[dry]) if dry in readings else None
    if old_dry is None:
        raise NotTakenUp(Fault(file, "has no dry run in the packet", remedy="write the packet anew"))
    if not 1 <= line <= len(old.lines):
        raise NotTakenUp(Fault(f"{file}, line {line}", "is not in the program", f"line {line}", f"1 to {len(old.lines)}"))
    refused: list[Finding] = []
    for at in _entries(old, line):
        entry = _entry(old, at)
        text = _taken_up(old, at, entry)
        run, refused = _judged(old, text, old.run.motions[:at])
        if not refused and _way(run.motions, -len(old.run.motions[at:])) == _way(old.run.motions, at):
            dry_text = _taken_up(old_dry, _same_place(old.run, at, old_dry.run), entry)
            if not (refused := _judged(old_dry, dry_text, ())[1]):
                motion, inches = old.run.motions[at], old.run.units == "inch"
                return TakenUp(file, text, dry_text, motion.line, inches, (*entry, motion.start[2]))
    faults = [Fault(f"{file}, line {line}", f"can not be taken up: {finding.text}", finding.code) for finding in refused]
    changes = Fault(
        f"{file}, line {line}", "no entry from the air that passes", remedy="free the board, and run the program from its start"
    )
    raise NotTakenUp(*faults or (changes,))


def _stopped(text: str, line: int, files: PacketFiles, run_of: Callable[[str], ProgramRun]) -> Stopped:
    """Return where a text that runs several programs was stopped, if its board can be gone on with by its program alone."""
    where, count = f"{text}, line {line}", len(files.rounds[text].splitlines())
    if not 1 <= line <= count:
        raise NotTakenUp(Fault(where, "is not in the program", f"line {line}", f"1 to {count}"))
    assert files.manifest is not None
    assert files.limits is not None
    reading = next((own for own in round_readings(files.manifest, files.limits, files.rounds) if own.file == text), None)
    if reading is None or "/dry/" in text:
        raise NotTakenUp(Fault(where, "is a dry run: it cuts nothing", remedy="run it anew from its start"))
    stopped = stopped_in(reading, line, files.manifest, files.limits, run_of)
    if not isinstance(stopped, Stopped):
        raise NotTakenUp(
            *(Fault(where, f"does not run as its programs do: {one.text}", one.code, remedy="write the packet anew") for one in stopped)
        )
    told = f"{stopped.program.file} at the {stopped.program.stop} stop"
    cut = f"run whole before: {told_times(stopped.done)}" if stopped.done else "no board was done before"
    left = f"; then run {told_times(stopped.left)}" if stopped.left else ""
    alone = ", with no other board on the machine" if stopped.raised else ""
    if stopped.stacked > 1:
        problem = f"lies in {told}, of a stack of {stopped.stacked} boards, which goes on as a whole only; {cut}"
        remedy = f"leave the boards as they are clamped and run {stopped.afresh} from its start, through what is cut already{left}"
    elif stopped.finished:
        problem, remedy = f"lies behind {told}, whose board is done; {cut}", f"cut nothing of that board again{left}{alone}"
    elif not stopped.line:
        problem, remedy = f"lies before {told}, whose board is not begun; {cut}", f"run {stopped.afresh} from its start{alone}{left}"
    elif stopped.raised:
        problem = f"lies in {told}, which alone does not rise above the board at the other stop; {cut}"
        remedy = f"take that board and its clamps off the machine, then take up {stopped.program.file} at line {stopped.line}{left}"
    else:
        return stopped
    raise NotTakenUp(Fault(where, problem, remedy=remedy))


def told_times(files: Sequence[str]) -> str:
    """Return files as words, each once, with how often it comes."""
    return ", ".join(file if times == 1 else f"{file} {times} times" for file, times in Counter(files).items())


def _named(program: str, files: Sequence[str], texts: Sequence[str]) -> str:
    """Return the one file that is meant; a number may be that of a text which runs two programs, too."""
    names = {file: {file, PurePosixPath(file).name, PurePosixPath(file).stem, PurePosixPath(file).name.split("-")[0]} for file in files}
    meant = [file for file in dict.fromkeys(files) if program in names[file] or program.rjust(2, "0") in names[file]]
    meant += [text for text in texts if PurePosixPath(text).name.split("-")[0] in {program, program.rjust(2, "0")}]
    if len(meant) == 1:
        return meant[0]
    problem = "is the name of several programs" if meant else "is no program of this packet that cuts"
    remedy = "name one by its file: a text that runs several by its folder too, rounds/..."
    raise NotTakenUp(Fault(program, problem, limit=", ".join(meant) or f"{files[0]} to {files[-1]}", remedy=remedy))


def _sound(reading: Reading) -> _Old:
    run, findings = run_and_judge(reading)
    wrong = [finding for finding in findings if finding.severity == "error"]
    if wrong:
        raise NotTakenUp(*(Fault(f"{reading.file}:{one.line}", one.text, one.code, remedy="mend the program first") for one in wrong))
    return _Old(reading, run)


def _entries(old: _Old, line: int) -> Iterator[int]:
    """Yield the places among the motions at which it may be taken up, the last one first; the last of all is its own first entry."""
    motions, lines = old.run.motions, old.lines
    use = old.reading.uses[0]
    place = _workplace(old)
    if place is None:
        return
    over = _over(old)
    tool = motions[over].tool
    last = max((at for at, motion in enumerate(motions) if motion.kind != "rapid"), default=0)
    for at in range(last, over + 1, -1):
        motion = motions[at]
        if (motion.line > line and at > over + 2) or motion.tool != tool or not _in_air(motion.start, place, tool or use.tools[0]):
            continue
        blocks = [read_block(text) for text in lines[motions[over].line - 1 : motion.line - 1]]
        if 1 in read_block(lines[motion.line - 1]).g and not any(block.m or block.g.keys() - {*_MODES, _PATH} for block in blocks):
            yield at


def _workplace(old: _Old) -> Workplace | None:
    limits, use = old.reading.limits, old.reading.uses[0]
    return None if limits is None else workplace_of(use, limits, old.reading.manifest, Log(use.file))


def _over(old: _Old) -> int:
    """Return the place among the motions of the first one that names X or Y: what stands before it is the head."""
    return next(at for at, motion in enumerate(old.run.motions) if read_block(old.lines[motion.line - 1]).values.keys() & {"X", "Y"})


def _in_air(point: Point, place: Workplace, tool: int) -> bool:
    """Tell whether the cutter stands clear of the wood in plan, or above clearance."""
    if point[2] >= place.clear_z_mm - SLACK_MM:
        return True
    return math.hypot(*_off_wood(point, place)) >= place.tools[tool].radius_mm - SLACK_MM


def _off_wood(point: Point, place: Workplace) -> tuple[float, float]:
    """Return how far a point stands off the wood, in X and Y."""
    (left, near, _), (right, far, _) = place.wood
    return point[0] - min(max(point[0], left), right), point[1] - min(max(point[1], near), far)


def _entry(old: _Old, at: int) -> tuple[float, float]:
    """Return where the cutter comes down to go on with a motion: at its start, or as far off the wood as at the program's own entry."""
    point, place = old.run.motions[at].start, _workplace(old)
    off = (0.0, 0.0) if place is None else _off_wood(point, place)
    apart = math.hypot(*off)
    if place is None or apart == 0.0:  # above the wood
        return point[0], point[1]
    more = max(0.0, math.hypot(*_off_wood(old.run.motions[_over(old)].end, place)) / apart - 1)
    return point[0] + more * off[0], point[1] + more * off[1]


def _taken_up(old: _Old, at: int, entry: tuple[float, float]) -> str:
    """Write the program that comes down at an entry and makes the motions from a place on."""
    motions, lines = old.run.motions, old.lines
    over, motion = _over(old), motions[at]
    down, first = motions[over + 1], motions[over + 2]
    fed = next((one.feed_mm_min for one in reversed(motions[:at]) if one.kind != "rapid"), 0.0)
    scale = MM_PER_INCH if old.run.units == "inch" else 1.0
    x, y, z = (_number(length / scale) for length in (*entry, motion.start[2]))
    to = " ".join(f"{axis}{_number(length / scale)}" for axis, length in zip("XY", motion.start[:2], strict=True))
    path = [text for text in lines[motions[over].line : motion.line - 1] if _PATH in read_block(text).g]
    body = [
        *_said(f"taken up again after a stop: from line {motion.line} of {PurePosixPath(old.run.file).name} on", "", lines),
        f"G0 X{x} Y{y}",
        lines[down.line - 1],
        *path[-1:],
    ]
    if motion.start[2] < down.end[2] - SLACK_MM:
        body += _said("down in the air, clear of the wood", f"G1 Z{z} F{_number(first.feed_mm_min / scale)} ", lines)
        body += [f"G1 {to}"] if f"X{x} Y{y}" != to else []
        if fed and fed != first.feed_mm_min:
            body.append(f"F{_number(fed / scale)}")
    text = [*lines[: motions[over].line - 1], *body, *lines[motion.line - 1 :]]
    if _NUMBER.match(lines[motion.line - 1]):
        text = [f"N{place} {_NUMBER.sub('', one, count=1)}" for place, one in enumerate(text, 1)]
    return "\n".join(text) + "\n"


def _said(words: str, code: str, lines: Sequence[str]) -> list[str]:
    """Return code and words as the program has them, the words only where there is room on a line."""
    sign = next((sign for line in lines for sign in "(;" if sign in line), "")
    remark = {"": "", "(": f"({words})", ";": f"; {words}"}[sign]
    fits = len(f"N99999 {code}{remark}") <= max(map(len, lines))
    return [written] if (written := (code + remark if fits else code).rstrip()) else []


def _number(value: float) -> str:
    whole, _, part = f"{round(value, 6) + 0.0:.6f}".partition(".")
    return f"{whole}.{part.rstrip('0') or '0'}"


def _judged(old: _Old, text: str, done: Sequence[Motion]) -> tuple[ProgramRun, list[Finding]]:
    """Run a program that goes on after others, and return what is wrong with it; that those ended in a stop is known."""
    run, findings = run_and_judge(replace(old.reading, text=text), done)
    first = run.motions[0].line if run.motions else 0
    return run, [one for one in findings if one.severity == "error" and (one.code, one.line) != ("unsafe-stop", first)]


def _way(motions: Sequence[Motion], begin: int) -> list[Motion]:
    return [replace(motion, line=0) for motion in motions[begin:]]


def _same_place(run: ProgramRun, at: int, dry: ProgramRun) -> int:
    """Return the place in a dry run that goes the same way over the board, only higher."""

    def moves_over(motions: Sequence[Motion]) -> list[int]:
        ends = [motion.end[:2] for motion in motions]
        return [i for i, (before, after) in enumerate(pairwise(ends), 1) if before != after or motions[i].kind == "arc"]

    done = sum(place < at for place in moves_over(run.motions))
    return moves_over(dry.motions)[done]
