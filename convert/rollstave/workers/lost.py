"""What is raised when a worker process did not come back with an answer, or none can be had."""

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


class CannotStart(RuntimeError):
    """No worker process can be started at all: the system refuses, or ends each at once. Raised
    when a task is handed out; the words are the system's reason."""
