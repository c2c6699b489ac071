"""Z zero set by a touch plate: a good packet passes, and each way to make a touch unsafe, or another one, is caught."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

import pytest

from camtools.cli.reading_dialect import read_dialect
from camtools.job import read_job
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, work_of
from camtools.verify.checking import check
from camtools.verify.findings import Finding
from tests.sabotage.packets import JOB, Packet
from tests.sabotage.ways import LEFT_FRONT, REAR_ROUND, ROUND

DIALECT = 'units = "mm"\nprobe = "G10 L20"\nprobe_plate_mm = 15.0\nprobe_reach_mm = 25.0\nprobe_feed_mm_min = 100.0\n'


@cache
def _good() -> tuple[Path, object]:
    """Return the packet of a small drawer, in a dialect with a touch plate; its folder is there as long as this is known."""
    kept = tempfile.TemporaryDirectory()
    folder = Path(kept.name)
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    (folder / "plate.toml").write_text(DIALECT, encoding="utf-8")
    work = work_of(read_job(folder / "job.toml")[0], read_dialect(str(folder / "plate.toml")))
    return write_packet(folder / "packet", files_of(work, without=("pictures", "templates", "drawings"))), kept


def probed(folder: Path, *spoil: Callable[[Packet], object]) -> Sequence[Finding]:
    packet = Packet(_good()[0], folder / "packet")
    for own in spoil:
        own(packet)
    return check(packet.folder, jobs=1).findings


def thicker_plate(packet: Packet) -> None:
    packet.change(LEFT_FRONT, r"L20 P1 Z15\.0", "L20 P1 Z15.5")


def test_a_packet_that_sets_its_zeros_by_a_plate_passes_without_a_finding(tmp_path: Path) -> None:
    assert probed(tmp_path) == ()


def test_the_spindle_starts_after_the_plate_was_taken_away(tmp_path: Path) -> None:
    """NISTIR 6556, 3.5.9 for G38.2; the order is common practice, no source."""
    codes = [re.sub(r" ?\(.*", "", line) for line in Packet(_good()[0], tmp_path / "packet").lines(LEFT_FRONT)]
    first = codes.index("T1 M6")
    assert codes[first + 1 : first + 12] == [
        "G54", "M0", "G21 G17 G90 G94 G54", "G91", "G38.2 Z-25.0 F100.0", "G10 L20 P1 Z15.0", "G0 Z5.0", "G90", "M0", "G21 G17 G90 G94 G54",
        "G0 Z40.0",
    ]  # fmt: skip
    assert next(i for i, code in enumerate(codes) if "M3" in code) > first + 11


@pytest.mark.parametrize(
    "keys",
    ["m6 = false", "work_offsets = 2", 'comments = "semicolon"', 'spindle = "hand"', 'safe_height = "machine"', "line_numbers = true"],
)
def test_a_touch_is_read_back_with_every_other_capability(keys: str, tmp_path: Path) -> None:
    path = tmp_path / "plate.toml"
    path.write_text(f"{DIALECT}{keys}\n", encoding="utf-8")
    assert read_dialect(str(path)).probed == (15.0, 25.0, 100.0)
    path.write_text(f"{DIALECT}{keys}\n".replace('"mm"', '"inch"'), encoding="utf-8")
    assert read_dialect(str(path)).probed


def untouched(file: str, nth: int) -> Callable[[Packet], object]:
    """Leave out a touch of a text, with both its stops."""

    def edit(packet: Packet) -> None:
        first = packet.find(file, r"^G38\.2", nth) - 2
        for _ in range(7):
            packet.drop(file, first)

    return edit


SPOILED: dict[str, tuple[Callable[[Packet], object], str, str]] = {
    "thicker plate in one program": (thicker_plate, "probe-plate", LEFT_FRONT),
    "spindle turns": (lambda p: p.insert(LEFT_FRONT, p.find(LEFT_FRONT, r"^G38\.2"), "S9000 M3"), "probe-unsafe", LEFT_FRONT),
    "no stop to lay it": (lambda p: p.drop(LEFT_FRONT, p.find(LEFT_FRONT, "^M0 .plate")), "probe-unsafe", LEFT_FRONT),
    "no stop to take it away": (lambda p: p.drop(LEFT_FRONT, p.find(LEFT_FRONT, "^M0 .take")), "probe-unsafe", LEFT_FRONT),
    "not off the plate": (lambda p: p.drop(LEFT_FRONT, p.find(LEFT_FRONT, "^G0 Z5")), "probe-unsafe", LEFT_FRONT),
    "further down": (lambda p: p.change(LEFT_FRONT, r"Z-25\.0", "Z-60.0"), "probe-unsafe", LEFT_FRONT),
    "faster": (lambda p: p.change(LEFT_FRONT, r"F100\.0", "F400.0"), "probe-unsafe", LEFT_FRONT),
    "upwards": (lambda p: p.change(LEFT_FRONT, r"Z-25\.0", "Z25.0"), "probe-unsafe", LEFT_FRONT),
    "sideways": (lambda p: p.change(LEFT_FRONT, r"Z-25\.0", "Z-25.0 X3.0"), "probe-unsafe", LEFT_FRONT),
    "from a place that is not known": (lambda p: p.drop(LEFT_FRONT, p.find(LEFT_FRONT, "^G91")), "probe-unsafe", LEFT_FRONT),
    "zero of another board": (lambda p: p.change(LEFT_FRONT, "L20 P1", "L20 P2"), "probe-unsafe", LEFT_FRONT),
    "zero not set": (lambda p: p.drop(LEFT_FRONT, p.find(LEFT_FRONT, "^G10")), "probe-unsafe", LEFT_FRONT),
    "back in by G91": (lambda p: p.change(LEFT_FRONT, "^G21 G17 G90", "G21 G17 G91", 2), "incremental-from-unknown", LEFT_FRONT),
    "one of two boards not touched": (untouched(REAR_ROUND, 2), "round-zero", REAR_ROUND),
    "not touched after boards were changed": (untouched(ROUND, 3), "round-zero", ROUND),
}  # fmt: skip


@pytest.mark.parametrize("name", SPOILED)
def test_a_spoiled_touch_is_caught(name: str, tmp_path: Path) -> None:
    spoil, code, file = SPOILED[name]
    found = {(finding.code, finding.file) for finding in probed(tmp_path, spoil)}
    assert (code, file) in found, found
