"""Dialects of RS-274: what a machine's controller understands, read from a small TOML file.

A dialect is described by capability, so that a file can be copied and changed by someone who has only the machine's manual.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Literal, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationError
from pydantic_core import ErrorDetails

from camtools import resources
from camtools.faults import Fault, JobFault
from camtools.job.job import Job
from camtools.job.slips import meant, nearest_file
from camtools.wording import MM_PER_INCH, Units, counted, mm, units_told

__all__ = ["Dialect", "dialect_of", "left_to_operator", "shipped_dialects"]

_LONGEST_LINE = 250  # N 3.3 says 256; its own interpreter takes 253
_SPARE_LINES = 6
_LIST = BeforeValidator(lambda value: tuple(value) if isinstance(value, list) else value)
_MOST_OFFSETS = 6  # G54 to G59, N 3.5.13: one for each kind of setup


class Dialect(BaseModel):
    """What a program is written like. Fields bear the names of the file's keys."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)

    about: str = ""  # a sentence for people
    units: Literal["mm", "inch"] = "mm"
    decimals: int = 4  # of a coordinate
    arcs: bool = True  # G2 and G3; otherwise short lines
    arc_tolerance_mm: float = 0.006  # largest distance from such a line to the arc it stands for, and from a blended corner to its path
    lengths: Literal["touch-off", "table", "one-cutter"] = "touch-off"  # how the length of a cutter is known, if not fitted before
    work_offsets: int = _MOST_OFFSETS  # G54 and those after it
    m6: bool = True  # otherwise the program stops for the change
    path: Literal["exact", "blend", "unsaid"] = "exact"  # G61, G64 P, or whatever the controller does
    spindle_wait: Literal["dwell", "stop", "none"] = "dwell"  # G4 or M0 after the spindle starts
    dwell_unit: Literal["s", "ms"] = "s"  # of P
    safe_height: Literal["retract", "machine"] = "retract"  # over Z0, or the top of travel in machine coordinates
    park_mm: Annotated[tuple[float, float], _LIST] | None = None  # X, Y
    dwell: bool = True  # G4
    spindle: Literal["program", "hand"] = "program"  # S, M3 and M5, or a stop that asks for it
    comments: Literal["parentheses", "semicolon", "none"] = "parentheses"
    line_length: int = _LONGEST_LINE  # characters, its number and comment included
    header: Annotated[tuple[str, ...], _LIST] = ()  # lines of the maker's own, first in every program
    footer: Annotated[tuple[str, ...], _LIST] = ()  # and before its end
    most_lines: int | None = None  # that the controller holds of a program
    most_characters: int | None = None
    probe: Literal["none", "G10 L20"] = "none"  # how a touch by G38.2 sets Z zero, if the controller has a touch plate
    probe_plate_mm: float | None = None  # thickness of the plate; always in mm
    probe_reach_mm: float | None = None  # how far down it goes at most
    probe_feed_mm_min: float | None = None
    line_numbers: bool = False
    ending: Literal["ngc", "nc", "tap", "txt"] = "ngc"  # of the file's name

    @property
    def asking(self) -> tuple[str, ...]:
        """Return the keys by which programs stop and ask for something."""
        one_cutter = self.lengths == "one-cutter"
        stops = {
            'spindle = "hand"': self.spindle == "hand",
            'spindle_wait = "stop"': self.spindle_wait == "stop",
            'lengths = "touch-off"': self.lengths == "touch-off",
            "m6 = false": not self.m6 and not one_cutter,
            f"work_offsets below {_MOST_OFFSETS}": self.work_offsets < _MOST_OFFSETS,
        }
        return tuple(key for key, asks in stops.items() if asks)

    @property
    def probed(self) -> tuple[float, float, float] | None:
        """Thickness of the touch plate, reach and feed of a probe, or None where Z zero is set by hand."""
        told = self.probe_plate_mm, self.probe_reach_mm, self.probe_feed_mm_min
        return None if self.probe == "none" or None in told else told  # type: ignore[return-value]

    @property
    def limited(self) -> bool:
        """Whether the controller holds only so much of a program."""
        return self.most_lines is not None or self.most_characters is not None

    def taken_by(self, job: Job) -> Job:
        """Return a job as the controller can take it: it must hold all programs of a setup in one."""
        return replace(job, machine=replace(job.machine, two_at_once=False, stack_mm=None)) if self.limited else job

    def spare(self, what: str) -> int:
        """Return how many lines or characters are kept free in a part of a program: for its dry run, and to take it up again."""
        return _SPARE_LINES if what == "lines" else _SPARE_LINES * self.line_length // 2

    def holds(self, text: str, *, spare: bool = False) -> bool:
        """Tell whether the controller holds a program, or that and what is kept free in its parts."""
        found = {"lines": (text.count("\n"), self.most_lines), "characters": (len(text), self.most_characters)}
        return all(most is None or length + (self.spare(what) if spare else 0) <= most for what, (length, most) in found.items())


_GONE = {
    "exact_path": 'it is path now: "exact" for true, "unsaid" for false, or "blend"',
    "spindle_dwell": 'it is spindle_wait now: "dwell" for true, "none" for false, or "stop"',
    "one_file_per_cutter": 'it is lengths now: "one-cutter" for true; for false "touch-off", or "table" where the machine keeps one',
}
_NO_LENGTH = ("must be a number of millimetres", "write digits without quotes or unit")
# What pydantic calls it: what is wrong, and what to do.
_KINDS = {
    "bool_type": ("must be true or false", "write true or false without quotes"),
    "int_type": ("must be a whole number", "write digits without quotes or point"),
    "float_type": _NO_LENGTH,
    "finite_number": _NO_LENGTH,
    "string_type": ("must be text", "put it in quotes"),
    "lines": ("must be a list of lines, each in quotes", 'write it like header = ["M8"]'),
    **dict.fromkeys(("tuple_type", "missing", "too_long"), ("must be two lengths in mm, X and Y", "write it like park_mm = [0.0, 400.0]")),
}
# Fewer decimals round a joint by more than is worth losing, more tell nothing: 0.0001 mm; 0.00001 in (NISTIR 6556 3.5.3.2
# allows a start and end radius to differ by 0.002 mm or 0.0002 in, which 3 and 4 decimals break now and then).
_DECIMALS: Mapping[str, tuple[int, int]] = {"mm": (3, 6), "inch": (4, 7)}
_USUAL: Mapping[str, int] = {"mm": 4, "inch": 5}
_FINEST_MM, _COARSEST_MM = 0.001, 0.05  # of arc_tolerance_mm: within the clearance of a glued joint
_SHORTEST_LINE = 60  # what a stop says stands on one line, with its number
_OWN_LINES = ("header", "footer")
_NAME = re.compile(r"[a-z0-9][a-z0-9-]*")
_LARGEST_FILE = 65_536


def shipped_dialects() -> tuple[str, ...]:
    """Return the names of the dialects that come with camtools."""
    return tuple(sorted(path.stem for path in resources.postprocessors().glob("*.toml")))


def dialect_of(name_or_path: str, beside: Path | None = None) -> Dialect:
    """Return the dialect of a shipped name, or of a file's path (relative ones are looked for in ``beside``).

    Raises
    ------
    JobFault
        Where there is no such dialect or file, or its file is at fault; every fault is told at once.
    """
    if _NAME.fullmatch(name_or_path):
        if name_or_path not in shipped_dialects():
            raise JobFault(
                Fault("postprocessor", "there is no such dialect", repr(name_or_path), ", ".join(shipped_dialects()),
                      meant(name_or_path, shipped_dialects()) or "name one of these, or the path of a file of your own ending in .toml")
            )  # fmt: skip
        return _read((resources.postprocessors() / f"{name_or_path}.toml").read_bytes(), f"postprocessors/{name_or_path}.toml")
    path = Path(beside or ".", name_or_path).expanduser()
    try:
        with path.open("rb") as file:
            content = file.read(_LARGEST_FILE + 1)
    except (OSError, ValueError) as fault:
        reason = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
        raise JobFault(
            Fault("postprocessor", f"the file can not be read: {reason}", repr(name_or_path), remedy=nearest_file(path)
                  or "check its path; shipped ones are " + ", ".join(shipped_dialects()))
        ) from None  # fmt: skip
    return _read(content, str(path))


def _read(content: bytes, where: str) -> Dialect:
    try:
        if len(content) > _LARGEST_FILE:
            raise ValueError(f"it is longer than {_LARGEST_FILE} bytes")
        table = tomllib.loads(content.decode())
    except ValueError as fault:  # TOMLDecodeError and UnicodeDecodeError are ValueErrors
        raise JobFault(Fault(where, f"not a TOML file: {fault}", remedy="copy a shipped dialect and change that")) from None
    errors: list[ErrorDetails] = []
    try:
        Dialect.model_validate(table)
    except ValidationError as refused:
        errors = sorted(refused.errors(include_url=False), key=lambda error: error["type"] != "extra_forbidden")
    faults = [_fault(error, where) for error in errors]
    values = {key: value for key, value in table.items() if key not in {error["loc"][0] for error in errors}}
    if "units" not in table:
        faults.append(Fault(f"{where}: units", "missing", limit='"mm" or "inch"', remedy='write units = "mm" or units = "inch"'))
    faults += _range_faults(values, where)
    if values.get("m6") is False and values.get("lengths") == "table":
        remedy = 'write lengths = "touch-off", or m6 = true'
        faults.append(Fault(f"{where}: m6", "a table of lengths serves cutters that M6 changes", "false", "true", remedy))
    faults += _own_line_faults(values, where)
    faults += [*_stop_faults(values, where), *_probe_faults(values, where)]
    if "park_mm" in values and values.get("safe_height") != "machine":
        remedy = 'write safe_height = "machine" if the machine homes, or leave it out: then programs end straight above the work'
        faults.append(Fault(f"{where}: park_mm", "needs machine coordinates", limit='safe_height = "machine"', remedy=remedy))
    if faults:
        raise JobFault(*faults)
    return Dialect(**{"decimals": _USUAL[values["units"]], **values})


def left_to_operator(dialect: Dialect) -> tuple[str, ...]:
    """Return what its programs leave to the one who runs them, a sentence each."""
    start = {
        "retract": "Start with the cutter clear of all that is higher than the safe height that the program names: its first move goes "
        "straight to it, up or down.",
        "machine": "Home the machine before you start: programs begin and end at the top of its travel.",
    }
    lengths = {
        "touch-off": "Set Z zero with every cutter: the program stops for it before that cutter moves.",
        "table": "Keep the machine's table of lengths right for every cutter.",
        "one-cutter": "Fit the cutter that a program names and set Z zero with it before you start: no program changes one.",
    }
    moved = (
        "See that the controller lets you jog the machine while a program is stopped: zeros are set then. With one that does not, "
        'take lengths = "one-cutter" and a work offset for each kind of setup, as cutter-files.toml.'
    )
    by_hand = "Change cutters by hand: the program stops and names the one to fit."
    kinds = "Set X, Y and Z zero where a program stops and asks: six kinds of setup share {}."
    zeros = "Set the work offset of each kind of setup once, X and Y; Z as the page says."
    waits = {
        "dwell": "",
        "hand": "Switch the spindle on and off where a program stops and asks for it, at the speed that it names.",
        "stop": "Go on once the spindle is at full speed: the program stops after it starts.",
        "none": "See that the controller waits until the spindle is at full speed: the program does not.",
    }
    parts = "Run the parts of a program one after the other on a board, before you take it out of its hold."
    corners = "" if dialect.path != "unsaid" else "Set the controller to keep to corners exactly: the program does not ask for it."
    told = (
        start[dialect.safe_height],
        "" if dialect.m6 or dialect.lengths == "one-cutter" else by_hand,
        lengths[dialect.lengths] if dialect.probed is None else "",
        moved if dialect.lengths == "touch-off" or dialect.work_offsets < _MOST_OFFSETS else "",
        zeros if dialect.work_offsets >= _MOST_OFFSETS else kinds.format(counted(dialect.work_offsets, "work offset")),
        waits["hand" if dialect.spindle == "hand" else dialect.spindle_wait],
        corners,
        ""
        if dialect.probed is None
        else "Lay the touch plate where a program stops and asks for it, its clip on the cutter, and try both by hand before: the program "
        "sets Z zero by them; for a dry run, which touches nothing, set it by hand. See that the controller stands still where it touched: "
        "with one that backs off every cut is too shallow.",
        "" if dialect.dwell else "Follow the outline with your hand at the stop button: it does not pause at its corners.",
        "" if dialect.comments != "none" else "Read in the page or its picture what a program is for: no word stands in it.",
        parts if dialect.limited else "",
        "Answer for your own first and last lines: they are in every program, dry runs too." if dialect.header or dialect.footer else "",
    )
    return tuple(sentence for sentence in told if sentence)


def _fault(error: ErrorDetails, where: str) -> Fault:
    key, kind, value = str(error["loc"][0]), error["type"], error["input"]
    place, known = f"{where}: {key}", list(Dialect.model_fields)
    if kind == "extra_forbidden":
        return Fault(place, "unknown key", limit=", ".join(known), remedy=_GONE.get(key) or meant(key, known) or "leave it out")
    if kind != "literal_error":
        problem, remedy = _KINDS["lines" if kind == "tuple_type" and key in _OWN_LINES else kind]
        return Fault(place, problem, repr(value), remedy=remedy)
    choices = get_args(Dialect.model_fields[key].annotation)
    limit = " or ".join(f'"{choice}"' for choice in choices)
    if not isinstance(value, str):
        return Fault(place, "must be text", repr(value), limit, "put it in quotes")
    return Fault(place, "not one of the choices", repr(value), limit, meant(value, choices) or "choose one of these")


def _own_line_faults(values: Mapping[str, Any], where: str) -> Iterator[Fault]:
    """Judge what any line must be; what its words do is judged by the reader of programs, where one is asked."""
    longest = values.get("line_length", _LONGEST_LINE)
    for key in _OWN_LINES:
        for place, line in enumerate(values.get(key, ()), 1):
            at = f"{where}: {key}[{place}]"
            if not line.strip():
                yield Fault(at, "is blank, and no line of a program is", repr(line), remedy="leave it out")
            elif not (line.isascii() and line.isprintable()):
                yield Fault(at, "must be one line of plain ASCII", repr(line), remedy="write each line in quotes of its own")
            elif len(line) > longest:
                yield Fault(at, "is too long", f"{len(line)} characters", f"{longest}, line_length", "shorten it")


def _stop_faults(values: Mapping[str, Any], where: str) -> Iterator[Fault]:
    """Compare stops and waits with what the controller can say and do."""
    by_hand = values.get("spindle") == "hand"
    if values.get("dwell") is False and values.get("spindle_wait", "dwell") == "dwell" and not by_hand:
        remedy = 'write spindle_wait = "stop", or "none" where the controller waits by itself'
        yield Fault(f"{where}: spindle_wait", "needs G4, which dwell = false rules out", '"dwell"', '"stop" or "none"', remedy)
    asking = Dialect.model_construct(**values).asking
    if values.get("comments") == "none" and asking:
        problem = f"programs stop, and no comment would say what for: {', '.join(asking)}"
        remedy = 'write comments = "semicolon", or the lengths = "one-cutter" or "table", spindle_wait and work_offsets that need no stop'
        yield Fault(f"{where}: comments", problem, '"none"', '"parentheses" or "semicolon"', remedy)


_PROBE: Mapping[str, tuple[float, float, str]] = {
    "probe_plate_mm": (0.1, 50.0, "mm"),
    "probe_reach_mm": (5.0, 50.0, "mm"),
    "probe_feed_mm_min": (10.0, 300.0, "mm/min"),
}  # common practice, no source; the check knows the same limits


def _probe_faults(values: Mapping[str, Any], where: str) -> Iterator[Fault]:
    """Judge what is said of a touch plate: all of it or nothing, and only where programs stop for Z zero."""
    on = values.get("probe", "none") != "none"
    for key, (low, high, unit) in _PROBE.items():
        value = values.get(key)
        if on is (value is None):
            problem = "missing: nothing of a touch plate is taken for granted" if on else "is said, and no probe"
            yield Fault(f"{where}: {key}", problem, limit=f"{low:g} to {high:g} {unit}", remedy='measure it, or leave probe = "none"')
        elif value is not None and not low <= value <= high:
            yield Fault(f"{where}: {key}", "out of range", f"{value:g} {unit}", f"{low:g} to {high:g} {unit}", "measure it again")
    if on and values.get("lengths", "touch-off") != "touch-off":
        remedy = 'write lengths = "touch-off", or leave probe = "none"'
        yield Fault(f"{where}: probe", "sets Z zero where programs stop for it", f'lengths = "{values["lengths"]}"', '"touch-off"', remedy)


def _range_faults(values: Mapping[str, Any], where: str) -> list[Fault]:
    faults = []
    units = values.get("units", "mm")
    low, high = _DECIMALS[units]
    decimals = values.get("decimals")
    if decimals is not None and not low <= decimals <= high:
        faults.append(Fault(f"{where}: decimals", "out of range", str(decimals), f"{low} to {high} for {units}", f"use {_USUAL[units]}"))
        decimals = None
    if not 1 <= values.get("work_offsets", _MOST_OFFSETS) <= _MOST_OFFSETS:
        found, limit = str(values["work_offsets"]), f"1 to {_MOST_OFFSETS}, from G54 on"
        faults.append(Fault(f"{where}: work_offsets", "out of range", found, limit, "write as many as the controller has"))
    if not _SHORTEST_LINE <= values.get("line_length", _LONGEST_LINE) <= _LONGEST_LINE:
        found, limit = f"{values['line_length']} characters", f"{_SHORTEST_LINE} to {_LONGEST_LINE}"
        faults.append(Fault(f"{where}: line_length", "out of range", found, limit, "leave it out if the manual names no limit"))
    for key, least in (("most_lines", 30), ("most_characters", 1000)):
        if (most := values.get(key)) is not None and most < least:
            remedy = "a program that cuts anything is longer"
            faults.append(Fault(f"{where}: {key}", "out of range", str(most), f"at least {least}", remedy))
    tolerance = values.get("arc_tolerance_mm", Dialect().arc_tolerance_mm if values.get("arcs") is False else None)
    if tolerance is not None:
        # A line's end is rounded too, so it must be allowed to stray by more than that.
        finest = max(_FINEST_MM, 2 * (1.0 if units == "mm" else MM_PER_INCH) / 10 ** (decimals or _USUAL[units]))
        if not finest <= tolerance <= _COARSEST_MM:
            limit = f"{finest:g} to {_COARSEST_MM:g} mm, and at least twice the last decimal"
            remedy = f"use {max(Dialect().arc_tolerance_mm, finest):g}, or add a decimal"
            found = f"{tolerance:g} mm" + (f", which is {mm(tolerance)}" if Units.INCH in units_told() else "")
            faults.append(Fault(f"{where}: arc_tolerance_mm", "out of range", found, limit, remedy))
    return faults
