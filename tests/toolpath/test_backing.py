"""Strips of backing: worked by hand for boards of two heights; that every edge is backed the check proves on every packet."""

from __future__ import annotations

from collections import Counter

from camtools.drawer.drawers import drawers_of
from camtools.toolpath.moves import Program
from camtools.toolpath.programs import programs_of
from tests.specimens import drawer, job_of


def upright() -> list[Program]:
    job = job_of(drawer(height=80.0, name="mosses"), drawer(height=140.0, name="ferns"))
    return [program for program in programs_of(job, drawers_of(job)) if program.setup.hold == "upright"]


def test_boards_of_one_height_share_a_strip_for_tails_and_one_for_pins() -> None:
    """At each stop: a front and a rear end of each height on one strip, the pins of each height on another."""
    strips = Counter((program.setup.stop, program.backing) for program in upright())
    assert strips == {(stop, strip): count for stop in ("left", "right") for strip, count in enumerate((2, 2, 1, 1), 1)}


def test_on_a_strip_no_cut_comes_before_a_shallower_one() -> None:
    """Through tails are as long as the back is thick, half-blind ones as the front without its lap: longer here."""
    for stop in ("left", "right"):
        for strip in (1, 2):
            ends = [program.setup.end for program in upright() if (program.setup.stop, program.backing) == (stop, strip)]
            assert ends == ["rear end", "front end"]


def test_strips_are_counted_in_the_order_of_work() -> None:
    for stop in ("left", "right"):
        strips = [program.backing for program in upright() if program.setup.stop == stop]
        assert strips == sorted(strips)
