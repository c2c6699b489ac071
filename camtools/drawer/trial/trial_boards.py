"""The boards of a trial: short pieces that carry each joint of a job at stepped clearances. docs/joinery.md section 15.

One tail at each end of a trial side is pushed in turn into every socket of a trial front, and over every socket of a trial back.
The tail is cut for the tightest step; only the sockets differ.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import NamedTuple

from camtools.drawer.boards import Affine, Board, Drawer, Groove, HalfBlind, Nicks, Piece, Role, Slot, Tail, Through, TrialCuts
from camtools.drawer.bounds import bounds_of
from camtools.faults import CannotCut, Fault, puts
from camtools.job.job import Cutter, DrawerWish, Job
from camtools.wording import down, up

__all__ = ["SLOT_LETTERS", "TrialSet", "slot_depths_mm", "trials_of"]

SHORTEST_MM = 140  # of a board; common practice, no source: shorter ones are hard to hold
LONGEST_MM = 420
LENGTHS = tuple(float(length) for length in range(SHORTEST_MM, LONGEST_MM + 1, 20))  # mm, tried one after the other
NICK_MM = 0.5  # depth of a nick: a finger feels half of it, docs/sources.md section 5
LEAST_NICK_MM = 0.2
SLOT_LETTERS = "ABCDEFGH"  # what slots are called, from the reference edge
RIDGE_MM = 0.7  # of wood between two nicks
_BESIDE_MM = 1.0  # of wood between nicks and a socket, so that settings may part there
_PIN_MM = 6.0  # between two sockets, at least
_EDGE_MM = 8.0  # between a cut and the edge of a board, or another cut, at least
_NARROWEST_MM = 40.0  # board that is held
_GROOVE_SLOT_MM = 3.0  # depth of a straight cutter's slot


class _Widths(NamedTuple):
    """Of a trial's tail, and at least of the wood before the first socket and between two, in mm."""

    tail: float
    edge: float
    pin: float


@dataclass(frozen=True, slots=True)
class TrialSet:
    """Three boards that try the joints of all drawers of the job that are alike in them."""

    id: str
    wishes: tuple[int, ...]  # places of those drawers in the job, from 0
    names: tuple[str, ...]  # of those drawers
    front: Board
    back: Board
    side: Board
    clearances_mm: tuple[float, ...]  # at each flank, by step
    plays_mm: tuple[float, ...]  # of the grooves: front, back, side, as far as there are any

    @property
    def name(self) -> str:
        return "trial joints"

    @property
    def boards(self) -> tuple[Board, ...]:
        return self.front, self.back, self.side


def slot_depths_mm(wish: DrawerWish) -> tuple[float, float]:
    """Return how deep the two slots are that the dovetail cutter makes in one pass each: the one as deep as sockets, the other shallow.

    At a depth ``d`` the mouth of such a slot is ``D - 2 d tan(a)`` wide.
    """
    deep = down(wish.depths_mm[0], 0.5)
    return deep, max(2.0, down(deep / 4, 0.5))


def trials_of(job: Job, drawers: Sequence[Drawer], length_mm: float) -> tuple[TrialSet, ...]:
    """Return the trial boards of a job, one set for all drawers that are alike in joints, wood and groove.

    Parameters
    ----------
    drawers
        One for each drawer of the job, in its order.
    length_mm
        Of every trial board.

    Raises
    ------
    CannotCut
        Where nicks would be too shallow to be felt, or a joint is none that can be tried.
    """
    kinds: dict[object, list[int]] = {}
    for place, wish in enumerate(job.drawers):
        kinds.setdefault(_kind(wish), []).append(place)
    return tuple(_set(job, drawers, places, number, length_mm) for number, places in enumerate(kinds.values(), 1))


def _kind(wish: DrawerWish) -> object:
    stock, joint = wish.stock, replace(wish.joint, style="", tails=None, tail_mm=None, pin_mm=None, half_pin_mm=None)
    sizes = (stock.front_mm, stock.side_mm, stock.back_mm, stock.bottom_mm)
    return (*sizes, stock.front_wood, stock.side_wood, stock.back_wood, joint, wish.groove.cutter, wish.groove.depth_mm)


def _set(job: Job, drawers: Sequence[Drawer], places: Sequence[int], number: int, length_mm: float) -> TrialSet:
    wish, side = job.drawers[places[0]], drawers[places[0]].left.piece
    half_blind, through, groove = side.half_blind, side.through, side.groove
    assert half_blind is not None
    assert through is not None
    assert groove is not None
    stock, joint, steps = wish.stock, wish.joint, job.trial.clearances_mm
    tight = replace(wish, joint=replace(joint, clearance_mm=steps[0]), fit=replace(wish.fit, back="full"))
    bounds = bounds_of(job, tight)
    tail_mm = up(bounds.tail.mm + 0.5, 0.5)
    flat = half_blind.flat is not None  # then sockets have reliefs beside them
    widths = _Widths(tail_mm, max(_EDGE_MM, flat * bounds.half_pin.mm), max(_PIN_MM, flat * bounds.pin.mm))
    plays = job.trial.groove_plays_mm
    beyond_mm = groove.edge_mm + stock.bottom_mm + plays[-1] + _EDGE_MM
    wide_mm = max(_NARROWEST_MM, up(tail_mm + 2 * _EDGE_MM, 1), up(beyond_mm, 1))
    alone = (Tail(wide_mm / 2, tail_mm),)

    def grooved(at: int, start_mm: float, stop_mm: float) -> Groove | None:
        width_mm = stock.bottom_mm + plays[at] if at < len(plays) else 0.0
        return replace(groove, width_mm=width_mm, start_mm=start_mm, stop_mm=stop_mm) if width_mm else None

    def board(role: Role, piece: Piece, to_drawer: Affine) -> Board:
        return Board(f"trial-{role.split()[-1]}-{number}", piece, to_drawer, 1, stock.wood_of(role))

    lap, proud, open_mm = joint.lap_mm, joint.proud_mm, length_mm + groove.cutter.diameter_mm
    front = _front(half_blind, wish, job, widths, beyond_mm)
    back = _back(through, job.trial.clearances_mm, widths)
    inside_mm = half_blind.length_mm + wish.groove.stop_mm
    up_, deep = (0.0, 1.0, 0.0, 0.0), length_mm + lap - proud
    return TrialSet(
        id=f"trial-{number}",
        wishes=tuple(places),
        names=tuple(job.drawers[place].name for place in places),
        front=board(
            "front",
            replace(front, size_mm=(length_mm, front.size_mm[1], stock.front_mm), groove=grooved(0, stock.side_mm + _EDGE_MM, open_mm)),
            ((1.0, 0.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), up_),
        ),
        back=board(
            "back",
            replace(
                back, size_mm=(length_mm, back.size_mm[1], stock.back_mm), groove=grooved(1, stock.side_mm + proud + _EDGE_MM, open_mm)
            ),
            ((1.0, 0.0, 0.0, -proud), (0.0, 0.0, -1.0, deep), up_),
        ),
        side=board(
            "left side",
            Piece(
                "left side",
                (length_mm, wide_mm, stock.side_mm),
                half_blind=replace(half_blind, tails=alone, width_mm=wide_mm, clearance_mm=steps[0]),
                through=replace(through, tails=alone, width_mm=wide_mm, clearance_mm=steps[0], raise_mm=0.0),
                groove=grooved(2, inside_mm, length_mm - through.length_mm - wish.groove.stop_mm),
                trial=TrialCuts(),
            ),
            ((0.0, 0.0, 1.0, 0.0), (1.0, 0.0, 0.0, lap), up_),
        ),
        clearances_mm=steps,
        plays_mm=plays,
    )


def _sockets(steps: Sequence[float], widths: _Widths, nicked_mm: Sequence[float]) -> tuple[tuple[Tail, ...], tuple[float, ...], float]:
    """Lay sockets out from the reference edge: the tail that each is cut for, the middle of the pin after it, and the width in all.

    The nicks of each step, so wide, need a pin.

    All are cut for the loosest step, so that a socket's end is off the tail at every step and flanks alone decide; what a tighter
    socket lacks is taken off the tail that it is cut for.
    """
    widest, pins_mm = widths.tail + 2 * steps[-1], [max(widths.pin, nicked + 2 * _BESIDE_MM) for nicked in nicked_mm]
    starts = [*accumulate((widest + pin for pin in pins_mm), initial=widths.edge)]
    tails = tuple(Tail(start + widest / 2, widths.tail - 2 * (steps[-1] - step)) for start, step in zip(starts, steps, strict=False))
    middles = tuple(start + widest + pin / 2 for start, pin in zip(starts, pins_mm, strict=False))
    return tails, middles, up(starts[-1] + 2.0, 1)


def _front(joint: HalfBlind, wish: DrawerWish, job: Job, widths: _Widths, at: float) -> Piece:
    """Return the trial front without its sizes but the width; its slots begin so far from the reference edge, beyond the groove."""
    steps, cutter, depth = job.trial.clearances_mm, joint.dovetail, joint.length_mm + joint.free_depth_mm
    # A nick is a wedge, deepest at the cutter's tip: nicks stand one below the other in the end of the pin.
    pitch = min(NICK_MM / cutter.slope + RIDGE_MM, depth / len(steps))
    nick = (pitch - RIDGE_MM) * cutter.slope
    if nick < LEAST_NICK_MM:
        most = math.floor(depth / (LEAST_NICK_MM / cutter.slope + RIDGE_MM))
        problem, ways = "nicks that count so many steps would be too shallow to be felt", puts("trial.clearances", steps[:most])
        raise CannotCut(Fault("trial.clearances", problem, f"{len(steps)} steps", f"at most {most}", ways=ways))
    nicked = _chord_mm(cutter, nick) + 2 * joint.free_depth_mm * cutter.slope
    tails, middles, wide_mm = _sockets(steps, widths, [nicked] * len(steps))
    deep, shallow = slot_depths_mm(wish)
    straights = {one.number: one for one in (job.cutter(wish.joint.straight), job.cutter(wish.groove.cutter))}.values()
    cuts = [(cutter, deep), (cutter, shallow), *((one, _GROOVE_SLOT_MM) for one in straights)]
    reach_mm = joint.side_mm + joint.play_mm - cutter.radius_at(joint.length_mm)  # of the axis in a socket: clamps are clear of that
    slots = []
    for one, depth_mm in cuts:
        slots.append(Slot(at + one.diameter_mm / 2, depth_mm, reach_mm, one))
        at += one.diameter_mm + _EDGE_MM
    wide_mm = max(wide_mm, up(at, 1))
    nicks = tuple(Nicks(middle, count, pitch, nick) for count, middle in enumerate(middles, 1))
    own = replace(joint, tails=tails, width_mm=wide_mm, clearance_mm=steps[-1])
    return Piece("front", (0.0, wide_mm, 0.0), half_blind=own, trial=TrialCuts(nicks, tuple(slots)))


def _back(joint: Through, steps: Sequence[float], widths: _Widths) -> Piece:
    """Return the trial back without its sizes but the width: its nicks are flutes side by side in the pin.

    They stand in its outside face; in its end, where the board is cut with that face down.
    """
    pitch = _chord_mm(joint.straight, NICK_MM) + RIDGE_MM
    tails, middles, wide_mm = _sockets(steps, widths, [count * pitch for count in range(1, len(steps) + 1)])
    nicks = tuple(Nicks(middle, count, pitch, NICK_MM) for count, middle in enumerate(middles, 1))
    own = replace(joint, tails=tails, width_mm=wide_mm, clearance_mm=steps[-1], raise_mm=0.0)
    return Piece("back", (0.0, wide_mm, 0.0), through=own, trial=TrialCuts(nicks))


def _chord_mm(cutter: Cutter, depth_mm: float) -> float:
    """Return how wide a nick of this depth is."""
    return 2 * math.sqrt(depth_mm * (cutter.diameter_mm - depth_mm))
