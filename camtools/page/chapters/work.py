"""The order of work: rounds that take as little handling as can be, and within them a step for each setup."""

from __future__ import annotations

from collections.abc import Iterator

from camtools.page.blocks import Block, Heading, Span, Steps, Table, TextBlock
from camtools.page.facts import LoadingFacts, PacketFacts
from camtools.page.rounds import dry_seconds, handled_in, handling_seconds, rounds_of, time_words, total_seconds
from camtools.page.steps.board_states import end_words
from camtools.page.steps.order_of_work import order_of_work
from camtools.wording import counted

__all__ = ["HEADING", "blocks"]

HEADING = "Order of work"
_SIDES = "Left sides bear a bar at the left and the word LEFT, right sides a bar at the right and RIGHT in black."


def blocks(facts: PacketFacts) -> list[Block]:
    """Return the overview and every step."""
    found: list[Block] = [*_only(facts), *_overview(facts)]
    for part in order_of_work(facts):
        found += [Heading(part.heading), *part.words, Steps(part.steps)]
    return found


def _only(facts: PacketFacts) -> list[Block]:
    """Return what is cut again, and which boards of the whole packet stay good, where the packet is for one thing only."""
    only = facts.limits.only
    if only is None:
        return []
    pieces = {(facts.names.mark(board), facts.boards[board].role, end): None for board, end in only.pieces}
    again = ", ".join(f"{mark} ({role}{f', its {end_words(role, end)}' if end else ''})" for mark, role, end in pieces)
    mates = {facts.names.mark(one): None for one, board in facts.boards.items() if one not in facts.cut_again and board.role != "bottom"}
    good = f"{', '.join(mates)} and all other boards" if mates else "All other boards"
    return [
        TextBlock(f"{again}. One of each is cut.", f"For {only.name} alone, to be cut again", "strong"),
        TextBlock(
            f"{good} stay good if they were cut from this very job file and the files beside it: its print is {facts.job_print} here, and "
            "contents.sha256 of the other packet has it at job.toml. If it was changed since, or the new board is of another thickness, "
            "write the whole packet anew, and cut the drawer anew. Programs in proof/ are those of the other boards, for the check alone: "
            "do not run them.",
            "What stays good",
        ),
    ]


def _overview(facts: PacketFacts) -> list[Block]:
    whole = handled_in(facts, facts.loadings)
    rows: list[tuple[str | Span, ...]] = []
    done: tuple[LoadingFacts, ...] = ()
    for i, round_ in enumerate(rounds_of(facts), 1):
        before, done = handled_in(facts, done), (*done, *round_.loadings)
        after = handled_in(facts, done)
        counts = [getattr(after, name) - getattr(before, name) for name in ("setups", "boards", "zeros", "cutters")]
        hands = [handling_seconds(facts, own) for own in (before, after)]
        taken = "" if hands[0] is None or hands[1] is None else Span(hands[1] - hands[0])
        rows.append((f"Round {i}: {round_.heading(facts)}", *map(str, counts), taken, Span(round_.seconds)))
    hands_in_all = handling_seconds(facts, whole)
    foot = ("In all", *map(str, (whole.setups, whole.boards, whole.zeros, whole.cutters)), Span(hands_in_all) if hands_in_all else "")
    return [
        TextBlock(
            f"The order that takes least handling and machine time. {counted(whole.setups, 'setup')} of the machine place "
            f"{counted(whole.boards, 'board')}, counted once for each end and groove; the hold changes {_times(whole.holds)}, "
            f"the cutter {_times(whole.cutters)}."
        ),
        *_handling_words(facts),
        Table(
            "Rounds",
            ("Round", "Setups", "Boards placed", "Zeros of Z", "Changes of cutter", "Handling", "Machine"),
            tuple(rows),
            frozenset(range(1, 7)),
            (*foot, Span(total_seconds(facts))),
        ),
        TextBlock(time_words(facts)),
        *([] if facts.limits.trials else [TextBlock(_SIDES)]),
        TextBlock(" ".join(_zeros(facts)), "Zeros"),
        TextBlock(_dry_run(facts), "Dry runs"),
    ]


def _zeros(facts: PacketFacts) -> Iterator[str]:
    """Yield when each work offset is set, and what for."""
    kinds: dict[str, dict[str, None]] = {}
    for setup in facts.setups:
        entry = setup.entry
        what = "flat for a groove" if setup.is_groove else "flat for an end" if entry.hold == "flat" else "upright"
        kinds.setdefault(entry.work_offset, {})[f"{what}, {entry.stop} stop"] = None
    for offset, own in sorted(kinds.items()):
        when = "once, when its first setup comes" if len(own) == 1 else "each time, when the program stops before it moves and asks for it"
        yield f"{offset} ({'; '.join(own)}) is set {when}."
    upright = "upright board, and for every"
    if facts.names.machine and facts.names.machine.height_stop:
        upright = "cutter, the height stop off, and for every"
    if any(setup.entry.hold == "flat" and not setup.is_groove for setup in facts.setups):
        yield (
            "Y zero of ends that lie flat is one for boards of any length, so each end is brought to it. Make an end block for it: "
            "straight, along X, its near face at Y 0, and held so that it comes off and finds its place again, as on two pins. Push "
            "each end up to it, clamp the board, take the block off. Without one, set Y zero at the end of every board."
        )
    flat_only = all(setup.entry.hold == "flat" for setup in facts.setups)
    when = "thickness" if flat_only else f"{upright} thickness that lies flat"
    yield f"The Z of an offset is set again for every {when}."
    yield (
        "Before the first work at the machine see that your controller lets you jog while a program is stopped (M0): zeros are set then, "
        "where a program asks for it. `camtools dialects` tells what to do with one that does not."
    )


def _dry_run(facts: PacketFacts) -> str:
    """Tell how dry runs are made, and what they take."""
    by = "by hand" if any(setup.program.run.probed for setup in facts.setups) else "as for the cut"
    return (
        f"One for each hold, stop, cutter and size of board, with the boards in place, the spindle off and Z zero set {by}: the steps name "
        "them. First the outline, which stops at its corners, then the dry run, the whole motion in the air. Stop, fence, clamps and "
        "travel must be clear, and the cutter must go to the end that the picture shows. Other programs stay within what was run dry in X "
        "and Y, and no dry run goes down to the cut; each has a dry run of its own all the same. Those that are named take "
        f"{Span(dry_seconds(facts))}."
    )


def _handling_words(facts: PacketFacts) -> list[Block]:
    """Tell what handling is reckoned with."""
    machine = facts.names.machine
    if machine is None:
        return []
    each = machine.handling
    return [
        TextBlock(
            f"Handling is reckoned with {each.setup_min:g} min for a setup, {each.board_min:g} for each board placed, "
            f"{each.zero_min:g} for each zero of Z, {machine.tool_change_s / 60:g} for a change of cutter, {each.hold_min:g} for a change "
            "of hold: machine.handling and machine.tool_change in the job file."
        )
    ]


def _times(count: int) -> str:
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count} times")
