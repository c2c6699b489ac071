"""Slips of the pen: what pydantic finds amiss in a form, said in a maker's words and with the nearest thing that works."""

from __future__ import annotations

import difflib
import types
import typing
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from pydantic import BaseModel
from pydantic_core import ErrorDetails

from camtools.faults import Fault
from camtools.job.form import UNREAD, JobForm
from camtools.job.quantities import AMISS

__all__ = ["fault_of", "nearest", "path_of", "shown", "without"]

Place = Sequence[int | str]

_LONGEST = 60  # characters of a value that are shown
_AXES = {"opening": ("width", "height", "depth"), "outside": ("width", "height", "depth"), "travel": ("X", "Y", "Z")}
# What pydantic calls it: what is wrong, and what to do.
_KINDS = {
    "int_type": ("is not a whole number", "write a whole number without quotes"),
    "int_from_float": ("is not a whole number", "write a whole number without quotes"),
    "bool_type": ("is neither true nor false", "write true or false, without quotes"),
    "string_type": ("is not a text", "write it in quotes"),
    "list_type": ("is not a list", "write it in square brackets"),
    "model_type": ("is not a table", "write it as a table of keys"),
}


def nearest(word: str, known: Iterable[str]) -> str:
    """Return a question that names the known word most like this one, or nothing."""
    close = difflib.get_close_matches(word.casefold(), list(known), 1, 0.6)
    return f"did you mean {close[0]}?" if close else ""


def path_of(place: Place) -> str:
    """Return a place of the file as a maker reads it: ``drawers[2].opening[1] (width)``, counted from 1."""
    text = ""
    for step in place:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else str(step)
    if len(place) > 1 and isinstance(place[-1], int) and (axes := _AXES.get(str(place[-2]))) and place[-1] < len(axes):
        text += f" ({axes[place[-1]]})"
    return text


def shown(value: object) -> str:
    """Return a value nearly as it stands in the file, cut short where it is long."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= _LONGEST else f'"{value[:_LONGEST]}…", {len(value)} characters'
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, Sequence):
        return f"a list of {len(value)}"
    text = str(value)
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…"


def _form_at(place: Place) -> type[BaseModel] | None:
    """Return the form of the table at a place."""
    form: Any = JobForm
    for step in place:
        if isinstance(step, int):
            continue
        field = form.model_fields.get(step)
        form = None if field is None else _inner(field.annotation)
        if form is None:
            return None
    return typing.cast("type[BaseModel]", form)


def _inner(annotation: Any) -> type[BaseModel] | None:
    """Find the form in ``Form``, ``Form | None`` and ``list[Form]``, with limits around it or not."""
    if isinstance(annotation, type) and not isinstance(annotation, types.GenericAlias) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in typing.get_args(annotation) if (found := _inner(part))), None)


def _unknown(place: Place) -> str:
    """Say which key was meant, or in which table this one is known, or which keys there are."""
    key, form = str(place[-1]), _form_at(place[:-1])
    known = list(form.model_fields) if form else []
    if hint := nearest(key, known):
        return hint
    tables = {name: inner for name, field in JobForm.model_fields.items() if (inner := _inner(field.annotation))}
    if homes := [name for name, inner in tables.items() if key in inner.model_fields]:
        return f"{key} belongs in {' or '.join(homes)}"
    if key in JobForm.model_fields:
        return f"{key} stands at the top of the file, before the first table"
    return f"known here: {', '.join(known)}"


def fault_of(error: ErrorDetails) -> Fault:
    """Return one error of pydantic as a fault; ``where`` is the key's path."""
    place, kind, value = error["loc"], error["type"], error["input"]
    context: Mapping[str, Any] = error.get("ctx", {})
    where = path_of(place)
    if kind == AMISS:
        return Fault(where, context["problem"], context["found"] or shown(value), context["limit"], context["remedy"])
    if kind == "extra_forbidden":
        return Fault(where, "there is no such key", remedy=_unknown(place))
    if kind == "missing":
        form = _form_at(place[:-1])
        field = form.model_fields.get(str(place[-1])) if form else None
        about = field.description if field and field.description else ""
        return Fault(where, "is missing", remedy=f"add {place[-1]}" + (f": {about[0].lower()}{about[1:]}" if about else ""))
    if kind == "literal_error":
        known = [word.strip("'") for word in context["expected"].replace(" or ", ", ").split(", ")]
        hint = nearest(value, known) if isinstance(value, str) else ""
        return Fault(where, "is none of the words known here", shown(value), " or ".join(known), hint or f'write "{known[0]}"')
    if kind in ("too_short", "too_long") and isinstance(value, Sequence):
        few, axes = kind == "too_short", _AXES.get(str(place[-1]))
        limit = f"{len(axes)}: {', '.join(axes)}" if axes else f"at {'least' if few else 'most'} {context['min_length' if few else 'max_length']}"
        return Fault(where, f"holds too {'few' if few else 'many'}", str(len(value)), limit)
    if kind in ("greater_than_equal", "less_than_equal"):
        below = kind == "greater_than_equal"
        limit = f"at least {context['ge']}" if below else f"at most {context['le']}"
        return Fault(where, f"is too {'small' if below else 'large'}", shown(value), limit)
    if kind in ("string_too_short", "string_too_long"):
        short = kind == "string_too_short"
        limit = f"at least {context['min_length']} character" if short else f"at most {context['max_length']} characters"
        return Fault(where, f"is too {'short' if short else 'long'}", shown(value), limit)
    problem, remedy = _KINDS.get(kind, (error["msg"], ""))
    return Fault(where, problem, shown(value), remedy=remedy)


def without(content: Mapping[str, Any], errors: Iterable[ErrorDetails]) -> dict[str, Any]:
    """Return the content with every refused value marked as unread, every refused table empty and every unknown key gone."""
    mended: dict[str, Any] = _copy(content)
    for error in sorted(errors, key=lambda error: -len(error["loc"])):  # the innermost first
        *steps, last = error["loc"]
        while isinstance(last, int) and _form_at([*steps, last]) is None:
            last = steps.pop()  # a list of sizes is refused as a whole
        table: Any = mended
        for step in steps:
            table = table[step]
        if error["type"] == "extra_forbidden":
            table.pop(last, None)
        elif _form_at([*steps, last]) is None:
            table[last] = UNREAD
        else:
            table[last] = [{}] if last in ("cutters", "drawers") else {}
    return mended


def _copy(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copy(item) for key, item in value.items()}
    return [_copy(item) for item in value] if isinstance(value, list) else value
