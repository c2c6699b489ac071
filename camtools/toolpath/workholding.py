"""How each board is held for each kind of work: stops, faces and maps. docs/joinery.md section 3."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from camtools.drawer.boards import Affine, Board, Piece
from camtools.faults import CannotCut, Fault, puts
from camtools.geometry.frames import box_of, mirrors
from camtools.geometry.half_blind import socket_of
from camtools.job.job import Machine
from camtools.toolpath.corner_cuts import clear_of_stop_mm
from camtools.toolpath.drawn_cut import AIR_MM
from camtools.toolpath.moves import Setup, WorkOffset, Zone
from camtools.wording import Told, Words

__all__ = ["CLAMPING", "END_GROOVE", "PUSH", "known_zeros", "setup_of", "with_zeros", "work_of"]

END_GROOVE = "groove"
PUSH = "Push its"  # with which the sentence begins that tells the stop
CLAMPING = ("Bring its", "Stop and clamps", "Clamp", "Wedge")  # and those that tell where its end comes, and the clamps
# A stop that is taken off before the cut: common practice, no source.
_TO_Y_ZERO = (
    "Bring its end to Y 0, every board anew: against an end block, straight and along X, that is taken off before anything moves, or set "
    "Y zero at the end itself. An end beyond Y 0 is plunged into, one short of it gets joints of a wrong depth."
)

# Each kind of setup in the order of its work offset: hold, whether it is for a groove, stop.
_KINDS = tuple((hold, groove, stop) for hold, groove in (("upright", False), ("flat", False), ("flat", True)) for stop in ("left", "right"))
_OFFSETS: tuple[WorkOffset, ...] = ("G54", "G55", "G56", "G57", "G58", "G59")
_MOST_OFFSETS = len(_KINDS)
_U, _V, _W = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


def _row(axis: tuple[float, float, float], sign: int, constant: float = 0.0) -> tuple[float, float, float, float]:
    u, v, w = (sign * part + 0.0 for part in axis)
    return (u, v, w, constant + 0.0)


def _lies_flat(piece: Piece) -> bool:
    """Whether an end is cut right through with the board flat, which else is cut upright."""
    joint = piece.half_blind or piece.through
    return joint is not None and joint.flat is not None and piece.role != "front"


def _sheet_mm(piece: Piece, end: str) -> float:
    """Return how deep cutters go into the waste sheet under a board that they cut right through; 0 where it lies on none."""
    if piece.corners is not None:
        return piece.corners.below_mm
    joint = piece.half_blind or piece.through
    return joint.flat.below_mm if joint and joint.flat and end != END_GROOVE and _lies_flat(piece) else 0.0


def _clear_of_stop_mm(piece: Piece) -> float:
    """Return how far an end that is cut right through must stand beyond the stop, so that the cutter passes it."""
    if piece.corners is not None:
        return clear_of_stop_mm(piece.corners)
    half_blind, through = piece.half_blind, piece.through
    if piece.role == "back" and through is not None:
        return socket_of(through.laid, 0.0, 0.0).reach_mm + through.dovetail.diameter_mm / 2 + AIR_MM
    straight = max(joint.flat.straight.diameter_mm for joint in (half_blind, through) if joint and joint.flat)
    return max(joint.length_mm for joint in (half_blind, through) if joint) + straight / 2 + AIR_MM


def _placing(role: str, end: str, length: float, thick: float, *, flat: bool) -> tuple[str, str, str, Affine] | None:
    """One row of the table of docs/joinery.md section 3."""
    if end == END_GROOVE:
        if role in ("left side", "back"):
            return "flat", "left", "inside", (_row(_U, 1), _row(_V, 1), _row(_W, 1, -thick))
        return "flat", "right", "inside", (_row(_U, -1), _row(_V, 1), _row(_W, 1, -thick))
    near = end in ("front end", "left end")
    along = _row(_U, -1) if near else _row(_U, 1, -length)
    if role == "bottom" or (role == "back" and flat):
        return "flat", "left" if near else "right", "inside", (_row(_V, 1 if near else -1), along, _row(_W, 1, -thick))
    if role in ("left side", "right side"):
        left_stop = (role == "left side") == near
        across, stop = _row(_V, 1 if left_stop else -1), "left" if left_stop else "right"
        if flat:
            return "flat", stop, "inside", (across, along, _row(_W, 1, -thick))
        return "upright", stop, "inside", (across, _row(_W, -1), along)
    across = _row(_V, -1 if near else 1)
    stop = "right" if near else "left"
    if role == "front":
        return "flat", stop, "inside", (across, along, _row(_W, 1, -thick))
    if role == "back":
        return "upright", stop, "outside", (across, _row(_W, 1, -thick), along)
    return None


def work_of(piece: Piece, end: str) -> str:
    """Name a kind of work by what is worked: the same at both sides and at both ends of a front or back."""
    role = piece.role.split()[-1]
    return f"groove of the {role}" if end == END_GROOVE else f"{end} of the side" if role == "side" else f"ends of the {role}"


def setup_of(board: Board, end: str, machine: Machine, free_mm: float) -> Setup:
    """Return the setup for working one end of a board, or its groove.

    Parameters
    ----------
    free_mm
        How far the work reaches beyond the board's end or in front of its face, for the words to the operator.

    Raises
    ------
    CannotCut
        If the machine has no such hold, or the placing would cut a mirror image.
    """
    piece = board.piece
    length, _, thick = piece.size_mm
    placing = _placing(piece.role, end, length, thick, flat=_lies_flat(piece))
    if placing is None:
        raise CannotCut(Fault(f"{piece.role}, {end}", "no hold is known for this work"))
    hold, stop, facing, to_machine = placing
    if hold not in machine.holds:
        problem = f"the board must be held {hold} and the machine has no such hold"
        found = ", ".join(machine.holds) or "none"
        limit = f"{hold}: `camtools plate` draws an upright plate to build" if hold == "upright" else hold
        raise CannotCut(Fault(work_of(piece, end), problem, value=found, limit=limit, ways=puts("machine.holds", ("upright", "flat"))))
    if mirrors(to_machine, board.to_drawer):
        raise CannotCut(Fault(f"{piece.role}, {end}", "this placing would cut the mirror image of the board"))
    return Setup(
        piece=piece,
        hold="upright" if hold == "upright" else "flat",
        end=end,
        stop="left" if stop == "left" else "right",
        work_offset=_offset((hold, end == END_GROOVE, stop), _MOST_OFFSETS),
        facing=facing,
        to_machine=to_machine,
        zones=_zones(piece, hold, stop, end, to_machine, machine),
        backing_mm=machine.backing_mm if hold == "upright" else 0.0,
        free_mm=0.0 if end == END_GROOVE else free_mm,
        sheet_mm=_sheet_mm(piece, end),
        levelled=hold == "upright" and machine.height_stop,
        words=_words(piece, hold, stop, facing, end, machine, free_mm),
    )


def with_zeros(setups: Sequence[Setup], offsets: int = _MOST_OFFSETS) -> tuple[Setup, ...]:
    """Give setups their work offsets, of which the controller has so many, and tell the operator when to set each.

    Every kind has one of its own where there are enough. Otherwise kinds share, and each program of theirs asks for its zero.
    """
    kinds: dict[str, set[tuple[str, bool, str]]] = {}
    for setup in setups:
        kinds.setdefault(_offset(setup.kind, offsets), set()).add(setup.kind)
    found = []
    for setup in setups:
        offset = _offset(setup.kind, offsets)
        shared = len(kinds[offset]) > 1
        words = (*setup.words, _zero_words(setup, offset, shared=shared))
        found.append(replace(setup, work_offset=offset, zero_shared=shared, words=words))
    return tuple(found)


def _offset(kind: tuple[str, bool, str], offsets: int) -> WorkOffset:
    return _OFFSETS[_KINDS.index(kind) % offsets]


def known_zeros(setup: Setup, machine: Machine) -> Iterator[tuple[int, float, str, str]]:
    """Yield where zero lies on the machine's travel, for each axis of which that is known.

    Yields the axis, 0 for X and 1 for Y; the place in mm from the left or near end of travel; what stands there; and its key.
    """
    stops = machine.upright_stops_mm if setup.hold == "upright" else machine.flat_stops_mm
    if stops is not None:
        left = setup.stop == "left"
        yield 0, stops[0 if left else 1], f"the {setup.stop} stop of the {setup.hold} hold", f"machine.{setup.hold}_stops"
    if setup.hold == "upright" and machine.upright_plate_mm is not None:
        yield 1, machine.upright_plate_mm - setup.backing_mm, "the upright plate", "machine.upright_plate"
    if setup.end == END_GROOVE and machine.flat_fence_mm is not None:
        yield 1, machine.flat_fence_mm, "the fence", "machine.flat_fence"


def _zones(piece: Piece, hold: str, stop: str, end: str, to_machine: Affine, machine: Machine) -> tuple[Zone, ...]:
    low, high = box_of(to_machine, piece.size_mm)
    wide = 1000.0  # further than anything on a small machine
    stop_x = (low[0] - 60.0, low[0]) if stop == "left" else (high[0], high[0] + 60.0)
    if hold == "upright":
        top = -machine.upright_stop_below_mm
        return (
            Zone("stop", (stop_x[0], low[1], -wide), (stop_x[1], high[1], top)),
            Zone("clamp", (-wide, low[1] - 100.0, -wide), (wide, low[1], top)),
            Zone("plate", (-wide, machine.backing_mm, -wide), (wide, machine.backing_mm + 100.0, 0.0)),
        )
    top = low[2] + machine.flat_stop_mm
    stop_end = -_clear_of_stop_mm(piece) if _sheet_mm(piece, end) else high[1]
    zones = [Zone("stop", (stop_x[0], low[1], low[2]), (stop_x[1], stop_end, top))]
    if end == END_GROOVE:
        zones.append(Zone("fence", (-wide, low[1] - 60.0, low[2]), (wide, low[1], top)))
    return tuple(zones)


def _zero_words(setup: Setup, offset: str, *, shared: bool) -> str:
    """Say when a zero must be set again: ends stand as high as they are clamped, unless a height stop brings them to one height."""
    if shared:
        again = "; for this setting they are those of setting 1" if setup.setting.number > 1 else ""
        return f"{offset} serves other kinds of setup too: the program stops before it moves, for X, Y and Z zero to be set{again}."
    height = "for every thickness"
    if setup.hold == "upright":
        height = "once for every cutter" if setup.levelled else "on every board"
    ends = ", each board's end brought to its Y 0" if setup.hold == "flat" and setup.end != END_GROOVE else ""
    return f"Set {offset} once for all setups of this kind{ends}, and its Z {height}."


def _held_level(longer: bool, where: str) -> tuple[str, ...]:
    return (f"It is longer than the travel: hold it level where it reaches out {where}.",) if longer else ()


def _words(piece: Piece, hold: str, stop: str, facing: str, end: str, machine: Machine, free_mm: float) -> tuple[Words, ...]:
    far = "outside" if facing == "inside" else "inside"
    if hold == "upright":
        return (
            f"Stand the {piece.role} upright with its {end} up and its {facing} face towards you.",
            Told("Its {} face bears on the backing piece of the upright plate, {:mm} thick.", (far, machine.backing_mm)),
            f"{PUSH} reference edge against the {stop} stop. Zero: X at the stop, Y at the backing, Z at the {end}.",
            *(["Bring its end up to the height stop, clamp it, and take the height stop away."] if machine.height_stop else []),
            Told("Stop and clamps stay {:mm} or more below the end.", (machine.upright_stop_below_mm,)),
            Told("Keep {:up} free in front of the board, for the cutter comes in from there.", (free_mm,)),
        )
    if end == END_GROOVE:
        near = "front end" if "side" in piece.role else "left end"  # where u = 0
        return (
            f"Lay the {piece.role} flat with its inside face up and its reference edge against the fence nearest to you.",
            f"{PUSH} {near} against the {stop} stop. Zero: X at the stop, Y at the fence, Z at the upper face.",
            *_held_level(piece.size_mm[0] > machine.travel_mm[0], "at the side of the bed"),
        )
    if sheet_mm := _sheet_mm(piece, end):
        edge = "front edge, the reference edge," if piece.corners else "reference edge"
        sheet = "reaches under both corners of that end" if piece.corners else "ends where the board ends"
        room = "and beside both its corners" if piece.corners else "for the cutter comes in from there"
        where = "under a corner" if piece.corners else "under the end"
        return (
            Told(
                f"Lay the {piece.role} flat with its inside face up and its {end} away from you, on a flat waste sheet that {sheet} "
                "and is thinner than the stop is high, {:mm}: the cutter goes {:mm} into it.",
                (machine.flat_stop_mm, sheet_mm),
            ),
            Told(
                f"{PUSH} {edge} against the {stop} stop, and let its {end} stand {{:up}} or more beyond the stop. "
                f"Zero: X at the stop, Y at the {end}, Z at the upper face.",
                (_clear_of_stop_mm(piece),),
            ),
            _TO_Y_ZERO,
            Told(
                f"Keep {{:up}} free beyond the {end}{'' if piece.corners else ','} {room}. Shift the sheet where it is cut up {where}.",
                (free_mm,),
            ),
        )
    return (
        f"Lay the {piece.role} flat with its inside face up and its {end} away from you.",
        *_held_level(piece.size_mm[0] > machine.travel_mm[1], "over the front of the bed"),
        f"{PUSH} reference edge against the {stop} stop. Zero: X at the stop, Y at the {end}, Z at the upper face.",
        _TO_Y_ZERO,
        Told("Keep {:up} free beyond the {}, for the cutter comes in from there.", (free_mm, end)),
    )
