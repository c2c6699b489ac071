"""The steps by hand: before the machine, between its rounds, and at the bench until the drawer runs in its opening.

What they tell of marking, gluing, finishing and fitting is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from camtools.drawer.bench.measured import SHARED_MM
from camtools.drawer.trial.trial_boards import LENGTHS
from camtools.output.cautions import CAUTIONS, Caution
from camtools.page.blocks import Block, Link, Picture, Step, Table, TextBlock, Tick
from camtools.page.facts import PacketFacts
from camtools.page.images import Images
from camtools.page.steps.board_states import Made, boards_made, in_state, joints_cut
from camtools.wording import bare, listed, mm, unit_word

__all__ = ["after_the_machine", "before_the_grooves", "before_the_machine", "distance_piece"]


_BESIDE_MM, _OVER_MM, _THICK_MM = 40.0, 10.0, 20.0  # of a height stop beyond stops and boards, and its least thickness; common practice
_PIECE_MM = 0.05  # by which a distance piece for ends may be off: what a joint bears; common practice, no source
_SOLID = ("front", "back", "left side", "right side")


def _caution(topic: str) -> tuple[Caution, ...]:
    return tuple(caution for caution in CAUTIONS if caution.topic == topic)


def _words(*texts: str) -> tuple[TextBlock, ...]:
    return tuple(TextBlock(text) for text in texts)


def _links(facts: PacketFacts, files: Mapping[str, str]) -> tuple[Link, ...]:
    """Return links to files of the packet, those that are there, by what they are called."""
    return tuple(Link(text, name) for text, name in files.items() if (facts.folder / name).is_file())


def _exploded(facts: PacketFacts) -> tuple[Picture, ...]:
    """Return a picture of a drawer's boards and how they go together."""
    images = Images(facts.folder)
    found = (
        images.find(f"drawings/exploded-{drawer.id}.svg", f"{facts.names.drawer(drawer.id)}, pulled apart")
        for drawer in facts.manifest.drawers
    )
    return tuple(picture for picture in found if picture)[:1]


def _exploded_links(facts: PacketFacts) -> tuple[Link, ...]:
    """Return links to the pictures of all drawers."""
    drawers = {facts.names.drawer(drawer.id): f"drawings/exploded-{drawer.id}.svg" for drawer in facts.manifest.drawers}
    return _links(facts, drawers)


def before_the_machine(facts: PacketFacts) -> tuple[Step, ...]:
    """Return what comes before the first board is cut."""
    found = [_stock(facts), *_as_measured(facts), _marking(facts), *distance_piece(facts), *_height_stop(facts)]
    return tuple(found) if facts.limits.trials or facts.limits.only else (*found, _trial_joints())


def _stock(facts: PacketFacts) -> Step:
    measured, machined = _measured(facts), _machined(facts)
    do = [
        "Leave planed boards as they were measured." if measured else "Plane to the measured thicknesses, saw to the cut list, ends square."
    ]
    do.append("Smooth the inside faces now: nothing may come off them once joints are cut.")
    more = []
    if not measured:
        more.append(
            "The programs fit these thicknesses and no others: measure again at the machine. Boards that came out a few tenths off need "
            "not be planed again: measure them on the sheet that camtools measure writes, name it in the job file, and write the packet "
            "anew."
        )
    if facts.limits.trials:
        do.append("Offcuts of the same stock do; have one of the bottom too, to try the grooves.")
    elif facts.names.rows:
        do.append("Saw the fronts of a row from one board; draw the arrow over them before you saw.")
    if machined:
        more.append("Saw the bottoms too, square: their corners are cut on the machine. Their front edge is the reference edge.")
    return Step(
        "stock",
        "Prepare the stock",
        "ready",
        tuple(do),
        cautions=_caution("Sound wood"),
        links=_links(
            facts,
            {
                "Cut list": "cutlist.csv",
                "Story stick": "drawings/story-stick.svg",
                "Story stick, first sheet": "drawings/story-stick-1.svg",
            },
        ),
        leaves=in_state(_sawn_first(facts), Made.SAWN),
        more=_words(*more),
    )


def _sawn_first(facts: PacketFacts) -> tuple[str, ...]:
    """Return the ids of the boards that come sawn to the machine."""
    return (*boards_made(facts, *_SOLID), *_machined(facts))


def _marking(facts: PacketFacts) -> Step:
    trials = bool(facts.limits.trials)
    called = "its mark from the cut list" if trials else "its mark from the cut list, and its drawer's name"
    more = [
        "Paper labels help to sort the boards: take them off before a board is clamped, for paper under it lifts it.",
        "Choose as outside face the one that shall show, and as reference edge the one that is planed truest: the bottom edge of fronts, "
        "backs and sides, the front edge of a bottom. Every picture shows the two triangles, and dots on the inside face.",
        "Keep left sides and right sides in two stacks: they are mirror images.",
    ]
    return Step(
        "mark",
        "Mark every board",
        "ready",
        (
            f"Write on the outside face of every board {called}.",
            "Draw two small triangles there, side by side, their points at the reference edge.",
            "Write on it which end is which: front and rear of a side, left and right of the others, seen from the front.",
        ),
        pictures=_exploded(facts),
        ticks=() if trials else (Tick("check", "Left sides and right sides lie in two stacks"),),
        links=_links(
            facts,
            {
                "Labels to cut out": "drawings/labels.pdf",
                "Marking-out sheets": "drawings/marking-out.pdf",
                "Templates, to rout by hand": "templates/read-me.txt",
            },
        ),
        needs=in_state(_sawn_first(facts), Made.SAWN),
        leaves=in_state(_sawn_first(facts), Made.MARKED),
        more=_words(*more),
    )


def _trial_joints() -> Step:
    return Step(
        "trial",
        "Trial joints in offcuts",
        "ready",
        (
            "Have an offcut of the front's, the back's and the side's stock, and one of the bottom's.",
            "Run camtools trial JOB -o FOLDER, and cut what its page tells, held as the boards will be.",
            "Answer with what fitted, by camtools fit; then write this packet again.",
        ),
        cautions=_caution("Dry run first"),
        more=_words(
            f"Three boards for each kind of joint, as short as can be held, {mm(LENGTHS[0])} or more: its cut list has their sizes. A tail "
            "is pushed into socket after socket, each a little looser than the one before, and slots tell the true sizes of the cutters. "
            "Only then the boards."
        ),
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
        f"Every board has programs that were made for it. Those that differ by no more than {mm(SHARED_MM)} share programs, which are made "
        f"for the largest of them: its sizes stand here, in {unit_word()}."
    )
    yield Step(
        "measured",
        "Lay out the boards that were measured",
        "ready",
        (
            "Lay the boards out by the marks of the sheet.",
            "A board that was planed or sawn since is another one: measure it again, and write the packet anew.",
        ),
        more=(TextBlock(words), told),
    )


def distance_piece(facts: PacketFacts) -> Iterator[Step]:
    """Yield the step in which the pieces are made by which a stop is set from the one before: the first is a piece's length away."""
    slid_mm: dict[tuple[str, str], float] = {}
    for setup in facts.setups:
        if setup.program.limits is not None and setup.program.limits.slid:
            kind = "grooves" if setup.is_groove else f"ends held {setup.entry.hold}", setup.entry.stop
            slid_mm[kind] = min(slid_mm.get(kind, setup.program.limits.slid), setup.program.limits.slid)
    if not slid_mm:
        return
    kinds = {kind for kind, _ in slid_mm}
    one = len({*slid_mm.values()}) == 1
    lengths = mm(next(iter(slid_mm.values()))) if one else listed(list(dict.fromkeys(_length_words(slid_mm))), "and")
    do, more = [f"Saw from a strip of sheet, its ends square, a distance piece: {lengths}."], []
    more.append(
        "What is longer or wider than the travel reaches is cut in settings. From each to the next the board is slid on by that length."
    )
    if "grooves" in kinds:
        do.append("Measure it: by what it is off, the far part of each groove lies off along the board.")
        do.append("Set the fence parallel to X, with a pin or a dial gauge in the spindle.")
        more.append(
            "Settings of a groove overlap. By what the fence leans over the length of the distance piece, a groove has a step in its walls "
            "where two settings meet."
        )
    if kinds != {"grooves"}:
        do.append(f"For ends, file it until a caliper tells its length within {mm(_PIECE_MM)}; blow chips off its ends and off the stops.")
        more.append(
            "Settings of an end part in the middle of a tail or a pin, which comes out wider or narrower by what the distance piece is off."
        )
    yield Step("distance-piece", "Make a distance piece", "ready", tuple(do), more=_words(" ".join(more)))


def _length_words(slid_mm: Mapping[tuple[str, str], float]) -> Iterator[str]:
    """Yield how long a distance piece is for each kind of work; the stop is told where it makes a difference."""
    for (kind, stop), length_mm in slid_mm.items():
        alike = len({own for (other, _), own in slid_mm.items() if other == kind}) == 1
        what = [*([kind] if len({other for other, _ in slid_mm}) > 1 else []), *([] if alike else [f"the {stop} stop"])]
        yield f"{mm(length_mm)} for {' at '.join(what)}"


def _height_stop(facts: PacketFacts) -> Iterator[Step]:
    """Yield the step in which the bar is made that brings the ends of upright boards to one height."""
    upright = [setup for setup in facts.setups if setup.entry.hold == "upright"]
    if not upright or facts.names.machine is None or not facts.names.machine.height_stop:
        return
    sizes = [facts.boards[setup.entry.board].size for setup in upright]
    backing_mm = max(setup.program.limits.backing for setup in upright if setup.program.limits)
    stops = facts.limits.machine.upright_stops
    between_mm = stops[1] - stops[0] if stops else max(size[1] for size in sizes)
    thick_mm = max(
        stacked * facts.boards[setup.entry.board].size[2]
        for loading in facts.loadings
        for setup, stacked in zip(loading.setups, loading.stacked, strict=True)
        if setup.entry.hold == "upright"
    )
    length_mm, reach_mm = between_mm + 2 * _BESIDE_MM, backing_mm + thick_mm + _OVER_MM
    yield Step(
        "height-stop",
        "Make a height stop",
        "ready",
        (
            f"Plane a straight bar, {mm(length_mm)} long, {mm(_THICK_MM)} thick or more.",
            f"It lies on the upright plate's upper edge, over both stops, and reaches {mm(reach_mm)} or more out from the plate's face.",
            "Set the plate's upper edge level with X, and the backing piece flush with it.",
        ),
        more=_words(
            "Every upright board is pushed up against the bar, then clamped; then the bar is taken off, before anything moves. Hang it "
            "where you see that it is off. By what a chip under it lifts it, joints are cut too deep: brush it clean."
        ),
    )


def before_the_grooves(facts: PacketFacts) -> tuple[Step, ...]:
    """Return what comes when every joint is cut, and no groove."""
    boards = boards_made(facts, *_SOLID)
    new = "the new board in with those that it meets" if facts.limits.only else "front, sides and back of every drawer together"
    tried = Step(
        "dry-corners",
        "Trial assembly of all four corners",
        "bench",
        (
            f"Put {new} dry, outside faces out. Light persuasion, no force.",
            "Every joint must close, all reference edges at the bottom, flush.",
            "See that left and right are where they belong. Where a joint does not close: “If something goes wrong”.",
        ),
        pictures=_exploded(facts),
        links=_exploded_links(facts),
        ticks=() if facts.limits.only else _each_drawer(facts),
        needs=joints_cut(facts),
        leaves=in_state(boards, Made.TRIED),
    )
    marked = Step(
        "mark-grooves",
        "Mark the grooves",
        "bench",
        (
            "While it stands together, draw a line along the lower edge of every inside face, across the corners.",
            "There the groove comes, and there only: in the wrong face or along the wrong edge it ruins the board.",
            "Then take it apart.",
        ),
        needs=in_state(boards, Made.TRIED),
        leaves=in_state(boards, Made.GROOVE_MARKED),
    )
    if facts.limits.only:
        return tried, marked
    inside = Step(
        "finish-inside",
        "Finish the inside faces",
        "bench",
        (
            "Finish the inside faces while they are flat; let them dry.",
            "Leave bare: tails, sockets, pins, and the ends and edges that the joints meet.",
            "The grooves are cut through the finish afterwards, and so stay bare of themselves.",
        ),
        needs=in_state(boards, Made.GROOVE_MARKED),
        leaves=in_state(boards, Made.INSIDE_FINISHED),
        more=_words(
            "Glue does not hold on a finish. Mask the shoulders of the sides and the ends of front and back as far as the joint goes. See "
            "that the pencil line of the groove still shows. Wax would foul fence and clamps: keep it for the end."
        ),
    )
    return tried, marked, inside


def _each_drawer(facts: PacketFacts) -> tuple[Tick, ...]:
    """Return a tick for every single drawer."""
    names = ((facts.names.drawer(drawer.id), drawer.count) for drawer in facts.manifest.drawers)
    return tuple(Tick("board", name if count == 1 else f"{name} {i}") for name, count in names for i in range(1, count + 1))


def _machined(facts: PacketFacts) -> tuple[str, ...]:
    """Return the ids of the bottoms that programs cut."""
    cut = {entry.board: None for entry in facts.manifest.programs if entry.kind == "cut"}
    return tuple(name for name in cut if facts.boards[name].role == "bottom")


def _bottoms(facts: PacketFacts) -> Step:
    """Return the step in which bottoms are sawn, with how the corners of each are cut back and its drawing, and tried."""
    images, machined = Images(facts.folder), _machined(facts)
    sawn = {board.id for drawer in facts.names.drawers.values() for board in drawer.boards if board.role == "bottom"} - {*machined}
    of_these = "each of these bottoms" if machined else "each bottom"
    do = [f"Saw {of_these} to its size and cut its corners back: the notches clear the ends of the grooves."] if sawn else []
    do.append("Try each bottom in its grooves; it must slide.")
    do.append("Finish it then, its tongues thinly, and let it dry; it must slide still.")
    blocks, drawings = list[Block](), list[Picture]()
    if machined:
        blocks.append(TextBlock("Corners that were cut on the machine bear a round cut in the end of each tongue: the grooves hide it."))
    seen: set[str] = set()
    for drawer in facts.names.drawers.values():
        board = next(board for board in drawer.boards if board.role == "bottom")
        if board.mark in seen or board.id in machined:
            continue
        seen.add(board.mark)
        blocks.append(TextBlock(f"{drawer.bottom_corners}.", lead=board.mark))
        if drawing := images.find(f"drawings/board-{board.mark}.svg", f"{board.mark} from above, with its corners", board.mark):
            drawings.append(drawing)
    return Step(
        "bottoms",
        "Saw the bottoms" if sawn else "Try the bottoms",
        "bench",
        tuple(do),
        pictures=tuple(drawings),
        needs=in_state(_grooved(facts), "groove cut"),
        leaves=in_state(boards_made(facts, "bottom"), Made.SAWN),
        more=tuple(blocks),
    )


def _grooved(facts: PacketFacts) -> tuple[str, ...]:
    """Return the ids of the boards that get a groove."""
    return tuple(dict.fromkeys(name for setup in facts.setups if setup.is_groove for name in setup.boards))


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
    if facts.limits.only:
        return _back_to_the_whole(facts)
    joints, boards = facts.limits.joints, boards_made(facts)
    raised, full = (any(joint.back == back for joint in joints) for back in ("raised", "full"))
    proud = max((joint.proud for joint in joints), default=0.0)
    return (
        _bottoms(facts),
        Step(
            "trial-assembly",
            "Put every drawer together dry, with its bottom",
            "bench",
            (
                "Front and back onto the bottom, then push the sides home. Light persuasion, no force.",
                "Both diagonals must be equal, the front flush with the sides at the lower edge.",
                "Try cauls and clamps now, without glue.",
            ),
            pictures=_exploded(facts),
            links=_exploded_links(facts),
            ticks=_each_drawer(facts),
            needs=(*in_state(boards, Made.SAWN), *in_state(_grooved(facts), "groove cut")),
            leaves=in_state(boards, Made.BOTTOM_TRIED),
        ),
        *_gluing(facts, boards, proud, raised=raised, full=full),
        *(_planing(facts, boards, proud) if proud else ()),
        Step(
            "opening",
            "Fit each drawer to its opening",
            "bench",
            (
                "Plane sides and edges a shaving at a time until the drawer runs without rubbing.",
                "Leave the room above it that the damp season needs: the card of each drawer has it.",
                "Plane from the ends towards the middle; do not round the corners of the joints.",
            ),
            ticks=_each_drawer(facts),
            needs=in_state(boards, Made.PLANED if proud else Made.GLUED),
            leaves=in_state(boards, Made.FITTED),
        ),
        Step(
            "finish-outside",
            "Finish the outside",
            "bench",
            (
                "Finish the front, last of all, when the drawer runs.",
                "Leave the outside of the sides and the edges that run bare, or wax them only.",
            ),
            needs=in_state(boards, Made.FITTED),
            leaves=in_state(boards, Made.FINISHED),
            more=_words("What builds up a film on the sides takes the room that the drawer runs in."),
        ),
        *_show_fronts(facts),
    )


def _gluing(facts: PacketFacts, boards: tuple[str, ...], proud: float, *, raised: bool, full: bool) -> Iterator[Step]:
    caught = "Front and back onto the bottom first, then the sides pushed home. No glue in its grooves."
    slid = "A bottom under a raised back slides in from behind when the glue has set. Fix it at the front only, so that it can move."
    cauls = f"Cauls reach over tails and pins, notched or set off: the ends stand {mm(proud)} proud, and no clamp may bear on them."
    yield Step(
        "glue",
        "Glue up",
        "bench",
        (
            "Brush glue thinly on flanks and sockets, one drawer at a time; push the sides home without delay.",
            "Clamp across the joints with cauls clear of the proud ends." if proud else "Clamp across the joints with cauls.",
            "Check and set right at once: diagonals, then twist. Then let it dry.",
        ),
        pictures=_exploded(facts),
        links=_exploded_links(facts),
        ticks=(
            *(Tick("check", text) for text in ("Cauls, clamps, glue, a wet rag and a long rule lie ready",)),
            *_each_drawer(facts),
            Tick("check", "Each: both diagonals equal"),
            Tick("check", "Each: no twist, by sighting over the upper edges, or on a flat table without rocking"),
            Tick("check", "Each: dried as long as the glue's maker says, before it is planed"),
        ),
        needs=(*in_state(boards, Made.BOTTOM_TRIED), *in_state(boards_made(facts, *_SOLID), Made.INSIDE_FINISHED)),
        leaves=in_state(boards, Made.GLUED),
        more=_words(
            "Glue swells the fibres: a joint that closed dry may stick when half home.",
            *([cauls] if proud else []),
            "Where the diagonals differ, move the clamps over so that they pull along the longer one. Where it rocks, press the high "
            "corners down while the glue is wet. Wipe glue off the inside before it skins.",
            *([caught] if full else []),
            *([slid] if raised else []),
        ),
    )


def _planing(facts: PacketFacts, boards: tuple[str, ...], proud: float) -> Iterator[Step]:
    unless = ", unless something else is told here" if _measured(facts) else ""
    yield Step(
        "plane",
        "Plane the proud ends flush",
        "bench",
        (
            f"Tails and pins at the back stand {mm(proud)} proud{unless}.",
            "Plane from the edges towards the middle, so that nothing splinters.",
            "Stop when the plane just touches the face beside them.",
        ),
        ticks=_each_drawer(facts),
        needs=in_state(boards, Made.GLUED),
        leaves=in_state(boards, Made.PLANED),
        more=tuple(_uneven(facts)),
    )


def _show_fronts(facts: PacketFacts) -> Iterator[Step]:
    if any(drawer.show_front_mm for drawer in facts.names.drawers.values()):
        yield Step(
            "show-fronts",
            "Screw the show fronts on",
            "bench",
            (
                "Put the drawer in its place, and set the show front to even gaps all round.",
                "Screw it on from inside. Slotted holes let it move.",
            ),
            needs=in_state(boards_made(facts), Made.FITTED),
        )


def _back_to_the_whole(facts: PacketFacts) -> tuple[Step, ...]:
    """Return what is left to do of one thing cut again: the rest is told by the page of the whole packet."""
    return (
        Step(
            "again",
            "Take its place among the others",
            "bench",
            (
                "Throw the spoiled board away, or strike its name out: it must not come back.",
                "Try the new one dry in its drawer: every joint must close, its groove must meet the others.",
                "Go on with the page of the whole packet where you left it.",
            ),
            pictures=_exploded(facts),
            needs=in_state(_grooved(facts), "groove cut"),
        ),
    )


def _tried(facts: PacketFacts) -> tuple[Step, ...]:
    """Return the steps by which trial boards are tried."""
    count = "Count the nicks that fit."
    fronts, backs, sides = (listed(names, "and") for names in zip(*(trial.boards for trial in facts.limits.trials), strict=True))

    images, words = Images(facts.folder), "Steps, nicks and slots of the trial boards"
    found = (images.find(f"drawings/{trial.front}-steps.svg", words, trial.front) for trial in facts.limits.trials)
    pictures = tuple(picture for picture in found if picture)
    links = (Link("What is tried, and how to answer", "#trial_joints"),)

    def step(key: str, heading: str, *do: str) -> Step:
        needs = joints_cut(facts) if key in ("half-blind", "through") else ()
        return Step(key, heading, "bench", do, pictures=() if key == "answer" else pictures, links=links, needs=needs)

    return (
        step("half-blind", "Try the half-blind joint", f"Push the front end of {sides} into each socket of {fronts}.", count),
        step("through", "Try the through joint", f"Push the rear end of {sides} into each socket of {backs}.", count),
        step(
            "grooves", "Try the grooves", "Slide an offcut of the bottom along each groove, in its order.", "It must slide, and not rattle."
        ),
        step("measure", "Measure the slots", "Measure the mouth of each slot at the upper face, three times each."),
        step("answer", "Answer", "Tell camtools fit what fitted and what you measured.", "Then write the packet of the drawers anew."),
    )
