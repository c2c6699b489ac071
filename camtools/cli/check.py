"""``camtools check``: whether a packet's programs cut drawers that fit, judged from its files alone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from camtools.cli import show
from camtools.verify.checking import Checked, check_fully
from camtools.verify.fit.joint_fit import INSIDE, Spread
from camtools.verify.grouping import Group
from camtools.verify.report import DrawerReport, Report, json_of
from camtools.wording import bare, bare_fine, counted, fine, listed, told_in, unit_word

__all__ = ["command"]

_MOST_TOLD = 40
_STYLES = {"error": "red", "warning": "yellow", "note": ""}


@click.command()
@click.argument("packet", type=click.Path(path_type=Path))
@click.option("--pictures", type=click.Path(path_type=Path, file_okay=False), help="Folder for a picture of every joint.")
@click.option("--jobs", type=click.IntRange(min=1), help="Processes to share the work; by default as many as there are processors.")
@show.json_option
@click.pass_context
def command(ctx: click.Context, packet: Path, pictures: Path | None, jobs: int | None, as_json: bool) -> None:
    """Check the programs of PACKET.

    Every program is run in a simulated machine, every board is carved, every drawer is put together, from the packet's files alone.
    Exits with 0 where all fits, with 1 where something is wrong, with 2 where something could not be judged.
    """
    with show.progress() as watch:
        checked = check_fully(packet, jobs=jobs, watch=watch)
        ctx.with_resource(told_in(checked.units))
        if pictures is not None:
            _draw(checked, pictures)
    report = checked.report
    if as_json:
        click.echo(json_of(report), nl=False)
    else:
        _show(report)
    ctx.exit(report.exit_code)


def _draw(checked: Checked, folder: Path) -> None:
    from camtools.verify.fit.joint_pictures import joint_pictures

    folder.mkdir(parents=True, exist_ok=True)
    for name, picture in joint_pictures(checked):
        (folder / name).write_bytes(picture)


def _show(report: Report) -> None:
    if report.drawers:
        headings = ("drawer", "joint", "overlap", "flank", "shoulder", "tip or proud", "shows")
        rows = [row for drawer in report.drawers for row in _joint_rows(drawer)]
        show.table(f"Joints, {unit_word()} (smallest to largest; what shows on a face, widest)", headings, rows, right=(2, 3, 4, 5, 6))
        sizes = ("drawer", "width", "depth", "height", "diagonals")
        rows = [(drawer.name, *map(bare, (*drawer.outside, drawer.diagonals_mm))) for drawer in report.drawers]
        show.table(f"Drawers, {unit_word()}", sizes, rows, right=range(1, 5))
        rows = [(drawer.name, *_groove_cells(drawer)) for drawer in report.drawers]
        show.table(f"Bottoms, {unit_word()}", ("drawer", "groove", "wide", "deep", "in groove"), rows, right=range(1, 5))
    _show_reliefs(report)
    for trial in report.trials:
        rows = [(step.joint, str(step.number), str(step.nicks), bare_fine(step.clearance_mm), _span(step.flank)) for step in trial.steps]
        show.table(f"Trial joints, {unit_word()}", ("joint", "step", "nicks", "told", "flank"), rows, right=(1, 2, 3, 4))
        wide = [(f"groove {own.number}", own.board, own.asked_mm, own.width_mm) for own in trial.grooves]
        wide += [(f"slot of cutter {own.tool}", own.board, own.asked_mm, own.width_mm) for own in trial.slots]
        rows = [(name, board, bare_fine(asked), bare_fine(found)) for name, board, asked, found in wide]
        show.table(f"Trial grooves and slots, {unit_word()}", ("what", "board", "told", "wide"), rows, right=(2, 3))
    _show_breakout(report)
    _show_findings(report.groups)
    errors, warnings = report.causes("error"), report.causes("warning")
    boards, drawers = counted(len(report.boards), "board"), counted(len(report.drawers), "drawer")
    joined = f"{counted(sum(len(trial.steps) for trial in report.trials), 'joint')} tried" if report.trials else f"{drawers} put together"
    counts = f"{boards} carved within {fine(report.bound_mm)}, {joined}, "
    counts += f"{counted(errors, 'error')}, {counted(warnings, 'warning')}"
    if report.ok:
        show.line(f"It fits: {counts}.", "bold green")
    elif not report.judged:
        show.line(f"Not everything could be judged: {counts}.", "bold red")
    else:
        show.line(f"Do not cut this: {counts}.", "bold red")


def _joint_rows(drawer: DrawerReport) -> Iterator[tuple[str, ...]]:
    for index, joint in enumerate(drawer.joints):
        measured = joint.measured
        overlap = bare_fine(measured.overlap.depth_mm) if measured.overlap.depth_mm else "none"
        shows = max((gap.widest_mm for gap in joint.gaps if gap.face != INSIDE and not gap.stated), default=0.0)
        name = drawer.name if index == 0 else ""
        blocked = " (blocked)" if joint.blocked.width_mm else ""
        spreads = (_span(spread) for spread in (measured.flank, measured.shoulder, measured.tip))
        yield (name, joint.corner + blocked, overlap, *spreads, bare_fine(shows))


def _show_reliefs(report: Report) -> None:
    """Tell how wide corners are open that were relieved because boards lay flat."""
    open_mm: dict[str, float] = {}
    for gap in (gap for drawer in report.drawers for joint in drawer.joints for gap in joint.gaps if gap.stated):
        open_mm[gap.face] = max(open_mm.get(gap.face, 0.0), gap.widest_mm)
    if open_mm:
        told = listed([f"{face.removeprefix('reliefs, ')} {fine(width)}" for face, width in open_mm.items()], "and")
        show.line(f"Open where corners are relieved, since boards lie flat, at the widest: {told}.")


def _show_breakout(report: Report) -> None:
    """Tell where fibres may break out most."""
    lines = {
        "of the line where a cutter enters a face is scored by a light pass": [(own.scored, own.file) for own in report.entries],
        "of the line where a cutter cuts a board's edge is scored, or only entered": [(own.scored, own.file) for own in report.edges],
        "of the edge where a cutter leaves a board has whole backing behind it": [(own.backed, own.file) for own in report.exits],
    }
    for words, shares in lines.items():
        if shares:
            least, file = min(shares)
            show.line(f"At least {least:.0%} {words} (least in {file}).")


def _span(spread: Spread | None) -> str:
    if spread is None:
        return "-"
    low, high = (bare_fine(value if abs(value) >= 0.0005 else 0.0) for value in (spread.smallest_mm, spread.largest_mm))
    return low if low == high else f"{low} to {high}"


def _groove_cells(drawer: DrawerReport) -> tuple[str, ...]:
    """Return where the grooves for the bottom are, how wide and deep, and how much of the bottom is in them."""
    sides = [side for side in drawer.bottom.sides if side.groove] if drawer.bottom else []
    grooves = [side.groove for side in sides if side.groove]
    if not grooves:
        return "none", "-", "-", "-"
    low, wide = min(groove.low_mm for groove in grooves), max(groove.high_mm - groove.low_mm for groove in grooves)
    deep, held = max(groove.depth_mm for groove in grooves), min(side.engaged_mm for side in sides)
    return tuple(map(bare, (low, wide, deep, held)))


def _show_findings(groups: tuple[Group, ...]) -> None:
    if groups:
        show.line("")
    for group in groups[:_MOST_TOLD]:
        first, *rest = group.words()
        show.line(f"{group.root.severity}: {group.place}: {first} [{group.root.code}]", _STYLES[group.root.severity])
        for words in rest:
            show.line(f"    {words}")
    if len(groups) > _MOST_TOLD:
        show.line(f"and {counted(len(groups) - _MOST_TOLD, 'finding')} more; --json lists all.")
