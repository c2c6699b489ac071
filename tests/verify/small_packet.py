"""A packet written by hand: one square drawer with a single tail at each corner, straight from the equations of docs/joinery.md.

Nothing here comes from the layers that write packets. Sizes are invented.
"""

from __future__ import annotations

import hashlib
import json
import math
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

__all__ = ["Small"]

Line = tuple[float, float]


@dataclass
class Small:
    """The drawer's measures in mm; change one and the programs follow, or edit what `files` returns."""

    wide: float = 100.0
    deep: float = 100.0
    high: float = 40.0
    side: float = 10.0
    front: float = 16.0
    back: float = 10.0
    lap: float = 4.0
    proud: float = 0.2
    flank: float = 0.08
    tip: float = 0.2
    middle: float = 20.0
    tail: float = 18.0  # width at its tip
    radius: float = 5.0  # of the dovetail cutter
    angle: float = 10.0
    straight: float = 4.0  # diameter
    edge: float = 8.0  # of the groove
    groove: float = 4.0  # depth
    bottom: float = 3.9
    tongue: float = 3.5
    slid: float = 0.0  # how far the left side is slid for the rest of its groove; 0: it is cut in one setting
    overlap: float = 8.0  # of what is cut before and after
    parted: float = 0.0  # how far it is slid for the second gap of its front end; 0: that is cut in one setting
    deeper: dict[str, float] = field(default_factory=dict)  # program stem -> how much deeper than it should be
    wider: dict[str, float] = field(default_factory=dict)  # program stem -> how much further out each wall's centre line

    @property
    def slope(self) -> float:
        return math.tan(math.radians(self.angle))

    @property
    def side_length(self) -> float:
        return self.deep - self.lap + self.proud

    # --- programs ------------------------------------------------------------------------------------------------------

    def _program(self, offset: str, tool: int, moves: list[str], top: float = 12) -> str:
        """Come and go at ``top``: over the clamps of a flat board."""
        head = ["G21 G17 G90 G94 G40 G49 G80", offset, "M5", f"T{tool} M6 G43 H{tool}", f"G0 Z{top}", "S16000 M3"]
        return "\n".join([*head, *moves, f"G0 Z{top}", "M5", "M30", ""])

    def _tails_front(self, stem: str, sign: int, gaps: str = "both") -> str:
        """Section 5: round the inside corners; ``sign`` 1 at a left stop, -1 at a right one. The far gap alone is cut slid."""
        h = self.front - self.lap + self.deeper.get(stem, 0.0)
        r0 = self.radius - (self.front - self.lap) * self.slope
        play = self.flank + self.tip * self.slope
        rho = self.radius + r0 - play
        turn = self.side + play - r0
        out = self.tail / 2 + r0 + self.wider.get(stem, 0.0)
        near = -(self.side + self.radius + 2)
        mid = sign * self.middle - (self.parted if gaps == "far" else 0.0)
        low, high = mid - out, mid + out
        moves = [f"G0 X{low + rho:.4f} Y{near}", f"G1 Z{-h:.4f} F1200"]
        moves += [f"G1 Y{-turn - rho:.4f}", f"G2 X{low:.4f} Y{-turn:.4f} J{rho:.4f} I0", "G1 Y1.0"]
        moves += self._clear(low, -5.0, near)
        far = [f"G0 X{high - rho:.4f} Y{near}", f"G1 Z{-h:.4f} F1200"]
        far += [f"G1 Y{-turn - rho:.4f}", f"G3 X{high:.4f} Y{-turn:.4f} J{rho:.4f} I0", "G1 Y1.0", *self._clear(high, 5.0, near)]
        moves = {"both": [*moves, f"G1 Y{near}", "G0 Z12", *far], "near": moves, "far": far}[gaps]
        return self._program("G54" if sign > 0 else "G55", 1, [*moves, f"G1 Y{near}"])

    def _clear(self, start: float, step: float, near: float) -> list[str]:
        moves = []
        for i in (1, 2):
            moves += [f"G1 X{start + i * step:.4f}", f"G1 Y{near}" if i == 1 else "G1 Y1.0"]
        return moves

    def _tails_back(self, stem: str, sign: int) -> str:
        """Section 6: straight through; widths belong to the back's outside face."""
        h = self.back + self.proud + self.deeper.get(stem, 0.0)
        out = self.tail / 2 + self.radius - self.back * self.slope + self.wider.get(stem, 0.0)
        near = -(self.side + self.radius + 2)
        moves = []
        for side in (-1, 1):
            x = sign * self.middle + side * out
            moves += ["G0 Z12", f"G0 X{x:.4f} Y{near}", f"G1 Z{-h:.4f} F1200", "G1 Y1.0", *self._clear(x, side * 5.0, near), f"G1 Y{near}"]
        return self._program("G54" if sign > 0 else "G55", 1, moves)

    def _sockets(self, stem: str, sign: int) -> str:
        depth = self.front - self.lap + self.tip + self.deeper.get(stem, 0.0)
        r0 = self.radius - (self.front - self.lap) * self.slope
        play = self.flank + self.tip * self.slope
        out = self.tail / 2 + play - self.radius + self.wider.get(stem, 0.0)
        reach = -(self.side + play - r0)
        near, mid = self.radius + 2, sign * self.middle
        moves = [f"G0 X{mid:.4f} Y{near}", f"G1 Z{-depth:.4f} F1200", f"G1 Y{reach + 0.2:.4f}", f"G1 Y{near}"]
        moves += [f"G1 X{mid - out:.4f}", f"G1 Y{reach:.4f}", f"G1 X{mid + out:.4f}", f"G1 Y{near}"]
        return self._program("G56" if sign > 0 else "G57", 1, moves, 40)

    def _pins(self, stem: str, sign: int) -> str:
        depth = self.side + self.proud + self.deeper.get(stem, 0.0)
        shift = self.straight / 2 / math.cos(math.radians(self.angle)) - self.wider.get(stem, 0.0)

        def half(y: float) -> float:
            return self.tail / 2 + self.flank - y * self.slope - shift

        near, far, mid = -4.0, self.back + 1.0, sign * self.middle
        moves = []
        for share in (-1.0, -0.5, 0.0, 0.5, 1.0):
            first, last = mid + share * half(near), mid + share * half(far)
            moves += [
                "G0 Z12",
                f"G0 X{first:.4f} Y{near - self.back:.4f}",
                f"G1 Z{-depth:.4f} F1200",
                f"G1 X{last:.4f} Y{far - self.back:.4f}",
            ]
            moves += [f"G1 X{first:.4f} Y{near - self.back:.4f}"]
        return self._program("G54" if sign > 0 else "G55", 2, moves)

    def _groove(self, stem: str, start: float, end: float, sign: int) -> str:
        """From one round end's middle to the other's, along u."""
        depth = self.groove + self.deeper.get(stem, 0.0)
        y = self.edge + self.straight / 2 + self.wider.get(stem, 0.0)
        moves = [f"G0 X{sign * start:.4f} Y{y:.4f}", "G1 Z0.5 F600", f"G1 X{sign * end:.4f} Z{-depth:.4f}", f"G1 X{sign * start:.4f}"]
        moves += [f"G1 X{sign * end:.4f}", "G1 Z12"]
        return self._program("G58" if sign > 0 else "G59", 2, moves, 40)

    def programs(self) -> dict[str, str]:
        """Return every program's text by its stem."""
        stop, rear = 3.0 + self.straight / 2, self.side_length - self.back - self.proud
        inside = self.front - self.lap
        stopped = (inside + stop, rear - stop)
        across = (self.side + stop, self.wide - self.side - stop)
        middle = sum(stopped) / 2
        end = middle + self.overlap / 2 if self.slid else stopped[1]
        rest = (middle - self.overlap / 2 - self.slid, stopped[1] - self.slid)
        return {
            "left-front": self._tails_front("left-front", 1, "near" if self.parted else "both"),
            "right-front": self._tails_front("right-front", -1),
            "left-rear": self._tails_back("left-rear", -1),
            "right-rear": self._tails_back("right-rear", 1),
            "front-left": self._sockets("front-left", -1),
            "front-right": self._sockets("front-right", 1),
            "back-left": self._pins("back-left", -1),
            "back-right": self._pins("back-right", 1),
            "left-groove": self._groove("left-groove", stopped[0], end, 1),
            "right-groove": self._groove("right-groove", *stopped, -1),
            "front-groove": self._groove("front-groove", *across, -1),
            "back-groove": self._groove("back-groove", across[0] + self.proud, across[1] + self.proud, 1),
            **({"left-groove-2": self._groove("left-groove-2", *rest, 1)} if self.slid else {}),
            **({"left-front-2": self._tails_front("left-front-2", 1, "far")} if self.parted else {}),
        }

    # --- descriptions --------------------------------------------------------------------------------------------------

    def manifest(self) -> dict[str, Any]:
        length = self.side_length
        boards = {
            "front": ("front", [self.wide, self.high, self.front], [[1, 0, 0, 0], [0, 0, 1, 0], [0, 1, 0, 0]]),
            "back": (
                "back",
                [self.wide + 2 * self.proud, self.high, self.back],
                [[1, 0, 0, -self.proud], [0, 0, -1, self.deep], [0, 1, 0, 0]],
            ),
            "left": ("left side", [length, self.high, self.side], [[0, 0, 1, 0], [1, 0, 0, self.lap], [0, 1, 0, 0]]),
            "right": ("right side", [length, self.high, self.side], [[0, 0, -1, self.wide], [1, 0, 0, self.lap], [0, 1, 0, 0]]),
        }
        back_length = self.wide + 2 * self.proud
        setups = {
            "left-front": ("left", "upright", [[0, 1, 0, 0], [0, 0, -1, 0], [-1, 0, 0, 0]], 1),
            "right-front": ("right", "upright", [[0, -1, 0, 0], [0, 0, -1, 0], [-1, 0, 0, 0]], 1),
            "left-rear": ("left", "upright", [[0, -1, 0, 0], [0, 0, -1, 0], [1, 0, 0, -length]], 1),
            "right-rear": ("right", "upright", [[0, 1, 0, 0], [0, 0, -1, 0], [1, 0, 0, -length]], 1),
            "front-left": ("front", "flat", [[0, -1, 0, 0], [-1, 0, 0, 0], [0, 0, 1, -self.front]], 1),
            "front-right": ("front", "flat", [[0, 1, 0, 0], [1, 0, 0, -self.wide], [0, 0, 1, -self.front]], 1),
            "back-left": ("back", "upright", [[0, -1, 0, 0], [0, 0, 1, -self.back], [-1, 0, 0, 0]], 2),
            "back-right": ("back", "upright", [[0, 1, 0, 0], [0, 0, 1, -self.back], [1, 0, 0, -back_length]], 2),
            "left-groove": ("left", "flat", [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, -self.side]], 2),
            "right-groove": ("right", "flat", [[-1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, -self.side]], 2),
            "front-groove": ("front", "flat", [[-1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, -self.front]], 2),
            "back-groove": ("back", "flat", [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, -self.back]], 2),
        }
        if self.slid:
            setups["left-groove-2"] = ("left", "flat", [[1, 0, 0, -self.slid], [0, 1, 0, 0], [0, 0, 1, -self.side]], 2)
        if self.parted:
            setups["left-front-2"] = ("left", "upright", [[0, 1, 0, -self.parted], [0, 0, -1, 0], [-1, 0, 0, 0]], 1)
        programs = []
        for order, (stem, (board, hold, frame, tool)) in enumerate(setups.items(), 1):
            right = frame[0][1] < 0 or frame[0][0] < 0
            programs.append(
                {
                    "file": f"programs/{stem}.ngc", "board": board, "hold": hold, "stop": "right" if right else "left",
                    "work_offset": _offset(hold, stem, right), "to_machine": frame, "tools": [tool], "kind": "cut",
                    "seconds": 60.0, "order": order, "backing": order,
                }
            )  # fmt: skip
        outline, place, size = self._bottom()
        entries = [
            {"id": name, "role": role, "size": sizes, "count": 1, "to_drawer": frame} for name, (role, sizes, frame) in boards.items()
        ]
        entries.append({"id": "bottom", "role": "bottom", "size": size, "count": 1, "to_drawer": place, "outline": outline})
        parts = {name: name for name in ("front", "back", "left", "right", "bottom")}
        return {
            "manifest": 1, "job": "Seed drawer", "generator": "by hand", "units": "mm",
            "tools": [
                {
                    "number": 1, "kind": "dovetail", "diameter": 2 * self.radius, "half_angle": self.angle, "cutting_length": 14.0,
                    "shank": 5.0,
                },
                {"number": 2, "kind": "straight", "diameter": self.straight, "half_angle": 0.0, "cutting_length": 14.0, "shank": 4.0},
            ],
            "drawers": [{"id": "seeds", "count": 1, "outside": [self.wide, self.deep, self.high], "parts": parts}],
            "boards": entries,
            "programs": programs,
        }  # fmt: skip

    def _bottom(self) -> tuple[list[list[float]], list[list[float]], list[float]]:
        """Outline with tongues that end before the grooves' round ends, and a panel that reaches the inside corners."""
        left, right = self.side - self.tongue, self.wide - self.side + self.tongue
        near, far = self.front - self.tongue, self.deep - self.back + self.tongue
        trim, reach = 3.0 + self.straight / 2 + 0.3, 0.2
        quarter = [
            (left, self.front + trim),
            (self.side + reach, self.front + trim),
            (self.side + reach, self.front + reach),
            (self.side + trim, self.front + reach),
            (self.side + trim, near),
        ]
        lower = [*quarter, *((left + right - x, y) for x, y in reversed(quarter))]
        upper = [(x, self.front + self.deep - self.back - y) for x, y in reversed(lower)]
        outline = [[x - left, y - near] for x, y in (*lower, *upper)]
        play = self.straight - self.bottom
        place = [[1, 0, 0, left], [0, 1, 0, near], [0, 0, 1, self.edge + play / 2]]
        return outline, place, [right - left, far - near, self.bottom]

    def limits(self) -> dict[str, Any]:
        holder = {"stick_out": 30.0, "holder": 20.0}
        tools = [
            {"number": number, "max_speed": 22000.0, "max_feed": 2000.0, "depth_per_pass": depth, "plunges": plunges, **holder}
            for number, depth, plunges in ((1, None, False), (2, 14.0, True))
        ]
        machine = {
            "travel": [400.0, 300.0, 100.0], "min_speed": 6000.0, "max_speed": 24000.0, "max_feed": 3000.0, "rapid": 4000.0,
            "acceleration": 300.0, "clearance": 10.0, "retract": 12.0,
            "upright_stops": [100.0, 300.0], "upright_plate": 60.0, "flat_stops": [90.0, 310.0], "flat_fence": 80.0,
            "spindle_diameter": 65.0, "nut_height": 20.0,
        }  # fmt: skip
        manifest = self.manifest()
        sizes = {board["id"]: board["size"] for board in manifest["boards"]}
        line = self.edge + self.straight + 13.0
        programs = [_surroundings(program, line, *sizes[program["board"]]) for program in manifest["programs"]]
        joint = {
            "drawer": "seeds", "flank": self.flank, "tip": self.tip, "lap": self.lap, "proud": self.proud, "back": "full",
            "bottom_play": self.straight - self.bottom, "bottom_held": ["front", "back", "left", "right"],
            "opening": [self.wide + 1, self.high + 1, self.deep + 1], "front": "inset",
        }  # fmt: skip
        return {"limits": 1, "machine": machine, "tools": tools, "programs": programs, "joints": [joint]}

    def job(self) -> str:
        """Return the job file that a maker of this drawer would have written, with nothing left open."""
        return f"""
title = "Seed drawer"
stock = {{ front = {self.front}, side = {self.side}, back = {self.back}, bottom = {self.bottom} }}
[[cutters]]
kind = "dovetail"
diameter = {2 * self.radius}
angle = {self.angle}
cutting_length = 14
shank = 5
max_speed = 22000
feed = 2000
stick_out = 30
holder = "2 cm"
[[cutters]]
kind = "straight"
diameter = {self.straight}
cutting_length = 14
shank = 4
max_speed = 22000
feed = 2000
depth_per_pass = 14
plunges = true
stick_out = 30
holder = 20
[machine]
travel = [400, 300, 100]
min_speed = 6000
max_speed = 24000
max_feed = 3000
rapid = 4000
acceleration = 300
clearance = 10
retract = 12
upright_stops = [100, 300]
upright_plate = 60
flat_stops = [90, 310]
flat_fence = 80
spindle_diameter = 65
nut_height = 20
backing = 18
upright_stop_below = 30
flat_stop = 4
clamp_height = 30
clamp_from_end = 25
clamp_from_groove = 13
[joints]
lap = {self.lap}
clearance = {self.flank}
free_depth = {self.tip}
proud = {self.proud}
light_pass = 0
[groove]
edge = {self.edge}
depth = {self.groove}
play = {self.straight - self.bottom:.6f}
stop = 3
[fit]
side = 0.5
above = 1
behind = 1
[[drawers]]
name = "Seeds"
opening = [{self.wide + 1}, {self.high + 1}, {self.deep + 1}]
"""

    def write(self, folder: Path) -> Path:
        """Write the packet and return its folder."""
        (folder / "programs").mkdir(parents=True)
        for stem, text in self.programs().items():
            (folder / "programs" / f"{stem}.ngc").write_text(text, encoding="ascii")
        (folder / "job.toml").write_text(self.job(), encoding="ascii")
        for name, content in (("manifest.json", _floats(self.manifest())), ("limits.json", _floats(self.limits()))):
            (folder / name).write_text(json.dumps(content, indent=1), encoding="ascii")
        names = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*.*"))
        digests = (f"{hashlib.sha256((folder / name).read_bytes()).hexdigest()}  {name}\n" for name in names)
        (folder / "contents.sha256").write_text("".join(digests), encoding="ascii")
        return folder


def _offset(hold: str, stem: str, right: bool) -> str:
    """Return the work offset of each kind of setup."""
    first = 54 if hold == "upright" else 58 if "groove" in stem else 56
    return f"G{first + right}"


def _surroundings(program: dict[str, Any], line: float, length: float, width: float, thick: float) -> dict[str, Any]:
    """Stop, clamp and plate 30 mm below an upright end; stop, and fence for a groove, 4 mm high on the bed.

    Clamps stand 30 mm high on a flat board, 25 mm from its end or ``line`` from the fence.
    """
    left, upright, groove = program["stop"] == "left", program["hold"] == "upright", "groove" in program["file"]
    across = length if groove else width
    slid = -program["to_machine"][0][3] if left else 0.0
    low_x, high_x = (-slid, across - slid) if left else (-across, 0.0)
    stop_x = (low_x - 60.0, low_x) if left else (0.0, 60.0)
    zones = {
        "stop": ((stop_x[0], -thick, -300.0), (stop_x[1], 0.0, -30.0)),
        "clamp": ((low_x, -thick - 60.0, -300.0), (high_x, -thick, -30.0)),
        "plate": ((low_x - 60.0, 18.0, -300.0), (high_x + 60.0, 90.0, 0.0)),
    }
    if not upright:
        low_y, high_y = (0.0, width) if groove else (-length, 0.0)
        zones = {"stop": ((stop_x[0], low_y, -thick), (stop_x[1], high_y, 4.0 - thick))}
        low_y, high_y = (line, width + 60.0) if groove else (-length - 60.0, -25.0)
        zones["clamp"] = ((low_x - 60.0, low_y, 0.0), (high_x + 60.0, high_y, 30.0))
        if groove:
            zones["fence"] = ((low_x - 60.0, -60.0, -thick), (high_x + 60.0, 0.0, 4.0 - thick))
    entries = [{"name": name, "low": low, "high": high} for name, (low, high) in zones.items()]
    return {"file": program["file"], "backing": 18.0 if upright else 0.0, "spoilboard": 0.0, "zones": entries, "slid": slid}


def _floats(value: Any) -> Any:
    """Round away the noise of sums, so that the files read well."""
    if isinstance(value, dict):
        return {key: _floats(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_floats(item) for item in value]
    return round(value, 6) if isinstance(value, float) else value
