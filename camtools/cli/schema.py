"""``camtools schema``: the JSON Schema of the job file, from which editors complete and check it."""

from __future__ import annotations

import json

import click

__all__ = ["command"]


@click.command("schema", help="Print the JSON Schema of the job file, for editors.")
def command() -> None:
    """Print the schema on standard output."""
    from camtools.drawer.styles import STYLES
    from camtools.job.json_schema import schema_of_jobs
    from camtools.output.dialects import shipped_dialects

    click.echo(json.dumps(schema_of_jobs(STYLES, shipped_dialects()), indent=2))
