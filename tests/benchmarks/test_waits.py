"""What a maker waits for is told as it is."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchmarks import waits
from benchmarks.waits import Waited, waited


def test_a_packet_is_told_as_a_multiple_of_planning_and_checking() -> None:
    assert Waited(plan=0.5, picture=0.7, check=1.5, packet=4.0, files=1, size=1).multiple == 2.0


def test_the_best_round_of_each_command_is_told_and_the_packet_is_counted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[str, ...]] = []
    times = iter([3.0, 2.0, 4.0, 0.5, 0.3, 0.4, 0.8, 0.6, 0.9, 1.2, 1.1, 1.3])

    def seconds(*arguments: str | Path) -> float:
        asked.append(tuple(map(str, arguments)))
        (tmp_path / "first-drawer" / "programs").mkdir(parents=True, exist_ok=True)
        (tmp_path / "first-drawer" / "programs" / "01.ngc").write_bytes(b"M30\n")
        return next(times)

    monkeypatch.setattr(waits, "_seconds", seconds)
    assert waited("first-drawer", tmp_path) == Waited(plan=0.3, picture=0.6, check=1.1, packet=2.0, files=1, size=4)
    assert [arguments[1] for arguments in asked] == ["packet"] * 3 + ["plan"] * 6 + ["check"] * 3
    assert "--no-pictures" not in asked[0]
