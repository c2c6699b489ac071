"""Works a job's tables again, as far as they go, and names what stops them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from camtools.drawer import drawers_of
from camtools.drawer.styles import STYLES
from camtools.faults import CannotCut, Fault, JobFault, merged, puts
from camtools.job.bench.companions import Bench
from camtools.job.jobfile import job_of, units_of
from camtools.job.slips import nearest
from camtools.output.dialects import dialect_of, shipped_dialects
from camtools.output.sections import templates_asked_for, trial_programs_of
from camtools.toolpath.programs import programs_of
from camtools.wording import told_in

__all__ = ["Outcome", "Trials"]

Content = dict[str, Any]

_MOST = 2500  # that the search for remedies may cost: one for a drawer that is laid out, and _PROGRAMS more for its programs
_MORE = 1000  # for faults that remain
_PROGRAMS = 12


@dataclass(frozen=True, slots=True)
class Outcome:
    """How far a job came, and what stopped it: each fault once."""

    stage: int
    faults: tuple[Fault, ...] = ()
    raised: type[JobFault | CannotCut] = JobFault

    @property
    def kinds(self) -> frozenset[tuple[str, str]]:
        return frozenset(fault.kind for fault in self.faults)

    def better_than(self, other: Outcome) -> bool:
        """Tell whether nothing is wrong here that is not wrong there, and something there is not."""
        return self._owned < other._owned

    @property
    def _owned(self) -> frozenset[tuple[tuple[str, str], str]]:
        """What is wrong with which drawer."""
        return frozenset((fault.kind, drawer) for fault in self.faults for drawer in fault.drawers or ("",))


@dataclass(slots=True)
class Trials:
    """Works jobs, and keeps count of what that costs."""

    beside: Path  # folder of the job file, from which a dialect's path is read
    programs: bool = True  # whether programs are made too; those who rout by hand need none
    joints: bool = False  # whether they are those of trial joints
    bench: Bench = field(default_factory=Bench)  # what the files beside the job file say
    styles: Collection[str] = field(default_factory=lambda: tuple(STYLES))
    left: int = _MOST
    stopped: bool = False
    worked: dict[str, Outcome] = field(default_factory=dict)

    @property
    def over(self) -> bool:
        """Whether enough was tried."""
        return self.stopped or self.left <= 0

    def stop(self) -> None:
        """Try nothing more: nobody waits for it."""
        self.stopped = True

    def go_on(self) -> None:
        """Allow a little more."""
        self.left = _MORE

    def work(self, content: Content) -> Outcome:
        """Work a job as far as it goes."""
        known = repr(content)
        if known not in self.worked:
            self.worked[known] = self._work(content)
        return self.worked[known]

    def _work(self, content: Content) -> Outcome:
        with told_in(units_of(content)):
            return self._outcome(content)

    def _dialect(self, named: str) -> None:
        """Raise JobFault where the dialect that a job names can not be had: another may do."""
        try:
            dialect_of(named, beside=self.beside)
        except JobFault as error:
            key = "machine.postprocessor"
            files = sorted(file.name for file in self.beside.glob("*.toml"))
            ways = puts(key, *filter(None, (nearest(named, shipped_dialects()), nearest(named, files))), None)
            own = [fault for fault in error.faults if fault.where != "postprocessor"]  # of the dialect's own file
            faults = [
                replace(fault, where=f"{key}, {fault.where}", limit="; ".join(filter(None, (fault.limit, fault.remedy))), ways=ways)
                for fault in own
            ]
            raise JobFault(*(faults or (replace(fault, where=key, ways=ways) for fault in error.faults))) from None

    def _outcome(self, content: Content) -> Outcome:
        stage = 0
        try:
            entries = content.get("drawers")
            drawn = len(entries) if isinstance(entries, list) else 1
            self.left -= drawn
            job, _ = job_of(content, styles=self.styles, postprocessors=shipped_dialects(), bench=self.bench)
            stage = 1
            self._dialect(job.machine.postprocessor)
            stage = 2
            drawers = drawers_of(job)
            if self.programs:
                stage = 3
                self.left -= _PROGRAMS * drawn
                if self.joints:
                    trial_programs_of(job)
                else:
                    programs_of(job, drawers)
            stage = 4
            templates_asked_for(job, drawers)
        except (JobFault, CannotCut) as error:
            return Outcome(stage, merged(error.faults), type(error))
        return Outcome(stage + 1)
