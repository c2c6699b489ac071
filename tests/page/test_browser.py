"""The page as one long form in a real browser, from disk, with the network off."""

from __future__ import annotations

import math
import re
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from benchmarks.opening import another, work_seconds
from camtools.job import read_job
from camtools.page.facts import PacketFacts, read_facts
from camtools.page.index_page import page_of, render
from camtools.page.page_pdf import pdf_of
from camtools.page.steps.order_of_work import order_of_work
from camtools.verify.checking import check_fully
from tests.page.conftest import NOT_LOOKED_AT, WAIT_MS, Open, Writer
from tests.page.contrast import LEAST, contrast
from tests.page.papers import A4_PT, images_on, letters_mm, reader, torn_steps, words_of

pytestmark = pytest.mark.browser

MOST_SHEETS, FOOTER_LETTERS = 24, 200
SMALLEST_PRINT_MM = 1.8  # size of letters; the page's own words are 8.4 points, which are 3 mm
SMALLEST_TEXT_PX = 11.5  # 9 pt of a printed page


def show(tab: Any, selector: str, state: str = "view") -> Any:
    """Open a view and wait until it is drawn."""
    details = tab.locator(selector).first
    details.locator("summary").click()
    details.locator(f".stage[data-ready={state}]").wait_for(state="attached")
    return details


def see_all_pictures(tab: Any) -> None:
    """Wait until pictures are unpacked and drawn."""
    tab.wait_for_function("[...document.images].every((one) => one.complete && one.naturalWidth > 0)")


def tip(details: Any) -> list[float]:
    return [float(value) for value in details.locator(".stage").get_attribute("data-tip").split()]


def test_it_opens_from_disk_without_a_network_or_a_complaint(opened: Open, page_file: Path) -> None:
    tab = opened(page_file)
    see_all_pictures(tab)
    assert tab.title() == "First drawer — shop packet"
    assert tab.locator("h2").all_inner_texts()[0] == "Safety first"


def test_the_page_alone_shows_every_picture(opened: Open, page_file: Path, drawer: PacketFacts, tmp_path: Path) -> None:
    alone = tmp_path / "alone.html"
    alone.write_bytes(page_file.read_bytes())
    tab = opened(alone)
    see_all_pictures(tab)
    assert tab.locator("img[data-from]").count() == len(drawer.setups)  # plots
    assert tab.locator(".step img[src^='data:image/svg']").count() == len(drawer.loadings)


def test_the_browser_itself_lets_no_request_leave_the_page(chromium: Any, page_file: Path) -> None:
    """Content Security Policy Level 3 (W3C): a request that the page's own policy refuses is told as an event, and never made."""
    with closing(chromium.new_context()) as context:
        tab = context.new_page()
        tab.goto(page_file.resolve().as_uri())
        refused = tab.evaluate(
            """() => Promise.all(["connect-src", "img-src", "script-src-elem"].map((kind) => new Promise((found) => {
                setTimeout(() => found("nothing was refused"), 5000);
                document.addEventListener("securitypolicyviolation", (event) => { if (event.effectiveDirective === kind) found(kind); });
                if (kind === "connect-src") fetch("https://outside.invalid/").catch(() => {});
                else document.body.appendChild(document.createElement(kind === "img-src" ? "img" : "script")).src = "https://outside.invalid/";
            })))"""
        )
        assert refused == ["connect-src", "img-src", "script-src-elem"]


def test_a_page_that_is_printed_in_the_moment_of_its_opening_has_its_pictures(
    opened: Open, page_file: Path, drawer: PacketFacts, tmp_path: Path
) -> None:
    alone = tmp_path / "alone.html"
    alone.write_bytes(page_file.read_bytes())
    assert words_of(opened(alone, at="").pdf()).count("You stand here") == sum(len(own.setups) for own in drawer.loadings)


def test_without_a_script_the_whole_page_is_read_with_its_pictures(chromium: Any, page_file: Path, drawer: PacketFacts) -> None:
    with closing(chromium.new_context(java_script_enabled=False, offline=True)) as context:
        tab = context.new_page()
        tab.goto(page_file.resolve().as_uri())
        last = tab.locator("figure noscript img").last
        last.scroll_into_view_if_needed()
        assert last.bounding_box()["width"] > 300
        assert tab.locator(".step").count() == tab.locator(".step:visible").count() > len(drawer.setups)


def test_a_view_is_turned_and_brought_nearer_by_keys_and_buttons(opened: Open, page_file: Path) -> None:
    details = show(opened(page_file), "details[data-of=drawer]")
    whole, plot = details.locator(".turned"), details.locator(".plot")

    def eye() -> tuple[float, float, float]:
        """How far the eye has gone round, how high it stands, in degrees, and how far away it is."""
        x, y, z = plot.evaluate("(plot) => Object.values(plot._fullLayout.scene.camera.eye)")
        away = math.dist((x, y, z), (0, 0, 0))
        return math.degrees(math.atan2(y, x)), math.degrees(math.asin(z / away)), away

    at_first = eye()
    whole.focus()
    for key, change in {"ArrowLeft": (-15, 0, 1), "ArrowUp": (0, 15, 1), "+": (0, 0, 1 / 1.25), "ArrowRight": (15, 0, 1)}.items():
        before = eye()
        whole.press(key)
        assert eye() == pytest.approx((before[0] + change[0], before[1] + change[1], before[2] * change[2]), rel=1e-6)
    for _ in range(20):
        whole.press("ArrowDown")
    assert eye()[1] == pytest.approx(-85)
    details.get_by_role("button", name="As at first").click()
    assert eye() == pytest.approx(at_first)
    assert details.get_by_role("status").inner_text() == "As at first"
    details.get_by_role("button", name="Further away").press("Enter")
    assert eye()[2] == pytest.approx(at_first[2] * 1.25)


def test_the_slider_moves_the_cutter_along_its_program(opened: Open, page_file: Path, drawer: PacketFacts) -> None:
    program = drawer.programs[0]
    details = show(opened(page_file), f"details[data-key='{program.stem}']")
    bar = details.locator("input[type=range]")
    moving = [motion for motion in program.run.motions if motion.start != motion.end]
    assert tip(details) == pytest.approx(moving[0].start, abs=0.002)
    bar.focus()
    seen = [tip(details)]
    for _ in range(5):
        bar.press("PageUp")
        seen.append(tip(details))
    assert len({tuple(place) for place in seen}) == 6
    bar.press("End")
    assert tip(details) == pytest.approx(moving[-1].end, abs=0.002)
    assert program.text.splitlines()[moving[-1].line - 1] in details.locator(".readout").inner_text()
    assert f"line {moving[-1].line}" in bar.get_attribute("aria-valuetext")
    lowest = details.locator(".plot").evaluate(
        "(plot) => { const c = plot.data.find((t) => t.name === 'cutter'); return Math.min(...c.z); }"
    )
    assert lowest == pytest.approx(moving[-1].end[2], abs=0.002)
    bar.press("Home")
    assert tip(details) == pytest.approx(moving[0].start, abs=0.002)


def test_the_board_is_carved_as_the_cutter_moves(opened: Open, page_file: Path, drawer: PacketFacts) -> None:
    details = show(opened(page_file), f"details[data-key='{drawer.programs[0].stem}']")
    bar, plot = details.locator("input[type=range]"), details.locator(".plot")
    bar.focus()
    left = []
    for key in ("Home", "PageUp", "PageUp", "PageUp", "PageUp", "End", "Home"):
        bar.press(key)
        left.append(plot.evaluate("(plot) => plot.data.find((trace) => trace.name === 'to be cut').i.length"))
    assert left[:-1] == sorted(left[:-1], reverse=True)
    assert len(set(left[:-1])) > 3
    assert left[-2] == 0
    assert left[-1] == left[0]


def test_play_moves_the_cutter_to_the_end_by_itself(opened: Open, page_file: Path, drawer: PacketFacts) -> None:
    longest = max(drawer.programs, key=lambda program: program.entry.seconds)
    details = show(opened(page_file), f"details[data-key='{longest.stem}']")
    first = tip(details)
    button = details.locator(".controls button")
    button.click()
    assert button.inner_text() == "Pause"
    details.page.wait_for_function(
        "([e, first]) => e.dataset.tip !== first", arg=[details.locator(".stage").element_handle(), " ".join(f"{v:.3f}" for v in first)]
    )
    button.click()
    assert button.inner_text() == "Play"


# Where the places of the feed lie on the screen, by the camera that drew them, each with what is to be told of it.
ON_SCREEN = """(plot) => {
  const scene = plot._fullLayout.scene._scene, camera = scene.glplot.cameraParams, scale = scene.dataScale;
  const feed = plot.data.find((trace) => trace.name === "feed in wood"), box = scene.container.getBoundingClientRect();
  const seen = (m, v) => [0, 1, 2, 3].map((i) => m[i] * v[0] + m[4 + i] * v[1] + m[8 + i] * v[2] + m[12 + i] * v[3]);
  return feed.x.map((x, n) => {
    if (x === null) return null;
    let place = [x * scale[0], feed.y[n] * scale[1], feed.z[n] * scale[2], 1];
    for (const part of ["model", "view", "projection"]) place = seen(camera[part], place);
    return [box.left + (place[0] / place[3] + 1) / 2 * box.width, box.top + (1 - place[1] / place[3]) / 2 * box.height];
  }).filter((place) => place);
}"""


def test_a_move_under_the_pointer_tells_line_feed_and_length(opened: Open, page_file: Path, drawer: PacketFacts) -> None:
    program = next(program for program in drawer.programs if "groove" in program.stem)
    tab = opened(page_file)
    details = show(tab, f"details[data-key='{program.stem}']")
    plot = details.locator(".plot")
    details.locator("input[type=range]").press("End")  # before that wood hides the way through it
    plot.scroll_into_view_if_needed()
    tab.wait_for_timeout(500)
    told = ""
    for x, y in plot.evaluate(ON_SCREEN)[::5]:
        tab.mouse.move(x - 2, y - 2)
        tab.mouse.move(x, y)
        tab.wait_for_timeout(700)
        told = " ".join(" ".join(plot.locator(".hovertext").all_text_contents()).split())
        if told:
            break
    found = re.search(r"line (\d+) ?feed ([\d.]+) mm/min ?length ([\d.]+) mm", told)
    assert found, told
    (motion,) = (motion for motion in program.run.motions if motion.line == int(found[1]))
    assert float(found[2]) == pytest.approx(motion.feed_mm_min, abs=0.1)
    assert float(found[3]) == pytest.approx(math.dist(motion.start, motion.end), abs=0.01)


def test_the_slider_pulls_the_joints_apart(opened: Open, page_file: Path, drawer: PacketFacts) -> None:
    (entry,) = drawer.manifest.drawers
    details = show(opened(page_file), f"details[data-key='{entry.id}']")
    reach = """(plot) => Object.fromEntries(["front", "left", "right"].map((name) => {
        const x = plot.data.find((trace) => trace.name === name).x; return [name, [Math.min(...x), Math.max(...x)]]; }))"""
    plot, bar = details.locator(".plot"), details.locator("input[type=range]")
    home = plot.evaluate(reach)
    assert home["left"][0] == pytest.approx(0.0, abs=0.05)
    assert home["right"][1] == pytest.approx(entry.outside[0], abs=0.05)
    bar.focus()
    bar.press("End")
    apart = float(details.locator(".stage").get_attribute("data-apart"))
    assert apart > 2 * drawer.boards[entry.parts.left].size[2]
    pulled = plot.evaluate(reach)
    assert pulled["front"] == home["front"]
    assert pulled["left"] == pytest.approx([value - apart for value in home["left"]], abs=0.01)
    assert pulled["right"] == pytest.approx([value + apart for value in home["right"]], abs=0.01)
    assert f"{apart:.1f} mm" in details.locator(".readout").inner_text()
    bar.press("Home")
    assert plot.evaluate(reach) == home


def test_a_view_that_is_shut_is_given_up_and_can_be_opened_again(opened: Open, page_file: Path) -> None:
    tab = opened(page_file)
    for _ in range(2):
        details = show(tab, "details.view")
        assert details.locator("canvas").count() > 0
        details.locator("summary").click()
        tab.wait_for_function("document.querySelectorAll('details.view canvas').length === 0")


def test_ticks_stay_when_the_page_is_opened_again(opened: Open, page_file: Path) -> None:
    tab = opened(page_file)
    boxes = tab.locator("input[data-tick]")
    for place in (0, 2, boxes.count() - 1):
        boxes.nth(place).check()
    boxes.nth(2).uncheck()
    tab.reload()
    ticked = [place for place in range(boxes.count()) if boxes.nth(place).is_checked()]
    assert ticked == [0, boxes.count() - 1]


def test_ticks_of_one_packet_are_not_those_of_another(opened: Open, page_file: Path, drawer: PacketFacts, tmp_path: Path) -> None:
    tab = opened(page_file)
    tab.locator("input[data-tick]").first.check()
    other = tmp_path / "index.html"
    other.write_bytes(page_file.read_bytes().replace(b"data-packet=", b"data-packet='other' data-was=", 1))
    tab.goto(other.as_uri())
    tab.wait_for_load_state()
    assert not tab.locator("input[data-tick]").first.is_checked()


def test_paper_from_the_browser_has_every_picture_whole(opened: Open, page_file: Path, drawer: PacketFacts) -> None:
    tab = opened(page_file)
    see_all_pictures(tab)
    shown = sorted(
        tab.evaluate(
            "[...document.images].filter((one) => one.src.startsWith('data:image/png') && !one.closest('.off-paper'))"
            ".map((one) => [one.naturalWidth, one.naturalHeight])"
        )
    )
    content = tab.pdf(format="A4", prefer_css_page_size=True, print_background=True)
    pictures = images_on(content)
    assert sorted(list(picture.pixels) for picture in pictures) == shown
    for picture in pictures:
        assert min(picture.low) > 0
        assert picture.high[0] < A4_PT[0]
        assert picture.high[1] < A4_PT[1]
        wide, high = (b - a for a, b in zip(picture.low, picture.high, strict=True))
        assert wide / high == pytest.approx(picture.pixels[0] / picture.pixels[1], rel=0.02)
    words = words_of(content)
    assert words.count("You stand here") == sum(len(own.setups) for own in drawer.loadings)  # pictures of lines and words
    assert "rapid traverse" not in words  # of plots of motion, which paper leaves out
    assert "standard tail" in words  # what is folded away on the screen
    assert "Watch the cutter move" not in words


@pytest.mark.parametrize("width", [390, 1000])
def test_it_is_read_without_scrolling_sideways_or_a_glass(opened: Open, page_file: Path, width: int) -> None:
    tab = opened(page_file, width, 844)
    see_all_pictures(tab)
    show(tab, "#step-" + tab.locator("details[data-of=motion]").first.get_attribute("data-key") + " details.view")
    assert tab.evaluate("document.documentElement.scrollWidth") <= width
    outside = tab.evaluate(
        """(width) => [...document.querySelectorAll("main *, header *, nav *, footer *")]
            .filter((e) => !e.closest(".plot") && !["CAPTION", "THEAD"].includes(e.tagName) && !e.closest("thead"))
            .filter((e) => { const box = e.getBoundingClientRect(); return box.width && (box.right > width + 0.5 || box.left < -0.5); })
            .map((e) => e.outerHTML.slice(0, 80))""",
        width,
    )
    assert outside == []
    sizes = tab.evaluate(
        """() => { const found = []; const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
            while (walk.nextNode()) { const e = walk.currentNode.parentElement;
              if (!walk.currentNode.textContent.trim() || !e.checkVisibility() || e.closest("script, .plot")) continue;
              found.push(parseFloat(getComputedStyle(e).fontSize)); }
            return found; }"""
    )
    assert len(sizes) > 100
    assert min(sizes) >= SMALLEST_TEXT_PX


def test_contrast_is_reckoned_as_published() -> None:
    """Black on white is 21:1 by definition; #767676 on white is the palest grey that passes 4.5:1 (WCAG 2.1, understanding 1.4.3)."""
    assert contrast([0, 0, 0], [255, 255, 255]) == pytest.approx(21.0)
    assert contrast([0x76] * 3, [255] * 3) == pytest.approx(4.54, abs=0.01)
    assert contrast([0x77] * 3, [255] * 3) < 4.5


def test_all_text_stands_out_from_its_ground(opened: Open, page_file: Path) -> None:
    """WCAG 2.1, success criterion 1.4.3: at least 4.5:1; ticked steps, warnings and badges included."""
    tab = opened(page_file)
    for place in range(0, tab.locator("input[data-tick]").count(), 2):
        tab.locator("input[data-tick]").nth(place).check()
    show(tab, "details.view")
    found = tab.evaluate(
        """() => { const found = []; const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
            const numbers = (text) => text.match(/[\\d.]+/g).map(Number);
            while (walk.nextNode()) { const e = walk.currentNode.parentElement;
              if (!walk.currentNode.textContent.trim() || !e.checkVisibility() || e.closest("script, .plot")) continue;
              let ground = e;
              while (ground && (numbers(getComputedStyle(ground).backgroundColor)[3] ?? 1) === 0) ground = ground.parentElement;
              const paper = ground ? numbers(getComputedStyle(ground).backgroundColor) : [255, 255, 255];
              found.push([walk.currentNode.textContent.slice(0, 40), numbers(getComputedStyle(e).color), paper]); }
            return found; }"""
    )
    assert len(found) > 300
    assert len({tuple(paper) for _, _, paper in found}) >= 3
    assert [(words, ink, paper) for words, ink, paper in found if contrast(ink, paper) < LEAST] == []


def test_all_of_it_is_done_from_the_keyboard_and_shows_where_one_is(opened: Open, page_file: Path) -> None:
    tab = opened(page_file)
    seen: list[str] = []
    for place in range(40):
        tab.keyboard.press("Tab")
        what = tab.evaluate("""() => { const e = document.activeElement, style = getComputedStyle(e);
            return [e.tagName, e.textContent.trim().slice(0, 30), parseFloat(style.outlineWidth), style.outlineStyle]; }""")
        if place == 0:
            assert what[1] == "Skip to the page's content"
        assert what[2] >= 2, what
        assert what[3] == "solid"
        seen.append(what[0])
    assert {"A", "SUMMARY", "INPUT"} <= set(seen)
    box = tab.locator("input[data-tick]").first
    box.focus()
    tab.keyboard.press("Space")
    assert box.is_checked()
    summary = tab.locator("details.view summary").first
    summary.focus()
    tab.keyboard.press("Enter")
    tab.locator("details.view .stage[data-ready=view]").first.wait_for(state="attached")
    tab.locator(".skip").focus()
    tab.keyboard.press("Enter")
    assert tab.evaluate("document.activeElement.id") == "content"


def test_a_screen_reader_is_told_what_everything_is(opened: Open, page_file: Path) -> None:
    """Whatever can be worked or looked at has a name in the tree that the browser gives to screen readers."""
    tab = opened(page_file)
    show(tab, "details.view")
    nodes = tab.context.new_cdp_session(tab).send("Accessibility.getFullAXTree")["nodes"]
    named: dict[str, list[str]] = {}
    for node in nodes:
        if not node.get("ignored"):
            named.setdefault(node["role"]["value"], []).append(str(node.get("name", {}).get("value", "")).strip())
    for role in ("checkbox", "slider", "link", "button", "heading", "table", "DisclosureTriangle"):
        assert all(named.get(role, [])), role
    assert len(named["checkbox"]) > 15
    assert named["slider"]
    assert len(named["table"]) >= 5
    pictures = named.get("image", []) + named.get("img", [])
    assert len(pictures) > 20
    assert all(pictures)
    assert {"main", "navigation", "banner", "contentinfo"} <= set(named)


def test_where_nothing_can_be_drawn_in_three_dimensions_a_picture_stands_in(chromium: Any, page_file: Path, drawer: PacketFacts) -> None:
    with closing(another(chromium, "--disable-3d-apis")) as blind:
        tab = blind.new_context(offline=True).new_page()
        tab.set_default_timeout(WAIT_MS)
        errors: list[str] = []
        tab.on("pageerror", lambda error: errors.append(str(error)))
        tab.goto(page_file.resolve().as_uri() + "#all")
        for name in (drawer.manifest.drawers[0].id, drawer.programs[0].stem):
            details = show(tab, f"details[data-key='{name}']", "picture")
            tab.wait_for_function("(e) => e.complete && e.naturalWidth > 300", arg=details.locator(".stage img").element_handle())
            assert len(details.locator(".stage img").get_attribute("alt")) > 15
        assert errors == []


def test_hostile_names_are_shown_as_text_and_nothing_runs(opened: Open, house: Path, written: Writer) -> None:
    path = house / "tests" / "cases" / "hostile-names" / "job.toml"
    job, _ = read_job(path)
    folder = written(path)
    path = folder / "index.html"
    path.write_bytes(page_of(folder, check_fully(folder, jobs=1)))
    tab = opened(path)
    assert tab.locator("h1").text_content() == job.title
    assert tab.locator(".card h3").all_text_contents() == [wish.name for wish in job.drawers]
    script = next(place for place, wish in enumerate(job.drawers) if "<script>" in wish.name)
    assert "<script>alert(1)</script>" in tab.locator(".card").nth(script).inner_text()
    details = show(tab, f"details[data-of=drawer] >> nth={script}")
    assert "<script>alert(1)</script>" in details.locator("summary").inner_text()
    tab.wait_for_timeout(300)


@pytest.fixture(scope="module")
def chest(written: Writer, samples: Path) -> PacketFacts:
    """Return the specimen chest with all that its page shows, carved."""
    folder = written(samples / "specimen-chest.toml", without=("templates",))
    return read_facts(folder, check_fully(folder))


def test_the_specimen_chest_is_small_and_opens_at_once(chromium: Any, chest: PacketFacts) -> None:
    """At most 6 MB with all its pictures, read in 1 s of one processor; how long it takes to make is what ``make bench`` prints."""
    path = chest.folder / "index.html"
    path.write_bytes(render(chest))
    assert path.stat().st_size < 6e6
    assert 0 < work_seconds(path, chromium) < 1.0


def test_the_specimen_chest_prints_on_24_sheets_and_tears_no_step(opened: Open, chest: PacketFacts) -> None:
    path = chest.folder / "index.html"
    path.write_bytes(render(chest))
    tab = opened(path)
    see_all_pictures(tab)
    steps = [step for part in order_of_work(chest) for step in part.steps]
    for content in (tab.pdf(prefer_css_page_size=True, print_background=True), pdf_of(chest)):
        sheets = [" ".join(page.extract_text().split()) for page in reader(content).pages]
        assert len(sheets) <= MOST_SHEETS
        assert min(map(len, sheets)) > FOOTER_LETTERS
        assert torn_steps(content, steps) == []
        letters = letters_mm(content, "clamp")  # in pictures of setups, of the smallest size
        assert len(letters) > 2 * len(chest.loadings)
        assert min(letters) > SMALLEST_PRINT_MM


def test_a_page_without_pictures_or_boards_opens_too(opened: Open, written: Writer, samples: Path) -> None:
    folder = written(samples / "first-drawer.toml")
    path = folder / "index.html"
    path.write_bytes(render(read_facts(folder, NOT_LOOKED_AT)))
    details = show(opened(path), "details[data-of=motion]")
    assert details.locator("canvas").count() > 0
