"""Ways to spoil a good packet of trial joints. As those of drawers, a way returns what has to be found, where."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tests.sabotage.packets import Packet
from tests.sabotage.ways import MANIFEST, Caught, Way

__all__ = ["TRIAL_WAYS"]

SLOTS = "programs/03-trial-front-1-right-end.ngc"
FRONT = "programs/04-trial-front-1-left-end.ngc"
STRAIGHT_SLOT = "programs/05-trial-front-1-right-end.ngc"
GROOVE = "programs/06-trial-front-1-groove.ngc"
BACK = "programs/07-trial-back-1-left-end.ngc"
LIMITS = "limits.json"

TRIAL_WAYS: dict[str, Way] = {}


def way(name: str) -> Callable[[Way], Way]:
    def register(function: Way) -> Way:
        TRIAL_WAYS[name] = function
        return function

    return register


def trial(packet: Packet, edit: Callable[[dict[str, Any]], object]) -> None:
    """Edit the entry of the trial boards."""
    packet.edit_json(lambda content: edit(content["trials"][0]), LIMITS)


def swap(steps: list[dict[str, Any]], key: str) -> None:
    steps[0][key], steps[1][key] = steps[1][key], steps[0][key]


def nicks(packet: Packet, file: str) -> range:
    """Return the lines that cut nicks."""
    return range(packet.find(file, "cut 2 of 2: .*nicks"), len(packet.lines(file)) + 1)


@way("clearances of two steps told the wrong way round")
def _(packet: Packet) -> Caught:
    trial(packet, lambda own: swap(own["steps"], "clearance"))
    return Caught("job-differs", LIMITS, 0)


@way("clearances of two steps told the wrong way round, in the job file too")
def _(packet: Packet) -> Caught:
    trial(packet, lambda own: swap(own["steps"], "clearance"))
    packet.change("job.toml", "clearances = .*", "clearances = [0.1, 0.02]")
    return Caught("trial-clearance", FRONT, tuple(range(1, 200)))


@way("sockets of two steps named the wrong way round")
def _(packet: Packet) -> Caught:
    trial(packet, lambda own: swap(own["steps"], "in_front"))
    return Caught("trial-nicks", FRONT, 0)


@way("half-blind socket too wide by a hundredth at one flank")
def _(packet: Packet) -> Caught:
    line = packet.find(FRONT, "^G1 X-12.7983")
    packet.map_words(FRONT, "X", lambda x: x + 0.01, lines=[line])
    return Caught("trial-clearance", FRONT, line, near=6)


@way("through sockets moved by a hundredth")
def _(packet: Packet) -> Caught:
    end = packet.find(BACK, "cut 2 of 2")
    packet.map_words(BACK, "X", lambda x: x + 0.01, lines=range(1, end))
    return Caught("trial-clearance", BACK, tuple(range(1, end)))


@way("nick of a half-blind step missing")
def _(packet: Packet) -> Caught:
    packet.map_words(FRONT, "Y", lambda y: 5.05 if y == 4.25 else y, lines=[packet.find(FRONT, "^G1 Y4.25", -1)])
    return Caught("trial-nicks", FRONT, 0)


@way("nick of a through step missing")
def _(packet: Packet) -> Caught:
    packet.map_words(BACK, "Y", lambda y: -11.8 if y == -11.0 else y, lines=[packet.find(BACK, "^G1 Y-11.0", -1)])
    return Caught("trial-nicks", BACK, 0)


@way("nicks of two steps beside each other's socket")
def _(packet: Packet) -> Caught:
    packet.map_words(FRONT, "X", lambda x: {-21.353: -37.859, -37.859: -21.353}.get(x, x), lines=nicks(packet, FRONT))
    return Caught("trial-nicks", FRONT, 0)


@way("slot for calipers deeper than is told")
def _(packet: Packet) -> Caught:
    packet.map_words(SLOTS, "Z", lambda z: z - 0.1 if z < 0 else z)
    return Caught("trial-slot", SLOTS, 0)


@way("slot of the straight cutter deeper than is told")
def _(packet: Packet) -> Caught:
    packet.map_words(STRAIGHT_SLOT, "Z", lambda z: z - 0.1 if z < 0 else z)
    return Caught("trial-slot", SLOTS, 0)


@way("slots of the dovetail cutter told as one")
def _(packet: Packet) -> Caught:
    trial(packet, lambda own: own.update(slots=own["slots"][1:]))
    return Caught("trial-incomplete", LIMITS, 0)


@way("trial groove wider by a hundredth")
def _(packet: Packet) -> Caught:
    far = packet.find(GROOVE, "^G1 .*Y")
    packet.map_words(GROOVE, "Y", lambda y: y + 0.01 if y == packet.number(GROOVE, far, "Y") else y)
    return Caught("trial-groove", GROOVE, 0)


@way("trial of no drawer of the job")
def _(packet: Packet) -> Caught:
    trial(packet, lambda own: own.update(drawers=[]))
    return Caught("trial-incomplete", LIMITS, 0)


@way("trial boards that are told as nothing")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: content.update(trials=[]), LIMITS)
    return Caught("job-differs", MANIFEST, 0)


@way("trial boards of another thickness than the job's")
def _(packet: Packet) -> Caught:
    packet.change("job.toml", "side = 10", "side = 10.1")
    return Caught("job-differs", LIMITS, 0)


@way("trial front without its sockets")
def _(packet: Packet) -> Caught:
    packet.edit_json(lambda content: content.update(programs=[one for one in content["programs"] if one["file"] != FRONT]))
    return Caught("program-missing", MANIFEST, 0)
