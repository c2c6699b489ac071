"""Every step can be done when it comes: the steps are walked with the state of every board, as the programs make it.

What a program cuts is worked out here, from its motions and the place of its board; what a step by hand asks for is the trade's order
of work (common practice, no source). Neither believes what the step says of itself, and that is held against both.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from camtools.output.manifest import BoardEntry
from camtools.page.facts import PacketFacts, SetupFacts, read_facts
from camtools.page.steps.order_of_work import order_of_work
from tests.page.conftest import NOT_LOOKED_AT, Writer

GROOVE_MM = 16.0  # widest way of a cutter's axis across a board that cuts a groove; a joint's is wider
JOINT = {"front": "sockets", "back": "pins", "left side": "tails", "right side": "tails", "bottom": "corners"}
ENDS = {"side": ("front end", "rear end"), "other": ("left end", "right end")}


def cut_by(setup: SetupFacts, board: BoardEntry) -> str:
    """Return what a program cuts, from where its cutter's axis goes at the feed below the wood's surface, in the frame of the board."""
    rows = np.array(setup.entry.to_machine)
    ends = np.array([motion.end for motion in setup.program.run.motions if motion.kind != "rapid" and motion.end[2] < -0.05])
    own = (ends - rows[:, 3]) @ rows[:, :3]  # a rotation's inverse is its transpose
    radius = 20.0
    inside = own[np.all((own > -radius) & (own < np.array(board.size) + radius), axis=1)]
    if np.ptp(inside[:, 1]) < GROOVE_MM and setup.entry.hold == "flat":
        return "groove cut"
    names = ENDS["side" if "side" in board.role else "other"]
    return f"{JOINT[board.role]} cut at the {names[int(np.mean(inside[:, 0]) > board.size[0] / 2)]}"


class Shop:
    """The boards as they lie in the shop."""

    def __init__(self, facts: PacketFacts) -> None:
        self.facts = facts
        self.boards = facts.boards
        self.done: dict[str, set[str]] = defaultdict(set)  # of each board
        self.left: dict[str, int] = {}  # boards that a program has still to cut
        self.cuts = {setup.stem: cut_by(setup, self.boards[setup.entry.board]) for setup in facts.setups}
        self.loadings = {Path(loading.file).stem: loading for loading in facts.loadings}

    def of(self, *roles: str) -> list[str]:
        return [name for name, board in self.boards.items() if not roles or any(role in board.role for role in roles)]

    def machined(self, role: str = "") -> set[str]:
        return {name for setup in self.facts.setups for name in setup.boards if role in self.boards[name].role}

    def joints(self, name: str) -> set[str]:
        ends = ENDS["side" if "side" in self.boards[name].role else "other"]
        return {f"{JOINT[self.boards[name].role]} cut at the {end}" for end in ends}

    def at_the_machine(self, key: str) -> Iterator[tuple[str, set[str], set[str]]]:
        """Yield what each board of a setup must be, and what it is after it."""
        for setup in self.loadings[key].setups:
            left = self.left.setdefault(setup.stem, sum(self.boards[name].count for name in setup.boards))
            self.left[setup.stem] = left - self.loadings[key].times
            assert self.left[setup.stem] >= 0
            cut = self.cuts[setup.stem]
            later = [own for own in self.facts.setups if self.cuts[own.stem] == cut and set(own.boards) & set(setup.boards)]
            waste = later.index(setup)
            for name in setup.boards:
                needs = {"sawn", "marked"}
                if cut == "groove cut":
                    needs |= {"tried dry", "marked for its groove"}
                needs |= {f"{cut}, {i} of {len(later)}" for i in range(waste)}
                made = {f"{cut}, {waste} of {len(later)}", *([cut] if waste == len(later) - 1 else [])}
                yield name, needs, made if self.left[setup.stem] == 0 else set()

    def by_hand(self, key: str) -> Iterator[tuple[str, set[str], set[str]]]:
        """Yield the same of a step by hand. A key that is not known here has no place in the order of work."""
        facts, solid = self.facts, self.of("front", "back", "side")
        parts = {drawer.id: drawer.parts.model_dump() for drawer in facts.manifest.drawers}
        grooved = [parts[joint.drawer][part] for joint in facts.limits.joints for part in joint.bottom_held]
        if key == "stock":
            yield from ((name, set(), {"sawn"}) for name in [*solid, *self.machined("bottom")])
        elif key == "mark":
            yield from ((name, {"sawn"}, {"marked"}) for name in [*solid, *self.machined("bottom")])
        elif key in ("trial", "height-stop", "distance-piece"):
            return
        elif key == "dry-corners":
            yield from ((name, self.joints(name), {"tried dry"}) for name in solid)
        elif key == "mark-grooves":
            yield from ((name, {"tried dry"}, {"marked for its groove"}) for name in solid)
        elif key == "finish-inside":
            yield from ((name, {"tried dry"}, {"finished inside"}) for name in solid)
        elif key == "bottoms":
            yield from ((name, {"groove cut"}, set()) for name in grooved)
            corners = self.joints
            yield from ((name, corners(name) if name in self.machined("bottom") else set(), {"sawn"}) for name in self.of("bottom"))
        elif key == "trial-assembly":
            yield from ((name, {"groove cut"} if name in grooved else {"sawn"}, {"tried with its bottom"}) for name in self.of())
        elif key == "glue":
            yield from ((name, {"tried with its bottom", "finished inside"}, {"glued up"}) for name in solid)
            yield from ((name, {"tried with its bottom"}, {"glued up"}) for name in self.of("bottom"))
        elif key == "plane":
            yield from ((name, {"glued up"}, {"planed flush"}) for name in self.of())
        elif key == "opening":
            proud = any(joint.proud for joint in facts.limits.joints)
            yield from ((name, {"planed flush"} if proud else {"glued up"}, {"fitted"}) for name in self.of())
        elif key in ("finish-outside", "show-fronts"):
            yield from ((name, {"fitted"}, {"finished outside"} if key == "finish-outside" else set()) for name in self.of())
        else:
            raise KeyError(key)


def walked(facts: PacketFacts) -> Shop:
    """Walk the steps; none may need what is not there."""
    shop = Shop(facts)
    for step in (step for part in order_of_work(facts) for step in part.steps):
        wanted = list(shop.at_the_machine(step.key) if step.where == "machine" else shop.by_hand(step.key))
        for name, needs, _ in wanted:
            assert needs <= shop.done[name], (step.key, name, needs - shop.done[name])
        for need in step.needs:  # what it says itself that it needs must be there too
            assert need.state in shop.done[need.board] or "begun" in need.state, (step.key, need)
        for name, _, made in wanted:
            shop.done[name] |= made
        said = {(own.board, own.state) for own in step.leaves if "begun" not in own.state}
        found = {(name, state) for name, _, made in wanted for state in made if " of " not in state}
        assert found <= said, (step.key, found - said)
        assert all(state in shop.done[name] or step.key in shop.loadings for name, state in said), (step.key, said - found)
    return shop


def all_done(shop: Shop) -> None:
    for name, board in shop.boards.items():
        assert {"glued up", "fitted"} <= shop.done[name]
        assert board.role == "bottom" or shop.joints(name) <= shop.done[name]
    assert set(shop.left.values()) == {0}


def test_no_step_of_a_sample_needs_what_is_not_there(sample: PacketFacts) -> None:
    all_done(walked(sample))


JOBS = [
    ("", ""),
    ('holds = ["flat"]', ""),
    ("", '[groove]\nbottom_corners = "machine"\n'),
    ("travel = [250, 600, 100]", '[fit]\nback = "raised"\n'),
    ("two_at_once = false", "[joints]\nrough = true\n"),
]


@pytest.mark.parametrize(("machine", "more"), JOBS)
def test_no_step_of_a_random_job_needs_what_is_not_there(machine: str, more: str, written: Writer, samples: Path, tmp_path: Path) -> None:
    dice = random.Random(f"{machine}{more}")
    text = (samples / "first-drawer.toml").read_text(encoding="utf-8").replace("[[drawers]]", f"[machine]\n{machine}\n{more}[[drawers]]")
    size = [dice.randrange(low, high, 10) for low, high in ((180, 420), (70, 160), (180, 420))]
    path = tmp_path / "random.toml"
    path.write_text(text.replace("[300, 100, 260]", f"{size}\ncount = {dice.choice([1, 2, 3])}"), encoding="utf-8")
    all_done(walked(read_facts(written(path), NOT_LOOKED_AT)))


def test_what_a_program_cuts_is_read_from_its_motions(sample: PacketFacts) -> None:
    """By hand, of the name: the walk rests on it."""
    boards = sample.boards
    for setup in sample.setups:
        told = cut_by(setup, boards[setup.entry.board])
        name = setup.stem.removesuffix("-waste")
        assert name.endswith("groove") == (told == "groove cut"), setup.stem
        assert told == "groove cut" or name.endswith(told.partition(" at the ")[2].replace(" ", "-")), setup.stem
