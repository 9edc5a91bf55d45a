"""``python -m rollstave`` and ``rollstave`` are the command line."""

from __future__ import annotations

import gc
import os
import signal

# Records that make no circles: Python need not look for those at every 700 of them, which is a
# twentieth of the time in which one tune is converted.
_GARBAGE = 50_000


def run() -> None:
    """The command line, from its first moment deaf to nothing: Ctrl-C while modules are still
    imported ends it at once, since nothing was begun, and without a word."""
    begun = signal.getsignal(signal.SIGINT) is signal.default_int_handler
    if begun:
        signal.signal(signal.SIGINT, lambda *_: os._exit(130))
    gc.set_threshold(_GARBAGE, 20, 20)
    from rollstave.cli.main import main

    if begun:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        main()
    except KeyboardInterrupt:
        os._exit(130)


if __name__ == "__main__":
    run()
