"""The JSON Schema of the job file, made from the form, for editors to complete and check a file while it is written.

It knows each value by itself and which keys go together; what needs arithmetic between values is told by ``camtools plan``.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from camtools.job.cutter_limits import ANGLE_DEG
from camtools.job.form import WOODS, JobForm
from camtools.job.woods import known_woods

__all__ = ["schema_of_jobs"]

_DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema_of_jobs(styles: Iterable[str] = (), postprocessors: Iterable[str] = ()) -> dict[str, Any]:
    """Return the schema.

    Parameters
    ----------
    styles
        Names of the layout styles there are; none: any word may stand.
    postprocessors
        Names of the dialects that are shipped, as examples; a path may stand as well.
    """
    schema = _plain(JobForm.model_json_schema())
    tables = schema["$defs"]
    for name, table in tables.items():
        table["title"] = name.removeprefix("Own").removesuffix("Form")
        for key, what in table["properties"].items():
            what["title"] = key.replace("_", " ").capitalize()
    low, high = ANGLE_DEG
    tables["CutterForm"] |= {
        "if": {"properties": {"kind": {"const": "dovetail"}}, "required": ["kind"]},
        "then": {
            "required": ["angle"],
            "properties": {"angle": {"minimum": low, "maximum": high}, "plunges": {"const": False}, "depth_per_pass": False},
        },
        "else": {"properties": {"angle": {"const": 0}}},
    }
    tables["DrawerForm"]["oneOf"] = [{"required": ["opening"]}, {"required": ["outside"]}]
    woods = [wood.name for wood in known_woods()]
    for table in ("StockForm", "OwnStockForm"):
        for key in WOODS:
            tables[table]["properties"][key]["examples"] = woods
    tables["MachineForm"]["properties"]["postprocessor"]["examples"] = list(postprocessors)
    if names := list(styles):
        tables["JointForm"]["properties"]["style"] = {
            "enum": names,
            **{key: value for key, value in tables["JointForm"]["properties"]["style"].items() if key in ("title", "description")},
        }
    return {"$schema": _DIALECT, **schema, "title": "camtools job file"}


def _plain(value: Any) -> Any:
    """Take out null, which TOML does not know, and what is left empty by that."""
    if isinstance(value, list):
        return [_plain(item) for item in value]
    if not isinstance(value, dict):
        return value
    plain = {key: _plain(item) for key, item in value.items() if not (key == "default" and item is None)}
    choices = plain.get("anyOf")
    if isinstance(choices, list) and {"type": "null"} in choices:
        choices.remove({"type": "null"})
        if len(choices) == 1:
            del plain["anyOf"]
            plain = {**choices[0], **plain}
        elif len(choices) == 2 and "anyOf" in choices[0]:
            plain["anyOf"] = choices[0]["anyOf"]
    return plain
