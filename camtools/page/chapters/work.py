"""The order of work: rounds that take as little handling as can be, and within them a step for each set-up."""

from __future__ import annotations

from pathlib import PurePosixPath

from camtools.page.bench_steps import after_the_machine, before_the_machine, marking_the_grooves
from camtools.page.blocks import Block, Heading, Span, Step, Steps, Table, TextBlock
from camtools.page.facts import LoadingFacts, PacketFacts
from camtools.page.images import Images
from camtools.page.rounds import Round, handled_in, handling_seconds, rounds_of, time_words, total_seconds
from camtools.page.setup_steps import SetupSteps
from camtools.wording import counted

__all__ = ["HEADING", "blocks"]

HEADING = "Order of work"
_SIDES = "Left sides bear a bar at the left and the word LEFT, right sides a bar at the right and RIGHT in black."


def blocks(facts: PacketFacts) -> list[Block]:
    """Return the overview and every step."""
    found: list[Block] = [*_only(facts), *_overview(facts), Heading("Before the machine"), Steps(before_the_machine(facts))]
    making = SetupSteps(facts, Images(facts.folder))
    marked = False
    for i, round_ in enumerate(rounds_of(facts)):
        steps: list[Step] = []
        for loading in round_.loadings:
            if _is_groove(loading) and not marked and not facts.limits.trials:
                marked = True
                steps.append(marking_the_grooves(after_joints=_joints_done_before(facts, loading)))
            steps.append(making.step(loading))
        found += [Heading(f"Round {i + 1}: {round_.heading(facts)}"), *_round_words(facts, round_), Steps(tuple(steps))]
    return [*found, Heading("At the bench"), Steps(after_the_machine(facts))]


def _only(facts: PacketFacts) -> list[Block]:
    """Return what is cut again, and which boards of the whole packet stay good, where the packet is for one thing only."""
    only = facts.limits.only
    if only is None:
        return []
    pieces = {(facts.names.mark(board), facts.boards[board].role, end): None for board, end in only.pieces}
    again = ", ".join(f"{mark} ({role}{f', its {_end(role, end)}' if end else ''})" for mark, role, end in pieces)
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


def _end(role: str, end: str) -> str:
    side = "side" in role
    return {"u=0": "front end" if side else "left end", "u=L": "rear end" if side else "right end"}.get(end, end)


def _round_words(facts: PacketFacts, round_: Round) -> list[Block]:
    """Tell which text runs several set-ups of a round."""
    first = facts.loadings.index(round_.loadings[0])
    own = [one for one in facts.limits.rounds if first <= one.first < first + len(round_.loadings)]
    if not own:
        return []
    names = " and ".join(PurePosixPath(one.file).name for one in own)
    many = " Run them in this order." if len(own) > 1 else ""
    return [
        TextBlock(
            f"{names} in rounds {'run' if many else 'runs'} these set-ups one after the other, each as often as it comes, with a stop for "
            f"every change of boards, the spindle still, that tells which come next.{many} If one is stopped elsewhere, go on with the "
            "programs of the steps."
        )
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
            f"The order that takes least handling and machine time. {counted(whole.setups, 'set-up')} of the machine place "
            f"{counted(whole.boards, 'board')}, counted once for each end and groove; the hold changes {_times(whole.holds)}, "
            f"the cutter {_times(whole.cutters)}."
        ),
        *_handling_words(facts),
        Table(
            "Rounds",
            ("Round", "Set-ups", "Boards placed", "Zeros of Z", "Changes of cutter", "Handling", "Machine"),
            tuple(rows),
            frozenset(range(1, 7)),
            (*foot, Span(total_seconds(facts))),
        ),
        TextBlock(time_words(facts)),
        *([] if facts.limits.trials else [TextBlock(_SIDES)]),
    ]


def _handling_words(facts: PacketFacts) -> list[Block]:
    """Tell what handling is reckoned with."""
    machine = facts.names.machine
    if machine is None:
        return []
    each = machine.handling
    return [
        TextBlock(
            f"Handling is reckoned with {each.setup_min:g} min for a set-up, {each.board_min:g} for each board placed, "
            f"{each.zero_min:g} for each zero of Z, {machine.tool_change_s / 60:g} for a change of cutter, {each.hold_min:g} for a change "
            "of hold: machine.handling and machine.tool_change in the job file."
        )
    ]


def _times(count: int) -> str:
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count} times")


def _is_groove(loading: LoadingFacts) -> bool:
    return "groove" in loading.setups[0].stem


def _joints_done_before(facts: PacketFacts, loading: LoadingFacts) -> bool:
    """Tell whether every joint is cut when this set-up comes."""
    return all(_is_groove(later) for later in facts.loadings[facts.loadings.index(loading) :])
