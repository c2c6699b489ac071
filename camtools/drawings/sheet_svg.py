"""A sheet as SVG: paper size in mm, so that it prints at its true scale. Words are strokes, so no text becomes markup."""

from __future__ import annotations

from html import escape
from itertools import repeat

from ezdxf.math import bulge_radius

from camtools.drawings.sheet import PENS, Sheet, SheetLine, SheetView, runs_of
from camtools.templates.outlines import Vertex
from camtools.wording import printable

__all__ = ["svg_bytes"]


def svg_bytes(sheet: Sheet) -> bytes:
    """Return the sheet as an SVG file."""
    w, h = _number(sheet.width_mm), _number(sheet.height_mm)
    scale = "not to scale" if sheet.picture else f"scale {sheet.scale[0]}:{sheet.scale[1]}"
    title = escape(f"{printable(sheet.title)}, {sheet.paper}, {scale}")
    rules = "".join(f".{name}{{{_rule(name)}}}" for name in PENS)
    body = "\n".join(
        f'<path{_marks(pen, fill)} d="{"".join(_path(stroke, sheet.height_mm) for stroke in strokes)}"/>'
        for pen, fill, strokes in runs_of(sheet.strokes())
    )
    views = "".join(map(_view, range(1, len(sheet.views) + 1), sheet.views, repeat(sheet.height_mm)))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}" role="img">\n'
        f"{views}"
        f"<title>{title}</title>\n<style>path{{fill:none;stroke-linecap:round;stroke-linejoin:round}}{rules}"
        f"@page{{size:{w}mm {h}mm;margin:0}}</style>\n"
        f'<rect width="{w}" height="{h}" fill="#fff"/>\n{body}\n</svg>\n'
    ).encode()


def _view(number: int, view: SheetView, height: float) -> str:
    """Name a part of the sheet, with the size of its letters: their capitals are 0.73 of it."""
    left, low, right, high = view.box_mm
    box = " ".join(map(_number, (left, height - high, right - left, high - low)))
    return f'<view id="view-{number}" viewBox="{box}" data-letters="{_number(view.least_mm / 0.73)}"/>\n'


def _rule(name: str) -> str:
    pen = PENS[name]
    dash = f";stroke-dasharray:{' '.join(_number(d) for d in pen.dash_mm)};stroke-linecap:butt" if pen.dash_mm else ""
    return f"stroke:{_grey(pen.grey)};stroke-width:{_number(pen.width_mm)}{dash}"


def _marks(pen: str | None, fill: float | None) -> str:
    return (f' class="{pen}"' if pen else "") + (f' style="fill:{_grey(fill)};fill-rule:evenodd"' if fill is not None else "")


def _path(stroke: SheetLine, height: float) -> str:
    x, y, _ = stroke.vertices[0]
    sides = "".join([_side(*side, height) for side in stroke.sides()])
    return f"M{_number(x)} {_number(height - y)}{sides}{'Z' if stroke.closed else ''}"


def _side(start: Vertex, end: Vertex, height: float) -> str:
    x, y = _number(end[0]), _number(height - end[1])
    bulge = start[2]
    if bulge == 0.0:
        return f"L{x} {y}"
    radius = _number(bulge_radius(start[:2], end[:2], bulge))
    # The page's y runs down, so a counter-clockwise arc is drawn with the flag for the other way.
    return f"A{radius} {radius} 0 {int(abs(bulge) > 1)} {int(bulge < 0)} {x} {y}"


def _grey(level: float) -> str:
    return "#" + f"{round(level * 255):02x}" * 3


def _number(value: float) -> str:
    return f"{value:z.3f}".rstrip("0").rstrip(".")
