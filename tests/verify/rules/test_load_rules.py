"""What cutters bear, reckoned from written motions: by hand, and beside what the plan says of the same job."""

from __future__ import annotations

import math
from pathlib import Path, PurePosixPath
from typing import Any

import pytest

from camtools.crew import Crew
from camtools.drawer.cutting_loads import loads_of
from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.manifest import Manifest
from camtools.output.sections import files_of, work_of
from camtools.resources import samples
from camtools.verify import checking
from camtools.verify.checking import check
from camtools.verify.packet_files import read_packet
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import Motion
from camtools.verify.rules.load_rules import Loads, stated_of
from camtools.verify.rules.workplace import Stated
from camtools.verify.runs import readings_of
from camtools.verify.written import written_in
from tests.sabotage.packets import JOB, Packet, good_packet
from tests.sabotage.ways import LEFT_FRONT, LEFT_FRONT_WASTE
from tests.verify.bench import DOVETAIL, FLAT, LIMITS, MANIFEST, READY_DOVETAIL, READY_STRAIGHT, judged

THROUGH = "G0 X40 Y-30\nG1 Z-12 F500\nY10 F{feed}\nG0 Z10"  # right through an upright side of 12 mm
OURS = {"cutter-overloaded", "cutter-strained", "spindle-overloaded", "spindle-strained"}


def found(feed: float, stated: Stated, speed: float = 16000) -> dict[str, Any]:
    lines = READY_DOVETAIL.replace("S16000", f"S{speed:g}") + THROUGH.format(feed=feed)
    limits = LIMITS.model_copy(update={"machine": LIMITS.machine.model_copy(update={"max_feed": 40_000.0})})
    return {one.code: dict(one.figures) | {"line": one.line} for one in judged(lines, limits=limits, stated=stated) if one.code in OURS}


def test_bending_is_that_of_a_cantilever_with_the_load_spread_over_the_depth() -> None:
    """Roark's Formulas for Stress and Strain, from memory: M = w a (l - a/2), modulus pi d^3 / 32; 0.8 of the neck for the flutes."""
    hard = Stated(600.0, math.nan, {1: 2.0})  # ten times as hard as wood
    chip = 1200 / (16000 * 2)
    pressure = 2 * 600 * chip * (chip / 0.1) ** -0.4 / math.pi
    neck = DOVETAIL.diameter - 2 * 14 * math.tan(math.radians(14))
    by_hand = pressure * 12 * (14 - 6) / (math.pi * (0.8 * neck) ** 3 / 32)
    told = found(1200, hard)
    assert told["cutter-overloaded"]["stress_n_mm2"] == pytest.approx(by_hand, rel=0.1)
    assert told["cutter-overloaded"]["line"] == 7


def test_power_is_specific_force_times_removal_rate() -> None:
    """P_c = a_p a_e v_f k_c, of every handbook of machining, from memory."""
    chip = 1200 / (16000 * 2)
    watts = 60 * (chip / 0.1) ** -0.4 * 12 * (12 - 12 * math.tan(math.radians(14))) * 1200 / 60_000
    assert found(1200, Stated(60.0, watts / 1.3, {1: 2.0}))["spindle-overloaded"]["power_w"] == pytest.approx(watts, rel=0.1)
    assert "spindle-strained" in found(1200, Stated(60.0, watts * 1.3, {1: 2.0}))
    assert found(1200, Stated(60.0, watts * 2.5, {1: 2.0})) == found(1200, Stated(60.0, math.nan, {1: 2.0})) == {}


@pytest.mark.parametrize(("feed", "code"), [(1200, None), (12000, "cutter-strained"), (30000, "cutter-overloaded")])
def test_a_cutter_is_warned_of_and_then_refused_the_faster_it_is_fed(feed: float, code: str | None) -> None:
    assert set(found(feed, Stated(90.0, math.nan, {1: 2.0}))) == ({code} if code else set())


def test_more_edges_take_thinner_chips_and_bend_a_cutter_more_at_the_same_feed() -> None:
    two, one = (found(1200, Stated(900.0, math.nan, {1: edges}))["cutter-overloaded"]["stress_n_mm2"] for edges in (2.0, 1.0))
    assert two == pytest.approx(one * 2**0.4, rel=0.01)  # thin chips resist more


def test_a_straight_cutter_is_judged_by_what_each_pass_takes() -> None:
    passes = "G0 X-20 Y-100\nG1 Z-{0} F500\nX60 F1500\nG0 Z10"
    hard = Stated(4000.0, math.nan, {2: 2.0})
    once = judged(READY_STRAIGHT + passes.format(3), FLAT, stated=hard)
    twice = judged(READY_STRAIGHT + passes.format(1.5) + "\n" + passes.format(3), FLAT, stated=hard)
    (heavy,), (light,) = ([dict(one.figures)["stress_n_mm2"] for one in all_ if one.code in OURS] for all_ in (once, twice))
    assert light == pytest.approx(heavy / 2, rel=0.15)


def test_wood_is_soft_where_every_board_that_the_program_cuts_is_of_softwood() -> None:
    job = written_in((samples() / "first-drawer.toml").read_bytes())
    assert stated_of(job, MANIFEST, {"side"}).wood_n_mm2 == 60.0
    stock = 'stock = { wood = "oak", side_wood = "Scots pine" }'
    pine = written_in(f'title = "x"\n{stock}\ncutters = [{{ flutes = 3 }}, {{ max_speed = 20000 }}]\n[[drawers]]\nname = "one"'.encode())
    drawer = {
        "id": "d1",
        "count": 1,
        "outside": (1.0, 1.0, 1.0),
        "parts": {"front": "front", "back": "back", "left": "side", "right": "side", "bottom": "bottom"},
    }
    manifest = Manifest.model_validate(MANIFEST.model_dump() | {"drawers": [drawer]})
    said = stated_of(pine, manifest, {"side"})
    assert (said.wood_n_mm2, said.edges, said.marked) == (40.0, {1: 3.0, 2: 2.0}, {2})
    assert math.isnan(said.power_w)
    assert stated_of(pine, manifest, {"side", "front"}).wood_n_mm2 == 60.0


def test_a_cutter_bears_less_where_an_earlier_program_cleared_its_way_with_a_straight_cutter() -> None:
    """Of a slot of 12 mm one of 6 mm is cleared before: the section is halved. What other cutters or another zero did does not count."""
    hard = Stated(600.0, math.nan, {1: 2.0})

    def stress(*before: Motion) -> float:
        lines = READY_DOVETAIL + THROUGH.format(feed=1200)
        (one,) = (one for one in judged(lines, stated=hard, before=before) if one.code in OURS)
        return dict(one.figures)["stress_n_mm2"]

    text = READY_STRAIGHT + THROUGH.format(feed=1200)
    straight = run(text, "waste.ngc", tools=[1, 2]).motions
    dovetail = run(READY_DOVETAIL + THROUGH.format(feed=1200), "other.ngc", tools=[1, 2]).motions
    elsewhere = run(text.replace("G54", "G55"), "other.ngc", tools=[1, 2]).motions
    assert stress(*straight) == pytest.approx(stress() / 2, rel=0.1)
    assert stress(*dovetail) == stress(*elsewhere) == stress()


def test_what_was_cleared_before_is_what_comes_earlier_in_the_order_of_work(tmp_path: Path) -> None:
    def before(packet: Path) -> list[str]:
        files = read_packet(packet)
        assert files.manifest
        (reading,) = (one for one in readings_of(files.manifest, files.limits, files.programs, files.written) if one.file == LEFT_FRONT)
        return [program.file for programs in reading.before for program in programs]

    packet = Packet(good_packet(tmp_path), tmp_path / "spoiled")
    assert before(packet.folder) == [LEFT_FRONT_WASTE]
    for order in (int(PurePosixPath(LEFT_FRONT).name[:2]), 99):  # that of the other, and a later one
        packet.edit_json(lambda content, order=order: packet.entries(content, LEFT_FRONT_WASTE)[0].update(order=order))
        assert before(packet.folder) == []


@pytest.mark.parametrize("rough", ["true", "false"])
def test_the_check_finds_on_the_programs_what_the_plan_says_and_never_more(
    rough: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Within a tenth above. At the ends of roughed sockets, which the plan takes for full slots, it finds down to four tenths of that."""
    path = tmp_path / "job.toml"
    path.write_text(JOB.replace("rough = true", f"rough = {rough}"), encoding="utf-8")
    job, _ = read_job(path)
    work = work_of(job, dialect_of("mm"))
    worst: dict[int, float] = {}
    tell = Loads.tell

    def listen(own: Loads, log: Any) -> None:
        for number, one in own._bending.items():
            worst[number] = max(worst.get(number, 0.0), one.value)
        tell(own, log)

    monkeypatch.setattr(Loads, "tell", listen)
    monkeypatch.setattr(checking, "Crew", Crew)  # which does every step anew, even if another test had it done before
    check(write_packet(tmp_path / "packet", files_of(work, without=("pictures", "templates", "drawings"))), jobs=1)
    half_blind, through = work.drawers[0].left.piece.half_blind, work.drawers[0].left.piece.through
    assert half_blind is not None
    assert through is not None
    planned: dict[int, float] = {}
    for load in loads_of(job, job.drawers[0], half_blind, through):
        planned[load.cutter.number] = max(planned.get(load.cutter.number, 0.0), load.stress_n_mm2)
    for number, stress in planned.items():
        assert (0.4 if rough == "true" else 0.75) * stress < worst[number] < 1.1 * stress
