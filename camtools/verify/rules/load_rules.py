"""Rules of force: no cutter is bent, and no spindle loaded, beyond what it bears, by the estimate of docs/joinery.md section 11.

Figures, rough by a factor of two: docs/sources.md section 6. They are from memory, and the limits leave room for that.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from camtools.output.manifest import Manifest
from camtools.verify.findings import Log
from camtools.verify.reader.motion import Motion
from camtools.verify.rules.workplace import Mounted, Stated
from camtools.verify.timber import timber_of, wood_of
from camtools.verify.written import Written, known
from camtools.wording import fine, mm, quantity

__all__ = ["Loads", "stated_of"]

_HARD_N_MM2, _SOFT_N_MM2 = 60.0, 40.0  # by section of a chip of 0.1 mm; thinner ones resist more
_CHIP_MM, _THIN = 0.1, 0.4
_CORE = 0.8  # of a diameter with flutes
_REFUSED_N_MM2, _WARNED_N_MM2 = 250.0, 125.0  # a quarter and an eighth of the strength of hardened steel
_POWER_WARNED = 0.5  # of the spindle's
_RASTER = 1.1  # what is measured on a raster of half a millimetre may be a tenth more
_EDGES = 2.0  # of a cutter of which the job file does not say it
# Thickest chip of an edge against diameter, hardwood's and softwood's: a conservative calculator's chart, docs/sources.md section 6.
_CHART_MM = (3.2, 6.35, 12.7, 19.0)
_HARD_CHIP_MM, _SOFT_CHIP_MM = (0.10, 0.13, 0.20, 0.30), (0.13, 0.15, 0.25, 0.38)
_DOVETAIL_SHARE = 0.7  # of it, at the neck of a dovetail cutter; common practice, no source


def stated_of(written: Written, manifest: Manifest, boards: Collection[str]) -> Stated:
    """Return what the job file says of cutting these boards: softwood where all of them are."""
    woods = [
        timber_of(wood_of(wish.stock, part))
        for drawer, wish in zip(manifest.drawers, written.drawers, strict=False)
        for part, name in drawer.parts
        if name in boards
    ]
    woods = woods or [timber_of(board.wood) for board in manifest.boards if board.id in boards and board.wood]  # of a trial
    soft = bool(woods) and all(wood.soft for wood in woods)
    edges = {number: known(cutter.get("flutes", _EDGES)) for number, cutter in written.cutters.items()}
    marked = frozenset(number for number, cutter in written.cutters.items() if "max_speed" in cutter)
    return Stated(_SOFT_N_MM2 if soft else _HARD_N_MM2, known(written.machine.get("power")), edges, marked)


@dataclass(frozen=True, slots=True)
class _Worst:
    value: float
    line: int
    text: str


class Loads:
    """Keeps the worst load of each cutter in one program."""

    def __init__(self, stated: Stated) -> None:
        self._stated = stated
        self._bending: dict[int, _Worst] = {}
        self._power: dict[int, _Worst] = {}
        self._chips: dict[int, _Worst] = {}

    def take(self, motion: Motion, cutter: Mounted, depth_mm: float, section_mm2: float) -> None:
        """Reckon what a cutter bears on a motion: the mean over a turn.

        Parameters
        ----------
        depth_mm
            Most wood over the tip.
        section_mm2
            Of that wood across the motion, as seen from above: depth by width in a full slot.
        """
        shape, rpm, feed = cutter.shape, motion.spindle_rpm, motion.feed_mm_min
        edges = self._stated.edges.get(shape.number, _EDGES)
        if not (rpm > 0.0 and feed > 0.0 and edges > 0.0 and depth_mm <= shape.cutting_length):
            return  # told by other rules
        share = min(1.0, section_mm2 / (depth_mm * shape.diameter))
        edge_n_mm = self._stated.wood_n_mm2 * _CHIP_MM**_THIN * (feed / (rpm * edges)) ** (1.0 - _THIN)
        force_n = edges * edge_n_mm * share * depth_mm / math.pi
        slope = math.tan(math.radians(shape.half_angle))
        thin = _CORE * (shape.diameter - 2.0 * shape.cutting_length * slope)
        sections = ((shape.cutting_length, thin), (cutter.limits.stick_out, shape.shank))
        stress = max(32.0 * force_n * (at - depth_mm / 2.0) / (math.pi * d**3) for at, d in sections)
        power = force_n * math.pi * (shape.diameter - depth_mm * slope) * rpm / 60_000.0
        # Beside a wall an edge leaves the wood before its chip is as thick as the feed of a turn: any textbook of milling.
        chip = feed / (rpm * edges) * (1.0 if share >= 0.5 else 2.0 * math.sqrt(share * (1.0 - share)))
        chart = _SOFT_CHIP_MM if self._stated.wood_n_mm2 <= _SOFT_N_MM2 else _HARD_CHIP_MM
        most = float(np.interp(thin / _CORE, _CHART_MM, chart)) * (_DOVETAIL_SHARE if slope else 1.0)
        text = f"cutter {shape.number}, {mm(depth_mm)} deep in {share:.0%} of its width at {quantity(feed, 'mm/min')}"
        text += "; feed slower or take less"
        chips = f"cutter {shape.number} takes {fine(chip)} with each edge, charts have {fine(most)} at most; feed slower or turn faster"
        for worst, value, words in ((self._bending, stress, text), (self._power, power, text), (self._chips, chip / most, chips)):
            if shape.number not in worst or value > worst[shape.number].value:
                worst[shape.number] = _Worst(value, motion.line, words)

    def tell(self, log: Log) -> None:
        """Note each cutter's worst load that is over a limit, and chips that are thicker than charts have them."""
        for one in self._chips.values():
            if one.value > _RASTER:
                log.add("chips-thick", one.line, one.text, of_charts_most=one.value)
        spindle = self._stated.power_w
        for worst, over, strained, figure, refused, warned in (
            (self._bending, "cutter-overloaded", "cutter-strained", "stress_n_mm2", _REFUSED_N_MM2, _WARNED_N_MM2),
            (self._power, "spindle-overloaded", "spindle-strained", "power_w", spindle, _POWER_WARNED * spindle),
        ):
            for one in worst.values():
                code, limit = (over, refused) if one.value > refused * _RASTER else (strained, warned)
                if one.value > limit * _RASTER:
                    log.add(code, one.line, one.text, **{figure: one.value, f"limit_{figure}": limit})
