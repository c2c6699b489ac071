"""The folder of bad job files: each line of ``expected.txt`` names one fault by fragments, and there are no others.

A case without ``expected.txt`` is a valid job. One that begins with ``exit 3`` can not be cut; the others are wrong themselves.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from camtools.cli.reading_job import told_how_to_mend
from camtools.drawer.styles import STYLES
from camtools.faults import CamtoolsError, JobFault
from camtools.job import read_job
from camtools.job.jobfile import content_with, text_of
from tests.mending.remedied import after, is_gone

CASES = Path(__file__).parent.parent / "cases"
BAD = sorted(path.parent for path in CASES.glob("*/expected.txt"))
GOOD = sorted(path.parent for path in CASES.glob("*/job.toml") if not path.with_name("expected.txt").exists())


@pytest.mark.parametrize("case", BAD, ids=lambda case: case.name)
def test_a_bad_job_file_has_exactly_the_faults_expected_of_it(case: Path) -> None:
    with pytest.raises(CamtoolsError) as raised, told_how_to_mend(case / "job.toml"):
        read_job(case / "job.toml", styles=STYLES)
    faults = [str(fault) for fault in raised.value.faults]
    first, *rest = (case / "expected.txt").read_text(encoding="utf-8").splitlines()
    cut = first == "exit 3"
    expected = [line.split(" | ") for line in (rest if cut else [first, *rest])]
    for fragments in expected:
        matching = [fault for fault in faults if fragments[0] in fault.split(";")[0] and all(fragment in fault for fragment in fragments)]
        assert len(matching) == 1, f"{' | '.join(fragments)} in\n" + "\n".join(faults)
    assert len(faults) == len(expected), "\n".join(faults)
    assert raised.value.exit_code == (3 if cut else 2)


@pytest.mark.parametrize("case", BAD, ids=lambda case: case.name)
def test_what_a_bad_job_file_is_told_to_change_mends_it(case: Path) -> None:
    with pytest.raises(CamtoolsError) as raised, told_how_to_mend(case / "job.toml"):
        read_job(case / "job.toml", styles=STYLES)
    try:
        content = content_with(text_of(case / "job.toml"), "job.toml")
    except JobFault:
        assert all(fault.remedy for fault in raised.value.faults)  # what can not be read as a table can only be shown
        return
    for fault in raised.value.faults:
        assert fault.changes, str(fault)
        assert is_gone(fault, after(content, fault.changes)), str(fault)
    if len(raised.value.faults) > 1:
        assert after(content, raised.value.together) == []


@pytest.mark.parametrize("case", GOOD, ids=lambda case: case.name)
def test_a_good_job_file_is_read_without_fault(case: Path) -> None:
    job, _ = read_job(case / "job.toml")
    assert job.drawers


def test_there_are_enough_bad_files_to_mean_something() -> None:
    assert len(BAD) >= 25
    assert GOOD
