"""Runs the server of a job on this computer alone, until it is told to stop."""

from __future__ import annotations

import _thread
import secrets
import signal
import socket
from collections.abc import Callable
from contextlib import closing

from waitress.server import create_server

from camtools.faults import Fault, PacketFault
from camtools.output.folder import clear_leftovers
from camtools.setout.gate import LARGEST_BODY, Gate
from camtools.setout.packet_work import PacketMaker, packet_folder
from camtools.setout.server import app_of
from camtools.setout.session import Session

__all__ = ["serve"]

_LOOPBACK = "127.0.0.1"  # RFC 1122 section 3.2.1.3: nothing that is sent to it leaves the computer
_THREADS = 4


def serve(session: Session, port: int, opened: Callable[[str], None]) -> None:
    """Serve a job's page until an interrupt, or until the page asks to stop; work on its packet is stopped then too.

    What work on its packet left that was killed is cleared away first.

    Parameters
    ----------
    port
        To be reached at; 0: one that is free.
    opened
        Called with the page's address once it can be asked for.

    Raises
    ------
    PacketFault
        Where the port is taken.
    """
    maker = PacketMaker()
    clear_leftovers(packet_folder(session.path))
    signal.signal(signal.SIGINT, signal.default_int_handler)  # it is ignored where a script starts this in its background
    with closing(socket.socket(socket.AF_INET, socket.SOCK_STREAM)) as own:
        try:
            own.bind((_LOOPBACK, port))
        except OSError as fault:
            told = f"can not be used: {fault.strerror or fault}"
            raise PacketFault(Fault(f"port {port}", told, remedy="leave the port out: one that is free is taken then")) from None
        gate = Gate(f"{_LOOPBACK}:{own.getsockname()[1]}", secrets.token_urlsafe(24))
        server = create_server(
            app_of(session, gate, maker, _thread.interrupt_main),
            sockets=[own],
            threads=_THREADS,
            ident=None,
            connection_limit=60,
            max_request_body_size=LARGEST_BODY,
            max_request_header_size=32 * 1024,
        )
        opened(gate.address)
        try:
            server.run()
        finally:
            maker.finish()
            session.close()
