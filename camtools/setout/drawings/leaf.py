"""A paper whose parts can be named to a page: what may be picked, dragged or moved bears attributes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from html import escape

from camtools.pictures.paper import XY, Paper, Scale, rectangle

__all__ = ["Leaf"]

_HEAD_PX = (7.0, 2.4)  # length and half width of an arrow's head
_CLEAR_PX = 4.0  # between a line and the words beside it


class Leaf(Paper):
    """One picture for a page, on the page's own ground: px from the lower left corner."""

    def __init__(self, width_px: int, height_px: int) -> None:
        super().__init__(width_px, height_px)
        self._drawn.clear()

    @contextmanager
    def group(self, attributes: Mapping[str, object], tag: str = "g") -> Iterator[None]:
        """Put what is drawn within into one element with these attributes; names are our own, values any text."""
        told = "".join(f' {name}="{_plain(value)}"' for name, value in attributes.items())
        self._drawn.append(f"<{tag}{told}>")
        yield
        self._drawn.append(f"</{tag}>")

    def field(self, box: Sequence[XY]) -> None:
        """Lay a clear area over the drawing, to be touched; shape as for ``fill``."""
        self._path([box], 'fill="none" pointer-events="all"', "Z")

    def measure(self, start: XY, end: XY, text: str, *, letter: str = "") -> None:
        """Draw a line with an arrow at both ends, level or upright, with words in its middle and a letter in a ring before them.

        Where there is no room between the ends, arrows and words stand outside them.
        """
        (x0, y0), (x1, y1) = start, end
        level = abs(y1 - y0) < abs(x1 - x0)
        if (x1 - x0 if level else y1 - y0) < 0:
            (x0, y0), (x1, y1) = end, start
        long, (head, half) = (x1 - x0 if level else y1 - y0), _HEAD_PX
        inside = long > 3 * head
        sign = 1.0 if inside else -1.0
        reach = 0.0 if inside else 2.2 * head
        for (x, y), way in (((x0, y0), sign), ((x1, y1), -sign)):
            tip = [(x, y), (x + way * head, y + half), (x + way * head, y - half)]
            self.fill([tip if level else [(x, y), (x + half, y + way * head), (x - half, y + way * head)]], "ink")
        line = [(x0 - reach, y0), (x1 + reach, y1)] if level else [(x0, y0 - reach), (x1, y1 + reach)]
        self.draw([line], "dimension")
        wide = self.width_of(text, "small") + (24.0 if letter and text else 22.0 if letter else 0.0)
        if level:
            fits = inside and wide + 4 * head < long
            at = ((x0 + x1) / 2 - wide / 2, y0) if fits else (x1 + reach + _CLEAR_PX, y1)
        else:
            fits = inside and long > 2 * head + 22.0
            at = (x0 - wide / 2, (y0 + y1) / 2) if fits else (x1 - wide / 2, y1 + reach + 11.0)
        self.told(at, text, letter=letter)

    def told(self, at: XY, text: str, *, letter: str = "") -> None:
        """Write small words from a place on, on the paper's ground, after a letter in a ring where one is given."""
        x, y = at
        if letter:
            self.mark((x + 10.0, y), letter)
            x += 24.0
        if text:
            self.write((x, y), text, size="small", ground="paper")

    def mark(self, at: XY, letter: str) -> None:
        """Draw a letter in a ring round a place."""
        self.dots([at], 10.0, "paper", "thin")
        self.write(at, letter, size="small", bold=True, align="center")

    def box(self, scale: Scale, corner_mm: XY, size_mm: XY, tone: str, pen: str | None = "thin") -> None:
        """Fill an upright rectangle of the wood, by its lower left corner and its size."""
        (x, y), (wide, high) = scale.at(*corner_mm), size_mm
        self.fill([rectangle(x, y, x + wide * scale.px_per_mm, y + high * scale.px_per_mm)], tone, pen)

    def markup(self, told: str, *, parts: bool = False) -> str:
        """Return the picture as markup for a page.

        Parameters
        ----------
        told
            What it shows, for those who do not see it.
        parts
            Whether what is within can be picked or dragged, so that each part tells of itself.
        """
        wide, high = self.size
        head = (
            f'<svg width="{wide}" height="{high}" viewBox="0 0 {wide} {high}" font-family="sans-serif"'
            f' role="{"group" if parts else "img"}" aria-label="{_plain(told)}">'
        )
        return "\n".join([head, *self._drawn, "</svg>"])


def _plain(value: object) -> str:
    """Return a value as it may stand in an attribute."""
    return escape("".join(char if char.isprintable() else " " for char in str(value)))
