"""What cutters bear, against formulas of mechanics and machining, and against the load integrated along the edges."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camtools.drawer.cutting_loads import CHIP_MM, CORE_SHARE, HARDWOOD_N_MM2, THIN, Load
from camtools.job.job import Cutter
from tests.published.other_hands import outside

integrate = outside("scipy.integrate")


def cutter(diameter: float = 12.7, angle: float = 14.0, edges: float = 16.0, *, feed: float = 1390.0, shank: float = 8.0) -> Cutter:
    kind = "dovetail" if angle else "straight"
    return Cutter(1, kind, diameter, angle, edges, shank, 2, 18000, 22000, feed, 460, edges, False, edges + 10, 35)


def load(own: Cutter, depth: float, share: float = 1.0) -> Load:
    return Load("joints.dovetail", own, "half-blind sockets", depth, share, HARDWOOD_N_MM2)


@given(depth=st.floats(1.0, 16.0), edges=st.floats(16.0, 19.0), shank=st.floats(3.0, 10.0))
def test_bending_is_that_of_a_cantilever_with_a_load_spread_over_its_free_end(depth: float, edges: float, shank: float) -> None:
    """Roark's Formulas for Stress and Strain, cantilever with a uniform load w over a length a from its free end, from memory:
    M = w a (l - a/2) at the support; a round bar's section modulus is pi d^3 / 32.
    """
    own = cutter(edges=edges, shank=shank)
    one = load(own, depth)
    neck = CORE_SHARE * (12.7 - 2 * edges * math.tan(math.radians(14.0)))
    pressure = one.force_n / depth
    by_hand = [pressure * depth * (at - depth / 2) / (math.pi * d**3 / 32) for at, d in ((edges, neck), (edges + 10, shank))]
    assert one.stress_n_mm2 == pytest.approx(max(by_hand))


@given(depth=st.floats(0.5, 16.0), feed=st.floats(100.0, 4000.0), angle=st.sampled_from([0.0, 8.0, 14.0]))
def test_power_is_specific_force_times_removal_rate(depth: float, feed: float, angle: float) -> None:
    """P_c = a_p a_e v_f k_c / 60e6 in kW, a formula of every handbook of machining; k_c by Kienzle's law. Both from memory."""
    own = cutter(angle=angle, feed=feed)
    chip = feed / (18000 * 2)
    specific = HARDWOOD_N_MM2 * (chip / CHIP_MM) ** -THIN
    mean_width = 12.7 - depth * math.tan(math.radians(angle))
    assert load(own, depth).power_w == pytest.approx(depth * mean_width * feed * specific / 60e6 * 1000)


def test_force_is_the_mean_of_what_the_edges_meet_over_a_turn() -> None:
    """In a slot an edge at an angle phi from where it enters takes a chip of f sin(phi), over half a turn."""
    one = load(cutter(), 15.2)
    chip = one.cutter.chip_mm
    specific = HARDWOOD_N_MM2 * (chip / CHIP_MM) ** -THIN
    mean, _ = integrate.quad(lambda phi: specific * chip * math.sin(phi), 0.0, math.pi)
    assert one.force_n == pytest.approx(2 * mean * 15.2 / (2 * math.pi))


@pytest.mark.parametrize(("diameter", "angle", "depth"), [(12.7, 14.0, 15.3), (12.7, 8.0, 15.3), (9.5, 9.0, 12.3), (19.0, 14.0, 21.0)])
@pytest.mark.parametrize("stock", [0.2, 0.5, 1.5])
def test_what_roughing_leaves_bends_as_much_as_the_width_that_remains_at_every_height(
    diameter: float, angle: float, depth: float, stock: float
) -> None:
    """Integrated: at a height z the layer on the floor is full, above it c + (a - z) t of the width 2 r(z) is left. Within 0.7 to 1.4."""
    slope = math.tan(math.radians(angle))
    edges = depth + 0.7
    own = cutter(diameter, angle, edges)
    full = load(own, depth)

    def moment(z: float) -> float:
        share = 1.0 if z < stock else min(1.0, (stock + (depth - z) * slope) / (diameter - 2 * z * slope))
        return full.force_n / depth * share * (edges - z)

    exact, _ = integrate.quad(moment, 0.0, depth, points=[stock])
    roughed = replace(full, share=min(1.0, (stock + depth * slope) / diameter))
    assert 0.7 < roughed.force_n * (edges - depth / 2) / exact < 1.4
