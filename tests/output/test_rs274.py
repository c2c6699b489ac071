"""Programs as text: what the moves say is what a controller does, in every dialect."""

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from camtools.faults import PacketFault
from camtools.output.cautions import short_cautions
from camtools.output.comments import comment
from camtools.output.dialects import Dialect, dialect_of, shipped_dialects
from camtools.output.rs274 import program_file
from camtools.toolpath.dry import dry_programs_of
from camtools.toolpath.moves import Arc, Cut, Line, Move, Pause, Point, Program, Rapid, Zone, dry_stem
from camtools.verify.reader.interpreter import run
from tests.output.reading import Seen, read
from tests.output.specimens import BLADE, JOB, MACHINE, PROGRAMS, STRAIGHT, program_of
from tests.output.test_comments import HOSTILE

MM = dialect_of("mm")
NAMES = shipped_dialects()
DRY = dry_programs_of(PROGRAMS, MACHINE)
TAILS = next(program for program in PROGRAMS if program.stem.endswith("left-side-1-front-end"))
CLEAR = MACHINE.clearance_mm
coordinates = st.floats(-300, 300, allow_nan=False)


def one(program: Program, dialect: Dialect = MM) -> str:
    return program_file(program, dialect, JOB).text


def code_of(text: str) -> list[str]:
    """Return the lines without comments."""
    bare = (re.sub(r"\([^)]*\)", "", line).strip() for line in text.splitlines())
    return [line for line in bare if line]


@st.composite
def journeys(draw: st.DrawFn) -> list[Move]:
    """Any moves from X0 Y0 at clearance. Each feed move has a feed of its own, by which it is known again in the text."""
    at: Point = (0.0, 0.0, CLEAR)
    made: list[Move] = []
    for i in range(draw(st.integers(1, 12))):
        feed = 100.0 + 50 * i + draw(st.floats(0, 40))
        kind = draw(st.sampled_from(["rapid", "line", "arc", "pause"]))
        end = (draw(coordinates), draw(coordinates), draw(st.floats(-30, 10)))
        if kind == "arc":
            radius, first, sweep = draw(st.floats(0.01, 60)), draw(st.floats(0, 6.28)), draw(st.floats(0.01, 2 * math.pi))
            clockwise = draw(st.booleans())
            centre = (at[0] - radius * math.cos(first), at[1] - radius * math.sin(first))
            last = first - sweep if clockwise else first + sweep
            end = (centre[0] + radius * math.cos(last), centre[1] + radius * math.sin(last), draw(st.sampled_from([at[2], end[2]])))
            made.append(Arc(end, centre, clockwise, feed))
        elif kind == "pause":
            end = at
            made.append(Pause(end, draw(st.floats(0.1, 9))))
        else:
            made.append(Rapid(end) if kind == "rapid" else Line(end, feed))
        at = end
    return made


def length_of(motion: Seen) -> float:
    if motion.centre is None:
        return math.dist(motion.start, motion.end)
    return math.hypot(motion.sweep * math.dist(motion.start[:2], motion.centre), motion.end[2] - motion.start[2])


def turned(start: Point, arc: Arc) -> float:
    (cx, cy), (ex, ey, _) = arc.centre, arc.end
    turn = math.atan2(ey - cy, ex - cx) - math.atan2(start[1] - cy, start[0] - cx)
    return (-turn if arc.clockwise else turn) % (2 * math.pi) or 2 * math.pi  # an end at the start is a full circle, N 3.5.3.2


@given(journeys(), st.sampled_from(NAMES))
def test_any_moves_are_read_back_as_they_were_meant(made: list[Move], name: str) -> None:
    dialect = dialect_of(name)
    near = 0.00011 if dialect.units == "mm" else 0.00026
    reading = read(one(program_of(*made), dialect))
    here: Point = (0.0, 0.0, CLEAR)
    for move in made:
        if isinstance(move, Line | Arc):
            # A feed is rounded down, by less than the gap between two of ours.
            mine = [motion for motion in reading.motions if motion.code and -0.2 < motion.feed_mm_min - move.feed_mm_min < 1e-6]
            if mine:
                assert math.dist(mine[0].start, here) < 2 * near
                assert math.dist(mine[-1].end, move.end) < 2 * near
            else:
                assert math.dist(here, move.end) < 2 * near, "only what vanishes in rounding is left out"
            if isinstance(move, Arc):
                radius = math.dist(move.end[:2], move.centre)
                meant = math.hypot(radius * turned(here, move), move.end[2] - here[2])
                assert sum(map(length_of, mine)) == pytest.approx(meant, rel=0.01, abs=0.03)
        here = move.end
    goals = iter([motion.end for motion in reading.motions if motion.code == 0])
    here = (0.0, 0.0, CLEAR)
    for move in made:
        if isinstance(move, Rapid) and math.dist(move.end, here) > near:
            assert any(math.dist(goal, move.end) < 2 * near for goal in goals), "a traverse is missing, or out of order"
        here = move.end
    pauses = [math.ceil(move.seconds * 10 - 1e-6) / 10 for move in made if isinstance(move, Pause)]
    pauses = pauses if dialect.dwell else []
    unit = 1000 if dialect.dwell_unit == "ms" else 1
    assert [dwell / unit for dwell in reading.dwells[len(reading.dwells) - len(pauses) :]] == pytest.approx(pauses)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("program", [*PROGRAMS, *DRY], ids=lambda program: program.stem)
def test_every_program_of_a_drawer_keeps_the_rules_in_every_dialect(program: Program, name: str) -> None:
    dialect = dialect_of(name)
    file = program_file(program, dialect, JOB)
    assert file.name == f"programs/{'' if program.kind == 'cut' else 'dry/'}{program.stem}.{dialect.ending}"
    reading = read(file.text)
    speeds = {motion.speed_rpm for motion in reading.motions if motion.code}
    assert speeds == ({18000.0} if program.kind == "cut" else {0.0})
    changes = program.kind == "cut" and dialect.lengths != "one-cutter"
    assert reading.tools == ([program.cutter.number] if changes else [])


def test_a_line_that_is_longer_than_the_controller_takes_is_refused() -> None:
    start, end = ((-250.0 - 150.7 * math.cos(way), -250.0 - 150.7 * math.sin(way), 10.0) for way in (1.0, 0.5))
    to, far = Rapid(start), Arc(end, (-250.0, -250.0), True, 1234.5)
    with pytest.raises(PacketFault, match=r"a line is too long; found 6\d characters: N\d+ G2 X.*; limit 60, line_length of the dialect"):
        one(program_of(to, far), Dialect(line_length=60, decimals=6, line_numbers=True))


def test_all_dialects_move_alike() -> None:
    """The same ends of moves in the same order, but for the arcs that are broken up."""
    for program in PROGRAMS:
        tracks = []
        for dialect in (MM, dialect_of("inch"), dialect_of("cutter-files"), dialect_of("numbered")):
            tracks.append([motion.end for motion in read(one(program, dialect)).motions if motion.code])
        for track in tracks[1:]:
            assert len(track) == len(tracks[0])
            assert all(math.dist(a, b) < 0.0004 for a, b in zip(track, tracks[0], strict=True))


def test_the_same_program_is_the_same_text() -> None:
    for program in PROGRAMS:
        assert program_file(program, MM, JOB) == program_file(replace(program), dialect_of("mm"), JOB)


@pytest.mark.parametrize("program", [*PROGRAMS, *DRY], ids=lambda program: program.stem)
def test_the_head_names_board_end_face_edge_stop_cutters_and_cautions(program: Program) -> None:
    text = one(program)
    setup = program.setup
    head = text[: text.index("\nG21")]
    assert f"(board: {setup.piece.role}, " in head
    assert setup.end in head
    assert f"{setup.facing} face" in head
    assert "reference edge" in head
    assert f"(stop: {setup.stop} stop, work offset {setup.work_offset})" in head
    unfolded = re.sub(r"\)\n\(\.\.\. ", " ", head)
    for owner in program.owners:
        assert owner in unfolded
    for cut in program.cuts:
        assert f"(cutter {cut.cutter.number}: {cut.cutter.kind}, {cut.cutter.diameter_mm:g} mm" in head
    assert (f"(feed: {program.cutter.feed_mm_min:g} mm/min, " in head) is (program.kind == "cut")
    assert ("safe to" in head) is (program.kind == "cut")
    for caution in short_cautions(program):
        assert comment("caution", caution)[0] in head
    assert text.isascii()


@pytest.mark.parametrize("program", [*PROGRAMS, *DRY], ids=lambda program: program.stem)
def test_a_program_in_inches_tells_every_length_in_both_units(program: Program) -> None:
    inch_mm = 25.4  # exactly, by the international yard and pound agreement of 1959 (NIST SP 811, appendix B.6)
    words = " ".join(read(one(program, dialect_of("inch"))).comments).replace(" ... ", " ")
    told = re.findall(r"([0-9.]+(?: x [0-9.]+)*) mm(/min|)(?: / ([0-9.]+(?: x [0-9.]+)*) in\2)?\b", words)
    assert len(told) > 1
    for lengths, feed, inches in told:
        half_step = 0.5e-2 if feed else 0.5e-3
        for millimetres, inch in zip(lengths.split(" x "), inches.split(" x "), strict=True):
            assert float(inch) * inch_mm == pytest.approx(float(millimetres), abs=half_step * inch_mm + 1e-9)
    assert not re.search(r"[0-9] in\b", " ".join(read(one(program)).comments))


def test_a_purpose_stands_before_each_cut() -> None:
    (cut,) = TAILS.cuts
    text = one(replace(TAILS, cuts=(cut, replace(cut, purpose="once more"))))
    for i, purpose in enumerate((cut.purpose, "once more"), 1):
        assert "\n".join(comment(f"cut {i} of 2", f"cutter 1, {purpose}")) in text


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.parametrize("dialect", NAMES)
def test_a_hostile_title_changes_no_word_of_a_program(name: str, dialect: str) -> None:
    plain = read(one(PROGRAMS[0], dialect_of(dialect)))
    text = one(replace(PROGRAMS[0], title=name, boards=(name,)), dialect_of(dialect))
    titled = program_file(PROGRAMS[0], dialect_of(dialect), replace(JOB, title=name))
    for other in (text, titled.text):
        reading = read(other)
        assert code_words(reading.lines) == code_words(plain.lines)
        assert all(re.match(r"[a-z0-9 ]+: |\.\.\. ", remark) or ":" not in remark for remark in reading.comments)


def code_words(lines: list[dict[str, list[float]]]) -> list[dict[str, list[float]]]:
    bare = ({letter: values for letter, values in words.items() if letter != "N"} for words in lines)
    return [words for words in bare if words]


def test_a_line_number_is_the_place_of_its_line() -> None:
    for i, line in enumerate(one(PROGRAMS[0], dialect_of("numbered")).splitlines(), 1):
        assert line.startswith(f"N{i} ")


def test_line_numbers_begin_anew_before_they_have_six_digits() -> None:
    """NISTIR 6556 section 3.3.1: at most five digits, and they may repeat."""
    zigzag = [Line((float(i % 2), 0.0, 0.0), 1000.0) for i in range(100_100)]
    lines = one(program_of(*zigzag), dialect_of("numbered")).splitlines()
    assert lines[99_998].startswith("N99999 ")
    assert lines[99_999].startswith("N1 ")


def test_a_cutter_is_changed_before_anything_moves_with_the_spindle_stopped() -> None:
    lines = code_of(one(TAILS))
    change = lines.index("T1 M6")
    assert lines[change - 1 : change + 5] == ["M5", "T1 M6", "M0", "G21 G17 G90 G94 G54", "G0 Z60.0", "S18000 M3"]


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("mm", ["T1 M6", "M0 (set Z zero of G54 with cutter 1, then go on)", "G21 G17 G90 G94 G54 (zero: left stop)"]),
        ("hand-change", ["T1", "M0 (fit cutter 1, set Z zero of G54 with cutter 1, then go on)", "G21 G17 G90 G94 G54 (zero: left stop)"]),
        ("changer", ["T1 M6", "G43 H1 (length of cutter 1)", "G53 G0 Z0.0 (rise to the top of travel)"]),
    ],
)
def test_the_length_of_a_new_cutter_is_made_known_before_it_moves(name: str, told: list[str]) -> None:
    """NISTIR 6556, 3.5.11 for G43 and H, 3.6.1 for M0, and common practice."""
    lines = one(TAILS, dialect_of(name)).splitlines()
    change = next(i for i, line in enumerate(lines) if re.match("T1( |$)", line))
    assert lines[change : change + 3] == told
    assert ("G49 (off: length offset)" in lines[change:]) == (name == "changer")
    dry = one(next(program for program in DRY if program.stem == dry_stem(TAILS.stem, "dry")), dialect_of(name)).splitlines()
    assert sum(line.startswith("G43 H1") for line in dry) == (name == "changer"), "its heights are measured with that length too"


@pytest.mark.parametrize(("name", "rise"), [("mm", "G0 Z60.0"), ("inch", "G0 Z2.3622"), ("changer", "G53 G0 Z0.0")])
def test_a_program_rises_goes_over_and_comes_down_and_rises_before_it_ends(name: str, rise: str) -> None:
    """Common practice: up, over, down. 60 mm is the specimen machine's retract height, 2.3622 in."""
    for program in (*PROGRAMS, *DRY):
        lines = code_of(one(program, dialect_of(name)))
        motions = [line for line in lines if re.match(r"(G53 )?G[0-3] ", line)]
        assert motions[0] == rise
        assert re.fullmatch(r"G0 X-?[0-9.]+ Y-?[0-9.]+", motions[1])
        assert re.fullmatch(r"G0 Z[0-9.]+", motions[2])
        parked = ["G53 G0 X0.0 Y0.0"] if name == "changer" else []
        ended = [line for line in lines if line != "G49"][-3 - len(parked) :]
        assert ended == [rise, "M5", *parked, "M30"]


def test_a_program_whose_zero_is_shared_asks_for_it_before_it_moves() -> None:
    for program in (*PROGRAMS, *DRY):
        lines = one(replace(program, setup=replace(program.setup, zero_shared=True))).splitlines()
        asked = lines.index(f"M0 (set X, Y and Z zero of {program.setup.work_offset} for this setup, then go on)")
        assert asked < next(i for i, line in enumerate(lines) if line.startswith("G0 "))
        assert run("\n".join(lines), "p.ngc").zero_asked
        assert not run(one(program), "p.ngc").zero_asked


def test_a_retract_below_what_stands_on_the_machine_is_refused() -> None:
    """Clearance, 10 mm, over a clamp that stands 51 mm above the work is more than the retract height, 60 mm."""
    tall = replace(PROGRAMS[0].setup, zones=(Zone("clamp", (0, 0, 0), (9, 9, 51)),))
    with pytest.raises(PacketFault, match="not clear of all that stands on the machine"):
        one(replace(PROGRAMS[0], setup=tall))


def test_a_cutter_that_no_program_may_change_is_asked_for_at_the_head() -> None:
    text = one(TAILS, dialect_of("cutter-files"))
    assert "(before the start: cutter 1 in the spindle" in text
    assert "M6" not in text


def test_dry_runs_bear_the_names_of_their_programs() -> None:
    for name in NAMES:
        cuts = {program_file(program, dialect_of(name), JOB).name for program in PROGRAMS}
        dry = {program_file(program, dialect_of(name), JOB).name for program in DRY if program.kind == "dry run"}
        assert {file.replace("/dry/", "/").replace("-dry-", "-") for file in dry} == cuts


def test_two_cuts_with_one_cutter_need_no_change_between_them() -> None:
    cut = PROGRAMS[0].cuts[0]
    text = one(replace(PROGRAMS[0], cuts=(cut, cut)))
    assert len(re.findall("^T", text, re.MULTILINE)) == 1
    assert text.count(" M3") == 1


def test_capabilities_of_a_dialect_show_in_the_text() -> None:
    program = TAILS
    assert "G61" in one(program)
    assert "G61" not in one(program, MM.model_copy(update={"path": "unsaid"}))
    assert "G64 P0.006 " in one(program, MM.model_copy(update={"path": "blend"})), "of a clearance of 0.08 mm"
    assert "G64 P0.00023 " in one(program, MM.model_copy(update={"path": "blend", "units": "inch", "decimals": 5})), "rounded down"
    assert "G61" in one(program, MM.model_copy(update={"path": "blend", "arc_tolerance_mm": 0.0201})), "more than a quarter of it"
    assert "G4 P3.0" in one(program)
    assert "G4 P3000 (milliseconds to full speed)" in one(program, MM.model_copy(update={"dwell_unit": "ms"}))
    assert "G4 P" not in one(program, MM.model_copy(update={"spindle_wait": "none"}))
    stopping = one(program, MM.model_copy(update={"spindle_wait": "stop"}))
    assert (
        "M3 (spindle on)\nM0 (wait until the spindle runs at full speed, then go on)\nG21 G17 G90 G94 G54 (zero: left stop)\nG0 Z60.0 (rise"
        in stopping
    )
    assert {motion.code for motion in read(one(program, dialect_of("short-lines"))).motions} == {0, 1}
    assert "(arcs: short lines, within 0.006 mm)" in one(program, dialect_of("short-lines"))
    assert {motion.code for motion in read(one(TAILS)).motions} >= {0, 1}
    assert program_file(program, MM.model_copy(update={"ending": "tap"}), JOB).name.endswith(".tap")


def test_some_program_has_real_arcs() -> None:
    assert any(motion.code == 3 for program in PROGRAMS for motion in read(one(program)).motions)


def test_an_arc_bears_both_axes_and_both_offsets_also_where_one_does_not_change() -> None:
    arc = Arc((0.0, 6.0, 10.0), (0.0, 3.0), True, 500.0)
    assert "G2 X0.0 Y6.0 I0.0 J3.0 F500.0" in code_of(one(program_of(arc)))


def test_the_feed_is_said_after_each_rapid_and_where_it_changes() -> None:
    moves = [Line((1, 0, 10), 500), Line((2, 0, 10), 500), Line((3, 0, 10), 600), Rapid((4, 0, 10)), Line((5, 0, 10), 600)]
    lines = [line for line in code_of(one(program_of(*moves))) if line.startswith("G1 ")]
    assert lines == ["G1 X1.0 F500.0", "G1 X2.0", "G1 X3.0 F600.0", "G1 X5.0 F600.0"]


def test_a_feed_in_inches_is_rounded_down_so_that_no_limit_is_passed() -> None:
    (feed,) = re.findall(r"F([0-9.]+)", one(program_of(Line((1, 0, 0), 1000.0)), dialect_of("inch")))
    assert feed == "39.37"
    assert float(feed) * 25.4 <= 1000


def cut_of(*moves: Move) -> Cut:
    return Cut(STRAIGHT, "trial", moves)


UP = Rapid((0, 0, CLEAR))
DOWN = Line((0, 0, -1), 100)


@pytest.mark.parametrize(
    ("program", "told"),
    [
        (replace(PROGRAMS[0], stem="../x"), "no plain file name"),
        (replace(PROGRAMS[0], stem="X"), "no plain file name"),
        (replace(PROGRAMS[0], stem="a" * 81), "no plain file name"),
        (replace(PROGRAMS[0], cuts=()), "there are none"),
        (replace(PROGRAMS[0], cuts=(*PROGRAMS[0].cuts, *TAILS.cuts)), "are made by several cutters"),
        (replace(PROGRAMS[0], cuts=(cut_of(DOWN, UP, UP),)), "does not begin with a rise"),
        (replace(PROGRAMS[0], cuts=(cut_of(UP, DOWN, UP),)), "does not begin with a rise"),
        (replace(PROGRAMS[0], cuts=(cut_of(UP, UP, DOWN),)), "clearance height"),
        (replace(PROGRAMS[0], cuts=(cut_of(Rapid((0, 0, 9)), Rapid((0, 0, 9)), UP),)), "clearance height"),
        (replace(PROGRAMS[0], cuts=(cut_of(UP, Rapid((0, 0, 20)), UP),)), "clearance height"),
        (program_of(DOWN, cutter=replace(STRAIGHT, number=0)), "must be 1 or more"),
        (program_of(DOWN, cutter=replace(STRAIGHT, speed_rpm=25000, max_speed_rpm=30000)), "spindle speed is out of range"),
        (program_of(DOWN, cutter=replace(BLADE, speed_rpm=20000, max_speed_rpm=18000)), "spindle speed is out of range"),
        (program_of(DOWN, cutter=replace(STRAIGHT, speed_rpm=0)), "spindle speed is out of range"),
        (program_of(Line((1, 0, 0), 0.0)), "must be above 0"),
        (program_of(Line((1, 0, 0), -5.0)), "must be above 0"),
        (program_of(Line((1, 0, 0), math.nan)), "must be above 0"),
        (program_of(Line((math.nan, 0, 0), 100)), "no place on a machine"),
        (program_of(Arc((1, 1, 0), (0, 0), True, 100.0)), "do not lie on one circle"),
    ],
)
def test_a_doubtful_program_is_refused_with_its_name(program: Program, told: str) -> None:
    with pytest.raises(PacketFault, match=told) as caught:
        program_file(program, MM, JOB)
    assert all(fault.where.startswith("program ") for fault in caught.value.faults)
