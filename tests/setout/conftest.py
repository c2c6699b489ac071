"""A job that is set out, and requests to its server."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from camtools.setout.edits import Edits
from camtools.setout.gate import Gate
from camtools.setout.keeping import JobKeeper
from camtools.setout.packet_work import PacketMaker
from camtools.setout.server import app_of
from camtools.setout.session import Session
from camtools.setout.set_out import SetOut

HOST = "127.0.0.1:50000"


def opened(path: Path) -> Session:
    """Open a job file as the command does."""
    keeper = JobKeeper(path)
    keeper.hold()
    return Session(keeper, keeper.open())


def edited(session: Session, *edits: dict[str, Any], revision: int | None = None) -> SetOut:
    """Do edits as they come from a page."""
    seen = session.revision if revision is None else revision
    return session.edit(Edits.model_validate_json(json.dumps({"revision": seen, "edits": edits})))


def write(key: str, typed: str) -> dict[str, str]:
    return {"do": "write", "key": key, "typed": typed}


@pytest.fixture
def chest(samples: Path, tmp_path: Path) -> Path:
    """Return a copy of the specimen chest's job file, alone in its folder."""
    path = tmp_path / "chest.toml"
    path.write_bytes((samples / "specimen-chest.toml").read_bytes())
    return path


@pytest.fixture
def session(chest: Path) -> Iterator[Session]:
    session = opened(chest)
    yield session
    session.close()


@dataclass(frozen=True)
class Window:
    """A window of the browser, as far as the server can tell."""

    client: FlaskClient
    session: Session
    gate: Gate

    def get(self, what: str, **headers: str) -> TestResponse:
        return self.client.get(f"/{self.gate.token}/{what}", headers={"Host": HOST, **headers})

    def post(self, what: str, body: Any = None, **headers: str) -> TestResponse:
        own = {"Host": HOST, "Origin": f"http://{HOST}", "Sec-Fetch-Site": "same-origin", **headers}
        sent = body if isinstance(body, bytes) else json.dumps({"revision": self.session.revision, **(body or {})}).encode()
        return self.client.post(f"/{self.gate.token}/{what}", data=sent, headers=own, content_type="application/json")


@pytest.fixture
def window(session: Session) -> Window:
    gate = Gate(HOST, "a-token-that-nobody-knows")
    return Window(app_of(session, gate, PacketMaker(), lambda: None).test_client(), session, gate)
