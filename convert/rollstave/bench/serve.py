"""Serving the bench on 127.0.0.1 until Ctrl-C."""

from __future__ import annotations

import contextlib
import secrets
import socket
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import Any

from rollstave.bench.document import Document

HOST = "127.0.0.1"


def open_socket(port: int) -> socket.socket:
    """A listening socket on this machine's own address; port 0 takes a free one. Raises OSError."""
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((HOST, port))
        listener.listen(64)
    except OSError:
        listener.close()
        raise
    return listener


def serve(
    path: Path,
    port: int = 0,
    browser: bool = True,
    say: Callable[[str], Any] = print,
    **settings: Any,
) -> None:
    """Serve the bench of a file and open the browser; returns after Ctrl-C.

    ``settings`` go to :func:`~rollstave.bench.app.make_app`. Raises OSError if the file cannot be
    read or the port is taken, TabError if the file is no text tab.
    """
    import uvicorn

    document = Document(path)
    document.load()
    listener = open_socket(port)
    from rollstave.bench.app import make_app

    port = listener.getsockname()[1]
    app = make_app(document, port, secrets.token_urlsafe(32), **settings)
    config = uvicorn.Config(
        app,
        log_level="critical",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=1,
        ws="none",
    )
    address = f"http://{HOST}:{port}/"
    say(f"{path}: on the bench at {address} (Ctrl-C ends it)")
    if browser:
        threading.Timer(0.3, webbrowser.open, (address,)).start()
    # uvicorn ends in good order at Ctrl-C and then raises it again.
    with listener, contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listener])
