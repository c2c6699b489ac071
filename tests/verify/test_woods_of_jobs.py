"""Jobs of random woods, seasons and sizes: what is worked out of them passes the check's own bounds of movement, and no others."""

from __future__ import annotations

import random
from types import SimpleNamespace
from typing import Any

from camtools.drawer import drawers_of
from camtools.drawer.boards import Drawer
from camtools.faults import CamtoolsError
from camtools.job.job import Job
from camtools.job.woods import known_woods
from camtools.output.manifest_of import limits_of, manifest_of
from camtools.verify.fit.judge import season_faults
from camtools.verify.rules.job_rules import judge_against_job
from camtools.verify.written import written_in
from tests.job.jobs import changed, read, toml

WOODS = [wood.name for wood in known_woods()]
JOBS = 300


def values_of(chance: random.Random) -> dict[str, Any]:
    """Return a stock of any woods, in seasons told as moisture or as air."""
    values: dict[str, Any] = {"drawers.0.opening": [280, chance.randint(80, 240), chance.randint(200, 500)], "groove.depth": 6}
    for key in ("wood", "front_wood", "side_wood", "back_wood", "bottom_wood"):
        if chance.random() < 0.6:
            values[f"stock.{key}"] = chance.choice(WOODS)
    values["stock.sawn"] = chance.choice(["flat", "quarter"])
    values["stock.bottom_kind"] = chance.choice(["plywood", "solid"])
    values["fit.back"] = chance.choice(["full", "raised"])
    driest, now, dampest = sorted(round(chance.uniform(3, 20), 1) for _ in range(3))
    if chance.random() < 0.5:
        humidity = sorted(chance.randint(10, 85) for _ in range(3))
        air = zip(("driest", "now", "dampest"), humidity, strict=True)
        values["stock.climate"] = {season: [chance.randint(5, 35) if chance.random() < 0.1 else "68 F", percent] for season, percent in air}
    else:
        values |= {"stock.driest": driest, "stock.now": now, "stock.dampest": dampest}
    return values


def made(values: dict[str, Any]) -> tuple[Job, Drawer] | None:
    try:
        job, _ = read(values)
        return job, drawers_of(job)[0]
    except CamtoolsError:
        return None


def judged(job: Job, drawer: Drawer, values: dict[str, Any]) -> list[str]:
    """Hold sizes, woods and bottom of one job against the file of another."""
    written = written_in("".join(f"{key} = {toml(value)}\n" for key, value in changed(values).items()).encode())
    findings = judge_against_job(written, manifest_of(job, [drawer], []), limits_of(job, [drawer], []))
    low, deep = drawer.bottom.to_drawer[1][3], drawer.bottom.piece.size_mm[1]
    grooves = {"front": drawer.front.piece.groove, "back": drawer.back.piece.groove}
    reach = {"front": drawer.front.piece.size_mm[2] - low, "back": low + deep - drawer.outside_mm[1] + drawer.back.piece.size_mm[2]}
    sides = [SimpleNamespace(part=part, engaged_mm=reach[part], groove=groove) for part, groove in grooves.items()]
    bottom: Any = SimpleNamespace(sides=sides)
    return [finding.text for finding in findings] + [fault.text for fault in season_faults(bottom, written.drawers[0].stock, deep)]


def test_no_job_that_can_be_made_is_found_to_move_otherwise_than_its_woods() -> None:
    chance, found = random.Random(5), 0
    for _ in range(JOBS):
        values = values_of(chance)
        if (one := made(values)) is not None:
            found += 1
            assert judged(*one, values) == [], values
    assert found > JOBS / 2


def test_drawers_of_still_wood_do_not_pass_for_those_of_lively_wood() -> None:
    """Teak moves by 0.00186 for each % of moisture flat-sawn, American beech by 0.00431: Wood Handbook, Table 13-5."""
    seasons = {"stock.driest": 6, "stock.now": 8, "stock.dampest": 14, "groove.depth": 6}
    for part in ("front_wood", "side_wood", "back_wood", "bottom_wood"):
        teak = seasons | {"stock.wood": "teak", "stock.bottom_kind": "solid"}
        one = made(teak)
        assert one is not None
        assert judged(*one, teak) == []
        found = " ".join(judged(*one, teak | {f"stock.{part}": "American beech"}))
        assert "by the job file it is American beech" in found
        assert ("until the dampest season" if part == "bottom_wood" else "clearance above") in found
