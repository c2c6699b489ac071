"""Programs as RS-274/NGC text. Source of every rule: NISTIR 6556, section beside it.

Choices, and why:

- every motion line bears its G word, so that a line read alone, or a program taken up again by hand, can not run in another mode;
- an axis word is left out where the axis does not move, so that a lift looks like a lift; an arc bears all four of X Y I J;
- the feed is said again on the first feed move after each rapid, and where it changes;
- one modal matter a line at the start, each with its meaning beside it; one M group a line throughout;
- after a stop, at which whoever sets a zero by hand may select another offset, units or distances, one line states them again;
- from a place that is not known, at the start and after a stop, and to the end, it rises to the safe height before anything else: the
  machine's retract height over Z0, or in machine coordinates (G53) the top of travel where the dialect says that the machine homes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from camtools import __version__
from camtools.faults import Fault, PacketFault
from camtools.job.job import Cutter, Job
from camtools.output.cautions import short_cautions
from camtools.output.comments import COMMENT_LENGTH, comment, plain
from camtools.output.dialects import Dialect
from camtools.output.rounding import Grid, RoundedMove, steps_of
from camtools.toolpath.handling.loadings import level_mm, over_mm
from camtools.toolpath.moves import Cut, Line, Move, Pause, Program, Rapid
from camtools.toolpath.timing import program_seconds
from camtools.toolpath.workholding import CLAMPING, END_GROOVE
from camtools.wording import MM_PER_INCH, Units, fine, mm, quantity, sizes, told_in

__all__ = ["FOLDER", "ROUNDS", "ProgramFile", "program_file", "round_text"]

_TOLD = {"mm": Units.MM, "in": Units.PROGRAM_INCH, "inch": Units.PROGRAM_INCH}  # by the units of job and dialect
FOLDER = "programs"
ROUNDS = "rounds"  # the folder of texts that run several programs
_BLEND_SHARE = 0.25  # of a flank's clearance
_ZERO = re.compile(r"G5[4-9] ")
_STEM = re.compile(r"[a-z0-9](?:-?[a-z0-9]+)*")
_LAST_LINE_NUMBER = 99_999  # N 3.3.1
_MISS_MM = 0.01  # by how far a controller without exact path is taken to miss a corner
_MOST_PLACED = 2  # programs of which a text tells all of how their boards are placed
_NAME_LENGTH = 60  # of a name from the job file, in a comment


@dataclass(frozen=True, slots=True)
class ProgramFile:
    """A program as a file."""

    name: str  # relative to the packet
    text: str
    program: Program
    seconds: float


def program_file(program: Program, dialect: Dialect, job: Job) -> ProgramFile:
    """Write a program.

    Its comments tell lengths in the units of the job, and in its own too where these are others.

    Raises
    ------
    PacketFault
        Where the program can not be written so that a controller would do just what it means.
    """
    program = _without_pauses(program, dialect)
    try:
        with told_in(_TOLD[job.units], _TOLD[dialect.units]):
            _refuse_doubtful(program, job)
            text = _text([[program]], dialect, job)
    except PacketFault as error:
        raise PacketFault(*(replace(fault, where=f"program {program.stem}: {fault.where}") for fault in error.faults)) from None
    seconds = program.seconds
    miss_mm = _miss_mm(dialect, job)
    if miss_mm or not dialect.arcs or not dialect.dwell:
        written = program.cuts if dialect.arcs else [_chorded(cut, dialect) for cut in program.cuts]
        seconds = program_seconds(written, job.machine, dry=program.kind != "cut", miss_mm=miss_mm)
    folder = FOLDER if program.kind == "cut" else f"{FOLDER}/dry"
    return ProgramFile(f"{folder}/{program.stem}.{dialect.ending}", text, program, seconds)


def round_text(setups: Sequence[Sequence[Program]], dialect: Dialect, job: Job) -> str:
    """Write a text that runs programs of one cutter one after the other, on boards that stand on the machine at once.

    What each does is, motion for motion, what its own file does; the spindle starts once a setup, and the cutter rises between boards,
    higher over a thin one than its own file does where the other is thicker. It stops for the boards to be changed between setups.

    Raises
    ------
    PacketFault
        Where a line would be too long.
    """
    with told_in(_TOLD[job.units], _TOLD[dialect.units]):
        return _text([[_without_pauses(program, dialect) for program in own] for own in setups], dialect, job)


def _without_pauses(program: Program, dialect: Dialect) -> Program:
    """Return a program as a controller that knows no dwell can run it."""
    if dialect.dwell:
        return program
    on = [[move for move in cut.moves if not isinstance(move, Pause)] for cut in program.cuts]
    return replace(program, cuts=tuple(replace(cut, moves=tuple(moves)) for cut, moves in zip(program.cuts, on, strict=True)))


def _text(setups: Sequence[Sequence[Program]], dialect: Dialect, job: Job) -> str:
    first, by_hand = setups[0][0], dialect.spindle == "hand"
    lines = [*_heading(setups, dialect, job), *_start(first, dialect, job)]
    lines += [] if by_hand else ["M5 (spindle off)"]
    lines += _still_to_zero(setups, dialect)
    for place, programs in enumerate(setups):
        if place:
            lines += _changed_boards(setups[place - 1], programs, dialect)
        lines += _set_up(programs, dialect, job, fitted=place > 0)
    off = ["G49 (off: length offset)"] if dialect.lengths == "table" else []
    still = ["M5 (spindle off)"]
    if by_hand:  # after the stop nothing is known of where the cutter stands
        still = _still(dialect) if first.kind == "cut" else []
        still += [_rise(first, [first], dialect, job)] if still and dialect.park_mm else []
    lines += [*still, *off, *_parking(dialect)]
    written = [*dialect.header, *(own for line in _stated_again(lines, dialect) for own in _in_dialect(line, dialect)), *dialect.footer]
    written += _in_dialect("M30 (end)", dialect)
    if dialect.line_numbers:
        # The number of a line is its place in the file, so that both ways of counting lead to the same line.
        written = [f"N{(i - 1) % _LAST_LINE_NUMBER + 1} {line}" for i, line in enumerate(written, 1)]
    longest = max(written, key=len)
    if len(longest) > dialect.line_length:
        found, limit = f"{len(longest)} characters: {longest}", f"{dialect.line_length}, line_length of the dialect"
        raise PacketFault(Fault("text", "a line is too long", found, limit, "take a dialect with longer lines, or with fewer decimals"))
    return "\n".join(written) + "\n"


def _stated_again(lines: Sequence[str], dialect: Dialect) -> Iterator[str]:
    """Yield lines, and after every stop, before the next G word, what a person may have changed at it. Stop: N 3.6.1; modes: N 3.4."""
    zero, stopped = "", False
    for line in lines:
        is_zero = _ZERO.match(line) is not None
        zero = line if is_zero else zero
        if stopped and line.startswith("G"):
            yield f"{' '.join(_modes(dialect))} {zero}"
            stopped = False
            if is_zero:
                continue
        stopped = stopped or line.startswith("M0 ")
        yield line


def _still_to_zero(setups: Sequence[Sequence[Program]], dialect: Dialect) -> Iterator[str]:
    """Yield the stop for a zero that is shared."""
    programs = list({program.setup.stop: program for own in setups for program in own}.values())
    if any(program.setup.zero_shared for program in programs):
        slid_mm = programs[0].setup.setting.slid_mm
        place = f", X zero {mm(slid_mm)} from the stop" if slid_mm else ""
        yield _stop(dialect, f"set X, Y and Z zero of {_offsets(programs)}", f" for this setup{place}, then go on")


def _offsets(programs: Sequence[Program]) -> str:
    return " and ".join(dict.fromkeys(program.setup.work_offset for program in programs))


def _still(dialect: Dialect) -> list[str]:
    """Stop the spindle."""
    return (
        [_stop(dialect, "switch the spindle off", ", wait until it stands, then go on")]
        if dialect.spindle == "hand"
        else ["M5 (spindle off)"]
    )


def _changed_boards(before: Sequence[Program], programs: Sequence[Program], dialect: Dialect) -> Iterator[str]:
    """Yield the stop at which the boards of one setup make room for those of the next, at the safe height."""
    stood = {program.setup.stop: program for program in before}
    other = [p for p in programs if not _same_height(p, stood.get(p.setup.stop))]
    fresh = [
        p.setup.stop
        for p in programs
        if p.setup.hold == "upright" and (p.setup.stop not in stood or stood[p.setup.stop].backing != p.backing)
    ]
    yield from _still(dialect)
    told = "; ".join(f"{program.title}, {program.setup.stop} stop" for program in programs)
    yield from comment("next boards", told, _comment_length(dialect))
    if fresh:
        yield from comment("backing", f"renew or shift it at the {' and '.join(fresh)} stop", _comment_length(dialect))
    for stop, program in stood.items():
        setting = program.setup.setting
        if setting.number < setting.total:
            held = f"before the last board of this setting is unclamped, set the {setting.stop_words(stop, 1)} from it"
            yield from comment("stop", held, _comment_length(dialect))
    zero = f", set Z zero of {_offsets(other)}" if other and dialect.probed is None else ""
    if _ends_lie_flat(programs):
        yield from comment("ends", "bring each to Y 0 by the end block, and take the block off", _comment_length(dialect))
    first = "wait until the cutter stands still, and keep hands clear of its edges, which hang over the boards"
    yield from comment("first", first, _comment_length(dialect))
    yield _stop(dialect, f"change boards{zero}", " once the cutter stands still, then go on")
    yield from _probing(other, dialect)


def _ends_lie_flat(programs: Sequence[Program]) -> bool:
    return any(program.setup.hold == "flat" and program.setup.end != END_GROOVE for program in programs)


def _same_height(program: Program, before: Program | None) -> bool:
    """Tell whether a board's zero in Z is that of the one before it at its stop."""
    if program.setup.hold == "upright":
        return program.setup.levelled and before is not None
    return before is not None and before.setup.piece.size_mm[2] == program.setup.piece.size_mm[2]


def _set_up(programs: Sequence[Program], dialect: Dialect, job: Job, *, fitted: bool) -> Iterator[str]:
    """Yield the lines of a setup, from where the spindle is to start to the safe height over its last board."""
    first = programs[0]
    for program in programs:
        setup = program.setup
        rise = _rise(program, programs, dialect, job)
        if program is not first:
            yield from comment("next board", f"{program.title}, {setup.stop} stop", _comment_length(dialect))
        if program is not first or fitted:
            yield _zero(program)
        for i, cut in enumerate(program.cuts, 1):
            yield from comment(f"cut {i} of {len(program.cuts)}", f"cutter {cut.cutter.number}, {cut.purpose}", _comment_length(dialect))
            height = _height(cut.moves[0].end[2], dialect)
            if i > 1:
                yield from (f"{height} (rise to clearance)", _over(cut, dialect))
            else:
                if program is first and not fitted:
                    yield from _fitting(programs, dialect)
                yield rise
                if program is first and program.kind == "cut":
                    yield from _run_up(cut.cutter, rise, dialect, job)
                yield from (_over(cut, dialect), f"{height} (down to clearance)")
            yield from _motion(cut, dialect)
        yield rise


def _room(dialect: Dialect) -> int:
    """Return how many characters a line has beside its number."""
    return dialect.line_length - (len(f"N{_LAST_LINE_NUMBER} ") if dialect.line_numbers else 0)


def _comment_length(dialect: Dialect) -> int:
    return min(COMMENT_LENGTH, _room(dialect))


def _in_dialect(line: str, dialect: Dialect) -> Iterator[str]:
    """Yield a line with its comment as the dialect has it: one beside a code is left out where there is no room; a stop never loses its."""
    code, opened, rest = line.partition("(")
    said = rest.removesuffix(")") if opened and dialect.comments != "none" else ""
    remark = said and (f"({said})" if dialect.comments == "parentheses" else f"; {said}")
    if code and remark and not code.startswith("M0 ") and len(code) + len(remark) > _room(dialect):
        remark = ""
    if written := f"{code}{remark}".rstrip():
        yield written


def _stop(dialect: Dialect, words: str, more: str) -> str:
    """Write a stop and what it asks for, with more where there is room on its line."""
    line = f"M0 ({words}{more})"
    return line if len(line) <= _room(dialect) else f"M0 ({words})"


def _refuse_doubtful(program: Program, job: Job) -> None:
    """Refuse what no text could make safe: see the contract of `Program` and `Cut`."""
    faults = []
    machine, highest = job.machine, max((zone.high[2] for zone in program.setup.zones), default=0.0)
    if machine.retract_mm < highest + machine.clearance_mm - 1e-6:
        problem, limit = "is not clear of all that stands on the machine", f"{mm(highest + machine.clearance_mm)}, clearance over it"
        faults.append(Fault("machine.retract", problem, mm(machine.retract_mm), limit, "write a greater retract"))
    if not _STEM.fullmatch(program.stem) or len(program.stem) > 80:
        faults.append(Fault("stem", "is no plain file name", repr(program.stem), "lower-case letters, digits and hyphens, at most 80"))
    if not program.cuts:
        faults.append(Fault("cuts", "there are none"))
    if len({cut.cutter for cut in program.cuts}) > 1:
        faults.append(Fault("cuts", "are made by several cutters", remedy="make a program for each cutter"))
    for i, cut in enumerate(program.cuts, 1):
        where, cutter, moves = f"cut {i}", cut.cutter, cut.moves
        if len(moves) < 3 or not (isinstance(moves[0], Rapid) and isinstance(moves[1], Rapid)):
            faults.append(Fault(where, "does not begin with a rise to clearance and a traverse"))
        else:
            clearance = job.machine.clearance_mm
            heights = (moves[0].end[2], moves[1].end[2], moves[-1].end[2])
            if min(heights) < clearance - 1e-6 or heights[0] != heights[1]:
                faults.append(Fault(where, "does not rise, traverse and end at clearance height", f"Z {heights}", f"Z {clearance:g}"))
        if cutter.number < 1:
            faults.append(Fault(where, "a cutter's number must be 1 or more: T0 empties the spindle", f"{cutter.number}"))
        top = min(cutter.max_speed_rpm, job.machine.max_speed_rpm)
        if not 0 < math.floor(cutter.speed_rpm + 1e-6) <= top:
            faults.append(Fault(where, "the spindle speed is out of range", f"{cutter.speed_rpm:g} rpm", f"above 0, at most {top:g} rpm"))
    if faults:
        raise PacketFault(*faults)


def _heading(setups: Sequence[Sequence[Program]], dialect: Dialect, job: Job) -> list[str]:
    programs = list(dict.fromkeys(program for own in setups for program in own))

    def said(label: str, text: str) -> list[str]:
        return comment(label, text, _comment_length(dialect))

    lines = [
        *said("program", _titles(programs)),
        *said("piece", plain(job.title, _NAME_LENGTH)),
        *said("written by", f"camtools {__version__}"),
    ]
    for label, text in chain.from_iterable(map(_placing, programs)) if len(programs) <= _MOST_PLACED else _placed_in_round(programs):
        lines += said(label, text)
    program = programs[0]
    if program.setup.hold == "upright" and dialect.safe_height == "retract" and any(len(own) > 1 for own in setups):
        within = mm(level_mm(job.machine.clearance_mm, job.machine.retract_mm))
        lines += said("height", f"both ends at one height within {within}: the cutter goes from one to the other at the safe height")
    cutter = program.cutter
    lines += said(f"cutter {cutter.number}", _shape(cutter))
    if program.kind == "cut" and program.safe is not None:
        lines += said("feed", program.safe.told)
    if program.kind != "cut":
        lines += said("spindle", f"off throughout; cutter {cutter.number} is fitted, Z0 set with it, and none is changed")
    elif dialect.lengths == "one-cutter":
        fitted = f"cutter {cutter.number} in the spindle and Z0 set with it; this file changes no cutter"
        lines += said("before the start", fitted)
    elif dialect.probed is not None:
        lines += said(
            "lengths", f"it sets Z zero by a touch plate {mm(dialect.probed[0])} thick: it stops for it to be laid and taken away"
        )
    elif dialect.lengths == "touch-off":
        lines += said("lengths", "it stops before the cutter moves, for Z zero to be set with it")
    if dialect.lengths == "table":
        lines += said("lengths", f"from the machine's table, where H{cutter.number} must be right before the start")
    if program.kind == "cut" and dialect.spindle == "hand":
        lines += said("spindle", "switched by hand: off until it stops and asks for it, and off again where it asks for that")
    lines += said("safe height", _safe_height_words(setups, dialect, job))
    if not dialect.arcs:
        lines += said("arcs", f"short lines, within {fine(dialect.arc_tolerance_mm)}")
    for caution in short_cautions(program):
        lines += said("caution", caution)
    return lines


def _titles(programs: Sequence[Program]) -> str:
    if len(programs) <= _MOST_PLACED:
        return ", then ".join(program.title for program in programs)
    return f"a round of {programs[0].setup.hold} work, boards placed as in the program of each, it stops for them to be changed"


def _placing(program: Program) -> Iterator[tuple[str, str]]:
    """Yield which board a program is for, and how it is held, each with its label."""
    setup = program.setup
    owners = [*program.owners[:6], *([f"and {len(program.owners) - 6} more"] if len(program.owners) > 6 else [])]
    length_mm, width_mm, thick_mm = setup.piece.size_mm
    stack = f"{program.stacked} stacked, each " if program.stacked > 1 else ""
    yield "board", f"{setup.piece.role}, {stack}{sizes(length_mm, width_mm, thick_mm / program.stacked)}, for {', '.join(owners)}"
    yield "hold", setup.held
    yield "stop", f"{setup.setting.stop_words(setup.stop)}, work offset {setup.work_offset}"
    for sentence in setup.words:
        yield "place", str(sentence)


def _placed_in_round(programs: Sequence[Program]) -> Iterator[tuple[str, str]]:
    """Yield of each of many programs which board it is for, its face, and what is said of its clamps; what all have in common once."""
    told = [[str(words) for words in program.setup.words if str(words).startswith(CLAMPING)] for program in programs]
    common = [sentence for sentence in told[0] if all(sentence in own for own in told)]
    for program, own in zip(programs, told, strict=True):
        placed = f"{program.title}, {program.setup.stop} stop, {program.setup.faced}."
        yield "board", " ".join([placed, *(sentence for sentence in own if sentence not in common)])
    for sentence in common:
        yield "place", sentence


def _shape(cutter: Cutter) -> str:
    def told(diameter_mm: float, angle_deg: float) -> str:
        return mm(diameter_mm) + (f", {angle_deg:.4g} deg" if cutter.kind == "dovetail" else "")

    measured = f", measured as {told(cutter.diameter_mm, cutter.angle_deg)}" if cutter.marked else ""
    return (
        f"{cutter.kind}, {told(*cutter.mark)}{measured}, {mm(cutter.cutting_length_mm)} long, "
        f"at {cutter.speed_rpm:g} rpm, at most {cutter.most_told}"
    )


def _start(program: Program, dialect: Dialect, job: Job) -> list[str]:
    """State every mode the program relies on (N 3.4): a controller may stand in any other."""
    lines = [
        *(f"{code} ({meaning})" for code, meaning in _modes(dialect).items()),
        "G40 (off: radius compensation)",
        "G49 (off: length offset)",
        "G80 (off: cycles)",
        _zero(program),
    ]
    return [*lines, *_path(dialect, job)]


def _modes(dialect: Dialect) -> dict[str, str]:
    """Return the modes that moves are read by, each with its meaning."""
    code, unit = ("G21", "millimetres") if dialect.units == "mm" else ("G20", "inches")
    return {code: f"units: {unit}", "G17": "plane: X Y", "G90": "distance: absolute", "G94": f"feed: {unit} a minute"}


def _zero(program: Program) -> str:
    return f"{program.setup.work_offset} (zero: {program.setup.stop} stop)"


def _miss_mm(dialect: Dialect, job: Job) -> float:
    """Return by how much the controller may miss a corner: if blended, only by a small part of the joints' clearance."""
    if dialect.path == "unsaid":
        return _MISS_MM
    loosest_mm = min((min(drawer.joint.clearances_mm) for drawer in job.drawers), default=0.0) * _BLEND_SHARE
    return dialect.arc_tolerance_mm if dialect.path == "blend" and dialect.arc_tolerance_mm <= loosest_mm else 0.0


def _path(dialect: Dialect, job: Job) -> list[str]:
    """Say how near the controller keeps to corners. N 3.5.14."""
    if dialect.path == "unsaid":
        return []
    grid, miss_mm = Grid(dialect.units, dialect.decimals), _miss_mm(dialect, job)
    if not miss_mm:
        return ["G61 (path: exact)"]
    return [f"G64 P{grid.text(math.floor(miss_mm / grid.step_mm + 1e-6))} (path: continuous, within P of it)"]


def _retract_mm(program: Program, programs: Sequence[Program], job: Job) -> float:
    """Height above the work at which a program starts and ends beside those of its setup; a dry run may be raised above the machine's."""
    return max(job.machine.retract_mm + over_mm(program, programs), *(cut.moves[0].end[2] for cut in program.cuts))


def _safe_height_words(setups: Sequence[Sequence[Program]], dialect: Dialect, job: Job) -> str:
    if dialect.safe_height == "machine":
        park = f", then it parks at X {mm(dialect.park_mm[0])}, Y {mm(dialect.park_mm[1])} of the machine" if dialect.park_mm else ""
        return f"home the machine first. The program starts and ends at the top of travel, Z0 in machine coordinates{park}"
    heights = [(_retract_mm(program, own, job), over_mm(program, own)) for own in setups for program in own]
    over = max(more for _, more in heights)
    thinner = f", and so up to {mm(max(height for height, _ in heights))} above that of a thinner one beside it" if over else ""
    lowest_mm = max(height - more for height, more in heights)
    height = f"{mm(lowest_mm)} above Z0{' of the thickest board' if over else ''}{thinner}, above all that stands on the machine"
    start = "The first move goes straight there, up or down: start with X and Y clear of all that is higher"
    return f"{height}. {start}. The program ends there."


def _rise(program: Program, programs: Sequence[Program], dialect: Dialect, job: Job) -> str:
    """Write the move from anywhere straight up to the safe height, higher where another board is thicker. Machine coordinates: N 3.5.12."""
    if dialect.safe_height == "machine":
        return "G53 G0 Z0.0 (rise to the top of travel)"
    return f"{_height(_retract_mm(program, programs, job), dialect)} (rise to the safe height)"


def _height(height_mm: float, dialect: Dialect) -> str:
    grid = Grid(dialect.units, dialect.decimals)
    return f"G0 Z{grid.text(grid.steps(height_mm))}"


def _over(cut: Cut, dialect: Dialect) -> str:
    """Write the traverse to where a cut begins. It says X and Y in any case: until then they are unknown."""
    grid = Grid(dialect.units, dialect.decimals)
    x, y, _ = grid.place(cut.moves[1].end)
    return f"G0 X{grid.text(x)} Y{grid.text(y)}"


def _parking(dialect: Dialect) -> list[str]:
    if dialect.park_mm is None:
        return []
    grid = Grid(dialect.units, dialect.decimals)
    x, y = map(grid.steps, dialect.park_mm)
    return [f"G53 G0 X{grid.text(x)} Y{grid.text(y)} (park)"]


def _fitting(programs: Sequence[Program], dialect: Dialect) -> Iterator[str]:
    """Put the cutter in and make its length known, before anything moves. Stop: N 3.6.1; M6: N 3.6.3; length: N 3.5.11."""
    program = programs[0]
    number = program.cutter.number
    if program.kind == "cut" and dialect.lengths != "one-cutter":
        yield f"T{number} M6" if dialect.m6 else f"T{number}"
    if dialect.lengths == "table":
        yield f"G43 H{number} (length of cutter {number})"
    elif program.kind == "cut" and dialect.probed is not None:
        if not dialect.m6:
            yield _stop(dialect, f"fit cutter {number}", ", then go on")
        yield from _probing(programs, dialect)
    elif program.kind == "cut" and dialect.lengths == "touch-off":
        fit = "" if dialect.m6 else f"fit cutter {number}, "
        once = ", unless it is set" if program.setup.levelled else ""
        yield _stop(dialect, f"{fit}set Z zero of {_offsets(programs)}", f" with cutter {number}{once}, then go on")


_OFF_PLATE_MM = 5.0


def _probing(programs: Sequence[Program], dialect: Dialect) -> Iterator[str]:
    """Set Z zero of boards by a touch plate: straight down on to it at most so far, then off it, the spindle still.

    G38.2: N 3.5.9. It goes by G91, for where the machine stands is not known. G10 L20, which makes the place where it stands the
    thickness of the plate, is no part of N (which has L2, 3.5.5): it is written only where the dialect says so.
    """
    if dialect.probed is None:
        return
    grid = Grid(dialect.units, dialect.decimals)
    plate, reach, off = (grid.text(grid.steps(length)) for length in (*dialect.probed[:2], _OFF_PLATE_MM))
    feed, far = Grid(dialect.units, 1 if dialect.units == "mm" else 3), mm(dialect.probed[1])
    for program in programs:
        setup = program.setup
        on = setup.end if setup.hold == "upright" else "upper face"
        yield _zero(program)
        yield _stop(dialect, f"plate on {on} at the {setup.stop} stop, clip on cutter", f", its tip within {far} over it, then go on")
        yield "G91 (distance: from where it stands)"
        yield f"G38.2 Z-{reach} F{feed.text(feed.steps(dialect.probed[2]))} (probe: down on the plate)"
        yield f"G10 L20 P{int(setup.work_offset[1:]) - 53} Z{plate} (Z zero of {setup.work_offset}, under the plate)"
        yield f"G0 Z{off} (off the plate)"
        yield "G90 (distance: absolute)"
        yield _stop(dialect, "take plate and clip away", ", then go on")
    if len(programs) > 1:
        yield _zero(programs[0])


def _run_up(cutter: Cutter, rise: str, dialect: Dialect, job: Job) -> Iterator[str]:
    """Bring a cutter to its speed."""
    speed = math.floor(cutter.speed_rpm + 1e-6)
    if dialect.spindle == "hand":
        yield _stop(dialect, f"switch the spindle on at {speed} rpm", ", wait until it has its speed, then go on")
        yield rise
        return
    yield f"S{speed} M3 (spindle on)"
    if job.machine.spin_up_s > 0 and dialect.spindle_wait == "dwell":
        yield f"{_dwell(job.machine.spin_up_s, dialect)} ({'seconds' if dialect.dwell_unit == 's' else 'milliseconds'} to full speed)"
    elif dialect.spindle_wait == "stop":
        yield _stop(dialect, "wait until the spindle runs at full speed", ", then go on")
        yield rise


def _motion(cut: Cut, dialect: Dialect) -> Iterator[str]:
    """Write a cut's moves from where it begins."""
    grid, over = Grid(dialect.units, dialect.decimals), cut.moves[1].end
    at = grid.place(over)
    feed = ""
    for step in steps_of(cut.moves[2:], over, dialect):
        if step.code == 4:
            yield _dwell(step.pause_s, dialect)
            continue
        word = _feed(step, grid) if step.code else ""
        yield _line(step, at, grid) + (f" F{word}" if word and word != feed else "")
        feed, at = word, step.end


def _chorded(cut: Cut, dialect: Dialect) -> Cut:
    """Return a cut as it is written where arcs become short lines."""
    step_mm = Grid(dialect.units, dialect.decimals).step_mm
    moves: list[Move] = [*cut.moves[:2]]
    for step in steps_of(cut.moves[2:], cut.moves[1].end, dialect):
        x, y, z = (steps * step_mm for steps in step.end)
        rapid, pause = Rapid((x, y, z)), Pause((x, y, z), step.pause_s)
        moves.append(rapid if step.code == 0 else pause if step.code == 4 else Line((x, y, z), step.feed_mm_min))
    return replace(cut, moves=tuple(moves))


def _line(step: RoundedMove, at: Sequence[int], grid: Grid) -> str:
    places = zip("XYZ", step.end, at, strict=True)
    words = [f"{axis}{grid.text(end)}" for axis, end, start in places if end != start or (step.offset and axis != "Z")]
    if step.offset:
        words += [f"I{grid.text(step.offset[0])}", f"J{grid.text(step.offset[1])}"]
    return f"G{step.code} {' '.join(words)}"


def _dwell(seconds: float, dialect: Dialect) -> str:
    """Write a pause, rounded up to a tenth of a second. N 3.5.4 has seconds; some controllers take P in milliseconds (common practice)."""
    tenths = math.ceil(seconds * 10 - 1e-6)
    return f"G4 P{tenths / 10:.1f}" if dialect.dwell_unit == "s" else f"G4 P{tenths * 100}"


def _feed(step: RoundedMove, grid: Grid) -> str:
    """Return a feed, rounded down so that no limit is passed: to 0.1 mm or 0.001 in a minute."""
    unit, decimals = (1.0, 1) if grid.units == "mm" else (MM_PER_INCH, 3)
    tenths = math.floor(step.feed_mm_min / unit * 10**decimals + 1e-6) if math.isfinite(step.feed_mm_min) else 0
    if tenths <= 0:
        limit = quantity(0.1, "mm/min")
        remedy = "check the cutter's feed and plunge"
        raise PacketFault(Fault("a feed", "must be above 0", quantity(step.feed_mm_min, "mm/min"), limit, remedy))
    return Grid(grid.units, decimals).text(tenths)
