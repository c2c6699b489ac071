"""``camtools setout``: a piece set out on a page in the browser."""

from __future__ import annotations

import webbrowser
from pathlib import Path

import click

from camtools.cli import show

__all__ = ["command"]


@click.command()
@click.argument("job_file", metavar="[JOB]", required=False, type=click.Path(path_type=Path))
@click.option("--inch", is_flag=True, help="Begin a job in inches; of JOB its own units hold.")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Port of the page's address; by default one that is free.")
@click.option("--no-browser", is_flag=True, help="Open no browser; print the page's address alone.")
def command(job_file: Path | None, inch: bool, port: int, no_browser: bool) -> None:
    """Set out the piece of JOB on a page in your browser; without JOB begin one in this folder.

    The page is served on this computer alone, until Ctrl-C here or "Put it away" there. The job file is written when you save; what is
    not saved yet stands in a copy beside it, .JOB.unsaved, which is offered when you begin again.
    """
    from camtools.setout.keeping import JobKeeper, keeper_of_new  # what serves is imported where it serves
    from camtools.setout.serving import serve
    from camtools.setout.session import Session
    from camtools.setout.shop import fresh_text

    keeper = keeper_of_new(Path.cwd()) if job_file is None else JobKeeper(job_file.resolve())
    keeper.hold()
    try:
        session = Session(keeper, fresh_text(keeper.path.parent, "in" if inch else None) if job_file is None else keeper.open())
    except BaseException:
        keeper.let_go()
        raise

    def opened(address: str) -> None:
        click.echo(address)
        show.line("Set out on this page, in your browser, on this computer alone. Ctrl-C here ends it.")
        if not no_browser:
            webbrowser.open(address)

    serve(session, port, opened)
    if not session.now.keeping.saved:
        show.line(f"Not saved: the copy is kept, and offered when you begin again: {session.copy}", "yellow")
