"""Fills the page's templates: the sheet of paper that a piece is set out on."""

from __future__ import annotations

from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from camtools.setout.form_lines import lines_of
from camtools.setout.set_out import SetOut
from camtools.wording import told_in

__all__ = ["parts_of", "whole_page"]

_PARTS = ("keeping", "piece", "amiss", "lines", "work")  # a template of each name fills the element of that id


def whole_page(set_out: SetOut, news: int) -> str:
    """Return the page as a window opens it; ``news`` is what it asks for changes since."""
    return _templates().get_template("page.html.j2").render(set_out=set_out, news=news, parts=parts_of(set_out))


def parts_of(set_out: SetOut) -> dict[str, str]:
    """Return the parts of the page that change, as HTML by the id of the element that each fills."""
    with told_in(set_out.units):
        return {name: _templates().get_template(f"{name}.html.j2").render(**_values(set_out)) for name in _PARTS}


def _values(set_out: SetOut) -> dict[str, Any]:
    tables = ["", "stock", "joints", "groove", "fit", "machine"]
    for name in ("cutters", "drawers"):
        entries = set_out.content.get(name)
        tables += [f"{name}[{place}]" for place in range(1, len(entries) + 1)] if isinstance(entries, list) else []
    return {"set_out": set_out, "tables": {table: lines_of(set_out, table) for table in tables}}


@cache
def _templates() -> Environment:
    return Environment(
        loader=PackageLoader("camtools.setout", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
