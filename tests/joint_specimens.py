"""Named joints to try functions on: ordinary, small, wide, thin, steep and with a raised back. Sizes are invented."""

from __future__ import annotations

import math

from camtools.drawer.boards import HalfBlind, Tail, Through
from camtools.job.job import Cutter
from camtools.toolpath.moves import Air

__all__ = ["AIR", "HALF_BLIND", "THROUGH", "dovetail", "even_tails", "half_blind", "straight", "through"]

AIR = Air(clearance_mm=10.0, feed_mm_min=4000.0)


def dovetail(diameter: float = 12.7, angle: float = 14.0) -> Cutter:
    slope = math.tan(math.radians(angle))
    edge = min(25.0, round(0.3 * diameter / slope, 1)) if slope else 25.0  # its neck is four tenths as thick
    return Cutter(1, "dovetail", diameter, angle, edge, 6.35, 2, 18000, 24000, 1500, 400, edge, False, 40.0, 30.0)


def straight(diameter: float = 6.0, depth_per_pass: float = 3.0) -> Cutter:
    return Cutter(2, "straight", diameter, 0.0, 25.0, 6.0, 2, 18000, 24000, 1500, 400, depth_per_pass, True, 40.0, 30.0)


def even_tails(width: float, count: int, pin: float, half_pin: float = 5.0) -> tuple[Tail, ...]:
    tail = (width - 2 * half_pin - (count - 1) * pin) / count
    return tuple(Tail(half_pin + tail / 2 + i * (tail + pin), tail) for i in range(count))


def half_blind(
    *, width: float = 100.0, count: int = 3, pin: float = 7.5, half_pin: float = 5.0, side: float = 12.0, front: float = 20.0,
    lap: float = 5.0, clearance: float = 0.08, free: float = 0.2, light: float = 0.6, cutter: Cutter | None = None,
    rough: Cutter | None = None,
) -> HalfBlind:  # fmt: skip
    tails = even_tails(width, count, pin, half_pin)
    return HalfBlind(tails, width, side, clearance, light, cutter or dovetail(), rough, 0.5, front, lap, free)


def through(
    *, width: float = 100.0, count: int = 3, pin: float = 7.5, side: float = 12.0, back: float = 12.0, proud: float = 0.3,
    raised: float = 0.0, clearance: float = 0.08, light: float = 0.6, cutter: Cutter | None = None,
    plain: Cutter | None = None, rough: Cutter | None = None,
) -> Through:  # fmt: skip
    tails = even_tails(width, count, pin)
    if raised:
        top = tails[0].high_mm
        tails = (Tail(top / 2, top), *tails[1:])
    return Through(tails, width, side, clearance, light, cutter or dovetail(), rough, 0.5, raised, back, proud, plain or straight())


HALF_BLIND = {
    "ordinary": half_blind(),
    "one tail": half_blind(width=45.0, count=1),
    "wide gaps": half_blind(width=200.0, count=3, pin=30.0),
    "wide half pins": half_blind(half_pin=15.0, count=2),
    "thin wood": half_blind(side=8.0, front=14.0, lap=4.0, cutter=dovetail(9.5, 9.0), pin=8.0),
    "thick wood, shallow cutter": half_blind(width=160.0, side=20.0, front=28.0, lap=7.0, cutter=dovetail(19.0, 7.0), pin=15.0),
    "no clearance": half_blind(clearance=0.0, free=0.0),
    "no light pass": half_blind(light=0.0),
    "narrowest pins": half_blind(pin=12.7 - 2 * 15.0 * 0.24932800284318068 + 1e-9),
}
THROUGH = {
    "ordinary": through(),
    "one tail": through(width=45.0, count=1),
    "wide gaps": through(width=200.0, count=3, pin=30.0),
    "thin wood": through(side=8.0, back=8.0, cutter=dovetail(9.5, 9.0), pin=8.0, plain=straight(4.0)),
    "raised back": through(raised=17.0),
    "flush ends": through(proud=0.0),
    "thin cutter": through(plain=straight(2.5)),
    "socket just wide enough": through(count=4, pin=8.0, plain=straight(10.9)),
}
