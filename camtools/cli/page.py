"""``camtools page``: the page for the bench, made anew from a packet's files."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from camtools.cli import show
from camtools.output.folder import refuse_other_file, renew, replace_file
from camtools.page.facts import read_facts
from camtools.page.index_page import render
from camtools.verify.checking import check_fully
from camtools.verify.report import json_of

__all__ = ["command"]


@click.command()
@click.argument("packet", type=click.Path(path_type=Path))
@click.option("--pdf", type=click.Path(path_type=Path, dir_okay=False), help="Write the same content as a PDF to print, too.")
@click.option("--jobs", type=click.IntRange(min=1), help="Processes to share the check; by default as many as there are processors.")
@show.json_option
@click.pass_context
def command(ctx: click.Context, packet: Path, pdf: Path | None, jobs: int | None, as_json: bool) -> None:
    """Write the page of PACKET anew, index.html, from the packet's own files.

    The packet is checked on the way, for the page shows what was carved and what the check found; check.json is renewed with it.
    Exits as `camtools check` does.
    """
    if pdf is not None:
        refuse_other_file(pdf, b"%PDF-", "PDF")
    with show.progress() as watch:
        checked = check_fully(packet, jobs=jobs, watch=watch)
        # What the check says of the two files that are made anew here is not so for long.
        lasting = tuple(finding for finding in checked.report.findings if finding.file not in ("check.json", "index.html"))
        checked = replace(checked, report=replace(checked.report, findings=lasting))
        facts = read_facts(packet, checked)
        files = {"check.json": json_of(checked.report).encode("ascii"), "index.html": render(facts)}
        if pdf is not None:
            from camtools.page.page_pdf import pdf_of  # slow to import

            content = pdf_of(facts)
            replace_file(pdf, content)
        renew(packet, files)
    report = checked.report
    page = packet / "index.html"
    if as_json:
        show.data({"page": str(page), "pdf": None if pdf is None else str(pdf), "ok": report.ok, "errors": len(report.errors)})
    else:
        show.line(f"{page}: written anew." if pdf is None else f"{page} and {pdf}: written anew.", "bold")
        if report.ok:
            show.line("Checked: all fits.")
        else:
            show.line("Do not cut this: the check was not passed; `camtools check` tells why.", "bold red")
    ctx.exit(report.exit_code)
