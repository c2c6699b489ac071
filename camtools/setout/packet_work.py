"""Has ``camtools packet`` and ``camtools check`` do their work in a process of its own, tells how far it is, and stops it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Lock, Thread
from typing import IO, Any, Literal

from camtools.faults import Fault
from camtools.wording import counted

__all__ = ["PacketMaker", "PacketWork", "came_of", "packet_folder"]

Kind = Literal["packet", "check"]

# A process that is started where interrupts are ignored, in the background of a script, would ignore them too.
# Windows has no interrupt for one process: its break, which reaches a group of processes, takes that place.
_WINDOWS = sys.platform == "win32"
_INTERRUPT = "SIGBREAK" if _WINDOWS else "SIGINT"
_COMMAND = f"import signal; signal.signal(signal.{_INTERRUPT}, signal.default_int_handler); from camtools.cli import main; main()"
_PATIENCE_S = 60.0  # in which work that is told to stop has cleared up


@dataclass(frozen=True, slots=True)
class PacketWork:
    """How far the work is."""

    kind: Kind
    folder: Path
    state: Literal["at work", "done", "refused", "stopped"] = "at work"
    stages: tuple[tuple[str, int, int], ...] = ()  # what is done, how many of it, of how many; 0: not known
    words: tuple[str, ...] = ()  # what came of it


def packet_folder(job_file: Path) -> Path:
    """Return the folder that the packet of a job is written to, beside its file."""
    return job_file.with_name(f"{job_file.stem}-packet")


class PacketMaker:
    """Writes or checks a packet: one at a time, each in a process of its own.

    A process that is stopped leaves nothing: a packet gets its name when it is whole.
    """

    def __init__(self) -> None:
        self._lock = Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._now: PacketWork | None = None
        self._stopping = False

    @property
    def now(self) -> PacketWork | None:
        """The work at hand, or what came of the last."""
        return self._now

    def start(self, kind: Kind, job_file: Path, heard: Callable[[], None] = lambda: None) -> bool:
        """Start work; False where some is being done already.

        Parameters
        ----------
        heard
            Called whenever there is something new to tell.
        """
        with self._lock:
            if self._now is not None and self._now.state == "at work":
                return False
            folder = packet_folder(job_file)
            what = [str(job_file), "-o", str(folder)] if kind == "packet" else [str(folder)]
            command = [sys.executable, "-c", _COMMAND, kind, "--json", *what]
            self._process = subprocess.Popen(
                command,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                env={**os.environ, "PYTHONUTF8": "1"},  # whatever the console's code page is
                start_new_session=not _WINDOWS,  # so an interrupt from the keyboard reaches it through this process alone
                creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
            )
            self._now, self._stopping = PacketWork(kind, folder), False
        Thread(target=self._follow, args=(self._process, heard), daemon=True).start()
        return True

    def stop(self) -> None:
        """Tell the work to stop; it clears up first, and is ended where it does not."""
        process = self._process
        if process is None or process.poll() is not None:
            return
        self._stopping = True
        with suppress(OSError):  # it has ended meanwhile
            process.send_signal(getattr(signal, "CTRL_BREAK_EVENT", signal.SIGINT))
        Thread(target=_end, args=(process,), daemon=True).start()

    def finish(self) -> None:
        """Stop the work, and wait until it has."""
        self.stop()
        if self._process is not None:
            self._process.wait()

    def _follow(self, process: subprocess.Popen[bytes], heard: Callable[[], None]) -> None:
        stdout, stderr = process.stdout, process.stderr
        assert stdout is not None
        assert stderr is not None
        answer: list[bytes] = []
        rest: list[str] = []
        with process:
            reader = Thread(target=_gather, args=(stdout, answer), daemon=True)
            reader.start()
            for line in stderr:
                stage = _stage(line)
                if stage is None:
                    rest.append(line.decode("utf-8", "replace"))
                    continue
                with self._lock:
                    assert self._now is not None
                    told = {name: (name, done, of) for name, done, of in (*self._now.stages, stage)}
                    self._now = replace(self._now, stages=tuple(told.values()))
                heard()
            reader.join()
            code = process.wait()
        with self._lock:
            assert self._now is not None
            self._now = came_of(self._now, 130 if self._stopping and code else code, b"".join(answer), "".join(rest))
        heard()


def _end(process: subprocess.Popen[bytes]) -> None:
    """End a process that does not stop by itself."""
    try:
        process.wait(_PATIENCE_S)
    except subprocess.TimeoutExpired:
        process.kill()


def _gather(pipe: IO[bytes], into: list[bytes]) -> None:
    with suppress(OSError):
        into.append(pipe.read())


def _stage(line: bytes) -> tuple[str, int, int] | None:
    with suppress(ValueError):
        match json.loads(line):
            case {"stage": str(name), "done": int(done), "of": int(of)}:
                return name, done, of
    return None


def came_of(work: PacketWork, code: int, answer: bytes, rest: str) -> PacketWork:
    """Return the work with what came of it: the exit code of its process, its answer, and what else it said."""
    told: dict[str, Any] = {}
    with suppress(ValueError):
        told = dict(json.loads(answer))
    if code == 130:
        return replace(work, state="stopped", words=("Stopped. A packet that was not finished is not there.",))
    if code != 0 and not told:
        return replace(work, state="refused", words=(rest.strip() or f"ended with {code}",))
    if "faults" in told:
        return replace(work, state="refused", words=(told["error"], *map(_fault_words, told["faults"])))
    if work.kind == "packet":
        carved = f"{counted(told['boards_carved'], 'board')} carved, {counted(told['drawers_joined'], 'drawer')} put together; all fits."
        at_the_machine = f"For the machine, open index.html in {work.folder}: there it keeps which steps are done."
        return replace(work, state="done", words=(f"The packet is written and checked: {carved}", at_the_machine, *told["warnings"]))
    findings = [f"{own['severity']}: {own['where'] or own['file']}: {own['text']}" for own in told["findings"]]
    verdict = "It fits." if told["ok"] else "Do not cut this." if told["judged"] else "Not everything could be judged."
    return replace(work, state="done" if told["ok"] else "refused", words=(verdict, *findings))


def _fault_words(told: dict[str, Any]) -> str:
    return str(Fault(*(told[name] for name in ("where", "problem", "value", "limit", "remedy"))))
