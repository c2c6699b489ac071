"""Builds ``index.html`` from a packet's own files: one page that needs no network."""

from __future__ import annotations

import base64
import hashlib
import json
from functools import cache
from importlib.resources import files
from pathlib import Path

import jinja2
from markupsafe import Markup

from camtools import __version__
from camtools.page.blocks import Picture
from camtools.page.chapters import CHAPTERS
from camtools.page.facts import PacketFacts, read_facts
from camtools.page.summary import summary_of
from camtools.page.views import CHORD_MM, views_of
from camtools.verify.checking import Checked, check_fully
from camtools.wording import fine, told_in, unit_word

__all__ = ["page_of", "render"]


def page_of(folder: Path, checked: Checked | None = None) -> bytes:
    """Return the page of a packet.

    Parameters
    ----------
    folder
        The packet.
    checked
        What its check came to, with the boards that were carved for it; it is checked now where this is left out.

    Raises
    ------
    PacketFault
        Where the packet can not be read.
    """
    return render(read_facts(folder, checked or check_fully(folder)))


def render(facts: PacketFacts) -> bytes:
    """Return the page of a packet that was read, in the units of its job."""
    with told_in(facts.units):
        return _rendered(facts)


def _rendered(facts: PacketFacts) -> bytes:
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("camtools.page"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["address"] = _address
    templates = files("camtools.page") / "templates"
    style, script = ((templates / name).read_text("utf-8") for name in ("page.css", "page.js"))
    html = environment.get_template("page.html.j2").render(
        summary=summary_of(facts),
        key=hashlib.sha256(facts.manifest.model_dump_json().encode("utf-8", "replace")).hexdigest()[:16],
        generator=f"camtools {__version__}",
        units=unit_word(),
        chord=fine(CHORD_MM),
        chapters=[(chapter, blocks) for chapter in CHAPTERS if (blocks := chapter.blocks(facts))],
        style=Markup(style),
        script=Markup(script),
        library=Markup(_library()),
        views={name: Markup(_json(data)) for name, data in views_of(facts).items()},
    )
    return html.encode("utf-8", "replace")


def _address(picture: Picture) -> str:
    """Return where a browser finds a picture: in the packet, or in the address itself."""
    if not picture.content:
        return picture.name
    return f"data:image/png;base64,{base64.b64encode(picture.content).decode('ascii')}"


@cache
def _library() -> str:
    """The plotting library, whole, so that the page needs no network."""
    from plotly.offline import get_plotlyjs

    return str(get_plotlyjs()).replace("</script", "<\\/script").replace("<!--", "<\\!--")


def _json(data: object) -> str:
    """Return data that can stand inside a script element: no sign in it opens or closes one."""
    text = json.dumps(data, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
