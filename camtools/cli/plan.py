"""``camtools plan``: what a job file comes to, before anything is written."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import groupby
from pathlib import Path

import click

from camtools.cli import show
from camtools.cli.plan_picture import draw_picture, refuse_picture
from camtools.cli.reading_dialect import read_dialect
from camtools.cli.reading_job import read_job_file, told_how_to_mend
from camtools.drawer import drawers_of
from camtools.drawer.boards import Drawer, Layout, Note, Season
from camtools.drawer.feeds import SafeFeed, safe_feeds_of
from camtools.faults import CannotCut
from camtools.job import Default
from camtools.job.form import FIRST, SEASONS
from camtools.job.job import Job, Machine
from camtools.output.plan_data import plan_of
from camtools.output.sections import templates_asked_for
from camtools.output.stock_list import STOCK_COLUMNS, front_rows_of, rough_stock_of
from camtools.toolpath.handling.board_names import marks_of
from camtools.toolpath.handling.loadings import Loading, board_counts, loadings_of
from camtools.toolpath.handling.minutes import Handled, handled, seats_of
from camtools.toolpath.moves import Program
from camtools.toolpath.programs import programs_of, with_offsets
from camtools.toolpath.reach.stop_places import better_stops
from camtools.toolpath.workholding import END_GROOVE
from camtools.wording import aligned, bare, bare_fine, counted, listed, mm, quantity, unit_word, whole_minutes

__all__ = ["command", "show_answers", "show_defaults"]


@click.command()
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option(
    "--picture",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Draw every front and side, in the rows of the case, as .svg, .png or .pdf.",
)
@click.option("--layouts", is_flag=True, help="Show every number of tails that each drawer could have, and why it was not chosen.")
@click.option("--why", is_flag=True, help="Show why all is as it is, with every value left to camtools, the seasons, speeds and feeds.")
@show.json_option
def command(job_file: Path, picture: Path | None, layouts: bool, why: bool, as_json: bool) -> None:
    """Show what JOB comes to; nothing is written but a picture, where one is asked for.

    Sizes of every drawer, how its joints are divided, the cut list, what has to be measured, the values left to camtools that a maker
    may want otherwise, and every warning. Exits with 2 where the job file is at fault and with 3 where the wood, the cutters or the
    machine can not do it.
    """
    if picture is not None:
        refuse_picture(picture)
    with told_how_to_mend(job_file):
        _plan(job_file, picture, layouts, why, as_json)


def _plan(job_file: Path, picture: Path | None, layouts: bool, why: bool, as_json: bool) -> None:
    job, defaults = read_job_file(job_file)
    dialect = read_dialect(job.machine.postprocessor, beside=job_file.parent)  # one that is not there is told of now, not at the end
    drawers = drawers_of(job)
    if picture is not None:
        drawn = draw_picture(picture, job, drawers)
        if not as_json:
            show.line(drawn, "bold")
    try:
        programs = with_offsets(programs_of(job, drawers), dialect.work_offsets)
        templates_asked_for(job, drawers)
    except CannotCut:
        if not as_json:  # what could be worked out helps to mend what could not be
            _show_drawers(job, drawers, why=why)
            show_answers(job)
            _show_values(drawers, defaults, why=why)
            show.line("")  # before the refusal
        raise
    job = dialect.taken_by(job)
    if as_json:
        told = [asdict(default) for default in defaults]
        better, stacks = better_stops(job, drawers, programs, dialect.work_offsets), _stacks(job, drawers, programs)
        saved = {"better_stops": better and asdict(better), "stacks": stacks and asdict(stacks)}
        pictured = {} if picture is None else {"picture": str(picture)}
        slid = {"settings": [asdict(one) for one in _slid(programs)]}
        show.data(plan_of(job, drawers, programs).model_dump(mode="json") | {"defaults": told} | saved | slid | pictured)
        return
    if layouts:
        for names, rows in _layout_tables(drawers):
            title = f"{names}: numbers of tails, widths in {unit_word()} from the reference edge"
            show.table(title, ("tails", "tails wide", "pins wide", "half pin", "why"), rows)
        return
    _show_drawers(job, drawers, why=why)
    if why:
        show.table(
            f"Speed, feed and depth: feeds in {_feed(0.0)[1]}, chips of an edge in a turn and passes in {unit_word()}",
            ("cutter", "rpm", "feed", "safe to", "limit", "chips", "by charts", "pass"),
            [_feed_row(feed) for feed in safe_feeds_of(job, drawers).values()],
            right=(1, 2, 3),
        )
    show_answers(job)
    _show_values(drawers, defaults, why=why)
    show.table("Warnings", ("where", "warning"), _note_rows([note for note in _notes(drawers) if note[1].kind == "warning"], len(drawers)))
    show.line("")
    show.line(_work(job, drawers, programs))
    for own in _slid(programs):
        numbers, piece = listed(list(map(str, own.settings))), mm(own.distance_piece_mm)
        show.line(f"Beyond the travel: {own.of} are cut in {numbers} settings, the board slid on by a distance piece of {piece}.")
    for advice in _stops_told(job, drawers, programs, dialect.work_offsets):
        show.line(advice)
    show.table("What to do next", ("to", "command"), _next(job_file, job, pictured=picture is not None))


def _next(job_file: Path, job: Job, *, pictured: bool) -> list[tuple[str, str]]:
    """Return what to do next, each with its command."""
    path, beside = (shlex.quote(str(one)) for one in (job_file, job_file.with_suffix("")))
    steps = [] if pictured else [("draw the piece", f"camtools plan {path} --picture {beside}.svg")]
    steps += [] if job.answers else [("try joints in offcuts", f"camtools trial {path} -o {beside}-trial")]
    steps.append(("try to jog at a stop", f"camtools dialects {shlex.quote(job.machine.postprocessor)}"))
    return [*steps, ("write the programs", f"camtools packet {path} -o {beside}-packet")]


def _show_drawers(job: Job, drawers: Sequence[Drawer], *, why: bool) -> None:
    show.table(
        f"{job.title}: drawers, width × height × depth in {unit_word()}",
        ("drawer", "off", "opening", "outside", "gap above, dry to damp"),
        [_drawer_row(drawer) for drawer in drawers],
        right=(1,),
    )
    show.table(
        f"Tails and pins, in {unit_word()} from the reference edge",
        ("drawers", "tails", "tails wide", "pins wide", "half pins"),
        _joint_rows(drawers),
    )
    if why:
        columns, rows = _year_table(drawers)
        show.table(
            f"Through the year, in {unit_word()} at % moisture of the wood: heights; bottoms from front to rear, by how much they may "
            "still grow there" + (", and the play of their thickness" if "play" in columns else ""),
            columns,
            rows,
            right=range(2, len(columns)),
        )
    choices = [note for note in _notes(drawers) if note[1].kind == "choice" and (why or not _is_reason(note[1]))]
    show.table(
        "What was chosen, and why" if why else "How it is made", ("where", "choice" if why else "how"), _note_rows(choices, len(drawers))
    )
    show.table(
        f"Cut list: sizes in {unit_word()} as the boards come to the machine",
        ("mark", "off", "length", "width", "thick", "wood", "drawers"),
        _cut_rows(drawers),
        right=(1, 2, 3, 4),
    )
    show.line(
        "The reference edge is the bottom edge of fronts, backs and sides, and the front edge of a bottom. "
        "The outside face looks out of the drawer; of a bottom it looks down."
    )
    show.table(
        "Stock to prepare, with what sawing and planing take; a quarter more for knots and splits is usual",
        STOCK_COLUMNS,
        [stock.cells for stock in rough_stock_of(job, drawers)],
        right=range(1, len(STOCK_COLUMNS)),
    )
    show.table(
        f"Fronts that follow each other along one board: rough sizes in {unit_word()}",
        ("row", "wood", "length", "width", "thick", "from the left"),
        [(row.name, row.wood, *map(bare, row.size_mm), ", ".join(row.drawers)) for row in front_rows_of(job, drawers)],
        right=(2, 3, 4),
    )


def show_defaults(defaults: Sequence[Default]) -> None:
    """Print what the job file leaves to camtools: first what only the maker can know."""
    asked: dict[str, list[Default]] = {}
    for default in sorted(defaults, key=_of_the_machine):
        asked.setdefault(f"{default.ask}; meanwhile {default.reason}" if default.ask else "", []).append(default)
    left = asked.pop("", [])
    show.table(
        _ASSUMED,
        ("key", "assumed", "where it is found"),
        [(one.key, one.value, "" if row else where) for where, ones in asked.items() for row, one in enumerate(ones)],
    )
    show.table(
        _LEFT,
        ("key", "value", "why"),
        [(default.key, default.value, default.reason) for default in left],
    )


def _show_values(drawers: Sequence[Drawer], defaults: Sequence[Default], *, why: bool) -> None:
    """Print what the job file leaves to camtools: all of it with its reasons, or by table what a maker decides, and a count of the rest."""
    if why:
        show_defaults(defaults)
        return
    asked: dict[str, list[str]] = {}
    left: dict[str, list[str]] = {}
    for default in sorted(defaults, key=_of_the_machine):
        table, _, key = default.key.rpartition(".")
        if default.ask:
            asked.setdefault(default.ask, []).append(f"{default.key} {default.value}")
        elif key in FIRST.get(table.partition("[")[0], ()):
            left.setdefault(table, []).append(f"{key} {default.value}")
    show.table(_ASSUMED, ("where it is found", "assumed"), [(where, ", ".join(values)) for where, values in asked.items()])
    show.table(_LEFT, ("table", "values"), [(table, ", ".join(values)) for table, values in left.items()])
    more = len(defaults) - sum(map(len, (*asked.values(), *left.values())))
    reasons = len({note for _, note in _notes(drawers) if _is_reason(note)})
    show.line(f"--why shows {counted(more, 'value')} more, {counted(reasons, 'reason')}, the seasons, speeds and feeds.")


_ASSUMED = "Assumed, since the job file does not say; find it out and write it there"
_LEFT = "Left to camtools; write the key into the job file to have it otherwise"


def _of_the_machine(default: Default) -> bool:
    return default.key.startswith("machine.")


def _feed_row(safe: SafeFeed) -> tuple[str, ...]:
    cutter, (least, most) = safe.cutter, safe.chart_mm
    return (
        f"{cutter.number} {cutter.kind}",
        f"{cutter.speed_rpm:g}",
        _feed(cutter.feed_mm_min)[0],
        _feed(safe.feed_mm_min)[0],
        safe.limit,
        f"{bare_fine(cutter.chip_mm)} {safe.chips_told}".rstrip(),
        f"{bare_fine(least)} to {bare_fine(most)}",
        "whole" if cutter.kind == "dovetail" else bare(cutter.depth_per_pass_mm),
    )


def _feed(feed_mm_min: float) -> list[str]:
    """Return a feed's number and its unit."""
    return quantity(feed_mm_min, "mm/min").split()


def show_answers(job: Job) -> None:
    """Print every answer of the maker with what became of it."""
    rows = [
        (
            str(use.number),
            f"{use.words}, {use.date.isoformat()}" if use.date else use.words,
            f"{use.key} {use.value}" if use.value else f"nothing: {use.why}",
            ", ".join(use.drawers) or "all",
        )
        for use in job.answers
    ]
    show.table("Your answers, kept beside the job file", ("no.", "answer", "sets", "in drawers"), rows, right=(0,))


def _by(sizes_mm: Iterable[float]) -> str:
    return " × ".join(map(bare, sizes_mm))


def _drawer_row(drawer: Drawer) -> tuple[str, ...]:
    width, depth, height = drawer.outside_mm
    opening = _by(drawer.opening_mm) if drawer.opening_mm else "not given"
    above = [season.above_mm for season in (drawer.seasons[0], drawer.seasons[-1])]
    gap = " to ".join(aligned(above_mm) for above_mm in above if above_mm is not None)
    return drawer.name, str(drawer.count), opening, _by((width, height, depth)), gap or "–"


def _joint_rows(drawers: Sequence[Drawer]) -> list[tuple[str, ...]]:
    """Return a row for each division of joints; drawers that are alike share it."""
    names: dict[tuple[str, ...], list[str]] = {}
    for drawer in drawers:
        half_blind, through = drawer.left.piece.half_blind, drawer.left.piece.through
        front, rear = (len(joint.tails) if joint else 0 for joint in (half_blind, through))
        tails = str(front) if front == rear else f"{front} front, {rear} rear"
        chosen = next(one for one in drawer.layouts if one.chosen)
        names.setdefault((tails, *_widths(chosen)), []).append(drawer.name)
    return [(", ".join(owners), *cells) for cells, owners in names.items()]


def _layout_tables(drawers: Sequence[Drawer]) -> list[tuple[str, list[tuple[str, ...]]]]:
    """Return names of drawers with a row for each number of tails; drawers with the same ones share them."""
    names: dict[tuple[Layout, ...], list[str]] = {}
    for drawer in drawers:
        names.setdefault(drawer.layouts, []).append(drawer.name)
    return [(", ".join(owners), [(str(one.count), *_widths(one), one.why) for one in layouts]) for layouts, owners in names.items()]


def _widths(layout: Layout) -> tuple[str, str, str]:
    """Return the widths of tails, pins and half pins as words."""
    return _each(layout.tails_mm), _each(layout.pins_mm), "" if layout.half_pin_mm is None else bare(layout.half_pin_mm)


def _each(widths_mm: Sequence[float]) -> str:
    """Return widths as words: those next to each other that are alike told once."""
    told = [(bare(width), len(list(same))) for width, same in groupby(widths_mm, key=lambda width: round(width, 2))]
    return " + ".join(f"{number} of {width}" if number > 1 else width for width, number in told)


def _year_table(drawers: Sequence[Drawer]) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Return the columns that have something to tell, and a row for each season; drawers that are alike in all of them share theirs."""
    names: dict[tuple[Season, ...], list[str]] = {}
    for drawer in drawers:
        names.setdefault(drawer.seasons, []).append(drawer.name)
    columns: dict[str, list[str]] = {"drawer": [], "season": [], "%": []}
    for seasons, owners in names.items():
        each = -(-len(owners) // len(seasons))
        columns["drawer"] += [", ".join(owners[row * each : (row + 1) * each]) for row in range(len(seasons))]
        columns["season"] += SEASONS
        columns["%"] += [f"{season.moisture_percent:.1f}" for season in seasons]
    for heading, of, decimals in _OF_SEASONS:
        sizes = [getattr(season, of) for seasons in names for season in seasons]
        if any(size is not None for size in sizes):
            columns[heading] = ["–" if size is None else aligned(size, decimals) for size in sizes]
    if columns["front"] == columns["sides"]:
        del columns["sides"]
        columns = {"front, sides" if heading == "front" else heading: cells for heading, cells in columns.items()}
    return tuple(columns), list(zip(*columns.values(), strict=True))


_OF_SEASONS = (
    ("front", "front_mm", 1),
    ("sides", "side_mm", 1),
    ("room above", "above_mm", 1),
    ("bottom", "bottom_mm", 1),
    ("to grow", "bottom_room_mm", 1),
    ("play", "bottom_play_mm", 2),
)


def _notes(drawers: Sequence[Drawer]) -> list[tuple[Drawer, Note]]:
    return [(drawer, note) for drawer in drawers for note in drawer.notes]


def _is_reason(note: Note) -> bool:
    """Tell whether a note is about sizes that stand in tables, rather than of work by hand or looks that stand nowhere else."""
    return note.kind == "choice" and note.where in ("size", "joints", "back joint", "groove")


def _note_rows(notes: Iterable[tuple[Drawer, Note]], number: int) -> list[tuple[str, str]]:
    """Return notes of ``number`` drawers, those of one place together; drawers with the same note share a row."""
    names: dict[str, dict[str, list[str]]] = {}
    for drawer, note in notes:
        names.setdefault(note.where, {}).setdefault(note.text, []).append(drawer.name)
    return [
        ("" if row else where, text if len(owners) == number else f"{', '.join(owners)}: {text}")
        for where, texts in names.items()
        for row, (text, owners) in enumerate(texts.items())
    ]


def _cut_rows(drawers: Sequence[Drawer]) -> list[tuple[str, ...]]:
    """Return a row for each different board, with the number needed in all; the fronts laid over drawers, which no program cuts, last."""
    marks = marks_of(drawers)
    rows: dict[tuple[str, str, tuple[float, float, float]], list[tuple[str, int]]] = {}
    for alike in zip(*(drawer.boards for drawer in drawers), strict=True):
        for board, drawer in zip(alike, drawers, strict=True):
            rows.setdefault((marks[board.piece], board.wood, board.piece.size_mm), []).append((drawer.name, board.count))
    for drawer in drawers:
        if drawer.show_front_mm is not None:
            rows.setdefault(("show front", drawer.front.wood, drawer.show_front_mm), []).append((drawer.name, drawer.count))
    return [
        (
            mark,
            str(sum(count for _, count in owners)),
            *map(bare, sizes),
            wood,
            ", ".join(dict.fromkeys(name for name, _ in owners)) if len(owners) < len(drawers) else "all",
        )
        for (mark, wood, sizes), owners in rows.items()
    ]


def _work(job: Job, drawers: Sequence[Drawer], programs: Sequence[Program]) -> str:
    loadings, done, seconds, hands = _worked(drawers, programs, job.machine)
    pairs = sum(loading.times for loading in loadings if len(loading.programs) > 1)
    saved = ""
    if stacks := _stacks(job, drawers, programs):
        fewer = counted(stacks.setups_saved, "setup")
        saved = f" {counted(stacks.stacks, 'stack')} of equal sides save {fewer} and {whole_minutes(60 * stacks.minutes_saved)}."
    return (
        f"{counted(len(programs), 'program')}, {counted(done.setups, 'setup')} of the machine, {pairs or 'none'} of them with two boards: "
        f"about {whole_minutes(seconds)} of machine time and {whole_minutes(hands)} of handling: {counted(done.boards, 'board')} placed, "
        f"{counted(done.zeros, 'zero')} of Z set, {counted(done.holds, 'change')} of hold and {counted(done.cutters, 'change')} of cutter."
        f"{saved}"
    )


@dataclass(frozen=True, slots=True)
class _Slid:
    """What is cut in several settings, by the distance piece between them."""

    of: str
    settings: tuple[int, ...]  # numbers of them, as they occur
    distance_piece_mm: float


def _slid(programs: Sequence[Program]) -> list[_Slid]:
    found: dict[tuple[str, float], set[int]] = {}
    for setup in (program.setup for program in programs if program.setup.setting.total > 1):
        found.setdefault(("grooves" if setup.end == END_GROOVE else "ends", setup.setting.step_mm), set()).add(setup.setting.total)
    return [_Slid(of, tuple(sorted(totals)), step_mm) for (of, step_mm), totals in sorted(found.items())]


@dataclass(frozen=True, slots=True)
class _Stacks:
    """Stacks of equal sides, and what they save of the whole job."""

    stacks: int
    setups_saved: int
    minutes_saved: float


def _stacks(job: Job, drawers: Sequence[Drawer], programs: Sequence[Program]) -> _Stacks | None:
    loadings, done, seconds, hands = _worked(drawers, programs, job.machine)
    stacks = sum(loading.times for loading in loadings for program in loading.programs if program.stacked > 1)
    if not stacks:
        return None
    _, apart, longer, more = _worked(drawers, programs, replace(job.machine, stack_mm=None))
    return _Stacks(stacks, apart.setups - done.setups, round((longer + more - seconds - hands) / 60, 1))


def _worked(drawers: Sequence[Drawer], programs: Sequence[Program], machine: Machine) -> tuple[Sequence[Loading], Handled, float, float]:
    """Return the setups on a machine, what hands do for them, and the seconds of the machine and of the hands."""
    loadings = loadings_of(programs, board_counts(drawers), machine)
    done = handled(map(seats_of, loadings))
    seconds = sum(one.times * one.seconds((program.seconds for program in one.programs), machine) for one in loadings)
    return loadings, done, seconds, 60 * done.minutes(machine.handling, machine.tool_change_s)


def _stops_told(job: Job, drawers: Sequence[Drawer], programs: Sequence[Program], offsets: int) -> Iterator[str]:
    """Yield where stops would save setups, and how many."""
    better = better_stops(job, drawers, programs, offsets)
    if better is not None:
        stops = [f"{hold}_stops at {' and '.join(map(mm, places))}" for hold, places in better.places_mm.items()]
        few = f"{better.setups} setups would do instead of {better.setups_now}"
        yield f"With {listed(stops, 'and')} from the left end of the travel, told in [machine], {few}."
