"""Everything that people read of a packet is in the units of its job: no length of the other kind strays into it."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from camtools.cli import group
from camtools.drawer.drawers import drawers_of
from camtools.drawings import sheets_of
from camtools.drawings.sheet import SheetText
from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.sections import files_of, work_of
from camtools.wording import told_in
from tests.page.markup import parsed

STRAY = {
    "in": re.compile(r"(?<![a-z_-])(?:mm|cm|metres?|millimet\w+|m²|m³)\b|\d ?m\b"),
    "mm": re.compile(r"\d ?(?:″|\")|\binch(?:es)?\b|(?<![-\d])\d+(?:\.\d+)? in\b(?! the\b| \d)|\bsq ft\b|\bboard feet\b|\bin/min\b"),
}
SAMPLES = {"inch-cabinet": "in", "first-drawer": "mm"}


@pytest.fixture(scope="module", params=SAMPLES)
def packet(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, samples: Path) -> tuple[Path, str]:
    """Return the packet of a sample, with its page as a PDF, and its job's units."""
    folder = tmp_path_factory.mktemp("units") / "packet"
    run = CliRunner().invoke(group, ["packet", str(samples / f"{request.param}.toml"), "-o", str(folder)])
    assert run.exit_code == 0, run.output
    run = CliRunner().invoke(group, ["page", str(folder), "--pdf", str(folder.parent / "page.pdf")])
    assert run.exit_code == 0, run.output
    return folder, SAMPLES[request.param]


def _told_in(value: object, key: str = "") -> Iterator[str]:
    """Yield the words of data that are for people: those with a blank in them."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from _told_in(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from _told_in(inner, key)
    elif isinstance(value, str) and " " in value:
        yield value


def _words_of(folder: Path) -> Iterator[tuple[str, str]]:
    """Yield every text that people read of a packet, with the file it stands in."""
    page = parsed((folder / "index.html").read_bytes())
    hidden = {id(element) for element in page.all("style", "script")}
    for element in page.all():
        if id(element) not in hidden:
            own = " ".join(child for child in element.children if isinstance(child, str))
            yield f"page, {element.name}", " ".join([own, *(element.attributes.get(key, "") for key in ("alt", "title", "aria-label"))])
    yield "page.pdf", "\n".join(page.extract_text() for page in PdfReader(folder.parent / "page.pdf").pages)
    for path in (path for path in sorted(folder.rglob("*")) if path.is_file()):
        name, suffix = str(path.relative_to(folder)), path.suffix
        if suffix == ".svg":
            words = [text for text in ElementTree.fromstring(path.read_bytes()).iter() if text.tag.endswith(("text", "title"))]
            yield name, " ".join("".join(text.itertext()) for text in words)
        elif suffix == ".csv":
            yield name, "\n".join(map(" | ".join, csv.reader(io.StringIO(path.read_text("utf-8-sig")))))
        elif suffix == ".dxf":
            yield name, "\n".join(text.dxf.text for text in ezdxf.readfile(path).modelspace().query("TEXT"))
        elif suffix == ".txt":
            yield name, path.read_text("utf-8")
        elif path.parent.name in ("programs", "dry"):
            yield name, "\n".join(re.findall(r"\((.*?)\)", path.read_text("ascii")))
        elif name in ("plan.json", "check.json"):
            yield name, "\n".join(_told_in(json.loads(path.read_text("utf-8"))))


def test_no_length_of_the_other_kind_is_in_what_people_read(packet: tuple[Path, str]) -> None:
    folder, units = packet
    texts = [*_words_of(folder)]
    kinds = {name.split("/")[0] if "/" in name else Path(name).suffix or name.split(",")[0] for name, text in texts if text}
    assert {"page", "programs", "drawings", ".pdf", ".csv", ".txt", ".json", *({"templates"} if units == "in" else ())} <= kinds
    found = [
        f"{name}: ...{text[max(0, stray.start() - 50) : stray.end() + 10]}..."
        for name, text in texts
        for stray in STRAY[units].finditer(text)
    ]
    assert not found, "\n".join(found[:40])


def test_the_drawings_words_are_in_the_units_of_the_job(packet: tuple[Path, str], samples: Path) -> None:
    """Words of a drawing are drawn stroke by stroke, so they are looked for before they are."""
    _, units = packet
    job, _ = read_job(samples / f"{next(name for name, own in SAMPLES.items() if own == units)}.toml")
    with told_in(units):
        sheets = sheets_of(job, drawers_of(job))
    words = [item.text for sheet in sheets for item in sheet.items if isinstance(item, SheetText)]
    assert not [text for text in words if STRAY[units].search(text)]
    figures = [text for text in words if re.fullmatch(r"[0-9 ./]+\"?", text) and text not in "12345"]  # boards in order of assembly
    assert len(figures) > 100
    assert {text.endswith('"') for text in figures} == {units == "in"}
    papers = {sheet.paper for sheet in sheets}
    assert papers <= ({"letter", "tabloid", "ANSI C"} if units == "in" else {"A4", "A3", "A2"})


def test_a_dxf_file_bears_the_units_of_the_job_and_its_boards_are_as_large_in_them(packet: tuple[Path, str]) -> None:
    """$INSUNITS 1 is inches and 4 mm, $MEASUREMENT 0 is English and 1 metric (published DXF reference)."""
    folder, units = packet
    files = [*folder.rglob("*.dxf")]
    assert files
    for path in files:
        assert path.stem.endswith(f"-{units}")
        header = ezdxf.readfile(path).header
        assert (header["$INSUNITS"], header["$MEASUREMENT"]) == ((1, 0) if units == "in" else (4, 1))
    (side,) = (board for board in json.loads((folder / "manifest.json").read_text())["boards"] if board["id"] == "d1-left")
    drawing = next(iter(sorted(folder.glob("drawings/board-left-side-1*.dxf"))))
    outlines = [line for line in ezdxf.readfile(drawing).modelspace().query("LWPOLYLINE") if line.dxf.layer == "outline"]
    highest = max(abs(here[1] - there[1]) for line in outlines for here in line for there in line)
    assert highest == pytest.approx(side["size"][1] / (25.4 if units == "in" else 1.0), rel=1e-4)


def test_a_length_is_told_in_both_units_where_a_program_is_in_the_other(samples: Path) -> None:
    for sample, dialect, both in (
        ("inch-cabinet", "mm", r"0\.\d+ in / 1\d(?:\.\d+)? mm"),
        ("first-drawer", "inch", r"1\d(?:\.\d+)? mm / 0\.\d+ in"),
    ):
        job, _ = read_job(samples / f"{sample}.toml")
        with told_in(job.units):
            files = files_of(work_of(job, dialect_of(dialect)), without=("lists", "drawings", "templates"))
        texts = {name: text.decode("ascii") for name, text in sorted(files.items()) if re.fullmatch(r"programs/[^/]+", name)}
        assert re.search(both, "".join(texts.values())), dialect
        for text in texts.values():
            for comment in re.findall(r"\((?:cut \d+ of \d+|board): .*?\)", text):
                assert ("mm" in comment) == (" in" in comment.replace(" in one pass", "").replace(" in 1", "")), comment
        preview = next(files[name] for name in sorted(files) if name.startswith("drawings/01-") and "setup" not in name).decode()
        assert re.search(r"\d mm / \d", preview) if dialect == "mm" else re.search(r"(?:&quot;|\") / \d+(?:\.\d+)? mm", preview)
