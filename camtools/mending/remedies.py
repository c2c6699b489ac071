"""Finds changes by which the faults of a job go, one after another, and tells only what was tried."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice
from typing import Any

from camtools.faults import CannotCut, Fault, JobFault, Way
from camtools.mending.changes import changed, told, value_at, written
from camtools.mending.few_drawers import FewDrawers, few_drawers
from camtools.mending.knobs import ways_to_mend
from camtools.mending.trials import Outcome, Trials

__all__ = ["mended"]

Content = dict[str, Any]
Kind = tuple[str, str]

_BRANCHES = 3  # ways of a fault that are followed further
_DEEPEST = 40  # changes, one after another


@dataclass(frozen=True, slots=True)
class _Step:
    """A fault that went, and by what."""

    kind: Kind
    way: Way


@dataclass(slots=True)
class _Search:
    """Goes from fault to fault until the job can be cut."""

    trials: Trials
    tried: dict[Kind, list[str]] = field(default_factory=dict)

    def ways(self, fault: Fault, content: Content) -> Iterator[tuple[Way, Content, Outcome]]:
        """Yield each way by which a fault goes, with the tables and the outcome that come of it."""
        for way in ways_to_mend(fault, content):
            for placed in written(way, fault, content):
                made = changed(content, placed)
                if made is None:
                    continue
                if self.trials.over:
                    return
                outcome = self.trials.work(made)
                self.tried.setdefault(fault.kind, []).extend(change.key for change in placed)
                if fault.kind not in outcome.kinds:
                    yield placed, made, outcome

    def through(self, content: Content, outcome: Outcome, depth: int = 0) -> list[_Step] | None:
        """Return the steps after which nothing is wrong, or None where none were found."""
        fault = outcome.faults[0]
        others: list[tuple[int, int, Way, Content, Outcome]] = []
        followed = 0
        for way, made, after in self.ways(fault, content):
            step = _Step(fault.kind, way)
            if not after.faults:
                return [step]
            if after.better_than(outcome) and followed < _BRANCHES and depth < _DEEPEST:
                followed += 1
                if (rest := self.through(made, after, depth + 1)) is not None:
                    return [step, *rest]
            else:
                others.append((-after.stage, len(after.faults), way, made, after))
        for *_, way, made, after in sorted(others, key=lambda one: one[:2])[:_BRANCHES]:
            if depth < _DEEPEST and (rest := self.through(made, after, depth + 1)) is not None:
                return [_Step(fault.kind, way), *rest]
        return None


def mended(error: JobFault | CannotCut, content: Content, trials: Trials) -> JobFault | CannotCut:
    """Return the error with a remedy for each of its faults, as far as any was found.

    Parameters
    ----------
    error
        What stopped the job. Where it comes of itself from these tables, each fault is told once.
    content
        Tables of the job file.
    trials
        Works the job again.
    """
    outcome = trials.work(content)
    if not outcome.faults:
        return error
    search = _Search(trials)
    few = few_drawers(content, outcome.faults)
    tried = trials.work(few.content)
    steps = search.through(few.content, tried) if tried.faults else None
    steps = steps and [replace(step, way=few.for_all(step.way)) for step in steps]
    if steps is not None and (made := changed(content, _joined(steps, content))) is not None and not trials.work(made).faults:
        steps = _needed(steps, content, trials)
    else:
        steps = None
        trials.go_on()
    faults = [_remedied(fault, steps, content, outcome, trials) for fault in outcome.faults]
    if steps is None:
        own = {fault.kind: fault for fault in tried.faults}
        faults = [fault if fault.changes else _alone(own.get(fault.kind, fault), few, content, outcome, search) for fault in faults]
    found = outcome.raised(*faults)
    if steps is not None and len(faults) > 1:
        found.together = _joined(steps, content)
    return found


def _joined(steps: Sequence[_Step], content: Content) -> Way:
    """Return the changes of all steps as they come out: a list that is changed twice is written once."""
    last = {change.key: change for step in steps for change in step.way}
    made = changed(content, tuple(last.values()))
    if made is None:
        return tuple(last.values())
    inner = {key for key in last if any(key.startswith((f"{other}[", f"{other}.")) for other in last)}
    kept = (change for key, change in last.items() if key not in inner)
    return tuple(change if change.value is None else replace(change, value=value_at(made, change.key)) for change in kept)


def _needed(steps: list[_Step], content: Content, trials: Trials) -> list[_Step]:
    """Leave out every step that the others can do without."""
    for step in tuple(steps) if len(steps) > 1 else ():
        fewer = [one for one in steps if one is not step]
        made = changed(content, _joined(fewer, content))
        if made is not None and not trials.over and not trials.work(made).faults:
            steps = fewer
    return steps


def _remedied(fault: Fault, steps: Sequence[_Step] | None, content: Content, outcome: Outcome, trials: Trials) -> Fault:
    """Give a fault the fewest of the steps by which it goes and no other comes."""
    for way in _parts(fault, steps or (), outcome, content):
        made = changed(content, way)
        after = trials.work(made) if made is not None else outcome
        if fault.kind not in after.kinds and after.better_than(outcome):
            return _with(fault, way, content, after)
    return fault


def _alone(fault: Fault, few: FewDrawers, content: Content, outcome: Outcome, search: _Search) -> Fault:
    """Give a fault a way by which it goes, whatever comes of the others; or say what was tried."""
    told_of = next((one for one in outcome.faults if one.kind == fault.kind), fault)
    others: Fault | None = None
    for way, _, _ in islice(search.ways(fault, few.content), 200):
        made = changed(content, whole := few.for_all(way))
        after = search.trials.work(made) if made is not None else outcome
        if fault.kind not in after.kinds and (after.better_than(outcome) or after.stage > outcome.stage):
            return _with(told_of, whole, content, after)
        if fault.kind not in after.kinds and others is None:
            others = _with(told_of, whole, content, after, "then this fault is gone, and others come up")
    if others is not None:
        return others
    tried = ", ".join(list(dict.fromkeys(search.tried.get(fault.kind, ())))[:12])
    return replace(told_of, remedy=f"nothing that was tried works: changes of {tried}")


def _parts(fault: Fault, steps: Sequence[_Step], outcome: Outcome, content: Content) -> Iterator[Way]:
    """Yield the steps for a fault with those for what came up by them, or what it proposes; then the steps from the first on."""
    own: list[_Step] = []
    mine = False
    for step in steps:
        mine = step.kind == fault.kind or (mine and step.kind not in outcome.kinds)
        own += [step] if mine else []
    if own:
        yield _joined(own, content)
    elif len(steps) > 1:
        yield from (placed for way in fault.ways[:_BRANCHES] for placed in written(way, fault, content))
    for end in range(1, len(steps) + 1):
        yield steps[end - 1].way
        yield _joined(steps[:end], content)


def _with(fault: Fault, way: Way, content: Content, after: Outcome, gone: str = "then this fault is gone") -> Fault:
    words = f"{told(way, content, fault)}; {gone if after.faults else 'then the job can be cut'}"
    return replace(fault, changes=way, remedy=words)
