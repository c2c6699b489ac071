"""``camtools template``: what is cut on a laser for those who rout the joints by hand."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from camtools.cli import show
from camtools.cli.plan import show_defaults
from camtools.cli.reading_job import read_job_file, told_how_to_mend
from camtools.drawer.drawers import drawers_of
from camtools.job.form import TemplatesForm
from camtools.output.folder import write_packet
from camtools.templates.kit import kit_of
from camtools.templates.template_files import templates_of
from camtools.wording import counted

__all__ = ["command"]

_WRITTEN: dict[str, dict[str, Any]] = {  # options that are not one length
    "bushes": {"multiple": True, "default": None, "metavar": "LENGTH"},
    "sheet": {"nargs": 2, "metavar": "LENGTH WIDTH"},
    "dxf": {"type": click.Choice(["R2000", "R12"])},
    "text": {"type": click.Choice(["strokes", "outlines"])},
    "leave_out": {"default": None},
}
_FLAGS = {"bushes": "--bush", "leave_out": "--leave-out/--no-leave-out"}  # that are not named as their keys are


def _keys_of_the_table(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command an option for each key of the job file's table ``templates``."""
    for key, field in reversed(TemplatesForm.model_fields.items()):
        written = _WRITTEN.get(key, {"metavar": "LENGTH"})
        command = click.option(_FLAGS.get(key, f"--{key.replace('_', '-')}"), key, help=field.description, **written)(command)
    return command


@click.command()
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("-o", "--output", "folder", type=click.Path(path_type=Path), required=True, help="Folder to write; an older set gives way.")
@_keys_of_the_table
@show.json_option
def command(job_file: Path, folder: Path, as_json: bool, **written: Any) -> None:
    """Write combs, spacers, setting blocks and stop settings for JOB into a folder.

    For those who cut joints with a router in their hands and templates on a laser. What can not be made with this bush or these
    guides is refused with numbers. An option goes before its key in the job's table [templates]; a LENGTH is written as
    there: 6, "6 mm", "1/4 in". Give --bush once for each bush that you have.
    """
    asked = {key: list(value) if isinstance(value, tuple) else value for key, value in written.items() if value not in (None, ())}
    with told_how_to_mend(job_file, asked, programs=False):
        job, defaults = read_job_file(job_file, templates=asked)
        assert job.templates is not None
        kit = kit_of(drawers_of(job), job.templates)
    files = templates_of(kit)
    target = write_packet(folder, files)
    if as_json:
        show.data({"templates": str(target), "job": job.title, "files": sorted(files), "left_out": [str(fault) for fault in kit.left_out]})
        return
    for fault in kit.left_out:
        show.line(f"left out: {fault}", "yellow")
    show_defaults([default for default in defaults if default.key.startswith("templates.")])
    show.line(f"{target}: {counted(len(files), 'file')}.", "bold")
    show.line("Read read-me.txt before you cut.")
