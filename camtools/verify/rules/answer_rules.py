"""What the maker's answers ask of cutters and joints, worked out anew: where they hold, and what they set there."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping

from camtools.output.manifest import BoardEntry, MachineLimits, ProgramEntry, ToolEntry
from camtools.verify.lookups import end_worked
from camtools.verify.written import Values, Written, WrittenDrawer, known

__all__ = ["answered", "as_measured", "taught"]

_THICKNESS_MM, _DIAMETER_MM, _ANGLE_DEG = 0.5, 0.005, 0.005  # beyond these it is another board or another cutter
_WORN_MM, _WORN_DEG = 1.0, 2.0  # a cutter that is further off its mark is another one; common practice, no source
_NEAR = 1e-9
_ENDS = {"u=0", "u=L"}
_SET = {  # table of the answers -> the key of the job file that it sets, its own key, and the boards that it was found with
    "half_blind": ("joints.clearance", "clearance", ("front", "side")),
    "through": ("joints.through_clearance", "clearance", ("side", "back")),
    "groove": ("groove.play", "play", ("bottom",)),
}


def as_measured(written: Written, number: int) -> Values | None:
    """Return what is written of a cutter, with its diameter and angle as measured, where an answer to it holds."""
    said, found = written.cutters.get(number), written.measured.get(number)
    if said is None or found is None or found.get("kind") != said.get("kind"):
        return said
    same = _alike(known(found.get("marked_diameter")), known(found.get("marked_angle", 0.0)), said)
    shape = {key: found.get(key, 0.0) for key in ("diameter", "angle")}
    off_mm, off_deg = (abs(known(shape[key]) - known(said.get(key, 0.0))) for key in shape)
    return said | shape if same and off_mm <= _WORN_MM and off_deg <= _WORN_DEG else said


def taught(written: Written, number: int, woods: Collection[str], machine: MachineLimits) -> Values:
    """Return what trial cuts taught of a cutter's settings, by keys of its table: of each key the last answer that holds.

    Parameters
    ----------
    woods
        Of the boards that cutters meet.
    machine
        An answer beyond what it can do does not hold.
    """
    said = written.cutters.get(number, {})
    fastest = min(machine.max_speed, known(said.get("max_speed", machine.max_speed)))
    bounds = {"feed": machine.max_feed, "speed": fastest, "depth_per_pass": known(said.get("cutting_length"))}
    found: Values = {}
    for answer in written.answers.get("settings", ()):
        names = answer.get("woods")
        if _same_cutter(answer, "cutter", number, written) and isinstance(names, tuple) and set(woods) <= set(names):
            own = {key: known(answer.get(key)) for key in bounds}
            least = {"speed": machine.min_speed}
            found |= {key: value for key, value in own.items() if least.get(key, 0.0) <= value <= bounds[key]}
    return found


def answered(
    written: Written,
    wish: WrittenDrawer,
    parts: Mapping[str, BoardEntry],
    cuts: Mapping[str, list[ProgramEntry]],
    tools: Mapping[int, ToolEntry],
) -> Values:
    """Return what the answers set for a drawer, by the keys of the job file.

    Thickness is as planned. Wood and cutters are those of the manifest, each of which is held against the job file elsewhere.

    Parameters
    ----------
    parts, cuts
        The drawer's boards by their part, and the programs of each board by its id.
    tools
        Cutters by number.
    """
    found: Values = {}
    woods = {part: board.wood for part, board in parts.items()}
    woods["side"] = woods.get("left")
    thick = {"back": wish.stock.get("side"), **wish.stock}
    flat = written.machine.get("holds") == ("flat",)  # one cutter makes tails then and another one sockets: what fitted can not be changed
    for table, (key, own, needed) in _SET.items():
        used = {kind: tools.get(_cutter_for(table, kind, parts, cuts, tools)) for kind in ("dovetail", "straight")}
        for answer in written.answers.get(table, ()):
            there = {kind: tool for kind, tool in used.items() if f"{kind}.number" in answer}
            same = all(_same_board(answer, part, known(thick.get(part)), woods.get(part)) for part in needed)
            if same and all(tool and _same_cutter(answer, kind, tool.number, written) for kind, tool in there.items()):
                value = known(answer.get(own)) + _change_mm(table, answer, {kind: tool for kind, tool in there.items() if tool})
                holds = value > -5e-5 and not (flat and table != "groove" and _retaken(answer, tools))
                found |= {key: value} if holds else {}
    return found


def _cutter_for(
    table: str, kind: str, parts: Mapping[str, BoardEntry], cuts: Mapping[str, list[ProgramEntry]], tools: Mapping[int, ToolEntry]
) -> int:
    """Return the number of the cutter of a kind that makes a joint or the grooves; 0 where there is none."""
    joint = {"half_blind": (("left", {"u=0"}), ("front", _ENDS)), "through": (("back", _ENDS), ("left", {"u=L"}))}
    grooves = tuple((part, {"groove"}) for part in ("left", "front", "back"))
    for part, ends in joint.get(table, grooves):
        for program in cuts[parts[part].id] if part in parts else ():
            for number in program.tools if end_worked(program) in ends else ():
                if number in tools and tools[number].kind == kind:
                    return number
    return 0


def _same_board(answer: Values, part: str, thickness: float, wood: str | None) -> bool:
    apart = abs(known(answer.get(f"{part}.thickness")) - thickness)
    return apart <= _THICKNESS_MM + _NEAR and answer.get(f"{part}.wood") == wood


def _same_cutter(answer: Values, kind: str, number: int, written: Written) -> bool:
    """Tell whether a cutter is the one that an answer was found with, by its number and its mark in the job file."""
    said = written.cutters.get(number)
    if said is None or answer.get(f"{kind}.number") != number:
        return False
    return _alike(known(answer.get(f"{kind}.diameter")), known(answer.get(f"{kind}.angle", 0.0)), said)


def _alike(diameter: float, angle: float, said: Values) -> bool:
    wide, leaning = known(said.get("diameter")), known(said.get("angle", 0.0))
    return abs(diameter - wide) <= _DIAMETER_MM + _NEAR and abs(angle - leaning) <= _ANGLE_DEG + _NEAR


def _retaken(answer: Values, tools: Mapping[int, ToolEntry]) -> bool:
    """Tell whether programs take a cutter for something else than those did that an answer was found with."""
    for kind in ("dovetail", "straight"):
        tool = next((tool for number, tool in tools.items() if number == answer.get(f"{kind}.number")), None)
        was = answer.get(f"{kind}.taken_diameter"), answer.get(f"{kind}.taken_angle", answer.get(f"{kind}.angle", 0.0))
        if tool is not None and was[0] is not None and was != (tool.diameter, tool.half_angle):
            return True
    return False


def _change_mm(table: str, answer: Values, tools: Mapping[str, ToolEntry]) -> float:
    """Return by how much a clearance changes with what the programs take the cutters for, if the wood is to stay the same."""
    was = {
        kind: (
            (known(answer[f"{kind}.taken_diameter"]), known(answer.get(f"{kind}.taken_angle", answer.get(f"{kind}.angle", 0.0))))
            if f"{kind}.taken_diameter" in answer
            else (tool.diameter, tool.half_angle)
        )
        for kind, tool in tools.items()
    }
    wider = {kind: tool.diameter - was[kind][0] for kind, tool in tools.items()}
    if table == "groove":
        return wider["straight"]
    lean = math.tan(math.radians(was["dovetail"][1])) - math.tan(math.radians(tools["dovetail"].half_angle))
    if table == "half_blind":
        return wider["dovetail"] + known(answer.get("depth")) * lean
    along = wider["straight"] / math.cos(math.radians(was["dovetail"][1]))
    return (wider["dovetail"] + along) / 2 + min(0.0, known(answer.get("back.thickness")) * lean)
