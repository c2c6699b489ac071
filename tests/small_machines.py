"""``python -m tests.small_machines [SAMPLE ...]``: every sample on small machines, in every dialect.

A job that is refused is changed as its remedy says, and must go then. Each packet must pass the check. It takes minutes and runs by hand;
`tests/mending/test_small_machines.py` has a few of them.
"""

from __future__ import annotations

import sys
import tempfile
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from camtools.faults import Change
from camtools.job import read_job
from camtools.mending.changes import changed
from camtools.output.dialects import dialect_of, shipped_dialects
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, work_of
from camtools.resources import samples
from camtools.verify.checking import check
from camtools.verify.report import Report
from tests.job.jobs import toml
from tests.mending.remedied import faults_of_file, mended_of

__all__ = ["MACHINES", "made_on"]

# What is known of each: nothing but its travel, of one that it holds boards flat only, and of the last that its controller has one work
# offset and changes no cutter.
MACHINES: Mapping[str, dict[str, Any]] = {
    "180 x 300 x 45 mm": {"travel": ["180 mm", "300 mm", "45 mm"]},
    "300 x 200 x 60 mm": {"travel": ["300 mm", "200 mm", "60 mm"]},
    "750 x 1250 mm, no upright hold": {"travel": ["750 mm", "1250 mm", "95 mm"], "holds": ["flat"]},
    "120 x 300 mm, a joint at most": {"travel": ["120 mm", "300 mm", "95 mm"]},
    "400 x 600 mm": {"travel": ["400 mm", "600 mm", "95 mm"]},
    "400 x 600 mm, one work offset, no change of cutter": {"travel": ["400 mm", "600 mm", "95 mm"], "postprocessor": "one-zero.toml"},
}
ONE_ZERO = 'about = "one work offset, no change of cutter"\nlengths = "one-cutter"\nwork_offsets = 1\n'


def made_on(machine: str, sample: Path, folder: Path, dialect: str = "") -> tuple[list[Change], Report]:
    """Return what had to be changed in a sample for a machine, and what the check says of its packet.

    Raises
    ------
    AssertionError
        If it is refused without a remedy, or what the remedy says does not do.
    """
    content = tomllib.loads(sample.read_text(encoding="utf-8"))
    content["machine"] = {**MACHINES[machine], **({"postprocessor": dialect} if dialect else {})}
    (folder / "one-zero.toml").write_text('units = "mm"\n' + ONE_ZERO, encoding="ascii")
    changes: list[Change] = []
    if faults_of_file(content, folder):
        error = mended_of(content)
        changes = list(error.together or error.faults[0].changes)
        assert changes, f"no remedy: {error}"
        mended = changed(content, tuple(changes))
        assert mended is not None
        content = mended
    job_file = folder / "job.toml"
    job_file.write_text("".join(f"{toml(key)} = {toml(value)}\n" for key, value in content.items()), encoding="utf-8")
    job, _ = read_job(job_file)
    work = work_of(job, dialect_of(job.machine.postprocessor, beside=folder))
    packet = write_packet(folder / "packet", files_of(work, without=("pictures", "templates", "drawings")))
    return changes, check(packet)


def main(names: list[str]) -> int:
    """Print each sample, machine and dialect, with what had to be changed and what was found; return how many failed."""
    failed = 0
    for sample in sorted(samples().glob("*.toml")):
        for machine in MACHINES if not names or sample.stem in names else ():
            for dialect in shipped_dialects() if "postprocessor" not in MACHINES[machine] else [""]:
                with tempfile.TemporaryDirectory() as folder:
                    changes, report = made_on(machine, sample, Path(folder), dialect)
                told = ", ".join(f"{change.key} = {change.value}" for change in changes) or "as it is"
                print(f"{sample.stem:16} {machine:52} {dialect:14} {'passes' if not report.errors else 'FAILS'}  {told}", flush=True)
                failed += bool(report.errors)
    return failed


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]) > 0)
