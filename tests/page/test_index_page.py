"""The page as a file: sound markup, every step in its place, every name as text, nothing from elsewhere."""

from __future__ import annotations

import base64
import gzip
import json
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from urllib.parse import unquote

import pytest

from camtools.faults import PacketFault
from camtools.job import read_job
from camtools.output.cautions import CAUTIONS
from camtools.page.facts import LoadingFacts, PacketFacts, read_facts
from camtools.page.index_page import page_of, render
from camtools.page.rounds import dry_runs_of, handled_in, handling_seconds, total_seconds
from camtools.page.steps.order_of_work import order_of_work
from camtools.verify.checking import Checked
from camtools.verify.findings import Finding
from camtools.wording import bare, told_in
from tests.page.conftest import NOT_LOOKED_AT, Writer
from tests.page.markup import Element, parsed


@pytest.fixture(scope="module")
def content(drawer: PacketFacts) -> bytes:
    return render(drawer)


@pytest.fixture(scope="module")
def page(content: bytes) -> Element:
    return parsed(content)


@pytest.fixture(scope="module")
def sample_page(sample: PacketFacts) -> Element:
    return parsed(render(sample))


def steps_of(page: Element) -> list[Element]:
    return [element for element in page.all("li") if element.attributes.get("class", "").startswith("step")]


def key(step: Element) -> str:
    return step.attributes["id"].removeprefix("step-")


def test_the_same_packet_makes_the_same_page(drawer_packet: Path, drawer_checked: Checked, content: bytes) -> None:
    assert page_of(drawer_packet, drawer_checked) == content


def test_a_page_can_be_made_without_a_check_at_hand(written: Writer, samples: Path) -> None:
    assert b"Checked: from these programs every joint closes" in page_of(written(samples / "first-drawer.toml"))


def test_nothing_comes_from_elsewhere(page: Element, drawer_packet: Path) -> None:
    """Every address is a file of the packet, a part of the page, or holds its content itself."""
    addresses = [element.attributes[name] for element in page.all() for name in ("src", "href") if name in element.attributes]
    assert len(addresses) > 20
    for address in addresses:
        if address.startswith("#"):
            assert any(element.attributes.get("id") == address[1:] for element in page.all())
        elif not address.startswith(("data:image/png;base64,", "data:image/svg+xml,")):
            assert (drawer_packet / address).is_file()
    (style,) = page.all("style")
    assert "url(" not in style.text
    assert "@import" not in style.text


def test_ids_are_unique_and_headings_go_down_a_step_at_a_time(sample_page: Element) -> None:
    ids = [element.attributes["id"] for element in sample_page.all() if "id" in element.attributes]
    assert len(set(ids)) == len(ids)
    levels = [int(element.name[1]) for element in sample_page.all("h1", "h2", "h3", "h4")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert all(element.text.strip() for element in sample_page.all("h1", "h2", "h3", "h4"))


def test_pictures_have_words_and_inputs_have_labels(page: Element) -> None:
    for picture in page.all("img"):
        assert len(picture.attributes["alt"]) > 15
        assert int(picture.attributes["width"]) > 100
        assert int(picture.attributes["height"]) > 100
    labelled = [own for label in page.all("label") for own in label.all("input") if label.text.strip()]
    assert len(labelled) == len(list(page.all("input")))
    assert len(labelled) > 15


def stem(loading: LoadingFacts) -> str:
    return Path(loading.file).stem


def test_every_set_up_has_a_step_in_order_with_its_programs_and_dry_runs(sample: PacketFacts, sample_page: Element) -> None:
    steps, tried = {key(step): step for step in steps_of(sample_page)}, dry_runs_of(sample)
    stems = [stem(loading) for loading in sample.loadings]
    assert [name for name in steps if name in stems] == stems
    for loading in sample.loadings:
        text = steps[stem(loading)].text
        assert Path(loading.file).name in text
        own = tried[loading.file] == loading.file
        assert len(loading.dry) == 2
        assert all((Path(file).name in text) is own for file in loading.dry)
        assert own or f"Tried by the dry run of {Path(tried[loading.file]).stem}," in text
        for setup in loading.setups:
            assert f"{setup.entry.work_offset} at the {setup.entry.stop} stop" in text


def test_the_work_leads_from_the_stock_to_the_opening(sample: PacketFacts, sample_page: Element) -> None:
    keys = [key(step) for step in steps_of(sample_page)]
    setups = [stem(loading) for loading in sample.loadings]
    barred = sample.names.machine and sample.names.machine.height_stop
    before = ["stock", "mark", *(["height-stop"] if barred else []), "trial"]
    assert keys[: len(before)] == before
    grooves = [name for name in setups if "groove" in name]
    between = ["dry-corners", "mark-grooves", "finish-inside"]
    place = keys.index(grooves[0])
    assert keys[place - 3 : place] == between
    after = ["bottoms", "trial-assembly", "glue", "plane", "opening", "finish-outside"]
    if any(drawer.show_front_mm for drawer in sample.names.drawers.values()):
        after.append("show-fronts")
    assert keys[-len(after) :] == after
    assert len(keys) == len(before) + len(setups) + len(between) + len(after)
    assert len({*keys}) == len(keys)


def test_cautions_stand_at_the_top_at_the_first_upright_setup_and_at_the_first_dovetail_cutter(
    sample: PacketFacts, sample_page: Element
) -> None:
    sections = list(sample_page.all("section"))
    assert sections[0].attributes["id"] == "safety"
    for caution in CAUTIONS:
        assert caution.full in sections[0].text
    first = {}
    for loading in reversed(sample.loadings):
        setup = loading.setups[0]
        first |= dict.fromkeys((setup.entry.hold, *(sample.tool(number).kind for number in setup.tools)), stem(loading))
    for caution in (next(c for c in CAUTIONS if c.applies == kind) for kind in ("upright", "dovetail")):
        assert [key(step) for step in steps_of(sample_page) if caution.full in step.text] == [first[caution.applies]]


def test_left_and_right_differ_by_bar_and_word(sample: PacketFacts, sample_page: Element) -> None:
    boards = sample.boards
    for step in steps_of(sample_page):
        loading = next((loading for loading in sample.loadings if stem(loading) == key(step)), None)
        role = boards[loading.setups[0].entry.board].role if loading and len(loading.setups) == 1 else ""
        side = role.removesuffix(" side") if role.endswith("side") else ""
        assert step.attributes["class"].split() == ["step", *([side] if side else [])]
        assert ("LEFT" in step.text, "RIGHT" in step.text) == (side == "left", side == "right")


def test_every_tick_of_a_step_is_a_box(sample: PacketFacts, sample_page: Element) -> None:
    with told_in(sample.units):
        ticks = {step.key: [tick.text for tick in step.ticks] for part in order_of_work(sample) for step in part.steps}
    for step in steps_of(sample_page):
        labels = [label.text.strip() for label in step.all("label")]
        assert labels[1:] == ticks[key(step)]


def test_a_board_never_stands_at_both_stops_by_the_boxes(sample: PacketFacts, sample_page: Element) -> None:
    told = [label.text.strip() for label in sample_page.all("label") if " + " in label.text]
    fronts = [
        loading for loading in sample.loadings if {sample.boards[s.entry.board].role for s in loading.setups} in ({"front"}, {"back"})
    ]
    ends = sum(loading.times for loading in fronts if len(loading.setups) == 2 and "groove" not in stem(loading))
    apart = [pair for pair in told if len(set(pair.split(" + "))) == 2]
    assert len(apart) >= ends


def test_times_are_exact_in_the_markup_and_sum_up(sample: PacketFacts, sample_page: Element) -> None:
    alone = sum(program.seconds * sample.boards[program.board].count for program in sample.manifest.programs if program.kind == "cut")
    feet = [time for foot in sample_page.all("tfoot") for time in foot.all("time")]
    found = [float(seconds[1]) for time in feet if (seconds := re.fullmatch(r"PT(\d+\.\d)S", time.attributes["datetime"]))]
    hands = handling_seconds(sample, handled_in(sample, sample.loadings))
    assert found == pytest.approx([hands, total_seconds(sample), alone], abs=0.06)


def test_the_cut_list_has_every_board(sample: PacketFacts, sample_page: Element) -> None:
    (section,) = (section for section in sample_page.all("section") if section.attributes["id"] == "board_by_board")
    table = next(section.all("tbody"))
    rows = [[cell.text for cell in row.all("th", "td")] for row in table.all("tr")]
    off = sum(int(row[3]) for row in rows if row[1] != "show front")
    assert off == sum(board.count for board in sample.manifest.boards)
    for board in sample.manifest.boards:
        with told_in(sample.units):
            sizes = [*map(bare, board.size)]
        assert [row for row in rows if row[0] == sample.names.mark(board.id) and row[2] == board.wood and row[4:7] == sizes]


def test_a_drawers_card_tells_what_a_year_does_to_it(sample: PacketFacts, sample_page: Element) -> None:
    words = sample_page.text
    for drawer in sample.names.drawers.values():
        dry, _, damp = drawer.seasons
        solid = drawer.stock.bottom_kind == "solid"
        assert solid is (dry.bottom_play_mm is not None)
        rows = {
            "Height in a year": (dry.side_mm, damp.side_mm, 1),
            "Gap above in a year": (dry.above_mm, damp.above_mm, 2),
            "Bottom in a year": (dry.bottom_mm, damp.bottom_mm, 1),
            "Its room to grow": (dry.bottom_room_mm, damp.bottom_room_mm, 1),
            "Its play in grooves": (dry.bottom_play_mm or 0.0, damp.bottom_play_mm or 0.0, 2),
        }
        with told_in(sample.units):
            for name, (low, high, digits) in rows.items():
                row = f"{name}{bare(low or 0.0, digits)} to {bare(high or 0.0, digits)}"
                assert (row in words) is (solid or name in ("Height in a year", "Gap above in a year")), row


def unpacked(page: Element, name: str) -> str:
    """Return what is packed in an element of the page: base64 (RFC 4648) of gzip (RFC 1952)."""
    (text,) = (element.text for element in page.all("script") if element.attributes.get("id") == name)
    return gzip.decompress(base64.b64decode(text, validate=True)).decode("utf-8")


def test_pictures_lie_in_the_page_as_they_are_in_the_packet(page: Element, drawer: PacketFacts, drawer_packet: Path) -> None:
    packed = json.loads(unpacked(page, "pictures"))
    assert len(packed) > 10
    assert packed == {name: (drawer_packet / name).read_text("utf-8") for name in packed}
    assert {own.attributes["data-from"] for own in page.all("img") if "data-from" in own.attributes} == packed.keys()
    drawn = [own.attributes["src"].partition("svg+xml,")[2] for own in page.all("img") if "svg+xml" in own.attributes.get("src", "")]
    assert sorted(map(unquote, drawn)) == sorted(
        (drawer_packet / f"drawings/{stem(own)}-setup.svg").read_text("utf-8") for own in drawer.loadings
    )


def test_views_have_data_that_is_data(page: Element, drawer: PacketFacts) -> None:
    data = json.loads(unpacked(page, "views"))
    opened = [f"{own.attributes['data-of']}-{own.attributes['data-key']}" for own in page.all("details") if "data-of" in own.attributes]
    assert len(opened) == len(drawer.programs) + len(drawer.manifest.drawers)
    for name in opened:
        for board in data[name].get("boards", {}).values():
            assert {"v", "t", "e"} == set(data[board])
    ids = {element.attributes.get("data-key") for element in page.all("img")}
    assert {own.attributes["data-stand-in"] for own in page.all("details") if "data-of" in own.attributes} <= ids


def test_hostile_names_are_text_wherever_they_stand(house: Path, written: Writer) -> None:
    path = house / "tests" / "cases" / "hostile-names" / "job.toml"
    job, _ = read_job(path)
    folder = written(path)
    page = parsed(render(read_facts(folder, NOT_LOOKED_AT)))
    assert next(page.all("h1")).text == job.title
    cards = list(page.all("article"))
    assert [next(card.all("h3")).text for card in cards] == [wish.name for wish in job.drawers]
    plain = parsed(render(read_facts(written(house / "samples" / "first-drawer.toml"), NOT_LOOKED_AT)))
    for name in ("script", "style", "iframe", "object", "form", "link", "base"):
        assert len([*page.all(name)]) == len([*plain.all(name)])
    assert not [name for element in page.all() for name in element.attributes if name.startswith("on")]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (
            {"findings": (Finding("rapid-in-wood", "error", "programs/x.ngc", 12, "a rapid <b>runs</b> through wood"),)},
            "Do not cut: the check found 1 error",
        ),
        ({"judged": False}, "Do not cut: not everything in this packet could be judged"),
    ],
)
def test_a_packet_that_failed_says_so_at_its_head(drawer: PacketFacts, change: dict[str, object], told: str) -> None:
    page = parsed(render(replace(drawer, report=replace(drawer.report, **change))))  # type: ignore[arg-type]
    (verdict,) = (own for own in page.all("p") if "verdict" in own.attributes.get("class", ""))
    assert verdict.attributes["class"] == "verdict bad"
    assert told in verdict.text
    if "findings" in change:
        assert "a rapid <b>runs</b> through wood (programs/x.ngc, line 12; rapid-in-wood)" in page.text


def test_a_folder_that_is_no_packet_is_a_fault(tmp_path: Path) -> None:
    with pytest.raises(PacketFault, match=r"manifest\.json"):
        page_of(tmp_path, NOT_LOOKED_AT)


def test_without_pictures_and_plan_the_page_still_leads_through_the_work(written: Writer, samples: Path) -> None:
    folder = written(samples / "first-drawer.toml")
    (folder / "plan.json").unlink()
    page = parsed(render(read_facts(folder, NOT_LOOKED_AT)))
    assert len(steps_of(page)) > 15
    assert not list(page.all("img"))


def test_the_page_says_once_when_each_zero_is_set(sample: PacketFacts, sample_page: Element) -> None:
    """Each of the six kinds of setup has a work offset of its own in the dialects of the samples."""
    (told,) = [own.text for own in sample_page.all("p") if own.text.startswith("Zeros")]
    assert told.count("once, when its first setup comes") == 6
    for offset, kind in zip(
        range(54, 60), ("upright", "upright", "flat for an end", "flat for an end", *["flat for a groove"] * 2), strict=True
    ):
        assert f"G{offset} ({kind}, {'left' if offset % 2 == 0 else 'right'} stop) is set once" in told


def test_stock_and_rows_of_fronts_are_told_with_their_figures(sample: PacketFacts, sample_page: Element) -> None:
    words = sample_page.text
    assert sample.names.stock
    with told_in(sample.units):
        for stock in sample.names.stock:
            assert all(cell in words for cell in stock.cells)
    for row in sample.names.rows:
        assert ", ".join(f"{mark} ({name})" for mark, name in zip(row.fronts, row.drawers, strict=True)) in words


def test_bottoms_are_sawn_by_their_corners_words_and_drawings(sample: PacketFacts, sample_page: Element) -> None:
    (step,) = (one for one in sample_page.all("li", "section", "div", "article") if one.attributes.get("id") == "step-bottoms")
    for drawer in sample.names.drawers.values():
        assert f"{drawer.bottom_corners}." in step.text
    drawn = {image.attributes["src"] for image in step.all("img")}
    marks = {board.mark for drawer in sample.names.drawers.values() for board in drawer.boards if board.role == "bottom"}
    has_drawings = (sample.folder / "drawings" / "board-bottom-1.svg").is_file()
    assert len(drawn) == (len(marks) if has_drawings else 0)


def test_bottoms_that_programs_cut_are_sawn_square_before_and_tried_after(written: Writer, samples: Path, tmp_path: Path) -> None:
    job = (samples / "first-drawer.toml").read_text(encoding="utf-8")
    (tmp_path / "job.toml").write_text(job.replace("[[drawers]]", '[groove]\nbottom_corners = "machine"\n[[drawers]]'), encoding="utf-8")
    page = parsed(render(read_facts(written(tmp_path / "job.toml"), NOT_LOOKED_AT)))
    steps = {step.attributes["id"]: step.text for step in steps_of(page)}
    assert "Saw the bottoms too, square" in steps["step-stock"]
    assert "Try the bottoms" in steps["step-bottoms"]
    assert "cut its corners back" not in steps["step-bottoms"]
    cut = [text for name, text in steps.items() if "bottom-1-" in name]
    assert len(cut) == 2
    assert all("waste sheet" in text and "beyond the stop" in text and "thinner than the stop is high" in text for text in cut)


def test_what_nobody_read_off_a_cutter_is_asked_for_and_never_told_as_a_mark(page: Element) -> None:
    words = " ".join(page.text.split())
    assert "max_speed, shank, flutes and holder of cutters 1 and 2" in words
    assert "22000 rpm assumed" in words
    assert "rpm marked" not in words
