"""The page of a piece in a real browser: what a maker does there, with mouse, keyboard and finger."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from benchmarks.opening import browser
from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.sections import files_of, work_of

pytestmark = pytest.mark.browser

WAIT_MS = 15_000  # a busy machine is no failure
PACKET_MS = 600_000
LEAST_CONTROL_PX, LEAST_LETTER_PX = 44, 11
Open = Callable[..., Any]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with browser() as running:
        yield running


class Server:
    """``camtools setout`` in a folder of its own."""

    def __init__(self, folder: Path, job: str = "") -> None:
        command = [sys.executable, "-m", "camtools", "setout", "--no-browser", *([job] if job else [])]
        here = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
        self.process = subprocess.Popen(command, cwd=folder, env=here, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        assert self.process.stdout is not None
        self.address = self.process.stdout.readline().strip()

    def end(self, how: signal.Signals = signal.SIGINT) -> None:
        self.process.send_signal(how)
        self.process.communicate(timeout=60)


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Callable[..., Server]]:
    """Return what starts the server in the test's own folder."""
    started: list[Server] = []

    def start(job: str = "") -> Server:
        started.append(Server(tmp_path, job))
        return started[-1]

    yield start
    for server in started:
        if server.process.poll() is None:
            server.end(signal.SIGKILL)


@pytest.fixture
def window(chromium: Any) -> Iterator[Open]:
    """Return what opens a page; what it complains of, or asks of anybody else, fails the test."""
    complaints: list[str] = []
    contexts: list[Any] = []

    def open_page(address: str, width: int = 1280, height: int = 900, *, touch: bool = False) -> Any:
        context = chromium.new_context(viewport={"width": width, "height": height}, has_touch=touch)
        contexts.append(context)
        tab = context.new_page()
        tab.set_default_timeout(WAIT_MS)
        host = address.split("/")[2]
        tab.on("pageerror", lambda error: complaints.append(str(error)))
        tab.on(
            "request", lambda request: complaints.append(request.url) if host not in request.url and "data:" not in request.url else None
        )
        tab.goto(address)
        return tab

    yield open_page
    for context in contexts:
        context.close()
    assert complaints == []


def _wait() -> Any:
    from playwright.sync_api import expect

    expect.set_options(timeout=WAIT_MS)
    return expect


def field(tab: Any, key: str) -> Any:
    return tab.locator(f':is(input, select)[data-key="{key}"]')


def typed(tab: Any, key: str, text: str) -> None:
    """Type a value as people do, and go on to the next field."""
    own = field(tab, key)
    own.click()
    own.press("ControlOrMeta+a")
    tab.keyboard.type(text)
    tab.keyboard.press("Tab")


def first_drawer(samples: Path, folder: Path) -> Path:
    path = folder / "drawer.toml"
    path.write_bytes((samples / "first-drawer.toml").read_bytes())
    return path


def test_three_drawers_come_from_nothing_to_a_written_packet_by_clicks_and_typing(
    window: Open, serve: Callable[..., Server], tmp_path: Path
) -> None:
    """The programs are byte for byte those that the saved file gives."""
    expect = _wait()
    tab = window(serve().address)
    typed(tab, "title", "Nest of drawers")
    typed(tab, "drawers[1].name", "Mosses")
    typed(tab, "drawers[1].opening[1]", "20,5 cm")
    typed(tab, "drawers[1].opening[2]", '2 3/4"')
    typed(tab, "drawers[1].opening[3]", "180")
    for number, name in ((2, "Ferns"), (3, "Grasses")):
        tab.get_by_role("button", name="Copy this one").click()
        expect(field(tab, f"drawers[{number}].name")).to_be_focused()
        tab.keyboard.type(name)
        tab.keyboard.press("Tab")
        expect(tab.locator("#elevation a.drawer")).to_have_count(number)
    expect(tab.locator("#elevation")).to_contain_text("Grasses")
    tab.locator("#file-name").fill("nest")
    write = tab.get_by_role("button", name="Write the packet")
    write.click()
    expect(tab.get_by_role("button", name="Stop")).to_be_visible()
    packet_page = tab.get_by_role("link", name="Open the packet's page")
    expect(packet_page).to_be_visible(timeout=PACKET_MS)
    with tab.context.expect_page() as opened:
        packet_page.click()
    assert "Nest of drawers" in opened.value.title()
    saved = tmp_path / "nest.toml"
    assert (tmp_path / "nest-packet" / "job.toml").read_bytes() == saved.read_bytes()
    job, _ = read_job(saved)
    assert [wish.name for wish in job.drawers] == ["Mosses", "Ferns", "Grasses"]
    assert job.drawers[2].opening_mm == pytest.approx((205, 69.85, 180))
    work = work_of(job, dialect_of(job.machine.postprocessor, beside=tmp_path))
    made = {
        name: text for name, text in files_of(work, without=("pictures", "drawings", "templates")).items() if name.startswith("programs/")
    }
    assert made
    assert all((tmp_path / "nest-packet" / name).read_bytes() == text for name, text in made.items())


def test_mistake_is_told_at_its_field_and_mended_by_its_button(
    window: Open, serve: Callable[..., Server], samples: Path, tmp_path: Path
) -> None:
    expect = _wait()
    tab = window(serve(first_drawer(samples, tmp_path).name).address)
    typed(tab, "joints.lap", "25")
    line = tab.locator("#line-joints-lap")
    expect(line.locator(".amiss")).to_contain_text("found 25 mm")
    expect(tab.locator("#corner")).to_contain_text("As it last was")
    expect(tab.get_by_role("button", name="Write the packet")).to_be_disabled()
    line.get_by_role("button", name="Mend it").click()
    expect(tab.locator("#amiss")).to_be_empty()
    expect(field(tab, "joints.lap")).to_be_focused()
    assert float(field(tab, "joints.lap").input_value()) < 20
    expect(tab.get_by_role("button", name="Write the packet")).to_be_enabled()
    typed(tab, "stock.front", "6")  # too thin for the lap: told where it was typed
    line = tab.locator("#line-stock-front")
    expect(line.locator(".amiss")).to_contain_text("joints, lap: leaves tails too short")
    line.get_by_role("button", name="Back to 20").click()
    expect(tab.locator("#amiss")).to_be_empty()
    expect(field(tab, "stock.front")).to_have_value("20")
    expect(field(tab, "stock.front")).to_be_focused()


def test_title_block_leaves_what_is_typed_in_to_be_seen_and_it_stays_in_its_place(
    window: Open, serve: Callable[..., Server], samples: Path, tmp_path: Path
) -> None:
    expect = _wait()
    address = serve(first_drawer(samples, tmp_path).name).address
    for width, height in ((390, 844), (1280, 900)):
        tab = window(address, width, height)
        expect(tab.locator("#lists")).to_contain_text("program")
        block = tab.locator("footer").bounding_box()
        assert block["height"] < 60
        own = field(tab, "fit.side")
        own.evaluate("(own, low) => scrollBy(0, own.getBoundingClientRect().bottom - low)", height - 4)
        own.evaluate("own => own.focus({preventScroll: true})")
        box = own.bounding_box()
        assert box["y"] + box["height"] <= block["y"] or box["x"] + box["width"] <= block["x"]
        tab.keyboard.type("40")
        tab.keyboard.press("Enter")  # much of the sheet goes while nothing can be drawn
        expect(tab.locator("#line-fit-side .amiss button").first).to_be_visible()
        assert abs(own.bounding_box()["y"] - box["y"]) < height / 4
        assert own.bounding_box()["y"] + box["height"] <= block["y"]
        own.fill("")
        own.press("Enter")
        expect(tab.locator("#amiss")).to_be_empty()


def test_two_windows_show_one_piece_and_a_change_of_what_another_changed_is_not_done(
    window: Open, serve: Callable[..., Server], samples: Path, tmp_path: Path
) -> None:
    expect = _wait()
    address = serve(first_drawer(samples, tmp_path).name).address
    one, other = window(address), window(address)
    typed(one, "drawers[1].name", "Roots")
    expect(field(other, "drawers[1].name")).to_have_value("Roots")
    other.route("**/state?*", lambda route: route.fulfill(status=204))  # it has not heard yet
    other.wait_for_timeout(1500)
    typed(one, "drawers[1].name", "Seeds")
    expect(one.locator("#elevation")).to_contain_text("Seeds")
    typed(other, "drawers[1].opening[1]", "250")
    expect(other.locator("#message")).to_contain_text("Another window changed the piece")
    expect(field(other, "drawers[1].name")).to_have_value("Seeds")
    expect(field(other, "drawers[1].opening[1]")).to_have_value("300")


def test_nothing_is_lost_when_the_server_is_killed_while_it_saves_and_the_file_is_edited_by_hand(
    window: Open, serve: Callable[..., Server], samples: Path, tmp_path: Path
) -> None:
    expect = _wait()
    path = first_drawer(samples, tmp_path)
    before = path.read_text(encoding="utf-8")
    server = serve(path.name)
    tab = window(server.address)
    typed(tab, "drawers[1].name", "Roots")
    expect(tab.locator("#elevation")).to_contain_text("Roots")
    tab.get_by_role("button", name="Save", exact=True).dispatch_event("click")
    server.end(signal.SIGKILL)
    after = before.replace("Seed drawer", "Roots")
    assert path.read_text(encoding="utf-8") in (before, after)
    path.write_text(by_hand := before.replace("300, 100", "310, 100"), encoding="utf-8")  # and edited meanwhile
    expect(tab.locator("#message")).to_contain_text("camtools has stopped")

    saved_first = not (tmp_path / f".{path.name}.unsaved").exists()
    tab = window(serve(path.name).address)
    if not saved_first:
        tab.get_by_role("button", name="Go on with it").click()
        expect(field(tab, "drawers[1].name")).to_have_value("Roots")
        expect(tab.locator("#keeping pre")).to_contain_text("310, 100")  # the file differs
        tab.get_by_role("button", name="Save", exact=True).click()
        expect(tab.locator("#message")).to_contain_text("changed meanwhile")
        assert path.read_text(encoding="utf-8") == by_hand
        tab.get_by_role("button", name="Go on with the file on disk").click()
    expect(field(tab, "drawers[1].opening[1]")).to_have_value("310")
    path.write_text(before, encoding="utf-8")  # by hand once more, while the page is open
    expect(tab.locator("#keeping pre")).to_contain_text("310, 100")
    tab.get_by_role("button", name="Go on with the file on disk").click()
    expect(field(tab, "drawers[1].opening[1]")).to_have_value("300")


def test_piece_is_set_out_by_keyboard_alone(window: Open, serve: Callable[..., Server], samples: Path, tmp_path: Path) -> None:
    expect = _wait()
    path = first_drawer(samples, tmp_path)
    tab = window(serve(path.name).address)
    keys = tab.keyboard

    def go_to(what: str) -> None:
        """Press Tab until something has the focus, as who has no mouse does."""
        for _ in range(80):
            keys.press("Tab")
            if tab.evaluate("what => document.activeElement.matches(what)", what):
                return
        pytest.fail(f"no way to {what}")

    go_to('[data-key="drawers[1].name"]')
    keys.type("Roots")
    keys.press("Enter")
    expect(tab.locator("#elevation")).to_contain_text("Roots")
    expect(field(tab, "drawers[1].name")).to_be_focused()
    tab.evaluate("document.querySelector('.skip').focus()")
    go_to(".grip[data-key='joints.lap']")
    lap = float(tab.locator(".grip[data-key='joints.lap']").get_attribute("data-value"))
    keys.press("ArrowRight")
    keys.press("Shift+ArrowRight")
    expect(field(tab, "joints.lap")).to_have_value(f"{lap + 1.1:g}")
    assert tab.evaluate("document.activeElement.matches('.grip')")
    expect(tab.locator(".grip[data-key='joints.lap']")).to_have_attribute("data-value", f"{lap + 1.1:g}")
    keys.press("ControlOrMeta+z")
    expect(field(tab, "joints.lap")).to_have_value("")
    keys.press("ControlOrMeta+Shift+z")
    expect(field(tab, "joints.lap")).to_have_value(f"{lap + 1.1:g}")
    keys.press("ControlOrMeta+s")
    expect(tab.locator(".state")).to_have_text("saved")
    assert "Roots" in path.read_text(encoding="utf-8")


def test_finger_drags_picks_and_slides_on_a_small_screen(window: Open, serve: Callable[..., Server], samples: Path, tmp_path: Path) -> None:
    expect = _wait()
    path = tmp_path / "chest.toml"
    path.write_bytes((samples / "specimen-chest.toml").read_bytes())
    tab = window(serve(path.name).address, 820, 1180, touch=True)
    tab.locator('#elevation [data-drawer="6"]').tap()
    expect(field(tab, "drawers[6].name")).to_have_value("Pressed sheets")
    grip = tab.locator(".grip[data-key='joints.tail']")
    grip.evaluate("own => own.scrollIntoView({ block: 'center' })")
    drag(tab, grip, 0, -30)
    expect(field(tab, "joints.tail")).not_to_have_value("")
    tail, px = float(field(tab, "joints.tail").input_value()), float(grip.get_attribute("data-px"))
    assert tail == pytest.approx(20 + 30 / px, abs=0.5)
    tab.get_by_role("button", name="Undo").tap()
    expect(field(tab, "joints.tail")).to_have_value("")
    tab.get_by_role("button", name=re.compile("^3 tails")).tap()
    expect(field(tab, "joints.tails")).to_have_value("3")
    expect(tab.locator("#moisture")).to_have_text("9.1 %")
    tab.locator("#season").fill("12")
    expect(tab.locator("#moisture")).to_have_text("12 %")
    for fold in tab.locator("summary").all():
        fold.evaluate("own => { own.parentElement.open = true; }")
    assert tab.evaluate("document.documentElement.scrollWidth") == 820
    assert small_controls(tab) == []
    assert small_letters(tab) == []
    tab.get_by_role("button", name="One row less").tap()
    for name, told in (("width", "60 cm"), ("partition", "12"), ("depth", "280")):
        tab.locator(f"#divide [name={name}]").fill(told)
    for row, (high, many) in enumerate((("70", "3"), ("110", "2"))):
        tab.locator("#divide [name=height]").nth(row).fill(high)
        tab.locator("#divide [name=many]").nth(row).fill(many)
    tab.get_by_role("button", name="Divide it so").tap()
    expect(tab.locator("#elevation")).to_contain_text("600 inside, partitions 12")
    expect(tab.locator("#elevation a.drawer")).to_have_count(5)


def drag(tab: Any, what: Any, x: float, y: float) -> None:
    """Drag with a finger."""
    box = what.locator("path").last.bounding_box()
    at = {"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] / 2}
    hand = tab.context.new_cdp_session(tab)
    for kind, part in (("touchStart", 0.0), ("touchMove", 0.5), ("touchMove", 1.0)):
        hand.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": at["x"] + part * x, "y": at["y"] + part * y}]})
    hand.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def small_controls(tab: Any) -> list[str]:
    """Return what is pressed or typed in and is lower than a finger wants; a choice may have its label's size."""
    return list(
        tab.evaluate(
            """least => [...document.querySelectorAll("button, input, select, summary, main a:not(svg a), .grip > path:last-child")]
              .map(own => own.type === "radio" ? own.closest("label") : own)
              .filter(own => own.getClientRects().length && own.getBoundingClientRect().height < least - 0.5)
              .map(own => `${own.outerHTML.slice(0, 90)}: ${own.getBoundingClientRect().height}`)""",
            LEAST_CONTROL_PX,
        )
    )


def small_letters(tab: Any) -> list[str]:
    """Return words that are smaller than can be read, those of drawings as they come out on the screen."""
    return list(
        tab.evaluate(
            """least => [...document.querySelectorAll("body *:not(script):not(datalist *)")]
              .filter(own => own.getClientRects().length && [...own.childNodes].some(one => one.nodeType === 3 && one.data.trim()))
              .map(own => [own, parseFloat(getComputedStyle(own).fontSize) * (own.ownerSVGElement
                ? own.ownerSVGElement.getBoundingClientRect().width / own.ownerSVGElement.viewBox.baseVal.width : 1)])
              .filter(([, size]) => size < least).map(([own, size]) => `${own.textContent.slice(0, 40)}: ${size}`)""",
            LEAST_LETTER_PX,
        )
    )
