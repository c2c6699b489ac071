"""A small job, as content of TOML, for tests that change a value of it."""

from __future__ import annotations

import copy
import json
from typing import Any

from camtools.job import Default, parse_job
from camtools.job.job import Job

__all__ = ["SMALL", "changed", "read", "toml"]

SMALL: dict[str, Any] = {
    "title": "Specimen chest",
    "stock": {"front": 20, "side": 12, "bottom": 6.4},
    "cutters": [
        {"kind": "dovetail", "diameter": 12.7, "angle": 14, "cutting_length": 16},
        {"kind": "straight", "diameter": 6, "cutting_length": 22},
    ],
    "drawers": [{"name": "Seeds", "opening": [280, 90, 300]}],
}


def changed(values: dict[str, Any]) -> dict[str, Any]:
    """Return the small job with values at paths such as ``cutters.0.angle``; None takes a key out."""
    content = copy.deepcopy(SMALL)
    for path, value in values.items():
        *steps, last = [int(step) if step.isdigit() else step for step in path.split(".")]
        table: Any = content
        for step in steps:
            table = table.setdefault(step, {}) if isinstance(step, str) else table[step]
        if value is None:
            del table[last]
        elif isinstance(table, list) and last == len(table):
            table.append(value)
        else:
            table[last] = value
    return content


def toml(value: Any) -> str:
    """Return content as TOML."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {toml(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(toml, value)) + "]"
    return json.dumps(value)


def read(values: dict[str, Any]) -> tuple[Job, dict[str, Default]]:
    """Read the small job with these values; the defaults come by key."""
    text = "".join(f"{key} = {toml(value)}\n" for key, value in changed(values).items())
    job, defaults = parse_job(text, "job.toml")
    return job, {default.key: default for default in defaults}
