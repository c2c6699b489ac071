"""``make bench``: motion of programs, whole commands, start-up, growth with the drawers, the check; ``BENCH=--suite`` adds the tests.

Figures are of this machine, on this run. Stages run one after the other, each in a process of its own.
"""

from __future__ import annotations

import os
import platform
import tempfile
from pathlib import Path

import click

from benchmarks.grown_jobs import grown
from benchmarks.motion import print_motion
from benchmarks.opening import browser_missing, open_seconds
from benchmarks.redraw import answered_ms, shown_ms
from benchmarks.stage import Measured, measure
from benchmarks.startup import startup
from benchmarks.waits import suite_seconds, waited
from camtools.resources import samples

WAITED = ("first-drawer", "specimen-chest")
TIMES = (1, 10, 100)
DRAWN_AT_MOST = 10  # times the sample that is drawn in full or in part
DRAWERS = (1, 2, 4, 7)
PAGED = (1, 10)  # times the sample whose page is made


def _shown(measured: Measured) -> str:
    part = f" ({measured.made} of {measured.of})" if measured.made < measured.of else ""
    return f"{measured.seconds:.2f} s, {measured.peak_mib:.0f} MiB{part}"


def _waits(folder: Path) -> None:
    """Print what a maker waits for."""
    print("\nWhole commands, best of 3; the packet with pictures, page and check, and by how much it is longer than plan and check alone")
    print(f"  {'sample':<16}{'packet':>10}{'plan':>10}{'drawn':>10}{'check':>10}{'multiple':>10}{'files':>8}{'MB':>8}")
    for sample in WAITED:
        own = waited(sample, folder)
        times = "".join(f"{f'{seconds:.2f} s':>10}" for seconds in (own.packet, own.plan, own.picture, own.check))
        print(f"  {sample:<16}{times}{own.multiple:>10.2f}{own.files:>8}{own.size / 1e6:>8.1f}", flush=True)


def _startup() -> None:
    help_s, empty_s = startup()
    print(f"\nStart-up, best of 15\n  camtools --help      {help_s * 1000:.0f} ms")
    print(f"  empty click program  {empty_s * 1000:.0f} ms\n  ratio                {help_s / empty_s:.2f}")


def _growth(job: Path, folder: Path) -> None:
    """Print what each stage takes as the job grows."""
    print("\nThe specimen chest and jobs with 10 and 100 times its drawers, all different: seconds of the stage, peak of its process")
    print(f"  {'stage':<12}" + "".join(f"{f'{7 * times} drawers':>34}" for times in TIMES) + f"{'time, 100 x':>14}")
    jobs = {times: folder / f"times-{times}.toml" for times in TIMES}
    for times, path in jobs.items():
        path.write_text(grown(job, times=times), encoding="utf-8")
    totals = dict.fromkeys(TIMES, 0.0)
    for stage in ("read", "plan", "toolpaths", "writing", "pictures"):
        cells, seconds = [], {}
        for times, path in jobs.items():
            if stage == "pictures" and times > DRAWN_AT_MOST:
                cells.append("not drawn")
                continue
            place = folder / f"{stage}-{times}"
            place.mkdir()
            measured = measure(stage, path, place)
            cells.append(_shown(measured))
            seconds[times] = measured.seconds
            totals[times] += measured.seconds if stage != "pictures" else 0.0
        growth = f"{seconds[100] / seconds[1]:.0f} x" if 100 in seconds else ""
        print(f"  {stage:<12}" + "".join(f"{cell:>34}" for cell in cells) + f"{growth:>14}", flush=True)
    print(f"  {'all but pictures':<16}" + "".join(f"{f'{total:.2f} s':>{30 if times == 1 else 34}}" for times, total in totals.items())
          + f"{f'{totals[100] / totals[1]:.0f} x':>14}")  # fmt: skip


def _check(job: Path, folder: Path) -> None:
    """Print what the check takes by the number of drawers, and what the carving takes of it."""
    print("\nThe check of packets with the first drawers of the specimen chest; peak: of all its processes together, at most")
    print(f"  {'drawers':>8}{'boards':>8}{'different':>11}{'check':>20}{'carving':>20}")
    for count in DRAWERS:
        path, place = folder / f"first-{count}.toml", folder / f"first-{count}"
        path.write_text(grown(job, first=count), encoding="utf-8")
        place.mkdir()
        measure("writing", path, place)
        checked, carved = (measure(stage, place / "packet", place) for stage in ("check", "carve"))
        print(f"  {count:>8}{checked.made:>8}{carved.made:>11}{_shown(checked):>20}{_shown(carved):>20}", flush=True)


def _page(folder: Path) -> None:
    """Print what the page of the chest and of ten times its drawers takes: to make once all is carved, on disk, to open."""
    print("\nThe page, without the pictures of its programs; opened from disk in Chromium, best of 3")
    missing = browser_missing()
    for times in PAGED:
        packet = folder / f"writing-{times}" / "packet"
        made = measure("page", packet, folder)
        page = packet / "index.html"
        opening = f"not opened: {missing}" if missing else f"opened in {open_seconds(page):.2f} s"
        print(f"  {made.made:>4} drawers  made in {_shown(made)}, {page.stat().st_size / 1e6:.1f} MB, {opening}", flush=True)


def _redraw(job: Path, folder: Path) -> None:
    """Print what a change of a piece that is set out takes."""
    print("\nA piece set out: from a change to its page drawn again, best of 5; answered: all parts made; shown: in Chromium")
    for name, content in (("specimen chest", grown(job)), ("50 drawers", grown(job, times=8, at_most=50))):
        path = folder / f"{name.replace(' ', '-')}.toml"
        path.write_text(content, encoding="utf-8")
        shown = shown_ms(path)
        told = f"not shown: {browser_missing()}" if shown is None else f"shown in {shown:.0f} ms"
        print(f"  {name:<16}answered in {answered_ms(path):.0f} ms, {told}", flush=True)


@click.command()
@click.option("--suite", is_flag=True, help="Run the tests, too.")
def main(suite: bool) -> None:
    """Run everything and print it."""
    print(f"Python {platform.python_version()}, {platform.system()} {platform.machine()}, {os.cpu_count()} cores")
    job = samples() / "specimen-chest.toml"
    with tempfile.TemporaryDirectory() as name:
        print()
        print_motion(job)
        _waits(Path(name))
        _startup()
        _growth(job, Path(name))
        _check(job, Path(name))
        _page(Path(name))
        _redraw(job, Path(name))
    if suite:
        print(f"\nThe tests, all of them\n  {suite_seconds():.0f} s")


if __name__ == "__main__":
    main()
