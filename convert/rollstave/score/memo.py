"""Answers about a score that several writers ask for, worked out once.

A score is frozen, so what was found for it holds as long as it lives. It is told by identity: a
hash of all its notes would cost more than most answers do.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import wraps
from typing import TypeVar

from rollstave.score.records import Score

Answer = TypeVar("Answer")
_KEPT = 4  # scores: the last few that a writer, a bench or a book works on


def once_for_a_score(work: Callable[[Score], Answer]) -> Callable[[Score], Answer]:
    """A function of a score that remembers its answers for the last few scores."""
    known: dict[int, tuple[Score, Answer]] = {}
    changing = threading.Lock()

    @wraps(work)
    def answer(score: Score) -> Answer:
        # The score is kept beside its answer, so its identity cannot pass to another meanwhile.
        found = known.get(id(score))
        if found is not None and found[0] is score:
            return found[1]
        made = work(score)
        with changing:
            while len(known) >= _KEPT:
                del known[next(iter(known))]
            known[id(score)] = (score, made)
        return made

    return answer
