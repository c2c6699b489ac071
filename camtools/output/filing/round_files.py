"""Setups as files: of two boards a text that runs both programs, in the folder ``rounds``, with dry runs; of one board its own program."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, takewhile
from string import ascii_lowercase

from camtools.job.job import Job
from camtools.output.dialects import Dialect
from camtools.output.rs274 import ROUNDS, ProgramFile, program_file, round_text
from camtools.toolpath.dry import dry_setups_of
from camtools.toolpath.handling.loadings import Loading, in_rounds
from camtools.toolpath.moves import Program, dry_stem, stem_of

__all__ = ["LoadedFile", "RoundFile", "ends_of", "loaded_files", "round_files"]

_MOST_SETUPS = 60  # in one text


@dataclass(frozen=True, slots=True)
class LoadedFile:
    """A setup, the file that is run for it, and of two boards its dry runs."""

    name: str  # relative to the packet
    loading: Loading
    programs: tuple[str, ...]  # files of the programs that it runs
    seconds: float
    texts: Mapping[str, str]  # what is written for it, by name; nothing where it is run from the file of its one program
    outline: str = ""
    dry: str = ""
    dry_seconds: float = 0.0  # of both


def loaded_files(loadings: Sequence[Loading], files: Iterable[ProgramFile], dialect: Dialect, job: Job) -> tuple[LoadedFile, ...]:
    """Return each setup with its file.

    Raises
    ------
    PacketFault
        Where a text can not be written.
    """
    written = {file.program.stem: file for file in files if file.program.kind == "cut"}
    digits = max(2, len(str(len(loadings))))
    found = []
    for place, loading in enumerate(loadings, 1):
        own = [written[program.stem] for program in loading.programs]
        alike = [
            file if program.stacked == 1 else program_file(program, dialect, job)
            for file, program in zip(own, loading.programs, strict=True)
        ]
        names, seconds = tuple(file.name for file in own), loading.seconds((file.seconds for file in alike), job.machine)
        if len(own) == 1 and loading.programs[0].stacked == 1:
            found.append(LoadedFile(names[0], loading, names, seconds, {}))
            continue
        stem = stem_of(f"{place:0{digits}}", "pair" if len(own) > 1 else "stack", ends_of(loading))
        dry_stems = (f"dry/{dry_stem(stem, kind)}" for kind in ("outline", "dry"))
        name, outline, dry = (f"{ROUNDS}/{file}.{dialect.ending}" for file in (stem, *dry_stems))
        in_air = dry_setups_of(loading.programs, job.machine)
        run = zip((name, outline, dry), (loading.programs, *in_air), strict=True)
        texts = {file: round_text([programs], dialect, job) for file, programs in run}
        dry_seconds = sum(loading.seconds((program.seconds for program in programs), job.machine, dry=True) for programs in in_air)
        found.append(LoadedFile(name, loading, names, seconds, texts, outline, dry, dry_seconds))
    return tuple(found)


def _alike(first: Sequence[str], second: Sequence[str]) -> int:
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(first, second, strict=False)))


def ends_of(loading: Loading) -> str:
    """Return the boards and ends of a setup; what both have in common once: front-1-right-left, right-left-side-2-rear."""
    first, *others = ([word for word in program.called.split("-")[1:] if word != "end"] for program in loading.programs)
    if not others:
        return "-".join(first)
    (second,) = others
    before = _alike(first, second)
    after = _alike(first[before:][::-1], second[before:][::-1])
    end = len(first) - after
    return "-".join([*first[:end], *second[before : len(second) - after], *first[end:]])


@dataclass(frozen=True, slots=True)
class RoundFile:
    """A text that runs setups in a row, as often as each comes, and stops between them for the boards to be changed."""

    name: str  # relative to the packet
    text: str
    first: int  # place of its first setup among all, from 0
    count: int  # how many kinds of setup it runs


def round_files(loadings: Sequence[Loading], dialect: Dialect, job: Job) -> tuple[RoundFile, ...]:
    """Return a text for each round of setups with one hold and cutter, where it has more than one.

    There is none for a controller that shows no words, for it could not tell what it stops for, nor for one that holds only so many lines.
    A round in which zeros or settings change has several, lettered in order.
    """
    found: list[RoundFile] = []
    if dialect.comments == "none" or dialect.limited:
        return ()
    one_zero = dialect.work_offsets == 1  # for both stops: a round asks for it once, at its start, and so stays at one stop
    place = 0  # of a round's first setup among all
    for number, whole in enumerate(in_rounds(loadings), 1):
        texts: list[tuple[str, int, int, list[tuple[Program, ...]]]] = []
        numbered = enumerate(whole, place)
        place += len(whole)
        for _, row in groupby(numbered, lambda own: (_placed(own[1]), own[1].programs[0].setup.stop if one_zero else "")):
            together: list[tuple[int, Loading]] = []
            for at, loading in [*row, (0, None)]:
                if loading is None or sum(own.times for _, own in together) + loading.times > _MOST_SETUPS:
                    setups = [own.programs for _, own in together for _ in range(own.times)]
                    if 1 < len(setups) <= _MOST_SETUPS:
                        program = setups[0][0]
                        what = "groove-" if program.setup.end == "groove" else ""
                        texts.append((f"{program.setup.hold}-{what}cutter-{program.cutter.number}", together[0][0], len(together), setups))
                    together = []
                if loading is not None:
                    together.append((at, loading))
        letters = ascii_lowercase if len(texts) > 1 else ("",)
        for letter, (what, first, count, setups) in zip(letters, texts, strict=False):
            name = f"{ROUNDS}/round-{number}{letter}-{what}.{dialect.ending}"
            found.append(RoundFile(name, round_text(setups, dialect, job), first, count))
    return tuple(found)


def _placed(loading: Loading) -> object:
    """Return what setups that one text runs have in common."""
    setup = loading.programs[0].setup
    return setup.end == "groove", setup.sheet_mm, setup.setting
