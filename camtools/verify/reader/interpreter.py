"""Runs a program's text in a simulated machine, strictly by the language's report, and says what it found.

Written from NISTIR 6556, *The NIST RS274/NGC Interpreter - Version 3* (Kramer, Proctor, Messina, 2000), never from the
programs' writer. Whatever the text holds, a run ends and raises nothing; its cost is linear in the text's length.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from camtools.verify.findings import Log
from camtools.verify.reader.controller import Controller
from camtools.verify.reader.motion import Motion, Point, ProgramRun
from camtools.verify.reader.words import LONGEST_LINE, SAFE_LINE, Block, LineFault, looks_like_code, read_block, reads_as_code

__all__ = ["MOST_LINES", "run"]

MOST_LINES = 500_000


def run(
    text: str, file: str, *, tools: Collection[int] | None = None, fitted: int = 0, start: Point | None = None, top_mm: float = 100.0
) -> ProgramRun:
    """Run a program.

    Parameters
    ----------
    text
        The whole program.
    file
        Its name for findings, relative to the packet.
    tools
        Numbers of the tools that the manifest knows; None lets any pass.
    fitted
        The tool that stands in the spindle from the start, for programs that change none; 0 for none.
    start
        Where the machine stands before, in mm in G54. None: not known, as on a real machine. Then an axis has no place
        until a rapid names it, and that rapid is taken to start, on this axis, where it ends.
    top_mm
        Height over the work's zero that stands for the top of travel, machine coordinate Z0.
    """
    log = Log(file)
    reading = _Reading(log, Controller(log, tools, fitted, start, top_mm))
    for line, content in _lines(text, log):
        if not reading.take(line, content):
            break
    return reading.finished(file)


def _lines(text: str, log: Log) -> Iterator[tuple[int, str]]:
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for line, content in enumerate(lines, 1):
        if not content or content.isspace():
            continue
        if line > MOST_LINES:
            log.add("program-too-long", line, f"more than {MOST_LINES} lines")
            break
        yield line, content


class _Reading:
    """Follows a program from line to line. After a fault it goes on reading, but carries nothing out."""

    def __init__(self, log: Log, machine: Controller) -> None:
        self._log = log
        self._machine = machine
        self._running = True
        self._first = True
        self._percent = 0  # % lines so far
        self._ended = False  # by M2 or M30
        self._any_words = False
        self._told_of_rest = False
        self._line = 0  # the last line before the program's end

    def take(self, line: int, content: str) -> bool:
        """Read a line and carry it out; return False where reading on makes no sense."""
        first, self._first = self._first, False
        if not self._ended and self._percent < 2:
            self._line = line
        if content.lstrip(" \t").startswith("%"):
            self._take_percent(line, content, first)
        elif self._ended or self._percent == 2:
            self._take_rest(line, content)
        elif len(content) > LONGEST_LINE:
            self._fail("line-too-long", line, f"{len(content)} characters, at most {LONGEST_LINE}")
        else:
            if len(content) > SAFE_LINE:
                self._log.add("line-near-limit", line, f"{len(content)} characters; some controllers take no more than {SAFE_LINE}")
            return self._take_block(line, content)
        return True

    def _fail(self, code: str, line: int, text: str) -> None:
        self._log.add(code, line, text)
        self._running = False

    def _take_percent(self, line: int, content: str, first: bool) -> None:
        """Section 3.1, p. 12."""
        if content.strip(" \t") != "%" or not (first or self._percent == 1):
            if self._percent < 2:
                self._fail("percent-misplaced", line, "% stands alone on the first line and once more alone after the program")
        else:
            self._percent += 1

    def _take_rest(self, line: int, content: str) -> None:
        """Look at a line after the end of the program."""
        if self._told_of_rest:
            return
        try:
            empty = not read_block(content[: LONGEST_LINE + 1]).has_words
        except LineFault:
            empty = False
        if not empty:
            self._log.add("text-after-end", line, "nothing after the end is carried out")
            self._told_of_rest = True

    def _take_block(self, line: int, content: str) -> bool:
        try:
            block = read_block(content)
        except LineFault as fault:
            self._fail(fault.code, line, fault.text)
            return True
        if block.comments:
            self._check_comments(line, block)
        if not block.has_words:
            return True
        self._any_words = True
        if block.deleted:
            self._log.add("block-delete", line, "take the / away, or the line")
        if self._running:
            try:
                self._machine.execute(block, line)
            except LineFault as fault:
                self._fail(fault.code, line, fault.text)
                if fault.code == "program-too-long":
                    return False
        self._ended = block.m.get(4) in (2, 30)
        return True

    def _check_comments(self, line: int, block: Block) -> None:
        for comment in block.comments:
            if not comment.isascii():
                self._log.add("comment-not-ascii", line, "keep comments to ASCII")
            if reads_as_code(comment):
                self._log.add("code-in-comment", line, f"({comment}) would move or switch the machine if it were no comment")
            elif looks_like_code(comment):
                self._log.add("code-like-comment", line, f"({comment}) is not carried out")

    def finished(self, file: str) -> ProgramRun:
        """Return the run, once all lines were taken."""
        by_percent = self._percent == 2
        if not self._any_words:
            self._log.add("program-empty", self._line, "nothing to carry out")
        elif not self._ended and not by_percent:
            self._log.add("no-program-end", self._line, "the program was cut short: it has no M30")
        elif not self._ended:
            self._log.add("ends-without-m30", self._line, "end with M5, then M30")
        if self._machine.by_hand:
            self._log.add("spindle-left-on", self._line, "stop by M0 with a comment that asks to switch the spindle off, before the end")
        if self._ended and self._percent == 1:
            self._log.add("percent-not-closed", self._line, "a % line at the top asks for one at the end")
        motions: list[Motion] = self._machine.motions
        scale = self._machine.units
        return ProgramRun(
            file,
            tuple(motions),
            self._log.findings(),
            complete=self._running and self._any_words and (self._ended or by_percent),
            units="" if scale is None else "mm" if scale == 1.0 else "inch",
            blend_mm=self._machine.loosest_mm,
            stops=tuple(self._machine.stops),
            zero_asked=self._machine.zero_asked,
            probed=tuple(self._machine.probe.done),
        )
