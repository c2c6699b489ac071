"""The plan as the page reads it: names where it is there, ids where it is not, a clear fault where it is spoiled."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from camtools.faults import PacketFault
from camtools.page.names import read_names
from tests.page.conftest import Writer


@pytest.fixture
def plan(written: Writer, samples: Path) -> dict[str, Any]:
    return json.loads((written(samples / "inch-cabinet.toml") / "plan.json").read_text())


def test_names_settings_and_woods_come_from_the_plan(plan: dict[str, Any], tmp_path: Path) -> None:
    (tmp_path / "plan.json").write_text(json.dumps(plan))
    names = read_names(tmp_path)
    assert [names.drawer(drawer["id"]) for drawer in plan["drawers"]] == ["Folders", "Labels", "Plant press"]
    press = plan["drawers"][2]
    assert names.drawers[press["id"]].stock.bottom_kind == "plywood"
    fronts = {name: drawer.show_front_mm for name, drawer in names.drawers.items() if drawer.show_front_mm}
    assert fronts == {press["id"]: press["show_front_mm"]}
    assert {number: (cutter.flutes, cutter.assumed) for number, cutter in names.cutters.items()} == dict.fromkeys(
        (3, 4, 5), (2, ("max_speed", "flutes", "holder"))
    )
    assert {names.mark(board["id"]) for board in press["boards"]} == {"front-3", "back-3", "left-side-3", "right-side-3", "bottom-3"}
    assert names.machine
    assert names.machine.spin_up_s > 0


def test_without_a_plan_ids_stand_for_names(tmp_path: Path) -> None:
    names = read_names(tmp_path)
    assert (names.drawer("d1"), names.mark("d1-front"), dict(names.titles)) == ("d1", "d1-front", {})


def _without(key: str) -> Callable[[dict[str, Any]], object]:
    return lambda plan: plan.pop(key)


@pytest.mark.parametrize(
    "spoil",
    [
        _without("drawers"),
        _without("machine"),
        lambda plan: plan.update(drawers=7),
        lambda plan: plan["drawers"][0].update(name=12),
        lambda plan: plan["drawers"][0].pop("stock"),
        lambda plan: plan["cutters"][0].update(flutes="many"),
        lambda plan: plan["drawers"].append(None),
        lambda plan: plan["drawers"][0].update(name="\ud800"),  # half a pair of surrogates is no letter
    ],
)
def test_a_spoiled_plan_is_a_fault_of_the_packet(plan: dict[str, Any], tmp_path: Path, spoil: Callable[[dict[str, Any]], object]) -> None:
    spoil(plan)
    (tmp_path / "plan.json").write_text(json.dumps(plan))
    with pytest.raises(PacketFault, match=r"plan\.json: is no plan as camtools writes it"):
        read_names(tmp_path)


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b"null", b"\xff\xfe", b"[" * 100_000])
def test_what_is_no_plan_at_all_is_a_fault_of_the_packet(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "plan.json").write_bytes(content)
    with pytest.raises(PacketFault, match="is no plan"):
        read_names(tmp_path)
