"""The order of work: which program comes after which, so that changes of hold and cutter take the fewest minutes.

Joints come before grooves and the corners of bottoms: when all are cut, drawers are put together dry and marked for their grooves.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from functools import cache
from itertools import chain, groupby, pairwise

from camtools.job.job import Machine
from camtools.toolpath.moves import Program
from camtools.toolpath.workholding import END_GROOVE

__all__ = ["changes_of", "group_of", "in_order"]

_FEW_GROUPS = 9  # all orders of more would be too many to try

_Group = tuple[str, int, int]  # hold, cutter, and which run of a cutter it is at its end: from 0, and from 100 where it cuts no joint
_GROOVES = 100


def group_of(program: Program) -> tuple[str, int]:
    """Return what a change is counted by: a program's hold and cutter."""
    return program.setup.hold, program.cutter.number


def changes_of(groups: Sequence[tuple[str, int]]) -> tuple[int, int]:
    """Count the changes of hold and of cutter over programs run in this order."""
    return sum(a[0] != b[0] for a, b in pairwise(groups)), sum(a[1] != b[1] for a, b in pairwise(groups))


def in_order(ends: Sequence[Sequence[Program]], machine: Machine) -> list[Program]:
    """Sort programs by hold and cutter, joints first, with the fewest minutes of changes, then by stop, kind, setting and name.

    Parameters
    ----------
    ends
        For each end of a board its programs, which stay in this order: one may count on what another has cleared.
    machine
        A change of cutter asks for Z zero anew at both stops.
    """
    each = (machine.handling.hold_min, machine.tool_change_s / 60 + 2 * machine.handling.zero_min)
    keys = [[(*group_of(one), turn + (0 if _is_joint(one) else _GROOVES)) for turn, one in enumerate(programs)] for programs in ends]
    groups = frozenset(chain(*keys))
    before = {pair for own in keys for pair in pairwise(own)}
    before |= {(joint, groove) for joint in groups for groove in groups if joint[2] < _GROOVES <= groove[2]}
    order = _fewest_changes(groups, before, each)
    together = groupby(order, key=lambda group: (*group[:2], group[2] >= _GROOVES))
    place = {group: i for i, (_, same) in enumerate(together) for group in same}
    programs = [(place[key], program) for key, program in zip(chain(*keys), chain(*ends), strict=True)]

    def in_group(own: tuple[int, Program]) -> tuple[object, ...]:
        setup = own[1].setup
        return own[0], setup.stop, setup.kind, setup.setting.slid_mm, _natural(own[1].stem)

    return [program for _, program in sorted(programs, key=in_group)]


def _is_joint(program: Program) -> bool:
    """Tell whether it may come before the trial assembly; all of a trial may, which has none."""
    piece = program.setup.piece
    return piece.trial is not None or (program.setup.end != END_GROOVE and piece.role != "bottom")


def _fewest_changes(groups: frozenset[_Group], before: Collection[tuple[_Group, _Group]], each: tuple[float, float]) -> tuple[_Group, ...]:
    """Return groups in the order with the fewest minutes in which each pair stands as given; where they are many, in a good one.

    Among equals: fewest changes of cutter, then upright work first, so that a half-blind joint is complete early.

    Parameters
    ----------
    each
        Minutes of a change of hold, and of cutter.
    """

    def minutes(holds: int, cutters: int) -> float:
        return round(holds * each[0] + cutters * each[1], 6)

    @cache
    def best(last: _Group | None, left: frozenset[_Group]) -> tuple[int, int, tuple[_Group, ...]]:
        """Return the changes of hold and of cutter from the last group on, and the order of those that are left."""
        ready = [group for group in left if not any((other, group) in before for other in left)]
        if len(left) > _FEW_GROUPS:
            ready = [min(ready, key=lambda group: (minutes(*_changes(last, group)), _rank([group])))]
        found = []
        for group in ready:
            (holds, cutters), (more_holds, more_cutters, order) = _changes(last, group), best(group, left - {group})
            found.append((holds + more_holds, cutters + more_cutters, (group, *order)))
        return min(found, key=lambda one: (minutes(*one[:2]), one[1], _rank(one[2])), default=(0, 0, ()))

    return best(None, groups)[2]


def _changes(last: _Group | None, group: _Group) -> tuple[int, int]:
    return changes_of([*([] if last is None else [last[:2]]), group[:2]])


def _rank(order: Iterable[_Group]) -> list[tuple[bool, int, int]]:
    return [(hold != "upright", cutter, turn) for hold, cutter, turn in order]


def _natural(stem: str) -> tuple[object, ...]:
    return tuple(int(part) if part.isdigit() else part for part in stem.split("-"))
