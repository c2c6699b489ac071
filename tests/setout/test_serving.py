"""The server as it is started: one real run of the command, with requests over the network's own interface of this computer."""

from __future__ import annotations

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from tests.setout.conftest import write

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="stopped by signals that this system does not have")


class Started:
    """The command, started in a folder."""

    def __init__(self, folder: Path, house: Path, *given: str) -> None:
        command = [sys.executable, "-m", "camtools", "setout", *given, "--no-browser"]
        environment = {**os.environ, "PYTHONPATH": str(house)}
        self.process = subprocess.Popen(
            command, cwd=folder, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
        )
        assert self.process.stdout is not None
        self.address = urlsplit(self.process.stdout.readline().strip())

    def ask(self, what: str, body: object = None) -> tuple[int, bytes]:
        assert self.address.hostname is not None
        with closing(http.client.HTTPConnection(self.address.hostname, self.address.port, timeout=60)) as line:
            headers = {"Origin": f"http://{self.address.netloc}", "Content-Type": "application/json"}
            line.request("GET" if body is None else "POST", self.address.path + what, None if body is None else json.dumps(body), headers)
            answer = line.getresponse()
            return answer.status, answer.read()

    def end(self, by: signal.Signals) -> str:
        self.process.send_signal(by)
        return self.process.communicate(timeout=30)[1]


@pytest.fixture
def started(chest: Path, house: Path) -> Iterator[Started]:
    server = Started(chest.parent, house, chest.name)
    yield server
    server.process.kill()
    server.process.communicate()


def _sent(started: Started, head: str, size: int) -> bytes:
    """Send a request with a body of this size, as far as it is taken, and return what is answered."""
    with closing(socket.create_connection((started.address.hostname, started.address.port), 30)) as line:
        line.sendall(head.encode())
        try:
            for _ in range(size // 65536):
                line.sendall(b" " * 65536)
        except OSError:
            pass  # it would not take more
        try:
            return line.recv(4096)
        except OSError:
            return b""


def test_server_of_a_real_run_refuses_strangers_keeps_what_was_not_saved_and_ends_by_an_interrupt(started: Started, chest: Path) -> None:
    before = chest.read_bytes()
    assert started.address.hostname == "127.0.0.1"
    assert len(started.address.path) > 24
    assert started.ask("")[0] == 200
    head = f"POST {started.address.path}edit HTTP/1.1\r\nHost: {started.address.netloc}\r\nOrigin: http://{started.address.netloc}\r\n"
    huge = 100 * 1024 * 1024
    for told in (f"Content-Length: {huge}\r\n\r\n", "Transfer-Encoding: chunked\r\n\r\n6400000\r\n"):
        answer = _sent(started, head + told, huge)
        assert answer == b"" or b" 413 " in answer.split(b"\r\n")[0]
    assert b" 403 " in _sent(started, f"GET {started.address.path} HTTP/1.1\r\nHost: example.org\r\n\r\n", 0)
    for path in ("/../../etc/passwd", "/.", f"{started.address.path}packet/../../chest.toml", f"{started.address.path}own/%2e%2e/edits"):
        assert b" 404 " in _sent(started, f"GET {path} HTTP/1.1\r\nHost: {started.address.netloc}\r\n\r\n", 0)
    assert chest.read_bytes() == before
    assert not list(chest.parent.glob(".*.unsaved"))
    assert started.ask("edit", {"revision": 1, "edits": [write("joints.lap", "4")]})[0] == 200
    words = started.end(signal.SIGINT)
    assert "Not saved" in words
    assert ".chest.toml.unsaved" in words.replace("\n", "")
    assert started.process.returncode == 0
    assert chest.read_bytes() == before
    assert sorted(path.name for path in chest.parent.iterdir()) == [".chest.toml.unsaved", "chest.toml"]


def test_server_that_was_killed_is_started_again_with_what_was_not_saved(started: Started, chest: Path, house: Path) -> None:
    assert started.ask("edit", {"revision": 1, "edits": [write("joints.lap", "4")]})[0] == 200
    started.end(signal.SIGKILL)
    left = chest.with_name(".chest-packet.new-0123abcd")  # by a packet that was stopped by force long ago
    left.mkdir()
    os.utime(left, (0, 0))
    again = Started(chest.parent, house, chest.name)
    try:
        assert not left.exists()
        assert b"+lap = 4" in again.ask("")[1]
        assert again.ask("settle", {"revision": 1, "take": True})[0] == 200
        assert again.ask("save", {"revision": 2})[0] == 200
        assert again.ask("close", {"revision": 2})[0] == 200
        assert again.process.wait(20) == 0
    finally:
        again.process.kill()
        again.process.communicate()
    assert "\nlap = 4 " in chest.read_text(encoding="utf-8")
