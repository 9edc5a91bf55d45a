"""How many examples a test takes: enough to find what is usual, or all with ``--thorough``.

Nothing is left out but repetitions: every kind of case is in both.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")
U = TypeVar("U")

thorough = False  # set by conftest from the option, before any module of tests is imported


def some(usual: T, all_of_them: T) -> T:
    """So many usually, or all of them."""
    return all_of_them if thorough else usual


def crossed(ones: Sequence[T], others: Sequence[U], turns: int = 1) -> list[tuple[T, U]]:
    """Pairs of two lists: all of them, or usually each of the one with some of the other, in turn,
    so that every one of both is there."""
    if thorough:
        return [(one, other) for one in ones for other in others]
    steps = range(max(len(ones), len(others)))
    pairs = [
        (ones[n % len(ones)], others[(n + turn) % len(others)])
        for turn in range(turns)
        for n in steps
    ]
    return list(dict.fromkeys(pairs))
