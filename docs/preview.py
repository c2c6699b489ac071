"""Make docs/preview.png, the picture in the README, from the specimen chest.

Run ``python -m docs.preview`` in the checkout: it draws how a board is held and cut, carves a drawer from its written
programs, and shows it apart and together.
"""

from __future__ import annotations

import io
import tempfile
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
import resvg_py
from PIL import Image

from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, work_of
from camtools.page.facts import PacketFacts, read_facts
from camtools.page.portrait import Body, portrait
from camtools.page.solids import PARTS, placed
from camtools.pictures.paper import Paper
from camtools.pictures.previews import preview_of
from camtools.pictures.setups.setup_view import setup_on
from camtools.resources import letters
from camtools.verify.checking import check_fully

HERE = Path(__file__).parent
WIDE, HIGH = 1600, 1230
APART_MM = {"front": -75.0, "back": 75.0}
TONES = {"front": (214, 176, 124), "back": (226, 199, 155), "left": (226, 199, 155), "right": (226, 199, 155), "bottom": (240, 228, 205)}


def carved_drawer(facts: PacketFacts, apart_mm: Mapping[str, float], width_px: int) -> bytes:
    """Return a picture of the last drawer, its parts moved along Y."""
    parts = facts.manifest.drawers[-1].parts
    bodies = []
    for part in PARTS:
        board = facts.boards[getattr(parts, part)]
        solid = placed(facts.solids[board.id], board)
        bodies.append(Body(replace(solid, corners=solid.corners + np.array([0.0, apart_mm.get(part, 0.0), 0.0])), TONES[part]))
    return portrait(bodies, width_px)


def pixels(svg: bytes, width_px: int) -> Image.Image:
    """Return a picture of ours as pixels."""
    fonts = [str(letters(bold=bold)) for bold in (False, True)]
    drawn = resvg_py.svg_to_bytes(svg_string=svg.decode(), width=width_px, font_files=fonts, sans_serif_family="DejaVu Sans")
    return Image.open(io.BytesIO(drawn)).convert("RGB")


def main() -> None:
    """Write the picture."""
    job, _ = read_job(HERE.parent / "samples" / "specimen-chest.toml")
    work = work_of(job, dialect_of(job.machine.postprocessor))
    program = next(program for program in work.programs if program.stem.endswith("left-side-3-front-end"))
    with tempfile.TemporaryDirectory() as folder:
        packet = write_packet(Path(folder) / "packet", files_of(work, without=("pictures", "drawings", "templates")))
        facts = read_facts(packet, check_fully(packet))
        drawers = [carved_drawer(facts, apart, 690) for apart in (APART_MM, {})]
    paper = Paper(WIDE, HIGH)
    words = (
        "1  Hold the board as drawn",
        "2  See the cut before it is made",
        "3  Parts, carved from the very programs",
        "4  The drawer goes together",
    )
    pictures = (setup_on(program).svg(), preview_of(program).svg(), *drawers)
    places = ((20, 44, 740), (780, 44, 800), (45, 680, 690), (865, 680, 690))  # left, top, width
    for (left, top, _), text in zip(places, words, strict=True):
        paper.write((20 if left < 400 else 780, HIGH - top + 22), text, size="title", bold=True)
    sheet = pixels(paper.svg(), WIDE)
    for (left, top, width), picture in zip(places, pictures, strict=True):
        image = pixels(picture, width) if picture.startswith(b"<svg") else Image.open(io.BytesIO(picture)).convert("RGB")
        sheet.paste(image.resize((width, round(image.height * width / image.width)), Image.Resampling.LANCZOS), (left, top))
    sheet.quantize(256, kmeans=3, dither=Image.Dither.NONE).save(HERE / "preview.png", optimize=True)


if __name__ == "__main__":
    main()
