"""``camtools template``: what is cut on a laser for those who rout the joints by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from camtools.cli import show
from camtools.cli.reading_job import read_job_file
from camtools.drawer.drawers import drawers_of
from camtools.output.folder import write_packet
from camtools.templates.kit import kit_of
from camtools.templates.template_files import templates_of
from camtools.templates.wishes import TemplateWishes
from camtools.wording import counted

__all__ = ["command"]

_USUAL = TemplateWishes()


@click.command()
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("-o", "--output", "folder", type=click.Path(path_type=Path), required=True, help="Folder to write; an older set gives way.")
@click.option(
    "--bush", "bush_mm", type=float, help="Outside diameter of the guide bush, mm; else the smallest common one that the cutter turns in."
)
@click.option(
    "--bush-wall", "bush_wall_mm", type=float, default=_USUAL.bush_wall_mm, show_default=True, help="Thickness of the bush's wall, mm."
)
@click.option(
    "--comb",
    "comb_mm",
    type=float,
    default=_USUAL.comb_mm,
    show_default=True,
    help="Thickness of the combs, mm; more than the bush is long.",
)
@click.option("--kerf", type=float, help=f"Width that the laser burns away, mm.  [default: {_USUAL.kerf_mm:g}]")
@click.option("--nominal", is_flag=True, help="Draw the lines where they are; whoever cuts them compensates. Not with --kerf.")
@click.option("--finger", "finger_mm", type=float, help="Width of the sliding fingers of a holder, mm; else what the commonest tail needs.")
@click.option(
    "--finger-radius", "finger_radius_mm", type=float, help="Radius of the fingers' front corners, mm; else what the rounded tails need."
)
@click.option(
    "--finger-inset",
    "finger_inset_mm",
    type=float,
    help="First and last finger so far inside the board's edges, mm, 0 flush; else over the job's tails.",
)
@click.option(
    "--sheet",
    "sheet_mm",
    type=(float, float),
    default=_USUAL.sheet_mm,
    show_default=True,
    help="Length and width of a sheet to cut from, mm.",
)
@click.option("--dxf", type=click.Choice(["R2000", "R12"]), default=_USUAL.dxf, show_default=True, help="Version of the DXF files.")
@click.option("--text", type=click.Choice(["strokes", "outlines"]), default=_USUAL.text, show_default=True, help="How names are engraved.")
@click.option("--leave-out", is_flag=True, help="Leave out what can not be made instead of refusing the whole.")
@show.json_option
def command(job_file: Path, folder: Path, kerf: float | None, nominal: bool, as_json: bool, **wished: Any) -> None:
    """Write combs, spacers, setting blocks and stop settings for JOB into a folder.

    For those who cut joints with a router in their hands and templates on a laser. What can not be made with this bush or these
    fingers is refused with numbers.
    """
    if nominal and kerf is not None:
        raise click.UsageError("--kerf and --nominal exclude each other: the kerf is compensated once, here or at the laser")
    burned = 0.0 if nominal else _USUAL.kerf_mm if kerf is None else kerf
    wishes = TemplateWishes(kerf_mm=burned, **wished)
    job, _ = read_job_file(job_file)
    drawers = drawers_of(job)
    kit = kit_of(drawers, wishes)
    files = templates_of(kit)
    target = write_packet(folder, files)
    if as_json:
        show.data({"templates": str(target), "job": job.title, "files": sorted(files), "left_out": [str(fault) for fault in kit.left_out]})
        return
    show.line(f"{target}: {counted(len(files), 'file')}.", "bold")
    for fault in kit.left_out:
        show.line(f"left out: {fault}", "yellow")
    show.line("Read read-me.txt before you cut.")
