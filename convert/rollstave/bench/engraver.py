"""The engraver: one worker process that is replaced when it is lost, and asked one thing at a
time. Of several texts of one page that wait, only the newest is engraved.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import Any

from rollstave.bench.preview import preview
from rollstave.workers import WorkerLost, Workers

SECONDS = 20.0  # a songbook of a hundred tunes takes less
WORDS = {
    "died": "The engraver ended without an answer and was started again.",
    "too slow": "The engraver took too long over this text and was started again.",
    "too much memory": "This text needs more memory than the engraver may have.",
}
_PRELOAD = ("rollstave.bench.preview",)


class Engraver:
    """Runs the functions of :mod:`rollstave.bench.preview`. ``tell`` is called with a sentence
    whenever the worker had to be replaced; ``make_preview`` can be another function like it.
    """

    def __init__(
        self,
        tell: Callable[[str], None],
        make_preview: Callable[[str, str], Any] = preview,
        seconds: float = SECONDS,
    ) -> None:
        self._tell = tell
        self._make_preview = make_preview
        self._workers = Workers(1, seconds=seconds, tasks=0, preload=_PRELOAD)
        self._busy = asyncio.Lock()
        self._newest: dict[str, object] = {}
        self.worker: int | None = None  # process id of the one that answered last

    def close(self) -> None:
        """End the worker."""
        self._workers.close()

    async def run(self, work: Callable[..., Any], *arguments: Any) -> Any:
        """The result of a function in the worker. One that died is replaced, and the work is done
        again once. Raises WorkerLost if it is lost again or takes too long."""
        async with self._busy:
            return await self._run(work, *arguments)

    async def preview(self, page: str, text: str, name: str) -> Any | None:
        """The preview of a text, or None if the same page sent a newer one while this waited."""
        mine = self._newest[page] = object()
        async with self._busy:
            if self._newest.get(page) is not mine:
                return None
            try:
                made = await self._run(self._make_preview, text, name)
            finally:
                if self._newest.get(page) is mine:
                    del self._newest[page]
        worker = made.get("worker")
        if self.worker not in (None, worker):
            self._tell(WORDS["died"])  # it was lost while it had nothing to do
        self.worker = worker
        return made

    async def _run(self, work: Callable[..., Any], *arguments: Any) -> Any:
        try:
            return await asyncio.wrap_future(self._workers.submit(work, *arguments))
        except WorkerLost as lost:
            self._lost(lost)
            if lost.reason != "died":
                raise
        try:
            return await asyncio.wrap_future(self._workers.submit(work, *arguments))
        except WorkerLost as lost:
            self._lost(lost)
            raise

    def _lost(self, lost: WorkerLost) -> None:
        self.worker = None
        self._tell(WORDS[lost.reason])
