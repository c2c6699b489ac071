"""Ways to spoil a good packet, each a small edit of its files, with what must catch it and where.

A way returns the code, the file and the line of the finding that has to be there; line 0 is the file as a whole.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from tests.sabotage.packets import Packet

__all__ = ["BOTTOM_LEFT", "HARMLESS", "WAYS", "Caught"]

LEFT_FRONT_WASTE = "programs/04-left-side-1-front-end-waste.ngc"
BACK_LEFT = "programs/08-back-1-left-end.ngc"
LEFT_GROOVE = "programs/17-left-side-1-groove.ngc"
FRONT_GROOVE = "programs/19-front-1-groove.ngc"
RIGHT_GROOVE = "programs/20-right-side-1-groove.ngc"
FRONT_RIGHT = "programs/13-front-1-right-end.ngc"
FRONT_LEFT = "programs/14-front-1-left-end.ngc"
RIGHT_REAR = "programs/09-right-side-1-rear-end.ngc"
LEFT_FRONT = "programs/10-left-side-1-front-end.ngc"
LEFT_REAR = "programs/11-left-side-1-rear-end.ngc"
RIGHT_FRONT = "programs/12-right-side-1-front-end.ngc"
DRY_FRONT = "programs/dry/14-dry-front-1-left-end.ngc"
DRY = "programs/dry/10-dry-left-side-1-front-end.ngc"
BOTTOM_LEFT = "programs/15-bottom-1-left-end.ngc"
BOTTOM_RIGHT = "programs/18-bottom-1-right-end.ngc"
MANIFEST = "manifest.json"
LIMITS = "limits.json"
ROUND = "rounds/round-3-upright-cutter-1.ngc"
REAR_ROUND = "rounds/07-pair-right-left-side-1-rear.ngc"
REAR_DRY = "rounds/dry/07-dry-pair-right-left-side-1-rear.ngc"
THIN_AND_THICK = "rounds/13-pair-back-front-1-groove.ngc"
THIN_AND_THICK_DRY = "rounds/dry/13-dry-pair-back-front-1-groove.ngc"


@dataclass(frozen=True, slots=True)
class Caught:
    """What must be found: code, file, and a line within ``near`` of this one."""

    code: str
    file: str
    line: int | tuple[int, ...]
    near: int = 0
    severity: str = "error"

    def at(self, line: int) -> bool:
        """Tell whether a finding's line is right."""
        lines = self.line if isinstance(self.line, tuple) else (self.line,)
        return any(abs(line - own) <= self.near for own in lines)


Way = Callable[[Packet], Caught]
WAYS: dict[str, Way] = {}
HARMLESS: dict[str, Callable[[Packet], None]] = {}


def way(name: str) -> Callable[[Way], Way]:
    def register(function: Way) -> Way:
        WAYS[name] = function
        return function

    return register


def harmless(name: str) -> Callable[[Callable[[Packet], None]], Callable[[Packet], None]]:
    def register(function: Callable[[Packet], None]) -> Callable[[Packet], None]:
        HARMLESS[name] = function
        return function

    return register


def frame(packet: Packet, file: str, rows: list[list[float]], **more: Any) -> None:
    def edit(content: dict[str, Any]) -> None:
        for entry in packet.entries(content, file):
            entry.update(to_machine=rows, **more)

    packet.edit_json(edit)


def tool(packet: Packet, number: int, **values: float) -> None:
    def edit(content: dict[str, Any]) -> None:
        for entry in content["tools"]:
            if entry["number"] == number:
                for key, value in values.items():
                    entry[key] += value

    packet.edit_json(edit)


def board(packet: Packet, role: str, **values: Any) -> None:
    def edit(content: dict[str, Any]) -> None:
        for entry in content["boards"]:
            if entry["role"] == role:
                entry.update({key: value(entry) if callable(value) else value for key, value in values.items()})

    packet.edit_json(edit)


def dovetail(packet: Packet, file: str) -> int:
    """Return the line that puts the dovetail cutter to its depth."""
    change = packet.find(file, "^T1 M6")
    lines = packet.lines(file)
    return next(number for number in range(change + 1, len(lines)) if lines[number - 1].startswith("G1 Z"))


def both_cutters(packet: Packet) -> None:
    """Write both programs of the left side's front end into one, with the change of cutter between them, as one does by hand."""
    first, second = packet.lines(LEFT_FRONT_WASTE), packet.lines(LEFT_FRONT)
    end, change = packet.find(LEFT_FRONT_WASTE, "^M30"), packet.find(LEFT_FRONT, "^T1 M6")
    packet.write(LEFT_FRONT, first[: end - 1] + second[change - 1 :])

    def edit(content: dict[str, Any]) -> None:
        waste = packet.entries(content, LEFT_FRONT_WASTE)
        content["programs"] = [entry for entry in content["programs"] if entry not in waste]
        for entry in packet.entries(content, LEFT_FRONT):
            entry["tools"] = [2, 1]

    packet.edit_json(edit)
    unload(packet)


def unload(packet: Packet) -> None:
    """Cut one board after the other: take the setups of two boards away."""
    packet.edit_json(lambda content: content.update(loadings=[], rounds=[]), "limits.json")
    shutil.rmtree(packet.folder / "rounds")


def flank(packet: Packet) -> int:
    """Return the line that puts the dovetail cutter to the low flank of the second tail, and so its place in X."""
    lines = packet.lines(LEFT_FRONT)
    start = dovetail(packet, LEFT_FRONT)
    found = [
        number
        for number in range(start + 1, len(lines))
        if lines[number - 2].startswith("G1 Y0.5") and lines[number - 1].startswith("G1 X") and lines[number].startswith("G1 Y-")
    ]
    return found[1]


def socket_end(packet: Packet) -> int:
    """Return the line that goes across the end of the first socket."""
    lines = packet.lines(FRONT_LEFT)
    start = dovetail(packet, FRONT_LEFT)
    deepest = min(packet.number(FRONT_LEFT, number, "Y") for number in range(start, len(lines)) if lines[number - 1].startswith("G1 Y"))
    return 1 + next(
        number
        for number in range(start, len(lines))
        if lines[number - 1].startswith("G1 Y") and packet.number(FRONT_LEFT, number, "Y") == deepest
    )


def deepest(packet: Packet, file: str) -> int:
    """Return the first line with the deepest Z."""
    numbers = [number for number, line in enumerate(packet.lines(file), 1) if line.startswith("G1") and " Z" in line]
    return min(numbers, key=lambda number: packet.number(file, number, "Z"))


def furthest(packet: Packet, file: str, letter: str) -> float:
    """Return the largest number of a letter in moves."""
    lines = packet.lines(file)
    return max(packet.number(file, number, letter) for number, line in enumerate(lines, 1) if line.startswith(f"G1 {letter}"))


# --- setups and boards -------------------------------------------------------------------------------------------------


@way("setup mirrored: X runs the wrong way")
def _(packet: Packet) -> Caught:
    frame(packet, LEFT_FRONT, [[0, -1, 0, 46], [0, 0, -1, 0], [-1, 0, 0, 0]])
    return Caught("setup-mirrored", LEFT_FRONT, 0)


@way("programs of the left and right side swapped")
def _(packet: Packet) -> Caught:
    left, right = packet.lines(LEFT_FRONT), packet.lines(RIGHT_FRONT)
    packet.write(LEFT_FRONT, right)
    packet.write(RIGHT_FRONT, left)
    return Caught("wrong-work-offset", LEFT_FRONT, packet.find(LEFT_FRONT, "^G0 Z"))


@way("programs of both ends of a side swapped")
def _(packet: Packet) -> Caught:
    front, rear = packet.lines(LEFT_FRONT), packet.lines(LEFT_REAR)
    packet.write(LEFT_FRONT, rear)
    packet.write(LEFT_REAR, front)
    return Caught("wrong-work-offset", LEFT_FRONT, packet.find(LEFT_FRONT, "^G0 Z"))


@way("wrong stop named")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        for entry in packet.entries(content, LEFT_FRONT):
            entry["stop"] = "right"

    packet.edit_json(edit)
    return Caught("setup-wrong", LEFT_FRONT, 0)


@way("board turned face for face")
def _(packet: Packet) -> Caught:
    frame(packet, LEFT_FRONT, [[0, -1, 0, 46], [0, 0, 1, -10], [-1, 0, 0, 0]])
    return Caught("setup-wrong", LEFT_FRONT, 0)


@way("board turned end for end")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        (length,) = {entry["size"][0] for entry in content["boards"] if entry["role"] == "left side"}
        for entry in packet.entries(content, LEFT_FRONT):
            entry["to_machine"] = [[0, -1, 0, 46], [0, 0, -1, 0], [1, 0, 0, -length]]

    packet.edit_json(edit)
    return Caught("setup-wrong", LEFT_FRONT, 0)


@way("front laid with its outside face up")
def _(packet: Packet) -> Caught:
    frame(packet, FRONT_LEFT, [[0, 1, 0, -46], [-1, 0, 0, 0], [0, 0, -1, 0]])
    return Caught("setup-wrong", FRONT_LEFT, 0)


@way("side placed in the drawer upside down")
def _(packet: Packet) -> Caught:
    board(packet, "left side", to_drawer=lambda entry: [entry["to_drawer"][0], entry["to_drawer"][1], [0, -1, 0, 46]])
    return Caught("board-placed-wrong", MANIFEST, 0)


@way("left and right sides swapped in a drawer")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        parts = content["drawers"][0]["parts"]
        parts["left"], parts["right"] = parts["right"], parts["left"]

    packet.edit_json(edit)
    return Caught("part-in-wrong-place", MANIFEST, 0)


@way("front thinner than stated, zeros kept")
def _(packet: Packet) -> Caught:
    board(packet, "front", size=lambda entry: [*entry["size"][:2], entry["size"][2] - 1.0])
    return Caught("setup-wrong", FRONT_LEFT, 0)


@way("front thinner than stated, zeroed on its own face")
def _(packet: Packet) -> Caught:
    board(packet, "front", size=lambda entry: [*entry["size"][:2], entry["size"][2] - 1.0])

    def edit(content: dict[str, Any]) -> None:
        for entry in content["programs"]:
            if "front-1" in entry["file"]:
                entry["to_machine"][2][3] += 1.0

    packet.edit_json(edit)
    return Caught("lap-thin", FRONT_LEFT, dovetail(packet, FRONT_LEFT))


@way("side 0.4 mm too long")
def _(packet: Packet) -> Caught:
    board(packet, "left side", size=lambda entry: [entry["size"][0] + 0.4, *entry["size"][1:]])
    return Caught("drawer-size", MANIFEST, 0)


@way("bottom 8 mm too wide")
def _(packet: Packet) -> Caught:
    def wider(entry: dict[str, Any]) -> list[list[float]]:
        half = entry["size"][0] / 2
        return [[u + 8.0 if u > half else u, v] for u, v in entry["outline"]]

    board(packet, "bottom", outline=wider)
    board(packet, "bottom", size=lambda entry: [entry["size"][0] + 8.0, *entry["size"][1:]])
    return Caught("bottom-overlap", RIGHT_GROOVE, 1, near=10_000)


@way("bottom 0.3 mm too thick")
def _(packet: Packet) -> Caught:
    board(packet, "bottom", size=lambda entry: [*entry["size"][:2], entry["size"][2] + 0.3])
    return Caught("bottom-overlap", LEFT_GROOVE, 1, near=10_000)


@way("bottom too small to be held")
def _(packet: Packet) -> Caught:
    board(packet, "bottom", outline=lambda entry: [[max(u, 4.0), v] for u, v in entry["outline"]])
    packet.edit_json(lambda content: content.update(programs=[e for e in content["programs"] if "bottom-1" not in e["file"]]))
    return Caught("bottom-not-held", LEFT_GROOVE, 1, near=10_000)


@way("opening smaller than the drawer")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: content["joints"][0].update(opening=[121.0, 45.0, 115.0]), "limits.json")
    return Caught("opening-too-small", MANIFEST, 0)


# --- cutters -----------------------------------------------------------------------------------------------------------


@way("dovetail cutter 0.2 mm thicker")
def _(packet: Packet) -> Caught:
    tool(packet, 1, diameter=0.2)
    return Caught("flank-clearance", LEFT_FRONT, 1, near=10_000)


@way("dovetail cutter 0.2 mm thinner")
def _(packet: Packet) -> Caught:
    tool(packet, 1, diameter=-0.2)
    return Caught("joint-overlap", LEFT_FRONT, 1, near=10_000)


@way("dovetail cutter 1 degree off")
def _(packet: Packet) -> Caught:
    tool(packet, 1, half_angle=1.0)
    return Caught("flank-clearance", LEFT_REAR, 1, near=10_000)


@way("straight cutter 0.2 mm thinner")
def _(packet: Packet) -> Caught:
    tool(packet, 2, diameter=-0.2)
    return Caught("groove-width", LEFT_GROOVE, 1, near=10_000)


@way("dovetail cutter too short for the depth")
def _(packet: Packet) -> Caught:
    tool(packet, 1, cutting_length=-2.0)
    return Caught("shank-in-wood", LEFT_FRONT, 1, near=10_000)


@way("edges of a dovetail cutter that leave its neck too thin for the cut, as the job file says")
def _(packet: Packet) -> Caught:
    packet.change("job.toml", "cutting_length = 14", "cutting_length = 23")
    tool(packet, 1, cutting_length=9.0)
    packet.edit_json(lambda content: content["tools"][0].update(stick_out=33.0), "limits.json")
    return Caught("cutter-overloaded", FRONT_LEFT, 1, near=10_000)


@way("spindle too weak for the cut, as the job file says")
def _(packet: Packet) -> Caught:
    packet.change("job.toml", r"^\[machine\]", "[machine]\npower = 60")
    return Caught("spindle-overloaded", FRONT_LEFT, 1, near=10_000)


@way("cutter with an impossible neck")
def _(packet: Packet) -> Caught:
    tool(packet, 1, half_angle=25.0)
    return Caught("tool-shape", MANIFEST, 0)


# --- depths, passes, grooves -------------------------------------------------------------------------------------------


@way("tails 0.3 mm too deep")
def _(packet: Packet) -> Caught:
    number = dovetail(packet, LEFT_FRONT)
    packet.map_words(LEFT_FRONT, "Z", lambda z: z - 0.3, lines=[number])
    return Caught("shoulder-gap", LEFT_FRONT, number)


@way("tails 0.3 mm too shallow")
def _(packet: Packet) -> Caught:
    number = dovetail(packet, LEFT_FRONT)
    packet.map_words(LEFT_FRONT, "Z", lambda z: z + 0.3, lines=[number])
    return Caught("joint-overlap", LEFT_FRONT, number)


@way("sockets 0.3 mm too deep")
def _(packet: Packet) -> Caught:
    number = dovetail(packet, FRONT_LEFT)
    packet.map_words(FRONT_LEFT, "Z", lambda z: z - 0.3, lines=[number])
    return Caught("tip-gap", FRONT_LEFT, number)


@way("sockets 0.3 mm too shallow")
def _(packet: Packet) -> Caught:
    number = dovetail(packet, FRONT_LEFT)
    packet.map_words(FRONT_LEFT, "Z", lambda z: z + 0.3, lines=[number])
    return Caught("joint-overlap", FRONT_LEFT, number)


@way("one flank 0.1 mm off")
def _(packet: Packet) -> Caught:
    line = flank(packet)  # two lines on, an arc goes on from the flank round the tail's corner
    return Caught("flank-clearance", LEFT_FRONT, packet.map_words(LEFT_FRONT, "X", lambda x: x + 0.1, lines=[line, line + 2]))


@way("one wall of a through socket 0.15 mm off")
def _(packet: Packet) -> Caught:
    wall = packet.number(BACK_LEFT, packet.find(BACK_LEFT, r"^G1 X\S+ Y0\.5", -1), "X")
    return Caught("gap-shows", BACK_LEFT, packet.map_words(BACK_LEFT, "X", lambda x: x - 0.15 if x == wall else x))


@way("a pass along a tail missing")
def _(packet: Packet) -> Caught:
    packet.drop(LEFT_FRONT, flank(packet) - 1)
    # Which line cut nothing can not be seen: the roughing pass beside the wood that was left comes nearest.
    return Caught("joint-overlap", LEFT_FRONT_WASTE, 1, near=10_000)


@way("the last round of a socket missing")
def _(packet: Packet) -> Caught:
    number = packet.drop(FRONT_LEFT, socket_end(packet))
    return Caught("joint-overlap", FRONT_LEFT, number, near=6)  # the pass before it comes nearest


@way("all deeper passes of a pin missing")
def _(packet: Packet) -> Caught:
    start = packet.find(BACK_LEFT, "^G1 Z", 2)
    end = packet.find(BACK_LEFT, "^G0 Z10.0$")
    lines = packet.lines(BACK_LEFT)
    packet.write(BACK_LEFT, lines[: start - 1] + lines[end - 1 :])
    return Caught("joint-overlap", BACK_LEFT, start, near=25)


@way("levels of a straight cutter left out")
def _(packet: Packet) -> Caught:
    start, end = packet.find(BACK_LEFT, r"^G1 Z0\.0") + 1, packet.find(BACK_LEFT, r" Z-10\.3\b", 2)
    lines = packet.lines(BACK_LEFT)
    packet.write(BACK_LEFT, lines[: start - 1] + lines[end - 1 :])
    return Caught("depth-per-pass", BACK_LEFT, start, near=2)


@way("two lines swapped, so that the cutter lifts in wood")
def _(packet: Packet) -> Caught:
    lift = packet.find(LEFT_FRONT, "^G0 Z10.0", -1)
    packet.swap(LEFT_FRONT, lift - 2, lift)
    return Caught("dovetail-height-over-board", LEFT_FRONT, lift - 2, near=2)


@way("dovetail cutter plunges into wood")
def _(packet: Packet) -> Caught:
    number = dovetail(packet, LEFT_FRONT)
    packet.map_words(LEFT_FRONT, "Y", lambda y: -5.0, lines=[number - 2])
    return Caught("dovetail-height-over-board", LEFT_FRONT, number)


@way("groove from the wrong edge")
def _(packet: Packet) -> Caught:
    packet.map_words(LEFT_GROOVE, "Y", lambda y: 46.0 - y)
    return Caught("groove-missing", LEFT_GROOVE, 1, near=10_000)


@way("groove 0.1 mm too high")
def _(packet: Packet) -> Caught:
    return Caught("groove-plane", FRONT_GROOVE, packet.map_words(FRONT_GROOVE, "Y", lambda y: y + 0.1))


@way("groove too long")
def _(packet: Packet) -> Caught:
    end = furthest(packet, LEFT_GROOVE, "X")
    return Caught("groove-ends", LEFT_GROOVE, packet.map_words(LEFT_GROOVE, "X", lambda x: x + 6.0 if x == end else x))


@way("groove too deep")
def _(packet: Packet) -> Caught:
    number = deepest(packet, LEFT_GROOVE)
    return Caught("groove-depth", LEFT_GROOVE, packet.map_words(LEFT_GROOVE, "Z", lambda z: z - 0.7, lines=[number]))


@way("groove breaks out through the show face")
def _(packet: Packet) -> Caught:
    number = deepest(packet, LEFT_GROOVE)
    return Caught("face-broken", LEFT_GROOVE, packet.map_words(LEFT_GROOVE, "Z", lambda z: -11.0, lines=[number]), near=3)


# --- motion ------------------------------------------------------------------------------------------------------------


@way("rapid where feed belongs")
def _(packet: Packet) -> Caught:
    number = flank(packet) - 1
    packet.write(LEFT_FRONT, [line.replace("G1", "G0") if i == number else line for i, line in enumerate(packet.lines(LEFT_FRONT), 1)])
    return Caught("rapid-in-wood", LEFT_FRONT, number)


@way("traverse below clearance")
def _(packet: Packet) -> Caught:
    number = packet.insert(LEFT_GROOVE, packet.find(LEFT_GROOVE, "^G1 Z10"), "G1 Z1.0", "G0 X50.0")
    return Caught("rapid-below-clearance", LEFT_GROOVE, number + 1)


@way("start without rising first")
def _(packet: Packet) -> Caught:
    packet.drop(LEFT_FRONT, packet.find(LEFT_FRONT, "^G0 Z40"))
    return Caught("moves-before-height", LEFT_FRONT, packet.find(LEFT_FRONT, "^G0 X"))


@way("start at clearance, below what may stand on the machine")
def _(packet: Packet) -> Caught:
    return Caught("unsafe-start", LEFT_FRONT, packet.change(LEFT_FRONT, "^G0 Z40", "G0 Z10"))


@way("cutter changed beside the board")
def _(packet: Packet) -> Caught:
    both_cutters(packet)
    packet.drop(LEFT_FRONT, packet.find(LEFT_FRONT, "^T1 M6") - 2)
    return Caught("unsafe-stop", LEFT_FRONT, packet.find(LEFT_FRONT, "^T1 M6") + 3)


@way("a cutter changed, its length not known")
def _(packet: Packet) -> Caught:
    both_cutters(packet)
    return Caught("length-unknown", LEFT_FRONT, 1 + packet.drop(LEFT_FRONT, packet.find(LEFT_FRONT, "^M0", 2)))


@way("the length of another cutter")
def _(packet: Packet) -> Caught:
    both_cutters(packet)
    number = packet.change(LEFT_FRONT, "^M0 .*", "G43 H2", 2)
    return Caught("length-unknown", LEFT_FRONT, number + 2)


@way("Z zero asked for while the spindle turns")
def _(packet: Packet) -> Caught:
    both_cutters(packet)
    return Caught("stop-while-turning", LEFT_FRONT, 1 + packet.insert(LEFT_FRONT, packet.find(LEFT_FRONT, "^M0", 2), "M3"))


@way("the modes not stated again after a stop")
def _(packet: Packet) -> Caught:
    return Caught("stop-not-restated", LEFT_FRONT, packet.drop(LEFT_FRONT, packet.find(LEFT_FRONT, "^G21 G17 ")))


@way("the work offset not stated again after boards were changed")
def _(packet: Packet) -> Caught:
    changed = packet.find(ROUND, "^M0 .change boards")
    number = next(i for i, line in enumerate(packet.lines(ROUND), 1) if i > changed and line.startswith("G21 "))
    place = sum(line.startswith("G21 G17 ") for line in packet.lines(ROUND)[:number])
    packet.change(ROUND, "^G21 G17 G90 G94 .*", "G21 G17 G90 G94", place)
    return Caught("stop-not-restated", ROUND, number, near=3)


def by_hand(packet: Packet) -> int:
    """Have the spindle switched by a person, at two stops; return the line of the first."""
    packet.change(LEFT_FRONT, "^M5.*", "M0 (switch the spindle off, then go on)", -1)
    packet.change(LEFT_FRONT, "^G4 .*", "G21 G17 G90 G94 G54 G0 Z40.0")
    return packet.change(LEFT_FRONT, "^S18000 M3.*", "M0 (switch the spindle on at 18000 rpm, then go on)")


@way("a spindle switched by hand left on at the end")
def _(packet: Packet) -> Caught:
    by_hand(packet)
    packet.change(LEFT_FRONT, "^M0.*off.*", "M5", -1)
    return Caught("spindle-left-on", LEFT_FRONT, packet.find(LEFT_FRONT, "^M30"))


@way("a spindle switched by hand not asked to turn")
def _(packet: Packet) -> Caught:
    number = by_hand(packet)
    packet.drop(LEFT_FRONT, number)
    return Caught("spindle-stopped", LEFT_FRONT, packet.find(LEFT_FRONT, "^G1 "), near=4)


@way("end beside the board")
def _(packet: Packet) -> Caught:
    return Caught("unsafe-stop", LEFT_FRONT, packet.drop(LEFT_FRONT, packet.find(LEFT_FRONT, "^G0 Z40", -1)) - 1)


@way("over the board in machine coordinates")
def _(packet: Packet) -> Caught:
    number = packet.insert(LEFT_FRONT, packet.find(LEFT_FRONT, "^M30"), "G53 G0 X0.0 Y0.0")
    return Caught("machine-coordinates", LEFT_FRONT, number)


@way("spindle never on")
def _(packet: Packet) -> Caught:
    number = packet.change(LEFT_REAR, r" M3 .*", "", -1)
    return Caught("spindle-stopped", LEFT_REAR, number, near=12)


@way("spindle reversed")
def _(packet: Packet) -> Caught:
    number = packet.change(LEFT_REAR, r"M3 ", "M4 ", -1)
    return Caught("spindle-reversed", LEFT_REAR, number, near=12)


@way("spindle stops in the middle of the cut")
def _(packet: Packet) -> Caught:
    return Caught("spindle-stopped", LEFT_FRONT, 1 + packet.insert(LEFT_FRONT, flank(packet), "M5"))


@way("spindle faster than the cutter bears")
def _(packet: Packet) -> Caught:
    number = packet.change(LEFT_FRONT, r"S\d+", "S23500", -1)
    return Caught("cutter-too-fast", LEFT_FRONT, number, near=12)


@way("tool changed while turning")
def _(packet: Packet) -> Caught:
    both_cutters(packet)
    number = packet.find(LEFT_FRONT, "^T1 M6")
    packet.drop(LEFT_FRONT, number - 1)
    return Caught("tool-change-while-turning", LEFT_FRONT, number - 1)


@way("inches for millimetres")
def _(packet: Packet) -> Caught:
    packet.change_all(LEFT_FRONT, "^G21", "G20")
    return Caught("outside-travel", LEFT_FRONT, packet.find(LEFT_FRONT, "^G0 X"), near=3)


@way("increments for places")
def _(packet: Packet) -> Caught:
    packet.change_all(LEFT_FRONT, "^(G21 G17 )?G90", r"\1G91")
    return Caught("incremental-from-unknown", LEFT_FRONT, packet.find(LEFT_FRONT, "^G0 Z"))


@way("the other stop's zero")
def _(packet: Packet) -> Caught:
    packet.change_all(LEFT_FRONT, "^(G21 G17 G90 G94 )?G54", r"\1G55")
    return Caught("wrong-work-offset", LEFT_FRONT, packet.find(LEFT_FRONT, "^G0 Z"))


@way("two kinds of setup at one zero")
def _(packet: Packet) -> Caught:
    packet.change(LEFT_GROOVE, "^G58", "G54")

    def edit(content: dict[str, Any]) -> None:
        for entry in packet.entries(content, LEFT_GROOVE):
            entry["work_offset"] = "G54"

    packet.edit_json(edit)
    return Caught("zero-shared", LEFT_GROOVE, 0)


@way("corners rounded by as much as the controller likes")
def _(packet: Packet) -> Caught:
    packet.change(LEFT_FRONT, "^G61", "G64")
    return Caught("path-too-loose", LEFT_FRONT, 0)


@way("zero moved by the program")
def _(packet: Packet) -> Caught:
    number = packet.insert(LEFT_FRONT, packet.find(LEFT_FRONT, "^T1 M6"), "G10 L2 P1 X0.5")
    return Caught("not-judged", LEFT_FRONT, number)


@way("an arc's centre 0.01 mm off")
def _(packet: Packet) -> Caught:
    number = packet.find(LEFT_FRONT, r"^G3.*I[1-9]")
    return Caught("arc-radius", LEFT_FRONT, packet.map_words(LEFT_FRONT, "I", lambda i: i + 0.01, lines=[number]))


@way("an arc run the other way")
def _(packet: Packet) -> Caught:
    number = packet.change(LEFT_FRONT, "^G3", "G2", 2)
    return Caught("gap-shows", LEFT_FRONT, number, near=1)


@way("an arc left out, straight instead")
def _(packet: Packet) -> Caught:
    number = packet.change(LEFT_FRONT, r"^G3 (\S+ \S+) .*", r"G1 \1", 2)
    return Caught("gap-inside", LEFT_FRONT, number, near=1)


@way("spindle so slow that chips grow thick")
def _(packet: Packet) -> Caught:
    number = packet.change(LEFT_GROOVE, r"S\d+", "S8000", -1)
    return Caught("chips-thick", LEFT_GROOVE, number, near=40, severity="warning")


@way("feed zero")
def _(packet: Packet) -> Caught:
    return Caught("feed-zero", LEFT_FRONT, packet.change(LEFT_FRONT, r"F[\d.]+", "F0", -1))


@way("feed above the cutter's")
def _(packet: Packet) -> Caught:
    number = packet.change(LEFT_FRONT, r"F1\d{3}\.\d+", "F2900.0", -1)
    return Caught("feed-over-limit", LEFT_FRONT, number, near=2)


@way("through the backing into the plate")
def _(packet: Packet) -> Caught:
    return Caught("plate-cut", LEFT_FRONT, packet.map_words(LEFT_FRONT, "Y", lambda y: 20.0, lines=[flank(packet) - 1]))


@way("into the stop")
def _(packet: Packet) -> Caught:
    number = packet.insert(
        LEFT_FRONT, packet.find(LEFT_FRONT, "^G0 Z10.0", -1), "G1 X-20.0", "G1 Z-32.0", "G1 Y-5.0", "G1 Y-17.0", "G1 Z-13.5"
    )
    return Caught("zone-entered", LEFT_FRONT, number, near=4)


@way("a holder into the clamps of a flat board")
def _(packet: Packet) -> Caught:
    number = packet.insert(FRONT_LEFT, packet.find(FRONT_LEFT, "^G0 Z10.0", -1), "G1 Y20.0", "G1 X20.0", "G1 Y-25.0")
    return Caught("zone-entered", FRONT_LEFT, number, near=2)


@way("a start below the clamps of a flat board")
def _(packet: Packet) -> Caught:
    return Caught("unsafe-start", FRONT_LEFT, packet.map_words(FRONT_LEFT, "Z", lambda z: 10.0, lines=[packet.find(FRONT_LEFT, "^G0 Z")]))


# --- text --------------------------------------------------------------------------------------------------------------


@way("a line cut in half")
def _(packet: Packet) -> Caught:
    number = flank(packet)
    packet.write(LEFT_FRONT, [line[:4] if i == number else line for i, line in enumerate(packet.lines(LEFT_FRONT), 1)])
    return Caught("number-missing", LEFT_FRONT, number)


@way("program cut short")
def _(packet: Packet) -> Caught:
    end = flank(packet)
    packet.write(LEFT_FRONT, packet.lines(LEFT_FRONT)[:end])
    return Caught("no-program-end", LEFT_FRONT, end)


@way("a word twice")
def _(packet: Packet) -> Caught:
    number = flank(packet)
    packet.write(LEFT_FRONT, [f"{line} {line[3:]}" if i == number else line for i, line in enumerate(packet.lines(LEFT_FRONT), 1)])
    return Caught("word-twice", LEFT_FRONT, number)


@way("a number with an exponent")
def _(packet: Packet) -> Caught:
    number = flank(packet)
    packet.write(LEFT_FRONT, [f"{line}e0" if i == number else line for i, line in enumerate(packet.lines(LEFT_FRONT), 1)])
    return Caught("number-with-exponent", LEFT_FRONT, number)


@way("code hidden in a comment")
def _(packet: Packet) -> Caught:
    return Caught("code-in-comment", LEFT_FRONT, packet.change(LEFT_FRONT, r"^\(cut 1.*", "(M3 S24000)"))


@way("a comment that is not closed")
def _(packet: Packet) -> Caught:
    return Caught("comment-not-closed", LEFT_FRONT, packet.change(LEFT_FRONT, r"^\(cut 1.*", "(cut 2"))


@way("a tool that is not in the manifest")
def _(packet: Packet) -> Caught:
    return Caught("tool-not-in-manifest", LEFT_FRONT, packet.change(LEFT_FRONT, "^T1 M6", "T7 M6"))


@way("the other cutter of the manifest")
def _(packet: Packet) -> Caught:
    both_cutters(packet)
    packet.change(LEFT_FRONT, "^T1 M6", "T2 M6")
    return Caught("joint-overlap", LEFT_FRONT, 1, near=10_000)


@way("text after the end")
def _(packet: Packet) -> Caught:
    number = packet.find(LEFT_FRONT, "^M30")
    packet.insert(LEFT_FRONT, number + 1, "G0 Z-5.0")
    return Caught("text-after-end", LEFT_FRONT, number + 1)


# --- files -------------------------------------------------------------------------------------------------------------


@way("manifest names a file outside the packet")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        packet.entries(content, LEFT_FRONT)[0]["file"] = "../job.toml"

    packet.edit_json(edit)
    return Caught("path-outside", MANIFEST, 0)


@way("a program is a link out of the packet")
def _(packet: Packet) -> Caught:
    place = packet.folder / LEFT_FRONT
    moved = packet.folder.parent / "elsewhere.ngc"
    place.replace(moved)
    place.symlink_to(moved)
    return Caught("path-outside", MANIFEST, 0)


@way("a program missing")
def _(packet: Packet) -> Caught:
    (packet.folder / LEFT_FRONT).unlink()
    return Caught("file-unreadable", LEFT_FRONT, 0)


@way("a program's entry missing")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        content["programs"] = [entry for entry in content["programs"] if entry["file"] != LEFT_FRONT]

    packet.edit_json(edit)
    return Caught("program-missing", MANIFEST, 0)


@way("a program is binary")
def _(packet: Packet) -> Caught:
    (packet.folder / LEFT_FRONT).write_bytes(b"G21\n\x00\x01\x02")
    return Caught("not-text", LEFT_FRONT, 2)


@way("a program is empty")
def _(packet: Packet) -> Caught:
    packet.write(LEFT_FRONT, [""])
    return Caught("program-empty", LEFT_FRONT, 0)


@way("a program of 100 MB")
def _(packet: Packet) -> Caught:
    with (packet.folder / LEFT_FRONT).open("r+b") as stream:
        stream.truncate(100_000_000)
    return Caught("file-too-large", LEFT_FRONT, 0)


@way("manifest cut short")
def _(packet: Packet) -> Caught:
    place = packet.folder / MANIFEST
    place.write_bytes(place.read_bytes()[:-200])
    return Caught("manifest-invalid", MANIFEST, 0)


@way("a number of the manifest as text")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: content["tools"][0].update(diameter="12.7"))
    return Caught("manifest-invalid", MANIFEST, 0)


@way("an unknown key in the limits")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: content.update(slack=1.0), "limits.json")
    return Caught("limits-invalid", "limits.json", 0)


@way("a setup that is skew")
def _(packet: Packet) -> Caught:
    frame(packet, LEFT_FRONT, [[0, 0.8, 0.6, 0], [0, 0.6, -0.8, 0], [-1, 0, 0, 0]])
    return Caught("frame", MANIFEST, 0)


# --- limits that were made wide ---------------------------------------------------------------------------------------


def limits(packet: Packet, edit: Callable[[dict[str, Any]], None], code: str) -> Caught:
    packet.edit_json(edit, "limits.json")
    return Caught(code, "limits.json", 0)


@way("every keep-out zone taken away")
def _(packet: Packet) -> Caught:
    return limits(packet, lambda content: [entry.update(zones=[]) for entry in content["programs"]], "zone-wrong")


@way("a packet for one board alone that would run the programs of others")
def _(packet: Packet) -> Caught:
    def only(content: dict[str, Any]) -> None:
        content["only"] = {"name": "left side", "pieces": [["d1-left", ""]]}
        content["loadings"] = []

    return limits(packet, only, "only-wrong")


@way("a program that is to be run put among those for the check")
def _(packet: Packet) -> Caught:
    kept = LEFT_FRONT.replace("programs", "proof")
    (packet.folder / kept).parent.mkdir()
    (packet.folder / LEFT_FRONT).rename(packet.folder / kept)
    packet.edit_json(lambda content: [entry.update(file=kept) for entry in packet.entries(content, LEFT_FRONT)])
    return Caught("only-wrong", "limits.json", 0)


@way("a plate that stands at the near end of the travel")
def _(packet: Packet) -> Caught:
    place = packet.folder / "job.toml"
    place.write_text(place.read_text(encoding="utf-8").replace("upright_plate = 80", "upright_plate = 20"), encoding="utf-8")
    packet.edit_json(lambda content: content["machine"].update(upright_plate=20.0), "limits.json")
    return Caught("outside-travel", LEFT_FRONT, packet.find(LEFT_FRONT, "^G0 X"), near=1)


@way("a plate that the job file has elsewhere")
def _(packet: Packet) -> Caught:
    return limits(packet, lambda content: content["machine"].update(upright_plate=90.0), "job-differs")


@way("every clamp on a flat board forgotten")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        for entry in content["programs"]:
            entry["zones"] = [zone for zone in entry["zones"] if zone["name"] != "clamp" or zone["low"][2] < 0]

    return limits(packet, edit, "zone-wrong")


@way("every backing half a metre thick")
def _(packet: Packet) -> Caught:
    return limits(packet, lambda content: [entry.update(backing=500.0) for entry in content["programs"]], "choice-unsound")


@way("a machine that travels five metres")
def _(packet: Packet) -> Caught:
    return limits(packet, lambda content: content["machine"].update(travel=[5000.0] * 3), "choice-unsound")


@way("an opening 3.9 mm narrower than the drawer, and nothing left to plane off")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: content["joints"][0].update(opening=[116.1, 50.0, 120.0]), "limits.json")
    return Caught("opening-too-small", MANIFEST, 0)


@way("a job file whose numbers became inches")
def _(packet: Packet) -> Caught:
    packet.change("job.toml", "^title = ", 'units = "in"\ntitle = ')
    return Caught("job-differs", "limits.json", 0)


@way("an opening that the job file does not know")
def _(packet: Packet) -> Caught:
    return limits(packet, lambda content: content["joints"][0].update(opening=[130.0, 60.0, 130.0]), "job-differs")


@way("a backing that pins were cut through, not renewed for the tails")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: [entry.update(backing=1) for entry in content["programs"]])
    return Caught("exit-not-backed", RIGHT_REAR, 0, severity="warning")


@way("a light pass along the entry face left out")
def _(packet: Packet) -> Caught:
    """Every move at the tails' depth that stays within 1 mm of the face is made further out, in air."""
    packet.map_words(LEFT_REAR, "Y", lambda y: y - 1.0 if -14.75 < y < -13.75 else y)
    return Caught("entry-not-scored", LEFT_REAR, tuple(range(1, 400)), severity="warning")


@way("the pass along the board's edge left out")
def _(packet: Packet) -> Caught:
    """It is made 1 mm further from the board, in air, at the edge towards which the light pass along the face goes last."""
    packet.map_words(LEFT_REAR, "X", lambda x: x + 1.0 if abs(x - 4.25) < 0.01 else x)
    return Caught("edge-not-scored", LEFT_REAR, tuple(range(1, 400)), severity="warning")


@way("deep tails cut before shallow ones on one strip of backing")
def _(packet: Packet) -> Caught:
    unload(packet)
    orders = {RIGHT_REAR: 16, LEFT_FRONT: 15}
    packet.edit_json(lambda content: [entry.update(order=orders.get(entry["file"], entry["order"])) for entry in content["programs"]])
    return Caught("exit-not-backed", RIGHT_REAR, 0, severity="warning")


@way("an end roughed after it was finished")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        for waste in packet.entries(content, LEFT_FRONT_WASTE):
            waste["order"] = max(entry["order"] for entry in content["programs"]) + 1

    packet.edit_json(edit)
    return Caught("roughing-late", LEFT_FRONT_WASTE, packet.find(LEFT_FRONT_WASTE, "^G1 Y"))


@way("an end not roughed, though the job file asks for it")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        waste = packet.entries(content, LEFT_FRONT_WASTE)
        content["programs"] = [entry for entry in content["programs"] if entry not in waste]

    packet.edit_json(edit)
    return Caught("roughing-missing", LEFT_FRONT, dovetail(packet, LEFT_FRONT), near=9)


@way("one gap of an end not roughed, though the job file asks for it")
def _(packet: Packet) -> Caught:
    start, end = packet.find(LEFT_FRONT_WASTE, "^G0 Z10"), packet.find(LEFT_FRONT_WASTE, "^G0 Z10", 2)
    lines = packet.lines(LEFT_FRONT_WASTE)
    packet.write(LEFT_FRONT_WASTE, lines[:start] + lines[end:])
    return Caught("roughing-missing", LEFT_FRONT, dovetail(packet, LEFT_FRONT), near=9)


@way("roughing 0.25 mm nearer to a flank, so that a quarter is left")
def _(packet: Packet) -> Caught:
    (most,) = {furthest(packet, LEFT_FRONT_WASTE, "X")}
    flank_x = min(
        packet.number(LEFT_FRONT_WASTE, number, "X")
        for number, line in enumerate(packet.lines(LEFT_FRONT_WASTE), 1)
        if line.startswith(("G1 X", "G0 X")) and most - 6.0 < packet.number(LEFT_FRONT_WASTE, number, "X")
    )
    lines = packet.map_words(LEFT_FRONT_WASTE, "X", lambda x: x - 0.25 if x == flank_x else x)
    return Caught("roughing-too-near", LEFT_FRONT_WASTE, lines, near=4)


@way("roughing 0.25 mm deeper, so that a quarter is left")
def _(packet: Packet) -> Caught:
    deep = deepest(packet, LEFT_FRONT_WASTE)
    lines = packet.map_words(LEFT_FRONT_WASTE, "Z", lambda z: z - 0.25, lines=[deep])
    return Caught("roughing-too-near", LEFT_FRONT_WASTE, lines, near=2)


@way("every stop's zone on the wrong side")
def _(packet: Packet) -> Caught:
    def turn(content: dict[str, Any]) -> None:
        for entry in content["programs"]:
            for zone in entry["zones"]:
                if zone["name"] == "stop":
                    (x, *low), (x2, *high) = zone["low"], zone["high"]
                    zone.update(low=[-x2, *low], high=[-x, *high])

    return limits(packet, turn, "zone-wrong")


# --- dry runs ----------------------------------------------------------------------------------------------------------


@way("dry run with the spindle on")
def _(packet: Packet) -> Caught:
    number = packet.insert(DRY, packet.find(DRY, "^G0 Z"), "S18000 M3")
    return Caught("dry-spindle-on", DRY, number, near=1)


@way("bottom of solid wood in grooves that leave it no room to swell")
def _(packet: Packet) -> Caught:
    packet.change("job.toml", "^stock = {", 'stock = { bottom_kind = "solid", bottom_wood = "oak", now = 7, dampest = 15,')
    return Caught("bottom-moves", MANIFEST, 0)


@way("board of another wood than the job's")
def _(packet: Packet) -> Caught:
    board(packet, "front", wood="Pine, Scots")
    return Caught("job-differs", MANIFEST, 0)


@way("dry run that goes another way")
def _(packet: Packet) -> Caught:
    number = packet.find(DRY, r"^G3") + 2
    return Caught("dry-path-differs", DRY, packet.map_words(DRY, "X", lambda x: x + 10.0, lines=[number, number - 1])[:1])


@way("dry run at the height of the clamps")
def _(packet: Packet) -> Caught:
    number = packet.find(DRY_FRONT, "^G1 X")
    return Caught("dry-below-clearance", DRY_FRONT, packet.insert(DRY_FRONT, number, "G1 Z20.0 F500"))


# --- harmless ----------------------------------------------------------------------------------------------------------


def _programs(packet: Packet) -> Iterator[str]:
    for place in sorted((packet.folder / "programs").rglob("*.ngc")):
        yield place.relative_to(packet.folder).as_posix()


# --- corners of the bottom ------------------------------------------------------------------------------------------------


@way("bottom: corners of the left end cut at the right one")
def _(packet: Packet) -> Caught:
    packet.write(BOTTOM_RIGHT, packet.lines(BOTTOM_LEFT))
    return Caught("wrong-work-offset", BOTTOM_RIGHT, 1, near=10_000)


@way("bottom: X counted from the wrong edge, so that the notches lie elsewhere")
def _(packet: Packet) -> Caught:
    packet.map_words(BOTTOM_LEFT, "X", lambda x: 88.0 - x)
    return Caught("outline-cut-into", BOTTOM_LEFT, 1, near=10_000)


@way("bottom: a notch too small")
def _(packet: Packet) -> Caught:
    packet.map_words(BOTTOM_LEFT, "Y", lambda y: y + 0.3)
    return Caught("outline-wood-left", BOTTOM_LEFT, 1, near=10_000)


@way("bottom: a notch too large, so that a hole shows beside the side")
def _(packet: Packet) -> Caught:
    packet.map_words(BOTTOM_LEFT, "Y", lambda y: y - 0.3)
    return Caught("outline-cut-into", BOTTOM_LEFT, 1, near=10_000)


@way("bottom: not cut through")
def _(packet: Packet) -> Caught:
    packet.map_words(BOTTOM_RIGHT, "Z", lambda z: max(z, -3.8))
    return Caught("outline-wood-left", BOTTOM_RIGHT, 1, near=10_000)


@way("bottom: too deep for the waste sheet")
def _(packet: Packet) -> Caught:
    line = deepest(packet, BOTTOM_RIGHT)
    packet.map_words(BOTTOM_RIGHT, "Z", lambda z: z - 0.3 if z < -4.3 else z)
    return Caught("spoilboard-too-deep", BOTTOM_RIGHT, line)


@way("bottom: the end does not stand far enough beyond the stop")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        entry = next(entry for entry in content["programs"] if entry["file"] == BOTTOM_LEFT)
        stop = next(zone for zone in entry["zones"] if zone["name"] == "stop")
        stop["high"][1] = -5.0

    packet.edit_json(edit, "limits.json")
    return Caught("zone-entered", BOTTOM_LEFT, 1, near=10_000)


@way("bottom: the stop said to end further from the corners than any cutter asks for")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        entry = next(entry for entry in content["programs"] if entry["file"] == BOTTOM_LEFT)
        stop = next(zone for zone in entry["zones"] if zone["name"] == "stop")
        stop["high"][1] = -28.0  # notches of 7.9 mm, cutters of 9.5 mm at most, and 5 mm

    packet.edit_json(edit, "limits.json")
    return Caught("zone-wrong", "limits.json", 0)


@way("bottom: the stop left out of what nothing may enter")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        entry = next(entry for entry in content["programs"] if entry["file"] == BOTTOM_LEFT)
        entry["zones"] = [zone for zone in entry["zones"] if zone["name"] != "stop"]

    packet.edit_json(edit, "limits.json")
    return Caught("zone-wrong", "limits.json", 0)


@way("bottom: on its way the cutter runs into the clamps")
def _(packet: Packet) -> Caught:
    line = packet.find(BOTTOM_LEFT, "^G0 X8")
    packet.insert(BOTTOM_LEFT, line, "G0 Y-40.0")
    return Caught("zone-entered", BOTTOM_LEFT, line)


@way("clamps so high that the spindle's body runs into them, and the limits say so")
def _(packet: Packet) -> Caught:
    packet.change("job.toml", r"^\[machine\]", "[machine]\nclamp_height = 50")

    def high(content: dict[str, Any]) -> None:
        for entry in content["programs"]:
            for zone in entry["zones"]:
                if zone["name"] == "clamp" and zone["high"][2] > 0.0:
                    zone["high"][2] = 50.0

    packet.edit_json(high, "limits.json")
    return Caught("zone-entered", FRONT_LEFT, 1, near=10_000)


@way("groove cut where the board stands slid beyond its stop, with no setting before from which that stop is set")
def _(packet: Packet) -> Caught:
    frame(packet, LEFT_GROOVE, [[1.0, 0.0, 0.0, -20.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, -10.0]])
    packet.map_words(LEFT_GROOVE, "X", lambda x: x - 20.0)

    def slid(content: dict[str, Any]) -> None:
        for entry in packet.entries(content, LEFT_GROOVE):
            entry.update(slid=20.0)

    packet.edit_json(slid, "limits.json")
    return Caught("setting-wrong", LEFT_GROOVE, 0)


@way("waste of an end cleared where the board stands slid beyond its stop, its faces cut where it does not: gaps from two settings")
def _(packet: Packet) -> Caught:
    frame(packet, LEFT_FRONT_WASTE, [[0.0, 1.0, 0.0, -20.0], [0.0, 0.0, -1.0, 0.0], [-1.0, 0.0, 0.0, 0.0]])
    packet.map_words(LEFT_FRONT_WASTE, "X", lambda x: x - 20.0)

    def slid(content: dict[str, Any]) -> None:
        for entry in packet.entries(content, LEFT_FRONT_WASTE):
            entry.update(slid=20.0)

    packet.edit_json(slid, "limits.json")
    return Caught("setting-wall", LEFT_FRONT_WASTE, 1, near=10_000)


@way("bottom: cutter put down into the panel from above")
def _(packet: Packet) -> Caught:
    packet.insert(BOTTOM_LEFT, packet.find(BOTTOM_LEFT, "^G0 X8"), "G0 X40.0 Y-20.0", "G1 Z-2.0 F600.0", "G1 Z10.0")
    return Caught("plunge-not-allowed", BOTTOM_LEFT, packet.find(BOTTOM_LEFT, "^G1 Z-2.0"))


@way("bottom: no program for its right end")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        content["programs"] = [entry for entry in content["programs"] if "bottom-1-right" not in entry["file"]]

    packet.edit_json(edit)
    return Caught("program-missing", MANIFEST, 0)


@way("bottom: no program at all")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        content["programs"] = [entry for entry in content["programs"] if "bottom-1" not in entry["file"]]

    packet.edit_json(edit)
    return Caught("program-missing", MANIFEST, 0)


@way("bottom: programs though the job file says that it is sawn by hand")
def _(packet: Packet) -> Caught:
    packet.change("job.toml", 'bottom_corners = "machine"', "")
    return Caught("job-differs", MANIFEST, 0)


@way("bottom: deeper into the waste sheet than is sound, and the limits say so")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: next(e for e in content["programs"] if e["file"] == BOTTOM_LEFT).update(spoilboard=2.0), "limits.json")
    return Caught("choice-unsound", "limits.json", 0)


@way("a text for two boards goes deeper than their programs")
def _(packet: Packet) -> Caught:
    lines = packet.map_words(REAR_ROUND, "Z", lambda z: z - 0.1 if z < 0 else z)
    return Caught("round-differs", REAR_ROUND, lines[0])


@way("a text for two boards feeds faster than their programs")
def _(packet: Packet) -> Caught:
    return Caught("round-differs", REAR_ROUND, packet.map_words(REAR_ROUND, "F", lambda f: f + 1.0)[0])


@way("a text for two boards cuts both at one stop")
def _(packet: Packet) -> Caught:
    packet.change(REAR_ROUND, "^G55 ", "G54 ")
    return Caught("round-differs", REAR_ROUND, 0)


@way("a program edited, and not the text that runs it on two boards")
def _(packet: Packet) -> Caught:
    packet.map_words(LEFT_REAR, "F", lambda feed: feed - 1.0)
    return Caught("round-stale", REAR_ROUND, 0, severity="warning")


@way("a text for two boards lacks the last move")
def _(packet: Packet) -> Caught:
    line = packet.drop(REAR_ROUND, packet.find(REAR_ROUND, "^G1", -1))
    return Caught("round-differs", REAR_ROUND, line, near=2)


@way("a text for two boards goes low from one to the other")
def _(packet: Packet) -> Caught:
    return Caught("round-way-low", REAR_ROUND, packet.change(REAR_ROUND, r"^G0 Z40\.0 \(rise", "G0 Z9.9 (rise", 3))


@way("a text for two boards asks for the zero of one")
def _(packet: Packet) -> Caught:
    return Caught("round-zero", REAR_ROUND, packet.change(REAR_ROUND, "of G54 and G55", "of G54"))


@way("two boards without a dry run of their own")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: [own.update(dry="") for own in content["loadings"] if own["file"] == REAR_ROUND], LIMITS)
    return Caught("pair-not-dry", REAR_ROUND, 0)


@way("a dry run of two boards that goes another way than their program")
def _(packet: Packet) -> Caught:
    lines = packet.map_words(REAR_DRY, "X", lambda x: x + 0.1 if x < -20 else x)
    return Caught("dry-path-differs", REAR_DRY, lines[0], near=1)


@way("a dry run of two boards that is clear of the thinner alone")
def _(packet: Packet) -> Caught:
    line = packet.map_words(THIN_AND_THICK_DRY, "Z", lambda z: z - 8.0 if z > 42.0 else z)[0]
    return Caught("dry-below-clearance", THIN_AND_THICK_DRY, line, near=9)


@way("a dry run of two boards under a turning spindle")
def _(packet: Packet) -> Caught:
    return Caught("dry-spindle-on", REAR_DRY, packet.insert(REAR_DRY, packet.find(REAR_DRY, "^G0"), "S9000 M3"), near=1)


@way("two boards that together ask for more travel in Z than there is")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: content["machine"].update(travel=[*content["machine"]["travel"][:2], 50.0]), LIMITS)
    return Caught("outside-travel", THIN_AND_THICK, packet.find(THIN_AND_THICK, "^G1 Z"), near=9)


@way("a nut so wide that it comes over the other board")
def _(packet: Packet) -> Caught:
    packet.change("job.toml", "cutting_length = 14", "cutting_length = 14, holder = 480")
    packet.edit_json(lambda content: [entry.update(holder=480.0) for entry in content["tools"] if entry["number"] == 1], LIMITS)
    return Caught("round-near-board", REAR_ROUND, packet.find(REAR_ROUND, "^G1 Z"), near=20)


@way("stops too near to each other for two boards")
def _(packet: Packet) -> Caught:
    packet.change("job.toml", r"upright_stops = \[150, 450\]", "upright_stops = [150, 230]")
    packet.edit_json(lambda content: content["machine"].update(upright_stops=[150.0, 230.0]), LIMITS)
    return Caught("loading-unsound", REAR_ROUND, 0)


@way("both ends of one board at once")
def _(packet: Packet) -> Caught:
    def edit(content: dict[str, Any]) -> None:
        right, left = (next(own for own in content["loadings"] if own["file"] == file) for file in (FRONT_RIGHT, FRONT_LEFT))
        right["programs"] += left["programs"]
        content["loadings"].remove(left)

    packet.edit_json(edit, LIMITS)
    return Caught("loading-unsound", FRONT_RIGHT, 0)


@way("a setup left out")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: content["loadings"].pop(2), LIMITS)
    return Caught("loading-count", LIMITS, 0)


@way("a setup before the one that it counts on")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: content["loadings"].reverse(), LIMITS)
    return Caught("round-order", LIMITS, 0)


@way("a round that does not stop for its boards to be changed")
def _(packet: Packet) -> Caught:
    return Caught("round-no-stop", ROUND, packet.drop(ROUND, packet.find(ROUND, "^M0 .change boards")), near=3)


@way("a round that changes boards under a turning spindle")
def _(packet: Packet) -> Caught:
    packet.drop(ROUND, packet.find(ROUND, "^M5", 2))
    return Caught("round-no-stop", ROUND, packet.find(ROUND, "^M0 .change boards"), near=5)


@way("a round that asks for no zero of another board")
def _(packet: Packet) -> Caught:
    return Caught("round-zero", ROUND, packet.change(ROUND, ", set Z zero of G54 and G55", ""), near=5)


@way("a round that leaves a board out")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: next(own for own in content["rounds"] if own["file"] == ROUND).update(count=1), LIMITS)
    return Caught("round-differs", ROUND, 0)


@way("a text for several boards that no setup names")
def _(packet: Packet) -> Caught:
    packet.write("rounds/mine.ngc", packet.lines(REAR_ROUND))
    return Caught("round-unjudged", "rounds/mine.ngc", 0)


def _measured(packet: Packet, **cells: str) -> None:
    """Put in a sheet of boards, all as planned but for some: length, width and thickness by part."""
    drawers: list[dict[str, Any]] = []
    packet.edit_json(lambda content: drawers.extend(content["drawers"]))
    rows = [f"d1-{part},{cells.get(part, ',,')}" for part in ("front", "back", "left", "right", "bottom")]
    packet.write("boards.csv", ["board,length mm,width mm,thickness mm", *rows, ""])
    packet.insert("job.toml", packet.find("job.toml", r"^\[groove\]"), "[boards]", 'file = "boards.csv"')
    wide, deep, high = drawers[0]["outside"]
    packet.edit_json(lambda content: content["joints"][0].update(planned=[wide, deep, high]), "limits.json")


@way("a side that is thicker on the sheet than its programs are for")
def _(packet: Packet) -> Caught:
    _measured(packet, left=",,10.3")
    return Caught("job-differs", MANIFEST, 0)


@way("a side that is thinner on the sheet than boards that share its programs may be")
def _(packet: Packet) -> Caught:
    _measured(packet, left=",,9.94")
    return Caught("job-differs", MANIFEST, 0)


@way("a sheet of boards that is gone")
def _(packet: Packet) -> Caught:
    _measured(packet)
    (packet.folder / "boards.csv").unlink()
    return Caught("job-invalid", "boards.csv", 0)


@way("a back that was measured far too short")
def _(packet: Packet) -> Caught:
    _measured(packet, back="118,,")
    return Caught("board-unfit", MANIFEST, 0)


@harmless("a sheet of boards that are a little smaller than they are cut as")
def _(packet: Packet) -> None:
    _measured(packet, left="105.76,45.97,9.96", back="120.57,,")


@harmless("comments taken away and put in")
def _(packet: Packet) -> None:
    for file in _programs(packet):
        # A stop's comment stays: it asks for the zero.
        lines = [line if line.startswith("M0") else line.split("(")[0].rstrip() for line in packet.lines(file)]
        packet.write(file, ["(trimmed by hand)", *(f"{line} (checked)" if line and "(" not in line else line for line in lines)])


@harmless("spaces and blank lines")
def _(packet: Packet) -> None:
    for file in _programs(packet):
        packet.write(file, [part for line in packet.lines(file) for part in (line.replace(" Y", "   Y").replace("X", "\tX "), "")])


@harmless("line numbers")
def _(packet: Packet) -> None:
    for file in _programs(packet):
        lines = packet.lines(file)
        packet.write(file, [f"N{10 * number} {line}" if line else line for number, line in enumerate(lines, 1)])


@harmless("words in another order, in small letters, with Windows line ends")
def _(packet: Packet) -> None:
    for file in _programs(packet):
        lines = []
        for line in packet.lines(file):
            code, paren, comment = line.partition("(")
            lines.append(" ".join(reversed(code.lower().split())) + (" " if code else "") + paren + comment + "\r")
        packet.write(file, lines)


@harmless("zeros before and after numbers, and plus signs")
def _(packet: Packet) -> None:
    for file in _programs(packet):
        lines = packet.lines(file)
        packet.write(
            file, [line if "(" in line else line.replace("X-", "X-00").replace("G1 ", "G01 ").replace("F", "F+") for line in lines]
        )


@harmless("per cent signs around the program")
def _(packet: Packet) -> None:
    for file in _programs(packet):
        packet.write(file, ["%", *packet.lines(file), "%", ""])


@harmless("radius in place of centre")
def _(packet: Packet) -> None:
    packet.change_all(LEFT_FRONT, r"I([1-9][\d.]*) J0\.0", r"R\1")


@harmless("a way in through air that the dry run does not know")
def _(packet: Packet) -> None:
    packet.map_words(LEFT_FRONT, "Y", lambda y: y - 1.0, lines=[packet.find(LEFT_FRONT, "^G0 X")])


@harmless("a spindle that is switched by hand")
def _(packet: Packet) -> None:
    by_hand(packet)


@harmless("comments behind semicolons")
def _(packet: Packet) -> None:
    for file in _programs(packet):
        packet.write(file, [line.replace("(", "; ").replace(")", "") for line in packet.lines(file)])


@harmless("two programs of one end in one file, with a change of cutter between them")
def _(packet: Packet) -> None:
    both_cutters(packet)


@harmless("manifest laid out in another way")
def _(packet: Packet) -> None:
    packet.edit_json(lambda content: content["programs"].reverse())


@way("an answer that the grooves were not made with")
def _(packet: Packet) -> Caught:
    answer = '[[groove]]\nplay = 0.25\nbottom = { thickness = 4, wood = "plywood" }\nstraight = { number = 2, diameter = 3 }\n'
    (packet.folder / "job.fit.toml").write_text(answer, encoding="ascii")
    return Caught("job-differs", "limits.json", 0)


@way("an answer on a feed that the programs were not made with")
def _(packet: Packet) -> Caught:
    woods = '["Beech, European", "plywood", "unknown hardwood"]'
    answer = f'[[settings]]\ntaught = "torn"\ncutter = {{ number = 2, diameter = 3 }}\nwoods = {woods}\nfeed = 1200\n'
    (packet.folder / "job.fit.toml").write_text(answer, encoding="ascii")
    return Caught("job-differs", "limits.json", 0)


@way("a cutter that was measured as another one than the programs took it for")
def _(packet: Packet) -> Caught:
    cutter = 'number = 1\nkind = "dovetail"\nmarked_diameter = 9.5\nmarked_angle = 9\ndiameter = 9.4\nangle = 8.8\nwithin = 0.03\n'
    (packet.folder / "job.fit.toml").write_text(f"[[cutters]]\n{cutter}", encoding="ascii")
    return Caught("job-differs", MANIFEST, 0)
