"""Fills the blanks of a form, and notes every value that was left to camtools with its reason."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import BaseModel

from camtools.wording import fine, quantity, sizes

__all__ = ["Blanks", "Default", "shared", "step", "unread"]


@dataclass(frozen=True, slots=True)
class Default:
    """A value that the job file left to camtools."""

    key: str  # path, such as "joints.lap"
    value: str
    reason: str
    ask: str = ""  # where the maker finds what it really is: until it is written, the value is assumed


class Blanks:
    """One table of the form: the drawer's own first, then the job's; what neither says is filled in, by an answer where there is one."""

    def __init__(self, path: str, *forms: BaseModel | None, answered: Mapping[str, tuple[float, str]] | None = None) -> None:
        self._path, self._answered = path, answered or {}
        self._forms = [form for form in forms if form is not None]
        self.used: list[Default] = []

    def given(self, key: str) -> Any:
        """Return what is written, or None."""
        return next((value for form in self._forms if (value := getattr(form, key)) is not None), None)

    def take(self, key: str, default: Any, unit: str, reason: str, ask: str = "") -> Any:
        """Return what is written, or else what was answered, or else the default, noted with its reason.

        Parameters
        ----------
        key
            In the table that is filled in.
        default
            In the unit of the job's values: mm, degrees, seconds, rpm or mm/min.
        unit
            Of the default.
        reason
            Why it is taken, in the maker's words.
        ask
            Where the maker finds what it really is, of what can be read or measured.
        """
        value = self.given(key)
        if value is None:
            path = f"{self._path}.{key}"
            answer = self._answered.get(path)
            value, why = answer or (default, reason)
            told = fine(value) if answer and unit == "mm" else _text(value, unit)
            self.used.append(Default(path, told, why, "" if answer else ask))
        return value


def _text(value: Any, unit: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return quantity(value, unit)
    if isinstance(value, tuple):
        return sizes(*value, joined=" × ") if unit else ", ".join(_text(item, "") for item in value)
    return "not known" if value is None else str(value)


def unread(value: object) -> bool:
    """Tell whether a value stands for one that was refused: it is not a number, so it is not even equal to itself."""
    return value != value


def step(value: float, size: float, turn: Callable[[float], int] = round) -> float:
    """Round to a multiple of a size; what could not be read stays so."""
    return float(round(turn(round(value / size, 6)) * size, 6)) if math.isfinite(value) else value


def shared(used: Sequence[Sequence[Default]]) -> Iterable[Default]:
    """Tell a default once where it is the same for every drawer that takes it, and otherwise for each drawer."""
    values: dict[str, dict[Default, None]] = {}
    for ones in used:
        for one in ones:
            values.setdefault(one.key, {})[one] = None
    for key, distinct in values.items():
        if len(distinct) == 1:
            yield from distinct
        else:
            for place, ones in enumerate(used, 1):
                yield from (replace(one, key=f"drawers[{place}].{key}") for one in ones if one.key == key)
