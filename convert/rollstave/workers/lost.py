"""The one exception that says a worker process did not come back with an answer."""

from __future__ import annotations

from typing import Literal

Reason = Literal["died", "too slow", "too much memory"]


class WorkerLost(Exception):
    """A worker process ended before its task did. The task has no result; others are unharmed.

    ``reason`` is ``"died"`` (it aborted, crashed or was killed), ``"too slow"`` (it did not end in
    its time) or ``"too much memory"``. ``detail`` says more in a few words, or nothing.
    """

    def __init__(self, reason: Reason, detail: str = "") -> None:
        super().__init__(reason, detail)
        self.reason: Reason = reason
        self.detail = detail

    def __str__(self) -> str:
        return f"{self.reason}: {self.detail}" if self.detail else self.reason
