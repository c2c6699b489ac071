"""What stands where on the pages of a PDF, read back by a general library."""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from unicodedata import normalize

from pypdf import PdfReader

from camtools.page.blocks import Facts, Step

__all__ = ["LETTER_PT", "Placed", "images_on", "letters_mm", "reader", "starts_of_words", "torn_steps", "words_of"]

A4_PT = (595.28, 841.89)  # ISO 216: 210 by 297 mm
LETTER_PT = (612.0, 792.0)  # 8 1/2 by 11 in


@dataclass(frozen=True, slots=True)
class Placed:
    """A picture on a page: which page, its box in points from the page's lower left corner, and how many pixels it has."""

    page: int
    low: tuple[float, float]
    high: tuple[float, float]
    pixels: tuple[int, int]


def reader(content: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(content), strict=True)


def words_of(content: bytes) -> str:
    """Return all text, with every run of spaces and line ends as one space."""
    return " ".join(" ".join(page.extract_text() for page in reader(content).pages).split())


def torn_steps(content: bytes, steps: Iterable[Step]) -> list[str]:
    """Return the steps that do not stand whole on one sheet: heading, what to do, ticks, and the last that is told of them."""

    def plain(words: str) -> str:  # ligatures are taken apart, and words put together again
        return "".join(normalize("NFKC", words).split()).replace("-", "")

    sheets = [plain(page.extract_text()) for page in reader(content).pages]
    found = []
    for step in steps:
        told = [step.heading, *step.do, *(tick.text for tick in step.ticks)]
        told += [str(value) for block in step.more if isinstance(block, Facts) for _, value in block.rows[-1:]]
        if not any(all(plain(words) in sheet for words in told) for sheet in sheets):
            found.append(step.key)
    return found


def images_on(content: bytes) -> list[Placed]:
    """Return where every picture was drawn. An image fills the unit square of its matrix (ISO 32000-1, 8.9.5)."""
    found: list[Placed] = []
    for number, page in enumerate(reader(content).pages):
        listed = page["/Resources"].get_object().get("/XObject")  # type: ignore[attr-defined]
        objects = listed.get_object() if listed is not None else {}

        def visit(operator: bytes, operands: list[Any], cm: list[float], _: object, number: int = number, objects: Any = objects) -> None:
            if operator != b"Do":
                return
            image = objects[operands[0]].get_object()
            if image["/Subtype"] != "/Image":
                return
            corners = [(cm[0] * u + cm[2] * v + cm[4], cm[1] * u + cm[3] * v + cm[5]) for u in (0, 1) for v in (0, 1)]
            xs, ys = zip(*corners, strict=True)
            found.append(Placed(number, (min(xs), min(ys)), (max(xs), max(ys)), (image["/Width"], image["/Height"])))

        page.extract_text(visitor_operand_before=visit)
    return found


def starts_of_words(content: bytes) -> list[tuple[float, float]]:
    """Return where every run of text begins, in points from its page's lower left corner (ISO 32000-1, 9.4.4)."""
    found: list[tuple[float, float]] = []

    def visit(text: str, cm: list[float], tm: list[float], *_: object) -> None:
        if text.strip():
            found.append((cm[0] * tm[4] + cm[2] * tm[5] + cm[4], cm[1] * tm[4] + cm[3] * tm[5] + cm[5]))

    for page in reader(content).pages:
        page.extract_text(visitor_text=visit)
    return found


def letters_mm(content: bytes, words: str) -> list[float]:
    """Return how large the letters of these words are, wherever they stand alone: the font's size in mm (ISO 32000-1, 9.4.4)."""
    found = []

    def visit(text: str, cm: list[float], tm: list[float], _: object, size_pt: float) -> None:
        if text.strip() == words:
            scale = abs((cm[0] * cm[3] - cm[1] * cm[2]) * (tm[0] * tm[3] - tm[1] * tm[2])) ** 0.5
            found.append(size_pt * scale * 25.4 / 72)

    for page in reader(content).pages:
        page.extract_text(visitor_text=visit)
    return found
