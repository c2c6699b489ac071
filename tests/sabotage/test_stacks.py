"""Stacks of equal sides: a good packet passes, and each way to spoil what is peculiar to them is caught."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from camtools.verify.checking import check
from tests.sabotage.packets import JOB, Packet, good_packet

STACKED_JOB = JOB.replace("rough = true\n", "").replace("[machine]", "[machine]\nstack = 24").replace('"Seed drawer"', '"Seeds"\ncount = 2')
LIMITS = "limits.json"


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return good_packet(tmp_path_factory.mktemp("stacked"), STACKED_JOB)


def stacked_text(folder: Path) -> str:
    """Return the text that cuts the stacks at both stops, wherever it comes in the order of work."""
    (path,) = (folder / "rounds").glob("*-pair-right-left-side-1-rear-x2.ngc")
    return f"rounds/{path.name}"


def thinner_stacks(packet: Packet) -> None:
    """The job file has 15 mm stacked at most, the sides are 10 mm thick."""
    packet.change("job.toml", "stack = 24", "stack = 15")


def not_asked(packet: Packet) -> None:
    packet.change("job.toml", "stack = 24", "")


def _words(letter: str, change: Callable[[float], float]) -> Callable[[Packet], None]:
    """Return an edit of every text that cuts stacks."""

    def edit(packet: Packet) -> None:
        for path in sorted((packet.folder / "rounds").glob("*.ngc")):
            if "-x2" in path.name or "upright-cutter-1" in path.name:
                packet.map_words(f"rounds/{path.name}", letter, change)

    return edit


cut_too_deep = _words("Z", lambda z: z - 0.1 if z < 0 else z)


def _three(packet: Packet) -> None:
    def edit(content: dict[str, Any]) -> None:
        next(own for own in content["loadings"] if own["file"] == stacked_text(packet.folder))["stacked"] = [2, 3]

    packet.edit_json(edit, LIMITS)


deep_light_pass = _words("Y", lambda y: -22.0 if -24.6 < y < -24.1 else y)
SPOILED: dict[str, tuple[Callable[[Packet], None], str, str]] = {
    "job file has no stacks": (not_asked, "stack-unsound", "machine.stack"),
    "job file has thinner stacks": (thinner_stacks, "stack-unsound", "20 mm thick"),
    "three boards where there are two": (_three, "stack-unsound", "3 boards are stacked, and there are 2"),
    "cut too deep": (cut_too_deep, "stack-differs", "board 1 from the backing is left with a step"),
    "cut beside": (_words("X", lambda x: x + 0.05), "stack-differs", "board 2 from the backing is left with a step"),
    "foremost board not cut through": (_words("Y", lambda y: max(y, -12.0)), "stack-differs", "board 2 from the backing"),
    "backing not cut as by one board's program": (_words("Y", lambda y: min(y, -3.0)), "stack-differs", "from the backing than"),
    "light pass deep in the foremost board": (deep_light_pass, "stack-differs", "board 2 from the backing is left with a step"),
    "foremost board not scored": (_words("Y", lambda y: -23.0 if -24.6 < y < -24.1 else y), "stack-differs", "a light pass scores"),
    "fed faster than charts have it": (_words("F", lambda f: 9000.0), "chips-thick", ""),
}


def test_a_good_packet_of_stacks_passes_without_a_finding(good: Path) -> None:
    assert stacked_text(good)
    assert check(good, jobs=1).findings == ()


@pytest.mark.parametrize("name", SPOILED)
def test_a_spoiled_stack_is_caught(name: str, good: Path, tmp_path: Path) -> None:
    spoil, code, words = SPOILED[name]
    packet = Packet(good, tmp_path / "packet")
    spoil(packet)
    found = [(finding.code, finding.file, finding.text) for finding in check(packet.folder, jobs=1).findings]
    assert any((code, stacked_text(good)) == own[:2] and words in own[2] for own in found), found
