"""Compares manifest and limits with the job file: what is written must be there, what is left open must lie within sound bounds.

The bounds are those of the check alone. Each is common practice, no source, unless one stands beside it, and errs on the safe side.
"""

from __future__ import annotations

import math

import numpy as np

from camtools.output.manifest import BoardEntry, DrawerEntry, JointLimits, Limits, MachineLimits, Manifest, ProgramEntry, ToolEntry
from camtools.verify.findings import Finding, Subject
from camtools.verify.lookups import end_worked
from camtools.verify.rules.answer_rules import answered, as_measured, taught
from camtools.verify.timber import timber_of, wood_of
from camtools.verify.written import Value, Values, Written, WrittenDrawer, known, told_as
from camtools.wording import quantity

__all__ = ["LAP", "Comparison", "bounds_of", "judge_against_job"]

_SAME = 1e-4  # mm, degrees, rpm, mm/min: below what matters, above the rounding of the files
_NOTHING = "nothing"  # stands where the job file must say something and does not
_INF = math.inf

_TRAVEL_MM = (600.0, 400.0, 80.0)
_MACHINE = {  # the least and the most
    "min_speed": (8000.0, _INF, "rpm"),
    "max_speed": (0.0, 24_000.0, "rpm"),
    "max_feed": (0.0, 3000.0, "mm/min"),
    "rapid": (0.0, 10_000.0, "mm/min"),
    "acceleration": (0.0, 10_000.0, "mm/s2"),
    "clearance": (10.0, _INF, "mm"),
    "retract": (40.0, _INF, "mm"),
    "spindle_diameter": (80.0, _INF, "mm"),  # wider than the bodies of small spindles
    "nut_height": (0.0, 25.0, "mm"),
}
_PLACES = ("upright_stops", "upright_plate", "flat_stops", "flat_fence")  # on the travel, where they are known
_SPEED_RPM = (
    (12.7, 22_000.0),
    (25.4, 16_000.0),
    (50.8, 10_000.0),
)  # of a cutter without a mark, up to a diameter
# Chip of each edge against diameter, the low end of charts for softwood; and edges.
_CHART_MM, _CHIP_MM, _FLUTES = (3.2, 6.35, 12.7), (0.08, 0.10, 0.15), 2.0
_THICK_MM = (0.13, 0.15, 0.25)  # and their high end, which an answer may come up to
_DEPTH_SHARE = 0.5  # of a straight cutter's diameter, in one pass
_SHANK_MM, _HOLDER_MM, _REACH_MM = 6.0, 35.0, 10.0  # thinner ones, and nuts further up, would pass where thicker ones do not
_FLANK_MM = 0.15
_JOINT = {"tip": ("free_depth", 0.5), "proud": ("proud", 0.5)}  # the most
_PLAY_MM = 0.3
LAP = (1 / 5, 1 / 3, 3.0)  # least and most as shares of the front, and the most in mm where that is less
_SIDE_MM, _BEHIND_MM = (0.2, 1.0), (5.0, 15.0)
_RUNNING_MM, _STEP_MM = 1.0, 0.1  # left above in the dampest season; heights are rounded down by this


def bounds_of(said: Value | None, low: float, high: float) -> tuple[float, float]:
    """Return between what a number must lie: it is the written one, or within bounds. Text where a number belongs allows none."""
    if said is None:
        return low, high
    return (said, said) if isinstance(said, float) else (_INF, -_INF)


def judge_against_job(written: Written, manifest: Manifest, limits: Limits) -> list[Finding]:
    """Return where manifest or limits hold another number than the job file, or one that is not sound."""
    findings: list[Finding] = []
    own = Comparison("manifest.json", findings)
    own.same("the job's title", manifest.job, written.title)
    _machine(written.machine, limits.machine, Comparison("limits.json", findings))
    met = {program.board for program in manifest.programs if program.kind == "cut"}
    woods = {board.wood or "" for board in manifest.boards if board.id in met}
    for tool in manifest.tools:
        _cutter(tool, as_measured(written, tool.number), taught(written, tool.number, woods, limits.machine), limits, findings)
    own.same("the number of drawers", len(manifest.drawers), 0 if limits.trials else len(written.drawers))
    boards = {board.id: board for board in manifest.boards}
    joints = {joint.drawer: joint for joint in limits.joints}
    tools = {tool.number: tool for tool in manifest.tools}
    cuts: dict[str, list[ProgramEntry]] = {board: [] for board in boards}
    for program in manifest.programs:
        if program.kind == "cut" and program.board in cuts:
            cuts[program.board].append(program)
    holds = written.machine.get("holds")
    flat_only = isinstance(holds, tuple) and "upright" not in holds
    for program in {program.hold: program for program in manifest.programs}.values():
        if isinstance(holds, tuple) and program.hold not in holds:
            held = Comparison("manifest.json", findings, Subject("program", program.file))
            held.add("job-differs", f"the machine can not hold boards {program.hold}, by the job file")
    for program in manifest.programs:
        board = boards.get(program.board)
        laid = program.hold == "flat" and end_worked(program) != "groove"
        if laid and not flat_only and board is not None and board.role in ("left side", "right side", "back"):
            held = Comparison("manifest.json", findings, Subject("program", program.file))
            held.add("job-differs", f"the {board.role} lies flat though the machine can hold it upright, by the job file")
    for drawer, wish in zip(manifest.drawers, written.drawers, strict=False):
        parts = {part: boards[name] for part, name in drawer.parts if name in boards}
        of_drawer = Comparison("manifest.json", findings, Subject("drawer", drawer.id))
        of_drawer.number("how many are made", drawer.count, wish.own.get("count", 1.0), unit="")
        _boards(parts, drawer, wish, of_drawer)
        _cutters_used(parts, cuts, wish, of_drawer, "dovetail" if flat_only else "straight")
        if bottom := parts.get("bottom"):
            _bottom_corners(bottom, cuts[bottom.id], wish, of_drawer)
        if drawer.id in joints:
            answers = answered(written, wish, parts, cuts, tools)
            compare = Comparison("limits.json", findings, Subject("drawer", drawer.id))
            _fit(drawer, parts, joints[drawer.id], wish, answers, compare)
    return findings


class Comparison:
    """Compares what one file holds, of one subject or of all."""

    def __init__(self, file: str, findings: list[Finding], subject: Subject | None = None) -> None:
        self._file, self._findings, self._subject = file, findings, subject

    def add(self, code: str, text: str, **figures: float) -> None:
        finite = {name: value for name, value in figures.items() if math.isfinite(value)}
        self._findings.append(Finding.of(code, self._file, 0, text, self._subject, **finite))

    def number(
        self, what: str, found: float, said: Value | None, low: float = 0.0, high: float = _INF, unit: str = "mm", over: float = 0.0
    ) -> None:
        """Compare a number with what is written of it, or with bounds where nothing is.

        Parameters
        ----------
        what, unit
            What the number is called, and its unit.
        found, said
            The number, and what is written of it: None for nothing, text for what is no number.
        low, high
            Between what it must lie where nothing is written.
        over
            How much more it may be than what is written.
        """
        least, most = bounds_of(said, low, high)
        most += over
        if least - _SAME <= found <= most + _SAME:
            return
        told = f"{what}: {quantity(found, unit)}"
        if said is None:
            limit = f"at least {quantity(least, unit)}" if found < least else f"at most {quantity(most, unit)}"
            self.add("choice-unsound", f"{told}; the job file leaves it open, and {limit} is sound", found=found)
        else:
            self.add(
                "job-differs",
                f"{told}, by the job file it is {quantity(said, unit) if isinstance(said, float) else told_as(said)}",
                found=found,
                said=least,
            )

    def same(self, what: str, found: object, said: object) -> None:
        if found != said:
            self.add("job-differs", f"{what}: {told_as(found)}, by the job file it is {told_as(said)}")


def _at(values: Value | None, place: int) -> Value | None:
    if isinstance(values, tuple):
        return values[place] if place < len(values) else _NOTHING
    return values


def _machine(said: Values, machine: MachineLimits, compare: Comparison) -> None:
    for place, axis in enumerate("XYZ"):
        compare.number(f"the machine's travel in {axis}", machine.travel[place], _at(said.get("travel"), place), 0.0, _TRAVEL_MM[place])
    for key in _PLACES:
        found, written = getattr(machine, key), said.get(key)
        if found is None or written is None:
            compare.same(f"the machine's {key.replace('_', ' ')}", found, written)
        else:
            for place, one in enumerate(found if isinstance(found, tuple) else (found,)):
                compare.number(f"the machine's {key.replace('_', ' ')}", one, _at(written, place))
    for key, (low, high, unit) in _MACHINE.items():
        compare.number(f"the machine's {key.replace('_', ' ')}", getattr(machine, key), said.get(key), low, high, unit)


def _cutter(tool: ToolEntry, said: Values | None, answers: Values, limits: Limits, findings: list[Finding]) -> None:
    """Compare a cutter's shape, and what it may do; what a trial cut taught goes for what the job file leaves open."""
    shape, use = (Comparison(file, findings, Subject("cutter", str(tool.number))) for file in ("manifest.json", "limits.json"))
    if said is None:
        shape.add("job-differs", "the job file has no such cutter")
        return
    straight = said.get("kind") == "straight"
    shape.same("kind", tool.kind, said.get("kind", _NOTHING))
    shape.number("diameter", tool.diameter, said.get("diameter", _NOTHING))
    shape.number("angle", tool.half_angle, said.get("angle", 0.0 if straight else _NOTHING), unit="degrees")
    shape.number("cutting length", tool.cutting_length, said.get("cutting_length", _NOTHING))
    shape.number("shank", tool.shank, said.get("shank"), _SHANK_MM)
    allowed = next((entry for entry in limits.tools if entry.number == tool.number), None)
    if allowed is None:
        return
    fastest = next((speed for size, speed in _SPEED_RPM if tool.diameter <= size), 0.0)
    use.number("largest speed", allowed.max_speed, said.get("max_speed"), 0.0, fastest, "rpm")
    if "feed" in answers and "feed" not in said:
        thick = float(np.interp(tool.diameter, _CHART_MM, _THICK_MM)) * known(said.get("flutes", _FLUTES))
        speed = known(said.get("speed", answers.get("speed", allowed.max_speed)))
        use.number("largest feed, by an answer", allowed.max_feed, None, 0.0, thick * speed, "mm/min")
    said = answers | said
    plunge, machine = known(said.get("plunge", 0.0)), limits.machine.max_feed
    feed = min(max(known(said["feed"]), plunge), machine) if "feed" in said else None
    chip = float(np.interp(tool.diameter, _CHART_MM, _CHIP_MM))
    chips = known(said.get("speed", allowed.max_speed)) * known(said.get("flutes", _FLUTES)) * chip
    use.number("largest feed", allowed.max_feed, feed, 0.0, min(max(chips, plunge), machine), "mm/min")
    if not straight or allowed.depth_per_pass is None:
        use.same("depth of a pass", allowed.depth_per_pass, said.get("depth_per_pass", _NOTHING) if straight else None)
    else:
        use.number("depth of a pass", allowed.depth_per_pass, said.get("depth_per_pass"), 0.0, _DEPTH_SHARE * tool.diameter)
    use.same("whether it may plunge", allowed.plunges, straight and said.get("plunges", False))
    use.number("reach out of the nut", allowed.stick_out, said.get("stick_out"), tool.cutting_length, tool.cutting_length + _REACH_MM)
    use.number("width of nut or holder", allowed.holder, said.get("holder"), _HOLDER_MM)


def _boards(parts: dict[str, BoardEntry], drawer: DrawerEntry, wish: WrittenDrawer, compare: Comparison) -> None:
    stock = {**wish.stock, "left": wish.stock.get("side", _NOTHING), "right": wish.stock.get("side", _NOTHING)}
    for part, board in parts.items():
        said = stock.get(part, stock["left"] if part == "back" else _NOTHING)
        if wish.measured is None:
            compare.number(f"thickness of the {board.role}", board.size[2], said)
        compare.number(f"how many are made of the {board.role}", board.count, float(drawer.count), unit="")
        plywood = part == "bottom" and wish.stock.get("bottom_kind", "plywood") == "plywood"
        wood = "plywood" if plywood else wood_of(wish.stock, part)
        if board.wood is not None and timber_of(board.wood) != timber_of(wood):
            compare.add("job-differs", f"wood of the {board.role}: {told_as(board.wood)}, by the job file it is {told_as(wood)}")


def _cutters_used(
    parts: dict[str, BoardEntry], cuts: dict[str, list[ProgramEntry]], wish: WrittenDrawer, compare: Comparison, pins: str
) -> None:
    """See that each kind of work is done with the cutter that is written for it; ``pins`` is the kind that makes those of the back."""
    tails = "straight" if pins == "dovetail" else "dovetail"
    kinds = {"front": "dovetail", "back": pins, "left": tails, "right": tails}
    for part, board in parts.items():
        for groove in (True, False):
            done = [program for program in cuts[board.id] if (end_worked(program) == "groove") is groove]
            of_groove = groove or part == "bottom"
            said = wish.groove.get("cutter") if of_groove else wish.joints.get(kinds[part])
            if done and said is not None and said not in {number for program in done for number in program.tools}:
                compare.add("job-differs", f"{done[0].file} is cut without cutter {told_as(said)}, which the job file names for it")


def _bottom_corners(board: BoardEntry, cuts: list[ProgramEntry], wish: WrittenDrawer, compare: Comparison) -> None:
    """See that programs cut the bottom's corners at each end that has notches, if they are asked for, and none otherwise."""
    if wish.groove.get("bottom_corners", "hand") != "machine":
        if cuts:
            compare.add("job-differs", f"{cuts[0].file} cuts the bottom, whose corners are sawn by hand by the job file")
        return
    done = {end_worked(program) for program in cuts}
    corners = {(round(u, 3), round(v, 3)) for u, v in board.outline or ()}
    for end, name, u in (("u=0", "left", 0.0), ("u=L", "right", board.size[0])):
        square = {(round(u, 3), 0.0), (round(u, 3), round(board.size[1], 3))}
        if not square <= corners and end not in done:
            compare.add("program-missing", f"no program cuts the corners at the {name} end of the bottom")


def _fit(
    drawer: DrawerEntry, parts: dict[str, BoardEntry], joint: JointLimits, wish: WrittenDrawer, answers: Values, compare: Comparison
) -> None:
    """Compare how joints and bottom are to fit, and the drawer with its opening."""
    for field, (key, most) in _JOINT.items():
        compare.number(key.replace("_", " "), getattr(joint, field), wish.joints.get(key), 0.0, most)
    blind, through = joint.flanks
    both = wish.joints.get("clearance")
    for name, found, own in (("clearance", blind, both), ("through_clearance", through, wish.joints.get("through_clearance", both))):
        said = answers.get(f"joints.{name}") if own is None else own
        compare.number(name.replace("_", " "), found, said, 0.0, _FLANK_MM)
    front, fit = known(wish.stock.get("front")), wish.fit
    thicker = parts["front"].size[2] - front if wish.measured and "front" in parts else 0.0  # which the lap takes up
    compare.number("lap", joint.lap - thicker, wish.joints.get("lap"), LAP[0] * front, max(LAP[1] * front, LAP[2]))
    compare.number("play of the bottom", joint.bottom_play, wish.groove.get("play", answers.get("groove.play")), 0.0, _PLAY_MM)
    compare.same("front", joint.front, fit.get("front", "inset"))
    compare.same("back", joint.back, fit.get("back", "full"))
    held = {"front", "left", "right"} | ({"back"} if joint.back == "full" else set())
    compare.same("where the bottom is held", sorted(joint.bottom_held), sorted(held))
    compare.same("whether its boards were measured", joint.planned is not None, wish.measured is not None)
    outside = joint.planned or drawer.outside
    size = dict(zip(("width", "height", "depth"), (outside[place] for place in (0, 2, 1)), strict=True))
    opening = wish.own.get("opening")
    if opening is None or joint.opening is None:
        compare.same("opening", joint.opening, opening)
        for place, (name, found) in enumerate(size.items()):
            compare.number(name, found, _at(wish.own.get("outside", _NOTHING), place))
        return
    for place, name in enumerate(size):
        compare.number(f"{name} of the opening", joint.opening[place], _at(opening, place))
    (wide, high, deep), finish = joint.opening, known(fit.get("finish", 0.0))
    deep -= known(fit.get("reveal", 0.0)) if joint.front == "inset" else 0.0
    growths = [timber_of(wood_of(wish.stock, part)).growth(wish.stock, "dampest") for part in ("front", "left", "back")]
    least, most = (max(ends) for ends in zip(*growths, strict=True))  # by the board that grows most
    compare.number("clearance at each side, before finishing", (wide - size["width"]) / 2 + finish, fit.get("side"), *_SIDE_MM)
    if joint.planned:
        side = (wide - drawer.outside[0]) / 2 + finish
        compare.number("clearance at each side, with the boards as measured", side, None, min(_SIDE_MM[0], known(fit.get("side", _INF))))
    compare.number("clearance behind", deep - size["depth"], fit.get("behind"), *_BEHIND_MM)
    low, up = (high - (high - _RUNNING_MM) / (1 + rate) for rate in (least, most))
    compare.number("clearance above", high - size["height"], fit.get("above"), low, up + _STEP_MM)
