"""The keys of a job file as lines of a form, made from the schema: what each means, what is written, and what camtools takes for it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

from camtools.drawer.styles import STYLES
from camtools.job.json_schema import schema_of_jobs
from camtools.job.slips import steps_of, unit_at
from camtools.job.tables import toml_of
from camtools.mending.changes import value_at
from camtools.output.dialects import shipped_dialects

if TYPE_CHECKING:
    from camtools.setout.set_out import Amiss, SetOut

__all__ = ["FormLine", "is_field", "is_key", "lines_of", "value_of"]

Kind = Literal["quantity", "number", "text", "choice", "yes or no", "list", "table"]

_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_SIGNS = {"″": '"', "”": '"', "“": '"', "''": '"', "\N{NO-BREAK SPACE}": " ", "\N{FRACTION SLASH}": "/", "−": "-"}
_PLAIN = re.compile(r"[0-9]+|(?:[0-9]+\.[0-9]*|\.[0-9]+)")
_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
_BETWEEN = tuple(map(re.compile, (r"\s*[x×;]\s*", r"\s*,\s+", r"\s*,\s*")))  # the first of them that is there
_YES_NO = {"yes": True, "no": False, "true": True, "false": False}


@dataclass(frozen=True, slots=True)
class FormLine:
    """A key of the job file, as a form has it."""

    key: str  # path of it, such as drawers[2].joints.lap
    title: str
    meaning: str
    drawn: str  # what it does to the drawings, where that does not speak for itself
    kind: Kind
    words: tuple[str, ...]  # that can be chosen, or that are known where others may be written too
    unit: str  # mm, mm/min, degrees and so on, where it has one
    needed: bool
    written: str  # as it would be typed; nothing where it is left out
    taken: str  # what camtools takes, where it is left out
    reason: str  # for that
    ask: str  # where the maker finds what it really is
    amiss: tuple[Amiss, ...]


_DRAWN = {
    "joints.style": "The corners are drawn in it.",
    "joints.clearance": "The corners are drawn with it, to scale.",
    "joints.proud": "The back corners are drawn with it, to scale.",
    "joints.rough": "It adds programs and changes no drawing here.",
    "groove.play": "The corners are drawn with it, to scale.",
    "groove.ends": "The corners are drawn with the groove as it ends there.",
    "groove.bottom_corners": "It adds programs and changes no drawing here.",
    "fit.front": "The piece is drawn with fronts of that size.",
    "fit.above": "It makes the drawer lower by as much, and is the gap drawn for the year.",
    "fit.back": "The back corners are drawn with a back of that height.",
    "family": "Where it does not, its tails and pins are chosen and drawn for it alone.",
}


def lines_of(set_out: SetOut, table: str) -> tuple[FormLine, ...]:
    """Return a line for each key of a table that holds a value; ``table`` is its path, nothing for the whole file's."""
    schema = _schema_at(table)
    content = value_at(set_out.content, table)
    content = content if isinstance(content, Mapping) else {}
    found = []
    for name, what in schema.get("properties", {}).items():
        kind, key = _kind(_resolved(what)), f"{table}.{name}" if table else name
        if kind == "table" or (kind == "list" and not table):
            continue
        default = set_out.defaults.get(key)
        steps = steps_of(key)
        found.append(
            FormLine(
                key=key,
                title=_resolved(what).get("title", name),
                meaning=what.get("description", ""),
                drawn=_DRAWN.get(re.sub(r"^drawers\[\d+\]\.", "", key), ""),
                kind=kind,
                words=_words(_resolved(what)),
                unit=unit_at(key),
                needed=name in schema.get("required", ()),
                written=typed_of(content[name]) if name in content else "",
                taken=default.value if default else "",
                reason=default.reason if default else "",
                ask=default.ask if default else "",
                amiss=tuple(one for one in set_out.faults if any(steps_of(told)[: len(steps)] == steps for told in one.keys)),
            )
        )
    return tuple(found)


def is_key(key: str) -> bool:
    """Tell whether a path is one of a key, or a table, that a job file can have."""
    return bool(steps_of(key)) and bool(_schema_at(key))


def is_field(key: str) -> bool:
    """Tell whether a key holds a value, and no table or list of tables."""
    schema = _schema_at(key)
    return bool(schema) and _kind(schema) != "table" and _kind(_resolved(schema.get("items", {}))) != "table"


def value_of(key: str, typed: str) -> Any:
    """Return what is to be written at a key for what somebody typed, as people write it: 12,5 or 1 1/2" or 300 x 100 x 260.

    What can not be read is written as it is, for the schema to say what is wrong with it. Nothing typed is None.
    """
    return _value(_schema_at(key), typed.strip())


def typed_of(value: Any) -> str:
    """Return a value as somebody would type it."""
    match value:
        case bool():
            return "yes" if value else "no"
        case list() | tuple():
            parts = [typed_of(one) for one in value]
            return (" x " if all(part[:1].isdigit() for part in parts) else ", ").join(parts)
        case Mapping():
            return toml_of(value)
    return f"{value:g}" if isinstance(value, float) and abs(value) < 1e6 else str(value)


def _value(schema: Mapping[str, Any], typed: str) -> Any:
    kind = _kind(schema)
    if not typed:
        return None
    if kind == "list":
        of, inner = schema.get("items", {}), schema.get("prefixItems", ())
        between = next((one for one in _BETWEEN if one.search(typed)), _BETWEEN[-1])
        parts = [part for part in between.split(typed) if part]
        return [_value(_resolved(inner[place] if place < len(inner) else of), part) for place, part in enumerate(parts)]
    if kind == "yes or no":
        return _YES_NO.get(typed.casefold(), typed)
    if kind in ("quantity", "number"):
        text = _plain(typed)
        if not _PLAIN.fullmatch(text):
            return text
        return int(text) if text.isdigit() else float(text)
    return typed


def _plain(typed: str) -> str:
    """Return a quantity with a point for its comma, and with signs that every keyboard has."""
    for sign, plain in _SIGNS.items():
        typed = typed.replace(sign, plain)
    for sign, plain in _FRACTIONS.items():
        typed = re.sub(rf"(?<=[0-9])\s*{sign}", f" {plain}", typed).replace(sign, plain)
    return _COMMA.sub(".", typed).strip()


@cache
def _schema() -> Mapping[str, Any]:
    return schema_of_jobs(tuple(STYLES), shipped_dialects())


def _resolved(schema: Mapping[str, Any]) -> Mapping[str, Any]:
    if "$ref" not in schema:
        return schema
    own = _schema()["$defs"][schema["$ref"].rpartition("/")[2]]
    return {**own, **{key: value for key, value in schema.items() if key != "$ref"}}


def _schema_at(path: str) -> Mapping[str, Any]:
    """Return the schema of what stands at a path; an empty one where nothing can."""
    schema = _schema()
    for step in steps_of(path):
        if isinstance(step, int):
            inner = schema.get("prefixItems", ())
            schema = _resolved(inner[step] if step < len(inner) else schema.get("items", {}))
        else:
            schema = _resolved(schema.get("properties", {}).get(step, {}))
    return schema


def _kind(schema: Mapping[str, Any]) -> Kind:
    if "enum" in schema:
        return "choice"
    if "anyOf" in schema:
        return "quantity"
    return _KINDS[schema.get("type", "string")]


_KINDS: Mapping[str, Kind] = {
    "string": "text",
    "boolean": "yes or no",
    "array": "list",
    "object": "table",
    "number": "number",
    "integer": "number",
}


def _words(schema: Mapping[str, Any]) -> tuple[str, ...]:
    if schema.get("type") == "boolean":
        return ("yes", "no")
    own = schema.get("enum") or (schema.get("examples") if schema.get("type") == "string" else ())
    return tuple(map(str, own or ()))
