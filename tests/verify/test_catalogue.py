"""Each code of the catalogue is raised by the smallest thing that breaks its rule, and not by the same thing unbroken.

A case is called twice, sound and broken, and returns what was found. Cases come from the tables of the neighbouring
tests, and from ``CASES`` where none of these holds the code.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import pytest

from camtools.output.folder import renew
from camtools.output.manifest import ProgramEntry
from camtools.verify.catalogue import BREAKOUT_FINDINGS, FIT_FINDINGS, MOTION_FINDINGS, PACKET_FINDINGS, READER_FINDINGS
from camtools.verify.checking import check
from camtools.verify.contents import compared_contents
from camtools.verify.findings import Finding
from camtools.verify.reader.interpreter import MOST_LINES, run
from camtools.verify.rules import motion_rules
from camtools.verify.rules.workplace import Stated
from tests.sabotage.packets import FLAT_JOB, Packet, good_packet, good_trial
from tests.sabotage.test_flat_joints import further_into_pins
from tests.sabotage.test_probing import probed, thicker_plate
from tests.sabotage.test_stacks import STACKED_JOB, cut_too_deep, not_asked
from tests.sabotage.trial_ways import TRIAL_WAYS
from tests.sabotage.ways import BOTTOM_LEFT
from tests.verify.bench import FLAT, LIMITS, MANIFEST, READY_DOVETAIL, READY_STRAIGHT, STATED, UPRIGHT, judged
from tests.verify.loading import test_loading_rules, test_setting_rules
from tests.verify.reader import test_interpreter, test_words
from tests.verify.rules import test_dry_run, test_motion_rules
from tests.verify.small_packet import Small
from tests.verify.test_checking import DEPTHS
from tests.verify.test_lookups import DISAGREEMENTS, packet_of

CATALOGUE = {**READER_FINDINGS, **MOTION_FINDINGS, **PACKET_FINDINGS, **FIT_FINDINGS, **BREAKOUT_FINDINGS}
Case = Callable[[Path, bool], Iterable[Finding]]
GROOVE = "programs/left-groove.ngc"
REST_OF_GROOVE = "programs/left-groove-2.ngc"
FRONT_END = "programs/left-front.ngc"


def text(spoiled: str, sound: str = f"{STATED}\nT1 M6 G43 H1\nG0 Z10\nX1 Y1\nM30") -> Case:
    """A program for the reader, on a machine that stands nobody knows where."""
    return lambda _, broken: run(spoiled if broken else sound, "p.ngc", tools=[1]).findings


def code(spoiled: str) -> Case:
    """Lines for the reader, on a machine that stands at zero."""
    return lambda _, broken: test_interpreter.made(spoiled if broken else "G0 X1").findings


def motion(spoiled: str, program: ProgramEntry = UPRIGHT) -> Case:
    """A program for the rules of motion."""
    sound = READY_DOVETAIL + test_motion_rules.TAIL if program.hold == "upright" else READY_STRAIGHT + test_motion_rules.GROOVE
    return lambda _, broken: judged(spoiled if broken else sound, program)


def dry(spoiled: str) -> Case:
    """A dry run for the rules of motion."""
    program = FLAT.model_copy(update={"kind": "dry run"})
    return lambda _, broken: judged(f"{STATED}\nT2 M6 G43 H2\nG0 Z10\nX-20 Y-30\n{spoiled if broken else ''}\nX5", program)


def said(**spoiled: Any) -> Case:
    """A sound program for the rules of motion, in a packet that says too little of what surrounds it."""
    return lambda _, broken: judged(READY_STRAIGHT + test_motion_rules.GROOVE, FLAT, **(spoiled if broken else {}))


def borne(program: ProgramEntry = FLAT, **spoiled: float) -> Case:
    """A sound program in wood of another hardness, or with another spindle."""
    sound = READY_DOVETAIL + test_motion_rules.TAIL if program.hold == "upright" else READY_STRAIGHT + test_motion_rules.GROOVE
    bears = {"wood_n_mm2": 60.0, "power_w": 900.0}
    return lambda _, broken: judged(sound, program, stated=Stated(**(bears | (spoiled if broken else {})), edges={}))


def turned(spoiled: str) -> Case:
    """A sound program for the rules of motion, at another speed."""
    stated = Stated(60.0, math.nan, {})
    return lambda _, broken: judged(
        READY_DOVETAIL.replace("S16000", spoiled if broken else "S16000") + test_motion_rules.TAIL, stated=stated
    )


def entry(edit: Callable[[Any, Any], None]) -> Case:
    """An edit of the small packet's manifest and limits, looked up but not carved."""
    return lambda _, broken: packet_of(*[edit] * broken).findings


def small(**spoiled: Any) -> Case:
    """The small packet with other measures, checked as a whole."""
    return lambda folder, broken: check(Small(**(spoiled if broken else {})).write(folder / f"{broken}"), jobs=1).findings


def slid(spoil: Callable[[Packet], object]) -> Case:
    """An edit of the files of a small packet in which the left side is slid for the rest of its groove, checked as a whole."""

    def case(folder: Path, broken: bool) -> Iterable[Finding]:
        packet = Packet(Small(slid=40.0).write(folder / f"{broken}"), folder / f"{broken}-edited")
        if broken:
            spoil(packet)
        return check(packet.folder, jobs=1).findings

    return case


def parted(folder: Path, broken: bool) -> Iterable[Finding]:
    """The small packet with an end cut in two settings, of which the second cuts too near to the first, checked as a whole."""
    packet = Small(parted=test_setting_rules.PARTED_MM).write(folder / f"{broken}")
    return check(test_setting_rules.over_the_tail(packet, folder / "edited", 0.8) if broken else packet, jobs=1).findings


def files(spoil: Callable[[Packet], object]) -> Case:
    """An edit of the small packet's files, checked as a whole."""

    def case(folder: Path, broken: bool) -> Iterable[Finding]:
        packet = Packet(Small().write(folder / f"{broken}"), folder / f"{broken}-edited")
        if broken:
            spoil(packet)
        return check(packet.folder, jobs=1).findings

    return case


def cleared(x_mm: float, before: str) -> Case:
    """The small packet, where a straight cutter goes through the waste of an end too, before a line of the dovetail cutter's program."""

    def spoil(packet: Packet) -> None:
        lines = ["T2 M6 G43 H2", "G0 Z12", "S16000 M3", f"G0 X{x_mm} Y-18", "G1 Z-11 F900", "G1 Y1", "G0 Z12", "M5"]
        packet.insert(FRONT_END, packet.find(FRONT_END, before), *lines)
        packet.edit_json(lambda content: [entry.update(tools=[1, 2]) for entry in packet.entries(content, FRONT_END)])

    return files(spoil)


def joints(**spoiled: Any) -> Case:
    """The small packet with other limits of its joints."""
    return files(lambda packet: packet.edit_json(lambda content: content["joints"][0].update(spoiled), "limits.json"))


def planed(packet: Packet) -> None:
    """An opening that the drawer goes into once 0.05 mm of the 0.5 mm left for that are planed off each side."""
    packet.change("job.toml", "side = 0.5", "side = 0.45\nfinish = 0.5")
    packet.change("job.toml", "opening = .101.0", "opening = [99.9")
    packet.edit_json(lambda content: content["joints"][0].update(opening=[99.9, 41.0, 101.0]), "limits.json")


def measured(**left: float) -> Case:
    """The small packet with a sheet of boards, and its left side or front of another size, in the sheet and in the manifest."""

    def spoil(packet: Packet) -> None:
        packet.edit_json(lambda content: content["joints"][0].update(planned=[100.0, 100.0, 40.0]), "limits.json")
        job = packet.lines("job.toml")
        packet.write("job.toml", [*job, "[boards]", 'file = "measured.csv"'])
        sheet = {part: ["", "", ""] for part in ("front", "back", "left", "right", "bottom")}
        if "wide" in left:
            sheet["left"][1] = str(left["wide"])
            size, outside = [96.2, left.get("cut", left["wide"]), 10.0], [100.0, 100.0, max(40.0, left["wide"])]
            packet.edit_json(lambda content: [board.update(size=size) for board in content["boards"] if board["role"] == "left side"])
            packet.edit_json(lambda content: content["drawers"][0].update(outside=outside))
        if "long" in left:
            sheet["front"][0] = str(left["long"])
            packet.edit_json(lambda content: content["boards"][0].update(size=[left["long"], 40.0, 16.0]))
        packet.write(
            "boards.csv", ["board;length mm;width mm;thickness mm", *(";".join([f"d1-{part}", *row]) for part, row in sheet.items())]
        )

    return files(spoil)


def bottom(shift_mm: float) -> Case:
    """A packet whose programs cut the bottom's corners, those at its left end shifted along the board."""

    def case(folder: Path, broken: bool) -> Iterable[Finding]:
        (folder / f"{broken}").mkdir()
        packet = Packet(good_packet(folder / f"{broken}"), folder / f"{broken}-edited")
        if broken:
            packet.map_words(BOTTOM_LEFT, "Y", lambda y: y + shift_mm)
        return check(packet.folder, jobs=1).findings

    return case


def stale(folder: Path, name: str, broken: bool) -> Iterable[Finding]:
    """A file that was made from a program, and the program edited."""
    packet = Small().write(folder)
    (packet / name).parent.mkdir(exist_ok=True)
    renew(packet, {name: b""})
    if broken:
        (packet / GROOVE).write_text("")
    return compared_contents(packet)[0]


def endless(_: Path, broken: bool) -> Iterable[Finding]:
    """Arcs without end: the limit is lowered, so that some are enough."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(motion_rules, "_BATCH", 20)
        patch.setattr(motion_rules, "_MOST_PIECES", 1_000)
        return judged(READY_STRAIGHT + "X-20 Y-100\nG1 F900 Z9\n" + "G2 X-20 I10\n" * (60 if broken else 1))


TABLES: list[tuple[str, Case]] = [
    *[(name, code(line)) for _, line, name in test_interpreter.BAD],
    *[(name, code(line)) for line, name, _ in test_words.FAULTS],
    *[(name, text(f"{STATED.replace(word, '')}\nG0 Z5\nM30")) for word, name in test_interpreter.LEFT_OUT],
    *[(name, text(whole)) for whole, found, _ in test_interpreter.ENDS for name, _ in found],
    *[(name, text(f"{STATED}\n{lines}\nM30")) for lines, name in test_interpreter.UNKNOWN],
    *[(name, motion(program, entry)) for name, _, _, entry, program in test_motion_rules.BAD],
    *[(name, entry(edit)) for edit, name, _ in DISAGREEMENTS],
    *[(name, small(deeper={stem: deeper})) for stem, deeper, name, _, _ in DEPTHS],
]


def of_job(text: str, spoil: Callable[[Packet], object]) -> Case:
    """An edit of the packet of a job."""

    def case(folder: Path, broken: bool) -> Iterable[Finding]:
        (folder / f"{broken}").mkdir()
        packet = Packet(good_packet(folder / f"{broken}", text), folder / f"{broken}-edited")
        if broken:
            spoil(packet)
        return check(packet.folder, jobs=1).findings

    return case


def tried(name: str) -> Case:
    """A packet of trial joints, spoiled in one of the ways that are known."""

    def case(folder: Path, broken: bool) -> Iterable[Finding]:
        packet = Packet(good_trial(folder / f"{broken}"), folder / f"{broken}-edited")
        if broken:
            TRIAL_WAYS[name](packet)
        return check(packet.folder, jobs=1).findings

    return case


CASES: dict[str, Case] = {
    "file-unreadable": files(lambda packet: (packet.folder / GROOVE).unlink()),
    "file-too-large": files(lambda packet: packet.write(GROOVE, [" " * 4_000_001])),
    "not-text": files(lambda packet: packet.write(GROOVE, ["\0"])),
    "stop-not-restated": text(f"{STATED}\nM0\nG0 Z10\nX1 Y1\nM30"),
    "spindle-left-on": text(f"{STATED}\nM0 (switch the spindle on at 9000 rpm)\nM5\nM30"),
    "probe-unsafe": text("G21 G17 G90 G94 G40 G54\nM0\nG91\nM3 S9000\nG38.2 Z-25 F100\nM30"),
    "probe-plate": lambda folder, broken: probed(folder / f"{broken}", *[thicker_plate] * broken),
    "program-too-long": text("\n" * MOST_LINES + "M30"),
    "tool-not-in-manifest": text("G21 T9\nM30"),
    "board-not-in-manifest": said(manifest=MANIFEST.model_copy(update={"boards": []})),
    "program-without-limits": said(limits=LIMITS.model_copy(update={"programs": []})),
    "tool-without-limits": said(limits=LIMITS.model_copy(update={"tools": []})),
    "depth-not-judged": said(
        manifest=MANIFEST.model_copy(update={"boards": [MANIFEST.boards[1].model_copy(update={"size": (9000.0, 3000.0, 20.0)})]})
    ),
    "motions-not-judged": endless,
    "cutter-strained": borne(UPRIGHT, wood_n_mm2=350.0),
    "cutter-overloaded": borne(UPRIGHT, wood_n_mm2=1800.0),
    "chips-thick": turned("S6000"),
    "spindle-strained": borne(power_w=40.0),
    "spindle-overloaded": borne(power_w=5.0),
    "dry-below-clearance": dry("Z9.9"),
    "dry-spindle-on": dry("M3 S9000"),
    "dry-path-differs": lambda _, broken: test_dry_run.differences(test_dry_run.DRY.replace("Y5", "Y5.01" if broken else "Y5")),
    **test_loading_rules.CASES,
    "packet-missing": files(lambda packet: packet.folder.rename(packet.folder.parent / "elsewhere")),
    "manifest-invalid": files(lambda packet: packet.edit_json(lambda content: content.pop("job"))),
    "limits-invalid": files(lambda packet: packet.edit_json(lambda content: content.pop("joints"), "limits.json")),
    "job-invalid": files(lambda packet: (packet.folder / "job.toml").unlink()),
    "job-differs": files(lambda packet: packet.change("job.toml", "travel = .400", "travel = [401")),
    "only-wrong": files(
        lambda packet: packet.edit_json(lambda content: content.update(only={"name": "left", "pieces": [["none-such", ""]]}), "limits.json")
    ),
    "choice-unsound": files(lambda packet: packet.change("job.toml", "depth_per_pass = .*", "")),
    "zero-shared": files(lambda packet: packet.edit_json(lambda content: content["programs"][0].update(work_offset="G58"))),
    "setting-wrong": slid(
        lambda packet: packet.edit_json(lambda content: packet.entries(content, REST_OF_GROOVE)[0].update(work_offset="G59"))
    ),
    "setting-overlap": slid(lambda packet: packet.map_words(REST_OF_GROOVE, "X", lambda x: x + 4.0 if x < 20 else x)),
    "setting-step": slid(lambda packet: packet.map_words(REST_OF_GROOVE, "Y", lambda y: y + 0.02)),
    "setting-wall": parted,
    "path-too-loose": files(lambda packet: packet.insert(GROOVE, 2, "G64 P0.1")),
    "zone-wrong": files(lambda packet: packet.edit_json(lambda content: content["programs"][0]["zones"].pop(), "limits.json")),
    "contents-missing": files(lambda packet: (packet.folder / "contents.sha256").unlink()),
    "file-edited": files(lambda packet: packet.insert(GROOVE, 1, "")),
    "file-missing": files(lambda packet: (packet.folder / GROOVE).unlink()),
    "file-unlisted": files(lambda packet: packet.write("notes.txt", ["mine"])),
    "drawing-stale": lambda folder, broken: stale(folder / f"{broken}", "drawings/left-groove.png", broken),
    "page-stale": lambda folder, broken: stale(folder / f"{broken}", "index.html", broken),
    "path-outside": files(lambda packet: packet.edit_json(lambda content: content["programs"][0].update(file="../a.ngc"))),
    "program-not-carved": files(lambda packet: packet.insert(GROOVE, 7, "G0 X10001")),
    "drawer-not-judged": files(lambda packet: packet.edit_json(lambda content: content["boards"][0].update(size=[100.0, 40.0, 0.2]))),
    "joint-blocked": small(wider={"front-left": -0.13}),
    "flank-clearance": small(wider={"front-left": 0.03}),
    "proud-ends": joints(proud=0.1),
    "pin-weak": of_job(FLAT_JOB, further_into_pins),
    "stack-unsound": of_job(STACKED_JOB, not_asked),
    "stack-differs": of_job(STACKED_JOB, cut_too_deep),
    "lap-thin": small(deeper={"front-left": 0.03}),
    "gap-shows": small(wider={"back-left": 0.03}),
    "gap-inside": small(wider={"front-left": 0.03}),
    "face-broken": small(deeper={"left-groove": 7.0}),
    "groove-missing": files(lambda packet: packet.edit_json(lambda content: content["programs"].pop(8))),
    "groove-plane": files(lambda packet: packet.map_words(GROOVE, "Y", lambda y: y + 0.02)),
    "groove-width": joints(bottom_play=0.15),
    "groove-ends": files(lambda packet: packet.map_words(GROOVE, "X", lambda x: x + 0.1 if x > 40 else x)),
    "groove-weak": small(edge=2.4),
    "outline-wood-left": bottom(0.3),
    "outline-cut-into": bottom(-0.3),
    "bottom-not-held": small(tongue=0.9),
    "bottom-blocked": joints(back="raised"),
    "bottom-moves": files(lambda packet: packet.change("job.toml", "stock = {", 'stock = { bottom_kind = "solid", now = 6, dampest = 14,')),
    "drawer-size": files(lambda packet: packet.edit_json(lambda content: content["drawers"][0].update(outside=[100.0, 100.0, 40.03]))),
    "not-square": small(deeper={"left-front": 0.1}),
    "opening-too-small": joints(opening=[101.0, 39.9, 101.0]),
    "to-be-planed": files(planed),
    "board-unfit": measured(wide=38.5),
    "edge-to-be-planed": measured(wide=40.2),
    "edges-apart": measured(wide=39.8),
    "ends-to-be-planed": measured(long=100.3),
    "cut-depth": small(deeper={"left-front": 0.3}),
    "entry-not-scored": files(lambda packet: packet.change("job.toml", "light_pass = 0", "light_pass = 0.5")),
    "edge-not-scored": files(lambda packet: packet.change("job.toml", "light_pass = 0", "light_pass = 0.5")),
    "exit-not-backed": files(lambda packet: packet.edit_json(lambda content: [entry.pop("backing") for entry in content["programs"]])),
    "roughing-late": cleared(2.0, "^M30"),
    "roughing-too-near": cleared(8.9, "^T1 M6"),
    "roughing-missing": files(lambda packet: packet.change("job.toml", "light_pass = 0", "light_pass = 0\nrough = true")),
    "trial-clearance": tried("half-blind socket too wide by a hundredth at one flank"),
    "trial-nicks": tried("nick of a half-blind step missing"),
    "trial-groove": tried("trial groove wider by a hundredth"),
    "trial-slot": tried("slot for calipers deeper than is told"),
    "trial-incomplete": tried("trial of no drawer of the job"),
    "unlike-job": files(lambda packet: packet.change("job.toml", "edge = 8.0", "edge = 8.1")),
}


@pytest.mark.parametrize("name", CATALOGUE)
def test_each_code_is_raised_by_what_breaks_its_rule_and_by_nothing_sound(name: str, tmp_path: Path) -> None:
    case = {**dict(reversed(TABLES)), **CASES}.get(name)
    assert case, f"no case raises {name}: add one to CASES"
    assert list(case(tmp_path, False)) == []
    assert {finding.severity for finding in case(tmp_path, True) if finding.code == name} == {CATALOGUE[name].severity}


def test_no_case_is_for_a_code_that_is_gone() -> None:
    assert {*CASES, *dict(TABLES)} <= CATALOGUE.keys()


def test_no_code_stands_twice_in_the_catalogue() -> None:
    tables = (READER_FINDINGS, MOTION_FINDINGS, PACKET_FINDINGS, FIT_FINDINGS, BREAKOUT_FINDINGS)
    assert len(CATALOGUE) == sum(map(len, tables))
