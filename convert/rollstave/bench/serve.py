"""Serving the bench on 127.0.0.1 until Ctrl-C."""

from __future__ import annotations

import contextlib
import signal
import socket
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path
from types import FrameType
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
    show_key: bool = False,
    **settings: Any,
) -> None:
    """Serve the bench of a file and open the browser; returns after Ctrl-C.

    ``show_key`` says that nobody but the user reads what is said: the key that opens the bench
    once is then said too. ``settings`` go to :func:`~rollstave.bench.app.make_app`. Raises OSError
    if the file cannot be read or the port is taken, TabError if the file is no text tab.
    """
    # uvicorn ends in good order at Ctrl-C and then raises it again.
    with contextlib.suppress(KeyboardInterrupt), contextlib.ExitStack() as ending:
        document = Document(path)
        document.load()
        listener = ending.enter_context(open_socket(port))
        import uvicorn

        from rollstave.bench.app import make_app
        from rollstave.bench.entrance import Entrance

        port = listener.getsockname()[1]
        entrance = Entrance()
        ending.callback(entrance.close)
        app = make_app(document, port, entrance, **settings)
        config = uvicorn.Config(
            app,
            log_level="critical",
            access_log=False,
            server_header=False,
            timeout_graceful_shutdown=1,
            ws="none",
        )
        server = uvicorn.Server(config)
        _end_with_the_terminal(server.handle_exit)
        opener = entrance.write_file(port)
        say(f"{path}: on the bench at http://{HOST}:{port}/ (Ctrl-C ends it)")
        if not browser:
            say(f"To get in, open this file in your browser, once: {opener}")
        if show_key:
            say(f"{'If no window opens' if browser else 'Or'}, open the address and paste this key")
            say(f"there; it works once: {entrance.key}")
        if browser:
            # A thread, because some systems answer only when the browser ends.
            threading.Thread(target=_open, args=(opener, say), daemon=True).start()
        server.run(sockets=[listener])


def _open(opener: Path, say: Callable[[str], Any]) -> None:
    """Open the browser. Its command line has only the name of the file."""
    try:
        opened = webbrowser.open(opener.as_uri())
    except (webbrowser.Error, OSError):
        opened = False
    if not opened and opener.exists():
        say(f"No browser could be opened. Open this file in yours, once: {opener}")


def _end_with_the_terminal(end: Callable[[int, FrameType | None], None]) -> None:
    """Let a closed terminal end the bench in good order, unless it was started to outlive it."""
    hangup = getattr(signal, "SIGHUP", None)
    main = threading.current_thread() is threading.main_thread()
    if hangup is not None and main and signal.getsignal(hangup) is signal.SIG_DFL:
        signal.signal(hangup, end)
