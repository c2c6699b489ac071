"""Who may ask the server for anything: the maker's own browser, on this computer, from the page that it was given."""

from __future__ import annotations

import hmac
from dataclasses import dataclass

from flask import Request, Response, abort

__all__ = ["LARGEST_BODY", "Gate", "with_policy"]

LARGEST_BODY = 256 * 1024  # bytes that a request may hold; the longest edit of a job has some thousands

# Content Security Policy Level 3, W3C. Script and style come as files of the server's own, never within a page.
_PAGE = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)
# A packet's page bears its own script. It stands in a sandbox: to the server it is a stranger, whose requests have no origin.
_PACKET = (
    "sandbox allow-scripts allow-popups allow-downloads allow-modals; default-src 'none'; "
    "script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src 'self' data: blob:; base-uri 'none'; frame-ancestors 'none'"
)


@dataclass(frozen=True, slots=True)
class Gate:
    """The address that the server is reached at, which only who started it knows."""

    host: str  # 127.0.0.1 with the port
    token: str

    @property
    def address(self) -> str:
        """The page's address."""
        return f"http://{self.host}/{self.token}/"

    def let_in(self, request: Request) -> None:
        """Refuse a request that does not come from the page.

        Another page in the maker's browser can send requests, but does not know the token, and can not put this server's address
        in the place of its own into Origin; a name that leads here, which it may have made up, stands in Host.
        """
        if not hmac.compare_digest(request.path.split("/")[1].encode(), self.token.encode()):
            abort(404)
        if request.headers.get("Host") != self.host:
            abort(403)
        asked_for = request.path.split("/")[2:]
        from_elsewhere = request.headers.get("Sec-Fetch-Site", "none") not in ("none", "same-origin")
        if request.method not in ("GET", "HEAD"):
            if request.headers.get("Origin") != f"http://{self.host}" or from_elsewhere:
                abort(403)
        elif from_elsewhere and asked_for[:1] != ["packet"]:
            abort(403)


def with_policy(response: Response, *, packet: bool) -> Response:
    """Say what a browser may do with an answer."""
    response.headers["Content-Security-Policy"] = _PACKET if packet else _PAGE
    response.headers["Cross-Origin-Resource-Policy"] = "cross-origin" if packet else "same-origin"
    response.headers["Cross-Origin-Opener-Policy"] = "same-origin"
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["X-Frame-Options"] = "DENY"
    response.headers["Referrer-Policy"] = "same-origin"
    response.headers["Cache-Control"] = "no-store"
    return response
