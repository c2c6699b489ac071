"""The steps by hand: before the machine, between its rounds, and at the bench until the drawer runs in its opening."""

from __future__ import annotations

from collections.abc import Iterator

from camtools.drawer.bench.measured import SHARED_MM
from camtools.page.blocks import Beside, Block, Span, Step, Table, TextBlock
from camtools.page.facts import PacketFacts
from camtools.page.images import Images
from camtools.page.rounds import dry_seconds
from camtools.wording import bare, listed, mm, unit_word

__all__ = ["after_the_machine", "before_the_machine", "distance_piece", "marking_the_grooves"]


_BESIDE_MM, _OVER_MM, _THICK_MM = 40.0, 10.0, 20.0  # of a height stop beyond stops and boards, and its least thickness; common practice


_STACKS = "Keep left sides and right sides in two stacks."
_TO_PREPARE = (
    "Plane to the measured thicknesses, saw to the cut list, ends square. The programs fit these thicknesses and no others: "
    "measure again at the machine.",
    "Boards that came out a few tenths off need not be planed again: measure them on the sheet that `camtools measure` writes, name it in "
    "the job file, and write the packet anew.",
    f"Mark on every board its mark from the cut list, its outside face and its reference edge. {_STACKS}",
)
_PREPARED = (
    "Leave planed boards as they were measured: the programs are made for each as it is. The bottoms are sawn to the cut list.",
    f"Mark on every board its outside face and its reference edge, beside its mark of the sheet. {_STACKS}",
)


def _step(key: str, heading: str, *texts: str) -> Step:
    blocks: tuple[Block, ...] = tuple(TextBlock(text) for text in texts)
    return Step(key, heading, blocks)


def before_the_machine(facts: PacketFacts) -> tuple[Step, ...]:
    """Return what comes before the first board is cut."""
    return (
        _step(
            "stock",
            "Prepare the stock",
            *(_PREPARED if _measured(facts) else _TO_PREPARE),
            *(["Offcuts of the same stock do. Have an offcut of the bottom at hand, to try the grooves."] if facts.limits.trials else []),
            *(
                ["The fronts of a row come from one board, in the order that the cut list tells: draw the arrow over them before you saw."]
                if facts.names.rows
                else []
            ),
            *(
                ["Saw the bottoms too, square: their corners are cut on the machine. Their front edge is the reference edge."]
                if _machined(facts)
                else []
            ),
        ),
        *_as_measured(facts),
        *distance_piece(facts),
        *_height_stop(facts),
        _step("zeros", "Set the zeros", *_zeros(facts)),
        _step(
            "dry-run",
            "Dry run",
            "One for each hold, stop, cutter and size of board, with the boards in place, the spindle off and Z zero set as for the "
            "cut: the steps name them. First the outline, which stops at its corners, then the dry run, the whole motion in the air. "
            "Stop, fence, clamps and travel must be clear, and the cutter must go to the end that the picture shows. Other programs "
            "stay within what was run dry; each has a dry run of its own all the same. Those that are named take "
            f"{Span(dry_seconds(facts))}.",
            *(
                ["From one stop to the other the cutter goes at the safe height, which no dry run shows: watch the first such set-up."]
                if any(len(loading.setups) > 1 for loading in facts.loadings)
                else []
            ),
        ),
        *([] if facts.limits.trials else [_trial_joints()]),
    )


def _trial_joints() -> Step:
    return _step(
        "trial",
        "Trial joints in offcuts",
        "Cut trial joints in offcuts of the same stock, held as the boards will be: camtools trial JOB -o FOLDER writes their programs, "
        "each joint at stepped clearances, and slots that tell the true sizes of the cutters. Answer with what fitted, by camtools fit, "
        "and write the packet again. Only then the boards.",
    )


def _measured(facts: PacketFacts) -> bool:
    return any(joint.planned for joint in facts.limits.joints)


def _as_measured(facts: PacketFacts) -> Iterator[Step]:
    """Yield the step in which boards that were measured are laid out by their marks, where there are such."""
    if not _measured(facts):
        return
    rows = tuple((board.id, facts.names.mark(board.id), *map(bare, board.size)) for board in facts.manifest.boards)
    told = Table("Boards as measured", ("On the board", "Its programs", "Length", "Width", "Thick"), rows, frozenset({2, 3, 4}))
    words = (
        f"Every board has programs that were made for it. Lay the boards out by the marks of the sheet. Those that differ by no more than "
        f"{mm(SHARED_MM)} share programs, which are made for the largest of them: its sizes stand here, in {unit_word()}. A board that was "
        "planed or sawn since is another one: measure it again, and write the packet anew."
    )
    yield Step("measured", "Lay out the boards that were measured", (TextBlock(words), told))


def distance_piece(facts: PacketFacts) -> Iterator[Step]:
    """Yield the step in which the pieces are made by which a stop is set from the one before: the first is a piece's length away."""
    slid_mm: dict[str, float] = {}
    for setup in facts.setups:
        if setup.program.limits is not None and setup.program.limits.slid:
            stop = setup.entry.stop
            slid_mm[stop] = min(slid_mm.get(stop, setup.program.limits.slid), setup.program.limits.slid)
    if slid_mm:
        lengths = " and ".join(f"{mm(length)} for the {stop} stop" for stop, length in slid_mm.items())
        if len({*slid_mm.values()}) == 1:
            lengths = mm(next(iter(slid_mm.values())))
        yield _step(
            "distance-piece",
            "Make a distance piece",
            "Grooves that are longer than the travel reaches are cut in settings that overlap. From each to the next the board is slid "
            f"along the fence by the length of a distance piece: {lengths}. Saw it from a strip of sheet, its ends square, and measure "
            "it: by what it is off, the far part of each groove lies off along the board.",
            "Set the fence parallel to X, with a pin or a dial gauge in the spindle: by what it leans over the length of the distance "
            "piece, a groove has a step in its walls where two settings meet.",
        )


def _height_stop(facts: PacketFacts) -> Iterator[Step]:
    """Yield the step in which the bar is made that brings the ends of upright boards to one height."""
    upright = [setup for setup in facts.setups if setup.entry.hold == "upright"]
    if not upright or facts.names.machine is None or not facts.names.machine.height_stop:
        return
    sizes = [facts.boards[setup.entry.board].size for setup in upright]
    backing_mm = max(setup.program.limits.backing for setup in upright if setup.program.limits)
    stops = facts.limits.machine.upright_stops
    between_mm = stops[1] - stops[0] if stops else max(size[1] for size in sizes)
    length_mm, reach_mm = between_mm + 2 * _BESIDE_MM, backing_mm + max(size[2] for size in sizes) + _OVER_MM
    yield _step(
        "height-stop",
        "Make a height stop",
        f"A straight bar, {mm(length_mm)} long and {mm(_THICK_MM)} thick or more, that lies on the upright plate's upper edge, over "
        f"both stops, and reaches {mm(reach_mm)} or more out in front of the plate's face, over backing and board. Plane the plate's "
        "upper edge straight and level with X, and set the backing flush with it.",
        "Every upright board is pushed up against the bar, then clamped; then the bar is taken off, before anything moves. Hang it "
        "where you see that it is off. By what a chip under it lifts it, joints are cut too deep: brush it clean.",
    )


def _zeros(facts: PacketFacts) -> Iterator[str]:
    """Yield when each work offset is set, and what for."""
    kinds: dict[str, dict[str, None]] = {}
    for setup in facts.setups:
        entry = setup.entry
        what = "flat for a groove" if "groove" in setup.stem else "flat for an end" if entry.hold == "flat" else "upright"
        kinds.setdefault(entry.work_offset, {})[f"{what}, {entry.stop} stop"] = None
    for offset, own in sorted(kinds.items()):
        when = "once, when its first setup comes" if len(own) == 1 else "each time, when the program stops before it moves and asks for it"
        yield f"{offset} ({'; '.join(own)}) is set {when}."
    upright = "upright board, unless all ends are brought to one height, and for every"
    if facts.names.machine and facts.names.machine.height_stop:
        upright = "cutter, the height stop off, and for every"
    flat_only = all(setup.entry.hold == "flat" for setup in facts.setups)
    yield f"Its Z is set again for every {'' if flat_only else f'{upright} '}thickness{'' if flat_only else ' that lies flat'}."


def marking_the_grooves(after_joints: bool) -> Step:
    """Return the step before the first groove is cut."""
    together = "Put front, sides and back together dry" if after_joints else "Stand front, sides and back as they will be in the drawer"
    return _step(
        "mark-grooves",
        "Trial assembly, and mark the grooves' side",
        f"{together}. Check that every joint closes with light persuasion and that left and right sides are where they belong. Then draw a "
        "line along the lower edge of every inside face, across the corners: there the groove comes, and there only. A groove in the "
        "wrong face or along the wrong edge is the commonest ruin of this work.",
    )


def _machined(facts: PacketFacts) -> set[str]:
    """Return the ids of the bottoms that programs cut."""
    return {entry.board for entry in facts.manifest.programs if entry.kind == "cut" and facts.boards[entry.board].role == "bottom"}


def _bottoms(facts: PacketFacts) -> Step:
    """Return the step in which bottoms are sawn, with how the corners of each are cut back and its drawing, and tried."""
    images, machined = Images(facts.folder), _machined(facts)
    sawn = {board.id for drawer in facts.names.drawers.values() for board in drawer.boards if board.role == "bottom"} - machined
    of_these = "each of these bottoms" if machined else "each bottom"
    blocks: list[Block] = []
    if sawn:
        blocks.append(TextBlock(f"Saw {of_these} to its size and cut its corners back: the notches clear the ends of the grooves."))
    if machined:
        blocks.append(TextBlock("Corners that were cut on the machine bear a round cut in the end of each tongue: the grooves hide it."))
    blocks.append(TextBlock("Try each bottom in its grooves; it must slide."))
    seen: set[str] = set()
    for drawer in facts.names.drawers.values():
        board = next(board for board in drawer.boards if board.role == "bottom")
        if board.mark in seen or board.id in machined:
            continue
        seen.add(board.mark)
        words = TextBlock(f"{drawer.bottom_corners}.", lead=board.mark)
        drawing = images.find(f"drawings/board-{board.id}.svg", f"{board.mark} from above, with its corners")
        if drawing and drawing.width_px < drawing.height_px:
            blocks.append(Beside((drawing,), (words,)))
        else:
            blocks += [words, drawing] if drawing else [words]
    return Step("bottoms", "Saw the bottoms" if sawn else "Try the bottoms", tuple(blocks))


def _uneven(facts: PacketFacts) -> Iterator[Block]:
    """Yield what boards that were measured make uneven, drawer by drawer."""
    for drawer in facts.names.drawers.values():
        told = [note.text for note in (*drawer.warnings, *drawer.choices) if note.where == "boards"]
        if told:
            yield TextBlock(f"{'; '.join(told)}.", lead=drawer.name)


def after_the_machine(facts: PacketFacts) -> tuple[Step, ...]:
    """Return what comes when the last board is cut."""
    if facts.limits.trials:
        return _tried(facts)
    joints = facts.limits.joints
    raised, full = (any(joint.back == back for joint in joints) for back in ("raised", "full"))
    proud = max((joint.proud for joint in joints), default=0.0)
    caught = "A bottom caught on four sides goes in now: front and back onto it first, then the sides pushed home. No glue in its grooves."
    slid = "A bottom under a raised back slides in from behind when the glue has set. Fix it at the front only, so that it can move."
    found = [
        _bottoms(facts),
        _step(
            "trial-assembly",
            "Put every drawer together dry, with its bottom",
            "Push the sides home on front and back. Light persuasion, no force. Both diagonals must be equal, the front flush with the "
            "sides at the lower edge.",
        ),
        _step(
            "finish",
            "Finish before assembly",
            "Smooth and finish the inside faces and the bottom while they are flat. Keep finish out of joints and grooves.",
        ),
        _step(
            "glue",
            "Glue up",
            "Glue thinly on flanks and sockets, push the sides home, set square by the diagonals. Glue swells the fibres: work without "
            "delay.",
            *([caught] if full else []),
            *([slid] if raised else []),
        ),
    ]
    if proud:
        unless = ", unless something else is told here" if _measured(facts) else ""
        plane = "Plane from the edges towards the middle, so that nothing splinters."
        words = f"Tails and pins at the back stand {mm(proud)} proud{unless}. {plane}"
        found.append(Step("plane", "Plane the proud ends flush", (TextBlock(words), *_uneven(facts))))
    found.append(
        _step(
            "opening",
            "Fit each drawer to its opening",
            "Plane sides and edges a shaving at a time until the drawer runs without rubbing. Leave the room above it that the damp "
            "season needs; the card of each drawer has the figures.",
        )
    )
    if any(drawer.show_front_mm for drawer in facts.names.drawers.values()):
        found.append(
            _step(
                "show-fronts",
                "Screw the show fronts on",
                "Put the drawer in its place, set the show front to even gaps all round, and screw it on from inside. Slotted holes let "
                "it move.",
            )
        )
    return tuple(found)


def _tried(facts: PacketFacts) -> tuple[Step, ...]:
    """Return the steps by which trial boards are tried."""
    count = "Count the nicks that fit."
    fronts, backs, sides = (listed(names, "and") for names in zip(*(trial.boards for trial in facts.limits.trials), strict=True))
    return (
        _step("half-blind", "Try the half-blind joint", f"The front end of {sides} into each socket of {fronts}. {count}"),
        _step("through", "Try the through joint", f"The rear end of {sides} into each socket of {backs}. {count}"),
        _step("grooves", "Try the grooves", "An offcut of the bottom in each groove, in its order. It must slide, and not rattle."),
        _step("measure", "Measure the slots", "The mouth of each slot at the upper face, three times each, as is told above."),
        _step("answer", "Answer", "Tell camtools fit what fitted and what you measured, then write the packet of the drawers anew."),
    )
