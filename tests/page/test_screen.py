"""The page on a screen, one step at a time: what is seen at three sizes, measured, and what is done by key, swipe and button."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, trial_work_of
from camtools.page.facts import read_facts
from camtools.page.index_page import render
from tests.page.conftest import NOT_LOOKED_AT, Open, Writer
from tests.page.contrast import LEAST, contrast

pytestmark = pytest.mark.browser

SIZES = [(1280, 900), (820, 1180), (390, 844)]  # a bench computer, a tablet and a telephone
TEXT_PX, CONTROL_PX, DONE_PX = 11.0, 44.0, 48.0

# What is wrong with what is seen: text too small, controls too small, things cut off at a side or by what they stand in.
# Beside that each text with its tone and that of its ground.
FAULTS = """([text, control, done]) => {
  const found = [], tones = [], numbers = (tone) => tone.match(/[\\d.]+/g).map(Number);
  const add = (fault, e) => found.push(fault + ": " + e.outerHTML.slice(0, 90));
  const hidden = ".unseen, .plot, script, caption, thead, [aria-hidden=true]";
  const seen = (e) => e.checkVisibility({ visibilityProperty: true }) && !e.closest(hidden);
  const modal = document.querySelector("dialog[open]");
  const pick = { acceptNode: (e) => seen(e) ? NodeFilter.FILTER_ACCEPT : NodeFilter.FILTER_REJECT };
  const walk = document.createTreeWalker(modal || document.body, NodeFilter.SHOW_ELEMENT, pick);
  while (walk.nextNode()) {
    const e = walk.currentNode, box = e.getBoundingClientRect(), svg = e.closest("svg"), style = getComputedStyle(e);
    const scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
    const words = [...e.childNodes].some((one) => one.nodeType === 3 && one.textContent.trim());
    const over = e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1;
    const works = e.matches("button, a[href], summary, select") || (e.matches("label:has(input)") && seen(e.querySelector("input")))
      || (e.matches("input") && !e.closest("label"));
    if (!e.closest("#large .body, .scrolls") && box.width && (box.left < -0.5 || box.right > innerWidth + 0.5)) add("beyond the side", e);
    if (words && parseFloat(style.fontSize) * scale < text) add("small text", e);
    if (words && !svg && !e.disabled) {
      let at = e, ground = [255, 255, 255, 0];
      for (; at && (ground[3] ?? 1) === 0; at = at.parentElement) ground = numbers(getComputedStyle(at).backgroundColor);
      tones.push([e.outerHTML.slice(0, 90), numbers(style.color), (ground[3] ?? 1) ? ground : [255, 255, 255]]);
    }
    if (words && !svg && style.display !== "inline" && over) add("text that overflows", e);
    if (e.matches("img[data-letters]")) {
      const scale = Math.min(box.width / e.getAttribute("width"), box.height / e.getAttribute("height"));
      if (scale * e.dataset.letters < text) add("small letters, " + (scale * e.dataset.letters).toFixed(1) + " px", e);
    }
    if (works && Math.min(box.width, box.height) < control - 0.1) add("small control", e);
  }
  const button = document.getElementById("done"), bar = button.getBoundingClientRect();
  if (Math.min(bar.width, bar.height) < done) add("small control", button);
  const there = document.elementFromPoint(bar.left + bar.width / 2, bar.top + bar.height / 2);
  if (!modal && !there.closest("#done")) add("covered", button);
  return [found, tones];
}"""

# The part of the work that is shown.
NOW = "(document.querySelector('.step.now') || document.querySelector('section.now') || document.querySelector('.now'))"

PARTS = "[document.getElementById('start'), ...document.querySelectorAll('main > section, .step')].map((one) => one.id)"


def go(tab: Any, part: str) -> None:
    tab.evaluate("(id) => { location.hash = id; }", part)
    tab.wait_for_function("(id) => document.getElementById(id).classList.contains('now')", arg=part)


def comes(tab: Any, part: str) -> None:
    """Wait until this is what is shown of the work: a browser tells the page of a followed link a little later."""
    tab.wait_for_function(f"(id) => {NOW}.id === id", arg=part)


def faults(tab: Any) -> list[str]:
    found, tones = tab.evaluate(FAULTS, [TEXT_PX, CONTROL_PX, DONE_PX])
    return [*found, *(f"pale: {told}" for told, ink, ground in tones if contrast(ink, ground) < LEAST)]


@pytest.fixture(scope="module")
def trial_file(samples: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    job, _ = read_job(samples / "first-drawer.toml")
    work = trial_work_of(job, dialect_of("mm"))
    folder = write_packet(tmp_path_factory.mktemp("trial") / "trial", files_of(work, without=("drawings", "templates")))
    path = folder / "index.html"
    path.write_bytes(render(read_facts(folder, NOT_LOOKED_AT)))
    return path


@pytest.fixture(scope="module")
def drawn_file(written: Writer, samples: Path) -> Path:
    folder = written(samples / "first-drawer.toml", without=("pictures", "templates"))
    path = folder / "index.html"
    path.write_bytes(render(read_facts(folder, NOT_LOOKED_AT)))
    return path


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_every_screen_is_whole_its_text_large_enough_and_its_controls_too(opened: Open, page_file: Path, width: int, height: int) -> None:
    tab = opened(page_file, width, height, at="")
    parts = tab.evaluate(PARTS)
    assert len(parts) > 30
    found = {}
    for part in parts:
        go(tab, part)
        found[part] = faults(tab)
        if tab.locator(".step.now .seen").count():
            picture = tab.locator(".step.now .seen img:visible").first.bounding_box()
            shown = tab.locator("main").bounding_box()
            assert shown["y"] <= picture["y"]
            assert picture["y"] + picture["height"] <= shown["y"] + shown["height"], part
            assert picture["width"] > 0.58 * width
    tab.locator("#list-all").click()
    found["list"] = faults(tab)
    assert {part: own for part, own in found.items() if own} == {}


def test_drawings_and_trial_steps_are_shown_with_letters_that_can_be_read(opened: Open, drawn_file: Path, trial_file: Path) -> None:
    for path, least in ((drawn_file, 4), (trial_file, 4)):
        tab = opened(path, at="")
        steps = [
            step.get_attribute("id") for step in tab.locator(".step[data-where=bench]:has(.seen), .step[data-where=ready]:has(.seen)").all()
        ]
        assert len(steps) >= least
        for width, height in SIZES:
            tab.set_viewport_size({"width": width, "height": height})
            for step in steps:
                go(tab, step)
                assert tab.locator(".step.now .seen img:visible").count() > 0
                assert faults(tab) == []


def test_more_of_a_step_and_its_views_are_whole_too(opened: Open, page_file: Path) -> None:
    tab = opened(page_file, at="")
    step = tab.locator(".step[data-where=machine]").first.get_attribute("id")
    go(tab, step)
    more = tab.locator(".step.now .more")
    for width, height in SIZES:
        tab.set_viewport_size({"width": width, "height": height})
        tab.get_by_role("button", name="More about this step").click()
        assert more.is_visible()
        assert faults(tab) == []
        tab.locator(".step.now").get_by_role("button", name="Back to the step").click()
        assert more.is_hidden()
    tab.get_by_role("button", name="Watch the cutter move").click()
    tab.locator(".step.now .stage[data-ready=view]").first.wait_for(state="attached")
    assert faults(tab) == []
    tab.locator(".step.now .turned").press("ArrowRight")  # turns the view, and does not go on
    comes(tab, step)
    tab.keyboard.press("Escape")
    assert more.is_hidden()
    tab.wait_for_function("document.querySelectorAll('canvas').length === 0")


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_a_tap_enlarges_a_picture(opened: Open, page_file: Path, width: int, height: int) -> None:
    tab = opened(page_file, width, height, at="")
    steps = {step.get_attribute("id"): step.locator(".seen img") for step in tab.locator(".step[data-where=machine]").all()}
    kinds = {tuple(picture.first.get_attribute(side) for side in ("width", "height")): step for step, picture in steps.items()}
    for step in kinds.values():
        go(tab, step)
        picture = tab.locator(".step.now .seen img:visible").first
        before = picture.bounding_box()["width"]
        picture.click()
        large = tab.locator("#large img")
        shown = large.bounding_box()["width"]
        assert shown >= 0.99 * before
        assert faults(tab) == []
        tab.locator("#large").get_by_role("button", name="Larger").click()
        assert large.bounding_box()["width"] == pytest.approx(1.25 * shown, rel=1e-3)
        tab.keyboard.press("Escape")
    assert tab.locator("#large").is_hidden()


# Presses the button until all is done, and tells each time where one is, what the button says, and what is ticked.
PRESSED = f"""() => {{
  const told = [], ticked = () => [...document.querySelectorAll("input[data-tick]:checked")].map((one) => one.dataset.tick);
  const button = document.getElementById("done"), progress = document.getElementById("progress");
  for (let n = 0; n < 500; n++) {{
    told.push([{NOW}.id, button.textContent, document.getElementById("which").textContent, ticked(), progress.value]);
    if (n && {NOW}.id === "start") break;
    button.click();
  }}
  return told;
}}"""


def test_done_ticks_one_thing_after_the_other_then_the_step_and_goes_on(opened: Open, page_file: Path) -> None:
    tab = opened(page_file, *SIZES[0], at="")
    told = tab.evaluate(PRESSED)
    assert [(part, words) for part, words, *_ in told[:2]] == [("start", "Begin"), ("safety", "I have read this")]
    assert told[-1][:2] == ["start", "All done"]
    assert "all done" in tab.locator("#place").inner_text()
    steps = [step.get_attribute("id").removeprefix("step-") for step in tab.locator(".step").all()]
    assert list(dict.fromkeys(part.removeprefix("step-") for part, *_ in told[2:-1])) == steps
    for (part, words, which, before, done), (_, _, _, after, _) in pairwise(told[2:]):
        key, made = part.removeprefix("step-"), [tick for tick in after if tick not in before]
        ticks = tab.locator(f"#{part} .boxes input").count()
        own = [tick for tick in made if tick != key]
        if ticks:
            assert own == [f"{key} {len([tick for tick in before if tick.startswith(f'{key} ')]) + 1}"]
            assert which.startswith(f"Next, {own[0].split()[-1]} of {ticks}: ")
        assert (key in made) is (not ticks or own == [f"{key} {ticks}"])
        assert (words, done) == ("Done", steps.index(key))


def test_it_stands_at_the_first_step_that_is_not_done_when_it_is_opened_again(opened: Open, page_file: Path, tmp_path: Path) -> None:
    tab = opened(page_file, *SIZES[2], at="")
    comes(tab, "start")
    for _ in range(4):
        tab.locator("#done").click()
    first, second = tab.evaluate(
        "[...document.querySelectorAll('.step')].filter((one) => !one.querySelector('h4 input').checked).slice(0, 2).map((one) => one.id)"
    )
    tab.locator("#forward").click()
    comes(tab, second)
    tab.reload()
    comes(tab, first)
    other = tmp_path / "index.html"  # another packet starts anew
    other.write_bytes(page_file.read_bytes().replace(b"data-packet=", b"data-packet='other' data-was=", 1))
    tab.goto(other.as_uri())
    comes(tab, "start")
    assert tab.locator(".step input:checked").count() == 0


def test_where_the_browser_keeps_no_store_steps_are_done_all_the_same(opened: Open, page_file: Path) -> None:
    tab = opened(page_file, *SIZES[0], at="")
    tab.add_init_script("Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('refused', 'SecurityError'); } });")
    tab.reload()
    for _ in range(3):
        tab.locator("#done").click()
    assert tab.locator(".step h4 input").first.is_checked()
    assert "1 of" not in tab.locator("#place").inner_text().partition("·")[2]
    tab.locator("#back").click()
    tab.locator("#back").click()
    assert tab.locator("#done").inner_text() == "Go on"  # the cautions are still known as read


def test_keys_buttons_and_swipes_go_on_and_back(opened: Open, page_file: Path) -> None:
    tab = opened(page_file, *SIZES[2], at="", has_touch=True)
    order = ["start", "safety", *(step.get_attribute("id") for step in tab.locator(".step").all())]
    touch = tab.context.new_cdp_session(tab)

    def swipe(start: int, end: int, down: int = 0) -> None:
        touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": start, "y": 300}]})
        touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": end, "y": 300 + down}]})
        touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    ways = [
        (1, lambda: tab.keyboard.press("ArrowRight")),
        (2, lambda: tab.keyboard.press("ArrowRight")),
        (1, lambda: tab.keyboard.press("ArrowLeft")),
        (2, lambda: tab.locator("#forward").click()),
        (1, lambda: tab.locator("#back").click()),
        (2, lambda: swipe(300, 120)),
        (1, lambda: swipe(120, 300)),
        (1, lambda: swipe(300, 280)),  # a tap that slipped
        (0, lambda: tab.go_back()),
    ]
    for place, act in ways:
        act()
        if place:
            comes(tab, order[place])
    go(tab, order[2])
    tab.keyboard.press("Enter")
    assert tab.locator(f"#{order[2]} h4 input").is_checked()
    assert tab.evaluate("document.activeElement.tagName") == "H4"  # so that a screen reader reads what is new


def test_cautions_are_a_screen_to_acknowledge_and_no_wall(opened: Open, page_file: Path) -> None:
    tab = opened(page_file, *SIZES[0], at="")
    machine = tab.locator(".step[data-where=machine]").first
    go(tab, machine.get_attribute("id"))
    asked = machine.get_by_role("link", name="Read the cautions first")
    assert asked.is_visible()
    short = machine.locator("details.caution").first
    assert short.locator("p").is_hidden()
    short.locator("summary").click()
    assert short.locator("p").is_visible()
    asked.click()
    comes(tab, "safety")
    tab.locator("#done").click()
    go(tab, machine.get_attribute("id"))
    assert asked.is_hidden()


def test_the_piece_fills_with_colour_as_its_drawers_get_done(opened: Open, page_file: Path) -> None:
    tab = opened(page_file, *SIZES[0], at="")
    piece, words = tab.locator("#piece"), tab.locator(".drawers .how-far")
    made = tab.locator("#piece .made").first
    assert made.bounding_box()["height"] < 1
    assert words.inner_text() == "to do"
    ids = [step.get_attribute("data-drawers") for step in tab.locator(".step").all()]
    count = sum(bool(own) for own in ids)
    assert count > 10
    for place, own in enumerate(ids):
        if own:
            tab.evaluate("(place) => document.querySelectorAll('.step h4 input')[place].click()", place)
            break
    assert words.inner_text() == f"1 of {count} steps"
    assert words.inner_text() in piece.get_attribute("aria-label")
    tab.evaluate("document.querySelectorAll('.step h4 input:not(:checked)').forEach((one) => one.click())")
    assert words.inner_text() == "done ✓"
    assert made.bounding_box()["height"] == pytest.approx(tab.locator("#piece .front").first.bounding_box()["height"], rel=0.05)


def test_the_list_leads_to_every_step_and_to_what_is_looked_up(opened: Open, page_file: Path) -> None:
    tab = opened(page_file, *SIZES[1], at="")
    parts = set(tab.evaluate(PARTS))
    go(tab, "step-stock")
    tab.locator("#list-all").press("Enter")
    assert tab.locator("#list [aria-current=step]").inner_text() == "1. Prepare the stock"
    links = {link.get_attribute("href").removeprefix("#") for link in tab.locator("#list a").all()}
    assert links == parts | {"all"}
    tab.keyboard.press("Escape")
    assert tab.evaluate("document.activeElement.id") == "list-all"
    tab.locator("#list-all").click()
    tab.locator("#list").get_by_role("link", name="Cut list").click()
    comes(tab, "board_by_board")
    tab.locator("#done").click()
    comes(tab, "step-stock")
    tab.locator("#list-all").click()
    tab.get_by_role("link", name="All on one page").click()
    tab.wait_for_function("[...document.querySelectorAll('.step')].every((one) => one.checkVisibility())")
    tab.get_by_role("link", name="One step at a time").click()
    comes(tab, "step-stock")


def test_a_screen_reader_is_told_where_one_is_and_what_each_thing_does(opened: Open, page_file: Path) -> None:
    tab = opened(page_file, *SIZES[0], at="")
    go(tab, tab.locator(".step[data-where=machine]").first.get_attribute("id"))
    nodes = tab.context.new_cdp_session(tab).send("Accessibility.getFullAXTree")["nodes"]
    named: dict[str, list[str]] = {}
    for node in nodes:
        if not node.get("ignored"):
            named.setdefault(node["role"]["value"], []).append(str(node.get("name", {}).get("value", "")).strip())
    for role in ("button", "checkbox", "heading", "link", "progressbar", "region", "DisclosureTriangle"):
        assert named.get(role), role
        assert all(named[role]), (role, named[role])
    assert len(named["heading"]) == 1  # what is not shown is not read
    assert any(name.startswith("Enlarge: ") for name in named["button"])


def test_the_page_of_trial_joints_is_shown_the_same_way(opened: Open, trial_file: Path) -> None:
    tab = opened(trial_file, *SIZES[2], at="")
    assert tab.locator("#done").inner_text() == "Begin"
    found = {}
    for part in tab.evaluate(PARTS):
        go(tab, part)
        found[part] = faults(tab)
    assert len(found) > 15
    assert {part: own for part, own in found.items() if own} == {}
