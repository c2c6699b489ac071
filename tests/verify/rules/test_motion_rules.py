"""Rules of motion: each with something that passes close by its limit, and something that breaks it."""

from __future__ import annotations

import math
import random
import time

import pytest

from camtools.output.manifest import Limits, ProgramEntry, ZoneEntry
from camtools.verify.catalogue import MOTION_FINDINGS
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import ProgramRun
from camtools.verify.rules import depth_rules, motion_rules
from camtools.verify.rules.motion_rules import judge
from camtools.verify.rules.workplace import Stated
from tests.verify.bench import FIRST, FLAT, LIMITS, MANIFEST, READY_DOVETAIL, READY_STRAIGHT, STATED, UPRIGHT, judged, told

TAIL = "G0 X20 Y-20\nG1 Z-9 F2000\nY1\nX30\nY-20\nG0 Z10"
GROOVE = "G0 X20 Y-150\nG1 Z0 F1000\nX60 Z-3\nX20\nX60 Z-6\nX20\nX60\nZ10"

GOOD: list[tuple[str, str, ProgramEntry]] = [
    ("a dovetail cutter that comes in and goes out sideways", READY_DOVETAIL + TAIL, UPRIGHT),
    ("the same from the left, past the edge of the board", READY_DOVETAIL + "G0 X-7 Y-6\nZ-9\nG1 X87 F2000\nG0 Z10", UPRIGHT),
    ("an arc through the wood", READY_DOVETAIL + "G0 X20 Y-20\nZ-9\nG1 Y-6 F900\nG2 X40 I10\nG1 Y-20\nG0 Z10", UPRIGHT),
    ("a groove on ramps", READY_STRAIGHT + GROOVE, FLAT),
    ("a straight cutter that goes down beside the board", READY_STRAIGHT + "G0 X-3.01 Y-100\nZ-19\nG1 Z-20.5 F500\nG0 Z10", FLAT),
    ("a rapid at clearance", READY_DOVETAIL + "G0 X20 Y-6", UPRIGHT),
    ("a rapid beside the board", READY_DOVETAIL + "G0 X-6.01 Y-6\nZ-9\nY-30", UPRIGHT),
    ("a straight cutter that goes down into its own slot", READY_STRAIGHT + GROOVE + "\nX40\nZ-6\nZ10", FLAT),
    ("a dovetail cutter faster than in wood, back through its own slot", READY_DOVETAIL + TAIL.replace("X30\nY-20", "Y-20 F4000"), UPRIGHT),
    ("a straight cutter faster than in wood, above its own groove", READY_STRAIGHT + GROOVE + "\nX40 F4000\nZ-5\nX60\nZ10", FLAT),
    ("a skim at full depth", READY_STRAIGHT + "G0 X-3.5 Y-100\nZ-12\nG1 X-2.6 F900\nY-200\nX-3.5\nG0 Z10", FLAT),
]


@pytest.mark.parametrize(("what", "text", "program"), GOOD)
def test_good_work_passes_in_silence(what: str, text: str, program: ProgramEntry) -> None:
    assert told(judged(text, program)) == [], what


BAD: list[tuple[str, str, int, ProgramEntry, str]] = [
    ("dovetail-height-over-board", "lifted in wood", 3, UPRIGHT, READY_DOVETAIL + "G0 X20 Y-20\nG1 Z-9 F2000\nY-6\nZ10"),
    (
        "dovetail-height-over-board",
        "lowered with its rim over the edge",
        1,
        UPRIGHT,
        READY_DOVETAIL + "G0 X20 Y-17.98\nG1 Z-9 F2000\nY-20\nG0 Z10",
    ),
    (
        "dovetail-height-over-board",
        "lowered over the board, yet above it",
        1,
        UPRIGHT,
        READY_DOVETAIL + "G0 X20 Y-6\nG1 Z5 F2000\nY-20\nG0 Z10",
    ),
    ("dovetail-height-over-board", "lifted in the backing", 3, UPRIGHT, READY_DOVETAIL + "G0 X20 Y-20\nG1 Z-9 F2000\nY8\nZ10"),
    (
        "dovetail-height-over-board",
        "on a helix",
        3,
        UPRIGHT,
        READY_DOVETAIL + "G0 X20 Y-20\nZ-9\nG1 Y-6 F900\nG2 X40 I10 Z-9.001\nG1 Y-20\nG0 Z10",
    ),
    (
        "dovetail-height-over-board",
        "on a slope that begins in air",
        2,
        UPRIGHT,
        READY_DOVETAIL + "G0 X20 Y-30\nZ-4\nG1 Y1 Z-9 F900\nY-30\nG0 Z10",
    ),
    ("rapid-in-wood", "through", 2, UPRIGHT, READY_DOVETAIL + "G0 X20 Y-20\nZ-9\nY1\nG1 Y-20 F900"),
    ("rapid-in-wood", "its rim touches", 1, FLAT, READY_STRAIGHT + "G0 X-2.9 Y-100\nZ-0.5\nG1 X-5 F900"),
    ("rapid-in-wood", "through the backing", 3, UPRIGHT, READY_STRAIGHT + "G0 X-10 Y-20\nZ-1\nG1 F900 Y10\nG0 X20\nG1 X-10\nY-20"),
    ("rapid-below-clearance", "over the board", 1, FLAT, READY_STRAIGHT + "G0 X20 Y-100\nZ9.9\nG1 X-5 F900"),
    ("spindle-stopped", "never started", 2, UPRIGHT, READY_DOVETAIL.replace("M3", "M5") + TAIL),
    ("spindle-stopped", "stopped on the move's own line", 2, UPRIGHT, READY_DOVETAIL + TAIL.replace("Y1", "Y1 M5")),
    ("spindle-stopped", "on, but at no speed", 2, UPRIGHT, READY_DOVETAIL.replace("S16000", "S0") + TAIL),
    ("spindle-reversed", "M4", -1, UPRIGHT, READY_DOVETAIL.replace("M3", "M4") + TAIL),
    ("spindle-out-of-range", "too slow", -1, UPRIGHT, READY_DOVETAIL.replace("S16000", "S5999") + TAIL),
    ("cutter-too-fast", "above the mark", -1, UPRIGHT, READY_DOVETAIL.replace("S16000", "S18001") + TAIL),
    ("feed-over-limit", "above the machine's", 1, UPRIGHT, READY_DOVETAIL + TAIL.replace("F2000", "F4010").replace("Y1", "Y1 F900")),
    ("feed-over-limit", "above the cutter's, in wood", 2, UPRIGHT, READY_DOVETAIL + TAIL.replace("F2000", "F2010")),
    (
        "feed-over-limit",
        "a fifth of a millimetre beside its slot",
        4,
        UPRIGHT,
        READY_DOVETAIL + TAIL.replace("X30\nY-20", "X20.2\nY-20 F4000"),
    ),
    (
        "feed-over-limit",
        "beyond the end of its slot",
        3,
        UPRIGHT,
        READY_DOVETAIL + "G0 X20 Y-20\nG1 Z-9 F2000\nY-8\nY-7.5 F4000\nY-20\nG0 Z10",
    ),
    ("outside-travel", "in X", 1, UPRIGHT, READY_DOVETAIL + "G0 X0 Y-100\nX400.1"),
    ("outside-travel", "in Y, on an arc", 2, UPRIGHT, READY_DOVETAIL + "G0 X-200 Y-60\nX-198\nG2 X-198 I176 F900"),
    ("outside-travel", "in Z", 0, UPRIGHT, READY_DOVETAIL + "G0 Z100.01\nZ10\nX200 Y-60"),
    ("spoilboard-too-deep", "below the board", 2, FLAT, READY_STRAIGHT + "G0 X-10 Y-100\nG1 F900 Z-20.4\nZ-20.6\nG0 Z10"),
    ("plate-cut", "behind the backing", 3, UPRIGHT, READY_STRAIGHT + "G0 X200 Y-20\nG1 F900 Z-1\nY11\nY12.1\nY-20"),
    ("zone-entered", "the cutter, in the stop", 2, UPRIGHT, READY_DOVETAIL + "G0 X-5 Y-30\nZ-21\nG1 Y-17 F900\nY-30"),
    ("zone-entered", "the holder, over the stop", 1, UPRIGHT, READY_STRAIGHT + "G0 X-30 Y-26\nZ-50.1\nX-31"),
    ("zone-entered", "the spindle's body, over the stop", 1, UPRIGHT, READY_STRAIGHT + "G0 X-30 Y-42\nZ-75.1\nX-31"),
    ("spindle-in-wood", "beside the board", 1, UPRIGHT, READY_STRAIGHT + "G0 X110 Y-6\nZ-55.1\nX130"),
    ("shank-in-wood", "deeper than its cutting length", 2, UPRIGHT, READY_DOVETAIL + TAIL.replace("Z-9", "Z-14.1")),
    ("holder-in-wood", "beside the board", 1, UPRIGHT, READY_STRAIGHT + "G0 X94 Y-6\nZ-30.1\nX110"),
    ("plunge-not-allowed", "straight down", 1, FLAT, READY_STRAIGHT + "G0 X20 Y-150\nG1 Z-2 F900\nX40\nZ10"),
    ("plunge-not-allowed", "steeply", 2, FLAT, READY_STRAIGHT + "G0 X20 Y-150\nG1 Z0 F900\nX21 Z-1.5\nX40\nZ10"),
    ("depth-per-pass", "on a ramp", 2, FLAT, READY_STRAIGHT + "G0 X20 Y-150\nG1 Z0 F900\nX60 Z-3.1\nX20\nZ10"),
    ("depth-per-pass", "a pass left out", 4, FLAT, READY_STRAIGHT + "G0 X20 Y-150\nG1 Z0 F900\nX60 Z-3\nX20\nX60 Z-7\nX20\nZ10"),
    ("depth-per-pass", "from the side", 2, FLAT, READY_STRAIGHT + "G0 X-10 Y-100\nZ-4\nG1 X5 F900\nX-10\nG0 Z10"),
    ("unsafe-start", "the first move stays low", -1, UPRIGHT, READY_DOVETAIL.replace("Z10", "Z9") + "G0 X-20 Y-30"),
    ("wrong-work-offset", "another zero", 0, UPRIGHT, READY_DOVETAIL + "G55 G0 Z10\nX20 Y-20\nZ-9"),
    ("unsafe-start", "goes over low after a stop", 2, UPRIGHT, READY_DOVETAIL + "X-20 Y-30\nM0\nG21 G17 G90 G94 G54 G0 Z9.9"),
    ("unsafe-stop", "stops low", 4, UPRIGHT, READY_DOVETAIL + "X-20 Y-30\nZ9.9\nM5\nM0\nG21 G17 G90 G94 G54 G0 Z10"),
    ("tool-not-in-program", "no tool", -2, UPRIGHT, READY_DOVETAIL.replace("T1 M6 G43 H1", "(none)") + "G0 X-20 Y-30"),
]


@pytest.mark.parametrize(("code", "what", "after", "program", "text"), BAD)
def test_a_breach_is_told_at_its_line(code: str, what: str, after: int, program: ProgramEntry, text: str) -> None:
    """``after`` counts lines from the first one after the preparation."""
    found = judged(text, program)
    line = next(n for n, part in enumerate(text.split("\n"), 1) if part.startswith("G0 Z")) if after == -1 else FIRST + after
    if after == -2:
        line = FIRST - 1
    assert (code, line) in told(found), what
    assert {finding.severity for finding in found if finding.code == code} == {MOTION_FINDINGS[code].severity}


@pytest.mark.parametrize(("code", "what", "after", "program", "text"), BAD)
def test_a_breach_brings_no_crowd_of_others(code: str, what: str, after: int, program: ProgramEntry, text: str) -> None:
    related = {
        "unsafe-start": {"rapid-below-clearance"},
        "rapid-in-wood": {"dovetail-height-over-board", "zone-entered", "depth-per-pass"},
        "dovetail-height-over-board": {"zone-entered"},
        "plate-cut": {"zone-entered"},
        "zone-entered": {"dovetail-height-over-board", "rapid-in-wood", "holder-in-wood"},
        "spoilboard-too-deep": {"depth-per-pass"},
        "spindle-in-wood": {"zone-entered"},
        "holder-in-wood": {"zone-entered", "rapid-in-wood", "shank-in-wood"},
    }
    found = {name for name, _ in told(judged(text, program))}
    assert found <= {code} | related.get(code, set()), what


@pytest.mark.parametrize(("aside", "found"), [(4.6, []), (4.4, [("zone-entered", FIRST + 2)])])
def test_a_dovetail_cutter_passes_under_a_zone_as_near_as_its_flank_lets_it(aside: float, found: list[tuple[str, int]]) -> None:
    """Tip at Z-8, zone from Z-2 up: 6 mm over the tip the radius is 6 - 6 tan 14 deg = 4.504 mm."""
    lip = ZoneEntry(name="lip", low=(-50.0, -60.0, -2.0), high=(-30.0, -40.0, 0.0))
    around = LIMITS.programs[0].model_copy(update={"zones": [lip]})
    text = READY_DOVETAIL + f"G0 X{aside - 30} Y-70\nZ-8\nG1 Y-35 F900\nG0 Z10"
    assert told(judged(text, limits=LIMITS.model_copy(update={"programs": [around]}))) == found


def test_a_lasting_state_is_told_once() -> None:
    found = judged(READY_DOVETAIL.replace("M3", "M5") + TAIL)
    assert [name for name, _ in told(found)] == ["spindle-stopped"]


def test_a_program_that_names_one_cutter_need_not_change_to_it() -> None:
    alone = UPRIGHT.model_copy(update={"tools": [1]})
    text = READY_DOVETAIL.replace("T1 M6 G43 H1", "(cutter 1 is fitted by hand)")
    assert told(judged(text + TAIL, alone)) == []
    assert told(judged(text + TAIL.replace("Z-9", "Z-14.1"), alone)) == [("shank-in-wood", FIRST + 2)]


def test_a_cutter_of_the_manifest_that_the_program_does_not_name_is_told() -> None:
    alone = UPRIGHT.model_copy(update={"tools": [1]})
    assert told(judged(READY_STRAIGHT + "G0 X-20 Y-30", alone)) == [("tool-not-in-program", 4)]


def test_what_the_packet_does_not_say_is_told() -> None:
    bare = LIMITS.model_copy(update={"programs": [], "tools": []})
    codes = [name for name, _ in told(judged(READY_DOVETAIL + "G0 X-20 Y-30", limits=bare))]
    assert codes == ["program-without-limits", "tool-without-limits", "tool-without-limits", "tool-not-in-program"]
    lost = UPRIGHT.model_copy(update={"board": "nowhere"})
    assert told(judged(READY_DOVETAIL, lost)) == [("board-not-in-manifest", 0)]


@pytest.mark.parametrize("far", [1e6, 1e300])
def test_absurd_places_are_refused(far: float) -> None:
    absurd = UPRIGHT.model_copy(update={"to_machine": ((0.0, 1.0, 0.0, far), *UPRIGHT.to_machine[1:])})
    assert told(judged(READY_DOVETAIL, absurd)) == [("board-not-in-manifest", 0)]


def test_mirroring_or_inches_do_not_pass_unseen() -> None:
    """G20 for G21 multiplies every length by 25.4."""
    inch = READY_DOVETAIL.replace("G21", "G20") + TAIL
    assert {"outside-travel", "feed-over-limit"} <= {name for name, _ in told(judged(inch))}
    mirrored = READY_DOVETAIL + TAIL.replace("X", "X-")
    assert told(judged(mirrored)) == []  # in air beside the board: for the carving to tell


@pytest.mark.parametrize("seed", range(20))
def test_any_motion_can_be_judged(seed: int) -> None:
    dice = random.Random(seed)
    lines = [f"{STATED}\nT{seed % 2 + 1} M6 G43 H{seed % 2 + 1}\nM3 S9000 F900\nG0 Z10\nX0 Y0"]
    for _ in range(60):
        places = " ".join(f"{axis}{dice.uniform(-90, 90):.3f}" for axis in "XYZ")
        kind = dice.choice(["G0", "G1", "G2", "G3"])
        lines.append(f"{kind} {places}" + (" R200" if kind in ("G2", "G3") else ""))
    lines.append("M30")
    program = (UPRIGHT, FLAT)[seed % 2]
    made = run("\n".join(lines), program.file)
    assert len(made.motions) > 5
    assert {finding.code for finding in judge(made, program, LIMITS, MANIFEST)} <= MOTION_FINDINGS.keys()
    nothing = ProgramRun(program.file, (), (), complete=False, units="")
    assert judge(nothing, program, LIMITS, MANIFEST) == ()


def dry(kind: str, text: str, limits: Limits = LIMITS) -> list[tuple[str, int]]:
    return told(judged(text, FLAT.model_copy(update={"kind": kind}), limits))


@pytest.mark.parametrize("kind", ["dry run", "outline"])
def test_a_dry_run_keeps_above_everything_with_the_spindle_still(kind: str) -> None:
    high = f"{STATED}\nT2 M6 G43 H2\nG0 Z10\nX-20 Y-30\nG1 X40 F500"
    assert dry(kind, high) == []
    assert dry(kind, high + "\nZ9.9\nX5\nZ10") == [("dry-below-clearance", 6)]
    assert dry(kind, high + "\nM3 S9000\nX5\nX6") == [("dry-spindle-on", 7)]
    assert dry(kind, high + "\nX500") == [("outside-travel", 6)]
    programs = [LIMITS.programs[1].model_copy(update={"zones": [LIMITS.programs[1].zones[0].model_copy(update={"high": (0.0, 0.0, 5.0)})]})]
    assert dry(kind, high, LIMITS.model_copy(update={"programs": programs}))[0][0] in ("unsafe-start", "dry-below-clearance")


@pytest.mark.parametrize(
    ("places", "program", "text", "found"),
    [
        ({"upright_stops": (26.0, 300.0)}, UPRIGHT, READY_DOVETAIL + "G0 X-26 Y-40", ""),
        (
            {"upright_stops": (25.9, 300.0)},
            UPRIGHT,
            READY_DOVETAIL + "G0 X-26 Y-40",
            "X would go from -0.1 to -0.1 mm,",
        ),
        ({"upright_plate": 55.0}, UPRIGHT, READY_DOVETAIL + "G0 X-26 Y-40", ""),
        ({"upright_plate": 54.9}, UPRIGHT, READY_DOVETAIL + "G0 X-26 Y-40", "Y would go from -0.1 to -0.1 mm,"),
        ({"flat_stops": (300.0, 0.0)}, FLAT, READY_STRAIGHT + "G0 X100 Y-30\nX-26", ""),
        (
            {"flat_stops": (300.1, 0.0)},
            FLAT,
            READY_STRAIGHT + "G0 X100 Y-30\nX-26",
            "X would go from 274.1 to 400.1 mm, the machine from 0 to 400",
        ),
        ({"flat_fence": 0.0, "upright_stops": (0.0, 0.0)}, FLAT, READY_STRAIGHT + "G0 X-26 Y-30", ""),
    ],
)
def test_travel_is_a_place_where_the_machine_is_described(places: dict[str, object], program: ProgramEntry, text: str, found: str) -> None:
    """15 mm of backing before the plate; a flat end has no fence."""
    limits = LIMITS.model_copy(update={"machine": LIMITS.machine.model_copy(update=places)})
    told_of = [finding.text for finding in judged(text, program, limits) if finding.code == "outside-travel"]
    assert [found in text for text in told_of] == ([True] if found else [])


@pytest.mark.parametrize(
    ("marked", "words"), [({1}, "is marked 18000 rpm at most"), ({2}, "no mark of cutter 1, so 18000 rpm is assumed: read its shank")]
)
def test_a_speed_is_held_against_a_mark_or_what_is_assumed_without_one(marked: set[int], words: str) -> None:
    stated = Stated(60.0, math.nan, {}, frozenset(marked))
    (found,) = judged(READY_DOVETAIL.replace("S16000", "S18001") + TAIL, stated=stated)
    assert found.code == "cutter-too-fast"
    assert words in found.text


def test_a_program_comes_from_above_the_clamps_and_leaves_to_there() -> None:
    """Clamps of 25 mm and 10 mm of clearance: until X and Y are stated the machine may stand anywhere, and pass over them."""
    clamp = ZoneEntry(name="clamp", low=(-500.0, -500.0, 0.0), high=(500.0, -60.0, 25.0))
    around = [entry.model_copy(update={"zones": [*entry.zones, clamp]}) for entry in LIMITS.programs]
    limits = LIMITS.model_copy(update={"programs": around})
    for height, found in ((35.0, set()), (34.9, {"unsafe-start", "unsafe-stop"})):
        text = READY_STRAIGHT.replace("G0 Z10", f"G0 Z{height}") + f"G0 X-10 Y-20\nZ10\nZ{height}\nM5\nM30\n"
        made = run(text, FLAT.file, tools=[tool.number for tool in MANIFEST.tools])
        assert {finding.code for finding in judge(made, FLAT, limits, MANIFEST)} == found


def test_judging_keeps_up_with_reading() -> None:
    """A thousand passes of a tail's flanks, some 6,000 moves, within a second of processor time on a machine of two cores."""
    made = run(READY_DOVETAIL + f"{TAIL}\n" * 1000 + "M30", UPRIGHT.file)
    begin = time.process_time()
    assert judge(made, UPRIGHT, LIMITS, MANIFEST) == ()
    assert time.process_time() - begin < 2.0


def test_programs_made_to_be_endless_are_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    ready = READY_STRAIGHT + "X40 Y-100\nG1 F900 Z9\n"
    circles = run(ready + "G2 X40 I150\n" * 200 + "M30", FLAT.file)
    monkeypatch.setattr(motion_rules, "_BATCH", 50)
    monkeypatch.setattr(motion_rules, "_MOST_PIECES", 50_000)
    assert "motions-not-judged" in dict(told(judge(circles, FLAT, LIMITS, MANIFEST)))
    strokes = run(READY_STRAIGHT + "G0 X-20 Y-250\nG1 F900 Z-2\n" + "X100 Y-50\nX-20 Y-250\n" * 100 + "M30", FLAT.file)
    monkeypatch.setattr(depth_rules, "_BATCH", 50)
    monkeypatch.setattr(depth_rules, "_MOST_ASKED", 1_000_000)
    assert "depth-not-judged" in dict(told(judge(strokes, FLAT, LIMITS, MANIFEST)))
