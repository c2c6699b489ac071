"""A page's markup as a tree, read by Python's own parser: what a browser would make of it, near enough for tests."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

__all__ = ["Element", "parsed"]

_VOID = {"meta", "img", "input", "br", "link", "hr"}


@dataclass(slots=True)
class Element:
    """An element, what it holds, and its own text between that."""

    name: str
    attributes: dict[str, str] = field(default_factory=dict)
    children: list[Element | str] = field(default_factory=list)

    @property
    def text(self) -> str:
        return "".join(child if isinstance(child, str) else child.text for child in self.children)

    def all(self, *names: str) -> Iterator[Element]:
        """Return every element inside of these names, or every one, in order."""
        for child in self.children:
            if isinstance(child, Element):
                if not names or child.name in names:
                    yield child
                yield from child.all(*names)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open = [Element("page")]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len({name for name, _ in attrs}) == len(attrs), f"an attribute of <{tag}> stands twice"
        element = Element(tag, {name: value or "" for name, value in attrs})
        self.open[-1].children.append(element)
        if tag not in _VOID:
            self.open.append(element)

    def handle_endtag(self, tag: str) -> None:
        assert self.open[-1].name == tag, f"</{tag}> closes <{self.open[-1].name}>"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        self.open[-1].children.append(data)


def parsed(page: bytes) -> Element:
    """Return a page as a tree; every element that is opened must be closed, in order."""
    reader = _Reader()
    reader.feed(page.decode("utf-8"))
    reader.close()
    assert len(reader.open) == 1, f"<{reader.open[-1].name}> is not closed"
    return reader.open[0]
