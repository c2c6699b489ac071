"""A small strict reader of RS-274/NGC, written from NISTIR 6556 alone, for tests. It stops at the first broken rule.

It knows what our programs use, and refuses the rest: no parameters, expressions, canned cycles or radius arcs.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

__all__ = ["Broken", "Reading", "Seen", "read"]

# NISTIR 6556 table 4, page 20: modal groups. Only codes that a program of ours may have.
GROUPS = {
    "G": {4: "nonmodal", 53: "nonmodal"} | dict.fromkeys([0, 1, 2, 3, 80], "motion") | {17: "plane", 90: "distance", 94: "feed mode"}
    | dict.fromkeys([20, 21], "units") | {40: "radius"} | dict.fromkeys([43, 49], "length") | dict.fromkeys(range(54, 60), "work")
    | dict.fromkeys([61, 64], "path"),
    "M": dict.fromkeys([0, 1, 2, 30, 60], "stopping") | {6: "change"} | dict.fromkeys([3, 4, 5], "spindle")
    | dict.fromkeys([7, 8, 9], "coolant") | dict.fromkeys([48, 49], "overrides"),
}  # fmt: skip
BY_HAND = ("units", "plane", "distance", "feed mode", "work")  # what a person may change at a stop
TOP_MM = 1000.0  # stands for the top of travel
NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)")  # section 3.3.2.1, page 17
WORD = re.compile(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))")


class Broken(AssertionError):
    """A rule was broken."""


@dataclass
class Seen:
    """A motion as it was run, in mm."""

    code: int
    line: int
    start: tuple[float, float, float]
    end: tuple[float, float, float]
    centre: tuple[float, float] | None
    sweep: float  # radians, counter-clockwise positive
    feed_mm_min: float
    speed_rpm: float
    tool: int


@dataclass
class Reading:
    """All that a program did and said."""

    motions: list[Seen] = field(default_factory=list)
    comments: list[str] = field(default_factory=list)
    modes: dict[str, int] = field(default_factory=dict)
    lines: list[dict[str, list[float]]] = field(default_factory=list)
    tools: list[int] = field(default_factory=list)
    dwells: list[float] = field(default_factory=list)
    ended: bool = False


def ask(rule: bool, words: str, line: int) -> None:
    if not rule:
        raise Broken(f"line {line}: {words}")


def split(text: str, line: int, comments: list[str]) -> dict[str, list[float]]:
    """Take a line apart into words. Sections 3.3, 3.3.4, appendix E."""
    ask(len(text) <= 253, "longer than an interpreter's buffer", line)
    ask(all(32 <= ord(letter) < 127 for letter in text), "a character that does not print", line)
    code = ""
    while text:
        remark = re.match(r"([^(;]*);([^()]*)$", text)  # behind a semicolon: common practice, no source
        if remark:
            comments.append(remark[2].strip())
            text = remark[1]
            continue
        head, bracket, rest = text.partition("(")
        ask(")" not in head, "a comment closed that was never opened", line)
        code += head
        if bracket:
            inside, close, text = rest.partition(")")
            ask(close == ")", "a comment left open", line)
            ask("(" not in inside, "a comment in a comment", line)
            ask(not re.match(r"\s*m\s*s\s*g\s*,", inside, re.IGNORECASE), "a message", line)
            comments.append(inside)
        else:
            text = ""
    code = re.sub(r"[ \t]", "", code).upper()
    words: dict[str, list[float]] = {}
    at = 0
    for found in WORD.finditer(code):
        ask(found.start() == at, f"not a word: {code[at:]!r}", line)
        letter = found[1]
        ask(letter in "FGHIJMNPSTXYZ", f"a letter that is not used: {letter}", line)
        ask(letter != "N" or (at == 0 and re.fullmatch(r"\d{1,5}", found[2]) is not None), "a line number out of place or form", line)
        words.setdefault(letter, []).append(float(found[2]))
        at = found.end()
    ask(at == len(code), f"not a word: {code[at:]!r}", line)
    for letter, values in words.items():
        ask(letter in "GM" or len(values) == 1, f"two words {letter}", line)
    for letter in "GM":
        groups = []
        for value in words.get(letter, []):
            ask(value == int(value) and int(value) in GROUPS[letter], f"a code that is not used: {letter}{value:g}", line)
            groups.append("motion" if letter == "G" and value in (0, 1, 2, 3, 80) else GROUPS[letter][int(value)])
        ask(len(groups) == len(set(groups)), f"two words {letter} of one group (section 3.3.5)", line)
    ask(len(words.get("M", [])) <= 4, "more than four M words", line)
    return words


def read(text: str) -> Reading:
    """Read and run a program from a machine in an unknown state: nothing is in force that the program has not said itself."""
    out = Reading()
    ask(text.endswith("\n"), "the last line has no end", 0)
    at: list[float | None] = [None, None, None]
    motion, feed, speed, turning, chosen, tool = None, 0.0, 0.0, 0.0, 0, 0
    said: set[str] = set()
    unit_said = 0
    length = True  # of the cutter in the spindle is known, as it is to who starts the program
    for number, raw in enumerate(text.split("\n")[:-1], 1):
        ask(not out.ended, "a line after the end", number)
        words = split(raw, number, out.comments)
        out.lines.append(words)
        codes = [int(value) for value in words.get("G", [])]
        orders = [int(value) for value in words.get("M", [])]
        unit = {20: 25.4, 21: 1.0}.get(out.modes.get("units", 0), 1.0)
        # Order of execution: table 8, page 41.
        if 94 in codes:
            out.modes["feed mode"] = 94
        if "F" in words:
            ask(words["F"][0] >= 0 and "feed mode" in out.modes and "units" in out.modes, "F before its mode, or negative", number)
            feed = words["F"][0] * unit
        if "S" in words:
            ask(words["S"][0] >= 0, "negative speed", number)
            speed = words["S"][0]
        if "T" in words:
            ask(words["T"][0] == int(words["T"][0]) and words["T"][0] >= 0, "T is not a slot", number)
            chosen = int(words["T"][0])
        if 6 in orders:
            ask("stopped" in said and turning == 0, "a cutter changed while the spindle turns", number)
            tool = chosen
            out.tools.append(tool)
            length = False
            at[:] = [None] * 3
        for order in orders:
            if order in (3, 4, 5):
                turning = {3: speed, 4: -speed, 5: 0.0}[order]
                said.add("stopped")
        if 4 in codes:
            ask("P" in words and words["P"][0] >= 0, "G4 without P", number)
            out.dwells.append(words["P"][0])
        ask("P" not in words or {4, 64} & set(codes), "P without a use", number)
        if 43 in codes:
            ask(words.get("H") == [tool] or (tool == 0 and "H" in words), "the length of another cutter (section 3.5.11)", number)
            length = True
        ask("H" not in words or 43 in codes, "H without a use", number)
        if 0 in orders:  # section 3.6.1: a person takes over
            remark = out.comments[-1]
            zero, spindle = turning == 0 and "Z zero of G5" in remark, turning != 0 and "full speed" in remark
            switched = re.match(r"switch the spindle (off|on at (\d+) rpm)", remark)
            changed = turning == 0 and remark.startswith("change boards")
            ask(zero or spindle or changed or bool(switched), "a stop without its reason, or for the zero while the spindle turns", number)
            turning = float(switched[2] or 0) if switched else turning
            if remark.startswith("fit cutter"):
                tool = chosen
                out.tools.append(tool)
            length = length or zero
            at[:] = [None] * 3
            for group in BY_HAND:
                out.modes.pop(group, None)
        for code in codes:
            group = "motion" if code in (0, 1, 2, 3, 80) else GROUPS["G"][code]
            if group == "units":
                ask("units" not in out.modes and unit_said in (0, code), "units stated twice, or changed (section 3.5.7)", number)
                unit_said = code
            if group not in ("motion", "nonmodal"):
                out.modes[group] = code
        moving = [code for code in codes if code in (0, 1, 2, 3)]
        if 80 in codes:
            motion = None
            said.add("cycles off")
        axes = [letter for letter in "XYZ" if letter in words]
        if moving:
            motion = moving[0]
            ask(bool(axes), "motion without an axis (section 3.5.1)", number)
        if axes:
            ask(bool(moving), "an axis word without its own G word", number)
            for mode in ("units", "plane", "distance", "feed mode", "radius", "length", "work"):
                ask(mode in out.modes, f"motion before the {mode} is stated", number)
            ask("cycles off" in said, "motion before cycles are off", number)
            ask(length or 53 in codes, "a move with a cutter of unknown length", number)
            if 53 in codes:  # section 3.5.12: where that lies over the work no program tells
                rises, along = axes == ["Z"] and words["Z"] == [0.0], at[2] == TOP_MM and axes == ["X", "Y"]
                ask(motion == 0 and (rises or along), "neither up to the top nor along it", number)
                at[2] = TOP_MM
                continue
            out_motion(out, words, motion or 0, at, unit, feed, turning, tool, number)
        ask(not {"I", "J"} & words.keys() or motion in (2, 3), "I or J without an arc", number)
        if 30 in orders or 2 in orders:
            out.ended = True
            ask(turning == 0, "the end with the spindle turning", number)
    ask(out.ended, "no end", 0)
    return out


def out_motion(
    out: Reading,
    words: dict[str, list[float]],
    code: int,
    at: list[float | None],
    unit: float,
    feed: float,
    turning: float,
    tool: int,
    number: int,
) -> None:
    end = [words[letter][0] * unit if letter in words else at[i] for i, letter in enumerate("XYZ")]
    if None in at:
        ask(code == 0, "feed from an unknown place", number)
        at[:] = end
        if None not in end:
            place = (end[0], end[1], end[2])
            out.motions.append(Seen(0, number, place, place, None, 0.0, 0.0, turning, tool))  # type: ignore[arg-type]
        return
    start = (at[0], at[1], at[2])
    centre, sweep = None, 0.0
    if code in (2, 3):
        ask(bool({"X", "Y"} & words.keys() and {"I", "J"} & words.keys()), "an arc without end or centre (section 3.5.3.2)", number)
        centre = (start[0] + words.get("I", [0.0])[0] * unit, start[1] + words.get("J", [0.0])[0] * unit)  # type: ignore[operator]
        first, last = math.dist(start[:2], centre), math.dist(end[:2], centre)  # type: ignore[type-var,arg-type]
        limit = 0.002 if unit == 1.0 else 0.0002 * 25.4  # section 3.5.3.2, page 25
        ask(abs(first - last) <= limit and first > 0, f"radii differ by {abs(first - last)}", number)
        turn = math.atan2(end[1] - centre[1], end[0] - centre[0]) - math.atan2(start[1] - centre[1], start[0] - centre[0])  # type: ignore[operator]
        sweep = turn % (2 * math.pi) if code == 3 else -(-turn % (2 * math.pi))
        sweep = sweep or (2 * math.pi if code == 3 else -2 * math.pi)
    if code:
        ask(feed > 0, "feed motion at feed 0", number)
    out.motions.append(Seen(code, number, start, (end[0], end[1], end[2]), centre, sweep, feed if code else 0.0, turning, tool))  # type: ignore[arg-type]
    at[:] = end
