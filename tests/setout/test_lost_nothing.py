"""Nothing is lost or half-written, whenever the server is stopped."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from camtools.setout.keeping import JobKeeper
from camtools.setout.session import Session
from tests.setout.conftest import edited, opened, write

_TOUCHES = {"open", "os.rename", "os.link", "os.remove", "os.chmod"}  # audit events, Python library reference; each may change a folder


def _killed_at(touch: int, path: Path, work: Callable[[], None]) -> bool:
    """Do work in a process of its own, which is killed just before it touches the file's folder that often; tell whether it was.

    It may not open the file itself to write into it.
    """
    child = os.fork()
    if child:
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        assert code in (0, 9)
        return code == 9
    touched = 0

    def watch(event: str, given: tuple[object, ...]) -> None:
        nonlocal touched
        if event == "open" and str(given[0]) == str(path) and given[1] not in ("r", "rb", None):
            os._exit(7)
        if event in _TOUCHES and str(given[0]).startswith(str(path.parent)):
            touched += 1
            if touched == touch:
                os._exit(9)

    try:
        sys.addaudithook(watch)
        work()
        os._exit(0)
    finally:
        os._exit(8)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system copies no process")
@pytest.mark.parametrize("new", [False, True], ids=["a file that is there", "a new file"])
def test_job_is_whole_wherever_the_server_is_killed_while_it_saves(tmp_path: Path, samples: Path, new: bool) -> None:
    before = (samples / "first-drawer.toml").read_bytes()
    path = tmp_path / "drawer.toml"
    if not new:
        path.write_bytes(before)

    def begun() -> Session:
        if not new:
            return opened(path)
        keeper = JobKeeper(path)
        keeper.hold()
        return Session(keeper, before.decode())

    session = begun()
    edited(session, write("joints.lap", "4"))
    after = session.now.text.encode()
    session.close()
    copy = session.copy.read_bytes()

    def save() -> None:
        again = begun()
        again.settle(again.revision, take=True)
        again.save(again.revision)

    for touch in range(1, 60):
        killed = _killed_at(touch, path, save)
        if not killed:
            break
        kept = path.read_bytes() if path.exists() else b""
        assert kept in (b"" if new else before, after)
        offered = JobKeeper(path).left_over()
        assert kept == after or (offered is not None and offered[0].encode() == after)
        path.unlink(missing_ok=True)
        if not new:
            path.write_bytes(before)
        session.copy.write_bytes(copy)
    assert 12 < touch < 59
    assert path.read_bytes() == after
    assert not session.copy.exists()
