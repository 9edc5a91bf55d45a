"""Words of a line with their columns, and what the tables of such lines are made of."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import lru_cache

from msgspec import Struct

from rollstave.grid.typed import LineKind


class Word(Struct, frozen=True):
    """A word of a line and the index where it starts."""

    text: str
    start: int


def words(text: str) -> list[Word]:
    """The words of a line with their columns."""
    return [Word(m[0], m.start()) for m in re.finditer(r"\S+", text)]


# Rules ask one after the other what a line could hold: the last few answers are kept.
_KEPT = 64
Classifier = Callable[[str], Sequence[Word] | None]
Table = tuple[tuple[LineKind, Classifier], ...]


def remembered(look: Callable[[str], list[Word] | None]) -> Classifier:
    @lru_cache(maxsize=_KEPT)
    def asked(text: str) -> tuple[Word, ...] | None:
        found = look(text)
        return None if found is None else tuple(found)

    return asked


_BARS = re.compile(r":?\|+:?")


def bare(text: str) -> str:
    """A line without bar lines and repeat dots, which some typists repeat above and below the
    rows."""
    return _BARS.sub(lambda bar: " " * len(bar[0]), text) if "|" in text else text
