"""Changes of a job file's tables: where they are written, what they make of the tables, and how they are told."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from camtools.faults import Change, Fault, Way
from camtools.job.jobfile import units_of
from camtools.job.lengths import parse_length
from camtools.job.slips import steps_of, unit_at
from camtools.job.tables import toml_of
from camtools.wording import MM_PER_INCH, listed

__all__ = ["changed", "told", "toml", "value_at", "written"]

Content = dict[str, Any]
_SHARED = ("stock", "joints", "groove", "fit")  # tables that a drawer may have of its own


def value_at(content: Mapping[str, Any], key: str) -> Any:
    """Return what is written at a key, or None."""
    value: Any = content
    for step in steps_of(key):
        try:
            value = value[step]
        except (KeyError, IndexError, TypeError):
            return None
    return value


def changed(content: Content, way: Way) -> Content | None:
    """Return tables with these changes, None where one finds no place in them or makes no difference."""
    made = copy.deepcopy(content)
    for change in sorted(way, key=lambda change: (change.value is None, _last(change))):
        *steps, last = steps_of(change.key)
        table: Any = made
        for step in steps:
            if isinstance(table, dict):
                table = table.setdefault(step, {})
            elif isinstance(table, list) and isinstance(step, int) and step < len(table):
                table = table[step]
            else:
                return None
        if change.value is None:
            if not (last in table if isinstance(table, dict) else isinstance(table, list) and isinstance(last, int) and last < len(table)):
                return None
            del table[last]
        elif isinstance(table, dict):
            table[last] = _plain(change.value)
        elif isinstance(table, list) and isinstance(last, int) and last <= len(table):
            table[last : last + 1] = [_plain(change.value)]
        else:
            return None
    return None if made == content else made


def _last(change: Change) -> int:
    """Order for taking out: of a list the last first, so that the others keep their places."""
    last = steps_of(change.key)[-1]
    return -last if isinstance(last, int) and change.value is None else 0


def _plain(value: Any) -> Any:
    """Return a value as TOML has it: lists for tuples, and whole numbers without a point."""
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, float):
        return int(value) if value.is_integer() else round(value, 4)
    return value


def written(way: Way, fault: Fault, content: Content) -> Iterator[Way]:
    """Yield the ways to write changes into a job file: where their values stand, or for every drawer, or for those concerned.

    Lengths are written in inches where their neighbours are.
    """
    placings = [list(_placed(change, fault, content)) for change in _numbered(way, content)]
    for chosen in range(max(map(len, placings), default=0)):
        placed = [placing[min(chosen, len(placing) - 1)] for placing in placings if placing]
        if len(placed) == len(placings):
            there = (change for part in placed for change in part if change.value is not None or value_at(content, change.key) is not None)
            yield from _in_units(tuple(dict.fromkeys(there)), content)


def _numbered(way: Way, content: Content) -> Iterator[Change]:
    """Yield changes, those that add to a list with the places they take in it."""
    added = 0
    for change in way:
        if not change.key.endswith("[]"):
            yield change
            continue
        added += 1
        entries = value_at(content, change.key[:-2])
        taken = len(entries) if isinstance(entries, list) else 0
        yield replace(change, key=f"{change.key[:-2]}[{taken + added}]")


def _placed(change: Change, fault: Fault, content: Content) -> Iterator[Way]:
    steps = steps_of(change.key)
    entries = content.get("drawers")
    if len(steps) != 2 or steps[0] not in _SHARED or not fault.drawers or not isinstance(entries, list):
        yield (change,)
        return
    concerned = [place for place, entry in enumerate(entries, 1) if isinstance(entry, dict) and _named(entry, place) in fault.drawers]
    own = [place for place in concerned if value_at(content, f"drawers[{place}].{change.key}") is not None]
    at_own = tuple(replace(change, key=f"drawers[{place}].{change.key}") for place in own)
    if not own:
        yield (change,)
    elif len(own) < len(concerned):
        yield (*at_own, change)
    else:
        yield at_own
    if change.value is not None and len(concerned) < len(entries):
        yield tuple(replace(change, key=f"drawers[{place}].{change.key}") for place in concerned)


def _named(entry: dict[str, Any], place: int) -> str:
    name = entry.get("name")
    return name.strip() if isinstance(name, str) and name.strip() else f"drawers[{place}]"


def _in_units(way: Way, content: Content) -> Iterator[Way]:
    """Yield a way with its lengths as those around it: in inches to a thousandth, the nearest and those beside it; examples rounded."""
    seen = []
    examples = any(change.example for change in way)
    for more in (*((None,) if examples else ()), 0.0, 0.0005, -0.0005):
        placed = tuple(
            change if change.as_written else replace(change, value=_as_around(change.key, change.value, content, more), as_written=True)
            for change in way
        )
        if placed not in seen:
            seen.append(placed)
            yield placed


def _as_around(key: str, value: Any, content: Content, more: float | None) -> Any:
    """Return a value in mm as it is written at its key: with the unit that stands there, or in that of the job."""
    if isinstance(value, dict):
        return {name: _as_around(f"{key}.{name}", inner, content, more) for name, inner in value.items()}
    if isinstance(value, tuple | list):
        return tuple(_as_around(key, item, content, more) for item in value)
    unit = unit_at(key)
    if not unit.startswith("mm") or not isinstance(value, int | float):
        return value
    inches, with_unit = _inch(content, key)
    if not inches:
        return f"{value:g} {unit}" if with_unit else value
    size = value / MM_PER_INCH
    size = (round(size * 4) / 4 if size > 2 else round(size * 8) / 8 or size) if more is None else size + more
    number = f"{size:.3f}".rstrip("0").rstrip(".")
    return f"{number} {unit.replace('mm', 'in')}" if with_unit else float(number)


def _inch(content: Content, key: str) -> tuple[bool, bool]:
    """Tell whether a length is written in inches, and whether with its unit: as what stands there, or as the job's front."""
    inches = units_of(content) == "in"
    present = next((value for value in (value_at(content, key), value_at(content, "stock.front")) if value is not None), None)
    text = present[0] if isinstance(present, list) and present else present
    if not isinstance(text, str):
        return inches, False
    written = re.search('mm|cm|m|in|"|\u2033|ft|foot|feet', text)
    in_text = not written[0].endswith("m") if written else inches
    return in_text, in_text != inches or bool(written)


def toml(value: Any) -> str:
    """Return a value as it is written in a job file."""
    return toml_of(_plain(value))


_LONGEST = 60  # characters of an old value that are shown


def told(way: Way, content: Content, fault: Fault) -> str:
    """Say by which changes a fault goes: write groove.depth = 6.5 (was 7).

    What is written of wood, cutters and machine is true, unless it is the fault itself: another one is needed.
    """
    wrong = "" if fault.cannot else fault.kind[0]
    if len(way) == 2 and way[0].value is None and value_at(content, way[0].key) == _plain(way[1].value):
        return f"write {way[1].key} in place of {way[0].key}"
    groups: dict[str, list[str]] = {}
    for change in way:
        was = value_at(content, change.key)
        old = toml(was) if isinstance(was, str | int | float | list) else ""
        before = f" (was {old})" if old and len(old) <= _LONGEST else ""
        text = change.key + before if change.value is None else f"{change.key} = {toml(change.value)}{before}{_means(change, content)}"
        groups.setdefault(_opening(change, wrong), []).append(text)
    return "; ".join(f"{opening} {_and(texts)}" for opening, texts in groups.items())


def _means(change: Change, content: Content) -> str:
    """Say what a clamp is that stands so low, and what is done without."""
    if change.key == "templates.leave_out":
        return " (the kit is then made without what is told of here)"
    low = change.key == "machine.clamp_height" and parse_length(change.value, units_of(content)) < _STRAP_MM
    return " (battens screwed down, or clamps that press from the side)" if low else ""


_STRAP_MM = 18.0  # the lowest that a strap with its nut and the end of its stud stands; common practice, no source
_MOST = 5  # changes of one kind that are written out; with --json all are data
_FACTS = {
    "stock": "with other boards:",
    "cutters": "with another cutter:",
    "travel": "with another machine:",
    "machine": "with the machine set up so, if it can be:",
    "opening": "with another opening:",
    "outside": "with another size:",
}
_SETTINGS = ("speed", "feed", "plunge", "depth_per_pass", "number", "kind", "plunges", "wood", "postprocessor", "bottom_kind")


def _table(key: str) -> str:
    """Return the table that a key is of, or the size of a drawer."""
    return next((str(step) for step in steps_of(key) if isinstance(step, str) and step != "drawers"), "")


def _opening(change: Change, wrong: str) -> str:
    """Begin with what has to be done: some values can be chosen, others are facts that must be changed in the shop."""
    steps = [step for step in steps_of(change.key) if isinstance(step, str)]
    if change.example:
        return "write your own, such as"
    if change.value is None:
        return "take out"
    fact = next((words for key, words in _FACTS.items() if key in steps), None)
    amiss = _table(change.key) == _table(wrong) and (steps[-1] != "travel" or "travel" in wrong)
    return "write" if fact is None or amiss or steps[-1] in _SETTINGS else fact


def _and(texts: Sequence[str]) -> str:
    texts = texts if len(texts) <= _MOST else [*texts[: _MOST - 1], f"{len(texts) - _MOST + 1} more like them"]
    return listed(texts, "and")
