"""A preview with faults, for workers; alone here, so that a worker loads little."""

from __future__ import annotations

import os
import signal
import time
from typing import Any

HANG = 5.0  # seconds after which a worker that hangs is given up; the others need a tenth of one


def slow_preview(text: str, name: str) -> dict[str, Any]:
    """A preview that dies or hangs if the text says so."""
    if text == "die":
        os.kill(os.getpid(), signal.SIGKILL)
    if text == "hang":
        time.sleep(600)
    if text == "fault":
        raise RuntimeError("of the program")
    time.sleep(0.05)
    return {"text": text, "worker": os.getpid(), "items": [], "tunes": []}
