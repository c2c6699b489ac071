"""Fills the page's templates: the sheet of paper that a piece is set out on."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from camtools.job.woods import known_woods
from camtools.output.dialects import shipped_dialects
from camtools.setout.page_parts import Picked, parts_values
from camtools.setout.set_out import SetOut
from camtools.wording import told_in, unit_word

__all__ = ["parts_of", "whole_page"]


def whole_page(set_out: SetOut, news: int, picked: Picked | None = None) -> str:
    """Return the page as a window opens it; ``news`` is what it asks for changes since."""
    parts = {name: Markup(part) for name, part in parts_of(set_out, picked).items()}
    words = {"wood": [wood.name for wood in known_woods()], "postprocessor": shipped_dialects()}
    return _templates().get_template("page.html.j2").render(set_out=set_out, news=news, parts=parts, words=words)


def parts_of(set_out: SetOut, picked: Picked | None = None) -> Mapping[str, str]:
    """Return the parts of the page that change, as HTML by the id of the element that each fills."""
    with told_in(set_out.units):
        found = parts_values(set_out, picked or Picked())
        return {name: _templates().get_template(f"{name}.html.j2").render(unit=unit_word(), **values) for name, values in found.items()}


def _slug(key: str) -> str:
    """Return a key as an id of the page."""
    return "".join(char if char.isalnum() else "-" for char in key)


@cache
def _templates() -> Environment:
    made = Environment(
        loader=PackageLoader("camtools.setout", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["slug"] = _slug
    return made
