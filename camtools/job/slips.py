"""Slips of the pen: what pydantic finds amiss in a form, in a maker's words and with the nearest thing that works."""

from __future__ import annotations

import difflib
import re
import typing
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from camtools.faults import Change, Fault, Way, puts
from camtools.job.form import SEASONS, UNREAD, JobForm
from camtools.job.quantities import AMISS, Quantity
from camtools.wording import listed

__all__ = ["fault_of", "meant", "nearest", "nearest_file", "path_of", "steps_of", "strike", "unit_at"]

Place = Sequence[int | str]

_LONGEST = 60  # characters of a value or a key that are shown
_AXES = {
    "opening": ("width", "height", "depth"),
    "outside": ("width", "height", "depth"),
    "travel": ("X", "Y", "Z"),
    "sheet": ("length", "width"),
    **dict.fromkeys(SEASONS, ("temperature", "humidity")),
}
_RENAMED = {"change_height": "retract"}
# What pydantic calls it: what is wrong, and how it is written.
_KINDS = {
    "int_type": ("is not a whole number", "a whole number without quotes"),
    "int_from_float": ("is not a whole number", "a whole number without quotes"),
    "int_parsing_size": ("is too large a number", ""),
    "bool_type": ("is neither true nor false", "true or false, without quotes"),
    "string_type": ("is not a text", "a text in quotes"),
    "list_type": ("is not a list", "a list in square brackets"),
    "tuple_type": ("is not a list", "a list in square brackets"),
    "model_type": ("is not a table", "keys and values under its name"),
}
# Of cutter and machine, as measured or marked: never left to camtools to be rid of a fault.
_MEASURED = ("max_speed", "min_speed", "max_feed", "power", "travel", "upright_stops", "upright_plate", "flat_stops", "flat_fence")
_CUTTERS = (
    {"kind": "dovetail", "diameter": 12.7, "angle": 14, "cutting_length": 16},
    {"kind": "straight", "diameter": 6, "cutting_length": 22},
)
_AIR = (20, 50)
_SIZES = {"opening": (300, 100, 260), "outside": (300, 100, 260), "travel": (600, 400, 80), "sheet": (600, 300)}
_EXAMPLES: Mapping[str, Any] = {
    "title": "Specimen chest",
    "name": "Seeds",
    "kind": "straight",
    "diameter": 6,
    "angle": 14,
    "cutting_length": 16,
    "front": 20,
    "side": 12,
    "bottom": 6.4,
    "stock": {"front": 20, "side": 12, "bottom": 6.4},
    "cutters": _CUTTERS,
    "drawers": ({"name": "Seeds", "opening": _SIZES["opening"]},),
    "upright_stops": (100, 500),
    "flat_stops": (50, 550),
    **_SIZES,
}


def path_of(place: Place) -> str:
    """Return a place of the file as a maker reads it: ``drawers[2].opening[1] (width)``, counted from 1."""
    text = ""
    for step in place:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{_key(step)}" if text else _key(step)
    if len(place) > 1 and isinstance(place[-1], int) and place[-1] < len(axes := _AXES.get(str(place[-2]), ())):
        text += f" ({axes[place[-1]]})"
    return text


_MORE_EXAMPLES = {"diameter": (12.7, 20, 3), "cutting_length": (10, 22)}

_STEP = re.compile(r'\.?([\w-]+|"[^"]*")|\[(\d+)\]')


def steps_of(path: str) -> tuple[int | str, ...]:
    """Return the steps of a path that ``path_of`` wrote, counted from 0; what follows a blank is left out."""
    return tuple(int(number) - 1 if number else word.strip('"') for word, number in _STEP.findall(path.split(" ")[0]))


def _key(word: str) -> str:
    word = word if len(word) <= _LONGEST else f"{word[:_LONGEST]}…"
    return word if re.fullmatch(r"[\w…-]+", word) else f'"{word}"'


def _shown(value: object) -> str:
    """Return a value nearly as it stands in the file, cut short where it is long."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= _LONGEST else f'"{value[:_LONGEST]}…", {len(value)} characters'
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, Sequence):
        return f"a list of {len(value)}"
    if isinstance(value, int) and value.bit_length() > 200:
        return "a number of very many digits"
    return str(value)


def nearest(word: str, known: Iterable[str]) -> str:
    """Return the known word that is most like this one, or nothing."""
    return next(iter(difflib.get_close_matches(word[:_LONGEST].casefold(), list(known), 1, 0.6)), "")


def nearest_file(path: Path) -> str:
    """Return a hint at the TOML file that lies where this one does not, and whose name is most like it, or nothing."""
    try:
        names = sorted(file.name for file in path.parent.glob("*.toml"))
    except (OSError, ValueError):
        return ""
    return meant(path.name, names)


def meant(word: str, known: Iterable[str]) -> str:
    """Return a hint at the known word that is most like this one, or nothing."""
    close = nearest(word, known)
    return f"did you mean {close}?" if close else ""


def _form_at(place: Place) -> type[BaseModel] | None:
    """Return the form of the table at a place, or None where no table belongs."""
    form: type[BaseModel] | None = JobForm
    for step in place:
        if isinstance(step, int):
            continue
        field = form.model_fields.get(step) if form else None
        form = _inner(field.annotation) if field else None
    return form


def _inner(annotation: Any) -> type[BaseModel] | None:
    """Find the form in ``Form``, ``Form | None`` and ``list[Form]``."""
    if parts := typing.get_args(annotation):
        return next((form for part in parts if (form := _inner(part))), None)
    return annotation if isinstance(annotation, type) and issubclass(annotation, BaseModel) else None


def unit_at(path: str) -> str:
    """Return the unit of what stands at a path, or of each in a list: mm of a length; nothing where it has none."""
    steps = steps_of(path)
    words = [step for step in steps if isinstance(step, str)]
    form = _form_at(words[:-1])
    field = form.model_fields.get(words[-1]) if form and words else None
    return next((part.unit for part in _quantities(field.annotation, field.metadata)), "") if field else ""


def _quantities(annotation: Any, metadata: Sequence[Any] = ()) -> Iterator[Quantity]:
    """Yield the quantities in a type such as ``list[Annotated[float, Quantity]] | None``."""
    yield from (part for part in metadata if isinstance(part, Quantity))
    for part in typing.get_args(annotation):
        yield from [part] if isinstance(part, Quantity) else _quantities(part)


_TABLES = {name: form for name in JobForm.model_fields if (form := _form_at([name]))}


def _unknown(place: Place, value: object) -> tuple[str, tuple[Way, ...]]:
    """Say which keys there are, or in which table this one is known; and name the ways to write it there, or to leave it out."""
    key, form = str(place[-1]), _form_at(place[:-1])
    known = list(form.model_fields) if form else []
    where, inside = path_of(place), f"{path_of(place[:-1])}." if len(place) > 1 else ""
    drawer = f"{path_of(place[:2])}." if place[0] == "drawers" and len(place) > 3 else ""
    homes = [name for name, table in _TABLES.items() if key in table.model_fields and table is not form]
    meant = [_RENAMED[key]] if key in _RENAMED else []
    if isinstance(value, Mapping | list) and len(place) == 1:
        meant += [nearest(key, _TABLES)]  # a table, though one of its keys may have this very name
    likely = [word for word in (*meant, "" if homes else nearest(key, known)) if word]
    others = [f"{inside}{word}" for word in likely]
    others += [f"{drawer}{home}.{key}" for home in homes if home not in ("cutters", "drawers")]
    others += [key] if key in JobForm.model_fields and form is not JobForm else []
    ways = tuple((Change(where), Change(other, _kept(value), as_written=True)) for other in others)
    lists = [word for word in meant if word in ("cutters", "drawers")]
    table = tuple((Change(where), *(Change(f"{word}[]", entry, as_written=True) for entry in _listed(value))) for word in lists)
    limit = f"known: {likely[0]}" if likely else f"known in {listed(homes)}" if homes else f"known here: {', '.join(known)}"
    return limit, (*table, *ways, *puts(where, None))


def _kept(value: object) -> Any:
    return tuple(map(_kept, value)) if isinstance(value, list) else value


def _listed(value: object) -> Sequence[Any]:
    return value if isinstance(value, list) else [value]


def fault_of(error: ErrorDetails) -> Fault:
    """Return one error of pydantic as a fault; ``where`` is the key's path."""
    fault = _told(error)
    place = error["loc"]
    if fault.ways and error["type"] == "extra_forbidden":
        return fault
    key = path_of(place).split(" ")[0]
    return replace(fault, ways=(*fault.ways, *_left_out(place, key), *_shown_how(place, key), *_list_shown(place)))


def _told(error: ErrorDetails) -> Fault:
    place, kind, value = error["loc"], error["type"], error["input"]
    context: Mapping[str, Any] = error.get("ctx", {})
    where = path_of(place)
    key = where.split(" ")[0]
    if kind == AMISS:
        units = puts("units", context["units"], as_written=True) if context["units"] else ()
        ways = (*units, *puts(key, *context["values"], as_written=True))
        return Fault(where, context["problem"], context["found"] or _shown(value), context["limit"], ways=ways)
    if kind == "extra_forbidden":
        limit, ways = _unknown(place, value)
        return Fault(where, "there is no such key", "", limit, ways=ways)
    if kind == "missing":
        return Fault(where, "is missing", limit=_about(place))
    if kind == "literal_error":
        known = re.findall(r"'([^']*)'", context["expected"])
        meant = nearest(value, known) if isinstance(value, str) else ""
        ways = puts(key, *sorted(known, key=lambda word: word != meant))
        return Fault(where, "is not known here", _shown(value), " or ".join(f'"{word}"' for word in known), ways=ways)
    if kind in ("too_short", "too_long"):
        few = kind == "too_short"
        axes = _AXES.get(str(place[-1]), ())
        limit = f"at least {context['min_length']}" if few else f"at most {context['max_length']}"
        if axes:
            limit = f"{'two' if len(axes) == 2 else 'three'}: {', '.join(axes)}; a decimal is written with a point"
        ways = puts(key, *_joined(value, len(axes)), as_written=True) if axes else ()
        return Fault(where, f"has too {'few' if few else 'many'} entries", str(context["actual_length"]), limit, ways=ways)
    if kind in ("greater_than_equal", "less_than_equal"):
        below = kind == "greater_than_equal"
        bound = context["ge"] if below else context["le"]
        limit = f"at least {bound}" if below else f"at most {bound}"
        return Fault(where, f"is too {'small' if below else 'large'}", _shown(value), limit, ways=puts(key, bound))
    if kind in ("string_too_short", "string_too_long"):
        short = kind == "string_too_short"
        limit = "at least 1 character" if short else f"at most {context['max_length']} characters"
        return Fault(where, "is empty" if short else "is too long", _shown(value), limit)
    problem, limit = _KINDS.get(kind, (error["msg"], ""))
    return Fault(where, problem, _shown(value), limit, ways=puts(key, *_as_kind(kind, value), as_written=True))


def _as_kind(kind: str, value: object) -> Iterator[Any]:
    """Yield what may be meant by a value of the wrong kind."""
    if kind in ("int_type", "int_from_float"):
        number = re.search(r"[0-9]+", str(value))
        if number:
            yield int(number[0])
    elif kind == "bool_type":
        yield str(value).strip().casefold() in ("yes", "true", "on", "1", "y")
    elif kind == "string_type" and not isinstance(value, list | Mapping):
        yield str(value)
    elif kind in ("list_type", "tuple_type"):
        yield from _split(value) if isinstance(value, str) else ()
        yield (value,)
    elif kind == "model_type" and isinstance(value, list) and len(value) == 1:
        yield value[0]


def _split(text: str) -> Iterator[tuple[Any, ...]]:
    """Yield the sizes in a text such as ``130 x 65 x 210 mm``, each with the unit that only the last has."""
    parts = [part.strip() for part in re.split(r"[x×*,;]|\bby\b", text.strip(" []()"))]
    numbers = [re.fullmatch(r"([0-9]+(?:\.[0-9]*)?)\s*(.*)", part) for part in parts]
    if len(parts) > 1 and all(numbers):
        unit = numbers[-1][2] if numbers[-1] else ""
        if unit:
            yield tuple(part if found and found[2] else f"{part} {unit}" for part, found in zip(parts, numbers, strict=True))
        else:
            yield tuple(float(part) if "." in part else int(part) if part.isdigit() else part for part in parts)


def _joined(value: object, count: int) -> Iterator[tuple[Any, ...]]:
    """Yield lists of so many, made of one in which a decimal was written with a comma."""
    if isinstance(value, list) and all(isinstance(item, int) for item in value) and len(value) == count + 1:
        for at in range(count):
            yield (*value[:at], float(f"{value[at]}.{value[at + 1]}"), *value[at + 2 :])


def _field_at(place: Place) -> FieldInfo | None:
    form = _form_at([step for step in place[:-1] if isinstance(step, str)]) if place else None
    return form.model_fields.get(str(place[-1])) if form else None


def _left_out(place: Place, key: str) -> tuple[Way, ...]:
    """Leave out what may be left out."""
    field = _field_at(place) if isinstance(place[-1], str) else None
    left_out = field is not None and not field.is_required() and place[-1] not in _MEASURED
    return puts(key, None) if left_out else ()


def _shown_how(place: Place, key: str) -> tuple[Way, ...]:
    """Show by an example how a value is written that only the maker knows."""
    words = [step for step in place if isinstance(step, str)]
    air = _AIR if "climate" in words else None
    if isinstance(place[-1], int):
        example: Any = air or _EXAMPLES.get(words[-1])
        whole = key[: key.rindex("[")]
        item = puts(key, *example[place[-1] : place[-1] + 1], example=True) if isinstance(example, tuple) else ()
        return (*item, *_left_out(place[:-1], whole), *_shown_how(place[:-1], whole))
    if words[-1] == "name":
        place_of_it = next((step for step in place if isinstance(step, int)), 0) + 1
        return puts(key, f"Drawer {place_of_it}", f"Drawer {place_of_it}b", example=True)
    if (example := air or _EXAMPLES.get(words[-1])) is not None:
        return puts(key, example, *_MORE_EXAMPLES.get(words[-1], ()), example=True)
    field = _field_at(place)
    quantities = _quantities(field.annotation, field.metadata) if field else ()
    return tuple(way for quantity in quantities for way in puts(key, *quantity.examples(), example=True))


def _list_shown(place: Place) -> tuple[Way, ...]:
    """Take an entry of a list of tables out, or show how such a table is written."""
    return puts(path_of(place), None) if isinstance(place[-1], int) and place[0] in ("cutters", "drawers") and len(place) == 2 else ()


def _about(place: Place) -> str:
    """Say what stands at a key."""
    if isinstance(place[-1], int):
        return ", ".join(_AXES[str(place[-2])])
    key = str(place[-1])
    table = _TABLES.get(key) if len(place) == 1 else None
    if table:
        return f"a table with {', '.join(name for name, field in table.model_fields.items() if field.is_required())}"
    field = _field_at(place)
    about = field.description if field and field.description else ""
    return f"{about[:1].lower()}{about[1:].rstrip('.')}"


def strike(content: dict[str, Any], errors: Iterable[ErrorDetails]) -> None:
    """Mark every refused value of the content as unread, empty every refused table, and take out every unknown key."""
    for error in sorted(errors, key=lambda error: -len(error["loc"])):  # the innermost first
        *steps, last = error["loc"]
        while isinstance(last, int) and _form_at([*steps, last]) is None:
            last = steps.pop()  # a list of sizes is refused as a whole
        table: Any = content
        for step in steps:
            table = table[step]
        if error["type"] == "extra_forbidden":
            table.pop(last, None)
        elif _form_at([*steps, last]) is None:
            table[last] = UNREAD
        else:
            table[last] = _emptied(steps, last)


def _emptied(steps: Place, last: int | str) -> Any:
    """Return what is put in the place of a refused table, or list of tables."""
    if last == "cutters":
        return [{}]
    drawer = {"opening": UNREAD}  # that it has no size need not be told as well
    return [drawer] if last == "drawers" else drawer if list(steps) == ["drawers"] else {}
