"""Pictures of joints: one for each, with the same bytes every time, whatever a drawer is called."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from camtools.verify.checking import check_fully
from camtools.verify.fit.joint_pictures import GAP, OVERLAP, joint_pictures
from tests.verify.small_packet import Small


@pytest.fixture(scope="module")
def checked(tmp_path_factory):
    return check_fully(Small().write(tmp_path_factory.mktemp("small") / "packet"), jobs=1)


def share_of(picture, colour):
    """Share of pixels that have a colour."""
    pixels = np.asarray(Image.open(io.BytesIO(picture)).convert("RGB"))
    rgb = [int(colour[i : i + 2], 16) for i in (1, 3, 5)]
    return float((pixels == rgb).all(axis=2).mean())


def test_every_joint_has_its_picture_and_the_same_bytes_each_time(checked):
    first, second = dict(joint_pictures(checked)), dict(joint_pictures(checked))
    assert list(first) == [f"drawer-1-{name}.png" for name in ("front-left", "front-right", "back-left", "back-right")]
    assert first == second


def test_overlap_is_red_only_where_there_is_one(checked, tmp_path):
    good = dict(joint_pictures(checked))["drawer-1-front-left.png"]
    bad_packet = check_fully(Small(deeper={"left-front": -0.3}).write(tmp_path / "packet"), jobs=1)
    bad = dict(joint_pictures(bad_packet))["drawer-1-front-left.png"]
    legend = share_of(good, OVERLAP)
    assert share_of(bad, OVERLAP) > legend + 0.005
    assert share_of(good, GAP) > 0.002
