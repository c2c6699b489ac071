"""Random jobs that are refused: good jobs in which a few values are changed, each told by its seed."""

from __future__ import annotations

import copy
import random
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.job.jobs import SMALL

__all__ = ["GOOD", "refused_job"]

Content = dict[str, Any]

_SAMPLES = Path(__file__).parent.parent.parent / "samples"
GOOD = [SMALL, *(tomllib.loads((_SAMPLES / f"{name}.toml").read_text(encoding="utf-8")) for name in ("first-drawer", "specimen-chest"))]
_LENGTHS: dict[str, tuple[float, float]] = {
    "stock.front": (3, 45),
    "stock.side": (3, 30),
    "stock.back": (3, 30),
    "stock.bottom": (2, 14),
    "joints.lap": (0.5, 18),
    "joints.tail": (3, 90),
    "joints.pin": (1, 60),
    "joints.half_pin": (1, 40),
    "joints.light_pass": (0, 3),
    "joints.rough_stock": (0.1, 3),
    "groove.edge": (2, 60),
    "groove.depth": (1, 18),
    "groove.play": (0, 2),
    "groove.stop": (0, 50),
    "fit.side": (0, 30),
    "fit.above": (0, 30),
    "fit.behind": (0, 250),
    "fit.reveal": (0, 30),
    "machine.retract": (2, 100),
    "machine.clearance": (2, 60),
    "machine.backing": (3, 40),
    "machine.upright_stop_below": (3, 50),
    "machine.flat_stop": (1, 20),
    "machine.clamp_height": (3, 60),
    "machine.clamp_from_end": (5, 200),
    "machine.clamp_from_groove": (3, 200),
    "machine.upright_plate": (0, 500),
    "machine.flat_fence": (0, 500),
    "templates.comb": (2, 20),
    "templates.guide": (2, 60),
    "templates.guide_radius": (0, 30),
}
_OF_A_CUTTER: dict[str, tuple[float, float]] = {
    "diameter": (1, 30),
    "angle": (0, 25),
    "cutting_length": (2, 40),
    "shank": (2, 20),
    "speed": (4000, 30000),
    "max_speed": (5000, 30000),
    "feed": (50, 12000),
    "depth_per_pass": (0.3, 10),
    "stick_out": (5, 60),
    "holder": (5, 60),
}
_WORDS = {
    "joints.style": ("standart", "even", "spaced", "swelling", "fancy"),
    "groove.ends": ("hidden", "open", "stoped"),
    "fit.back": ("raised", "low"),
    "fit.front": ("overlay", "onlay"),
    "stock.bottom_kind": ("solid", "ply"),
    "stock.wood": ("oak", "pine", "beach", "unobtainium"),
    "machine.postprocessor": ("inch", "inches", "none-such.toml"),
    "joints.tails": (1, 2, 3, 5, 9, 0, 2.5),
    "joints.dovetail": (1, 2, 7),
    "joints.straight": (1, 2, 9),
    "groove.cutter": (1, 2, 8),
    "joints.rough": (True, "yes"),
    "machine.holds": (["upright"], ["flat"], ["flat", "flat"], "upright"),
    "stock.driest": (4, 14, 30),
    "stock.now": (5, 12, "9 %"),
    "templates.bushes": ([8], [40], [3, 12], 12),
}
_WRONG = ("19,5", "3/4", "20mm", "thick", True, [12], {}, -4, 0, 1e9, "7 cm", "0.5 in", "")


def refused_job(seed: int, faults_of: Callable[[Content], object]) -> Content:
    """Return the first job that is refused of those that a seed leads to."""
    chance = random.Random(seed)
    while True:
        content = copy.deepcopy(chance.choice(GOOD))
        for _ in range(chance.choice((1, 1, 1, 2, 2, 3))):
            chance.choice(_SLIPS)(content, chance)
        if faults_of(content):
            return content


def _put(content: Content, key: str, value: Any, chance: random.Random) -> None:
    """Write a value for the whole job, or for one of its drawers."""
    table, name = key.split(".")
    home = content
    if table in ("stock", "joints", "groove", "fit") and chance.random() < 0.3 and isinstance(content["drawers"], list):
        home = chance.choice(content["drawers"])
    if isinstance(home, dict) and isinstance(inner := home.setdefault(table, {}), dict):
        inner[name] = value


def _length(content: Content, chance: random.Random) -> None:
    key = chance.choice(list(_LENGTHS))
    _put(content, key, round(chance.uniform(*_LENGTHS[key]), chance.choice((0, 1, 2))), chance)


def _word(content: Content, chance: random.Random) -> None:
    key = chance.choice(list(_WORDS))
    _put(content, key, chance.choice(_WORDS[key]), chance)


def _wrong(content: Content, chance: random.Random) -> None:
    key = chance.choice([*_LENGTHS, *_WORDS])
    _put(content, key, chance.choice(_WRONG), chance)


def _unknown(content: Content, chance: random.Random) -> None:
    key = chance.choice(["stock.lap", "joints.laps", "groove.dept", "fit.behnd", "machine.clearanse", "joints.edge", "stock.colour"])
    _put(content, key, chance.choice((3, 5, 8, 12)), chance)


def _cutter(content: Content, chance: random.Random) -> None:
    cutter = chance.choice(content["cutters"]) if content["cutters"] else None
    if isinstance(cutter, dict):
        key = chance.choice(list(_OF_A_CUTTER))
        low, high = _OF_A_CUTTER[key]
        cutter[key] = round(chance.uniform(low, high), 1) if chance.random() < 0.9 else chance.choice(_WRONG)


def _cutters(content: Content, chance: random.Random) -> None:
    way = chance.randrange(4)
    if way == 0 and content["cutters"]:
        content["cutters"].pop(chance.randrange(len(content["cutters"])))
    elif way == 1 and content["cutters"]:
        content["cutters"].append(dict(content["cutters"][0], number=1))
    elif content["cutters"]:
        cutter = chance.choice(content["cutters"])
        cutter.pop(chance.choice(list(cutter)), None)


def _size(content: Content, chance: random.Random) -> None:
    drawer = chance.choice(content["drawers"])
    axis = chance.randrange(3)
    sizes = drawer.get("opening")
    if not isinstance(sizes, list) or axis >= len(sizes):
        return
    way = chance.randrange(8)
    if way == 0:
        drawer["opening"] = [round(size / 10, 1) for size in sizes if isinstance(size, int | float)]
    elif way == 1:
        chance.shuffle(sizes)
    elif way == 2:
        drawer["opening"] = sizes[:2]
    elif way == 3:
        sizes[axis] = chance.choice(_WRONG)
    else:
        sizes[axis] = chance.randint(20, (700, 250, 700)[axis])


def _drawer(content: Content, chance: random.Random) -> None:
    drawer = chance.choice(content["drawers"])
    way = chance.randrange(5)
    if way == 0:
        drawer["name"] = chance.choice(content["drawers"]).get("name", "Seeds")
        content["drawers"].append(dict(drawer))
    elif way == 1:
        drawer.pop("opening", None)
    elif way == 2:
        drawer["outside"] = [279, 80, 300]
    elif way == 3:
        drawer["name"] = chance.choice(("", "a\nb", "m" * 90, 12))
    else:
        drawer["count"] = chance.choice((0, 2.5, "two", 5000))


def _machine(content: Content, chance: random.Random) -> None:
    machine = content.setdefault("machine", {})
    if not isinstance(machine, dict):
        return
    way = chance.randrange(5)
    if way == 0:
        machine["travel"] = [chance.randint(100, 500), chance.randint(100, 400), chance.randint(30, 90)]
    elif way == 1:
        machine["min_speed"], machine["max_speed"] = chance.randint(3000, 25000), chance.randint(3000, 25000)
    elif way == 2:
        machine["power"] = chance.randint(20, 400)
    elif way == 3:
        left = chance.randint(0, 400)
        machine["flat_stops" if chance.random() < 0.5 else "upright_stops"] = [left, left + chance.randint(50, 500)]
    else:
        machine["max_feed"] = chance.randint(200, 3000)


def _table(content: Content, chance: random.Random) -> None:
    key = chance.choice(("stock", "machine", "joints", "groove", "fit", "templates", "title"))
    if chance.random() < 0.5:
        content.pop(key, None)
    else:
        content[key] = chance.choice((12, "words", []))


_SLIPS = [_length] * 6 + [_size] * 4 + [_cutter] * 4 + [_word] * 3 + [_machine] * 3 + [_wrong] * 2 + [_cutters, _drawer, _unknown, _table]
