"""The steps at the machine: a board in its hold, what runs on it, and how it lies there."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Literal

from camtools.output.cautions import CAUTIONS, Caution
from camtools.page.blocks import Block, BoardState, Facts, Link, OffPaper, Picture, Span, Step, TextBlock, Tick, View
from camtools.page.facts import LoadingFacts, PacketFacts, SetupFacts
from camtools.page.images import Images
from camtools.page.rounds import dry_runs_of, handled_in, handling_seconds
from camtools.page.steps.board_states import Made, cut_state, in_state, last_at_its_end
from camtools.toolpath.handling.loadings import level_mm
from camtools.verify.lookups import end_worked
from camtools.verify.reader.motion import Probed
from camtools.wording import mm, quantity

__all__ = ["SetupSteps", "plate_caution"]

_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")
_HOLDS = {
    "upright": "plate fixed along X, backing piece on its face, stops clamped",
    "flat": "bed free of chips, stops clamped",
}
_AT_Y_ZERO = "Every board: its end pushed up to the end block at Y 0, the block taken off once it is clamped; or Y zero set at its end"
_STACK = (
    "Stack {} boards, each as is told here for one, the outside face of each on the inside face of the one behind it. Press their ends "
    "flush on a flat surface, and their reference edges on the stop; clamp them as one, {} thick. The foremost stands {} nearer to you "
    "than a single one: keep as much more free in front. A chip between them, or an end that is not flush, shows in the joint."
)


@dataclass(slots=True)
class SetupSteps:
    """Makes the steps one after the other, and minds what was already said."""

    facts: PacketFacts
    images: Images
    _told: set[str] = field(default_factory=set)  # holds, kinds of cutter and reaching out that were cautioned about
    _strips: dict[str, int] = field(default_factory=dict)  # of backing, last used at each stop
    _queues: dict[str, list[str]] = field(default_factory=dict)  # boards that a program has still to cut
    _tried: dict[str, str] = field(init=False)  # by whose dry run each setup is tried
    _dried: set[str] = field(default_factory=set)  # setups whose own was told of
    _done: tuple[LoadingFacts, ...] = ()
    _zeros: dict[str, tuple[object, float | None]] = field(default_factory=dict)  # what each work offset was last set for, and what height

    def __post_init__(self) -> None:
        self._tried = dry_runs_of(self.facts)

    def step(self, loading: LoadingFacts) -> Step:
        """Return the next step."""
        facts, setups = self.facts, loading.setups
        both, plots, placed = self._both(loading), list[Block](), list[Block]()
        pictures = [both] if both else list[Picture]()
        for setup, stacked in zip(setups, loading.stacked, strict=True):
            words = facts.names.place.get(setup.stem, ())
            if stacked > 1:
                thick_mm = facts.boards[setup.entry.board].size[2]
                words = (_STACK.format(_COUNTS[stacked], mm(stacked * thick_mm), mm((stacked - 1) * thick_mm)), *words)
            if words:
                placed.append(TextBlock(" ".join(words), f"{setup.entry.stop.capitalize()} stop" if len(setups) > 1 else ""))
            motion = self._motion(setup, stacked)
            pictures += [] if both else self._held(setup)
            plots += [motion] if motion else []
            label = f"Watch the cutter move{f' at the {setup.entry.stop} stop' if len(setups) > 1 else ''}"
            plots.append(View("motion", setup.stem, label, f"Motion of {setup.stem}", motion.key if motion else ""))
        rows = self._rows(loading)
        dry = () if self._tried[loading.file] != loading.file or loading.file in self._dried else loading.dry
        changes = self._changes(setups)
        step = Step(
            key=PurePosixPath(loading.file).stem,
            heading=self._title(setups),
            where="machine",
            do=self._lines(loading),
            pictures=tuple(pictures),
            cautions=self._cautions(setups),
            ticks=(
                *changes,
                *([Tick("check", _AT_Y_ZERO)] if any(map(_lies_by_end, setups)) else []),
                *self._clamps(setups),
                *self._dry_ticks(loading, dry),
                *(Tick("board", name) for name in self._boxes(loading)),
            ),
            links=(*(Link(PurePosixPath(name).name, name) for name in (*dry, loading.file)), *self._sheets(setups)),
            minutes=self._minutes(loading),
            needs=self._needs(setups),
            leaves=self._leaves(setups),
            more=(Facts(rows), *(placed if self._placed_anew(loading) else [OffPaper(tuple(placed))]), OffPaper(tuple(plots))),
            side=self._side(setups),
        )
        self._dried |= {loading.file} if dry else set()
        self._done = (*self._done, loading)
        return step

    def _sheets(self, setups: Sequence[SetupFacts]) -> Iterator[Link]:
        """Yield the sheet of each kind of board that stands there, where the packet has it."""
        for mark in dict.fromkeys(self.facts.names.mark(setup.entry.board) for setup in setups):
            name = f"drawings/board-{mark}.svg"
            if (self.facts.folder / name).is_file():
                yield Link(f"Sheet of {mark}", name)

    def _placed_anew(self, loading: LoadingFacts) -> bool:
        """Tell whether boards of these parts are placed so for the first time: paper tells it once."""
        now = set[str]()
        for setup, stacked in zip(loading.setups, loading.stacked, strict=True):
            part = "groove" if end_worked(setup.entry) == "groove" else self.facts.boards[setup.entry.board].role.split()[-1]
            now.add(f"{stacked} {setup.entry.hold} {part}")
        new = now - self._told
        self._told |= now
        return bool(new)

    def _lines(self, loading: LoadingFacts) -> tuple[str, ...]:
        """Return what to do: a line for each board, and one for what is run."""
        names, lines = self.facts.names, list[str]()
        for setup, stacked in zip(loading.setups, loading.stacked, strict=True):
            entry, held = setup.entry, names.held.get(setup.stem, setup.entry.hold)
            how = held.removeprefix(f"{entry.hold}, ").removeprefix("groove, ").replace("the operator", "you")
            slid = ", with the distance piece" if _slid_mm(setup) else ""
            if stacked > 1:
                how = f"{_COUNTS[stacked]} boards stacked face to face, each {how}, ends and reference edges flush"
            lines.append(f"{entry.stop.capitalize()} stop{slid}: {names.mark(entry.board)}, {how}.")
        each = "once a board" if sum(loading.stacked) == 1 else f"each time {_COUNTS[sum(loading.stacked)]} boards"
        often = "" if loading.times == 1 else f", {loading.times} times: {each}"
        words = " ".join(word for setup in loading.setups for word in names.place.get(setup.stem, ()))
        then = [
            f"Before the last board of this setting is unclamped, set the {stop} with the distance piece." for stop in _stops_to_set(words)
        ]
        return (*lines, f"Run {PurePosixPath(loading.file).name}{often}.", *then)

    def _changes(self, setups: Sequence[SetupFacts]) -> tuple[Tick, ...]:
        """Return what changes since the step before: hold, cutter, zeros, backing."""
        first = setups[0]
        before = self._done[-1].setups[0] if self._done else None
        found: list[Tick] = []
        if before is None or before.entry.hold != first.entry.hold:
            block = ", end block along X at Y 0" if _lies_by_end(first) else ""
            fence = ", fence along X" if end_worked(first.entry) == "groove" else block
            found.append(Tick("hold", f"The {first.entry.hold} hold is set up: {_HOLDS[first.entry.hold]}{fence}"))
        new_cutter = before is None or before.tools != first.tools
        if new_cutter:
            found.append(Tick("cutter", f"Cutter {self._cutter(first)}"))
            if not _table_of_lengths(first):
                self._zeros = {offset: (own, None) for offset, (own, _) in self._zeros.items()}
        if first.program.run.probed and "plate" not in self._told:
            found.append(Tick("check", "The touch plate works: touched to the clip by hand, the machine reads it"))
        for setup in setups:
            entry, slid_mm = setup.entry, _slid_mm(setup)
            if entry.hold == "upright" and entry.backing != self._strips.get(entry.stop):
                self._strips[entry.stop] = entry.backing
                found.append(Tick("backing", f"Whole wood of the backing piece behind the end, at the {entry.stop} stop"))
            if slid_mm:
                found.append(Tick("hold", f"The stop is set {mm(slid_mm)} to the {entry.stop} of X zero, by the distance piece"))
            elif self._was_slid(setup):
                found.append(Tick("hold", f"The {entry.stop} stop is clamped again, and X zero set anew at it"))
            found += self._zero(setup)
        return tuple(found)

    def _was_slid(self, setup: SetupFacts) -> bool:
        """Tell whether the board before at a setup's stop was slid, so that the stop was taken away."""
        at = setup.entry.hold, setup.entry.stop
        before = [own for loading in self._done for own in loading.setups if (own.entry.hold, own.entry.stop) == at]
        return bool(before) and _slid_mm(before[-1]) > 0.0

    def _zero(self, setup: SetupFacts) -> Iterator[Tick]:
        """Yield what is set of a zero."""
        entry, machine = setup.entry, self.facts.names.machine
        levelled = machine is not None and machine.height_stop
        height = self.facts.boards[entry.board].size[2] if entry.hold == "flat" else 0.0 if levelled else math.nan  # which is like no other
        if probed := setup.program.run.probed:
            height = 0.0
        kind = entry.hold, end_worked(entry) == "groove", entry.stop
        was_kind, was_height = self._zeros.get(entry.work_offset, (None, None))
        self._zeros[entry.work_offset] = kind, height
        told = re.search(r"Zero: (.+?)\.", " ".join(self.facts.names.place.get(setup.stem, ())))
        where = f": {told[1]}" if told else f" at the {entry.stop} stop"
        every = ", and Z on every board" if math.isnan(height) else ""
        if probed:
            across, _, on = where.partition(", Z at ")
            if was_kind != kind:
                yield Tick("zero", f"{entry.work_offset} is set{across}")
            laid = f"on {on or 'the board'}, clip on the cutter; both away when it stops again"
            yield Tick("zero", f"Z of {entry.work_offset} by the touch plate, when the program stops for it: {laid}")
        elif was_kind != kind:
            yield Tick("zero", f"{entry.work_offset} is set{where}{every}")
        elif math.isnan(height):
            yield Tick("zero", f"Z zero of {entry.work_offset} is set on every board")
        elif was_height != height:
            yield Tick("zero", f"Z zero of {entry.work_offset} is set anew{where.rpartition(',')[2].replace(' Z', ':', 1) if told else ''}")

    def _dry_ticks(self, loading: LoadingFacts, files: Sequence[str]) -> Iterator[Tick]:
        """Yield the dry run, or whose dry run tries this one."""
        by = self._tried[loading.file]
        if files:
            zero = ", Z zero set by hand" if loading.setups[0].program.run.probed else ""
            yield Tick("dry run", f"Dry run, spindle off{zero}: {', then '.join(PurePosixPath(name).name for name in files)}")
        elif by != loading.file or by in self._dried:
            tried = f"Tried by the dry run of {PurePosixPath(by).stem}, which goes wherever this one goes in X and Y"
            yield Tick("dry run", f"{tried}; clamps stand as in the picture")

    def _clamps(self, setups: Sequence[SetupFacts]) -> Iterator[Tick]:
        """Yield where clamps stand and what is kept clear, by how the boards are placed."""
        found: dict[str, list[str]] = {}
        for setup in setups:
            words = " ".join(self.facts.names.place.get(setup.stem, ())).replace("Clamp it ", "Clamp ")
            if told := [
                *re.findall(r"((?:Stop and clamps stay|Clamp) .+?)\.(?= |$)", words),
                *re.findall(r"Keep (.+? free .+?)(?=, |\.(?: |$))", words),
            ]:
                found.setdefault("; ".join(told), []).append(setup.entry.stop)
        for words, stops in found.items():
            yield Tick("check", words if len(found) == 1 else f"{stops[0].capitalize()} stop: {words[0].lower()}{words[1:]}")

    def _minutes(self, loading: LoadingFacts) -> float:
        """Return what the setups take, machine and hands; without a plan the machine alone."""
        hands = [handling_seconds(self.facts, handled_in(self.facts, own)) or 0.0 for own in (self._done, (*self._done, loading))]
        return (loading.seconds * loading.times + hands[1] - hands[0]) / 60

    def _needs(self, setups: Sequence[SetupFacts]) -> tuple[BoardState, ...]:
        """Return what its boards must be: marked, what comes first at the same end done, and for a groove the joints tried."""
        found: list[BoardState] = []
        for setup in setups:
            end, place = end_worked(setup.entry), self.facts.setups.index(setup)
            begun = [own for own in self.facts.setups[:place] if end_worked(own.entry) == end and set(own.boards) & set(setup.boards)]
            for name in setup.boards:
                states: list[str] = [Made.MARKED]
                states += [cut_state(self.facts.boards[name], end, begun=True)] if begun else []
                states += [Made.GROOVE_MARKED] if end == "groove" and not self.facts.limits.trials else []
                found += in_state([name], *states)
        return tuple(found)

    def _leaves(self, setups: Sequence[SetupFacts]) -> tuple[BoardState, ...]:
        return tuple(
            BoardState(name, cut_state(self.facts.boards[name], end_worked(own.entry), begun=not last_at_its_end(self.facts, own)))
            for own in setups
            for name in own.boards
        )

    def _title(self, setups: Sequence[SetupFacts]) -> str:
        return "; ".join(self.facts.names.titles.get(setup.stem, setup.stem.replace("-", " ")) for setup in setups)

    def _side(self, setups: Sequence[SetupFacts]) -> Literal["", "left", "right"]:
        """Return which of a pair of boards it is about, where it is about one."""
        role = self.facts.boards[setups[0].entry.board].role if len(setups) == 1 else ""
        return "left" if role == "left side" else "right" if role == "right side" else ""

    def _reaches_out(self, setup: SetupFacts) -> bool:
        """Tell whether a board is longer than the bed of the travel's size that it lies on, or was slid beyond it."""
        flat = setup.entry.hold == "flat"
        travel_mm = self.facts.limits.machine.travel[end_worked(setup.entry) != "groove"]
        return _slid_mm(setup) > 0.0 or (flat and self.facts.boards[setup.entry.board].size[0] > travel_mm)

    def _cautions(self, setups: Sequence[SetupFacts]) -> tuple[Caution, ...]:
        """Return what must be minded where a hold or a kind of cutter comes for the first time."""
        now: set[str] = {setups[0].entry.hold, *(self.facts.tool(number).kind for number in setups[0].tools)}
        now |= {"reaching"} if any(map(self._reaches_out, setups)) else set()
        now -= self._told
        plates = setups[0].program.run.probed[:1] if "plate" not in self._told else ()
        self._told |= now | ({"plate"} if plates else set())
        return (*map(plate_caution, plates), *(caution for caution in CAUTIONS if caution.applies in now))

    def _rows(self, loading: LoadingFacts) -> tuple[tuple[str, str | Span], ...]:
        """Return what is to be known besides."""
        facts, setups, times = self.facts, loading.setups, loading.times
        rows: list[tuple[str, str | Span]] = [
            ("Cutter", self._cutter(setups[0])),
            ("Zero", " and ".join(f"{own.entry.work_offset} at the {own.entry.stop} stop" for own in setups)),
        ]
        anew = not self._done or self._done[-1].setups[0].entry.hold != setups[0].entry.hold
        if anew and (stands := self._stands(setups[0])):
            rows.append(("Hold", stands))
        if any(joint.planned for joint in facts.limits.joints):
            rows += [("Boards", ", ".join(own.boards)) for own in setups]
        if len(setups) > 1 and setups[0].entry.hold == "upright":
            barred = facts.names.machine is not None and facts.names.machine.height_stop
            how = "by the bar" if barred else "Z zero set on each all the same"
            within = mm(level_mm(facts.limits.machine.clearance, facts.limits.machine.retract))
            rows.append(("Height", f"both ends at one height within {within}, {how}: the cutter goes from one to the other"))
        if sum(loading.stacked) > 1:
            rows.append(("One board alone", " or ".join(setup.entry.file for setup in setups)))
        rows.append(("Machine, each", Span(loading.seconds)))
        return (*rows, ("Machine, all", Span(loading.seconds * times))) if times > 1 else tuple(rows)

    def _stands(self, setup: SetupFacts) -> str:
        """Return where stops, plate and fence stand on the machine's travel, as far as that is known."""
        machine, upright, groove = self.facts.limits.machine, setup.entry.hold == "upright", end_worked(setup.entry) == "groove"
        stops = machine.upright_stops if upright else machine.flat_stops
        across = machine.upright_plate if upright else machine.flat_fence if groove else None
        told = [f"stops at X {mm(stops[0])} and {mm(stops[1])}"] if stops else []
        told += [f"face of the {'plate' if upright else 'fence'} at Y {mm(across)}"] if across is not None else []
        return f"{' and '.join(told)} of the machine's travel" if told else ""

    def _cutter(self, setup: SetupFacts) -> str:
        """Return which cutter is in the spindle, or which ones are one after the other."""
        named = []
        for number in setup.tools:
            tool = self.facts.tool(number)
            diameter_mm, angle_deg = self.facts.names.mark_of(tool)
            angle = f", {angle_deg:g}°" if tool.kind == "dovetail" else ""
            named.append(f"{number} ({tool.kind}, {mm(diameter_mm)}{angle})")
        return ", then ".join(named)

    def _both(self, loading: LoadingFacts) -> Picture | None:
        """Return how all boards of a setup are held, where there are several."""
        if sum(loading.stacked) == 1:
            return None
        marks = [
            f"{self.facts.names.mark(own.entry.board)}{f', {stacked} stacked,' if stacked > 1 else ''} at the {own.entry.stop} stop"
            for own, stacked in zip(loading.setups, loading.stacked, strict=True)
        ]
        words = f"{' and '.join(marks)}, seen from where you stand"
        return self.images.find(f"drawings/{PurePosixPath(loading.file).stem}-setup.svg", words)

    def _held(self, setup: SetupFacts) -> list[Picture]:
        """Return how a board is held."""
        mark = self.facts.names.mark(setup.entry.board)
        hold = self.facts.names.held.get(setup.stem, setup.entry.hold)
        words = f"{mark} in the machine, seen from where you stand: {hold}, {setup.entry.stop} stop"
        held = self.images.find(f"drawings/{setup.stem}-setup.svg", words, f"{setup.entry.stop.capitalize()} stop")
        return [held] if held else []

    def _motion(self, setup: SetupFacts, stacked: int) -> Picture | None:
        """Return how the cutter moves."""
        stack = f"-x{stacked}" if stacked > 1 else ""
        words = f"{self.facts.names.mark(setup.entry.board)}: plan and section of the cutter's motion in {setup.stem}"
        return self.images.find(f"drawings/{setup.stem}{stack}.svg", words)

    def _boxes(self, loading: LoadingFacts) -> tuple[str, ...]:
        """Return a name for each of several setups: the boards that stand there and their drawers, that at the left stop first."""
        marks = [self.facts.names.mark(setup.entry.board) for setup in loading.setups]
        turned = [mark == marks[0] and place > 0 for place, mark in enumerate(marks)]
        rows = [
            [" + ".join(self._next_board(setup, last) for _ in range(stacked)) for _ in range(loading.times)]
            for setup, last, stacked in zip(loading.setups, turned, loading.stacked, strict=True)
        ]
        return tuple(" + ".join(names) for names in zip(*rows, strict=True))

    def _next_board(self, setup: SetupFacts, turned: bool) -> str:
        """Return the next board that a program cuts.

        Parameters
        ----------
        turned
            The first board comes last: the other end of a board that stands at the left stop is not cut at once.
        """
        if setup.stem not in self._queues:
            names = self._boards(setup)
            self._queues[setup.stem] = names[1:] + names[:1] if turned else names
        return self._queues[setup.stem].pop(0)

    def _boards(self, setup: SetupFacts) -> list[str]:
        """Return every board that a program cuts: its mark, and its drawer."""
        found: list[str] = []
        mark = self.facts.names.mark(setup.entry.board)
        for name in setup.boards:
            count = self.facts.boards[name].count
            owner = next((d for d in self.facts.manifest.drawers if name in d.parts.model_dump().values()), None)
            called = f"{mark} of {self.facts.names.drawer(owner.id)}" if owner else mark
            found += [called] if count == 1 else [f"{called} {i}" for i in range(1, count + 1)]
        return found


def plate_caution(plate: Probed) -> Caution:
    """Return what must be minded where a program touches a plate."""
    reach, feed = mm(plate.reach_mm), quantity(plate.feed_mm_min, "mm/min")
    return Caution(
        "The touch plate",
        f"keep a hand at the stop button, with the clip off the cutter goes its whole {reach} down at {feed}, on to the plate",
        "Lay the plate where the program stops and asks for it, clip on the cutter, tip over the plate. Before the first time touch the "
        "clip to the plate by hand and see that the machine reads it. Keep a hand at the stop button while the cutter goes down: if clip "
        f"or wire is off, nothing halts it, and it goes down {reach} at {feed}, on to the plate. When the program stops again, take plate "
        "and clip away before you go on: the spindle starts then. A dry run touches no plate: set Z zero by hand for it.",
    )


def _table_of_lengths(setup: SetupFacts) -> bool:
    """Tell whether the machine knows the length of every cutter, so that a zero outlasts a change."""
    return re.search(r"^(N\d+ )?G43 ", setup.program.text, re.MULTILINE) is not None


def _lies_by_end(setup: SetupFacts) -> bool:
    """Tell whether an end is worked that lies flat, which nothing places in Y but an end block."""
    return setup.entry.hold == "flat" and end_worked(setup.entry) != "groove"


def _slid_mm(setup: SetupFacts) -> float:
    """Return how far beyond X zero a board stands."""
    return setup.program.limits.slid if setup.program.limits else 0.0


def _stops_to_set(words: str) -> list[str]:
    """Return the stops that are set from a board that still stands in its setting, by how it is placed."""
    return re.findall(r"is unclamped, set the (\w+ stop at the \w+):", words)
