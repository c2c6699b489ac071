"""The read-me of the templates, and the table of stop settings: what each part is for and how it is used safely."""

from __future__ import annotations

import csv
import io
import textwrap
from collections.abc import Sequence

from camtools.job.job import TemplateWish
from camtools.templates import HEADING
from camtools.templates.dxf import CUTTING_LAYERS
from camtools.templates.kit import Kit, NamedStop
from camtools.templates.plates import STRIP_MM, STRIPS
from camtools.templates.router_settings import merged
from camtools.templates.spacers import SHIM_MM, spacers_off
from camtools.wording import figure, listed, mm, printable, sizes, unit_word, units_told

__all__ = ["read_me_bytes", "stop_table_bytes"]

_GUIDE = "[guide]"
_FLUSH_MM = 0.005  # no piece is nearer
_TOLD_MM = 0.05  # tails and radii nearer than this are as wanted

_CAUTIONS = (
    "The manuals of your router, bush and cutters, and the rules where you work, come first. If you have never routed with a "
    "guide bush, learn from someone who has.",
    "Clamp the work and the comb so that neither can move; try both by hand before you start. Screw a piece of scrap behind "
    "the board: the cutter runs out into it.",
    "A dovetail cutter enters and leaves sideways, at full depth, through air. Start the router beside the wood, with the cutter "
    "free, and move it in along the comb.",
    "Never lift the router in the cut, nor while the cutter turns: the wide tip would tear through the wood, the comb and the bush. "
    "At the end draw it out towards you, switch off, and wait until it stands.",
    "Cut against the turn of the cutter: in a slot along its left wall going in and along its right wall coming out, as the router "
    "stands on the comb and you look along the cut, away from yourself.",
    "Where the tip is wider than the bush's bore, put the cutter into the collet from below, through the bush. Turn it by hand "
    "before you switch on: it must touch neither bush nor comb.",
    "Unplug the router to change a cutter or to set a depth. Never run a cutter above the speed marked on it. Wear eye and ear "
    "protection, extract the dust, no gloves or loose sleeves.",
    "On a router table: feed from right to left against the fence, lower the board with its right end against the right stop, use "
    "a push block, keep hands away from the cutter, and never feed between cutter and fence.",
    "A trial joint in offcuts of the same thickness comes before the boards.",
)


def read_me_bytes(kit: Kit, files: Sequence[str]) -> bytes:
    """Return ``read-me.txt``."""
    parts = [
        HEADING,
        _filled(
            f"All lengths are in {unit_word()}; check the line of {mm(units_told()[0].check_mm)} in each file before you cut. "
            "Parts of equal joints are shared. Names: H1, H2 ... half-blind joints, T1, T2 ... through joints."
        ),
        _section("SAFETY FIRST", _CAUTIONS),
        _section("FILES", files),
        _section("LAYERS", [f"{name}: {layer.meaning}" for name, layer in CUTTING_LAYERS.items()]),
        _kerf(kit.wish),
        _section("JOINTS", [f"{named.code}: {_names(named.drawers)}" for named in kit.joints]),
        _combs(kit),
        _depths(kit),
        _spacers(kit),
        _stops(kit.stops),
        _section("NOT MADE", [str(fault) for fault in kit.left_out]),
    ]
    return ("\n\n".join(part for part in parts if part) + "\n").encode("utf-8", "replace")


def stop_table_bytes(stops: Sequence[NamedStop]) -> bytes:
    """Return ``stop-settings.csv``."""
    unit = units_told()[0].value
    rows = [
        {
            "part": stop.role,
            "drawers": f"for: {_names(stop.drawers)}",  # words in front, so that no spreadsheet takes a name for a formula
            f"length {unit}": figure(stop.length_mm),
            "reads from": f"{_end(stop)} at the {_side(stop)}",
            f"left stop {unit}": "none" if stop.setting.left_stop_mm is None else figure(stop.setting.left_stop_mm),
            f"right stop {unit}": "none" if stop.setting.right_stop_mm is None else figure(stop.setting.right_stop_mm),
            f"first pencil mark {unit}": figure(stop.setting.marks_mm[0]),
            f"last pencil mark {unit}": figure(stop.setting.marks_mm[1]),
            f"marks on the fence {unit}": figure(stop.setting.cutter_marks_mm),
            f"fence to cutter {unit}": " then ".join(map(figure, stop.setting.fence_mm)),
            f"depth {unit}": figure(stop.setting.depth_mm),
        }
        for stop in stops
    ]
    table = io.StringIO()
    if rows:
        writer = csv.DictWriter(table, list(rows[0]), lineterminator="\r\n")
        writer.writeheader()
        writer.writerows(rows)
    return table.getvalue().encode("utf-8-sig", "replace")


def _filled(text: str, first: str = "", rest: str = "") -> str:
    return textwrap.fill(text, 100, initial_indent=first, subsequent_indent=rest)


def _section(heading: str, lines: Sequence[str], before: Sequence[str] = (), after: str = "") -> str:
    """Return a list under its heading, with paragraphs before and after it; nothing where the list is empty."""
    if not lines:
        return ""
    told = [heading, *map(_filled, before), *(_filled(line, "- ", "  ") for line in lines), *([_filled(after)] if after else [])]
    return "\n".join(told)


def _names(names: Sequence[str]) -> str:
    return ", ".join(map(printable, names))


def _kerf(wish: TemplateWish) -> str:
    text = (
        f"Outlines are drawn half a kerf of {mm(wish.kerf_mm)} outside, openings half inside, so the parts come out right where "
        "nothing else compensates. If the laser's owner compensates, ask for nominal lines instead: never both."
    )
    if wish.kerf_mm == 0:
        text = (
            "The lines are nominal: the part comes out right only where whoever cuts it compensates for the width of the beam "
            "or of the cutter."
        )
    strips = (
        "To measure the kerf, cut kerf-test, push the ten strips together without the gap, measure across all ten: "
        f"kerf = ({sizes(STRIPS * STRIP_MM)} - measured)/10. The strips are always drawn nominal. Kerf may differ along and across the "
        "bed, and with each material."
    )
    return f"KERF\n{_filled(text)}\n{_filled(strips)}"


def _combs(kit: Kit) -> str:
    lines = [
        f"{comb.plate.name}: bush {mm(comb.bush_mm)} outside, cutter number {comb.cutter.number} ({comb.cutter.kind} "
        f"{mm(comb.cutter.diameter_mm)}), tip {mm(comb.depth_mm)} below the comb; narrowest finger {mm(comb.finger_mm)}. "
        f"Engraved face up: {comb.engraved_up}. Turned over: {comb.turned_over}."
        for comb in kit.combs
    ]
    how = (
        f"Cut the combs from {sizes(kit.wish.comb_mm)} sheet; the bush must be shorter than that. Set the long engraved lines on the "
        "board: REF and its arrow stand at the reference edge (the drawer's bottom edge), the cross lines at the face towards you "
        "(sockets: the end of the front) and at the far face (sockets: where the side's inside face will be). "
        f"Measure the real bush: {sizes(0.1)} more or "
        "less, or a bush off centre by as much, moves every wall by half or all of it."
    )
    return _section("COMBS", lines, after=how)


def _depths(kit: Kit) -> str:
    lines = [
        f"B{i}: tip {mm(depth.height_mm)} below the base: {'one setting for ' if len(uses) > 1 else ''}{' and '.join(uses)}"
        for i, (depth, uses) in enumerate(merged(kit.depths), 1)
    ]
    how = (
        "Stand the block's feet on the router's base, over the bush, and lower the cutter until its tip just touches the bar. "
        f"With a comb the heights include its {sizes(kit.wish.comb_mm)}: measure the sheet, and if it differs add the difference."
    )
    if kit.edges_mm:
        strips = ", ".join(f"E {figure(edge)}" for edge in kit.edges_mm)
        how += (
            f" The strips ({strips}) lie between the fence and the cutter's near rim: a groove's near wall is so far from the "
            "reference edge."
        )
    return _section("SETTING BLOCKS", lines, after=how)


def _spacers(kit: Kit) -> str:
    if kit.guide is None:
        return ""
    off = spacers_off(kit.spacers)
    intro = (
        f"For a template with movable guides, each {mm(kit.guide.width_mm)} wide, front corners of radius {mm(kit.guide.radius_mm)}, "
        f"with a bush of {mm(kit.guide.bush_mm)}. Lay pieces and guides side by side from the reference edge, in this order; a figure is a "
        "piece of that width, which is engraved on it. They add up to the board's width."
    )
    counts = ", ".join(f"{count} of {figure(width)}{' (a shim)' if width < SHIM_MM else ''}" for width, count in off.items())
    lines = []
    for each in kit.spacers:
        row = [_edge(each.low_edge_mm), _GUIDE]
        for gap in each.gaps_mm:
            row += [_piece(gap), _GUIDE]
        row.append(_edge(each.high_edge_mm))
        lines.append(f"{each.name}, board {figure(each.board_mm)}: {' '.join(part for part in row if part)}")
        if any(abs(width - each.tail_mm) > _TOLD_MM for width in each.wanted_mm):
            drawn = listed([mm(width) for width in each.wanted_mm if abs(width - each.tail_mm) > _TOLD_MM], "and")
            lines.append(
                f"{each.name}: these guides cut tails of {mm(each.tail_mm)}, but the drawing has {drawn}: not "
                "for this joint's pins and sockets"
            )
        if abs(each.radius_off_mm) > _TOLD_MM:
            amiss = f"{mm(abs(each.radius_off_mm))} {'more' if each.radius_off_mm > 0 else 'less'}"
            lines.append(
                f"{each.name}: the guides' front radius is {amiss} than the one that the rounded tails need: "
                "the joint will not close at its inside corners"
            )
    return _section("SPACERS", lines, before=(intro, f"Numbers off, enough for one joint at a time: {counts}."))


def _piece(width: float) -> str:
    return figure(round(width, 2)) if width > _FLUSH_MM else ""


def _edge(edge: float) -> str:
    return _piece(edge) or ("(flush)" if edge > -_FLUSH_MM else f"(guide stands out {figure(-edge)})")


def _end(stop: NamedStop) -> str:
    return "front end" if "side" in stop.role else "left end"


def _side(stop: NamedStop) -> str:
    return "left" if stop.setting.start_to_the_left else "right"


def _stops(stops: Sequence[NamedStop]) -> str:
    intro = (
        "For a router table: inside face down, reference edge against the fence behind the cutter. Draw two lines on the fence, the stated "
        "distance to the left and right of the cutter's middle, and pencil the ends of the groove on the board's outside face: the cut "
        "begins and ends where these marks meet those lines. Stops are measured from the cutter's middle to the board's end; each left "
        "part has its mirrored right one. For a router with a side fence on the board, clamp stops that much further off as its base "
        "reaches from the cutter's middle."
    )
    lines = []
    for stop in stops:
        s = stop.setting
        reach = [
            f"{name} stop {figure(value)}" if value is not None else f"no {name} stop, runs out"
            for name, value in (("left", s.left_stop_mm), ("right", s.right_stop_mm))
        ]
        lines.append(
            f"{stop.role} {figure(stop.length_mm)} long ({_names(stop.drawers)}): {_end(stop)} to the {_side(stop)}; {reach[0]}; "
            f"{reach[1]}; pencil marks {figure(s.marks_mm[0])} and {figure(s.marks_mm[1])} from the {_end(stop)}; lines on the fence "
            f"{figure(s.cutter_marks_mm)} to either side; fence to cutter {', then '.join(map(figure, s.fence_mm))}; "
            f"depth {figure(s.depth_mm)}"
        )
    return _section("STOP SETTINGS", lines, before=(intro,))
