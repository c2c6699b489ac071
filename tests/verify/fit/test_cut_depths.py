"""The depth of a cut is looked at where a joint does not fit, and named with its line; equations of docs/joinery.md sections 5 to 8."""

from __future__ import annotations

import pytest

from camtools.verify.checking import check
from tests.verify.small_packet import Small


def depths(tmp_path, **spoiled):
    packet = Small(**spoiled).write(tmp_path / "packet")
    found = [finding for finding in check(packet, jobs=1).findings if finding.code == "cut-depth"]
    for finding in found:  # it is set by a line with a depth, not by one that cuts on at it
        assert " Z-" in (packet / finding.file).read_text().split("\n")[finding.line - 1]
    return {(finding.file, finding.where): dict(finding.figures) for finding in found}


@pytest.mark.parametrize(
    ("stem", "joint", "asked"),
    [
        ("left-front", "front left joint", 12.0),  # front less lap
        ("right-front", "front right joint", 12.0),
        ("left-rear", "back left joint", 10.2),  # back and proud end
        ("front-right", "front right joint", 12.2),  # and the free depth
        ("back-left", "back left joint", 10.2),  # side and proud end
    ],
)
@pytest.mark.parametrize("deeper", [-0.3, 0.3])
def test_depth_of_each_joint_is_asked_of_its_own_boards(stem, joint, asked, deeper, tmp_path):
    ((place, figures),) = depths(tmp_path, deeper={stem: deeper}).items()
    assert place == (f"programs/{stem}.ngc", f'{joint} of drawer "Seeds"')
    assert figures == {"depth_mm": pytest.approx(asked + deeper), "asked_mm": pytest.approx(asked)}


def test_groove_is_asked_for_the_depth_in_the_job_file(tmp_path):
    found = depths(tmp_path, deeper={"front-groove": 0.5})
    assert found == {("programs/front-groove.ngc", 'groove in the front of drawer "Seeds"'): {"depth_mm": 4.5, "asked_mm": 4.0}}


def test_nothing_is_said_of_depths_where_the_width_is_wrong_or_nothing(tmp_path):
    assert depths(tmp_path, wider={"front-left": -0.2}) == {}
    assert depths(tmp_path / "good") == {}
