"""The files of an upright plate: its drawing as PDF, SVG and DXF, its parts as a table, and how it is put up safely."""

from __future__ import annotations

import csv
import io
import textwrap

from camtools.drawings.sheet_dxf import sheet_dxf_bytes
from camtools.drawings.sheet_pdf import pdf_bytes
from camtools.drawings.sheet_svg import svg_bytes
from camtools.drawings.upright_plate import UprightPlate, parts_of, plate_sheets
from camtools.job.job import Job
from camtools.wording import bare, mm, units_told

__all__ = ["plate_files"]

_CAUTIONS = (
    "This is a proposal, reckoned from the sizes of your boards and nothing else: nobody has tried it on your machine. The manual of the "
    "machine comes first, and so does your judgement of what its bed bears.",
    "It must stand so firmly that a board in it does not move when you pull at it by hand with some force, in every direction. An upright "
    "board is a lever. If anything gives, stiffen it before a cutter comes near.",
    "The plate stands in the way of the spindle and of whoever reaches over the bed. Drive the machine by hand to every corner of its "
    "travel, with the longest cutter in, before any program runs; see that nothing touches the plate, its bolts or a long board below it.",
    "A flat board that reaches out over the front of the bed would lie on the plate's upper edge and not on the bed. Take the plate off "
    "for such a board, and set it true again after it.",
    "No screw or bolt within the backing piece may come nearer to the upper edge than the drawing has it: the cutter goes there.",
    "Dry run first, then a joint in offcuts.",
)


def plate_files(job: Job, plate: UprightPlate) -> dict[str, bytes]:
    """Return every file of a plate by its name."""
    sheets = plate_sheets(job, plate)
    unit = units_told()[0].value
    files = {f"{sheet.stem}-{unit}.dxf": sheet_dxf_bytes(sheet) for sheet in sheets}
    files |= {f"{sheet.stem}.svg": svg_bytes(sheet) for sheet in sheets}
    files["upright-plate.pdf"] = pdf_bytes(sheets)
    files["parts.csv"] = _table(plate, unit)
    files["read-me.txt"] = _read_me(plate)
    return files


def _table(plate: UprightPlate, unit: str) -> bytes:
    table = io.StringIO()
    writer = csv.writer(table, lineterminator="\r\n")
    writer.writerow(["part", "number off", *(f"{name} {unit}" for name in ("length", "width", "thickness")), "note"])
    for part in parts_of(plate):
        writer.writerow([part.name, part.count, *map(bare, part.size_mm), part.note])
    return table.getvalue().encode("utf-8-sig")


def _read_me(plate: UprightPlate) -> bytes:
    bolt = plate.stop_thick_mm + plate.backing_mm + 2 * 18.0 + 40.0
    steps = (
        "Saw the parts to parts.csv. The upper edges of plate and backing pieces are straight; packer and backing pieces are flat.",
        f"Drill plate and packer together, so that the holes meet: {mm(8.5)} for the bolts, and in the packer alone {mm(22.0)} about those "
        "into the bed, so that their heads go in. Let nuts with a flange into the back of the plate for the two bolts of the bar. "
        "Glue and screw the packer to the plate, and screw a backing piece over it, along its lower edge only.",
        f"Put the plate before the front edge of the bed, its upper edge {mm(plate.over_bed_mm)} over the bed, level and along X. "
        "Drill the bed through the plate for bolts or nuts that it bears; where its edge bears none, rely on the ledger: screw it to the "
        "back of the plate, tight under the bed, and bolt it up through the bed. Set the backing's face upright to the bed with a square, "
        "and parallel to X by a pin or a dial gauge in the spindle; shim it.",
        f"Screw each stop on with its top {mm(plate.stop_below_mm)} below the upper edge and its inner edge square to that, at "
        f"{mm(plate.stops_mm[0])} and {mm(plate.stops_mm[1])} from the left end of the plate.",
        f"Hang the bar on two bolts M8, about {mm(bolt)} long, with wide washers and wing nuts or knobs in front. At the stop without a "
        "board lay an offcut as thick as the board, so that the bar bears level."
        + (" The widest boards find no room between both stops: take the one off that they do not stand at." if plate.one_stop else ""),
        "Measure where both stops and the plate's face really stand on the travel, and write that into the job file, in place of what is "
        "there now. Planned are:",
    )
    parts = ["AN UPRIGHT PLATE TO BUILD", "SAFETY FIRST", *(f"- {caution}" for caution in _CAUTIONS), "HOW IT IS PUT UP"]
    parts += [f"{i}. {step}" for i, step in enumerate(steps, 1)]
    text = "\n\n".join(textwrap.fill(part, 100, subsequent_indent="  " if part[0] in "-123456789" else "") for part in parts)
    keys = "".join(f"     {line}\n" for line in plate.keys)
    return f"{text}\n\n{keys}".encode()
