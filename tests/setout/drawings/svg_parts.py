"""Reads a picture as whoever looks at the page sees it."""

from __future__ import annotations

import re
from xml.etree import ElementTree

Box = tuple[float, float, float, float]

_PLACE = re.compile(r"-?[0-9.]+ -?[0-9.]+")


def tree_of(picture: str) -> ElementTree.Element:
    return ElementTree.fromstring(picture)


def places_of(path: ElementTree.Element) -> list[tuple[float, float]]:
    """Return the places of a path of straight lines, px from the upper left corner."""
    return [(float(x), float(y)) for x, y in (place.split() for place in _PLACE.findall(path.attrib["d"].replace("M", " ")))]


def box_of(paths: list[ElementTree.Element]) -> Box:
    xs, ys = zip(*(place for path in paths for place in places_of(path)), strict=True)
    return min(xs), min(ys), max(xs), max(ys)
