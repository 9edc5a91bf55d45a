"""What the server tells its pages: that the file changed, that the engraver was replaced."""

from __future__ import annotations

import asyncio
import contextlib
import json
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

from rollstave.bench.document import Document

_MOST_WAITING = 100  # of one page; one that does not listen is not told more
_LOOK_AGAIN = 1.0  # seconds


class Hub:
    """Passes events to every page that listens. To be used in one event loop."""

    def __init__(self) -> None:
        self._listeners: set[asyncio.Queue[dict[str, str]]] = set()

    def tell(self, event: str, **data: Any) -> None:
        """Tell all pages; data must be fit for JSON."""
        for queue in self._listeners:
            if queue.qsize() < _MOST_WAITING:
                queue.put_nowait({"event": event, "data": json.dumps(data)})

    async def listen(self) -> AsyncIterator[dict[str, str]]:
        """The events from now on, in the shape that sse-starlette sends."""
        queue: asyncio.Queue[dict[str, str]] = asyncio.Queue()
        self._listeners.add(queue)
        try:
            while True:
                yield await queue.get()
        finally:
            self._listeners.discard(queue)


async def watch(document: Document, hub: Hub) -> None:
    """Tell of every change of the file's content, until cancelled.

    The folder is watched, because most editors put a new file in the old one's place. Where the
    system cannot watch it (too many watchers, the folder is gone, a file beside it has a name that
    is no text), the file is looked at once a second.
    """
    from watchfiles import awatch

    def is_ours(_: object, path: str) -> bool:
        return Path(path).name == document.path.name

    last = _now(document, "")
    changes = awatch(
        document.path.parent, watch_filter=is_ours, recursive=False, step=20, debounce=100
    )
    with contextlib.suppress(Exception):  # groups of them too, whatever the system came upon
        async for _ in changes:
            last = _tell_if_new(document, hub, last)
    while True:
        await asyncio.sleep(_LOOK_AGAIN)
        last = _tell_if_new(document, hub, last)


def _tell_if_new(document: Document, hub: Hub, last: str) -> str:
    now = _now(document, last)
    if now != last:
        hub.tell("file", seen=now)
    return now


def _now(document: Document, last: str) -> str:
    """What the file is; where it cannot be read, nobody can tell that it changed."""
    try:
        return document.now()
    except OSError:
        return last
