"""How long a piece that is set out takes to be drawn again after a change."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path
from typing import Any

from benchmarks.opening import browser, browser_missing
from camtools.setout.edits import Edits
from camtools.setout.keeping import JobKeeper
from camtools.setout.session import Session
from camtools.setout.setout_page import parts_of

__all__ = ["answered_ms", "shown_ms"]

_LAPS = ("4.6", "4.7", "4.8", "4.9", "5.1")  # each moves every corner
_SHOWN = """typed => new Promise(done => {
  const corner = document.getElementById("corner"), field = document.querySelector('input[data-key="joints.lap"]');
  const began = performance.now();
  new MutationObserver((_, own) => { own.disconnect(); requestAnimationFrame(() => done(performance.now() - began)); })
    .observe(corner, { subtree: true, childList: true, attributes: true });
  field.value = typed;
  field.dispatchEvent(new Event("change", { bubbles: true }));
})"""


def answered_ms(job: Path) -> float:
    """Return the best time in ms from a change to all parts of the page that follow it: worked out, drawn and written as HTML."""
    keeper = JobKeeper(job)
    keeper.hold()
    with closing(Session(keeper, keeper.open())) as session:
        times = []
        for lap in _LAPS:
            edit = {"revision": session.revision, "edits": [{"do": "write", "key": "joints.lap", "typed": lap}]}
            began = time.perf_counter()
            parts_of(session.edit(Edits.model_validate_json(json.dumps(edit))))
            times.append(time.perf_counter() - began)
    return 1000 * min(times)


def shown_ms(job: Path, running: Any = None) -> float | None:
    """Return the best time in ms from a typed value to the corner drawn anew in Chromium; None where that is missing."""
    if browser_missing():
        return None
    if running is None:
        with browser() as started:
            return shown_ms(job, started)
    command = [sys.executable, "-m", "camtools", "setout", "--no-browser", job.name]
    with subprocess.Popen(command, cwd=job.parent, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as server:
        try:
            assert server.stdout is not None
            tab = running.new_page()
            tab.goto(server.stdout.readline().strip())
            times = []
            for lap in _LAPS:
                tab.wait_for_timeout(1500)  # what takes longer is reckoned after each change
                times.append(float(tab.evaluate(_SHOWN, lap)))
            tab.close()
        finally:
            server.terminate()
    return min(times)
