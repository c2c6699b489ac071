"""What is to be measured before it is written down: the cutters as they are, boards, groove, fit, and where things stand on the machine.

A letter in a ring stands at each measure and before the key that it belongs to. Cutters are true to their values; the others are not
to scale.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from camtools.job.job import Cutter
from camtools.pictures.paper import XY, Scale, rectangle
from camtools.setout.drawings.leaf import Leaf
from camtools.wording import mm

__all__ = ["FIT", "GROOVE", "MACHINE", "STOCK", "ToMeasure", "cutter_measures", "measures_of"]


@dataclass(frozen=True, slots=True)
class ToMeasure:
    """A picture as SVG, and the letter that stands in it for each key of its table."""

    picture: str
    letters: Mapping[str, str]


CUTTER = {"diameter": "a", "angle": "b", "cutting_length": "c", "shank": "d", "stick_out": "e", "holder": "f"}
STOCK = {"front": "a", "side": "b", "back": "c", "bottom": "d"}
GROOVE = {"depth": "a", "play": "b"}
FIT = {"side": "a", "above": "b", "behind": "c", "reveal": "d"}
MACHINE = {
    "backing": "a",
    "upright_stop_below": "b",
    "upright_stops": "c",
    "upright_plate": "d",
    "flat_stops": "e",
    "flat_fence": "f",
    "flat_stop": "g",
    "clamp_height": "h",
    "clamp_from_end": "i",
    "clamp_from_groove": "j",
}


def cutter_measures(cutter: Cutter) -> ToMeasure:
    """Return a cutter as it is told, tip down, with the neck that comes of it: as thick as the wood between two tails must let through."""
    reach = cutter.stick_out_mm + 10.0
    widest = max(cutter.holder_mm, cutter.diameter_mm, cutter.shank_mm)
    factor = min(250.0 / reach, 150.0 / widest)
    middle = 46.0 + widest * factor / 2
    leaf = Leaf(max(240, round(middle + widest * factor / 2 + 100.0)), round(74.0 + reach * factor + 34.0))
    scale = Scale(factor, (0.0, 0.0), (middle, 74.0))
    tip, top = cutter.diameter_mm / 2, cutter.radius_at(cutter.cutting_length_mm)
    shank, nut, length = cutter.shank_mm / 2, cutter.holder_mm / 2, cutter.cutting_length_mm
    leaf.box(scale, (-nut, cutter.stick_out_mm), (2 * nut, 10.0), "clamp", "outline")
    leaf.box(scale, (-shank, length), (2 * shank, cutter.stick_out_mm - length), "cutter", "outline")
    leaf.fill([[scale.at(*point) for point in ((-tip, 0.0), (tip, 0.0), (top, length), (-top, length))]], "tip", "outline")
    leaf.draw([[scale.at(0.0, -3.0), scale.at(0.0, cutter.stick_out_mm + 12.0)]], "axis")

    def across(radius_mm: float, y_mm: float, y_px: float, letter: str) -> None:
        (left, y), (right, _) = scale.at(-radius_mm, y_mm), scale.at(radius_mm, y_mm)
        _lines(leaf, ((left, y), (left, y_px)), ((right, y), (right, y_px)))
        leaf.measure((left, y_px), (right, y_px), "", letter=letter)

    across(tip, 0.0, 40.0, "a")
    across(nut, reach, leaf.size[1] - 12.0, "f")
    side = scale.at(max(nut, tip), 0.0)[0]
    for key, high, x in (("c", length, side + 24.0), ("e", cutter.stick_out_mm, side + 74.0)):
        (_, low_px), (_, high_px) = scale.at(0.0, 0.0), scale.at(0.0, high)
        _lines(leaf, (scale.at(tip, 0.0), (x + 6, low_px)), (scale.at(shank, high), (x + 6, high_px)))
        leaf.measure((x, low_px), (x, high_px), "", letter=key)
    x, y = scale.at(shank, (length + cutter.stick_out_mm) / 2)
    far = scale.at(-max(nut, tip), 0.0)[0]
    leaf.draw([[scale.at(-shank, (length + cutter.stick_out_mm) / 2), (far - 14.0, y)]], "leader")
    leaf.told((far - 36.0, y), "", letter="d")
    if cutter.kind == "dovetail":
        x, y = scale.at(-tip, 0.0)
        swing = min(70.0, length * factor * 0.8)
        leaf.draw([[(x, y), (x, y + swing + 8)]], "leader")
        arc = [
            (x + swing * math.sin(turn), y + swing * math.cos(turn))
            for turn in (cutter.angle_deg * math.pi / 180 * i / 8 for i in range(9))
        ]
        leaf.draw([arc], "dimension")
        leaf.draw([[(x + swing * math.sin(math.radians(cutter.angle_deg / 2)), y + swing), (x - 16.0, y + swing + 14.0)]], "leader")
        leaf.told((x - 38.0, y + swing + 16.0), "", letter="b")
        leaf.write((4.0, 12.0), f"{cutter.angle_deg:g}° of one flank, so the neck is {mm(2 * top)}", size="small")
    told = f"A {cutter.kind} cutter of {mm(cutter.diameter_mm)}, its tip down, with what is to be measured"
    return ToMeasure(leaf.markup(told), {key: letter for key, letter in CUTTER.items() if key != "angle" or cutter.kind == "dovetail"})


def measures_of(table: str) -> ToMeasure | None:
    """Return the picture to a table of the job file; None where nothing of it is measured."""
    match table:
        case "stock":
            return ToMeasure(_stock(), STOCK)
        case "groove":
            return ToMeasure(_groove(), GROOVE)
        case "fit":
            return ToMeasure(_fit(), FIT)
        case "machine":
            return ToMeasure(_machine(), MACHINE)
    return None


_PX = Scale(1.0, (0.0, 0.0), (0.0, 0.0))


def _lines(leaf: Leaf, *lines: tuple[XY, XY]) -> None:
    leaf.draw([list(line) for line in lines], "leader")


def _stock() -> str:
    leaf = Leaf(360, 260)
    leaf.box(_PX, (70.0, 60.0), (210.0, 150.0), "wood")
    leaf.box(_PX, (50.0, 36.0), (250.0, 26.0), "wood end", "outline")
    leaf.box(_PX, (50.0, 62.0), (18.0, 140.0), "wood end", "outline")
    leaf.box(_PX, (282.0, 62.0), (18.0, 140.0), "wood end", "outline")
    leaf.box(_PX, (50.0, 202.0), (250.0, 18.0), "wood end", "outline")
    leaf.write((175.0, 49.0), "front", size="small", align="center")
    leaf.write((175.0, 211.0), "back", size="small", align="center")
    leaf.write((175.0, 150.0), "bottom", size="small", align="center")
    leaf.told((165.0, 120.0), "", letter="d")
    leaf.measure((322.0, 36.0), (322.0, 62.0), "")
    leaf.told((330.0, 49.0), "", letter="a")
    leaf.measure((322.0, 202.0), (322.0, 220.0), "")
    leaf.told((330.0, 211.0), "", letter="c")
    leaf.measure((50.0, 130.0), (68.0, 130.0), "", letter="b")
    return leaf.markup("A drawer from above, its front nearest to you: thickness of front, sides, back and bottom")


def _groove() -> str:
    leaf = Leaf(320, 210)
    leaf.box(_PX, (20.0, 20.0), (70.0, 180.0), "wood end", "outline")
    leaf.box(_PX, (58.0, 84.0), (32.0, 42.0), "paper", "outline")
    leaf.fill([rectangle(88.5, 85.0, 94.0, 125.0)], "paper")
    leaf.box(_PX, (62.0, 88.0), (200.0, 34.0), "wood", "outline")
    leaf.write((175.0, 105.0), "bottom", size="small", align="center")
    leaf.write((55.0, 180.0), "side", size="small", align="center")
    _lines(leaf, ((58.0, 84.0), (58.0, 48.0)), ((90.0, 84.0), (90.0, 48.0)))
    leaf.measure((58.0, 56.0), (90.0, 56.0), "", letter="a")
    _lines(leaf, ((90.0, 126.0), (136.0, 126.0)))
    leaf.measure((126.0, 122.0), (126.0, 126.0), "", letter="b")
    return leaf.markup("The groove in a side, cut through: its depth, and its play over the bottom")


def _fit() -> str:
    leaf = Leaf(400, 250)
    leaf.box(_PX, (8.0, 40.0), (150.0, 190.0), "wood side", "outline")
    leaf.box(_PX, (22.0, 54.0), (122.0, 162.0), "paper", "outline")
    leaf.box(_PX, (32.0, 54.0), (102.0, 140.0), "wood", "outline")
    leaf.write((83.0, 110.0), "front", size="small", align="center")
    leaf.measure((134.0, 80.0), (144.0, 80.0), "", letter="a")
    leaf.measure((60.0, 194.0), (60.0, 216.0), "")
    leaf.told((70.0, 205.0), "", letter="b")
    leaf.write((83.0, 18.0), "from the front", size="small", align="center")
    leaf.box(_PX, (216.0, 40.0), (160.0, 14.0), "wood side", "outline")
    leaf.box(_PX, (216.0, 216.0), (160.0, 14.0), "wood side", "outline")
    leaf.box(_PX, (364.0, 40.0), (12.0, 190.0), "wood side", "outline")
    leaf.box(_PX, (228.0, 54.0), (106.0, 140.0), "wood", "outline")
    leaf.box(_PX, (228.0, 54.0), (16.0, 140.0), "wood end", "outline")
    leaf.measure((334.0, 120.0), (364.0, 120.0), "")
    leaf.told((339.0, 138.0), "", letter="c")
    _lines(leaf, ((216.0, 40.0), (216.0, 20.0)), ((228.0, 54.0), (228.0, 20.0)))
    leaf.measure((216.0, 26.0), (228.0, 26.0), "", letter="d")
    leaf.write((330.0, 18.0), "from the side", size="small", align="center")
    return leaf.markup("A drawer in its opening: room beside it, above and behind it, and how far it stands back")


def _machine() -> str:
    leaf = Leaf(400, 544)
    with leaf.group({"transform": "translate(0 96)"}):
        _draw_machine(leaf)
    return leaf.markup("Where stops, plate, fence and clamps of the machine stand")


def _draw_machine(leaf: Leaf) -> None:
    # From above: the travel, you at its near end.
    leaf.write((200.0, 624.0), "travel from above, you stand below", size="small", align="center")
    leaf.box(_PX, (46.0, 420.0), (300.0, 190.0), "bed", "outline")
    leaf.box(_PX, (46.0, 462.0), (300.0, 12.0), "plate", "outline")
    leaf.box(_PX, (46.0, 520.0), (300.0, 10.0), "stop side", "outline")
    for x, low in ((118.0, 440.0), (270.0, 440.0), (86.0, 530.0), (306.0, 530.0)):
        leaf.box(_PX, (x, low), (8.0, 22.0), "stop", "outline")
    leaf.write((196.0, 448.0), "plate", size="small", align="center")
    leaf.write((196.0, 544.0), "fence", size="small", align="center")
    _lines(leaf, ((126.0, 440.0), (126.0, 392.0)), ((278.0, 440.0), (278.0, 366.0)), ((46.0, 420.0), (46.0, 366.0)))
    leaf.measure((46.0, 398.0), (126.0, 398.0), "", letter="c")
    leaf.measure((46.0, 372.0), (278.0, 372.0), "", letter="c")
    leaf.measure((46.0, 590.0), (94.0, 590.0), "")
    leaf.told((98.0, 590.0), "", letter="e")
    leaf.measure((46.0, 572.0), (314.0, 572.0), "", letter="e")
    _lines(
        leaf,
        ((46.0, 462.0), (20.0, 462.0)),
        ((346.0, 530.0), (384.0, 530.0)),
        ((46.0, 420.0), (20.0, 420.0)),
        ((346.0, 420.0), (384.0, 420.0)),
    )
    leaf.measure((28.0, 420.0), (28.0, 462.0), "")
    leaf.told((2.0, 441.0), "", letter="d")
    leaf.measure((374.0, 420.0), (374.0, 530.0), "", letter="f")
    # Upright, from the right: board, backing, plate.
    leaf.write((92.0, 344.0), "upright, from the right", size="small", align="center")
    leaf.box(_PX, (110.0, 160.0), (60.0, 140.0), "plate", "outline")
    leaf.box(_PX, (88.0, 160.0), (22.0, 140.0), "backing", "outline")
    leaf.box(_PX, (64.0, 120.0), (24.0, 190.0), "wood", "outline")
    leaf.box(_PX, (46.0, 246.0), (18.0, 18.0), "clamp", "outline")
    leaf.measure((88.0, 322.0), (110.0, 322.0), "", letter="a")
    _lines(leaf, ((64.0, 310.0), (20.0, 310.0)), ((46.0, 264.0), (20.0, 264.0)))
    leaf.measure((28.0, 264.0), (28.0, 310.0), "", letter="b")
    leaf.write((76.0, 106.0), "board", size="small", align="center")
    # Flat, from the right: fence, board, clamp.
    leaf.write((296.0, 344.0), "flat, from the right", size="small", align="center")
    leaf.box(_PX, (200.0, 150.0), (190.0, 14.0), "bed", "outline")
    leaf.box(_PX, (206.0, 164.0), (12.0, 30.0), "stop side", "outline")
    leaf.box(_PX, (218.0, 164.0), (150.0, 24.0), "wood", "outline")
    leaf.box(_PX, (226.0, 180.0), (16.0, 8.0), "paper", "outline")
    leaf.box(_PX, (282.0, 188.0), (22.0, 52.0), "clamp", "outline")
    _lines(leaf, ((304.0, 240.0), (352.0, 240.0)), ((282.0, 240.0), (282.0, 296.0)), ((368.0, 188.0), (368.0, 296.0)))
    leaf.measure((340.0, 188.0), (340.0, 240.0), "", letter="h")
    _lines(leaf, ((242.0, 188.0), (242.0, 276.0)), ((304.0, 240.0), (304.0, 318.0)), ((368.0, 290.0), (368.0, 318.0)))
    leaf.measure((242.0, 268.0), (282.0, 268.0), "")
    leaf.told((252.0, 286.0), "", letter="j")
    leaf.measure((304.0, 310.0), (368.0, 310.0), "", letter="i")
    _lines(leaf, ((206.0, 194.0), (184.0, 194.0)), ((200.0, 164.0), (184.0, 164.0)))
    leaf.measure((192.0, 164.0), (192.0, 194.0), "")
    leaf.told((182.0, 212.0), "", letter="g")
    leaf.write((188.0, 134.0), "at the fence: the groove", size="small")
    leaf.write((188.0, 116.0), "at the right: its worked end", size="small")
