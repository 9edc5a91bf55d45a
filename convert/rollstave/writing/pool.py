"""Many sheets at once, in worker processes.

The engraver is C++ and can end a whole process; here it ends a worker, and only the tune that did
it is lost. The pages come back in the order of the tunes, whoever made them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rollstave.score.records import Score
from rollstave.workers import WorkerLost, Workers
from rollstave.writing.options import SheetOptions
from rollstave.writing.others import OtherMarks, no_others
from rollstave.writing.paper import sheet_pages

_FEW = 6  # fewer tunes than this are made sooner than workers start

Pages = list[bytes]


def engrave_all(
    scores: Sequence[Score],
    options: SheetOptions,
    workers: int = 1,
    progress: Callable[[], None] | None = None,
    others: OtherMarks = no_others,
) -> list[Pages | None]:
    """The pages of each tune, None for a tune that the engraver failed on.

    With one worker, or few tunes, everything is done in this process, and an engraver that ends
    it cannot be caught. ``progress`` is called once for each tune.
    """
    done = progress or (lambda: None)
    found: list[Pages | None] = []
    if workers < 2 or len(scores) < _FEW:
        for score in scores:
            found.append(_pages(score, options, others))
            done()
        return found
    with Workers(workers, preload=("rollstave.writing.paper", "verovio")) as pool:
        futures = [pool.submit(_pages, score, options, others) for score in scores]
        for future in futures:
            try:
                found.append(future.result())
            except WorkerLost:
                found.append(None)
            done()
    return found


def _pages(score: Score, options: SheetOptions, others: OtherMarks) -> Pages | None:
    try:
        return sheet_pages(score, options, others)
    except ValueError:  # the engraver refused the music
        return None
