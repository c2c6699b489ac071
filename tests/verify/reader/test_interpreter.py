"""Programs in the simulated machine. Sections are those of NISTIR 6556 (Kramer, Proctor, Messina, 2000).

"As interpreters behave" marks what the report's text leaves open.
"""

from __future__ import annotations

import math
import re
import time
from pathlib import Path

import pytest

from camtools.verify import catalogue
from camtools.verify.reader import carriage, interpreter
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import Motion, ProgramRun
from camtools.verify.reader.words import read_block

STATED = "G21 G17 G90 G94 G40 G54"
AGAIN = "G21 G17 G90 G94 G54"  # what a person may change at a stop
ORIGIN = (0.0, 0.0, 0.0)


def made(code: str, stated: str = STATED) -> ProgramRun:
    """Run code on a machine that stands at zero, with everything stated before and M30 after."""
    return run(f"{stated}\n{code}\nM30\n", "p.ngc", start=ORIGIN)


def codes(found: ProgramRun) -> list[tuple[str, int]]:
    return [(finding.code, finding.line) for finding in found.findings]


def ends(found: ProgramRun) -> list[tuple[float, float, float]]:
    return [motion.end for motion in found.motions]


GOOD = [
    ("3.5.1 p23", "G0 X1 Y2 Z3"),
    ("3.3.7", "G1 F100 X1\nY2"),
    ("3.5.3 p23", "F100 G2 X2 I1\nG3 X0 I-1"),
    ("3.5.3.2 p24, a helix", "F100 G3 X0 I1 Z-3"),
    ("3.5.3.1 p23", "F100 G2 X1 Y1 R1"),
    ("3.5.4 p25", "G4 P0.5"),
    ("3.5.14 p30; P of G64: as interpreters behave", "G61\nG61.1\nG64\nG64 P0.01"),
    ("3.5.15 p30", "G80"),
    ("3.5.20 p37", "G98\nG99"),
    ("3.6.1 p38", "M0\nM1\nM60"),
    ("3.6.2 p39", "M3 S0\nS1000.5\nM5"),
    ("3.6.3 p39", "T1 M6 M3 S1000\nM5\nM6 T2"),
    ("3.6.4", "M7\nM8\nM9"),
    ("3.6.5", "M48\nM49"),
    ("3.5.11 p29", "G49"),
    ("3.5.11 p29", "T1 M6 G43 H1\nG0 Z1"),
    ("3.5.11 p29, 3.5.12", "T1 M6 G43 H1\nG53 G0 Z0\nG49"),
    ("3.6.1 p38", f"T1 M6\nM0 (set Z zero with cutter 1)\n{AGAIN}\nG0 Z1"),
    ("3.6.1 p38", f"G0 Z1\nM0\nM1\n{AGAIN} G0 Z2\nX1"),
    ("3.3.4 p19", "(MSG, turn the board)"),
]


@pytest.mark.parametrize(("section", "code"), GOOD)
def test_what_the_report_allows_passes_in_silence(section: str, code: str) -> None:
    found = made(code)
    assert found.complete, section
    assert codes(found) == []


BAD = [
    ("3.5.2 p23", "G1 F100", "motion-without-axis"),
    ("3.5.1 p23", "G0", "motion-without-axis"),
    ("3.5.15 p30", "X1", "axis-without-motion"),
    ("3.5.15 p30", "G80 X1", "axis-without-motion"),
    ("3.5.15 p30", "G0 X1\nG80\nX2", "axis-without-motion"),
    ("3.5.3.2 p24", "F100 G2 I1", "motion-without-axis"),
    ("3.5.3.2 p24", "F100 G2 X1 Y1", "arc-words"),
    ("3.5.3.2 p24", "F100 G2 Z1 I1", "arc-words"),
    ("3.5.3.2, as interpreters behave", "F100 G2 X1 K1", "arc-words"),
    ("3.5.3.2, as interpreters behave", "F100 G2 X1 Y1 I1 K1", "arc-words"),
    ("3.5.3.2, as interpreters behave", "F100 G2 X1 Y1 R1 I1", "arc-words"),
    ("3.5.3.2 p25", "F100 G2 X2.0021 I1", "arc-radius"),
    ("3.5.3.2, as interpreters behave", "F100 G2 X0 I0", "arc-zero-radius"),
    ("3.5.3.1 p24", "F100 G2 X0 R5", "arc-zero-radius"),
    ("3.5.3.1 p24", "F100 G2 X2 R0.9999", "arc-out-of-reach"),
    ("3.5.12 p29", "G53", "bad-g53"),
    ("3.5.12 p29", "F100 G2 X2 I1\nG53 X2 I1", "bad-g53"),
    ("3.5.12 p29", "G0 G91 G53 X1", "bad-g53"),
    ("3.5.12 p29", "G53 X1", "axis-without-motion"),
    ("as interpreters behave", "G1 X1", "feed-zero"),
    ("as interpreters behave", "F0 G3 X2 I1", "feed-zero"),
    ("as interpreters behave", "F-1", "feed-negative"),
    ("3.7.2 p40", "S-1", "speed-negative"),
    ("3.7.3 p40", "T-1", "bad-tool"),
    ("3.7.3 p40", "T1.5", "bad-tool"),
    ("3.6.3 p39", "M6", "tool-change-without-tool"),
    ("3.6.3 p39", "M3 S100\nT1 M6", "tool-change-while-turning"),
    ("Table 8 p41: M6 before M5", "M3 S100\nT1 M5 M6", "tool-change-while-turning"),
    ("3.5.4 p25", "G4", "bad-dwell"),
    ("3.5.4 p25", "G4 P-1", "bad-dwell"),
    ("3.5.7 p26", "G20", "units-changed"),
    ("3.5.7 p26", "G21", "units-stated-twice"),
    *[("3.3.2.2 to 3.3.2.4 p17", f"G0 X{value}", "not-judged") for value in ("#1", "[1+2]", "-[1]", "SIN[30]")],
    ("3.2.1 p12", "#5221=10", "not-judged"),
    *[("3.5.5 to 3.5.18", code, "not-judged") for code in ("G10 L2 P1 X1", "G18", "G28 X1", "G30", "G92 X1", "G92.1", "G93")],
    *[("3.5.16 p30", f"F1 G{code} X1 Z-1 R1", "not-judged") for code in range(81, 90)],
    ("3.5.10 p28", "G41 D1", "not-judged"),
    ("3.5.10 p28", "G42 D1", "not-judged"),
    ("3.5.11 p29", "G43", "length-unknown"),
    ("3.5.11 p29: another cutter's", "T1 M6\nG43 H2\nG0 Z1", "length-unknown"),
    ("3.6.3 p39", "T1 M6\nG0 Z1", "length-unknown"),
    ("3.6.1 p38: it asks for nothing", f"T1 M6\nM0 (go on)\n{AGAIN}\nG0 Z1", "length-unknown"),
    *[("3.6.1 p38: a person takes over", f"{stop}\nG0 Z1", "stop-not-restated") for stop in ("M0", "M1", "M60")],
    *[("3.6.1 p38", f"M0\n{AGAIN.replace(word, '')}\nG0 Z1", "stop-not-restated") for word in AGAIN.split()],
    ("3.6.1 p38, 3.5.12", "M0\nG53 G0 Z0", "stop-not-restated"),
    ("3.6.1 p38", f"{AGAIN[3:]}\nM0\nG0 Z1", "stop-not-restated"),
    ("3.5.7 p26", f"M0\n{AGAIN}\nG21", "units-stated-twice"),
    ("3.5.7 p26", f"M0\n{AGAIN.replace('G21', 'G20')}", "units-changed"),
    ("3.5.11 p29", "T1 M6 G43 H1\nG49\nG0 Z1", "length-unknown"),
    ("3.6.1 p38", "S9000 M3\nM0 (set Z zero with cutter 1)", "stop-while-turning"),
    ("3.5.9", "G38.2 X1 F1", "probe-unsafe"),
    ("Table 3 p16", "G0 A90", "not-judged"),
    *[("as interpreters behave", f"G0 X1 {word}", "unused-word") for word in ("I1", "J1", "K1", "R1", "P1", "L1", "Q1", "H1", "D1")],
    ("2.2.2 p9", "/G0 X1", "block-delete"),
    ("3.3.4", "(G1 X5)", "code-in-comment"),
    ("3.3.4", "G0 X1 (Y2)", "code-in-comment"),
    ("3.3.4", "(was G1 X5)", "code-like-comment"),
    ("3.3.4", "(caf\N{LATIN SMALL LETTER E WITH ACUTE})", "comment-not-ascii"),
    ("3.3 p14", "(" + "a" * 255 + ")", "line-too-long"),
    ("3.3 p14, as interpreters behave", "(" + "a" * 249 + ")", "line-near-limit"),
    ("3.5.3.1 p24", "F1 G2 X2 R1", "arc-by-radius-near-limit"),
    ("3.5.3.2", "F1 G2 X0.003 I0.0015 J5", "arc-nearly-full"),
    ("3.3 p15", "G1 X1 Y", "number-missing"),
]


@pytest.mark.parametrize(("section", "code", "expected"), BAD)
def test_a_breach_is_found_on_its_line(section: str, code: str, expected: str) -> None:
    found = made(code)
    assert codes(found) == [(expected, 1 + len(code.split("\n")))], section
    kind = catalogue.READER_FINDINGS[expected]
    assert found.findings[0].severity == kind.severity
    assert found.findings[0].file == "p.ngc"


@pytest.mark.parametrize(("section", "code", "expected"), BAD)
def test_no_breach_hides_the_end_of_the_program(section: str, code: str, expected: str) -> None:
    """After a fault nothing is carried out, but reading goes on, so that M30 is seen and other faults are told."""
    found = made(f"{code}\nG1 X1 X1\n")
    assert "no-program-end" not in dict(codes(found)), section
    assert ("word-twice", len(code.split("\n")) + 2) in codes(found)
    assert not found.complete


LEFT_OUT = [
    ("G21", "units-not-stated"),
    ("G17", "plane-not-stated"),
    ("G90", "distance-mode-not-stated"),
    ("G94", "feed-mode-not-stated"),
    ("G40", "compensation-not-stated"),
    ("G54", "work-offset-not-stated"),
]


@pytest.mark.parametrize(("left_out", "expected"), LEFT_OUT)
def test_a_portable_program_states_everything_before_it_moves(left_out: str, expected: str) -> None:
    """The start-up state is the controller's: section 3.4 p20, 3.2.2 p14."""
    rest = STATED.replace(left_out, "")
    assert codes(made("G0 Z5\nX1", rest)) == [(expected, 2)]
    assert codes(made("G0 Z5\n" + left_out, rest))[0] == (expected, 2)


def test_everything_on_one_line_happens_in_the_order_of_table_8() -> None:
    """Table 8 p41: F, S, T, M6, M3, G4, plane, units, offset, mode before the move, M30 after."""
    found = run("M30 Z1 G0 G55 G90 G21 G17 G40 G94 G4 P1 M3 M6 T2 G43 H2 S900 F50\n", "p.ngc", start=ORIGIN)
    assert codes(found) == []
    assert found.complete
    assert found.motions == (Motion("rapid", 1, (0, 0, 1), (0, 0, 1), None, 0, 0, 900, 2, "G55", blind=True),)


@pytest.mark.parametrize(("word", "rpm"), [("M5", 0.0), ("M4", -500.0), ("M3", 500.0), ("S700", 700.0), ("M6", 0.0), ("M6 M3", 500.0)])
def test_spindle_words_act_before_the_move_on_their_line(word: str, rpm: float) -> None:
    """Table 8 p41; the spindle stands after M6: 3.6.3 p39."""
    assert made(f"T1 M3 S500\nG53 G0 Z0 {word}").motions[0].spindle_rpm == rpm


@pytest.mark.parametrize(
    ("code", "loosest"), [("", None), ("G61", 0.0), ("G64 P0.01", 0.01), ("G64", math.inf), ("G64 P0.02\nG1 F1 X2\nG64 P0.01", 0.02)]
)
def test_how_far_corners_may_be_rounded_is_read(code: str, loosest: float | None) -> None:
    """3.5.14 p30; P of G64: as interpreters behave."""
    assert made(f"{code}\nG1 F1 X1\nG64 P9").blend_mm == loosest


def test_a_stop_puts_in_the_cutter_that_its_comment_asks_for() -> None:
    """Common practice where a controller knows no M6: T names the cutter, and the operator fits it at the stop."""
    fitted = made(f"T2\nM0 (fit cutter 2, set Z zero with it)\n{AGAIN}\nG0 Z1")
    assert (codes(fitted), fitted.motions[0].tool) == ([], 2)
    assert made("T2\nM0 (set Z zero with cutter 1)\nG0 Z1").motions[0].tool == 0


@pytest.mark.parametrize("last", ["", "M5\n", "M0 (go on)\n", "M0 (switch it off)\n"])
def test_a_spindle_that_a_person_switched_on_turns_until_a_person_is_asked_to_switch_it_off(last: str) -> None:
    """Common practice, no source: no code reaches it, so M5 and M30 leave it turning (with a program's own, 3.6.1 p39 and 3.7.1 p40)."""
    on = f"M0 (switch the spindle on at 9000 rpm)\n{AGAIN}\nG0 Z1\n"
    done = made(f"{on}{last}{AGAIN if 'M0' in last else ''}\nG0 Z2")
    assert done.motions[-1].spindle_rpm == 9000.0
    assert codes(done)[0][0] == "spindle-left-on"
    done = made(f"{on}M0 ; switch the spindle off\n{AGAIN}\nG0 Z2")
    assert done.motions[-1].spindle_rpm == 0.0
    assert codes(done) == []


def test_a_comment_may_stand_behind_a_semicolon() -> None:
    """Common practice, no source."""
    assert read_block("G1 X1 ; X2 Y3").values == {"X": 1.0}
    assert read_block("G1 (a; b) X1").comments == ["a; b"]
    assert codes(made("; G0 X5")) == [("code-in-comment", 2)]


def test_a_program_does_not_start_a_spindle_that_a_person_switched_on() -> None:
    asked = "M0 (switch the spindle on at 9000 rpm)\n"
    assert codes(made(f"{asked}M3"))[0] == ("not-judged", 3)
    assert codes(made(f"{asked}M0 (set Z zero)\nM0 (switch the spindle off)")) == [("stop-while-turning", 3)]


def test_words_may_stand_in_any_order() -> None:
    """3.3.6 p19."""
    assert made("F100 G2 X2 Y0 I1 J0").motions == made("J0 Y0 G2 I1 X2 F100").motions


def test_inches_become_millimetres_at_once() -> None:
    """3.5.7 p26: F is not converted when the units change, 4.3.3.3 p48; here it was given in inches."""
    found = made("G0 Z1\nF10 G1 X2 Y-.5\nG3 X2 I.125", STATED.replace("G21", "G20"))
    assert found.units == "inch"
    assert ends(found) == [(0, 0, 25.4), (50.8, -12.7, 25.4), (50.8, -12.7, 25.4)]
    assert found.motions[1].feed_mm_min == 254
    assert found.motions[2].centre == pytest.approx((50.8 + 3.175, -12.7))


def test_the_radii_of_an_arc_in_inches_may_differ_by_two_ten_thousandths() -> None:
    """3.5.3.2 p25: 0.0002 inch."""
    inch = STATED.replace("G21", "G20")
    assert codes(made("F1 G2 X2.00019 I1", inch)) == []
    assert codes(made("F1 G2 X2.00021 I1", inch)) == [("arc-radius", 2)]


def test_offsets_of_a_centre_are_incremental_in_both_modes() -> None:
    """3.5.17 p36."""
    absolute = made("F1 G0 X5\nG2 X7 I1")
    incremental = made("F1 G0 X5\nG91 G2 X2 I1")
    assert absolute.motions[1].centre == incremental.motions[1].centre == (6, 0)
    assert ends(absolute) == ends(incremental)


@pytest.mark.parametrize(
    ("word", "end", "centre", "sweep"),
    [
        ("G2", (2, 0), "I1", -180),
        ("G3", (2, 0), "I1", 180),
        ("G2", (1, 1), "I1", -90),
        ("G3", (1, 1), "I1", 270),
        ("G2", (0, 0), "I1", -360),
        ("G3", (0, 0), "I1", 360),
    ],
)
def test_an_arc_turns_as_its_code_says(word: str, end: tuple[int, int], centre: str, sweep: int) -> None:
    """3.5.3 p23-25: seen from the positive end of Z, G2 turns clockwise; full circle: 4.3.6.1 p52."""
    arc = made(f"F1 {word} X{end[0]} Y{end[1]} {centre}").motions[0]
    assert arc.sweep_deg == pytest.approx(sweep)
    assert arc.centre == (1, 0)


@pytest.mark.parametrize(("radius", "sweep"), [("R2", 60), ("R-2", 300)])
def test_the_sign_of_a_radius_chooses_the_shorter_or_the_longer_arc(radius: str, sweep: float) -> None:
    """3.5.3.1 p23-24: chord 2, radius 2."""
    for word, sign in (("G2", -1), ("G3", 1)):
        arc = made(f"F1 {word} X2 {radius}").motions[0]
        assert arc.sweep_deg == pytest.approx(sign * sweep)
        assert arc.centre
        assert math.dist(arc.centre, (0, 0)) == pytest.approx(2)
        assert math.dist(arc.centre, (2, 0)) == pytest.approx(2)


def test_incremental_moves_add_up() -> None:
    """3.5.17 p36."""
    assert ends(made("G91 G0 X1\nX1 Y2\nG90 X1")) == [(1, 0, 0), (2, 2, 0), (1, 2, 0)]


ENDS: list[tuple[str, list[tuple[str, int]], bool]] = [
    ("%\nG21\nM30\n%\n", [], True),
    ("\n \n%\n(a)\nG21 M2\n % \n", [], True),
    ("%\nG21\n%\nanything at all!\n", [("ends-without-m30", 3), ("text-after-end", 4)], True),
    ("%\nG21\n%\n\n(the end)\n", [("ends-without-m30", 3)], True),
    ("%\nG21\n", [("no-program-end", 2)], False),
    ("%\nG21\nM30\n(a)\n", [("percent-not-closed", 3)], True),
    ("G21\n%\n", [("percent-misplaced", 2), ("no-program-end", 2)], False),
    ("% O1000\nG21\nM30", [("percent-misplaced", 1)], False),
    ("G21\nM30\nG0 X1\nX2\n", [("text-after-end", 3)], True),
    ("G21\nM30\n\n(G0 X1)\nN10\n", [], True),
    ("G21\nM2\nrubbish", [("text-after-end", 3)], True),
    ("G21", [("no-program-end", 1)], False),
    ("G21\nM3", [("no-program-end", 2)], False),
    ("", [("program-empty", 0)], False),
    ("\n\n(nothing)\n", [("program-empty", 3)], False),
    ("%\n%\n", [("program-empty", 2)], False),
]


@pytest.mark.parametrize(("text", "expected", "complete"), ENDS)
def test_a_program_ends_as_the_report_asks(text: str, expected: list[tuple[str, int]], complete: bool) -> None:
    """3.1 p12 and 3.6.1 p39; a first line % with more on it: as interpreters behave."""
    found = run(text, "p.ngc")
    assert codes(found) == expected
    assert found.complete == complete


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_end_by_cr_or_lf_or_both(end: str) -> None:
    """3.3 p14-15."""
    found = run(end.join([STATED, "G0 Z1", "", "X1 X1", "M30"]), "p.ngc")
    assert codes(found) == [("word-twice", 4)]


def test_g53_moves_in_machine_coordinates_once() -> None:
    """3.5.12 p29. At the top, Z0, it is clear of everything, at no height that is known; the place where it parks is known no more."""
    found = run(f"{STATED}\nG53 G0 Z0\nX3 Y1\nZ4\nG53 G0 Z0\nG53 X9 Y9\nG0 X5 Y6\nM30", "p.ngc", top_mm=50.0)
    assert codes(found) == []
    assert [(motion.work_offset, motion.start, motion.end, motion.blind) for motion in found.motions] == [
        ("G53", (0, 0, 50), (0, 0, 50), True),
        ("G54", (3, 1, 50), (3, 1, 50), True),
        ("G54", (3, 1, 50), (3, 1, 4), False),
        ("G53", (3, 1, 4), (3, 1, 50), False),
        ("G54", (5, 6, 50), (5, 6, 50), True),
    ]


@pytest.mark.parametrize("code", ["G53 G0 Z2", "G53 G0 Z-1", "F1 G53 G1 Z0", "G53 G0 X1", "G53 G0 X0 Y0 Z0"])
def test_a_place_in_machine_coordinates_is_judged_at_the_top_alone(code: str) -> None:
    assert codes(made(code)) == [("machine-coordinates", 2)]


@pytest.mark.parametrize("code", ["M0", "M1", "M60", "T1 M6 G43 H1", "G55"])
def test_where_the_cutter_stands_is_not_known_after_a_stop_a_change_or_another_zero(code: str) -> None:
    """3.6.1 p38: a person takes over at a stop; 3.6.3 p39: a changer moves as it must; 3.5.13 p29: another zero, other places."""
    again = AGAIN if code in ("M0", "M1", "M60") else ""
    assert codes(made(f"G0 Z5\n{code}\n{again} X1")) == [("moves-before-height", 4)]
    assert codes(made(f"G0 Z5\n{code}\n{again} F1 G1 X1")) == [("position-unknown", 4)]
    found = made(f"G0 Z5\n{code}\n{again} Z6\nX1 Y1\nX2")
    assert codes(found) == []
    assert [motion.blind for motion in found.motions] == [False, True, True, False]


def test_the_top_stays_the_top_under_another_zero_but_not_after_a_stop() -> None:
    assert codes(made("G53 G0 Z0\nG55\nX1 Y1\nZ5")) == []
    assert codes(made(f"G53 G0 Z0\nM0\n{AGAIN} X1 Y1\nZ5")) == [("moves-before-height", 4)]


def test_moves_without_end_are_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(carriage, "MOST_MOVES", 1000)
    found = made("G0 X1\n" + "X1\nX2\n" * 501)
    assert "program-too-long" in dict(codes(found))
    assert not found.complete


def test_nothing_moves_after_the_first_fault() -> None:
    found = made("G0 X1\nX2 X2\nX3")
    assert ends(found) == [(1, 0, 0)]
    assert not found.complete


def test_an_axis_is_known_only_once_a_rapid_named_it() -> None:
    """A real machine stands anywhere: the first rapid on an axis starts, as far as is known, where it ends."""
    found = run(f"{STATED}\nG0 Z25\nX10\nY5 Z20\nM30", "p.ngc")
    assert codes(found) == []
    assert [(motion.start, motion.end) for motion in found.motions] == [
        ((0, 0, 25), (0, 0, 25)),
        ((10, 0, 25), (10, 0, 25)),
        ((10, 5, 25), (10, 5, 20)),
    ]


UNKNOWN = [
    ("G53 G0 Z-1", "machine-coordinates"),
    ("G0 X1", "moves-before-height"),
    ("G0 X1 Z5", "moves-before-height"),
    ("G1 F1 Z5", "position-unknown"),
    ("G0 Z5\nG1 F1 X1", "position-unknown"),
    ("G0 Z5\nX1\nG2 F1 X2 I0.5", "position-unknown"),
    ("G91 G0 Z5", "incremental-from-unknown"),
    ("G0 Z5\nX1 Y1\nG53 G0 Z0\nG1 F1 Z1", "position-unknown"),
]


@pytest.mark.parametrize(("code", "expected"), UNKNOWN)
def test_what_needs_an_unknown_place_is_reported(code: str, expected: str) -> None:
    found = run(f"{STATED}\n{code}\nM30", "p.ngc")
    assert codes(found) == [(expected, 1 + len(code.split("\n")))]


def test_tools_come_from_the_manifest() -> None:
    assert codes(run("G21 T1 M6\nT9\nT0\nM30", "p.ngc", tools=[1, 2])) == [("tool-not-in-manifest", 2)]
    assert run(f"{STATED} G0 Z5\nM30", "p.ngc", fitted=3).motions[0].tool == 3


def test_a_flood_of_one_fault_stays_short() -> None:
    found = made("\n".join(["G0 X1 X2"] * 100))
    assert len(found.findings) == 21
    assert found.findings[-1].figures == (("more", 80.0),)
    assert found.findings[-1].line == 22


def test_a_missing_feed_is_told_once_until_it_is_given() -> None:
    assert codes(made("G1 X1\nX2\nX3\nX4 F1\nX5\nX6 F0\nX7")) == [("feed-zero", 2), ("feed-zero", 7)]


def test_too_many_lines_are_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(interpreter, "MOST_LINES", 10)
    assert codes(run("G21\n" * 9 + "M30\n", "p.ngc"))[-1] == ("units-stated-twice", 9)
    assert ("program-too-long", 11) in codes(run("N1\n" * 20, "p.ngc"))


def test_reading_costs_in_step_with_length() -> None:
    """Ten times the lines take about ten times as long; the bound leaves room for a busy machine."""
    body = "N1 G1 X1.2345 Y-2.5 F1200\nG3 X1.2345 I1.5\n"

    def seconds(times: int) -> float:
        text = f"{STATED}\nG0 Z1\nX0 Y0\n" + body * times + "M30"
        best = math.inf
        for _ in range(3):
            begin = time.process_time()
            assert run(text, "p.ngc").complete
            best = min(best, time.process_time() - begin)
        return best

    small, large = seconds(500), seconds(5000)
    assert large < 30 * small
    assert 10_000 / large > 30_000  # lines a second


def test_every_code_in_the_sources_is_in_the_catalogue_and_the_reverse() -> None:
    folder = Path(catalogue.__file__).parent
    own = [path for path in folder.rglob("*.py") if re.search(r"\b(Log|LineFault)\(", path.read_text())]
    text = "".join(path.read_text() for path in own)
    used = set(re.findall(r'LineFault\(\s*"([a-z0-9-]+)"', text)) | set(re.findall(r'\.(?:add|_fail)\(\s*"([a-z0-9-]+)"', text))
    known = set(catalogue.READER_FINDINGS) | set(catalogue.MOTION_FINDINGS)
    assert len(used) > 50
    assert used <= known
    assert {
        code
        for code in known
        if f'"{code}"' not in "".join(path.read_text() for path in folder.rglob("*.py") if path.name != "catalogue.py")
    } == set()
