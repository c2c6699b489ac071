"""The folder of bad job files: each line of ``expected.txt`` names one fault by fragments, and there are no others.

A case without ``expected.txt`` is a valid job.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from camtools.faults import JobFault
from camtools.job import read_job

CASES = Path(__file__).parent.parent / "cases"
BAD = sorted(path.parent for path in CASES.glob("*/expected.txt"))
GOOD = sorted(path.parent for path in CASES.glob("*/job.toml") if not path.with_name("expected.txt").exists())


@pytest.mark.parametrize("case", BAD, ids=lambda case: case.name)
def test_a_bad_job_file_has_exactly_the_faults_expected_of_it(case: Path) -> None:
    with pytest.raises(JobFault) as raised:
        read_job(case / "job.toml")
    faults = [str(fault) for fault in raised.value.faults]
    expected = [line.split(" | ") for line in (case / "expected.txt").read_text(encoding="utf-8").splitlines()]
    for fragments in expected:
        matching = [fault for fault in faults if fragments[0] in fault.split(";")[0] and all(fragment in fault for fragment in fragments)]
        assert len(matching) == 1, f"{' | '.join(fragments)} in\n" + "\n".join(faults)
    assert len(faults) == len(expected), "\n".join(faults)
    assert raised.value.exit_code == 2


@pytest.mark.parametrize("case", GOOD, ids=lambda case: case.name)
def test_a_good_job_file_is_read_without_fault(case: Path) -> None:
    job, _ = read_job(case / "job.toml")
    assert job.drawers


def test_there_are_enough_bad_files_to_mean_something() -> None:
    assert len(BAD) >= 25
    assert GOOD
