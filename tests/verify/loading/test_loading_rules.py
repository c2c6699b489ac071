"""Setups of two boards: what is judged of them, on a packet that is read and run, and not carved."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from camtools.verify.contents import compared_contents
from camtools.verify.findings import Finding
from camtools.verify.loading.loading_rules import judge_loadings, round_readings, run_round
from camtools.verify.packet_files import read_packet
from camtools.verify.reader.interpreter import run
from tests.sabotage.packets import Packet, good_packet
from tests.sabotage.ways import LEFT_REAR, LIMITS, REAR_ROUND, WAYS

CODES = {
    "a text for two boards goes deeper than their programs": "round-differs",
    "a text for two boards goes low from one to the other": "round-way-low",
    "a text for two boards asks for the zero of one": "round-zero",
    "a nut so wide that it comes over the other board": "round-near-board",
    "stops too near to each other for two boards": "loading-unsound",
    "a setup left out": "loading-count",
    "a round that does not stop for its boards to be changed": "round-no-stop",
    "a setup before the one that it counts on": "round-order",
    "a text for several boards that no setup names": "round-unjudged",
    "two boards without a dry run of their own": "pair-not-dry",
}


@cache
def _good() -> tuple[Path, Any]:
    folder = tempfile.TemporaryDirectory()
    return good_packet(Path(folder.name)), folder  # which is there as long as this is known


def judged(folder: Path, *spoil: Callable[[Packet], object]) -> list[Finding]:
    """Return what is found of setups in a packet that was spoiled."""
    packet = Packet(_good()[0], folder / "packet")
    for own in spoil:
        own(packet)
    files = read_packet(packet.folder)
    assert files.manifest is not None
    assert files.limits is not None
    tools = {entry.file: entry.tools[0] for entry in files.manifest.programs}
    asked = {file for loading in files.limits.loadings for file in loading.programs}
    runs = {file: run(files.programs[file], file, fitted=tools[file]) for file in asked}
    rounds = {reading.file: run_round(reading) for reading in round_readings(files.manifest, files.limits, files.rounds)}
    notes = [finding for finding in files.findings if finding.code == "round-unjudged"]
    return [*notes, *judge_loadings(files.manifest, files.limits, runs, rounds, files.rounds, compared_contents(packet.folder)[1])]


def case(spoil: Callable[[Packet], object]) -> Callable[[Path, bool], Iterable[Finding]]:
    """Return a case of the catalogue."""
    return lambda folder, broken: judged(folder / f"{broken}", *[spoil] * broken)


def edited(packet: Packet) -> None:
    """A program that was edited, and the text that runs it was not."""
    packet.map_words(LEFT_REAR, "Z", lambda z: z - 0.1 if z < 0 else z)


CASES = {**{code: case(WAYS[name]) for name, code in CODES.items()}, "round-stale": case(edited)}


def test_set_ups_as_written_are_sound(tmp_path: Path) -> None:
    assert judged(tmp_path) == []


def test_two_boards_have_a_dry_run_of_their_own(tmp_path: Path) -> None:
    found = judged(tmp_path, WAYS["two boards without a dry run of their own"])
    assert ("pair-not-dry", REAR_ROUND) in [(finding.code, finding.file) for finding in found]


def test_a_text_that_was_edited_with_its_program_is_judged_anew(tmp_path: Path) -> None:
    def both(packet: Packet) -> None:
        edited(packet)
        packet.map_words(REAR_ROUND, "Z", lambda z: z - 0.1 if z < 0 else z)

    found = {(finding.code, finding.file == REAR_ROUND) for finding in judged(tmp_path, both)}
    assert found == {("round-differs", True), ("round-stale", False)}  # the round that runs both was not edited


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda own: own["programs"].reverse(), "the first stands at the left stop"),
        (lambda own: own["programs"].pop(), "by its own program"),
        (lambda own: own.update(programs=["programs/05-back-1-right-end.ngc", LEFT_REAR]), "one cutter"),
        (lambda own: own.update(programs=["programs/17-left-side-1-groove.ngc", LEFT_REAR]), "held in one way"),
        (lambda own: own.update(programs=["programs/none.ngc", LEFT_REAR]), "cuts nothing"),
    ],
)
def test_boards_that_can_not_stand_there_together_are_told_of(change: Callable[[Any], object], words: str, tmp_path: Path) -> None:
    def spoil(packet: Packet) -> None:
        packet.edit_json(lambda content: [change(own) for own in content["loadings"] if own["file"] == REAR_ROUND], LIMITS)

    found = [finding.text for finding in judged_without(tmp_path, spoil) if finding.code == "loading-unsound"]
    assert any(words in text for text in found), found


def judged_without(folder: Path, spoil: Callable[[Packet], object]) -> list[Finding]:
    """Return what is found where a setup may name what is not there."""
    packet = Packet(_good()[0], folder / "packet")
    spoil(packet)
    files = read_packet(packet.folder)
    assert files.manifest is not None
    assert files.limits is not None
    return list(judge_loadings(files.manifest, files.limits, {}, {}, files.rounds))


def test_stops_of_which_nothing_is_told_take_no_two_boards(tmp_path: Path) -> None:
    def unknown(packet: Packet) -> None:
        packet.edit_json(lambda content: content["machine"].update(upright_stops=None), LIMITS)

    assert "loading-unsound" in {finding.code for finding in judged(tmp_path, unknown)}
