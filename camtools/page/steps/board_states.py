"""What a board is when a step comes, and what the step makes of it: words, the same wherever a step needs or leaves one."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from camtools.output.manifest import BoardEntry
from camtools.page.blocks import BoardState
from camtools.page.facts import PacketFacts, SetupFacts
from camtools.verify.lookups import end_worked

__all__ = ["Made", "boards_made", "cut_state", "end_words", "in_state", "joints_cut", "last_at_its_end"]


class Made(StrEnum):
    """What is made of a board by hand. What programs make of it `cut_state` tells."""

    SAWN = "sawn"
    MARKED = "marked"
    TRIED = "tried dry"
    GROOVE_MARKED = "marked for its groove"
    INSIDE_FINISHED = "finished inside"
    BOTTOM_TRIED = "tried with its bottom"
    GLUED = "glued up"
    PLANED = "planed flush"
    FITTED = "fitted"
    FINISHED = "finished outside"


_JOINTS = {"front": "sockets", "back": "pins", "left side": "tails", "right side": "tails", "bottom": "corners"}


def end_words(role: str, end: str) -> str:
    """Return what an end of a board is called: of ``u=0``, ``u=L``; any other is its own name."""
    side = "side" in role
    return {"u=0": "front end" if side else "left end", "u=L": "rear end" if side else "right end"}.get(end, end)


def cut_state(board: BoardEntry, end: str, *, begun: bool = False) -> str:
    """Return what a board is when programs have cut this end, or begun to: "tails cut at the front end", "groove cut"."""
    done = "begun" if begun else "cut"
    return f"groove {done}" if end == "groove" else f"{_JOINTS[board.role]} {done} at the {end_words(board.role, end)}"


def in_state(boards: Iterable[str], *states: str) -> tuple[BoardState, ...]:
    """Return each of these boards in each of these states."""
    return tuple(BoardState(board, state) for board in boards for state in states)


def boards_made(facts: PacketFacts, *roles: str) -> tuple[str, ...]:
    """Return the ids of the boards that the packet is for, of these parts where any are named."""
    return tuple(name for name, board in facts.boards.items() if name in facts.cut_again and (board.role in roles or not roles))


def joints_cut(facts: PacketFacts) -> tuple[BoardState, ...]:
    """Return every board with every joint that programs cut in it."""
    done = ((board, end_worked(setup.entry)) for setup in facts.setups for board in setup.boards)
    cut = [BoardState(name, cut_state(facts.boards[name], end)) for name, end in done if end != "groove"]
    return tuple(dict.fromkeys(own for own in cut if facts.boards[own.board].role != "bottom"))


def last_at_its_end(facts: PacketFacts, setup: SetupFacts) -> bool:
    """Tell whether no later program works at the end that this one works at."""
    end, later = end_worked(setup.entry), facts.setups[facts.setups.index(setup) + 1 :]
    return not any(end_worked(other.entry) == end and not set(other.boards).isdisjoint(setup.boards) for other in later)
