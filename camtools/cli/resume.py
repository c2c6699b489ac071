"""``camtools resume``: go on with a program that was stopped, from where its cutter last came in from the air."""

from __future__ import annotations

from pathlib import Path, PurePosixPath

import click

from camtools.cli import show
from camtools.cli.taking_up import take_up, told_times
from camtools.faults import Fault, PacketFault
from camtools.output.folder import replace_file
from camtools.wording import Units, mm, told_in

__all__ = ["command"]

_FIRST = (
    "Go on only if the cutter was drawn out level, or the board freed, with the spindle still, and if the board has not moved and the zero "
    "is right: set it again if a motor stalled, the power failed or the cutter was changed, Z where the wood is not cut yet. Run the dry "
    "run, spindle off, then the program."
)


@click.command()
@click.argument("packet", type=click.Path(path_type=Path))
@click.argument("program")
@click.option("--line", required=True, type=int, help="Where it stopped: the last line that may have been begun.")
@click.option(
    "-o", "--output", "folder", required=True, type=click.Path(path_type=Path, file_okay=False), help="Folder to write both into."
)
@show.json_option
def command(packet: Path, program: str, line: int, folder: Path, as_json: bool) -> None:
    """Write a program that goes on with PROGRAM of PACKET after a stop, and a dry run of it.

    PROGRAM is a file of the packet, or its number. Of a text of rounds/, named with its folder, the board that was being cut is gone on
    with; which are done before it, and what to run after it, is told. What is written begins where the cutter last stood in the air
    before that line, and cuts from there what the program cuts. It is judged like any program, with what was cut before it gone.

    \f

    Parameters
    ----------
    packet, program
        Folder, and which of its programs.
    line
        Where it stopped.
    folder
        Where to write; the packet itself stays as it is.
    as_json
        Print data in place of words.

    Raises
    ------
    NotTakenUp
        Where that can not be done safely.
    PacketFault
        Where a file can not be written.
    """  # noqa: D301 - what stands after \f is no help for users
    made = take_up(packet, program, line)
    if folder.resolve().is_relative_to(packet.resolve()):
        raise PacketFault(Fault(str(folder), "lies in the packet, which stays as it was written", remedy="name a folder outside it"))
    name = PurePosixPath(made.file)
    files = {
        f"{name.stem}-from-line-{made.line}{name.suffix}": made.text,
        f"{name.stem}-from-line-{made.line}-dry{name.suffix}": made.dry_text,
    }
    folder.mkdir(parents=True, exist_ok=True)
    for file, text in files.items():
        replace_file(folder / file, text.encode("ascii"))
    x, y, z = made.entry_mm
    if as_json:
        show.data(
            {
                "files": [str(folder / file) for file in files],
                "line": made.line,
                "entry_mm": [x, y, z],
                "done": made.done,
                "left": made.left,
            }
        )
        return
    show.line(f"{folder}: {' and '.join(files)}.", "bold")
    with told_in(Units.PROGRAM_INCH if made.inches else Units.MM):  # as the display of the machine tells them
        show.line(f"It cuts again from line {made.line} on. The cutter comes down in the air at X {mm(x)}, Y {mm(y)}, to Z {mm(z)}.")
    if made.done:
        show.line(f"Done before the stop, one board each time: {told_times(made.done)}.")
    if made.left:
        show.line(f"Then run, each from its start: {told_times(made.left)}.")
    show.line(_FIRST, "yellow")
