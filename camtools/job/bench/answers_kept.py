"""Writes answers into ``JOB.fit.toml`` and takes them out again; whatever else stands there, comments too, stays as it is."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

import tomlkit
from pydantic import BaseModel
from tomlkit.exceptions import TOMLKitError

from camtools.faults import Fault, JobFault
from camtools.job.bench.answers_form import AnswersForm, form_in

__all__ = ["ANSWERS", "Entry", "entries_of", "kept"]

ANSWERS = tuple(AnswersForm.model_fields)
"""Tables of the file, in the order in which answers are numbered."""

Entry = tuple[str, BaseModel]  # table and answer

_HEAD = """\
# What the bench taught: kept by `camtools fit`, read with the job file beside it. Lengths in mm, angles in degrees.
# An answer holds for boards and cutters like those it was found with. What the job file itself says goes before it.
"""


def entries_of(form: AnswersForm) -> list[Entry]:
    """Return every answer, in the order of their numbers."""
    return [(table, answer) for table in ANSWERS for answer in getattr(form, table)]


def kept(text: str, where: str, given: Sequence[Entry], gone: Collection[int]) -> str:
    """Return the text of a file of answers with some taken out and others written after those of their kind.

    Parameters
    ----------
    text, where
        What is written, nothing where there is no file yet; and what faults are to call it.
    given
        Answers to write.
    gone
        Numbers of those to take out, from 1, in the order of ``entries_of``.

    Raises
    ------
    JobFault
        Where the text is at fault, or written in a way that can not be changed in place.
    """
    numbered = list(enumerate(entries_of(form_in(text, where)), 1))
    wanted: dict[str, list[Any]] = {table: [] for table in ANSWERS}
    for number, (table, answer) in numbered:
        wanted[table] += [] if number in gone else [answer.model_dump()]
    try:
        document: Any = tomlkit.parse(text or _HEAD)
        for table in ANSWERS:
            own = [number for number, (kind, _) in numbered if kind == table]
            for place in reversed(range(len(own))):
                if own[place] in gone:
                    del document[table][place]
            if own and not document[table]:
                del document[table]
        for table, answer in given:
            if table not in document:
                document[table] = tomlkit.aot()
            document[table].append(_written(answer))
            wanted[table].append(answer.model_dump())
        made = str(document.as_string())
    except TOMLKitError as fault:
        raise JobFault(_not_in_place(where, str(fault))) from None
    if form_in(made, where).model_dump() != wanted:
        raise JobFault(_not_in_place(where, "other answers would be changed"))
    return made


def _not_in_place(where: str, why: str) -> Fault:
    remedy = "write each answer as a table of its own, [[half_blind]], those of one kind one after another"
    return Fault(where, f"can not be changed in place: {why}", remedy=remedy)


def _written(answer: BaseModel) -> Any:
    """Return an answer as a table, its boards and cutters each on one line."""
    table = tomlkit.table()
    for key, value in answer.model_dump(exclude_defaults=True).items():
        if isinstance(value, dict):
            table[key] = tomlkit.inline_table()
            table[key].update(value)
        else:
            table[key] = value
    return table
