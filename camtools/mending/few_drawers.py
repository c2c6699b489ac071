"""A job with a few of its drawers, each for all that are alike, so that a trial is quick however many there are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from camtools.faults import Change, Fault, Way
from camtools.job.slips import path_of, steps_of

__all__ = ["FewDrawers", "few_drawers"]

Content = dict[str, Any]

_MOST = 8  # kinds of drawers that are tried; the first of those that a fault is told of go before others


@dataclass(frozen=True, slots=True)
class FewDrawers:
    """Tables of a job file with fewer drawers."""

    content: Content
    alike: tuple[tuple[int, ...], ...]  # for each drawer, the places in the job file, from 0, of those that it stands for

    def for_all(self, way: Way) -> Way:
        """Return changes of these tables as those of the whole job file."""
        return tuple(own for change in way for own in self._for_all(change))

    def _for_all(self, change: Change) -> Sequence[Change]:
        match steps_of(change.key):
            case ("drawers", int(at), *rest) if at < len(self.alike):
                return [replace(change, key=path_of(("drawers", place, *rest)).split(" ")[0]) for place in self.alike[at]]
        return [change]


def few_drawers(content: Content, faults: Sequence[Fault]) -> FewDrawers:
    """Return tables with the drawers that faults are of, and some others; all of them where they are few."""
    entries = content.get("drawers")
    if not isinstance(entries, list) or len(entries) <= _MOST:
        return FewDrawers(content, tuple((place,) for place in range(len(entries) if isinstance(entries, list) else 0)))
    concerned = {name for fault in faults for name in fault.drawers}
    kinds: dict[str, list[int]] = {}
    for place, entry in enumerate(entries):
        shape = {key: value for key, value in entry.items() if key not in ("name", "count")} if isinstance(entry, dict) else {}
        name = entry.get("name") if isinstance(entry, dict) else None
        kinds.setdefault(repr((name in concerned or f"drawers[{place + 1}]" in concerned, shape)), []).append(place)
    chosen = sorted(sorted(kinds.items(), key=lambda kind: not kind[0].startswith("(True"))[:_MOST], key=lambda kind: kind[1])
    alike = tuple(tuple(places) for _, places in chosen)
    return FewDrawers(content | {"drawers": [entries[places[0]] for places in alike]}, alike)
