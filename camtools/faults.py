"""What can go wrong, split by who can mend it. Everything raised on purpose has one root."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["CamtoolsError", "CannotCut", "Fault", "JobFault", "PacketFault"]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong: what, where, the limit, the value found and what would work."""

    where: str
    problem: str
    value: str = ""
    limit: str = ""
    remedy: str = ""

    def __str__(self) -> str:
        parts = [f"{self.where}: {self.problem}"]
        if self.value:
            parts.append(f"found {self.value}")
        if self.limit:
            parts.append(f"limit {self.limit}")
        if self.remedy:
            parts.append(self.remedy)
        return "; ".join(parts)


class CamtoolsError(Exception):
    """Root of every error raised on purpose; carries faults and an exit code."""

    exit_code = 1
    heading = "camtools stopped"

    def __init__(self, *faults: Fault) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults


class JobFault(CamtoolsError):
    """The job file is wrong; its author can mend it."""

    exit_code = 2
    heading = "The job file needs mending"


class CannotCut(CamtoolsError):
    """The wood, the cutter or the machine can not do what the job asks."""

    exit_code = 3
    heading = "This can not be cut as asked"


class PacketFault(CamtoolsError):
    """The packet could not be written, or failed its own check."""

    exit_code = 4
    heading = "The packet was not written"
