"""The page on paper: A4, the same content as on the screen, nothing cut off, the same bytes on any day."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

import pytest

from camtools.output.cautions import CAUTIONS
from camtools.page.facts import PacketFacts, read_facts
from camtools.page.index_page import render
from camtools.page.page_pdf import pdf_of
from camtools.page.steps.order_of_work import order_of_work
from camtools.verify.checking import Checked
from camtools.verify.findings import Finding
from camtools.wording import told_in
from tests.page.conftest import NOT_LOOKED_AT, Writer
from tests.page.markup import Element, parsed
from tests.page.papers import A4_PT, LETTER_PT, images_on, reader, starts_of_words, torn_steps, words_of

FOOT_PT = 17.0  # 6 mm
MARGIN_PT = 28.0  # what a printer may need: 10 mm (common practice, no source)


def is_off_paper(part: Element) -> bool:
    return part.attributes.get("class") == "off-paper"


@pytest.fixture(scope="module")
def paper(drawer: PacketFacts) -> bytes:
    return pdf_of(drawer)


@pytest.fixture(scope="module")
def bare(written: Writer, samples: Path, drawer_checked: Checked) -> PacketFacts:
    """Return the small drawer without the pictures of its programs, which take most of the time."""
    return read_facts(written(samples / "first-drawer.toml"), drawer_checked)


def test_the_same_packet_makes_the_same_bytes_without_a_date(drawer: PacketFacts, paper: bytes) -> None:
    assert pdf_of(drawer) == paper
    assert {"/CreationDate", "/ModDate"}.isdisjoint(reader(paper).metadata or {})
    assert not re.search(rb"D:\d{8}", paper)


def test_every_page_is_a4(paper: bytes) -> None:
    pages = reader(paper).pages
    assert len(pages) > 5
    for page in pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(A4_PT, abs=0.1)


def test_every_picture_of_the_page_is_there_whole(drawer: PacketFacts, paper: bytes) -> None:
    """Portraits are made of pixels. Those of the programs are lines and words, and say what the files say, within the margins."""
    page = parsed(render(drawer))
    left_out = {image.attributes.get("src") for part in page.all("div") if is_off_paper(part) for image in part.all("img")} - {None}
    shown = [own for own in page.all("img") if "src" in own.attributes and own.attributes["src"] not in left_out]
    drawn = [own.attributes["src"].partition("svg+xml,")[2] for own in shown if "svg+xml" in own.attributes["src"]]
    pictures = images_on(paper)
    assert len(pictures) == len(shown) - len(drawn)
    for picture in pictures:
        wide, high = (b - a for a, b in zip(picture.low, picture.high, strict=True))
        assert wide / high == pytest.approx(picture.pixels[0] / picture.pixels[1], rel=0.001)
    assert len(left_out) == len(drawer.setups)  # plots of motion
    assert len(drawn) == len(drawer.loadings)
    there = words_of(paper)
    for svg in drawn:
        words = [own.text or "" for own in ElementTree.fromstring(unquote(svg)).iter("{http://www.w3.org/2000/svg}text")]
        assert all(" ".join(word.split()) in there for word in words)
    assert "rapid traverse" not in there
    for low, high in [*((picture.low, picture.high) for picture in pictures), *((place, place) for place in starts_of_words(paper))]:
        assert min(low[0], A4_PT[0] - high[0]) > MARGIN_PT
        assert min(low[1], A4_PT[1] - high[1]) > FOOT_PT


def test_what_the_screen_says_the_paper_says(drawer: PacketFacts, paper: bytes) -> None:
    foot = drawer.manifest.job.replace(" ", "") + r"page\d+"  # may stand between two lines of a paragraph
    told = re.sub(foot, "", words_of(paper).replace(" ", "").replace("-", ""))

    def said(text: str) -> bool:
        return "".join(text.split()).replace("-", "") in told

    page = parsed(render(drawer))
    left_out = {id(element) for part in page.all("div") if is_off_paper(part) for element in part.all()}
    for caution in CAUTIONS:
        assert said(caution.full)
    for element in page.all("h1", "h2", "h3", "h4", "dd", "td", "th"):
        assert id(element) in left_out or said(element.text), element.text
    for element in page.all("p"):
        if id(element) in left_out:
            continue
        if not {"badge", "readout", "bar"} & set(element.attributes.get("class", "").split()) and "needs no network" not in element.text:
            assert said(element.text), element.text


def test_chapters_are_in_the_outline(paper: bytes) -> None:
    titles = [entry.title for entry in reader(paper).outline if not isinstance(entry, list)]
    assert titles == [
        "Safety first",
        "The piece at a glance",
        "Cut list",
        "Cutters",
        "Order of work",
        "If something goes wrong",
        "What was checked",
    ]


@pytest.mark.parametrize(
    "name", ["<b>bold</b> & <img src=x>", "</para><para>", "Möbel № 5 – ½", "引き出し", "\x07bell", "x" * 400, "&amp; &#0;"]
)
def test_any_name_is_only_text(bare: PacketFacts, name: str) -> None:
    names = replace(bare.names, drawers={key: own.model_copy(update={"name": name}) for key, own in bare.names.drawers.items()})
    content = pdf_of(replace(bare, names=names, manifest=bare.manifest.model_copy(update={"job": name})))
    shown = words_of(content)
    if name.isascii() and name.isprintable() and len(name) < 100:
        assert shown.count(" ".join(name.split())) >= 3


def test_many_findings_and_long_tables_run_over_pages(bare: PacketFacts) -> None:
    findings = tuple(Finding("drawer-size", "warning", "manifest.json", i, f"the drawer's side {i} is off") for i in range(1, 60))
    words = words_of(pdf_of(replace(bare, report=replace(bare.report, findings=findings))))
    assert all(f"side {i} is off" in words for i in (1, 30, 59))


def test_every_sample_fits_its_paper(sample: PacketFacts) -> None:
    """Letter paper where the job is in inches (8 1/2 by 11 in, ANSI/ASME Y14.1, from memory), and each step whole on one sheet."""
    content = pdf_of(sample)
    words, size = words_of(content), LETTER_PT if sample.units == "in" else A4_PT
    for page in reader(content).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=0.1)
    with told_in(sample.units):
        assert torn_steps(content, [step for part in order_of_work(sample) for step in part.steps]) == []
    for setup in sample.setups:
        assert sample.names.titles[setup.stem] in words


def test_a_picture_that_is_broken_is_told_of(drawer_packet: Path, tmp_path: Path) -> None:
    folder = shutil.copytree(drawer_packet, tmp_path / "packet")
    broken = next((folder / "drawings").glob("*-groove-setup.svg"))
    broken.write_bytes(broken.read_bytes()[:200])
    assert "the picture can not be read" in words_of(pdf_of(read_facts(folder, NOT_LOOKED_AT)))
