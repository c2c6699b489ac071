"""What each part of the page shows, as values that its template fills in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, Literal

from markupsafe import Markup

from camtools.drawer import drawers_of
from camtools.drawer.boards import Drawer, Layout, Note
from camtools.drawer.case import Row, case_with
from camtools.drawer.styles import STYLES
from camtools.faults import CannotCut, Change
from camtools.job.form import FIRST
from camtools.job.job import Job
from camtools.job.slips import steps_of
from camtools.mending.changes import value_at
from camtools.output.plan_data import Plan
from camtools.output.stock_list import STOCK_COLUMNS, rough_stock_of
from camtools.setout.drawings.elevation import Front, elevation_of
from camtools.setout.drawings.gaps import GapAbove, gaps_of
from camtools.setout.drawings.joint_views import common_scale, corner_at_work, corner_of, layout_of
from camtools.setout.drawings.to_measure import ToMeasure, cutter_measures, measures_of
from camtools.setout.form_lines import FormLine, is_field, lines_of, typed_of
from camtools.setout.set_out import Amiss, SetOut, entries_of
from camtools.wording import bare, counted, mm, whole_minutes

__all__ = ["Picked", "parts_values"]

AT_WORK = {  # what is set at the corner that is drawn large: its letter there, and its title where the schema's does not tell of what
    "tails": ("", "Tails"),
    "tail": ("b", "Outermost tail"),
    "pin": ("c", "Pin"),
    "half_pin": ("a", "Half pin"),
    "lap": ("d", "Lap"),
    "edge": ("e", "Groove above the edge"),
}


@dataclass(frozen=True, slots=True)
class Picked:
    """Which drawer a window has at work, and whether what is set there is for it alone."""

    number: int = 1
    alone: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """Something to pick by its picture: what it is, what it looks like, why it was not taken, and the key and value that take it."""

    words: str
    picture: Markup | None
    why: str
    taken: bool
    typed: str


@dataclass(frozen=True, slots=True)
class Held:
    """A line of a form with the letter that it has in a picture."""

    line: FormLine
    letter: str = ""


@dataclass(frozen=True, slots=True)
class FormTable:
    """A table of the job file: its lines, those that are most asked for first, and a picture of what is to be measured."""

    heading: str
    first: tuple[Held, ...]
    rest: tuple[Held, ...]
    picture: Markup | None = None


def parts_values(set_out: SetOut, picked: Picked) -> Mapping[str, Mapping[str, Any]]:
    """Return what the template of each part of the page fills in."""
    return _Parts(set_out, picked).values()


_HEADINGS = {
    "joints": "Joints of all drawers",
    "groove": "Groove of all drawers",
    "fit": "Fit of all drawers",
    "trial": "Trial joints",
    "templates": "Templates for routing by hand",
    "boards": "Boards as they were measured",
}


class _Parts:
    """The page's parts, of one state of a job and one window."""

    def __init__(self, set_out: SetOut, picked: Picked) -> None:
        self._set_out = set_out
        self._entries = entries_of(set_out.content)
        self._number = min(max(1, picked.number), max(1, len(self._entries)))
        self._alone = picked.alone
        self._known = {**set_out.earlier, **set_out.drawers}
        self._faults = set_out.faults

    def values(self) -> Mapping[str, Mapping[str, Any]]:
        set_out = self._set_out
        both = {"set_out": set_out, "number": self._number, "mending": self, "drawers": self._listed()}
        drawer, at = self._known.get(self._number), f"drawers[{self._number}]"
        stale = self._number not in set_out.drawers
        known = tuple(self._known[place] for place in sorted(self._known))
        found: dict[str, Mapping[str, Any]] = {
            "keeping": {},
            "amiss": {"elsewhere": self._elsewhere(), "together": bool(set_out.reckoned and set_out.reckoned.together)},
            "elevation": {"picture": self._elevation()},
            "piece": {"lines": list(map(_told, lines_of(set_out, ""))), "division": self._division()},
            "corner": {"picture": Markup(corner_at_work(drawer, self._number)) if drawer else None, "stale": stale},
            "drawer": {
                "lines": self._own_lines(),
                "opening": self._sizes("opening"),
                "outside": self._sizes("outside"),
                "joint": self._joint(drawer),
                "tables": [self._table(f"{at}.{name}", heading) for name, heading in _OWN.items()],
                "notes": _notes(drawer),
                "at": at,
                "alone": self._alone,
                "amiss": [one for one in self._faults if one.key == at and not (one.back and one.back.key.startswith(f"{at}."))],
            },
            "choices": {
                "counts": self._counts(drawer),
                "count_key": self._key("tails"),
                "styles": self._styles(drawer),
                "style_key": self._key("style"),
                "holds_for": self._holds_for,
            },
            "corners": {"pictures": _corners(known)},
            "seasons": {"gaps": self._gaps()},
            "rules": {"tables": [self._table(name, _HEADINGS[name]) for name in ("joints", "groove", "fit")]},
            "wood": {"table": self._table("stock", "Boards"), "climate": self._table("stock.climate", "Air in place of moisture")},
            "cutters": {"tables": self._cutters()},
            "machine": {"table": self._table("machine", "Machine"), "handling": self._table("machine.handling", "Minutes of handling")},
            "rest": {"tables": [self._table(name, _HEADINGS[name]) for name in ("trial", "templates", "boards")]},
            "lists": self._lists(),
            "work": {"guesses": [self._words_of(key) for key, default in set_out.defaults.items() if default.ask]},
        }
        return {name: {**both, **own} for name, own in found.items()}

    def place_of(self, amiss: Amiss) -> int:
        """Return the place of a fault among all, from 1."""
        return self._faults.index(amiss) + 1

    def words(self, amiss: Amiss) -> str:
        """Say by which changes a fault goes, in the words of the page: Mosses, opening, height: 20; then the job can be cut."""
        told = []
        for change in amiss.changes:
            place = self._words_of(change.key)
            value = "left out" if change.value is None else typed_of(change.value)
            told.append(f"{place}: {'such as ' if change.example else ''}{value}")
        return "; ".join((*told, amiss.fault.remedy.rpartition("; ")[2]))

    def subject(self, amiss: Amiss, at: str) -> str:
        """Return what a fault is of, where it is told at the field of another key."""
        return "" if steps_of(amiss.key)[: len(steps_of(at))] == steps_of(at) else f"{self._place_words(amiss)}: "

    def typed(self, back: Change) -> str:
        """Return what stood at a key before it was changed, as it would be typed."""
        return "" if back.value is None else typed_of(back.value)

    def back(self, amiss: Amiss, at: str) -> str:
        """Say what a button does that takes a change back: Back to 20; at the field of another key with its words."""
        assert amiss.back is not None
        told = f"Back to {self.typed(amiss.back)}" if amiss.back.value is not None else "Leave it out again"
        return told if amiss.back.key == at else f"{self._words_of(amiss.back.key)}: {told[0].lower()}{told[1:]}"

    def _name(self, number: int) -> str:
        name = self._entries[number - 1].get("name")
        return str(name) if name else f"drawer {number}"

    def _listed(self) -> list[tuple[int, str, bool]]:
        """Return each drawer's number and name, and whether something is amiss with it."""
        wrong = {own for one in self._faults for own in (_drawer_of(one.key),) if own}
        named = {name for one in self._faults for name in one.fault.drawers}
        return [(place, self._name(place), place in wrong or self._name(place) in named) for place in range(1, len(self._entries) + 1)]

    def _elsewhere(self) -> list[tuple[Amiss, str, int, str]]:
        """Return each fault with its field, the drawer that is to be at work to see it, 0 for any, and its place in words."""
        found = []
        for one in self._faults:
            key = one.back.key if one.back and not is_field(one.key) else one.key
            found.append((one, key, _drawer_of(key) or _drawer_of(one.fault.where), self._place_words(one)))
        return found

    def _place_words(self, amiss: Amiss) -> str:
        """Return where a fault stands: Mosses, opening, height."""
        if not amiss.key:
            return amiss.fault.place
        number = 0 if _drawer_of(amiss.key) else _drawer_of(amiss.fault.where)
        return f"{self._name(number)}, {self._words_of(amiss.key)}" if number else self._words_of(amiss.key)

    def _words_of(self, key: str) -> str:
        number, steps = _drawer_of(key), list(steps_of(key))
        words = [self._name(number)] if 0 < number <= len(self._entries) else [str(steps[0])]
        for step in steps[2 if number else 1 :]:
            words.append(str(step).replace("_", " ") if isinstance(step, str) else _AXES[step] if step < 3 and number else str(step + 1))
        return ", ".join(words)

    def _elevation(self) -> Markup | None:
        amiss = {place for place, _, wrong in self._listed() if wrong}
        fronts = [
            Front(place, self._name(place), str(entry.get("row") or ""), _count(entry), self._known.get(place), place in amiss)
            for place, entry in enumerate(self._entries, 1)
        ]
        if not fronts:
            return None
        return Markup(elevation_of(str(self._set_out.content.get("title", "")), fronts, self._number))

    def _division(self) -> Mapping[str, Any]:
        """Return the case as it is divided now, as it would be typed."""
        rows: dict[str, list[Mapping[str, Any]]] = {}
        for entry in self._entries:
            rows.setdefault(str(entry.get("row") or f"of {entry.get('name')}"), []).append(entry)
        drawers = {place: drawer for place, drawer in self._known.items() if place <= len(self._entries)}
        case = case_with(
            tuple(
                Row(name, members)
                for name in dict.fromkeys(str(entry.get("row")) for entry in self._entries if entry.get("row"))
                if (members := tuple(drawer for place, drawer in sorted(drawers.items()) if self._entries[place - 1].get("row") == name))
            )
        )
        first = self._entries[0].get("opening") if self._entries else None
        sizes = first if isinstance(first, list) and len(first) == 3 else ["", "", ""]
        return {
            "width": bare(case.width_mm) if case else typed_of(sizes[0]),
            "depth": typed_of(sizes[2]),
            "partition": bare(max((row.partition_mm(case.width_mm) for row in case.rows), default=0.0) or 12.0) if case else bare(12.0),
            "rows": [(_height(members), sum(_count(one) for one in members)) for members in rows.values()],
        }

    def _own_lines(self) -> list[Held]:
        lines = {steps_of(line.key)[-1]: line for line in lines_of(self._set_out, f"drawers[{self._number}]")} if self._entries else {}
        return [Held(_told(lines[name])) for name in ("name", "count", "row", "family") if name in lines]

    def _sizes(self, name: str) -> list[tuple[str, FormLine]]:
        """Return width, height and depth of an opening or of a drawer as lines of their own."""
        at = f"drawers[{self._number}].{name}"
        written = value_at(self._set_out.content, at)
        sizes = [typed_of(size) for size in written] if isinstance(written, list) else []
        found = []
        for whole in (line for line in lines_of(self._set_out, f"drawers[{self._number}]") if line.key == at) if self._entries else ():
            for axis, word in enumerate(_AXES, 1):
                key = f"{at}[{axis}]"
                amiss = tuple(one for one in whole.amiss if key in one.keys or (axis == 1 and at in one.keys))
                text = sizes[axis - 1] if axis <= len(sizes) else ""
                found.append((word, replace(whole, key=key, title=word, written=text, amiss=amiss, kind="quantity", meaning="")))
        return found

    def _key(self, name: str) -> str:
        """Return the path of a key of the joint that is set for the drawer at work: its own, where that is written or asked for."""
        table = "groove" if name in ("edge",) else "joints"
        own = f"drawers[{self._number}].{table}.{name}"
        return own if self._alone or value_at(self._set_out.content, own) is not None else f"{table}.{name}"

    def _holds_for(self, key: str) -> str:
        """Say for which drawers a key is set."""
        number = _drawer_of(key)
        return f"for {self._name(number)} alone" if number else "for all drawers"

    def _joint(self, drawer: Drawer | None) -> list[Held]:
        """Return the lines of the joint at work, what was chosen for it as taken."""
        lines = {line.key: line for table in ("joints", "groove") for line in self._both(table)}
        chosen = _chosen(drawer)
        found = []
        for name, (letter, title) in AT_WORK.items():
            line = lines.get(self._key(name))
            if line is None:
                continue
            if not line.written and name in chosen:
                line = replace(line, taken=chosen[name], reason="as it looks best" if name == "tails" else "")
            elif not line.written and line.key.startswith("drawers") and (shared := lines.get(line.key.partition("].")[2])):
                line = replace(line, taken=shared.written or shared.taken, reason="as for all drawers")
            found.append(Held(replace(line, title=title), letter))
        return found

    def _both(self, table: str) -> Iterator[FormLine]:
        yield from lines_of(self._set_out, table)
        if self._entries:
            yield from lines_of(self._set_out, f"drawers[{self._number}].{table}")

    def _table(self, path: str, heading: str, measures: ToMeasure | None = None) -> FormTable:
        table = str(next(step for step in reversed(steps_of(path)) if isinstance(step, str)))
        measures = measures or (measures_of(table) if "." not in path else None)
        letters = measures.letters if measures else {}
        lines = {
            name: line for line in lines_of(self._set_out, path) if (name := str(steps_of(line.key)[-1])) not in _AT_CORNER.get(table, ())
        }
        first = [] if path.startswith("drawers") else [name for name in FIRST.get(table, ()) if name in lines]
        first += [name for name, line in lines.items() if first and name not in first and (name in letters or line.amiss or line.ask)]
        return FormTable(
            heading,
            tuple(Held(_told(lines[name]), letters.get(name, "")) for name in first),
            tuple(Held(_told(line), letters.get(name, "")) for name, line in lines.items() if name not in first),
            Markup(measures.picture) if measures else None,
        )

    def _cutters(self) -> list[tuple[int, FormTable]]:
        job = self._set_out.job
        found = []
        for place in range(1, len(entries_of(self._set_out.content, "cutters")) + 1):
            made = job.cutters[place - 1] if job and place <= len(job.cutters) else None
            heading = f"Cutter {made.number}, {made.kind}, {mm(made.diameter_mm)}" if made else f"Cutter {place}"
            found.append((place, self._table(f"cutters[{place}]", heading, cutter_measures(made) if made else None)))
        return found

    def _counts(self, drawer: Drawer | None) -> list[Choice]:
        return [_count_choice(drawer, layout) for layout in drawer.layouts] if drawer else []

    def _styles(self, drawer: Drawer | None) -> list[Choice]:
        """Return the styles, each as this drawer would look in it; once there is time for it."""
        job, key = self._set_out.job, self._key("style")
        if drawer is None or job is None or self._set_out.reckoned is None or self._set_out.reckoned.plan is None:
            return []
        lines = {line.key: line for line in self._both("joints")}
        now = lines[key].written or lines[key].taken
        if key.startswith("drawers") and not lines[key].written:
            now = lines["joints.style"].written or lines["joints.style"].taken
        found = [_styled(_InStyle(self._set_out.text, self._number, name, job)) for name in STYLES]
        return [replace(one, taken=one.typed == now) for one in found]

    def _gaps(self) -> Sequence[GapAbove]:
        set_out = self._set_out
        if set_out.job is None or len(set_out.job.drawers) != len(set_out.drawers):
            return ()
        return gaps_of(set_out.job, [set_out.drawers[place] for place in sorted(set_out.drawers)])

    def _lists(self) -> Mapping[str, Any]:
        job, plan = self._set_out.job, self._set_out.reckoned.plan if self._set_out.reckoned else None
        if job is None or plan is None:
            return {"plan": None}
        drawers = [self._set_out.drawers[place] for place in sorted(self._set_out.drawers)]
        return {
            "plan": plan,
            "cuts": _cuts(plan),
            "stock_columns": STOCK_COLUMNS,
            "stock": [stock.cells for stock in rough_stock_of(job, drawers)],
            "machine_time": whole_minutes(sum(one.times * one.seconds for one in plan.setups)),
            "hands_time": whole_minutes(60 * plan.handling.minutes),
            "told": f"{counted(len(plan.programs), 'program')}, {counted(plan.handling.setups, 'setup')}, "
            f"{counted(plan.handling.boards, 'board')} placed",
        }


_AXES = ("width", "height", "depth")
_AT_CORNER = {"joints": ("tails", "tail", "pin", "half_pin", "lap"), "groove": ("edge",)}  # keys that stand with the drawer at work
_OWN = {
    "stock": "Boards of this drawer",
    "joints": "Joints of this drawer",
    "groove": "Groove of this drawer",
    "fit": "Fit of this drawer",
}


_UNSAID = {
    "units": "mm",
    "count": "1",
    "family": "yes",
    "above": "as the wood moves",
}  # what stands for a key that is left out, beside what camtools tells of


def _told(line: FormLine) -> FormLine:
    return replace(line, taken=line.taken or _UNSAID.get(str(steps_of(line.key)[-1]), ""))


def _drawer_of(key: str) -> int:
    steps = steps_of(key) if key else ()
    return int(steps[1]) + 1 if len(steps) > 1 and steps[0] == "drawers" else 0


def _count(entry: Mapping[str, Any]) -> int:
    count = entry.get("count")
    return count if isinstance(count, int) and not isinstance(count, bool) and 0 < count <= 60 else 1


def _height(members: Sequence[Mapping[str, Any]]) -> str:
    found = next((one.get("opening") or one.get("outside") for one in members), None)
    return typed_of(found[1]) if isinstance(found, list) and len(found) == 3 else ""


def _notes(drawer: Drawer | None) -> Mapping[Literal["choice", "warning"], list[Note]]:
    notes = drawer.notes if drawer else ()
    return {"warning": [note for note in notes if note.kind == "warning"], "choice": [note for note in notes if note.kind == "choice"]}


def _chosen(drawer: Drawer | None) -> Mapping[str, str]:
    """Return what was chosen for a drawer's joint, as it would be typed."""
    layout = next((one for one in drawer.layouts if one.chosen), None) if drawer else None
    if layout is None or layout.half_pin_mm is None:
        return {}
    pins = {"pin": bare(min(layout.pins_mm))} if layout.pins_mm else {}
    return {"tails": str(layout.count), "tail": bare(layout.tails_mm[0]), "half_pin": bare(layout.half_pin_mm), **pins}


def _count_choice(drawer: Drawer, layout: Layout) -> Choice:
    picture = None if layout.half_pin_mm is None else Markup(layout_of(drawer, layout))
    return Choice(counted(layout.count, "tail"), picture, layout.why, layout.chosen, str(layout.count))


@dataclass(frozen=True, slots=True)
class _InStyle:
    """A drawer of a job as it would look in a style; a job is known by its text."""

    text: str
    number: int
    style: str
    job: Job = field(compare=False)


@lru_cache(maxsize=32)
def _styled(asked: _InStyle) -> Choice:
    name, job = asked.style, asked.job
    wishes = tuple(replace(wish, joint=replace(wish.joint, style=name)) for wish in job.drawers)
    try:
        drawer = drawers_of(replace(job, drawers=wishes))[asked.number - 1]
    except CannotCut as error:
        return Choice(name, None, f"can not be cut: {error.faults[0].problem}", False, name)
    layout = next((one for one in drawer.layouts if one.chosen), None)
    picture = Markup(layout_of(drawer, layout)) if layout and layout.half_pin_mm is not None else None
    return Choice(name, picture, STYLES[name].summary, False, name)


def _corners(drawers: Sequence[Drawer]) -> list[tuple[str, Markup, Markup]]:
    """Return each drawer's name, its front corner and its back corner, all at one scale."""
    if not drawers:
        return []
    px = common_scale(drawers)
    return [(one.name, Markup(corner_of(one, "front", px)), Markup(corner_of(one, "back", px))) for one in drawers]


def _cuts(plan: Plan) -> list[tuple[str, ...]]:
    """Return the cut list: mark, how many, length, width, thickness, wood and drawers."""
    rows: dict[tuple[str, str, tuple[float, ...]], list[tuple[str, int]]] = {}
    for drawer in plan.drawers:
        for board in drawer.boards:
            rows.setdefault((board.mark, board.wood, tuple(board.size_mm.values())), []).append((drawer.name, board.count))
    return [
        (mark, str(sum(count for _, count in owners)), *map(bare, sizes), wood, ", ".join(dict.fromkeys(name for name, _ in owners)))
        for (mark, wood, sizes), owners in sorted(rows.items())
    ]
