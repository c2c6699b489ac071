"""The order of work, a step at a time, each with a box to tick."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from camtools.output.cautions import CAUTIONS, Caution
from camtools.page.facts import PacketFacts, ProgramFacts
from camtools.page.images import Images
from camtools.page.tables import clock, marks

__all__ = ["Step", "changes", "steps"]

_SPLIT = re.compile(r"-\d+-cutter-\d+$")
_PLACE = re.compile(r"\(place: (.*)\)$")
_MORE = re.compile(r"\(\.\.\. (.*)\)$")


@dataclass(frozen=True, slots=True)
class Step:
    """One step. ``side`` tells left parts from right ones at a glance."""

    id: str
    heading: str
    kind: str = "hand"
    side: str = ""
    badge: str = ""
    lines: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    pictures: tuple[dict[str, Any], ...] = ()
    cautions: tuple[Caution, ...] = ()
    view: str = ""


@dataclass(slots=True)
class _Seen:
    """What the steps so far have already said."""

    holds: set[str] = field(default_factory=set)
    kinds: set[str] = field(default_factory=set)
    groove: bool = False


def changes(facts: PacketFacts) -> tuple[int, int]:
    """Count the changes of hold and of cutter over all programs in their order."""
    holds = [program.entry.hold for program in facts.programs]
    cutters = [number for program in facts.programs for number in program.entry.tools]
    return sum(a != b for a, b in pairwise(holds)), sum(a != b for a, b in pairwise(cutters))


def steps(facts: PacketFacts, images: Images) -> list[Step]:
    """Return every step from the stock to the drawer in its opening."""
    seen = _Seen()
    work: list[Step] = [*_BEFORE]
    for i, program in enumerate(facts.programs):
        before = facts.programs[i - 1] if i else None
        if _is_groove(program) and not seen.groove:
            seen.groove = True
            work.append(_MARK_GROOVES)
        work.append(_program_step(facts, images, program, before, seen))
    return [*work, *_after(facts)]


def _step(name: str, heading: str, *lines: str) -> Step:
    return Step(name, heading, lines=lines)


_BEFORE = (
    _step(
        "stock",
        "Prepare the stock",
        "Plane to the measured thicknesses, saw to the cut list, ends square. The programs fit these thicknesses and no others: "
        "measure again at the machine.",
        "Mark on every board its mark from the cut list, its outside face, and its reference edge: the edge that will be the "
        "bottom of the drawer, and the front edge of a bottom.",
    ),
    _step(
        "dry",
        "Dry run",
        "For each program: first its outline, then its dry run, from programs/dry, with the spindle off and the board in place. "
        "Stop, clamps, fence and travel must be clear.",
    ),
    _step(
        "trial",
        "A trial joint in offcuts",
        "Cut one joint of each kind in offcuts of the same stock before the boards. Too tight or too loose: change the clearance "
        "in the job file and write the packet again.",
    ),
)
_MARK_GROOVES = _step(
    "mark-grooves",
    "Put the parts together dry and mark the grooves' side",
    "With front and sides together, mark on the inside of every board the lower edge: there the groove comes. A groove on the "
    "wrong side is the commonest ruin of this work.",
)


def _after(facts: PacketFacts) -> list[Step]:
    raised = any(joint.back == "raised" for joint in facts.limits.joints)
    full = any(joint.back == "full" for joint in facts.limits.joints)
    proud = max((joint.proud for joint in facts.limits.joints), default=0.0)
    caught = "A bottom caught on four sides goes in with the glue-up: front and back onto it first, then both sides home. It is not glued."
    slid = "A bottom under a raised back slides in when the glue has set, and is fixed at the front only."
    after = [
        _step("bottoms", "Saw the bottoms", "Saw each bottom to the outline in the cut list; notches clear the grooves' round ends."),
        _step(
            "fit",
            "Put every drawer together dry",
            "Push the sides home on front and back. Joints need light persuasion, not force. Check that the diagonals are equal.",
        ),
        _step("finish", "Finish the inside before assembly", "Smooth and finish inside faces and bottom now; keep finish off the joints."),
        _step(
            "glue",
            "Glue up",
            "Glue on flanks and sockets, sides pushed home, square by the diagonals. Glue swells the fibres: work without delay.",
            *([caught] if full else []),
            *([slid] if raised else []),
        ),
    ]
    if proud:
        words = f"Tails and pins at the back stand {proud:g} mm proud: plane them flush, towards the middle of the board."
        after.append(_step("plane", "Plane the proud ends flush", words))
    words = "Plane sides and edges until the drawer runs without rubbing. Leave the clearance above that the damp season needs."
    after.append(_step("opening", "Fit each drawer to its opening", words))
    return after


def _is_groove(program: ProgramFacts) -> bool:
    return "groove" in program.stem


def _program_step(facts: PacketFacts, images: Images, program: ProgramFacts, before: ProgramFacts | None, seen: _Seen) -> Step:
    entry = program.entry
    called = marks(facts)
    boards = {board.id: board for board in facts.manifest.boards}
    board = boards[entry.board]
    count = sum(boards[name].count for name in program.boards)
    kinds = [facts.tool(number).kind for number in entry.tools]
    cautions = [
        caution for caution in CAUTIONS
        if (caution.applies == entry.hold and entry.hold not in seen.holds)
        or (caution.applies in kinds and caution.applies not in seen.kinds)
    ]  # fmt: skip
    seen.holds.add(entry.hold)
    seen.kinds.update(kinds)
    lines = list(_words(program.text))
    if before is None or before.entry.hold != entry.hold:
        lines.insert(0, f"The {entry.hold} hold from here on.")
    if before is None or before.entry.tools[-1:] != entry.tools[:1]:
        lines.insert(0, f"Cutter {entry.tools[0]} from here on: set Z zero with it.")
    stem = _SPLIT.sub("", program.stem)
    pictures = [
        image for image in (
            images.find(f"drawings/{stem}-setup.png", f"How {called[board.id]} is held for {program.stem}, from where you stand"),
            images.find(f"drawings/{stem}.png", f"Plan and section of the motion of {program.stem}"),
        ) if image
    ]  # fmt: skip
    side = board.role.split()[0] if "side" in board.role else ""
    return Step(
        id=program.stem,
        heading=f"{called[board.id]}: {program.stem.removeprefix(called[board.id]).strip('-').replace('-', ' ') or 'cut'}",
        kind=f"program {entry.hold}",
        side=side,
        badge={"left": "◀ LEFT", "right": "RIGHT ▶"}.get(side, ""),
        lines=tuple(lines),
        facts=(
            ("Program", entry.file),
            ("Pieces", f"{count} × {called[board.id]}"),
            ("Hold and stop", f"{entry.hold}, {entry.stop} stop, {entry.work_offset}"),
            ("Cutters", ", ".join(f"{number} ({facts.tool(number).kind})" for number in entry.tools)),
            ("Time, each", clock(entry.seconds)),
        ),
        pictures=tuple(pictures),
        cautions=tuple(cautions),
        view=program.stem,
    )


def _words(text: str) -> list[str]:
    """Return how to place the board, from the program's own head."""
    sentences: list[str] = []
    open_ = False
    for line in text.splitlines()[:60]:
        line = re.sub(r"^N\d+ ", "", line)
        if found := _PLACE.match(line):
            sentences.append(found.group(1))
            open_ = True
        elif open_ and (found := _MORE.match(line)):
            sentences[-1] += f" {found.group(1)}"
        else:
            open_ = False
    return sentences
