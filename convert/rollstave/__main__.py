"""``python -m rollstave`` and ``rollstave`` are the command line."""

from __future__ import annotations

import gc
import os
import signal

# Records make no circles: Python need not look for those at every 700 of them, nor for the last
# time when all is over. For one tune that is an eighth of the time.
_GARBAGE = 200_000


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
    finally:
        gc.freeze()


if __name__ == "__main__":
    run()
