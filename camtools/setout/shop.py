"""The shop file: cutters, machine and the clearances that were found by trial, which the next job in its folder starts with.

``shop.toml`` is written as a job file is, with ``units`` and these of its tables and keys; a job does not read it later.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from camtools.drawer.styles import STYLES
from camtools.faults import CannotCut, Fault, JobFault
from camtools.job.job import DrawerWish, Job
from camtools.job.jobfile import job_of, units_of
from camtools.job.slips import unit_at
from camtools.job.tables import bytes_of, content_of, text_in
from camtools.mending.changes import value_at
from camtools.output.dialects import shipped_dialects
from camtools.output.folder import replace_file, write_fresh
from camtools.output.fresh_job import fresh_job
from camtools.setout.document import Document
from camtools.wording import MM_PER_INCH, listed

__all__ = ["SHOP_FILE", "fresh_text", "keep_shop", "take_shop"]

SHOP_FILE = "shop.toml"

_TABLES = ("cutters", "machine")
_FOUND = ("joints.clearance", "joints.through_clearance", "groove.play")  # by trial
_HEAD = """\
# The shop, for camtools: what a new job in this folder starts with. A job keeps what it started with.
units = "{units}"
"""


def fresh_text(folder: Path, units: str | None = None) -> str:
    """Return the text of a new job, with what the shop file of its folder says.

    Parameters
    ----------
    units
        "mm" or "in"; None: those of the shop file, mm where there is none.

    Raises
    ------
    JobFault
        Where the shop file is at fault.
    """
    shop = _shop(folder)
    if shop is None:
        return fresh_job(units or "mm").decode()
    units = units or units_of(shop)
    told = Document("", SHOP_FILE)
    told.put("units", units)
    _put(told, _kept(shop), units_of(shop))
    return fresh_job(units, {key: value for key, value in told.content.items() if key != "units"}).decode()


def take_shop(folder: Path, document: Document) -> None:
    """Write what the shop file says into a job. Raises JobFault where there is none, or it is at fault."""
    shop = _shop(folder)
    if shop is None:
        raise JobFault(Fault(SHOP_FILE, "is not there", remedy="keep a job's cutters and machine for the next one first"))
    _put(document, _kept(shop), units_of(shop))


def keep_shop(folder: Path, content: Mapping[str, Any], job: Job | None) -> tuple[str, ...]:
    """Write into the shop file what a job says of the shop, and return the keys that were written; what else stands there stays.

    Parameters
    ----------
    content, job
        Tables of the job, and what came of them, with the maker's answers to trials; None: it has faults.

    Raises
    ------
    JobFault, PacketFault
        Where the shop file is at fault, or can not be written.
    """
    path, units = folder / SHOP_FILE, units_of(content)
    there = _shop(folder) is not None
    document = Document(text_in(bytes_of(path), SHOP_FILE) if there else _HEAD.format(units=units), SHOP_FILE)
    kept = {**dict(_kept(content)), **({} if job is None else dict(_answered(content, job)))}
    _put(document, kept.items(), units)
    written = document.text.encode()
    if there:
        replace_file(path, written)
    else:
        write_fresh(path, written)
    return tuple(kept)


def _shop(folder: Path) -> dict[str, Any] | None:
    """Return the tables of the shop file; None where there is none. Raises JobFault where a job could not start with them."""
    path = folder / SHOP_FILE
    if not path.exists():
        return None
    shop = content_of(text_in(bytes_of(path), SHOP_FILE), SHOP_FILE)
    known = {*_TABLES, *(key.split(".")[0] for key in _FOUND), "units"}
    inner = (f"{table}.{key}" for table in ("joints", "groove") if isinstance(shop.get(table), dict) for key in shop[table])
    strangers = [*(key for key in shop if key not in known), *(key for key in inner if key not in _FOUND)]
    if strangers:
        limit = listed(["units", *_TABLES, *_FOUND], "and")
        raise JobFault(
            *(Fault(f"{SHOP_FILE}: {key}", "is no key of the shop file", limit=limit, remedy="take it out") for key in strangers)
        )
    whole = {**content_of(fresh_job(units_of(shop)).decode(), SHOP_FILE), **shop}
    try:
        job_of(whole, styles=tuple(STYLES), postprocessors=shipped_dialects())
    except CannotCut:
        return shop  # it has no room for what a new job starts with, which its maker will change
    except JobFault as error:
        raise JobFault(*(replace(fault, where=f"{SHOP_FILE}: {fault.where}") for fault in error.faults)) from None
    return shop


def _kept(content: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Yield what tables say of the shop, by key."""
    if cutters := content.get("cutters"):
        yield "cutters", cutters
    machine = content.get("machine")
    yield from ((f"machine.{key}", value) for key, value in machine.items()) if isinstance(machine, dict) else ()
    yield from ((key, value) for key in _FOUND if (value := value_at(content, key)) is not None)


def _answered(content: Mapping[str, Any], job: Job) -> Iterator[tuple[str, Any]]:
    """Yield the clearances that the maker's answers set in every drawer, where the job file leaves them out."""
    used = {use.key for use in job.answers if use.value and not use.drawers}
    for key in used.intersection(_FOUND) - {key for key in _FOUND if value_at(content, key) is not None}:
        found = {_mm_of(wish, key) for wish in job.drawers}
        if len(found) == 1:
            yield key, f"{found.pop():g} mm"


def _mm_of(wish: DrawerWish, key: str) -> float:
    values = {"joints.clearance": wish.joint.clearance_mm, "joints.through_clearance": wish.joint.through_clearance_mm}
    return values.get(key, wish.groove.play_mm)


def _put(document: Document, kept: Iterable[tuple[str, Any]], units: str) -> None:
    """Write values, which are in these units, into a job or a shop file."""
    own = units_of(document.content)
    for key, value in kept:
        if key != "cutters":
            document.put(key, _in_units(key, value, units, own))
            continue
        for place, cutter in enumerate(value, 1):
            _put_cutter(document, place, {name: _in_units(f"cutters[1].{name}", one, units, own) for name, one in cutter.items()})
        for place in range(len(document.content["cutters"]), len(value), -1):
            document.take_out(f"cutters[{place}]")


def _put_cutter(document: Document, place: int, cutter: Mapping[str, Any]) -> None:
    """Write a cutter over the one in its place, where that is of its kind: comments on its lines stay."""
    there = value_at(document.content, f"cutters[{place}]")
    if there is None or there.get("kind") != cutter.get("kind"):
        document.insert("cutters", place - 1, cutter)
        return
    for name in there.keys() - cutter.keys():
        document.take_out(f"cutters[{place}].{name}")
    for name, value in cutter.items():
        document.put(f"cutters[{place}].{name}", value)


def _in_units(key: str, value: Any, units: str, own: str) -> Any:
    """Return a value as it is written where numbers are in other units: with its own."""
    unit = unit_at(key)
    if units == own or not unit.startswith("mm"):
        return value
    if isinstance(value, list):
        return [_in_units(key, one, units, own) for one in value]
    if isinstance(value, dict):
        return {name: _in_units(f"{key}.{name}", one, units, own) for name, one in value.items()}
    if isinstance(value, str):
        return f"{value} {units}" if value.strip()[-1:].isdigit() else value
    if unit == "mm/s2":  # which bears no unit
        return float(f"{value * MM_PER_INCH if units == 'in' else value / MM_PER_INCH:.6g}")
    return f"{value:g} {unit.replace('mm', units, 1)}"
