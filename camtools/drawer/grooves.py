"""Where the bottom's groove starts and stops on each board. docs/joinery.md section 8."""

from __future__ import annotations

from dataclasses import dataclass, replace

from camtools.drawer.boards import Groove, Note
from camtools.drawer.joints import Joints
from camtools.drawer.sizing import Sizes
from camtools.faults import CannotCut, Fault, Way, puts
from camtools.job.drawer_defaults import SPARE_MM
from camtools.job.drawer_limits import faults_of_groove, sizes_to_try
from camtools.job.job import DrawerWish, Job
from camtools.wording import mm, up

__all__ = ["Grooves", "grooves_of"]

BELOW_WISHED_MM = 6.0  # docs/sources.md section 4: wood left below the groove, from memory
THROUGH_MM = 1.0  # least wood between a stopped groove and a socket
RUN_OUT_MM = 5.0  # how far beyond the end a groove that runs out is carried, more than its cutter's diameter


@dataclass(frozen=True, slots=True)
class Grooves:
    """The groove of each board, none in a raised back, and the stops as they came out."""

    front: Groove
    back: Groove | None
    left: Groove
    right: Groove
    stop_mm: float  # from an inside corner to a stopped groove's end, everywhere the same
    hidden: bool  # run on at the front, as far as tail and socket hide it
    notes: tuple[Note, ...]


def grooves_of(job: Job, wish: DrawerWish, sizes: Sizes, joints: Joints, where: str) -> Grooves:
    """Place the groove on every board.

    Parameters
    ----------
    sizes, joints
        Of the same drawer: the groove runs inside the lowest tail and stops short of the sockets.
    where
        What faults name the drawer by.

    Raises
    ------
    CannotCut
        Where the cutter does not fit, too little wood is left, or a board is too short for its groove.
    """
    groove, stock = wish.groove, wish.stock
    faults = list(faults_of_groove(lambda key, *_: f"{where}, {key}", wish, job.cutters))
    if not any(cutter.number == groove.cutter for cutter in job.cutters):
        raise CannotCut(*faults)
    cutter = job.cutter(groove.cutter)
    width = round(stock.bottom_mm + groove.play_mm, 6)
    stop, notes = _stop(wish, joints)
    hidden, raised, radius = groove.ends == "hidden", sizes.raise_mm > 0, cutter.diameter_mm / 2
    before = -radius if hidden else stop  # from the inside corner with the front
    corner = joints.half_blind.length_mm  # of the inside with the front, along the side

    def side(length: float, proud: float) -> Groove:
        rear = length - (sizes.back_mm[2] + proud)
        return Groove(
            edge_mm=groove.edge_mm,
            width_mm=width,
            depth_mm=groove.depth_mm,
            start_mm=round(corner + before, 6),
            stop_mm=round(length + cutter.diameter_mm + RUN_OUT_MM if raised else rear - stop, 6),
            cutter=cutter,
        )

    def across(length: float, proud: float, stop: float) -> Groove:
        start, end = (thick + proud + stop for _, _, thick in (sizes.left_mm, sizes.right_mm))
        return replace(left, start_mm=round(start, 6), stop_mm=round(length - end, 6))

    left, right = (side(board[0], proud) for board, proud in zip((sizes.left_mm, sizes.right_mm), sizes.tails_proud_mm, strict=True))
    front = across(sizes.front_mm[0], sizes.front_proud_mm, before)
    back = None if raised else across(sizes.back_mm[0], sizes.pins_proud_mm, stop)
    for name, one, (long, *_) in (
        *(("side", one, board) for one, board in dict.fromkeys(((left, sizes.left_mm), (right, sizes.right_mm)))),
        ("front", front, sizes.front_mm),
        ("back", back, sizes.back_mm),
    ):
        if one is None:
            continue
        room = min(one.stop_mm, long) - one.start_mm
        if room < 3 * cutter.diameter_mm:
            faults.append(
                Fault(f"{where}, groove", f"the {name} is too short for its groove", mm(max(0.0, room)),
                      f"at least {mm(3 * cutter.diameter_mm)}", ways=_longer(job, wish, 3 * cutter.diameter_mm - room, name))
            )  # fmt: skip
    if faults:
        raise CannotCut(*faults)
    notes.append(_place(wish, joints, width))
    if groove.edge_mm < BELOW_WISHED_MM:
        notes.append(
            Note("warning", "groove", f"{mm(groove.edge_mm)} of wood is left under the groove; {mm(BELOW_WISHED_MM)} or more is usual")
        )
    return Grooves(front, back, left, right, stop, hidden, tuple(notes))


def _longer(job: Job, wish: DrawerWish, lacking_mm: float, board: str) -> tuple[Way, ...]:
    """Name a thinner cutter, shorter stops, and a size by which a groove becomes long enough."""
    thinner = [one.number for one in job.cutters if one.kind == "straight" and one.diameter_mm < job.cutter(wish.groove.cutter).diameter_mm]
    return (
        *puts("groove.cutter", *thinner),
        *puts("groove.stop", *(stop for stop in (3.0, 0.0) if stop < wish.groove.stop_mm)),
        *puts("groove.ends", "hidden"),
        *sizes_to_try(wish, 3 if board == "side" else 1, lacking_mm),
    )


def _stop(wish: DrawerWish, joints: Joints) -> tuple[float, list[Note]]:
    """Return the stop, lengthened where a socket's wall leans towards the groove's end."""
    joint = joints.half_blind
    asked, hidden, raised = wish.groove.stop_mm, wish.groove.ends == "hidden", joints.through.raise_mm > 0
    if hidden and raised:  # nothing is stopped at a socket
        return asked, []
    # Behind the tail the socket reaches further in the deeper it is: at the groove's floor it is nearest to the groove.
    reach = 0.0 if hidden else joint.clearance_mm + wish.groove.depth_mm * joint.dovetail.slope
    least = reach + THROUGH_MM
    if asked >= least - 1e-9:
        return asked, []
    longer = up(least, 0.1)
    return longer, [
        Note("choice", "groove", f"stops of {mm(longer)} where {mm(asked)} was asked for: the wall of the socket leans {mm(reach)} "
             f"towards the groove, and {mm(THROUGH_MM)} of wood stays between them")
    ]  # fmt: skip


def _place(wish: DrawerWish, joints: Joints, width: float) -> Note:
    """Tell how the groove lies in the lowest tail, and what wood is left around it."""
    joint, groove, stock = joints.half_blind, wish.groove, wish.stock
    tail = joint.tails[0]
    raised = joints.through.raise_mm > 0
    deepest = joint.length_mm if raised else max(joint.length_mm, joints.through.back_mm)
    lean = deepest * joint.dovetail.slope
    below, above = groove.edge_mm - tail.low_mm - lean, tail.high_mm - lean - groove.edge_mm - width
    stops = "it stops short of the front joint" if raised else "it stops short of every joint"
    if min(below, above) >= SPARE_MM - 1e-6:
        inside = f"inside the lowest tail with {mm(below)} of it below and {mm(above)} above where it is narrowest, {mm(SPARE_MM)} is usual"
    else:
        inside = "not inside the lowest tail, which no joint asks for"
    ends = "it runs on at the front, hidden by tail and socket" if groove.ends == "hidden" else stops
    rear = ", and runs out at the rear under the back" if raised else ""
    return Note(
        "choice",
        "groove",
        f"{mm(width)} wide, {mm(groove.depth_mm)} deep, {inside}; {mm(groove.edge_mm)} of wood under it, "
        f"{mm(stock.side_mm - groove.depth_mm)} behind it in the sides, {mm(stock.front_mm - groove.depth_mm)} in the front; {ends}{rear}",
    )
