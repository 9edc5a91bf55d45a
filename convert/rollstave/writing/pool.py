"""Many sheets at once, in processes of their own.

The engraver is C++ and can end a whole process; here it ends a worker, and only the tune that did
it is lost. The pages come back in the order of the tunes, whoever made them.
"""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool

from rollstave.score.model import Score
from rollstave.writing.options import SheetOptions
from rollstave.writing.paper import sheet_pages

_FEW = 6  # fewer tunes than this are made sooner than workers start
_AT_ONCE = 4  # tunes that a worker takes at a time

Pages = list[bytes]


def usual_workers() -> int:
    """As many workers as this process may use processors."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1


def engrave_all(
    scores: Sequence[Score],
    options: SheetOptions,
    workers: int = 1,
    progress: Callable[[], None] | None = None,
) -> list[Pages | None]:
    """The pages of each tune, None for a tune that the engraver failed on.

    With one worker, or few tunes, everything is done in this process, and an engraver that ends
    it cannot be caught. ``progress`` is called once for each tune.
    """
    done = progress or (lambda: None)
    if workers < 2 or len(scores) < _FEW:
        found: list[Pages | None] = []
        for score in scores:
            found.append(_pages(score, options))
            done()
        return found
    return _shared(scores, options, workers, done)


def _shared(
    scores: Sequence[Score], options: SheetOptions, workers: int, done: Callable[[], None]
) -> list[Pages | None]:
    pages: list[Pages | None] = []
    try:
        with _pool(workers) as pool:
            jobs = [(score, options) for score in scores]
            for made in pool.map(_work, jobs, chunksize=_AT_ONCE):
                pages.append(made)
                done()
    except BrokenProcessPool:
        # One of the tunes at hand ended its worker: each of the rest gets a process of its own.
        for score in scores[len(pages) :]:
            pages.append(_alone(score, options))
            done()
    return pages


def _alone(score: Score, options: SheetOptions) -> Pages | None:
    try:
        with _pool(1) as pool:
            return pool.submit(_work, (score, options)).result()
    except BrokenProcessPool:
        return None


def _pool(workers: int) -> ProcessPoolExecutor:
    # Fresh processes, not copies: the copy of a process with threads may hang.
    return ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("spawn"))


def _work(job: tuple[Score, SheetOptions]) -> Pages | None:
    return _pages(*job)


def _pages(score: Score, options: SheetOptions) -> Pages | None:
    try:
        return sheet_pages(score, options)
    except ValueError:  # the engraver refused the music
        return None
