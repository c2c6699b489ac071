"""Answers change with what programs take a cutter for, so that what comes out of the wood stays the same."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from camtools.job.bench.answers import Answers, alike_found
from camtools.job.bench.answers_form import AnswersForm
from camtools.job.bench.answers_found import Found, answer_of
from tests.specimens import cutters, drawer, job_of

JOB = job_of(drawer())
(WISH,) = JOB.drawers
WORN = (12.55, 13.7)


def tan(angle):
    return math.tan(math.radians(angle))


def half_blind_gaps(clearance, taken, true=WORN):
    """Return the gap at each flank as a cutter leaves it in programs for another one: docs/joinery.md section 5, at heights of the tail."""
    (D, a), (true_D, true_a), g = taken, true, WISH.joint.free_depth_mm
    h = WISH.stock.front_mm - WISH.joint.lap_mm
    p, r0 = clearance + g * tan(a), D / 2 - h * tan(a)
    for k in (0.0, h / 2, h):
        tail = r0 - (true_D / 2 - k * tan(true_a))  # half its width, beyond wt / 2
        socket = p - D / 2 + (true_D / 2 - (g + h - k) * tan(true_a))
        yield socket - tail


def through_gaps(clearance, taken, straight, true=WORN, true_straight=9.9):
    """Return the same of a through joint, at distances from the back's outside face: section 6."""
    (D, a), (true_D, true_a), Tb = taken, true, WISH.stock.back_mm
    for y in (0.0, Tb / 2, Tb):
        tail = D / 2 - Tb * tan(a) - (true_D / 2 - (Tb - y) * tan(true_a))
        socket = clearance - y * tan(a) - straight / (2 * math.cos(math.radians(a))) + true_straight / (2 * math.cos(math.radians(a)))
        yield socket - tail


def settled(found, job=JOB, now=JOB, *, flat=False):
    answer = answer_of(found, job.drawers[0], job)
    form = AnswersForm.model_validate({found.joint: [answer.model_dump()]})
    (one,) = Answers(form, "drawers.fit.toml").for_drawer(now.drawers[0], now.cutters, flat=flat)
    return one


def measured(job=JOB, straight=9.9):
    """Return the job with its cutters as they are."""
    dovetail, thin, *more = job.cutters
    dovetail = replace(dovetail, diameter_mm=WORN[0], angle_deg=WORN[1], marked=dovetail.mark)
    return replace(job, cutters=(dovetail, replace(thin, diameter_mm=straight, marked=thin.mark), *more))


def test_half_blind_joint_that_fitted_fits_again_once_the_cutter_was_measured():
    before = list(half_blind_gaps(0.2, JOB.cutters[0].mark))
    now = settled(Found("half_blind", 0.2, step=6), now=measured())
    after = list(half_blind_gaps(now.value, WORN))
    assert after == pytest.approx(before, abs=1e-4)
    assert before == pytest.approx([before[0]] * 3)  # it is the same all the way down
    assert now.value == pytest.approx(before[0], abs=1e-4)  # and what is called clearance now is what the wood has
    assert "for cutters as measured" in now.use.words


def test_through_joint_is_as_tight_again_at_its_tightest():
    taken, thin = JOB.cutters[0].mark, JOB.cutters[1].diameter_mm
    before = list(through_gaps(0.2, taken, thin))
    now = settled(Found("through", 0.2, step=6), now=measured())
    after = list(through_gaps(now.value, WORN, 9.9))
    assert min(after) == pytest.approx(min(before), abs=1e-4)
    assert after == pytest.approx([now.value] * 3, abs=1e-4)
    assert max(before) - min(before) > 0.03


def test_groove_is_as_wide_again():
    assert settled(Found("groove", 0.3, step=1), now=measured()).value == pytest.approx(0.3 + 9.9 - JOB.cutters[1].diameter_mm)


def test_clearance_that_was_measured_in_the_wood_stays_what_it_is():
    for joint in ("half_blind", "through", "groove"):
        assert settled(Found(joint, 0.2), now=measured()).value == 0.2


def test_clearance_that_comes_to_an_overlap_is_not_used():
    one = settled(Found("half_blind", 0.0, step=1), now=measured())
    assert one.value is None
    assert "overlap of 0.0" in one.use.why


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda wish: {"stock": replace(wish.stock, front_mm=wish.stock.front_mm + 0.6)}, "thick, the answer was found with"),
        (lambda wish: {"stock": replace(wish.stock, side_wood="Oak, white")}, "the side is Oak, white, the answer was found with"),
        (lambda wish: {"joint": replace(wish.joint, dovetail=3)}, "cutter 3, 9.5 mm, 8°, cuts it; the answer was found with cutter 1"),
    ],
)
def test_answer_tells_why_it_does_not_hold(change, words):
    third = replace(cutters(9.5, 8.0)[0], number=3)
    other = replace(JOB, drawers=(replace(WISH, **change(WISH)),), cutters=(*JOB.cutters, third))
    one = settled(Found("half_blind", 0.1), now=other)
    assert one.value is None
    assert words in one.use.why


def test_of_two_answers_that_hold_the_last_one_counts():
    form = AnswersForm.model_validate({"groove": [answer_of(Found("groove", size), WISH, JOB).model_dump() for size in (0.1, 0.2)]})
    first, last = Answers(form).for_drawer(WISH, JOB.cutters)
    assert (first.value, last.value) == (None, 0.2)
    assert first.use.why == "a later answer holds too"
    assert alike_found(*form.groove)


def test_answer_is_not_used_for_another_cutter_with_the_same_mark():
    twin = replace(JOB.cutters[0], number=3)
    other = replace(JOB, drawers=(replace(WISH, joint=replace(WISH.joint, dovetail=3)),), cutters=(*JOB.cutters, twin))
    assert settled(Found("half_blind", 0.1), now=other).value is None


def test_step_found_for_another_cutter_is_not_used_where_boards_lie_flat():
    assert settled(Found("half_blind", 0.2, step=6), now=measured(), flat=True).value is None
    assert settled(Found("half_blind", 0.2, step=6), flat=True).value == 0.2
    assert settled(Found("groove", 0.3, step=6), now=measured(), flat=True).value is not None
    laid = replace(JOB, machine=replace(JOB.machine, holds=("flat",)))  # there the straight cutter makes the tails
    thinner = replace(JOB, cutters=(JOB.cutters[0], measured().cutters[1], *JOB.cutters[2:]))
    assert settled(Found("half_blind", 0.2, step=6), laid, laid, flat=True).value == 0.2
    assert settled(Found("half_blind", 0.2, step=6), laid, thinner, flat=True).value is None
