"""A job file to fill in: what every job says, with values to start from, and each key that it may say, with what camtools takes for it."""

from __future__ import annotations

import textwrap
import typing
from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from camtools.job import parse_job
from camtools.job.form import BoardsForm, CutterForm, DrawerForm, FitForm, GrooveForm, JobForm, JointForm, MachineForm, StockForm, TrialForm
from camtools.job.tables import toml_of
from camtools.wording import MM_PER_INCH

__all__ = ["fresh_job"]

_START: Mapping[str, Mapping[str, Any]] = {  # by the units of the job
    "mm": {
        "title": "My drawers",
        "units": "mm",
        "stock": {"front": 20, "side": 12, "bottom": 6.4},
        "cutters": [
            {"kind": "dovetail", "diameter": 12.7, "angle": 14, "cutting_length": 16},
            {"kind": "straight", "diameter": 6, "cutting_length": 22},
        ],
        "drawers": [{"name": "Upper drawer", "opening": [300, 100, 260]}],
    },
    "in": {
        "title": "My drawers",
        "units": "in",
        "stock": {"front": 0.75, "side": 0.5, "bottom": 0.23},
        "cutters": [
            {"kind": "dovetail", "diameter": 0.5, "angle": 14, "cutting_length": 0.625},
            {"kind": "straight", "diameter": 0.1875, "cutting_length": 0.75},
        ],
        "drawers": [{"name": "Upper drawer", "opening": [12, 4, 10]}],
    },
}
_HEAD = """\
# A job file for camtools. Write your own values over those of the lines without a #: measure the boards once they are planed.
# Then see what comes of it, and write the packet:
#     camtools plan JOB --picture JOB.svg
#     camtools packet JOB -o FOLDER
#
# A key with a # before it may stay so: it shows what camtools takes for the values that stand here, or nothing where it chooses, or
# does without. Take the # away to have it otherwise. For another cutter or drawer, copy the lines from its [[ ]] on.
# A number is in {units}; a text may carry its unit: {texts}.
"""
_TEXTS = {"mm": '"3/4 in", "1 1/2 in"', "in": '"3/4", "1 1/2 in", "19 mm"'}
_KINDS = {"dovetail": ("depth_per_pass", "plunges"), "straight": ("angle",)}  # keys that say nothing of a cutter of this kind
_NO_MARK = {"max_speed": None}  # of a cutter: no value stands there that nobody read
_SUFFIXES = ("_mm", "_deg", "_rpm", "_mm_min", "_mm_s2", "_s", "_min", "_w", "_percent", "")  # of the job's fields, by unit
_COLUMN, _WIDEST = 35, 136  # where comments begin, and where lines end at the most


def fresh_job(units: str, known: Mapping[str, Any] | None = None) -> bytes:
    """Return a job file in mm or in inches, ``"in"``. It can be planned and cut as it is.

    Parameters
    ----------
    known
        Tables that it starts with in place of its own: ``cutters``, ``machine``, ``joints``, ``groove``.
    """
    start = {**_START[units], **(known or {})}
    told = {"mm": "mm", "in": "inches"}[units]
    text = "".join(f"{key} = {toml_of(value)}\n" for key, value in start.items())
    job, defaults = parse_job(text, "a fresh job")
    taken = {default.key: default.value for default in defaults}
    drawer = job.drawers[0]
    lines = [*_HEAD.format(units=told, texts=_TEXTS[units]).splitlines(), ""]
    for key in ("title", "units"):
        lines.append(_line(f"{key} = {toml_of(start[key])}", JobForm.model_fields[key].description))
    lines += _table("[stock]", StockForm, start["stock"], drawer.stock, units, {"wood": taken["stock.wood"]})
    for cutter, made in zip(start["cutters"], job.cutters, strict=True):
        lines += _table("[[cutters]]", CutterForm, cutter, made, units, _NO_MARK, leave_out=_KINDS[cutter["kind"]])
    for name, form, values in (
        ("machine", MachineForm, job.machine),
        ("joints", JointForm, drawer.joint),
        ("groove", GrooveForm, drawer.groove),
        ("fit", FitForm, drawer.fit),
        ("trial", TrialForm, job.trial),
    ):
        lines += _table(f"[{name}]", form, start.get(name, {}), values, units)
    lines += _table("# [boards]", BoardsForm, {}, None, units)
    lines += _table("[[drawers]]", DrawerForm, start["drawers"][0], drawer, units)
    return ("\n".join(lines) + "\n").encode()


def _table(
    heading: str,
    form: type[BaseModel],
    given: Mapping[str, Any],
    made: object,
    units: str,
    known: Mapping[str, Any] | None = None,
    *,
    leave_out: tuple[str, ...] = (),
) -> Iterator[str]:
    """Yield the lines of a table: what is given first, then every other key with what was made of its absence."""
    yield ""
    yield f"# {(form.__doc__ or '').splitlines()[0]}"
    yield heading
    fields = {key: field.description for key, field in form.model_fields.items() if key not in leave_out}
    for key in given:
        yield _line(f"{key} = {toml_of(given[key])}", fields[key])
    for key, meaning in fields.items():
        if key not in given:
            value = (known or {}).get(key, _value(form, key, made, units))
            yield _line(f"# {key} = {'' if value is None else toml_of(value)}".rstrip(), meaning)


def _value(form: type[BaseModel], key: str, made: object, units: str) -> Any:
    """Return what a key stands for in the job, as the file would have it; None where it stands for nothing."""
    for kind in typing.get_args(form.model_fields[key].annotation):
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            inner = None if form is DrawerForm else getattr(made, key, None)  # a drawer's own tables say only what differs
            return {} if inner is None else {own: _value(kind, own, inner, units) for own in kind.model_fields}
    for suffix in _SUFFIXES:
        if hasattr(made, key + suffix):
            return _plain(getattr(made, key + suffix), MM_PER_INCH if units == "in" and suffix.startswith("_mm") else 1.0)
    return None


def _plain(value: Any, per_unit: float = 1.0) -> Any:
    """Return a value in its unit as a maker would write it."""
    if isinstance(value, tuple):
        return [_plain(one, per_unit) for one in value]
    if not isinstance(value, float):
        return value
    value = round(value, 4) if per_unit == 1.0 else float(f"{value / per_unit:.4g}")
    return int(value) if value.is_integer() else value


def _line(text: str, meaning: str | None) -> str:
    """Return a line with its meaning; what is taken where the key is left out is told by its value, if it has one."""
    told = meaning or ""
    first, *more = textwrap.wrap(told if text.endswith("=") else told.split(" Left out:")[0], _WIDEST - _COLUMN)
    return "\n".join([f"{text:<{_COLUMN}}  # {first}", *(f"{'':<{_COLUMN}}  # {part}" for part in more)])
