"""Builds ``index.html`` from a packet's own files: one page that needs no network."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from urllib.parse import quote

import jinja2
from markupsafe import Markup

from camtools import __version__
from camtools.drawings.sheet_layout import small_paper
from camtools.page.blocks import OffPaper, Picture
from camtools.page.chapters import CHAPTERS
from camtools.page.facts import PacketFacts, read_facts
from camtools.page.piece_view import piece_view
from camtools.page.summary import summary_of
from camtools.page.views import CHORD_MM, views_of
from camtools.verify.checking import Checked, check_fully
from camtools.wording import fine, told_in, unit_word

__all__ = ["page_begun", "page_of", "render"]

_SIZES = re.compile(r' width="[^"]*" height="[^"]*" viewBox="[^"]*"')
_PLAIN = " !$()*+,/:;=?@[]^`{|}"  # in an address as it is, for brevity: neither markup nor an escape


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
    return page_begun(folder, checked or check_fully(folder))()


def page_begun(folder: Path, checked: Checked) -> Callable[[], bytes]:
    """Make what a page shows in three dimensions, and return what makes the rest once the packet has its pictures; see `page_of`."""
    facts = read_facts(folder, checked)
    views = _views(facts)
    return lambda: render(facts, views)


def render(facts: PacketFacts, views: str | None = None) -> bytes:
    """Return the page of a packet that was read, in the units of its job; its packed views are made now where they are left out."""
    with told_in(facts.units):
        return _rendered(facts, _views(facts) if views is None else views)


def _views(facts: PacketFacts) -> str:
    return _packed(_json(views_of(facts)))


def _rendered(facts: PacketFacts, views: str) -> bytes:
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("camtools.page"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    chapters = [(chapter, blocks) for chapter in CHAPTERS if (blocks := chapter.blocks(facts))]
    packed = {name: _drawn(facts, name) for name in _pictures_off_paper([blocks for _, blocks in chapters])}
    environment.filters["packed"] = lambda picture: picture.name in packed
    environment.filters["address"] = lambda picture: _address(picture, facts)
    owners = {board: drawer.id for drawer in facts.manifest.drawers for board in drawer.parts.model_dump().values()}
    environment.filters["drawers"] = lambda step: " ".join(dict.fromkeys(owners[own.board] for own in step.leaves if own.board in owners))
    templates = files("camtools.page") / "templates"
    style, script = (
        Markup("".join((templates / name).read_text("utf-8") for name in names))
        for names in (("page.css", "screen.css"), ("packs.js", "screen.js", "page.js"))
    )
    html = environment.get_template("page.html.j2").render(
        summary=summary_of(facts),
        key=hashlib.sha256(facts.manifest.model_dump_json().encode("utf-8", "replace")).hexdigest()[:16],
        generator=f"camtools {__version__}",
        units=unit_word(),
        chord=fine(CHORD_MM),
        chapters=chapters,
        piece=piece_view(facts),
        style=style.replace("PAPER", small_paper().name),
        script=script,
        packs={"pictures": _packed(_json(packed)), "views": views, "library": _library()},
    )
    return html.encode("utf-8", "replace")


def _pictures_off_paper(part: object, *, off_paper: bool = False) -> Iterator[str]:
    """Yield the name of every picture of the packet that blocks show on a screen only."""
    if isinstance(part, Picture):
        if part.name and off_paper:
            yield part.name
    elif isinstance(part, list | tuple):
        for own in part:
            yield from _pictures_off_paper(own, off_paper=off_paper)
    elif is_dataclass(part):
        below = off_paper or isinstance(part, OffPaper)
        yield from _pictures_off_paper([getattr(part, field.name) for field in fields(part)], off_paper=below)


def _drawn(facts: PacketFacts, name: str) -> str:
    return (facts.folder / name).read_text("utf-8", "replace")


def _address(picture: Picture, facts: PacketFacts) -> str:
    """Return the address that holds a picture whole: as it is there when the page is, it is on paper too that is printed at once."""
    if picture.content:
        return f"data:image/png;base64,{base64.b64encode(picture.content).decode('ascii')}"
    svg = _drawn(facts, picture.name)
    if picture.part:
        svg = _SIZES.sub(f' width="{picture.width_px}" height="{picture.height_px}" viewBox="{picture.part}"', svg, count=1)
    return f"data:image/svg+xml,{quote(svg, safe=_PLAIN)}"


@cache
def _library() -> str:
    """The plotting library, whole, so that the page needs no network."""
    from plotly.offline import get_plotlyjs

    return _packed(str(get_plotlyjs()))


def _packed(text: str) -> str:
    """Return text as base64 of gzip: a tenth of what numbers and pictures take, a third of the library, and no markup can stand in it."""
    return base64.b64encode(gzip.compress(text.encode("utf-8", "replace"), mtime=0)).decode("ascii")


def _json(data: object) -> str:
    return json.dumps(data, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
