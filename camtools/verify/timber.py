"""The woods as the check knows them: which are soft, and how little and how much each moves. It shares no table with the drawers' sizes."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from camtools.verify.written import Value, Values, known

__all__ = ["Timber", "moisture_of", "timber_of", "wood_of"]

_MOISTURE = {"driest": 6.0, "now": 8.0, "dampest": 10.0}  # %, where the job file says nothing
_BEYOND = 0.1  # part by which Eq. (4-9) may differ from coefficients, which hold from 6 to 14 %

# Least and most of a kind, radial and tangential, in 0.00001 of a width for each % of moisture. Wood Handbook, Table 13-5; European kinds
# after B. Hoadley in The Structural Conservation of Panel Paintings, Table 1, by Eq. (4-9). What has no row may move as any wood of these.
_HARD = {
    "alder": (151, 151, 256, 256),
    "ash": (126, 180, 219, 293),
    "basswood": (230, 230, 330, 330),
    "beech": (190, 201, 427, 431),
    "birch": (162, 256, 304, 338),
    "cherry": (126, 144, 248, 274),
    "chestnut": (116, 137, 234, 237),
    "elm": (144, 183, 285, 419),
    "hardwood": (256, 256, 431, 431),  # of which nothing else is known: as beech and birch, the liveliest of the common ones
    "hickory": (169, 259, 315, 411),
    "iroko": (153, 153, 205, 205),
    "lime": (237, 237, 338, 338),
    "linden": (237, 237, 338, 338),
    "mahogany": (141, 172, 201, 238),
    "maple": (102, 165, 248, 353),
    "oak": (123, 230, 230, 462),
    "poplar": (158, 158, 289, 289),
    "spanish": (141, 141, 219, 219),  # Spanish cedar, which is no conifer
    "sycamore": (144, 172, 296, 312),  # the tree of America, and the maple that bears the name in Europe
    "teak": (101, 101, 186, 186),
    "tulipwood": (158, 158, 289, 289),
    "walnut": (148, 190, 223, 274),
}
_SOFT = {
    "baldcypress": (130, 130, 216, 216),
    "cedar": (74, 158, 162, 241),  # the least by the shrinkage of Table 4-3, which is less than by the coefficient
    "fir": (88, 165, 241, 327),
    "hemlock": (102, 144, 237, 274),
    "larch": (112, 155, 274, 323),
    "pine": (71, 187, 194, 278),
    "redwood": (101, 120, 205, 229),
    "softwood": (187, 187, 327, 327),
    "spruce": (123, 148, 237, 274),
    "tamarack": (126, 126, 259, 259),
    "whitewood": (123, 148, 237, 274),
    "yew": (71, 390, 162, 527),
}
_ANY = (71, 390, 162, 527)


@dataclass(frozen=True, slots=True)
class Timber:
    """A wood: whether it is soft, and least and most coefficients of its kind, radial and tangential."""

    soft: bool
    moves: tuple[int, int, int, int]

    def growth(self, stock: Values, season: str) -> tuple[float, float]:
        """Return by how much of its width a board changes at least and at most from now to a season, by what is written of the stock."""
        least, most = self.moves[:2] if stock.get("sawn") == "quarter" else self.moves[2:]
        change = 1e-5 * abs(moisture_of(stock, season) - moisture_of(stock, "now"))
        return least * change * (1 - _BEYOND), most * change * (1 + _BEYOND)


def timber_of(name: Value | None) -> Timber:
    """Return a wood by the words of its name; of one that is not named, what is safe to think of it."""
    words = set(re.findall(r"\w+", name.casefold())) if isinstance(name, str) else {"hardwood"}
    hard = [_HARD[word] for word in sorted(words & _HARD.keys())]  # cedar elm is an elm
    rows = hard or [_SOFT[word] for word in sorted(words & _SOFT.keys())]
    if not rows:
        return Timber(False, _ANY)
    (radial, _, tangential, _), (_, most_radial, _, most_tangential) = map(min, zip(*rows, strict=True)), map(max, zip(*rows, strict=True))
    return Timber(not hard, (radial, most_radial, tangential, most_tangential))


def wood_of(stock: Values, part: str) -> Value | None:
    """Return what is written of the wood of a part of the drawer; None where nothing is."""
    return stock.get(f"{'side' if part in ('left', 'right') else part}_wood", stock.get("wood"))


def moisture_of(stock: Values, season: str) -> float:
    """Return the moisture of the wood in %, "driest", "now" or "dampest": as written, or by the air that is written."""
    air = stock.get(f"climate.{season}")
    if season in stock or air is None:
        return known(stock.get(season, _MOISTURE[season]))
    return _in_air(*air) if isinstance(air, tuple) and len(air) == 2 else math.nan


def _in_air(temperature: Value, humidity: Value) -> float:
    """Return the moisture of wood in air. Wood Handbook FPL-GTR-113 (1999), Eq. (3-3), which is in degrees Fahrenheit; from memory."""
    found = re.fullmatch(r"(-?[\d.]+) *\u00b0? *([CF])", temperature.strip()) if isinstance(temperature, str) else None
    degrees, fahrenheit = (float(found[1]), found[2] == "F") if found else (known(temperature), False)
    t = degrees if fahrenheit else 32 + 1.8 * degrees
    w = 330 + 0.452 * t + 0.00415 * t**2
    kh = (0.791 + 0.000463 * t - 0.000000844 * t**2) * known(humidity) / 100
    k1 = 6.34 + 0.000775 * t - 0.0000935 * t**2
    k2 = 1.09 + 0.0284 * t - 0.0000904 * t**2
    hydrate = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + hydrate)
