"""The command line: the only place that prints and sets exit codes.

A command is one file beside this one and one line in ``COMMANDS``. It is imported only when it is run, so that help and
completion answer at once.
"""

from __future__ import annotations

import errno
from importlib import import_module
from typing import Any, NoReturn

import click

from camtools import __version__
from camtools.faults import CamtoolsError

__all__ = ["COMMANDS", "EXIT_CODES", "group", "main"]

# name -> (module:object, what help says of it), in the order of work
COMMANDS = {
    "begin": ("camtools.cli.jobs.begin:command", "Write a job file to fill in."),
    "plan": ("camtools.cli.plan:command", "Show sizes, joints and the cut list; write nothing."),
    "setout": ("camtools.cli.jobs.setout:command", "Set the piece out on a page in your browser."),
    "fit": ("camtools.cli.bench.fit:command", "Keep what fitted at the bench, and tell what is kept."),
    "measure": ("camtools.cli.bench.measure:command", "Write a sheet to measure boards on."),
    "packet": ("camtools.cli.packet:command", "Write every program, picture and list of a job into a folder."),
    "trial": ("camtools.cli.bench.trial:command", "Write a packet of trial joints in offcuts, each at stepped clearances."),
    "page": ("camtools.cli.page:command", "Write the page for the bench anew, and as a PDF if asked."),
    "check": ("camtools.cli.check:command", "Carve a packet's programs, put its drawers together and judge."),
    "resume": ("camtools.cli.resume:command", "Go on with a program that was stopped, from its last entry from the air."),
    "template": ("camtools.cli.template:command", "Write combs, spacers and gauges for those who rout by hand."),
    "plate": ("camtools.cli.plate:command", "Draw an upright plate to build, for a machine that holds no board upright."),
    "dialects": ("camtools.cli.dialect_list:command", "Show what programs look like in each dialect, and what they leave to you."),
    "schema": ("camtools.cli.schema:command", "Print the JSON Schema of the job file, for editors."),
}

EXIT_CODES = {
    0: "all is well",
    1: "the check found errors in a packet",
    2: "the job file or the command line is wrong, or a packet could not be judged",
    3: "the wood, the cutter or the machine can not do what the job asks",
    4: "what was asked for could not be written, or a packet failed its own check; nothing was replaced",
    70: "a defect in camtools itself",  # EX_SOFTWARE of sysexits.h
    130: "stopped from the keyboard",  # 128 + SIGINT, as shells have it
}


class _Commands(click.Group):
    """A group whose commands are imported when they are run, and which turns whatever stops them into words and a code."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def resolve_command(self, ctx: click.Context, args: list[str]) -> tuple[str | None, click.Command | None, list[str]]:
        name, named, rest = super().resolve_command(ctx, args)
        if name is None or named is None:
            return name, named, rest
        module, _, attribute = COMMANDS[name][0].partition(":")
        return name, getattr(import_module(module), attribute), rest

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except CamtoolsError as error:
            _stop(ctx, error, error.exit_code)
        except KeyboardInterrupt:
            click.echo("\nStopped. A packet that was not finished is not there.", err=True)
            ctx.exit(130)
        except (click.ClickException, click.exceptions.Exit, click.Abort, EOFError):
            raise
        except Exception as error:
            if isinstance(error, OSError) and error.errno == errno.EPIPE:
                raise  # the reader of our output went away; click ends quietly
            _stop(ctx, error, 70)


def _stop(ctx: click.Context, error: Exception, exit_code: int) -> NoReturn:
    from camtools.cli import show

    show.stopped(error, exit_code, as_json=show.wants_json(ctx))
    ctx.exit(exit_code)


group = _Commands(
    "camtools",
    commands={name: click.Command(name, short_help=text) for name, (_, text) in COMMANDS.items()},
    help="Dovetailed drawers on a small CNC router: from openings and stock to programs that are proved to fit.",
    epilog="Start with a job file: `camtools plan JOB` shows what would be made. Read the cautions in the packet before you cut.",
    context_settings={"help_option_names": ["-h", "--help"]},
)
group = click.version_option(__version__, prog_name="camtools")(group)


def main() -> None:
    """Run the command line and leave with one of ``EXIT_CODES``."""
    group(prog_name="camtools")
