"""Parts that are played more than once, and how often."""

from __future__ import annotations

import re

from msgspec import Struct

_NUMBERS = {"twice": 2, "two": 2, "thrice": 3, "three": 3, "four": 4, "six": 6, "eight": 8}


MOST_NOTES = 400  # lines of words of a tune that are looked at: each may ask for all measures


class Part(Struct, frozen=True):
    """A stretch of measures, from ``start`` to before ``end``, that is played ``times`` times."""

    start: int
    end: int
    times: int


def number_of(text: str) -> int:
    """How often words say: 2 for ``twice``, 3 for ``3 x``; 1 where they say nothing."""
    digits = re.search(r"\d+", text)
    if digits:
        return int(digits[0])
    return _NUMBERS.get(text.lower().split()[0], 1)
