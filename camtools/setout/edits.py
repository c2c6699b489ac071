"""What can be done to a job on its page. An edit comes as data, and is written into the document."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from camtools.faults import Fault, JobFault
from camtools.job.lengths import parse_length
from camtools.job.slips import path_of, steps_of
from camtools.mending.changes import told, value_at
from camtools.setout.document import Document
from camtools.setout.form_lines import is_field, is_key, value_of
from camtools.setout.set_out import SetOut
from camtools.setout.shop import fresh_text, take_shop
from camtools.wording import MM_PER_INCH

__all__ = ["Edit", "Edits", "apply"]

_FILES = ("boards.file", "machine.postprocessor")  # keys that may name a file
_BESIDE = re.compile(r"(?!\.\.?$)[^/\\:]+")

Key = Annotated[str, Field(min_length=1, max_length=200)]
Typed = Annotated[str, Field(max_length=2000)]
List = Literal["drawers", "cutters"]
Place = Annotated[int, Field(ge=1, le=2000)]  # in a list, from 1


class _Edit(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class Write(_Edit):
    """A value typed at a key; nothing typed leaves it to camtools."""

    do: Literal["write"]
    key: Key
    typed: Typed


class Add(_Edit):
    """One more drawer or cutter, at the end of the list, like the last one."""

    do: Literal["add"]
    list: List


class _OfEntry(_Edit):
    """An edit of a drawer or a cutter, by its place in its list."""

    list: List
    at: Place


class Copy(_OfEntry):
    """A drawer or cutter once more, after itself."""

    do: Literal["copy"]


class Move(_OfEntry):
    """A drawer or cutter to another place in its list."""

    do: Literal["move"]
    to: Place


class Remove(_OfEntry):
    """A drawer or cutter taken out."""

    do: Literal["remove"]


class Mend(_Edit):
    """The changes that were tried for a fault, by its place among them from 1; for all of them where none is named."""

    do: Literal["mend"]
    fault: Place | None = None


class Divide(_Edit):
    """A case divided anew: rows from the top, each of one height and with so many equal openings.

    Drawers take the openings in their order; those that are lacking are added, and those that find none are taken out.
    """

    do: Literal["divide"]
    width: Typed  # of the case inside
    depth: Typed
    partition: Typed  # thickness
    rows: Annotated[list[tuple[Typed, Annotated[int, Field(ge=1, le=60)]]], Field(min_length=1, max_length=60)]  # height, how many


class Begin(_Edit):
    """A new job in place of what stands here, in these units, with what the shop file says."""

    do: Literal["begin"]
    units: Literal["mm", "in"]


class TakeShop(_Edit):
    """Cutters, machine and clearances as the shop file has them."""

    do: Literal["take shop"]


Edit = Annotated[Write | Add | Copy | Move | Remove | Mend | Divide | Begin | TakeShop, Field(discriminator="do")]


class Edits(BaseModel):
    """Edits that are done together, on the revision that whoever asks for them has seen."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)

    revision: int
    edits: Annotated[list[Edit], Field(min_length=1, max_length=200)]


def apply(edit: Edit, document: Document, seen: SetOut) -> str:
    """Do an edit, and return in words what was done, for undo.

    Parameters
    ----------
    seen
        The job as it stood before: where its faults' remedies are.

    Raises
    ------
    JobFault
        Where it can not be done.
    """
    try:
        return _DONE[type(edit)](edit, document, seen)
    except (KeyError, IndexError, TypeError):
        raise _refused("the job file has no place for this", str(getattr(edit, "key", getattr(edit, "list", "")))) from None


def _refused(problem: str, where: str = "this change", value: str = "", limit: str = "") -> JobFault:
    return JobFault(Fault(where, problem, value, limit))


def _write(edit: Write, document: Document, _: SetOut) -> str:
    if not is_key(edit.key):
        raise _refused("the job file has no such key", edit.key)
    value = value_of(edit.key, edit.typed)
    if edit.key in _FILES and isinstance(value, str) and not _BESIDE.fullmatch(value):
        raise _refused("on this page a file is named that lies beside the job file", edit.key, edit.typed, "a name without folders")
    steps = steps_of(edit.key)
    if value is None and len(steps) > 1 and isinstance(steps[-1], int) and is_field(whole := path_of(steps[:-1])):
        sizes = value_at(document.content, whole)  # those beside an empty one keep their places
        value = "" if sizes and any(size != "" for place, size in enumerate(sizes) if place != steps[-1]) else None
        edit = edit if value == "" else edit.model_copy(update={"key": whole})
    if value is not None:
        document.put(edit.key, value)
    elif value_at(document.content, edit.key) is not None:
        document.take_out(edit.key)
    return edit.key


def _add(edit: Add, document: Document, _: SetOut) -> str:
    entries = _entries(document, edit.list)
    entry = dict(entries[-1]) if entries else dict(_FIRST[edit.list])
    if edit.list == "drawers":
        own = ("row", "opening", "outside")
        entry = {"name": _unused(entries, "Drawer"), **{key: entry[key] for key in own if key in entry}}
    else:
        entry.pop("number", None)
    document.insert(edit.list, len(entries), entry)
    return f"one more of {edit.list}"


def _copy(edit: Copy, document: Document, _: SetOut) -> str:
    entries = _entries(document, edit.list)
    document.repeat(edit.list, edit.at - 1)
    if edit.list == "drawers":
        document.put(f"drawers[{edit.at + 1}].name", _unused(entries, str(entries[edit.at - 1].get("name", "Drawer"))))
    elif "number" in entries[edit.at]:
        document.take_out(f"cutters[{edit.at + 1}].number")
    return f"a copy of {edit.list}[{edit.at}]"


def _move(edit: Move, document: Document, _: SetOut) -> str:
    _entries(document, edit.list)
    document.move(edit.list, edit.at - 1, edit.to - 1)
    return f"the place of {edit.list}[{edit.at}]"


def _remove(edit: Remove, document: Document, _: SetOut) -> str:
    if len(_entries(document, edit.list)) < 2:
        raise _refused("the last one stays", edit.list)
    document.take_out(f"{edit.list}[{edit.at}]")
    return f"{edit.list}[{edit.at}] taken out"


def _mend(edit: Mend, document: Document, seen: SetOut) -> str:
    reckoned = seen.reckoned
    if reckoned is None:
        raise _refused("no remedy is known yet")
    way = reckoned.together if edit.fault is None else reckoned.faults[edit.fault - 1].changes
    if not way:
        raise _refused("no remedy is known")
    words = told(way, dict(seen.content), reckoned.faults[(edit.fault or 1) - 1].fault)
    for change in (one for one in way if one.value is not None):
        document.put(change.key, change.value)
    for key in sorted((one.key for one in way if one.value is None), key=steps_of, reverse=True):  # of a list the last first
        document.take_out(key)
    return words


def _divide(edit: Divide, document: Document, seen: SetOut) -> str:
    """Openings are as wide as the case leaves between partitions, to a hundredth of a mm or a thousandth of an inch."""
    units = seen.units
    per_unit, decimals = (MM_PER_INCH, 3) if units == "in" else (1.0, 2)

    def read(what: str, typed: str) -> float:
        try:
            return parse_length(value_of("drawers[1].opening[1]", typed) or 0, units)
        except ValueError as fault:
            raise _refused("can not be read", what, typed, str(fault)) from None

    def plain(length_mm: float) -> float | int:
        value = round(length_mm / per_unit, decimals)
        return int(value) if value.is_integer() else value

    width, depth, partition = (read(what, getattr(edit, what)) for what in ("width", "depth", "partition"))
    if min(width, depth, partition) <= 0:
        raise _refused("width, depth and partitions of a case are more than nought", "case")
    rooms: list[tuple[str, list[float | int]]] = []
    for row, (height, number) in enumerate(edit.rows, 1):
        wide = (width - partition * (number - 1)) / number
        if wide <= 0:
            raise _refused("partitions leave no room for openings", f"row {row}", f"{number} openings")
        rooms += [(f"row {row}", [plain(wide), plain(read(f"row {row}", height)), plain(depth)])] * number
    entries = _entries(document, "drawers")
    for place in range(len(entries), len(rooms), -1):
        document.take_out(f"drawers[{place}]")
    for place, (row_name, opening) in enumerate(rooms, 1):
        if place > len(entries):
            document.insert("drawers", place - 1, {"name": _unused(entries, "Drawer"), "row": row_name, "opening": opening})
            continue
        for key in ("outside", "count"):
            if key in entries[place - 1]:
                document.take_out(f"drawers[{place}].{key}")
        document.put(f"drawers[{place}].row", row_name)
        document.put(f"drawers[{place}].opening", opening)
    return "the division of the case"


def _begin(edit: Begin, document: Document, seen: SetOut) -> str:
    document.replace(fresh_text(seen.worked.path.parent, edit.units))
    return "the beginning"


def _take_shop(_: TakeShop, document: Document, seen: SetOut) -> str:
    take_shop(seen.worked.path.parent, document)
    return "the shop's cutters and machine"


_DONE: Mapping[type[_Edit], Callable[[Any, Document, SetOut], str]] = {
    Write: _write,
    Add: _add,
    Copy: _copy,
    Move: _move,
    Remove: _remove,
    Mend: _mend,
    Divide: _divide,
    Begin: _begin,
    TakeShop: _take_shop,
}
_FIRST: Mapping[str, Mapping[str, Any]] = {
    "drawers": {"name": "Drawer", "opening": [300, 100, 260]},
    "cutters": {"kind": "straight", "diameter": 6, "cutting_length": 22},
}


def _entries(document: Document, name: str) -> list[dict[str, Any]]:
    """Return the entries of a list; none where it is lacking. Raises KeyError where it is no list of tables."""
    entries = document.content.get(name, [])
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise KeyError(name)
    return entries


def _unused(entries: Sequence[dict[str, Any]], name: str) -> str:
    """Return a name that no entry has: this one with the first number that is free."""
    taken = {str(entry.get("name")) for entry in entries}
    stem = name.rstrip("0123456789 ") or name
    return next(own for number in range(2, len(taken) + 3) if (own := f"{stem} {number}") not in taken)
