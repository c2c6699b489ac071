"""The woods whose movement is published, by the names that a maker would use for them, and the moisture that wood takes from the air."""

from __future__ import annotations

import csv
import difflib
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

__all__ = [
    "UNKNOWN_HARDWOOD",
    "UNKNOWN_SOFTWOOD",
    "Wood",
    "coefficient_of",
    "emc_percent",
    "find_wood",
    "is_softwood",
    "known_woods",
    "namesakes_of",
    "nearest_wood",
    "shrinkage_of",
]

HUMIDITY = (0.0, 0.98)  # Table 4-2, made from Eq. (4-5), has rows from 5 to 95 %
TEMPERATURE_C = (-1.2, 132.3)  # Table 4-2: 30 to 270 deg F
UNKNOWN_HARDWOOD = "unknown hardwood"
UNKNOWN_SOFTWOOD = "unknown softwood"

_CONIFERS = frozenset(
    ("baldcypress", "cedar", "douglas-fir", "fir", "hemlock", "larch", "parana", "pine", "redwood", "spruce", "tamarack", "yew")
)


@dataclass(frozen=True, slots=True)
class Wood:
    """How a wood moves across its grain."""

    name: str
    radial_coefficient: float  # change of size per 1 % of moisture content, quarter-sawn
    tangential_coefficient: float  # the same, flat-sawn
    radial_shrinkage: float  # % from green to oven-dry
    tangential_shrinkage: float
    source: str


_MOVEMENT = "Wood Handbook FPL-GTR-190 Table 13-5"
_SHRINKAGE = "Wood Handbook FPL-GTR-190 Table 4-3"
_EUROPEAN = "Hoadley in The Structural Conservation of Panel Paintings, Table 1, p. 15"
_LINK = "linked by C = S/(3000 - 20 S), from Eq. (4-9)"

# Short names stand for the kind that is sold under them; where two kinds are, for the one that moves more.
_ALIASES = {
    "alder": "Alder, red",
    "American cherry": "Cherry, black",
    "American walnut": "Walnut, black",
    "ash": "Ash, European",
    "basswood": "Basswood, American",
    "beech": "Beech, European",
    "birch": "Birch, yellow",
    "cedar": "Cedar, western red",
    "cherry": "Cherry, European",
    "chestnut": "Chestnut, sweet",
    "Douglas fir": "Douglas-fir, coast",
    "elm": "Elm, American",
    "fir": "Fir, white",
    "hard maple": "Maple, sugar",
    "hickory": "Hickory, true",
    "iroko": "Iroko",
    "larch": "Larch, European",
    "lime": "Lime, European",
    "linden": "Lime, European",
    "mahogany": "Mahogany (American, Swietenia)",
    "maple": "Maple, sugar",
    "oak": "Oak, European",
    "pine": "Pine, Scots",
    "poplar": "Yellow-poplar",
    "red oak": "Red Oak, commercial",
    "redwood": "Redwood, second growth",
    "rock maple": "Maple, sugar",
    "soft maple": "Maple, red",
    "spruce": "Spruce, European",
    "sycamore": "Maple, European",
    "sycamore maple": "Maple, European",
    "tulipwood": "Yellow-poplar",
    "walnut": "Walnut, black",
    "western red cedar": "Cedar, western red",
    "white oak": "White Oak, commercial",
    "whitewood": "Spruce, European",
    "hardwood": UNKNOWN_HARDWOOD,
    "softwood": UNKNOWN_SOFTWOOD,
}


def emc_percent(temperature_c: float, humidity: float) -> float:
    """Moisture content that wood comes to in air. Wood Handbook Eq. (4-5), p. 4-3.

    Parameters
    ----------
    temperature_c
        Temperature in degrees Celsius.
    humidity
        Relative humidity as a fraction.

    Raises
    ------
    ValueError
        Outside the range of Table 4-2.
    """
    for what, value, (low, high) in (
        ("temperature in deg C", temperature_c, TEMPERATURE_C), ("relative humidity as a fraction", humidity, HUMIDITY),
    ):  # fmt: skip
        if not low <= value <= high:
            raise ValueError(f"{what} is {value:g}, outside {low:g} to {high:g}")
    t = temperature_c
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * humidity
    bound = k1 * kh + 2 * k1 * k2 * kh**2
    return 1800 / w * (kh / (1 - kh) + bound / (1 + k1 * kh + k1 * k2 * kh**2))


def coefficient_of(shrinkage: float) -> float:
    """Coefficient of change per 1 % MC from shrinkage in %: ``C = S/(3000 - 20 S)``. Wood Handbook, Eq. (4-9) about 10 % MC."""
    return shrinkage / (3000 - 20 * shrinkage)


def shrinkage_of(coefficient: float) -> float:
    """Shrinkage in % from the coefficient of change: the inverse of ``coefficient_of``."""
    return 3000 * coefficient / (1 + 20 * coefficient)


def _rows(name: str) -> list[dict[str, str]]:
    with Path(__file__).with_name(name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@cache
def _table() -> dict[str, Wood]:
    shrinkage = {row["species"]: (float(row["S_R"]), float(row["S_T"])) for row in _rows("shrinkage.csv")}
    woods = []
    for row in _rows("movement.csv"):
        radial, tangential = float(row["C_R"]), float(row["C_T"])
        if seen := shrinkage.get(row["species"]):
            woods.append(Wood(row["species"], radial, tangential, *seen, f"{_MOVEMENT}; {_SHRINKAGE}"))
        else:
            woods.append(Wood(row["species"], radial, tangential, round(shrinkage_of(radial), 2), round(shrinkage_of(tangential), 2),
                              f"{_MOVEMENT}; shrinkage {_LINK}"))  # fmt: skip
    for row in _rows("european.csv"):
        radial, tangential = float(row["S_R"]), float(row["S_T"])
        coefficients = (round(coefficient_of(radial), 5), round(coefficient_of(tangential), 5))
        woods.append(Wood(row["species"], *coefficients, radial, tangential, f"{_EUROPEAN}; coefficients {_LINK}"))
    woods.append(Wood(UNKNOWN_HARDWOOD, 0.00256, 0.00431, 7.3, 11.9,
                      "cautious: as much as American beech and yellow birch, which move most of the common furniture woods"))  # fmt: skip
    woods.append(Wood(UNKNOWN_SOFTWOOD, 0.00187, 0.00327, 5.4, 9.2,
                      "cautious: as much as Pacific silver fir and slash pine, which move most of the softwoods there"))  # fmt: skip
    return {wood.name: wood for wood in sorted(woods, key=lambda wood: wood.name.casefold())}


def _key(name: str) -> tuple[str, ...]:
    """Words in any order and case: "black cherry" is "Cherry, black"."""
    return tuple(sorted(re.findall(r"\w+", name.casefold())))


@cache
def _keys() -> dict[tuple[str, ...], str]:
    return {_key(alias): name for alias, name in _ALIASES.items()} | {_key(name): name for name in _table()}


def known_woods() -> tuple[Wood, ...]:
    """Return every wood of the tables, by name, and the two that stand for what is not known."""
    return tuple(_table().values())


def find_wood(name: str) -> Wood:
    """Return the wood of this name, its words in any order, or of a short name such as "oak".

    Raises
    ------
    KeyError
        Where there is none.
    """
    return _table()[_keys()[_key(name)]]


def namesakes_of(name: str) -> tuple[str, ...]:
    """Return the other woods of the tables that a short name such as "oak" may mean; none where it is the name of one."""
    written = _key(name)
    taken = _keys().get(written)
    if taken is None or written == _key(taken):
        return ()
    last = name.split()[-1].casefold()
    kinds = {known: re.split("[,:(]", known)[0].casefold() for known in _table() if known != taken and set(written) <= set(_key(known))}
    return tuple(known for known, kind in kinds.items() if kind.split()[-1] == last or _key(kind) == written)


def is_softwood(species: str) -> bool:
    """Tell whether a species of the movement tables is a conifer, or the stand-in for one that is not known."""
    name = find_wood(species).name.casefold()
    return name.split(",")[0].split()[0] in _CONIFERS or "softwood" in name


def nearest_wood(name: str) -> str | None:
    """Return the known name that is most like this one, or None."""
    written = {" ".join(key): known for key, known in _keys().items()}
    close = difflib.get_close_matches(" ".join(_key(name)), list(written), 1, 0.6)
    return written[close[0]] if close else None
