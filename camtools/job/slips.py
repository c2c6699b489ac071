"""Slips of the pen: what pydantic finds amiss in a form, in a maker's words and with the nearest thing that works."""

from __future__ import annotations

import difflib
import re
import typing
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from camtools.faults import Fault
from camtools.job.form import SEASONS, UNREAD, JobForm
from camtools.job.quantities import AMISS

__all__ = ["fault_of", "nearest", "nearest_file", "path_of", "strike"]

Place = Sequence[int | str]

_LONGEST = 60  # characters of a value or a key that are shown
_AXES = {
    "opening": ("width", "height", "depth"),
    "outside": ("width", "height", "depth"),
    "travel": ("X", "Y", "Z"),
    "sheet": ("length", "width"),
    **dict.fromkeys(SEASONS, ("temperature", "humidity")),
}
# What pydantic calls it: what is wrong, and what to do.
_RENAMED = {"change_height": "retract"}
_KINDS = {
    "int_type": ("is not a whole number", "write a whole number without quotes"),
    "int_from_float": ("is not a whole number", "write a whole number without quotes"),
    "int_parsing_size": ("is too large a number", "write a smaller one"),
    "bool_type": ("is neither true nor false", "write true or false, without quotes"),
    "string_type": ("is not a text", "write it in quotes"),
    "list_type": ("is not a list", "write it in square brackets"),
    "tuple_type": ("is not a list", "write it in square brackets"),
    "model_type": ("is not a table", "write keys and values under its name"),
}


def path_of(place: Place) -> str:
    """Return a place of the file as a maker reads it: ``drawers[2].opening[1] (width)``, counted from 1."""
    text = ""
    for step in place:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{_key(step)}" if text else _key(step)
    if len(place) > 1 and isinstance(place[-1], int) and place[-1] < len(axes := _AXES.get(str(place[-2]), ())):
        text += f" ({axes[place[-1]]})"
    return text


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
    """Return a hint at the known word that is most like this one, or nothing."""
    close = difflib.get_close_matches(word[:_LONGEST].casefold(), list(known), 1, 0.6)
    return f"did you mean {close[0]}?" if close else ""


def nearest_file(path: Path) -> str:
    """Return a hint at the TOML file that lies where this one does not, and whose name is most like it, or nothing."""
    try:
        names = sorted(file.name for file in path.parent.glob("*.toml"))
    except (OSError, ValueError):
        return ""
    return nearest(path.name, names)


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


_TABLES = {name: form for name in JobForm.model_fields if (form := _form_at([name]))}


def _unknown(place: Place, value: object) -> str:
    """Say which key was meant, or in which table it is known, or which keys there are."""
    key, form = str(place[-1]), _form_at(place[:-1])
    known = list(form.model_fields) if form else []
    if key in _RENAMED:
        return f"it is called {_RENAMED[key]} now"
    if isinstance(value, Mapping | list) and len(place) == 1 and (meant := nearest(key, _TABLES)):
        return meant  # a table, though one of its keys may have this very name
    if homes := [name for name, table in _TABLES.items() if key in table.model_fields and table is not form]:
        return f"{key} belongs in {' or '.join(homes)}"
    if key in JobForm.model_fields:
        return f"{key} stands at the top of the file, before any table"
    return nearest(key, known) or f"known here: {', '.join(known)}"


def fault_of(error: ErrorDetails) -> Fault:
    """Return one error of pydantic as a fault; ``where`` is the key's path."""
    place, kind, value = error["loc"], error["type"], error["input"]
    context: Mapping[str, Any] = error.get("ctx", {})
    where = path_of(place)
    if kind == AMISS:
        return Fault(where, context["problem"], context["found"] or _shown(value), context["limit"], context["remedy"])
    if kind == "extra_forbidden":
        return Fault(where, "there is no such key", remedy=_unknown(place, value))
    if kind == "missing":
        return Fault(where, "is missing", remedy=_add(place))
    if kind == "literal_error":
        known = re.findall(r"'([^']*)'", context["expected"])
        hint = nearest(value, known) if isinstance(value, str) else ""
        return Fault(where, "is not known here", _shown(value), " or ".join(f'"{word}"' for word in known), hint)
    if kind in ("too_short", "too_long"):
        few = kind == "too_short"
        axes = _AXES.get(str(place[-1]), ())
        limit = f"at least {context['min_length']}" if few else f"at most {context['max_length']}"
        if axes:
            limit = f"{'two' if len(axes) == 2 else 'three'}: {', '.join(axes)}"
        remedy = "" if few or not axes else "a decimal is written with a point: 12.5"
        return Fault(where, f"has too {'few' if few else 'many'} entries", str(context["actual_length"]), limit, remedy)
    if kind in ("greater_than_equal", "less_than_equal"):
        below = kind == "greater_than_equal"
        limit = f"at least {context['ge']}" if below else f"at most {context['le']}"
        return Fault(where, f"is too {'small' if below else 'large'}", _shown(value), limit)
    if kind in ("string_too_short", "string_too_long"):
        short = kind == "string_too_short"
        limit = "at least 1 character" if short else f"at most {context['max_length']} characters"
        return Fault(where, "is empty" if short else "is too long", _shown(value), limit)
    problem, remedy = _KINDS.get(kind, (error["msg"], ""))
    return Fault(where, problem, _shown(value), remedy=remedy)


def _add(place: Place) -> str:
    """Say what is to be added where a key is missing."""
    if isinstance(place[-1], int):
        return f"write {', '.join(_AXES[str(place[-2])])}"
    key, form = str(place[-1]), _form_at(place[:-1])
    table = _TABLES.get(key) if len(place) == 1 else None
    if table:
        needed = [name for name, field in table.model_fields.items() if field.is_required()]
        header = f"[[{key}]]" if key in ("cutters", "drawers") else f"[{key}]"
        return f"add {header} with {', '.join(needed)}"
    field = form.model_fields.get(key) if form else None
    about = field.description if field and field.description else ""
    return f"add {key}: {about[:1].lower()}{about[1:].rstrip('.')}"


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
