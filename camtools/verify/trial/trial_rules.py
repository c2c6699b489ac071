"""Compares the trial boards of a packet with the job file: every joint of it must be tried, at the steps that are written."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from camtools.output.manifest import BoardEntry, Limits, Manifest, TrialEntry
from camtools.verify.findings import Finding
from camtools.verify.lookups import end_worked
from camtools.verify.rules.job_rules import LAP, Comparison
from camtools.verify.timber import timber_of, wood_of
from camtools.verify.written import Values, Written, WrittenDrawer, known, told_as

__all__ = ["judge_trials"]

_SAME_MM = 1e-4
_MOST_MM, _PLAY_MM = 0.3, 1.0  # steps that are left open
_JOINT = (("tip", "free_depth", 0.5), ("proud", "proud", 0.5))


def judge_trials(written: Written, manifest: Manifest, limits: Limits) -> list[Finding]:
    """Return where a packet of trial joints does not try what the job file says."""
    findings: list[Finding] = []
    compare = Comparison("limits.json", findings)
    numbers = Counter(number for trial in limits.trials for number in trial.drawers)
    if limits.trials and numbers != Counter(range(1, len(written.drawers) + 1)):
        compare.add("trial-incomplete", f"it tries drawers {told_as(sorted(numbers.elements()))} of the job's {len(written.drawers)}")
    boards = {board.id: board for board in manifest.boards}
    for trial in limits.trials:
        _steps("clearances", [step.clearance for step in trial.steps], written.trial, _MOST_MM, compare)
        _steps("groove_plays", [groove.play for groove in trial.grooves], written.trial, _PLAY_MM, compare)
        for what, ones in (("steps", [step.number for step in trial.steps]), ("grooves", [groove.number for groove in trial.grooves])):
            if ones != list(range(1, len(ones) + 1)):
                compare.add("trial-incomplete", f"its {what} are numbered {told_as([float(one) for one in ones])}")
        if len({groove.board for groove in trial.grooves} & {*trial.boards}) < len(trial.grooves):
            compare.add("trial-incomplete", "its grooves are not each in a board of its own")
        own = {part: boards[name] for part, name in zip(("front", "back", "left"), trial.boards, strict=True) if name in boards}
        for number in trial.drawers:
            if number <= len(written.drawers):
                _drawer(trial, own, written.drawers[number - 1], manifest, compare)
        _slots(trial, manifest, compare)
    return findings


def _steps(key: str, found: Sequence[float], table: Values, most: float, compare: Comparison) -> None:
    """Compare steps with those that are written, or see that they rise within bounds."""
    asked = table.get(key)
    if asked is None:
        if not found or list(found) != sorted(set(found)) or found[-1] > most:
            compare.add("choice-unsound", f"trial.{key}: {told_as(list(found))}; the job file leaves them open, and they must rise")
        return
    said = [known(one) for one in asked] if isinstance(asked, tuple) else []
    if len(said) != len(found) or any(not abs(one - other) < _SAME_MM for one, other in zip(said, found, strict=True)):
        compare.same(f"trial.{key}", list(found), asked)


def _drawer(trial: TrialEntry, own: dict[str, BoardEntry], wish: WrittenDrawer, manifest: Manifest, compare: Comparison) -> None:
    """Compare the boards of a trial, and how their joints are to be, with a drawer that they stand for."""
    side = wish.stock.get("side", "nothing")
    for part, board in own.items():
        said = side if part == "left" else wish.stock.get(part, side if part == "back" else "nothing")
        compare.number(f"thickness of the trial {board.role}", board.size[2], said)
        if board.wood is not None and timber_of(board.wood) != timber_of(wood_of(wish.stock, part)):
            compare.add("job-differs", f"wood of the trial {board.role}: {board.wood}, by the job file {wood_of(wish.stock, part)}")
    for field, key, most in _JOINT:
        compare.number(key.replace("_", " "), getattr(trial, field), wish.joints.get(key), 0.0, most)
    front = known(wish.stock.get("front"))
    compare.number("lap", trial.lap, wish.joints.get("lap"), LAP[0] * front, max(LAP[1] * front, LAP[2]))
    for part, board in own.items():
        upright = any(program.hold == "upright" for program in manifest.programs if program.board == trial.side)
        joint = "straight" if (part == "back") is upright and part != "front" else "dovetail"
        done = [program for program in manifest.programs if program.board == board.id and program.kind == "cut"]
        for table, key, groove in ((wish.groove, "cutter", True), (wish.joints, joint, False)):
            tools = {tool for program in done if (end_worked(program) == "groove") is groove for tool in program.tools}
            cutter = table.get(key)
            if tools and cutter is not None and cutter not in tools:
                compare.add("job-differs", f"the trial {board.role} is cut without cutter {told_as(cutter)}, which the job file names")


def _slots(trial: TrialEntry, manifest: Manifest, compare: Comparison) -> None:
    """See that every cutter of the trial can be measured: a straight one by a slot, a dovetail one by two of different depths."""
    used = {tool for program in manifest.programs if program.board in trial.boards for tool in program.tools}
    for tool in manifest.tools:
        depths = {slot.depth for slot in trial.slots if slot.tool == tool.number}
        if tool.number in used and len(depths) < (2 if tool.kind == "dovetail" else 1):
            compare.add("trial-incomplete", f"no slots tell the true size of cutter {tool.number}")
