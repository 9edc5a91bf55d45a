"""``python -m rollstave`` and ``rollstave`` are the command line."""

from __future__ import annotations

import os
import signal


def run() -> None:
    """The command line, from its first moment deaf to nothing: Ctrl-C while modules are still
    imported ends it at once, since nothing was begun, and without a word."""
    begun = signal.getsignal(signal.SIGINT) is signal.default_int_handler
    if begun:
        signal.signal(signal.SIGINT, lambda *_: os._exit(130))
    from rollstave.cli.main import main

    if begun:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        main()
    except KeyboardInterrupt:
        os._exit(130)


if __name__ == "__main__":
    run()
