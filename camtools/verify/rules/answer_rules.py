"""What the maker's answers ask of a drawer, worked out anew: where they hold, and what they set there."""

from __future__ import annotations

from collections.abc import Mapping

from camtools.output.manifest import BoardEntry, ProgramEntry, ToolEntry
from camtools.verify.lookups import end_worked
from camtools.verify.written import Values, known

__all__ = ["answered"]

_THICKNESS_MM, _DIAMETER_MM = 0.5, 0.005  # beyond these it is another board or another cutter; common practice, no source


def answered(
    answers: Mapping[str, Values],
    parts: Mapping[str, BoardEntry],
    cuts: Mapping[str, list[ProgramEntry]],
    tools: Mapping[int, ToolEntry],
) -> Values:
    """Return what the answers set for a drawer, by the keys of the job file.

    Thickness, wood and cutters are those of the manifest, each of which is held against the job file elsewhere.

    Parameters
    ----------
    parts, cuts
        The drawer's boards by their part, and the programs of each board by its id.
    """
    found: Values = {}
    groove = answers.get("groove", {})
    of_grooves = [program for board in parts.values() for program in cuts[board.id] if end_worked(program) == "groove"]
    cutters = [tools[number].diameter for program in of_grooves for number in program.tools if number in tools]
    same = all(abs(diameter - known(groove.get("cutter"))) <= _DIAMETER_MM + 1e-9 for diameter in cutters)
    if "play" in groove and same and _same(groove, "bottom", parts):
        found["groove.play"] = groove["play"]
    return found


def _same(answer: Values, part: str, parts: Mapping[str, BoardEntry]) -> bool:
    """Tell whether a board is as the one that an answer was found with."""
    board = parts.get(part)
    if board is None:
        return False
    apart = abs(known(answer.get(f"{part}.thickness")) - board.size[2])
    return apart <= _THICKNESS_MM + 1e-9 and answer.get(f"{part}.wood") == board.wood
