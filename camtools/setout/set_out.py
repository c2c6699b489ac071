"""What comes of a job file's text: the drawers, what camtools takes where it is silent, and what can not be, each by key."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal

from camtools.drawer import drawers_of
from camtools.drawer.boards import Drawer
from camtools.drawer.styles import STYLES
from camtools.faults import CannotCut, Change, Fault, JobFault, SheetFault, Way, merged, refusal
from camtools.job import Default
from camtools.job.bench.companions import Bench, bench_beside
from camtools.job.job import Job
from camtools.job.jobfile import job_of, units_of
from camtools.job.slips import path_of, steps_of
from camtools.job.tables import content_of
from camtools.mending import Trials, mended
from camtools.mending.changes import changed
from camtools.output.dialects import dialect_of, shipped_dialects
from camtools.output.plan_data import Plan, plan_of
from camtools.output.sections import templates_asked_for
from camtools.setout.form_lines import is_field, is_key
from camtools.setout.packet_work import PacketWork
from camtools.toolpath.programs import programs_of, with_offsets
from camtools.wording import told_in

__all__ = ["Amiss", "Keeping", "Reckoned", "SetOut", "Worked", "entries_of", "reckon", "way_back", "work_out"]

Entries = Mapping[int, Drawer]

_OF_DRAWER = re.compile(r'(drawers\[\d+\])(?: ".*?")?(?:\.|, |$)(.*)')
_MOST_BACK = 6  # changes, of which each is tried
_PATH = re.compile(r"[\w.\[\]]+(?: \(\w+\))?")


@dataclass(frozen=True, slots=True)
class Amiss:
    """A fault, with the key of the file that it stands at: nothing where it is of the whole job."""

    key: str
    fault: Fault
    back: Change | None = None  # takes back what was changed last, and the fault goes

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys that it is told at: its own, and that which was changed last."""
        return tuple(dict.fromkeys((self.key, *([self.back.key] if self.back else ()))))

    @property
    def changes(self) -> Way:
        """What mends it, where that was tried."""
        return self.fault.changes


@dataclass(frozen=True, slots=True)
class Worked:
    """A job as far as it could be worked out at once."""

    path: Path
    text: str
    content: Mapping[str, Any]
    job: Job | None = None
    defaults: Mapping[str, Default] = field(default_factory=dict)  # by key path
    drawers: Entries = field(default_factory=dict)  # by their place in the file, from 1
    error: JobFault | CannotCut | None = None
    bench: Bench = field(default_factory=Bench)

    @property
    def units(self) -> Literal["mm", "in"]:
        return units_of(self.content)

    @property
    def faults(self) -> tuple[Amiss, ...]:
        return _amiss(self.error)


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What takes longer: the plan with its programs, or what would mend the job."""

    plan: Plan | None = None
    faults: tuple[Amiss, ...] = ()
    together: Way = ()  # changes that mend all of them


@dataclass(frozen=True, slots=True)
class Keeping:
    """How the job is kept."""

    name: str  # of its file
    named: bool  # by the maker: it was saved, or opened
    saved: bool
    undo: str = ""  # what undo would take back, in words; nothing where there is nothing
    redo: str = ""
    changed_on_disk: str = ""  # the difference from the file that somebody changed meanwhile
    left_over: str = ""  # the difference from a copy that was never saved
    shop: bool = False  # whether there is a shop file in its folder


@dataclass(frozen=True, slots=True)
class SetOut:
    """A job as it stands: all that its page shows."""

    revision: int
    worked: Worked
    keeping: Keeping
    earlier: Entries = field(default_factory=dict)  # of drawers that can not be worked out now, as they last were
    since: Way = ()  # what takes back all that was changed since the job could last be cut
    reckoned: Reckoned | None = None  # None: not yet
    work: PacketWork | None = None  # the packet that is written or checked; None: none was asked for

    @property
    def units(self) -> Literal["mm", "in"]:
        return self.worked.units

    @property
    def text(self) -> str:
        return self.worked.text

    @property
    def content(self) -> Mapping[str, Any]:
        return self.worked.content

    @property
    def job(self) -> Job | None:
        return self.worked.job

    @property
    def defaults(self) -> Mapping[str, Default]:
        return self.worked.defaults

    @property
    def drawers(self) -> Entries:
        return self.worked.drawers

    @property
    def faults(self) -> tuple[Amiss, ...]:
        if self.reckoned is not None:
            return self.reckoned.faults
        back = self.since[0] if len(self.since) == 1 else None
        return tuple(replace(one, back=back) for one in self.worked.faults)


def entries_of(content: Mapping[str, Any], name: str = "drawers") -> list[dict[str, Any]]:
    """Return the entries of a list of the job file, an empty one for each that is no table."""
    entries = content.get(name)
    return [entry if isinstance(entry, dict) else {} for entry in entries] if isinstance(entries, list) else []


def work_out(path: Path, text: str) -> Worked:
    """Work a job out as far as its drawers.

    Parameters
    ----------
    path
        Where its file is, or would be: dialects, answers and sheets of boards are looked for beside it.
    text
        What it says; it is TOML.
    """
    content = content_of(text, path.name)
    worked = Worked(path, text, content)
    with told_in(worked.units):
        try:
            bench = bench_beside(path, content)
        except JobFault as error:
            return replace(worked, error=error)
        worked = replace(worked, bench=bench)
        try:
            job, defaults = _job(content, bench)
            worked = replace(worked, job=job, defaults={default.key: default for default in defaults})
            dialect_of(job.machine.postprocessor, beside=path.parent)
            return replace(worked, drawers=_by_entry(job, drawers_of(job)))
        except (JobFault, CannotCut) as error:
            return replace(worked, error=error, drawers=_others(worked, error))


def reckon(worked: Worked, trials: Trials, since: Way = ()) -> Reckoned:
    """Reckon what takes longer; ``trials`` may be told to stop meanwhile.

    Parameters
    ----------
    since
        What takes back all that was changed since the job could last be cut.
    """
    with told_in(worked.units):
        error, job = worked.error, worked.job
        if error is None and job is not None:
            drawers = tuple(worked.drawers.values())
            try:
                dialect = dialect_of(job.machine.postprocessor, beside=worked.path.parent)
                programs = with_offsets(programs_of(job, drawers), dialect.work_offsets)
                templates_asked_for(job, drawers)
                return Reckoned(plan_of(dialect.taken_by(job), drawers, programs))
            except CannotCut as fault:
                error = fault
        if error is None or isinstance(error, SheetFault):
            return Reckoned(None, _amiss(error))
        if type(error) is CannotCut and any(fault.remedy and not fault.ways for fault in error.faults):
            return Reckoned(None, _amiss(error))  # of boards as measured, that no key mends
        found = mended(error, dict(worked.content), trials)
        amiss = (replace(one, back=_back(one.fault, since, worked.content, trials)) for one in _amiss(found))
        return Reckoned(None, _once(map(_own_machine, amiss)), () if _other_machine(found.together) else found.together)


def _other_machine(way: Way) -> bool:
    """Tell whether a way needs another machine: its travel is a fact, which no button writes."""
    return any(change.key.startswith("machine.travel") for change in way)


def _own_machine(amiss: Amiss) -> Amiss:
    """Leave a change of the machine's travel as words alone."""
    return replace(amiss, fault=replace(amiss.fault, changes=())) if _other_machine(amiss.changes) else amiss


def _once(faults: Iterable[Amiss]) -> tuple[Amiss, ...]:
    """Tell once what is the same at one field, is mended by one change and differs only in the board's end."""
    found: dict[object, Amiss] = {}
    for one in faults:
        kind = (one.key, one.fault.problem, one.changes, one.back) if one.key and one.changes else one.fault
        found.setdefault(repr(kind), one)
    return tuple(found.values())


def way_back(now: Mapping[str, Any], then: Mapping[str, Any]) -> Way:
    """Return what makes each field of the page what it was then; nothing where a drawer or a cutter came or went."""
    if any(len(entries_of(now, name)) != len(entries_of(then, name)) for name in ("drawers", "cutters")):
        return ()
    fresh, old = dict(_fields(now)), dict(_fields(then))
    return tuple(Change(key, old.get(key), as_written=True) for key in dict.fromkeys((*old, *fresh)) if old.get(key) != fresh.get(key))


def _fields(value: Any, *at: str | int) -> Iterator[tuple[str, Any]]:
    """Yield what is written, by the key of its field: width, height and depth of a drawer have each its own."""
    inner: Iterable[tuple[str | int, Any]]
    if isinstance(value, Mapping):
        inner = value.items()
    elif isinstance(value, list) and (at[-1] in ("opening", "outside") or any(isinstance(one, Mapping) for one in value)):
        inner = enumerate(value)
    else:
        yield _plain(path_of(at)), value
        return
    for step, one in inner:
        yield from _fields(one, *at, step)


def _back(fault: Fault, since: Way, content: Mapping[str, Any], trials: Trials) -> Change | None:
    """Return the change back by which alone a fault goes, where there is one."""
    before = trials.work(dict(content))
    for change in since if len(since) <= _MOST_BACK else ():
        made = changed(dict(content), (change,))
        after = trials.work(made) if made is not None and not trials.stopped else before
        if fault.kind not in after.kinds and (after.better_than(before) or after.stage > before.stage):
            return change
    return None


def _job(content: Mapping[str, Any], bench: Bench) -> tuple[Job, tuple[Default, ...]]:
    return job_of(dict(content), styles=tuple(STYLES), postprocessors=shipped_dialects(), bench=bench)


def _by_entry(job: Job, drawers: Sequence[Drawer]) -> dict[int, Drawer]:
    found: dict[int, Drawer] = {}
    for place, (wish, drawer) in enumerate(zip(job.drawers, drawers, strict=True), 1):
        found.setdefault(wish.measured.entry if wish.measured else place, drawer)
    return found


def _others(worked: Worked, error: JobFault | CannotCut) -> Entries:
    """Work out the drawers that nothing is wrong with, where each fault is of a drawer."""
    wrong = {name for fault in error.faults for name in fault.drawers}
    entries = entries_of(worked.content)
    if not all(fault.drawers for fault in error.faults):
        return {}
    places = [place for place, entry in enumerate(entries, 1) if entry and str(entry.get("name")) not in wrong]
    if not places or len(places) == len(entries):
        return {}
    try:
        job, _ = _job({**worked.content, "drawers": [entries[place - 1] for place in places]}, worked.bench)
        return {places[own - 1]: drawer for own, drawer in _by_entry(job, drawers_of(job)).items()}
    except (JobFault, CannotCut):
        return {}


def _amiss(error: JobFault | CannotCut | None) -> tuple[Amiss, ...]:
    if error is None:
        return ()
    return tuple(Amiss(_key_of(fault), fault) for fault in merged(refusal(*error.faults).faults))


def _key_of(fault: Fault) -> str:
    """Return the key that a fault stands at: its own, or where that is no field one beside it, or of no drawer, that may mend it."""
    proposed = [_plain(change.key) for way in (fault.changes, *fault.ways) for change in way if is_key(change.key)]
    if found := _OF_DRAWER.match(fault.where):
        table = found[2].split(" ")[0]
        own = _plain(inner) if is_key(inner := f"{found[1]}.{table}") else found[1]
        near = (f"{found[1]}.opening", f"{found[1]}.outside", *((f"{own}.", f"{table}.") if own != found[1] else ()))
        return own if is_field(own) else next((key for key in proposed if key.startswith(near)), own)
    where = fault.where if _PATH.fullmatch(fault.where) else ""
    return next((_plain(key) for key in (where, *proposed) if is_key(key)), "")


def _plain(key: str) -> str:
    """Return a key without the name of its axis."""
    return path_of(steps_of(key)).split(" ")[0]
