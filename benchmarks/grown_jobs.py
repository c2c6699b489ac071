"""Larger and smaller jobs grown from a sample: every drawer another size, the same ones on every run."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from camtools.job.lengths import parse_length

__all__ = ["grown", "write_toml"]

WIDER_MM = 0.7  # for each further copy of a drawer
HIGHER_MM = 0.11
DEEPER_MM = 0.3


def grown(job: Path, *, times: int = 1, first: int | None = None, at_most: int | None = None) -> str:
    """Return the text of a job like ``job`` with ``times`` as many kinds of drawer, ``at_most`` so many, or with its ``first`` ones only.

    Copy number ``k`` of a drawer is wider, higher and deeper by ``k`` steps, so that no two share a board.
    """
    table = tomllib.loads(job.read_text(encoding="utf-8"))
    drawers = table["drawers"][:first]
    table["drawers"] = [_copy(drawer, copy) for copy in range(times) for drawer in drawers][:at_most]
    return write_toml(table)


def _copy(drawer: Mapping[str, Any], copy: int) -> dict[str, Any]:
    kind = "opening" if "opening" in drawer else "outside"
    width, height, depth = (parse_length(size) for size in drawer[kind])
    sizes = [width + copy * WIDER_MM, height + copy * HIGHER_MM, depth + copy * DEEPER_MM]
    return {**drawer, "name": f"{drawer['name']} {copy + 1}", kind: [round(size, 3) for size in sizes]}


def write_toml(table: Mapping[str, Any]) -> str:
    """Return TOML of a table of tables, lists and plain values, each inner table written inline."""
    return "".join(f"{key} = {_value(value)}\n" for key, value in table.items())


def _value(value: object) -> str:
    match value:
        case Mapping():
            return "{" + ", ".join(f"{key} = {_value(item)}" for key, item in value.items()) + "}"
        case list():
            return "[" + ", ".join(map(_value, value)) + "]"
        case str():
            return json.dumps(value)  # a JSON string is a TOML basic string but for the rare escape of a surrogate
        case bool():
            return str(value).lower()
        case _:
            return str(value)
