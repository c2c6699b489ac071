"""Combs: templates that a router's guide bush follows, from the very centre lines of the toolpaths.

Bush and cutter share one axis. The comb's edge therefore lies half a bush beside the centre line, whatever the cutter:
beside the finished wood it lies by (bush - cutter)/2, where "cutter" is the diameter at the height looked at. With a
dovetail cutter that is its largest diameter at cutting depth only (docs/sources.md section 10; four trade sources agree on
the formula for straight cutters). So the edge of a tail's comb follows ``tail_corner_of`` and ``flank_offset_mm``, that of a
socket ``socket_of`` and ``pin_socket_of``, and no formula is written twice.

A comb is seen from the router: ``x`` across the joint from the reference edge, ``y`` from the operator's face (upright) or
from the end of the front (flat) into the wood; the fingers point towards the operator. Turned over it serves the mirrored end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from camtools.drawer.boards import HalfBlind, Tail, Through
from camtools.faults import CannotCut, Fault
from camtools.geometry.half_blind import socket_of, tail_corner_of
from camtools.geometry.through import flank_offset_mm, pin_socket_of
from camtools.job.job import Cutter
from camtools.templates.bushes import Bush
from camtools.templates.outlines import Outline, circle
from camtools.templates.plates import Engraving, Plate, engraved
from camtools.wording import bare, figure, mm

__all__ = ["Comb", "pins_comb", "sockets_comb", "tails_comb"]

OVERRUN_MM = 0.5  # how far a centre line is carried beyond the far face, as on the machine
LEAST_FINGER_MM = 3.0  # a thinner finger breaks; common practice, no source
LEAST_WEDGE_MM = 1.5  # at the tip of a finger that widens towards its root; common practice, no source
_EASED_MM = 1.0  # radius of corners that guide nothing
_ARM_MM = 25.0  # width of the arms beside the joint that carry the router's base
_SPINE_MM = 45.0  # behind the slots, for screws and for the router's base
_HOLE_MM = 4.5
_HOLE_PITCH_MM = 110.0


@dataclass(frozen=True, slots=True)
class Comb:
    """A comb, and how it is used."""

    plate: Plate
    kind: Literal["tails", "sockets", "pins"]
    cutter: Cutter
    bush_mm: float
    depth_mm: float  # of the cutter's tip below the comb's underside
    finger_mm: float  # narrowest finger
    engraved_up: str  # the end that is worked with the engraved face up
    turned_over: str  # and the one with the comb turned over


@dataclass(frozen=True, slots=True)
class _Finger:
    """A finger: x of both its walls at the tip and at the bottom of the slots beside it."""

    low_tip: float
    low_root: float
    high_tip: float
    high_root: float
    radius: float  # of its front corners
    tip: float | None = None  # y of its front where that is not the others'

    @property
    def width(self) -> float:
        return min(self.high_tip - self.low_tip, self.high_root - self.low_root)


@dataclass(frozen=True, slots=True)
class _Guided:
    """What a comb guides: a joint's cutter in its bush, and the board as it stands with either face of the comb up."""

    name: str
    kind: Literal["tails", "sockets", "pins"]
    cutter: Cutter
    bush: Bush
    depth_mm: float
    ends: tuple[str, str]


def _upright(low: float, high: float, radius: float, tip: float | None = None) -> _Finger:
    return _Finger(low, low, high, high, radius, tip)


def tails_comb(joint: HalfBlind | Through, bush: Bush, name: str) -> Comb:
    """Return the comb for the tails of a side: a finger over each tail.

    Raises
    ------
    CannotCut
        If the bush does not clear the cutter, can not follow the tails' rounded corners, or leaves a finger too thin.
    """
    cutter, width = joint.dovetail, joint.width_mm
    bush.clear(cutter, joint.length_mm, name)
    half, tip = bush.diameter_mm / 2, cutter.diameter_mm / 2
    beside = max(bush.diameter_mm, cutter.diameter_mm) + 4.0
    if isinstance(joint, HalfBlind):
        corner = tail_corner_of(joint)
        offset, radius = corner.offset_mm, corner.radius_mm - half
        end = -tip + half  # the quarter turn begins where the cutter only touches the operator's face
        if radius < 0:
            problem = "the bush is too large to follow the rounded corners of the tails"
            raise CannotCut(Fault(name, problem, f"a bush of {mm(bush.diameter_mm)}", f"at most {mm(2 * corner.radius_mm)}"))
    else:
        offset, radius, end = flank_offset_mm(joint), _EASED_MM, -(tip + _EASED_MM)  # guides before the rim meets wood
    low_arm, high_arm, arm = -beside - _ARM_MM, width + beside + _ARM_MM, -(tip + _EASED_MM)
    fingers: list[_Finger] = []
    for tail in joint.tails:
        low = low_arm if tail.low_mm <= 0 else tail.low_mm - offset + half
        high = high_arm if tail.high_mm >= width else tail.high_mm + offset - half
        fingers.append(_upright(low, high, radius))
    finger = _least(fingers, name, radius)
    if joint.tails[0].low_mm > 0:
        fingers.insert(0, _upright(low_arm, -beside, _EASED_MM, arm))
    if joint.tails[-1].high_mm < width:
        fingers.append(_upright(width + beside, high_arm, _EASED_MM, arm))
    side_up, side_turned = ("left", "right") if isinstance(joint, HalfBlind) else ("right", "left")
    where = "front" if isinstance(joint, HalfBlind) else "rear"
    work = _Guided(
        name,
        "tails",
        cutter,
        bush,
        joint.length_mm,
        (f"{side_up} side, {where} end up, inside face to you", f"{side_turned} side, {where} end up, inside face to you"),
    )
    return _comb(work, fingers, finger, reach=(end, joint.side_mm + OVERRUN_MM), board=(width, joint.side_mm))


def sockets_comb(joint: HalfBlind, bush: Bush, name: str) -> Comb:
    """Return the comb for the half-blind sockets of a front: a finger over each pin and half pin.

    Raises
    ------
    CannotCut
        If the bush does not clear the cutter or leaves a finger too thin.
    """
    cutter, depth = joint.dovetail, joint.length_mm + joint.free_depth_mm
    bush.clear(cutter, depth, name)
    half = bush.diameter_mm / 2
    sockets = [socket_of(joint, tail.middle_mm, tail.width_mm) for tail in joint.tails]
    if any(socket.high_mm < socket.low_mm for socket in sockets):
        narrow = min(sockets, key=lambda socket: socket.high_mm - socket.low_mm)
        problem = "the cutter is larger than a socket"
        raise CannotCut(Fault(name, problem, mm(cutter.diameter_mm), f"at most {mm(cutter.diameter_mm + narrow.high_mm - narrow.low_mm)}"))
    walls = [(socket.low_mm - half, socket.high_mm + half) for socket in sockets]
    end = -(cutter.diameter_mm / 2 + _EASED_MM)  # guides before the rim meets wood
    fingers = _between([(low, low, high, high) for low, high in walls], joint.width_mm)
    work = _Guided(name, "sockets", cutter, bush, depth, ("front, left end, inside face up", "front, right end, inside face up"))
    return _comb(
        work, fingers, _least(fingers[1:-1] or fingers, name, 0.0), reach=(end, sockets[0].reach_mm), board=(joint.width_mm, joint.side_mm)
    )


def pins_comb(joint: Through, bush: Bush, name: str) -> Comb:
    """Return the comb for the pins of a back: a finger over each pin, its walls as steep as the tails' flanks.

    Raises
    ------
    CannotCut
        If the bush does not clear the cutter, the cutter does not fit a socket, or a finger is too thin.
    """
    cutter, depth = joint.straight, joint.side_mm + joint.proud_mm
    bush.clear(cutter, depth, name)
    half = bush.diameter_mm / 2
    width, lean = joint.width_mm - joint.raise_mm, joint.dovetail.slope
    shift = half * (1 + lean**2) ** 0.5
    sine = lean / (1 + lean**2) ** 0.5
    # Where the bush rolls round a finger's front corner the cutter keeps (bush - cutter)/2 from it, on its far side. With walls
    # that are straight as far as the wood's face no such place lies in the wood, so a finger need be no longer.
    start = -_EASED_MM
    tails = [Tail(tail.middle_mm - joint.raise_mm, tail.width_mm) for tail in joint.tails]
    sockets = [pin_socket_of(joint, tail) for tail in tails]
    closed = [s for s, tail in zip(sockets, tails, strict=True) if tail.low_mm > 0 and tail.high_mm < width]
    far = min([joint.back_mm + OVERRUN_MM, *(socket.apex_mm for socket in closed)])
    # Past its contact with the wall the centre lies nearer to the outside face, as the wall leans.
    enough = joint.back_mm - cutter.diameter_mm / 2 * sine
    if far < enough:
        problem = "the straight cutter is too thick for the narrow end of a socket"
        raise CannotCut(Fault(name, problem, mm(cutter.diameter_mm), f"at most {mm(cutter.diameter_mm - 2 * (enough - far) * sine)}"))
    root = far + half
    walls: list[tuple[float, float, float, float]] = []
    for tail, socket in zip(tails, sockets, strict=True):
        low_tip, low_root = (socket.middle_mm - socket.half_mm(y) - shift for y in (start, root))
        high_tip, high_root = (socket.middle_mm + socket.half_mm(y) + shift for y in (start, root))
        if tail.low_mm <= 0:  # the socket is open at the board's edge
            low_tip = low_root = -bush.diameter_mm
        if tail.high_mm >= width:
            high_tip = high_root = width + bush.diameter_mm
        walls.append((low_tip, low_root, high_tip, high_root))
    fingers = _between(walls, width)
    work = _Guided(name, "pins", cutter, bush, depth, ("back, right end up, outside face to you", "back, left end up, outside face to you"))
    return _comb(work, fingers, _least(fingers[1:-1] or fingers, name, 0.0), reach=(start, far), board=(width, joint.back_mm))


def _between(walls: Sequence[tuple[float, float, float, float]], width: float) -> list[_Finger]:
    """Return the fingers between lanes, each lane given as low wall at tip and root, high wall at tip and root."""
    low_edge = min(0.0, walls[0][0], walls[0][1]) - _ARM_MM
    high_edge = max(width, walls[-1][2], walls[-1][3]) + _ARM_MM
    lows = [(low_edge, low_edge), *((lane[2], lane[3]) for lane in walls)]
    highs = [*((lane[0], lane[1]) for lane in walls), (high_edge, high_edge)]
    return [
        _Finger(low[0], low[1], high[0], high[1], min(_EASED_MM, max(0.0, 0.4 * (high[0] - low[0]))))
        for low, high in zip(lows, highs, strict=True)
    ]


def _least(fingers: Sequence[_Finger], name: str, radius: float) -> float:
    """Return the width of the narrowest finger. Raises CannotCut where it is too thin, or for its rounded corners."""
    narrow = min(fingers, key=lambda finger: finger.width)
    thin = LEAST_FINGER_MM if narrow.low_tip == narrow.low_root else LEAST_WEDGE_MM
    limit = max(thin, 2 * radius)
    if narrow.width < limit - 1e-9:
        problem = "a finger of the comb is too thin" if narrow.width < thin else "a finger is too thin for its rounded corners"
        raise CannotCut(Fault(name, problem, mm(narrow.width), f"at least {mm(limit)}"))
    return narrow.width


def _comb(work: _Guided, fingers: Sequence[_Finger], finger_mm: float, *, reach: tuple[float, float], board: tuple[float, float]) -> Comb:
    """Draw a comb.

    Parameters
    ----------
    finger_mm
        Width of the narrowest finger.
    reach
        Y of the fingers' tips, and Y as far as the bush's centre goes.
    board
        Its size across the joint, and through or into the wood.
    """
    name, cutter, bush, ends = work.name, work.cutter, work.bush, work.ends
    tip, half = reach[0], bush.diameter_mm / 2
    root = reach[1] + half
    top = root + _SPINE_MM
    left, right = fingers[0].low_tip, fingers[-1].high_tip
    corners = [(left, top, _EASED_MM)]
    for i, finger in enumerate(fingers):
        if i:
            corners.append((finger.low_root, root, half))
        front = tip if finger.tip is None else finger.tip
        corners += [(finger.low_tip, front, finger.radius), (finger.high_tip, front, finger.radius)]
        if i < len(fingers) - 1:
            corners.append((finger.high_root, root, half))
    corners.append((right, top, _EASED_MM))
    try:
        outline = Outline(tuple(corners))
    except ValueError as error:
        raise CannotCut(
            Fault(name, "the bush can not pass between two fingers", f"a bush of {mm(bush.diameter_mm)}", str(error))
        ) from error
    width, thick = board
    low = root + 6.5  # of the zone below the text
    lines = [line for x in (0.0, width) for line in engraved(outline, (x, tip), (x, low))]
    lines += [line for y in (0.0, thick) for line in engraved(outline, (left, y), (right, y))]
    lines.append(((1.0, low - 3.0), (7.0, low), (1.0, low + 3.0), (1.0, low - 3.0)))  # from the reference edge into the board
    angle = f" X {cutter.angle_deg:g} DEG" if cutter.angle_deg else ""
    room = right - left - 14.0
    rows = (
        f"{name}  BUSH {bare(bush.diameter_mm)}  CUTTER {bare(cutter.diameter_mm)}{angle}  {figure(work.depth_mm)} BELOW COMB",
        f"THIS FACE UP: {ends[0]}",
        f"TURNED OVER: {ends[1]}",
    )
    middle = (left + right) / 2
    labels = [Engraving(row.upper(), middle, top - 17.0 - 7.0 * i, _height(row, room)) for i, row in enumerate(rows)]
    labels.append(Engraving("REF", -6.0, low, 3.0))
    return Comb(
        Plate(name, outline, _holes(left, right, top - 8.0), tuple(lines), tuple(labels)),
        work.kind,
        cutter,
        bush.diameter_mm,
        work.depth_mm,
        finger_mm,
        *ends,
    )


def _height(text: str, room_mm: float) -> float:
    """Height of letters, 4 mm at most, with which a line of text fits."""
    return round(min(4.0, room_mm / (0.86 * len(text))), 2)


def _holes(left: float, right: float, y: float) -> tuple[Outline, ...]:
    first, last = left + 8.0, right - 8.0
    count = max(2, -int(-(last - first) // _HOLE_PITCH_MM) + 1)
    return tuple(circle(first + (last - first) * i / (count - 1), y, _HOLE_MM) for i in range(count))
