"""Builds ``index.html`` from a packet's own files."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import jinja2
from markupsafe import Markup

from camtools import __version__
from camtools.output.cautions import CAUTIONS
from camtools.page import steps as order
from camtools.page import tables
from camtools.page.facts import PacketFacts, read_facts
from camtools.page.images import Images, png_size
from camtools.page.motion_view import motion_view
from camtools.page.portrait import Body, portrait
from camtools.page.solids import PARTS, Solid, edges_of, placed, solids_of

__all__ = ["CHAPTERS", "page_of"]

# A chapter is a template in templates/chapters and a line here.
CHAPTERS = {
    "safety": "Safety first",
    "piece": "The piece at a glance",
    "boards": "Cut list",
    "cutters": "Cutters",
    "work": "Order of work",
    "assembly": "Drawers in the round",
    "proof": "What was checked",
}
_TONES = {
    "front": (214, 178, 128), "back": (200, 164, 114), "left": (240, 219, 182), "right": (240, 219, 182), "bottom": (222, 226, 214),
}  # fmt: skip


def page_of(folder: Path) -> bytes:
    """Return the page of a packet.

    Raises
    ------
    PacketFault
        Where the packet can not be read.
    """
    facts = read_facts(folder)
    solids = solids_of(facts)
    pictures = {drawer.id: _picture(facts, drawer.id, solids) for drawer in facts.manifest.drawers}
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("camtools.page"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    style, script = ((files("camtools.page") / "templates" / name).read_text("utf-8") for name in ("page.css", "page.js"))
    html = environment.get_template("page.html.j2").render(
        page=_page(facts, pictures),
        chapters=[{"id": name, "heading": heading} for name, heading in CHAPTERS.items()],
        style=Markup(style),
        script=Markup(script),
        library=Markup(_plotly()),
        views=Markup(_json(_views(facts, solids, pictures))),
    )
    return html.encode("utf-8")


@cache
def _plotly() -> str:
    """The plotting library, whole, so that the page needs no network."""
    from plotly.offline import get_plotlyjs

    return str(get_plotlyjs()).replace("</script", "<\\/script")


def _json(data: object) -> str:
    """Return data that can stand inside a script element: no sign in it opens or closes one."""
    text = json.dumps(data, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _picture(facts: PacketFacts, drawer_id: str, solids: Mapping[str, Solid]) -> bytes:
    drawer = next(drawer for drawer in facts.manifest.drawers if drawer.id == drawer_id)
    boards = {board.id: board for board in facts.manifest.boards}
    bodies = []
    for part in PARTS:
        board = boards[getattr(drawer.parts, part)]
        bodies.append(Body(placed(solids[board.id], board), _TONES[part]))
    return portrait(bodies)


def _views(facts: PacketFacts, solids: Mapping[str, Solid], pictures: Mapping[str, bytes]) -> dict[str, Any]:
    boards = {board.id: board for board in facts.manifest.boards}
    kept: dict[int, str] = {}  # equal boards share one mesh
    shapes: dict[str, dict[str, Any]] = {}
    for name, solid in solids.items():
        first = kept.setdefault(id(solid), name)
        if first == name:
            shapes[name] = {
                "v": [round(value, 2) + 0.0 for value in solid.corners.ravel().tolist()],
                "t": solid.triangles.ravel().tolist(),
                "e": edges_of(solid).ravel().tolist(),
            }
    return {
        "motions": {program.stem: motion_view(facts, program, boards[program.entry.board]) for program in facts.programs},
        "pictures": {program.stem: f"drawings/{program.stem}.png" for program in facts.programs},
        "boards": shapes,
        "drawers": {
            drawer.id: {
                "parts": {part: kept[id(solids[getattr(drawer.parts, part)])] for part in PARTS},
                "frames": {part: boards[getattr(drawer.parts, part)].to_drawer for part in PARTS},
                "side": boards[drawer.parts.left].size[2],
                "picture": Images.inline(pictures[drawer.id]),
            }
            for drawer in facts.manifest.drawers
        },
    }


def _page(facts: PacketFacts, pictures: Mapping[str, bytes]) -> dict[str, Any]:
    manifest = facts.manifest
    total = sum(drawer.count for drawer in manifest.drawers)
    called = tables.names(facts)
    holds, cutters = order.changes(facts)
    time = tables.clock(tables.total_seconds(facts))
    return {
        "title": manifest.job,
        "key": hashlib.sha256(manifest.model_dump_json().encode()).hexdigest()[:16],
        "generator": f"camtools {__version__}",
        "summary": (
            f"{_number(total, 'drawer')} of {_number(len(manifest.drawers), 'kind')}, {_number(len(facts.programs), 'program')}, "
            f"{time} of machine time."
        ),
        "verdict": _verdict(facts),
        "cautions": CAUTIONS,
        "drawers": [_card(facts, drawer.id, called[drawer.id], pictures[drawer.id]) for drawer in manifest.drawers],
        "choices": [
            {"drawer": called.get(str(drawer.get("id")), ""), "where": note.get("where"), "text": note.get("text")}
            for drawer in facts.plan.get("drawers", [])
            for note in drawer.get("choices", [])
        ],
        "boards_words": (
            "Sizes as the boards come to the machine. The reference edge is the bottom edge of fronts, backs and sides, "
            "and the front edge of a bottom."
        ),
        "pieces": tables.pieces(facts),
        "stock": tables.stock(facts),
        "cutters": tables.cutters(facts),
        "work_words": (
            f"Programs stand in the order that changes cutter and hold least: {_number(cutters, 'change')} of cutter, {holds} of hold. "
            "A bar at the left edge marks left sides, one at the right edge right sides."
        ),
        "steps": order.steps(facts, Images(facts.folder)),
        "proof_words": (
            "The programs in this packet were read back, carved from solid boards, and the drawers put together from what was "
            "carved. The figures are proved against the numbers in the job file, not against your machine, your zero or your wood."
        ),
        "joint_columns": tables.JOINT_COLUMNS,
        "joints": tables.joints(facts),
        "findings": facts.check.get("findings", []),
        "times": [_time_row(facts, drawer.id, called[drawer.id]) for drawer in manifest.drawers],
        "total_time": time,
    }


def _number(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _verdict(facts: PacketFacts) -> dict[str, str]:
    if not facts.check:
        return {"kind": "unknown", "text": "Not checked yet: run camtools check on this packet before you cut."}
    errors = sum(finding.get("severity") == "error" for finding in facts.check.get("findings", []))
    if facts.check.get("ok") is True and not errors:
        return {"kind": "good", "text": "Checked: from these programs every joint closes, every groove meets, every bottom goes in."}
    return {"kind": "bad", "text": f"Do not cut: the check found {_number(errors, 'error')}."}


def _card(facts: PacketFacts, drawer_id: str, name: str, picture: bytes) -> dict[str, Any]:
    drawer = next(drawer for drawer in facts.manifest.drawers if drawer.id == drawer_id)
    limit = next((joint for joint in facts.limits.joints if joint.drawer == drawer_id), None)
    told: dict[str, Any] = next((d for d in facts.plan.get("drawers", []) if d.get("id") == drawer_id), {})
    width, height = png_size(picture)
    wide, deep, high = drawer.outside
    return {
        "id": drawer_id,
        "name": name,
        "count": drawer.count,
        "picture": Images.inline(picture),
        "picture_width": width,
        "picture_height": height,
        "outside": tables.sizes((wide, high, deep)),
        "opening": tables.sizes(limit.opening) if limit and limit.opening else "",
        "flank": f"{limit.flank:g}" if limit else "–",
        "time": tables.clock(tables.drawer_seconds(facts, drawer)),
        "warnings": told.get("warnings", []),
    }


def _time_row(facts: PacketFacts, drawer_id: str, name: str) -> dict[str, Any]:
    drawer = next(drawer for drawer in facts.manifest.drawers if drawer.id == drawer_id)
    each = tables.drawer_seconds(facts, drawer)
    return {"name": name, "count": drawer.count, "each": tables.clock(each), "all": tables.clock(each * drawer.count)}
