"""Compares the boards of a drawer with the sheet on which they were measured, and with what was planned for their places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from camtools.output.manifest import BoardEntry, JointLimits, Limits, Manifest, Triple
from camtools.verify.findings import Finding, Subject
from camtools.verify.fit.standing import lifted_mm, standing_of
from camtools.verify.rules.job_rules import Comparison
from camtools.verify.written import Cells, Written, WrittenDrawer, known
from camtools.wording import mm

__all__ = ["judge_measured"]

_SHARED_MM = 0.05  # by which a board may be smaller than what it is cut as; common practice, no source: planing leaves as much
_FAR_MM = 1.0  # furthest off its planned size; common practice, no source
_FLUSH_MM = 0.1  # by which ends stand out at least, to be planed flush, where no less was chosen; common practice, no source
_SAME_MM = 1e-4
_NAMES = ("length", "width", "thickness")


def judge_measured(written: Written, manifest: Manifest, limits: Limits) -> list[Finding]:
    """Return where a board is smaller than it was measured, much larger, too far off the plan, or stands as no such board should."""
    findings: list[Finding] = []
    boards = {board.id: board for board in manifest.boards}
    joints = {joint.drawer: joint for joint in limits.joints}
    for drawer, wish in zip(manifest.drawers, written.drawers, strict=False):
        parts = {part: boards[name] for part, name in drawer.parts if name in boards}
        joint = joints.get(drawer.id)
        if wish.measured is None or joint is None or joint.planned is None or len(parts) < 5:
            continue
        compare = Comparison("manifest.json", findings, Subject("drawer", drawer.id))
        for part, name, found, planned, measured in _sizes(parts, joint, joint.planned, wish, wish.measured):
            what = f"{name} of the {parts[part].role}"
            if measured is None:
                compare.number(f"{what}, which was not measured", found, planned, over=_SHARED_MM)
                continue
            compare.number(f"{what}, as measured", found, measured, over=_SHARED_MM)
            if not abs(measured - planned) <= _FAR_MM + _SAME_MM:
                text = f"{what} was measured as {mm(measured)}, {mm(planned)} was planned: it is no board for its place"
                compare.add("board-unfit", text, measured_mm=measured, planned_mm=planned)
        standing = standing_of(parts, drawer.outside, joint, wish)
        compare.number("height", drawer.outside[2], max(standing.top_mm.values()))
        least = {"front": 0.0, "back": min(joint.proud, _FLUSH_MM), "left": joint.proud, "right": joint.proud}
        for part, low in least.items():
            most = joint.proud + 2 * _FAR_MM + _SHARED_MM
            compare.number(f"how far the ends of the {parts[part].role} stand out", standing.proud_mm[part], None, low, most)
    return findings


def _sizes(
    parts: Mapping[str, BoardEntry], joint: JointLimits, outside: Triple, wish: WrittenDrawer, cells: Mapping[str, Cells]
) -> Iterator[tuple[str, str, float, float, float | None]]:
    """Yield part, name of a size, the size in the manifest, the planned one, and the measured one, None where that was left blank.

    ``outside`` are width, depth and height as planned.
    """
    wide, deep, high = outside
    stock = wish.stock
    side = known(stock.get("side"))
    thick = {"front": known(stock.get("front")), "back": known(stock.get("back", side)), "left": side, "right": side}
    thick["bottom"] = known(stock.get("bottom"))
    lap = joint.lap - (parts["front"].size[2] - thick["front"])  # takes up the front's thickness
    lifted = lifted_mm(parts["back"])
    lifted = max(0.0, lifted - (parts["bottom"].size[2] - thick["bottom"])) if joint.back == "raised" else lifted
    along = deep - lap + joint.proud
    planned = {
        "front": (wide, high, thick["front"]),
        "back": (wide + 2 * joint.proud, high - lifted, thick["back"]),
        "left": (along, high, side),
        "right": (along, high, side),
    }
    for part, sizes in planned.items():
        for name, found, then, measured in zip(_NAMES, parts[part].size, sizes, cells[part], strict=True):
            yield part, name, found, then, measured
    yield "bottom", "thickness", parts["bottom"].size[2], thick["bottom"], cells["bottom"][2]
