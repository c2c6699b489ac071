"""Every picture of a setup that the packets of the samples show: words apart, and true by manifest, limits and programs."""

from __future__ import annotations

import random
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from camtools.drawer.styles import STYLES
from camtools.job import read_job
from camtools.output.dialects import dialect_of, shipped_dialects
from camtools.output.sections import WorkedJob, trial_work_of, work_of
from camtools.pictures.paper import Paper
from tests.blind import answers_of, drawn, worked
from tests.output.picture_specimens import faults_of_words

_WORKS = ("specimen-chest", "inch-cabinet", "first-drawer, trial", "random")
_Drawn = tuple[WorkedJob, list[tuple[tuple[str, ...], Paper]]]


@pytest.fixture(scope="module", params=_WORKS)
def setups(request: pytest.FixtureRequest, samples: Path) -> _Drawn:
    """The samples, trial joints of one, and a random job, each with its setups drawn."""
    name, _, trial = request.param.partition(", ")
    if name == "random":
        work = worked(random.Random(7))
    else:
        job, _ = read_job(samples / f"{name}.toml", styles=STYLES, postprocessors=shipped_dialects())
        work = (trial_work_of if trial else work_of)(job, dialect_of(job.machine.postprocessor))
    return work, list(drawn(work))


def test_words_are_whole_and_apart(setups: _Drawn) -> None:
    faults = {programs: faults_of_words(picture) for programs, picture in setups[1]}
    assert {programs: found for programs, found in faults.items() if found} == {}


def test_picture_tells_what_manifest_and_programs_say(setups: _Drawn) -> None:
    """But for a length that is told in inches."""
    work, pictures = setups
    truth = answers_of(work)
    for programs, picture in pictures:
        groups = ET.fromstring(picture.svg()).iter("{http://www.w3.org/2000/svg}g")
        for group, program in zip((group for group in groups if "data-end" in group.attrib), programs, strict=True):
            told, true = {key.removeprefix("data-"): value for key, value in group.attrib.items()}, truth[program]
            assert told["end"].startswith(true["end"]), program
            assert told["face"].startswith(true["face"]), program
            assert [told[key] for key in ("edge", "stop", "entry")] == [true[key] for key in ("edge", "stop", "entry")], program
            assert told["zero"].startswith(true["zero"].partition(", ")[0]), program
            assert ("away" in told["zero"]) == ("along" in true["zero"]), program
            number = re.search(r"[\d.]+ mm", told["clamp"])
            assert (number[0].removesuffix(" mm") if number else "batten") == true["clamp"] or work.inches, program
