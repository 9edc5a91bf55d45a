"""Workers that do their tasks at once, in this process: quick, and within reach of a test."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, Self

import pytest


class InlineWorkers:
    """What a run needs of ``rollstave.workers.Workers``."""

    def __init__(self, count: int | None = None, **_: Any) -> None:
        self.count = count or 1

    def submit(self, function: Callable[..., Any], *arguments: Any) -> Future[Any]:
        future: Future[Any] = Future()
        try:
            future.set_result(function(*arguments))
        except Exception as error:
            future.set_exception(error)
        return future

    def restart(self) -> None:
        raise AssertionError("nothing hangs here")

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        pass


@pytest.fixture
def inline(monkeypatch: pytest.MonkeyPatch) -> None:
    """Runs have no processes of their own."""
    monkeypatch.setattr("rollstave.archive.run.Workers", InlineWorkers)
