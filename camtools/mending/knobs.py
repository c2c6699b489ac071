"""What may be changed in any job to be rid of a fault, where the fault itself proposes nothing that works."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from camtools.drawer.styles import STYLES
from camtools.faults import Change, Fault, Way
from camtools.job.drawer_limits import CENTIMETRES
from camtools.job.form import FitForm
from camtools.job.jobfile import units_of
from camtools.job.lengths import parse_length
from camtools.mending.changes import value_at

__all__ = ["ways_to_mend"]

Content = dict[str, Any]

_FREE = ("joints.tails", "joints.tail", "joints.pin", "joints.half_pin")
# Other values that are tried, the nearest to the present one first.
_VALUES: Mapping[str, Sequence[Any]] = {
    "groove.edge": (6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 18, 20, 24),
    "groove.depth": (2, 2.5, 3, 4, 5, 6, 8),
    "joints.style": tuple(STYLES),
    "groove.ends": ("stopped", "hidden"),
    "fit.back": ("full", "raised"),
    "joints.lap": (2.5, 3, 3.5, 4, 5, 6, 7, 8, 10),
    "joints.rough": (False, True),
    "joints.proud": (0.3, 0.1),
    "stock.bottom_kind": ("plywood",),
}
_SET_UP: Mapping[str, Sequence[Any]] = {
    "clamp_from_end": (20, 30, 40, 60),
    "clamp_from_groove": (10, 15, 20, 30),
    "clamp_height": (20, 15, 10),
    "backing": (18, 25, 40),
    "upright_stop_below": (25, 35, 50),
    "flat_stop": (4, 2, 1),
}
_STRETCHED = (1.05, 1.1, 1.25, 1.5, 2.0, 3.0)
_THICKER = (1.1, 1.25, 1.5, 2.0, 0.9, 0.8, 0.65, 0.5)
_DOVETAILS = ((12.7, 14, 16), (9.5, 10, 12), (8, 10, 10), (16, 14, 20), (6.35, 8, 10), (19, 10, 30), (20, 14, 25))
_STRAIGHTS = ((6, 22), (3, 12), (4, 16), (8, 30), (2, 8), (10, 40))


def ways_to_mend(fault: Fault, content: Content) -> Iterator[Way]:
    """Yield what a fault proposes, then what can be changed in any job: choices before wood, cutters and machine."""
    if fault.kind[0].startswith(("opening", "outside")):
        yield from _from_centimetres(fault, content)
    yield from fault.ways
    yield from _choices(content)
    yield from _sizes(fault, content)
    yield from _cutters(content)
    yield from _machine(content)


def _choices(content: Content) -> Iterator[Way]:
    for key in _FREE:
        yield (Change(key),)
    yield tuple(Change(key) for key in _FREE)
    for number, kind in _numbered(content):
        keys = ("joints.dovetail",) if kind == "dovetail" else ("groove.cutter", "joints.straight")
        yield from ((Change(key, number),) for key in keys)
    for key, values in _VALUES.items():
        now = value_at(content, key)
        known = isinstance(now, int | float) and not isinstance(now, bool)
        for value in sorted(values, key=lambda value: abs(value - now)) if known else values:
            yield (Change(key, value),)
    yield from ((Change(f"fit.{key}"),) for key in FitForm.model_fields)


def _numbered(content: Content) -> list[tuple[int, str]]:
    """Return number and kind of the cutters whose numbers are written, or stand as they are counted."""
    entries = [entry for entry in content.get("cutters", []) if isinstance(entry, dict)] if isinstance(content.get("cutters"), list) else []
    taken = {entry.get("number") for entry in entries}
    free = iter(number for number in range(1, 1000) if number not in taken)
    return [(entry["number"] if isinstance(entry.get("number"), int) else next(free), str(entry.get("kind"))) for entry in entries]


def _from_centimetres(fault: Fault, content: Content) -> Iterator[Way]:
    """Write sizes in mm where all of them look like centimetres."""
    entries = content.get("drawers")
    way = []
    for place, entry in enumerate(entries if isinstance(entries, list) else (), 1):
        for key in ("opening", "outside"):
            size_mm = [_mm(content, f"drawers[{place}].{key}[{axis}]") for axis in (1, 2, 3)]
            small = all(0 < size < CENTIMETRES for size in size_mm) and min(size_mm[0], size_mm[2]) > CENTIMETRES / 10
            if small and isinstance(entry, dict) and entry.get("name") in fault.drawers:
                way.append(Change(f"drawers[{place}].{key}", tuple(round(10 * size, 4) for size in size_mm)))
    if way:
        yield tuple(way)


def _sizes(fault: Fault, content: Content) -> Iterator[Way]:
    """Stretch the drawers concerned, and thicken or thin the boards."""
    entries = content.get("drawers")
    drawers = [entry for entry in entries if isinstance(entry, dict)] if isinstance(entries, list) else []
    for axis in (2, 1, 3):
        for part in _STRETCHED:
            way = []
            for place, entry in enumerate(drawers, 1):
                for key in ("opening", "outside"):
                    at = f"drawers[{place}].{key}[{axis}]"
                    if (not fault.drawers or entry.get("name") in fault.drawers) and (size_mm := _mm(content, at)):
                        way.append(Change(at, round(size_mm * part)))
            if way:
                yield tuple(way)
    for key in ("front", "side", "back", "bottom"):
        if size_mm := _mm(content, f"stock.{key}"):
            yield from ((Change(f"stock.{key}", round(size_mm * part, 1)),) for part in _THICKER)


def _mm(content: Content, key: str) -> float:
    """Return a length of the job file in mm, 0 where none can be read."""
    try:
        return parse_length(value_at(content, key), units_of(content))
    except ValueError:
        return 0.0


def _cutters(content: Content) -> Iterator[Way]:
    """Add a cutter to the list, and use it."""
    entries = content.get("cutters")
    if not isinstance(entries, list):
        return
    at = "cutters[]"
    number = next(number for number in range(1, 1000) if number not in {number for number, _ in _numbered(content)})
    for diameter, angle, length in _DOVETAILS:
        cutter = {"number": number, "kind": "dovetail", "diameter": diameter, "angle": angle, "cutting_length": length}
        yield Change(at, cutter), Change("joints.dovetail", number)
    for diameter, length in _STRAIGHTS:
        cutter = {"number": number, "kind": "straight", "diameter": diameter, "cutting_length": length}
        yield Change(at, cutter), Change("groove.cutter", number)
        yield Change(at, cutter), Change("joints.straight", number)
        yield Change(at, cutter), Change("joints.straight", number), Change("groove.cutter", number)


def _machine(content: Content) -> Iterator[Way]:
    """Set the machine up otherwise, or take a larger one."""
    for key, values in _SET_UP.items():
        yield from ((Change(f"machine.{key}", value),) for value in values)
    travel = [_mm(content, f"machine.travel[{axis}]") for axis in (1, 2, 3)]
    sizes = travel if all(travel) else [600, 400, 80]
    yield from ((Change("machine.travel", tuple(round(size * part) for size in sizes)),) for part in (1.5, 2.0, 3.0))
