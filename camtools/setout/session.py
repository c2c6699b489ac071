"""A job while it is set out: its text with every change that can be undone, and what comes of it. One writer at a time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from threading import RLock
from typing import Any

from camtools.drawer.boards import Drawer
from camtools.faults import PacketFault, Way
from camtools.mending import Trials
from camtools.setout.document import Document
from camtools.setout.edits import Edits, apply
from camtools.setout.keeping import JobKeeper, file_name
from camtools.setout.set_out import Keeping, Reckoned, SetOut, entries_of, reckon, way_back, work_out
from camtools.setout.shop import SHOP_FILE, keep_shop
from camtools.wording import told_in

__all__ = ["Session", "StaleRevision"]

_MOST_KEPT = 500  # changes that can be undone


class StaleRevision(Exception):
    """A window asked for a change of a job that another had changed meanwhile."""


@dataclass(frozen=True, slots=True)
class _Change:
    """A text of the job, what was done to it to come there, in words, and what it says where it can be cut, as far as is known."""

    text: str
    words: str = ""
    sound: Mapping[str, Any] | None = None


class Session:
    """A job that is set out.

    Every change is in the copy beside the file before it is answered. Methods that change something are told the revision that
    whoever asks has seen, and raise `StaleRevision` where it is not the job's; then nothing is changed.
    """

    def __init__(self, keeper: JobKeeper, text: str) -> None:
        self._keeper = keeper
        self._lock = RLock()
        self._past = [_Change(text)]  # the last is the job as it stands
        self._future: list[_Change] = []
        self._revision, self._news = 1, 1
        self._changed = False
        self._saved = text if keeper.begun != "nothing" else None
        self._worked = work_out(keeper.path, text)
        self._reckoned: Reckoned | None = None
        self._judge()
        self._last_seen: dict[str, Drawer] = {}  # drawers by name, as they last could be worked out
        self._trials: Trials | None = None
        self._left_over = keeper.left_over()
        if self._left_over and self._left_over[0] == text:
            self._left_over = None
            keeper.drop_copy()
        self._see()

    @property
    def revision(self) -> int:
        """How often the job was changed."""
        return self._revision

    @property
    def news(self) -> int:
        """How often anything was changed that a window shows."""
        return self._news

    @property
    def path(self) -> Path:
        """The job file."""
        return self._keeper.path

    @property
    def copy(self) -> Path:
        """Where what is not saved yet is kept."""
        return self._keeper.copy

    @property
    def now(self) -> SetOut:
        """The job as it stands."""
        with self._lock:
            return SetOut(self._revision, self._worked, self._keeping(), self._earlier(), self._since(), self._reckoned)

    def edit(self, edits: Edits) -> SetOut:
        """Do edits, as one step of undo. Raises JobFault where one can not be done; then none is."""
        with self._turn(edits.revision) as seen:
            document = Document(seen.text, self.path.name)
            with told_in(seen.units):
                words = [apply(edit, document, seen) for edit in edits.edits]
            text = document.text
            if text != seen.text:
                self._go_on(text, words[0] if len(words) == 1 else f"{words[0]} and more")
        return self.now

    def undo(self, revision: int) -> SetOut:
        """Go one change back."""
        with self._turn(revision):
            if len(self._past) > 1:
                self._keep(self._past[-2].text)
                self._future.append(self._past.pop())
                self._take(self._past[-1].text)
        return self.now

    def redo(self, revision: int) -> SetOut:
        """Do again what was undone."""
        with self._turn(revision):
            if self._future:
                self._keep(self._future[-1].text)
                self._past.append(self._future.pop())
                self._take(self._past[-1].text)
        return self.now

    def save(self, revision: int, name: str = "") -> SetOut:
        """Write the job file; under another name beside it, where one is given, and go on with that.

        Raises
        ------
        PacketFault
            Where it was changed on disk meanwhile, bears a name that is taken, or can not be written; nothing is written then.
        """
        with self._turn(revision):
            keeper = self._keeper
            if name:
                other = JobKeeper(keeper.path.with_name(file_name(name)))
                if other.path != keeper.path:
                    self._save_as(other)
                    return self.now
            keeper.save(self._worked.text)
            self._saved = self._worked.text
            self._news += 1
        return self.now

    def _save_as(self, other: JobKeeper) -> None:
        other.hold()
        try:
            other.save(self._worked.text)
        except PacketFault:
            other.let_go()
            raise
        self._keeper.drop_copy()
        self._keeper.let_go()
        self._keeper, self._saved = other, self._worked.text
        self._take(self._worked.text)

    def settle(self, revision: int, *, take: bool) -> SetOut:
        """Go on with what was found on disk: a copy that was never saved, or else the file as somebody changed it meanwhile.

        Undo brings back what was here. Where it is not taken, the copy is thrown away; a file is left as it is.

        Raises
        ------
        JobFault
            Where the file can not be read.
        """
        with self._turn(revision):
            if self._left_over is not None:
                text, begun = self._left_over
                self._left_over = None
                if take:
                    self._keeper.begun = begun
                    self._go_on(text, "what was not saved")
                else:
                    self._keeper.drop_copy()
                    self._news += 1
            elif take and self._changed:
                self._saved = self._keeper.open()
                self._go_on(self._saved, "what was changed on disk")
        return self.now

    def _go_on(self, text: str, words: str) -> None:
        self._keep(text)
        self._past = [*self._past, _Change(text, words)][-_MOST_KEPT:]
        self._future.clear()
        self._take(text)

    def keep_shop(self) -> tuple[str, ...]:
        """Write what the job says of the shop into the shop file, and return the keys. Raises JobFault and PacketFault."""
        with self._lock:
            return keep_shop(self.path.parent, self._worked.content, self._worked.job)

    def reckon(self, revision: int) -> SetOut:
        """Return the job with what takes longer to reckon; as it stands, where it was changed meanwhile."""
        with self._lock:
            worked, known, since = self._worked, self._reckoned, self._since()
            if known is not None or revision != self._revision:
                return self.now
            trials = self._trials = Trials(self.path.parent, bench=worked.bench)
        reckoned = reckon(worked, trials, since)
        with self._lock:
            if self._worked is worked and not trials.stopped:
                self._reckoned = reckoned
                self._judge()
        return self.now

    def look(self) -> int:
        """Look whether somebody changed the file, and return what ``news`` then is."""
        with self._lock:
            self._see()
            return self._news

    def hear(self) -> None:
        """Note that there is something new to show beside the job."""
        with self._lock:
            self._news += 1

    def close(self) -> None:
        """Let the job go; what is not saved stays in its copy."""
        with self._lock:
            self._keeper.let_go()

    @contextmanager
    def _turn(self, revision: int) -> Iterator[SetOut]:
        with self._lock:
            if revision != self._revision:
                raise StaleRevision
            yield self.now

    def _keep(self, text: str) -> None:
        """Have another text in the copy, before anything else is done with it. Raises PacketFault where it can not be written."""
        if text != self._saved:
            self._keeper.keep_copy(text)
        else:
            self._keeper.drop_copy()

    def _take(self, text: str) -> None:
        """Have another text, which the copy has already."""
        if self._trials is not None:
            self._trials.stop()
        self._worked = work_out(self.path, text)
        self._reckoned = None
        self._judge()
        self._revision += 1
        self._news += 1
        self._see()

    def _judge(self) -> None:
        """Note whether the job as it stands can be cut, as far as is known."""
        wrong = self._worked.faults or (self._reckoned and self._reckoned.faults)
        self._past[-1] = replace(self._past[-1], sound=None if wrong else self._worked.content)

    def _since(self) -> Way:
        """Return what takes back all that was changed since the job could last be cut, before it came to be as it stands."""
        sound = next((one.sound for one in reversed(self._past[:-1]) if one.sound is not None), None)
        return way_back(self._worked.content, sound) if sound is not None else ()

    def _see(self) -> None:
        """Note what can be drawn now, and whether the file was changed on disk."""
        self._last_seen |= {drawer.name: drawer for drawer in self._worked.drawers.values()}
        changed = self._keeper.changed
        if changed != self._changed:
            self._changed = changed
            self._news += 1

    def _keeping(self) -> Keeping:
        text = self._worked.text
        return Keeping(
            name=self.path.name,
            named=self._saved is not None,
            saved=text == self._saved,
            undo=self._past[-1].words if len(self._past) > 1 else "",
            redo=self._future[-1].words if self._future else "",
            changed_on_disk=self._keeper.difference(text) if self._changed else "",
            left_over=self._keeper.difference(self._left_over[0]) if self._left_over else "",
            shop=self.path.with_name(SHOP_FILE).exists(),
        )

    def _earlier(self) -> dict[int, Drawer]:
        names = [entry.get("name") for entry in entries_of(self._worked.content)]
        return {
            place: self._last_seen[name]
            for place, name in enumerate(names, 1)
            if isinstance(name, str) and place not in self._worked.drawers and name in self._last_seen
        }
