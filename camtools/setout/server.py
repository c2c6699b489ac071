"""Serves the page of a job that is set out, and does what it asks for."""

from __future__ import annotations

import mimetypes
import re
from collections.abc import Callable
from dataclasses import replace
from importlib import resources
from pathlib import Path
from typing import Annotated, TypeVar

from flask import Flask, Response, abort, jsonify, request
from flask.typing import ResponseReturnValue
from pydantic import BaseModel, ConfigDict, Field, ValidationError
from werkzeug.exceptions import HTTPException

from camtools.faults import CamtoolsError
from camtools.output.folder import CONTENTS
from camtools.setout.edits import Edits
from camtools.setout.gate import LARGEST_BODY, Gate, with_policy
from camtools.setout.packet_work import PacketMaker, packet_folder
from camtools.setout.page_parts import Picked
from camtools.setout.session import Session, StaleRevision
from camtools.setout.set_out import SetOut
from camtools.setout.setout_page import parts_of, whole_page
from camtools.setout.shop import SHOP_FILE
from camtools.wording import listed

__all__ = ["app_of"]

Asked = TypeVar("Asked", bound=BaseModel)

_OWN = {"style.css": "text/css", "script.js": "text/javascript"}
_SHOWN = {".html", ".svg", ".png", ".pdf", ".json", ".csv"}  # files of a packet that a browser can show; others are shown as text
_KINDS = mimetypes.MimeTypes()  # those of the library, whatever this computer has registered
_STALE = "Another window changed the piece, so this was not done. It is shown as it is now: do it again if you still want it."


class _Asked(BaseModel):
    """What every request that changes something says: the revision that the window shows."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)

    revision: int


class _Save(_Asked):
    name: Annotated[str, Field(max_length=200)] = ""  # another one; nothing: the file's own


class _Settle(_Asked):
    """What is to become of a file that was changed on disk, or of a copy that was never saved."""

    take: bool  # it, in place of what is here; otherwise the copy is thrown away


def app_of(session: Session, gate: Gate, maker: PacketMaker, close: Callable[[], None]) -> Flask:
    """Return the server of a job.

    Parameters
    ----------
    maker
        Writes and checks its packet.
    close
        Called to end the server.
    """
    app = Flask("camtools.setout", static_folder=None, template_folder=None)
    app.config["MAX_CONTENT_LENGTH"] = LARGEST_BODY
    at = f"/{gate.token}"

    def now(set_out: SetOut | None = None) -> SetOut:
        return replace(set_out or session.now, work=maker.now)

    def told(set_out: SetOut | None = None, message: str = "", code: int = 200) -> ResponseReturnValue:
        shown = now(set_out)
        answer = {"revision": shown.revision, "news": session.news, "fragments": parts_of(shown, picked()), "message": message}
        return jsonify(answer), code

    def picked() -> Picked:
        return Picked(request.args.get("drawer", 1, type=int), bool(request.args.get("alone")))

    def asked(kind: type[Asked]) -> Asked:
        try:
            return kind.model_validate_json(request.get_data(cache=False))
        except ValidationError:
            abort(400)

    @app.before_request
    def let_in() -> None:
        gate.let_in(request)

    @app.after_request
    def policy(response: Response) -> Response:
        return with_policy(response, packet=request.path.startswith(f"{at}/packet/"))

    @app.errorhandler(StaleRevision)
    def stale(_: StaleRevision) -> ResponseReturnValue:
        return told(message=_STALE, code=409)

    @app.errorhandler(CamtoolsError)
    def refused(error: CamtoolsError) -> ResponseReturnValue:
        return told(message="; ".join(map(str, error.faults)), code=422)

    @app.errorhandler(HTTPException)
    def turned_away(error: HTTPException) -> ResponseReturnValue:
        return Response(f"{error.code} {error.name}\n", error.code or 500, mimetype="text/plain")

    @app.get(f"{at}/")
    def page() -> ResponseReturnValue:
        session.look()
        return Response(whole_page(now(), session.news, picked()), mimetype="text/html")

    @app.get(f"{at}/own/<name>")
    def own(name: str) -> ResponseReturnValue:
        if name not in _OWN:
            abort(404)
        return Response(resources.files("camtools.setout").joinpath("own", name).read_bytes(), mimetype=_OWN[name])

    @app.get(f"{at}/state")
    def state() -> ResponseReturnValue:
        since = request.args.get("since", 0, type=int)
        return Response(status=204) if session.look() == since else told()

    @app.get(f"{at}/reckoned")
    def reckoned() -> ResponseReturnValue:
        return told(session.reckon(request.args.get("revision", 0, type=int)))

    @app.post(f"{at}/edit")
    def edit() -> ResponseReturnValue:
        return told(session.edit(asked(Edits)))

    @app.post(f"{at}/undo")
    def undo() -> ResponseReturnValue:
        return told(session.undo(asked(_Asked).revision))

    @app.post(f"{at}/redo")
    def redo() -> ResponseReturnValue:
        return told(session.redo(asked(_Asked).revision))

    @app.post(f"{at}/save")
    def save() -> ResponseReturnValue:
        wish = asked(_Save)
        return told(session.save(wish.revision, wish.name), f"Saved as {session.path.name}.")

    @app.post(f"{at}/settle")
    def settle() -> ResponseReturnValue:
        wish = asked(_Settle)
        return told(session.settle(wish.revision, take=wish.take))

    @app.post(f"{at}/shop")
    def shop() -> ResponseReturnValue:
        asked(_Asked)
        kept = session.keep_shop()
        return told(message=f"Kept in {SHOP_FILE} for the next job in this folder: {listed(kept, 'and')}.")

    @app.post(f"{at}/packet")
    def write() -> ResponseReturnValue:
        wish = asked(_Save)
        if not session.now.keeping.saved or wish.name:
            session.save(wish.revision, wish.name)
        return told(message="" if maker.start("packet", session.path, session.hear) else "Work is being done already.")

    @app.post(f"{at}/check")
    def check() -> ResponseReturnValue:
        asked(_Asked)
        return told(message="" if maker.start("check", session.path, session.hear) else "Work is being done already.")

    @app.post(f"{at}/stop")
    def stop() -> ResponseReturnValue:
        asked(_Asked)
        maker.stop()
        return told()

    @app.get(f"{at}/packet/<path:name>")
    def packet(name: str) -> ResponseReturnValue:
        return _packet_file(packet_folder(session.path), name)

    @app.post(f"{at}/close")
    def end() -> ResponseReturnValue:
        asked(_Asked)
        close()
        return told(message="The server has stopped; this window can be closed.")

    return app


def _packet_file(folder: Path, name: str) -> Response:
    """Return a file of a packet: one that was written with it, by its list of contents."""
    place = folder.joinpath(*name.split("/"))
    listed = folder / CONTENTS
    if folder.is_symlink() or not listed.is_file() or listed.is_symlink():
        abort(404)
    names = re.findall(r"^[0-9a-f]{64}  (.+)$", listed.read_text(encoding="utf-8", errors="replace"), re.MULTILINE)
    if name not in names or not place.resolve().is_relative_to(folder.resolve()) or not place.is_file():
        abort(404)
    kind = _KINDS.guess_type(name)[0] if place.suffix in _SHOWN else "text/plain"
    return Response(place.read_bytes(), mimetype=kind or "text/plain")
