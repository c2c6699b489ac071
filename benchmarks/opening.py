"""Opening a packet's page in a browser, without a network."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import Any

__all__ = ["FLAGS", "another", "browser", "browser_missing", "open_seconds", "work_seconds"]

# Software draws the views, on any machine alike; the rest keeps the browser from calling home.
FLAGS = (
    "--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
)  # fmt: skip


def _chromium() -> str | None:
    return shutil.which("chromium") or shutil.which("chromium-browser")


def browser_missing() -> str:
    """Say what is missing to drive a browser; nothing where all is there."""
    if _chromium() is None:
        return "Chromium is not installed"
    return "" if find_spec("playwright") else "the extra `browser` is not installed"


@contextmanager
def browser() -> Iterator[Any]:
    """Run Chromium without a window. Only one at a time can be run so; `another` starts more from it."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        running = driver.chromium.launch(executable_path=_chromium(), args=[*FLAGS])
        try:
            yield running
        finally:
            running.close()


def another(running: Any, *flags: str) -> Any:
    """Start a further browser beside one that runs, with flags of its own; it closes like any."""
    return running.browser_type.launch(executable_path=_chromium(), args=[*FLAGS, *flags])


def open_seconds(page: Path, rounds: int = 3, running: Any = None) -> float:
    """Return the best time in s from asking for a page on disk until it is loaded, each time in a fresh profile."""
    if running is None:
        with browser() as started:
            return open_seconds(page, rounds, started)
    times = []
    for _ in range(rounds):
        context = running.new_context(offline=True, viewport={"width": 1000, "height": 1400})
        tab = context.new_page()
        began = time.perf_counter()
        tab.goto(page.resolve().as_uri(), wait_until="load")
        times.append(time.perf_counter() - began)
        context.close()
    return min(times)


def work_seconds(page: Path, running: Any) -> float:
    """Return how long the processor works on a page on disk until it is loaded, in s: however busy the machine is with other things."""
    context = running.new_context(offline=True)
    tab = context.new_page()
    probe = context.new_cdp_session(tab)
    probe.send("Performance.enable", {"timeDomain": "threadTicks"})
    tab.goto(page.resolve().as_uri(), wait_until="load")
    metrics = {metric["name"]: metric["value"] for metric in probe.send("Performance.getMetrics")["metrics"]}
    context.close()
    return float(metrics["TaskDuration"])
